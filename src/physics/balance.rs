//! Where the mass sits: centre of gravity from scales, from a tilt, from parts, and the sideways acceleration that
//! would turn the vehicle over.

use uom::si::f64::{Acceleration, Length, Mass, Ratio, Velocity};
use uom::si::ratio::ratio;

use super::range::{OutOfRange, positive};

/// Place of the centre of gravity in plan, and how the corners share the mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerBalance {
    /// Sum of the four corners.
    pub total: Mass,
    /// Distance of the centre of gravity behind the front axle.
    pub behind_front_axle: Length,
    /// Distance of the centre of gravity left of the centre line.
    pub left_of_centre: Length,
    /// Share of the mass on the front axle.
    pub front_share: Ratio,
    /// Share of the mass on the left wheels.
    pub left_share: Ratio,
    /// Share of the mass on the front right and rear left wheels.
    pub cross_share: Ratio,
}

/// Centre of gravity in plan from four wheel scales, by moments about the front axle and the centre line:
/// `a = l (m_rl + m_rr) / m`, `y = (t_f (m_fl - m_fr) + t_r (m_rl - m_rr)) / (2 m)`.
///
/// # Errors
/// The masses add up to nothing.
pub fn corner_balance(
    front_left: Mass,
    front_right: Mass,
    rear_left: Mass,
    rear_right: Mass,
    wheelbase: Length,
    front_track: Length,
    rear_track: Length,
) -> Result<CornerBalance, OutOfRange> {
    let total = positive("sum of the corner masses", front_left + front_right + rear_left + rear_right)?;
    let front_share: Ratio = (front_left + front_right) / total;
    let sideways = (front_left - front_right) * front_track + (rear_left - rear_right) * rear_track;
    Ok(CornerBalance {
        total,
        behind_front_axle: wheelbase * (Ratio::new::<ratio>(1.0) - front_share),
        left_of_centre: sideways / total / 2.0,
        front_share,
        left_share: (front_left + rear_left) / total,
        cross_share: (front_right + rear_left) / total,
    })
}

/// Height of the centre of gravity from a tilt: `h = r + (m_f2 - m_f1) l / (m tan q)` with `sin q = H / l`.
///
/// `front_level` m_f1 and `front_raised` m_f2 are the loads of the front axle, level and with the rear axle raised by
/// `lift` H (suspension blocked, wheels free to roll, the lift measured at the axle); `wheel_radius` r is the height
/// of the axles' centres.
///
/// # Errors
/// The lift is not above zero or not below the wheelbase; the mass is not above zero.
pub fn centre_height_from_tilt(
    total: Mass,
    front_level: Mass,
    front_raised: Mass,
    wheelbase: Length,
    wheel_radius: Length,
    lift: Length,
) -> Result<Length, OutOfRange> {
    let sine: Ratio = positive("lift of the axle", lift)? / positive("wheelbase", wheelbase)?;
    let sine = sine.get::<ratio>();
    if sine >= 1.0 {
        return Err(OutOfRange::new(
            "lift of the axle",
            format_args!("{sine:.2} wheelbases"),
            "less than the wheelbase",
        ));
    }
    let tangent = sine / (1.0 - sine * sine).sqrt();
    let moved: Ratio = (front_raised - front_level) / positive("mass", total)?;
    Ok(wheel_radius + wheelbase * moved / tangent)
}

/// Mass-weighted mean of one coordinate of several parts: `x = sum of m_k x_k / sum of m_k`.
///
/// # Errors
/// Lists of unequal length or empty; masses that add up to nothing.
pub fn centre_of_parts(masses: &[Mass], coordinates: &[Length]) -> Result<Length, OutOfRange> {
    if masses.len() != coordinates.len() {
        return Err(OutOfRange::new(
            "number of parts",
            format_args!("{} masses and {} coordinates", masses.len(), coordinates.len()),
            "lists of one and the same length",
        ));
    }
    let total = positive("sum of the masses", masses.iter().fold(Mass::default(), |sum, m| sum + *m))?;
    let mut mean = Length::default();
    for (mass, coordinate) in masses.iter().zip(coordinates) {
        mean += *coordinate * (*mass / total);
    }
    Ok(mean)
}

/// Static stability factor, the sideways acceleration in g at which a rigid vehicle's inner wheels lift: `t / (2 h)`.
/// Springs and tyres lower it by 5 to 15 %.
///
/// # Errors
/// The height is not above zero.
pub fn stability_factor(track: Length, centre_height: Length) -> Result<Ratio, OutOfRange> {
    Ok(track / (positive("height of the centre of gravity", centre_height)? * 2.0))
}

/// Speed in a level curve of radius `R` at which a rigid vehicle turns over: `v = sqrt(g R t / (2 h))`.
///
/// # Errors
/// The height or the radius is not above zero.
pub fn overturning_speed(
    track: Length,
    centre_height: Length,
    curve_radius: Length,
    gravity: Acceleration,
) -> Result<Velocity, OutOfRange> {
    let radius = positive("radius of the curve", curve_radius)?;
    Ok((gravity * radius * stability_factor(track, centre_height)?).sqrt())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::meter;
    use uom::si::mass::kilogram;

    use super::*;

    fn m(value: f64) -> Length {
        Length::new::<meter>(value)
    }

    fn corners(fl: f64, fr: f64, rl: f64, rr: f64) -> CornerBalance {
        let kg = |x: f64| Mass::new::<kilogram>(x);
        corner_balance(kg(fl), kg(fr), kg(rl), kg(rr), m(2.5), m(1.4), m(1.5)).expect("a car")
    }

    #[test]
    fn four_equal_corners_balance_in_the_middle() {
        let even = corners(250.0, 250.0, 250.0, 250.0);
        assert_eq!((even.behind_front_axle, even.left_of_centre), (m(1.25), m(0.0)));
        assert_eq!(even.cross_share.value, 0.5);
    }

    #[test]
    fn impossible_tilts_and_empty_lists_are_refused() {
        let kg = |x: f64| Mass::new::<kilogram>(x);
        assert!(centre_height_from_tilt(kg(900.0), kg(450.0), kg(470.0), m(2.4), m(0.3), m(2.4)).is_err());
        assert!(centre_height_from_tilt(kg(900.0), kg(450.0), kg(470.0), m(2.4), m(0.3), m(0.0)).is_err());
        assert!(centre_of_parts(&[], &[]).is_err());
        assert!(centre_of_parts(&[kg(1.0)], &[]).is_err());
    }

    proptest! {
        #[test]
        fn a_mirrored_car_has_a_mirrored_centre(
            fl in 100.0_f64..500.0,
            fr in 100.0_f64..500.0,
            rl in 100.0_f64..500.0,
            rr in 100.0_f64..500.0,
        ) {
            let (one, other) = (corners(fl, fr, rl, rr), corners(fr, fl, rr, rl));
            prop_assert!((one.left_of_centre + other.left_of_centre).value.abs() < 1e-12);
            prop_assert!((one.cross_share.value + other.cross_share.value - 1.0).abs() < 1e-12);
            prop_assert!((one.behind_front_axle - other.behind_front_axle).value.abs() < 1e-12);
        }

        #[test]
        fn a_tilt_gives_back_the_height_it_was_made_with(
            height in 0.3_f64..1.2,
            lift in 0.2_f64..1.2,
            front in 0.35_f64..0.65,
        ) {
            // Rotate a rigid car about its front axle: the centre moves forward by (h - r) tan(q) over the ground's
            // projection.
            let (mass, wheelbase, radius) = (1100.0, 2.5, 0.31);
            let tangent = (lift / wheelbase) / (1.0_f64 - (lift / wheelbase).powi(2)).sqrt();
            let raised = mass * (front + (height - radius) * tangent / wheelbase);
            let kg = |x: f64| Mass::new::<kilogram>(x);
            let got = centre_height_from_tilt(kg(mass), kg(mass * front), kg(raised), m(wheelbase), m(radius), m(lift));
            prop_assert!((got.expect("in range").value - height).abs() < 1e-9);
        }

        #[test]
        fn the_centre_lies_among_the_parts(a in -2.0_f64..2.0, b in -2.0_f64..2.0, share in 0.01_f64..0.99) {
            let kg = |x: f64| Mass::new::<kilogram>(x);
            let mean = centre_of_parts(&[kg(share), kg(1.0 - share)], &[m(a), m(b)]).expect("in range").value;
            prop_assert!(a.min(b) - 1e-12 <= mean && mean <= a.max(b) + 1e-12);
        }
    }
}
