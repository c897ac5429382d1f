//! Approach, departure and ramp angles over the ground, from the tangent to the loaded tyre as ISO 612 asks.

use uom::si::f64::{Angle, Length, Ratio};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, positive};

/// Angle between the ground and the plane that is tangent to a tyre and passes below a point: `a = asin(r / D) +
/// atan2(z - r, x)` with `D = sqrt(x^2 + (z - r)^2)`, the tyre's static radius `r`, and the point's distance `x` from
/// the axle and height `z`.
///
/// It is the approach angle for the lowest point ahead of the front axle, the departure angle for the one behind the
/// rear axle, and one half of the ramp angle for a point between them. The line to the contact point (`atan(z /
/// overhang)`) understates it.
///
/// Source: ISO 612, 6.10 and 6.11 (from memory).
///
/// # Errors
/// The distance or the radius is not above zero; the point lies within the tyre's circle.
pub fn clearance_angle(distance: Length, height: Length, tyre_radius: Length) -> Result<Angle, OutOfRange> {
    let away = positive("distance from the axle", distance)?;
    let radius = positive("radius of the tyre", tyre_radius)?;
    let rise = height - radius;
    let reach: Length = (away * away + rise * rise).sqrt();
    if reach < radius {
        let mm = |l: Length| l.get::<uom::si::length::millimeter>();
        return Err(OutOfRange::new(
            "distance of the point from the tyre's centre",
            format_args!("{:.0} mm", mm(reach)),
            format_args!("the tyre's radius, {:.0} mm, and above", mm(radius)),
        ));
    }
    let share: Ratio = radius / reach;
    Ok(Ratio::new::<ratio>(share.get::<ratio>().min(1.0)).asin() + rise.atan2(away))
}

/// Ramp angle at a low point between the axles: the sum of the two tangent angles of [`clearance_angle`] through that
/// point (ISO 612, 6.9, for the point at mid wheelbase; for another place the planes meet at the point).
///
/// # Errors
/// The point is not between the axles; as [`clearance_angle`].
pub fn ramp_angle(
    wheelbase: Length,
    behind_front_axle: Length,
    clearance: Length,
    tyre_radius: Length,
) -> Result<Angle, OutOfRange> {
    let front = clearance_angle(behind_front_axle, clearance, tyre_radius)?;
    let rear = clearance_angle(wheelbase - behind_front_axle, clearance, tyre_radius)?;
    Ok(front + rear)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angle::degree;
    use uom::si::length::millimeter;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_point_on_the_ground_leaves_no_angle() {
        let angle = clearance_angle(mm(800.0), mm(0.0), mm(300.0)).expect("ahead of the tyre");
        assert!(angle.get::<degree>().abs() < 1e-9);
    }

    #[test]
    fn a_point_inside_the_tyre_is_refused() {
        assert!(clearance_angle(mm(200.0), mm(310.0), mm(300.0)).is_err());
        assert!(clearance_angle(mm(-800.0), mm(200.0), mm(300.0)).is_err());
        assert!(ramp_angle(mm(2400.0), mm(2500.0), mm(150.0), mm(300.0)).is_err());
    }

    proptest! {
        #[test]
        fn the_plane_touches_the_tyre_and_the_point(
            x in 400.0_f64..1500.0,
            z in 50.0_f64..500.0,
            r in 250.0_f64..380.0,
        ) {
            // The plane starts on the far side of the contact patch, touches the circle about (0, r) and runs through
            // (x, z).
            let angle = clearance_angle(mm(x), mm(z), mm(r)).expect("in range").value;
            let distance = (x * angle.sin() - (z - r) * angle.cos()).abs();
            prop_assert!((distance - r).abs() < 1e-6, "{distance} for {r}");
        }

        #[test]
        fn ramp_is_the_same_from_both_ends(at in 500.0_f64..1900.0, z in 80.0_f64..300.0) {
            let front = ramp_angle(mm(2400.0), mm(at), mm(z), mm(300.0)).expect("in range");
            let rear = ramp_angle(mm(2400.0), mm(2400.0 - at), mm(z), mm(300.0)).expect("in range");
            prop_assert!((front - rear).value.abs() < 1e-12);
        }
    }
}
