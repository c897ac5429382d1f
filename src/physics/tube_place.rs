//! Where the tubes of a cage stand: their angles, and the room between a tube and a helmet, a pipe or another tube.
//!
//! Points are `[x, y, z]` in the axes of ISO 8855. A tube is the straight piece between two points of its middle line.

use nalgebra::Vector3;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};
use uom::si::length::{meter, millimeter};

use super::range::{OutOfRange, not_negative};

/// The angle between a tube and the vertical, from 0 to 90 deg.
///
/// # Errors
/// Both points are one, or a coordinate is not finite.
pub fn angle_from_vertical(one: [Length; 3], other: [Length; 3]) -> Result<Angle, OutOfRange> {
    let along = piece(one, other)?;
    Ok(Angle::new::<radian>(along.x.hypot(along.y).atan2(along.z.abs())))
}

/// How far a line falls from `from` to `to`, as an angle to the horizontal: positive downwards, as of a shoulder strap
/// from shoulder to mount.
///
/// # Errors
/// Both points are one, or a coordinate is not finite.
pub fn angle_below_horizontal(from: [Length; 3], to: [Length; 3]) -> Result<Angle, OutOfRange> {
    let along = piece(from, to)?;
    Ok(Angle::new::<radian>((-along.z).atan2(along.x.hypot(along.y))))
}

/// The angle between two tubes, from 0 to 90 deg.
///
/// # Errors
/// The two points of a tube are one, or a coordinate is not finite.
pub fn angle_between_tubes(
    first_from: [Length; 3],
    first_to: [Length; 3],
    second_from: [Length; 3],
    second_to: [Length; 3],
) -> Result<Angle, OutOfRange> {
    let (one, other) = (piece(first_from, first_to)?, piece(second_from, second_to)?);
    Ok(Angle::new::<radian>(one.cross(&other).norm().atan2(one.dot(&other).abs())))
}

/// The room between a point and a tube's surface: the least distance from the point to the piece of middle line, less
/// half of the outside diameter; negative inside the tube. The room of a helmet is that of its middle less its radius,
/// or of its nearest point.
///
/// # Errors
/// The outside diameter is negative, or a coordinate is not finite.
pub fn room_beside_tube(
    point: [Length; 3],
    one_end: [Length; 3],
    other_end: [Length; 3],
    outside: Length,
) -> Result<Length, OutOfRange> {
    let (start, along) = (vector(one_end)?, vector(other_end)? - vector(one_end)?);
    let to_point = vector(point)? - start;
    let length = along.norm_squared();
    let share = if length > 0.0 { (to_point.dot(&along) / length).clamp(0.0, 1.0) } else { 0.0 };
    let apart = (to_point - along * share).norm();
    Ok(Length::new::<meter>(apart) - not_negative("outside diameter", outside)? / 2.0)
}

/// The room between the surfaces of two straight tubes: the least distance of their pieces of middle line less half of
/// both outside diameters; negative where they cut into each other.
///
/// # Errors
/// A diameter is negative, or a coordinate is not finite.
pub fn room_between_tubes(
    first_from: [Length; 3],
    first_to: [Length; 3],
    first_outside: Length,
    second_from: [Length; 3],
    second_to: [Length; 3],
    second_outside: Length,
) -> Result<Length, OutOfRange> {
    let (a, b, c, d) = (first_from, first_to, second_from, second_to);
    let none = Length::default();
    // The least distance is between two inner points of the pieces, or at one of the four ends.
    let mut least = room_beside_tube(a, c, d, none)?
        .min(room_beside_tube(b, c, d, none)?)
        .min(room_beside_tube(c, a, b, none)?)
        .min(room_beside_tube(d, a, b, none)?);
    let (start, along) = (vector(a)?, vector(b)? - vector(a)?);
    let (other_start, other_along) = (vector(c)?, vector(d)? - vector(c)?);
    let across = along.cross(&other_along);
    let square = across.norm_squared();
    if square > 0.0 {
        let between = other_start - start;
        let share = between.cross(&other_along).dot(&across) / square;
        let other_share = between.cross(&along).dot(&across) / square;
        if (0.0..=1.0).contains(&share) && (0.0..=1.0).contains(&other_share) {
            least = least.min(Length::new::<meter>(between.dot(&across).abs() / square.sqrt()));
        }
    }
    let outsides = not_negative("outside diameter", first_outside)? + not_negative("outside diameter", second_outside)?;
    Ok(least - outsides / 2.0)
}

fn vector(point: [Length; 3]) -> Result<Vector3<f64>, OutOfRange> {
    let [x, y, z] = point.map(|l| l.get::<meter>());
    if x.is_finite() && y.is_finite() && z.is_finite() {
        Ok(Vector3::new(x, y, z))
    } else {
        Err(OutOfRange::new("coordinate of a point", format_args!("[{x}, {y}, {z}] m"), "finite numbers"))
    }
}

fn piece(one: [Length; 3], other: [Length; 3]) -> Result<Vector3<f64>, OutOfRange> {
    let along = vector(other)? - vector(one)?;
    if along.norm() > 0.0 {
        Ok(along)
    } else {
        let at = one.map(|l| format!("{:.0} mm", l.get::<millimeter>())).join(", ");
        Err(OutOfRange::new("length of a tube", format_args!("zero at [{at}]"), "the values above zero"))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angle::degree;

    use super::*;

    fn at(x: f64, y: f64, z: f64) -> [Length; 3] {
        [x, y, z].map(Length::new::<millimeter>)
    }

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_backstay_and_a_strap_by_hand() {
        // 600 mm back over 1000 mm down is atan 0.6; 50 mm down over 500 mm back is atan 0.1.
        let stay = angle_from_vertical(at(0.0, 400.0, 1200.0), at(-600.0, 400.0, 200.0)).expect("a tube");
        assert!((stay.get::<degree>() - 30.9638).abs() < 1e-4);
        let strap = angle_below_horizontal(at(-1400.0, 100.0, 950.0), at(-1900.0, 100.0, 900.0)).expect("a line");
        assert!((strap.get::<degree>() - 5.7106).abs() < 1e-4);
        let up = angle_below_horizontal(at(-1900.0, 100.0, 900.0), at(-1400.0, 100.0, 950.0)).expect("a line");
        assert!((up + strap).value.abs() < 1e-12);
    }

    #[test]
    fn crossing_tubes_touch_when_their_middle_lines_are_a_diameter_apart() {
        let room = |x: f64, z: f64, outside: f64| {
            let (from, to) = (at(0.0, 0.0, 0.0), at(1000.0, 0.0, 0.0));
            let (left, right) = (at(x, 400.0, z), at(x, -400.0, z));
            room_between_tubes(from, to, mm(outside), left, right, mm(outside)).expect("in range")
        };
        assert!(room(500.0, 45.0, 45.0).value.abs() < 1e-12);
        // Beside the end the distance is to the end.
        assert!((room(1030.0, 40.0, 0.0).get::<millimeter>() - 50.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_tube_is_refused() {
        assert!(angle_from_vertical(at(1.0, 2.0, 3.0), at(1.0, 2.0, 3.0)).is_err());
        assert!(room_beside_tube(at(f64::NAN, 0.0, 0.0), at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), mm(40.0)).is_err());
        assert!(room_beside_tube(at(0.0, 0.0, 0.0), at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), mm(-40.0)).is_err());
    }

    fn place() -> impl Strategy<Value = [Length; 3]> {
        [-2000.0..2000.0f64, -800.0..800.0f64, 0.0..1500.0f64].prop_map(|[x, y, z]| at(x, y, z))
    }

    fn step([a, b]: [[Length; 3]; 2], share: f64) -> [Length; 3] {
        std::array::from_fn(|i| a[i] + (b[i] - a[i]) * share)
    }

    proptest! {
        #[test]
        fn the_room_is_the_least_over_all_points(a in place(), b in place(), c in place(), d in place()) {
            let room = room_between_tubes(a, b, mm(0.0), c, d, mm(0.0)).expect("in range").value;
            let other_way = room_between_tubes(d, c, mm(0.0), b, a, mm(0.0)).expect("in range").value;
            prop_assert!((room - other_way).abs() < 1e-9);
            let mut least = f64::INFINITY;
            for i in 0..=200 {
                let point = step([a, b], f64::from(i) / 200.0);
                least = least.min(room_beside_tube(point, c, d, mm(0.0)).expect("in range").value);
            }
            // Sampling cannot find less, and misses at most half a step.
            prop_assert!(room <= least + 1e-9 && least - room < 4.6 / 400.0);
        }

        #[test]
        fn angles_stay_in_their_quarter(a in place(), b in place(), c in place()) {
            let angle = angle_from_vertical(a, b).expect("a tube");
            prop_assert!((0.0..=90.0).contains(&angle.get::<degree>()));
            let between = angle_between_tubes(a, b, c, b).expect("tubes");
            prop_assert!((0.0..=90.0 + 1e-9).contains(&between.get::<degree>()));
            let up = [a[0], a[1], a[2] + mm(100.0)];
            let vertical = angle_between_tubes(a, b, a, up).expect("tubes");
            prop_assert!((vertical - angle).value.abs() < 1e-6);
        }
    }
}
