//! How a load is shared among the bolts of a plate: cage feet, seat brackets, harness points, gearbox flanges.

use uom::si::f64::{Force, Length, Torque};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, not_negative};

/// Shear in each of several equal bolts under a force in their plane, elastically: an even share of the force, and the
/// share of its moment about the bolts' centre that goes with the distance from there, M r_i / Σ r².
///
/// `x` and `y` are the places of the bolts in the plane of the plate, `force_x` and `force_y` the force, `at_x` and
/// `at_y` a point of its line.
///
/// # Errors
/// There is no bolt, the lists are of unequal length, a number is not finite, or one place holds all bolts while the
/// force has a moment about it.
pub fn bolt_group_shear(
    x: &[Length],
    y: &[Length],
    force_x: Force,
    force_y: Force,
    at_x: Length,
    at_y: Length,
) -> Result<Vec<Force>, OutOfRange> {
    if x.is_empty() || x.len() != y.len() {
        let given = format_args!("{} and {} coordinates", x.len(), y.len());
        return Err(OutOfRange::new("number of bolts", given, "as many of both, and one or more"));
    }
    let count = x.len() as f64;
    let middle = |places: &[Length]| places.iter().map(|l| l.get::<meter>()).sum::<f64>() / count;
    let (middle_x, middle_y) = (middle(x), middle(y));
    let from_centre = |x: Length, y: Length| (x.get::<meter>() - middle_x, y.get::<meter>() - middle_y);
    let places: Vec<(f64, f64)> = x.iter().zip(y).map(|(x, y)| from_centre(*x, *y)).collect();
    let spread: f64 = places.iter().map(|(x, y)| x * x + y * y).sum();
    let (fx, fy) = (force_x.get::<newton>(), force_y.get::<newton>());
    let (ax, ay) = from_centre(at_x, at_y);
    let moment = ax * fy - ay * fx;
    if !(moment.is_finite() && spread.is_finite()) {
        return Err(OutOfRange::new("places and forces", "not finite", "finite numbers"));
    }
    // A moment that is only the rounding of the centre asks nothing of the bolts.
    let size = ax.hypot(ay) * fx.hypot(fy);
    if spread == 0.0 && moment.abs() > 1e-9 * size {
        return Err(OutOfRange::new("spread of the bolts", "none", "a spread that takes the moment of the force"));
    }
    let turn = if spread > 0.0 { moment / spread } else { 0.0 };
    let shear = |(x, y): &(f64, f64)| Force::new::<newton>((fx / count - turn * y).hypot(fy / count + turn * x));
    Ok(places.iter().map(shear).collect())
}

/// Tension in each of several equal bolts that hold a stiff plate against a pull and a moment that would tip it over
/// an edge: F / n + M y_i / Σ y², with the bolts' distances y from that edge. A bolt on the edge takes its share of
/// the pull only.
///
/// # Errors
/// There is no bolt, a distance, the pull or the moment is negative, or all bolts stand on the edge while there is a
/// moment.
pub fn bolt_group_tension(from_edge: &[Length], pull: Force, moment: Torque) -> Result<Vec<Force>, OutOfRange> {
    if from_edge.is_empty() {
        return Err(OutOfRange::new("number of bolts", 0, "one or more"));
    }
    let even = not_negative("pull on the plate", pull)? / from_edge.len() as f64;
    let moment = not_negative("moment on the plate", moment)?.get::<newton_meter>();
    let mut spread = 0.0;
    for distance in from_edge {
        spread += not_negative("distance of a bolt from the edge", *distance)?.get::<meter>().powi(2);
    }
    if spread == 0.0 && moment > 0.0 {
        return Err(OutOfRange::new("distance of the bolts from the edge", "none", "a distance that takes the moment"));
    }
    let turn = if spread > 0.0 { moment / spread } else { 0.0 };
    Ok(from_edge.iter().map(|distance| even + Force::new::<newton>(turn * distance.get::<meter>())).collect())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::millimeter;

    use super::*;

    fn shears(places: &[(f64, f64)], force: (f64, f64), at: (f64, f64)) -> Result<Vec<Force>, OutOfRange> {
        let (x, y): (Vec<_>, Vec<_>) = places.iter().map(|(x, y)| (mm(*x), mm(*y))).unzip();
        let newtons = Force::new::<newton>;
        bolt_group_shear(&x, &y, newtons(force.0), newtons(force.1), mm(at.0), mm(at.1))
    }

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn a_bracket_by_hand() {
        // Four bolts on a square of 100 mm, 4 kN down at 250 mm: 1 kN each and 1000 N m / (4 x 0.07071²) x 0.07071 =
        // 3535.5 N across the diagonal.
        let square = [(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)];
        let shear = shears(&square, (0.0, -4000.0), (250.0, 0.0)).expect("in range");
        let near = (2500.0f64).hypot(3500.0);
        let far = (2500.0f64).hypot(1500.0);
        for (got, wanted) in shear.iter().zip([far, near, near, far]) {
            assert!((got.value - wanted).abs() < 1e-6, "{} {wanted}", got.value);
        }
    }

    #[test]
    fn what_bolts_cannot_hold_is_refused() {
        assert!(shears(&[], (1.0, 0.0), (0.0, 0.0)).is_err());
        assert!(shears(&[(0.0, 0.0)], (0.0, 100.0), (50.0, 0.0)).is_err());
        assert!(shears(&[(0.0, 0.0)], (0.0, 100.0), (0.0, 0.0)).is_ok());
        assert!(shears(&[(f64::NAN, 0.0)], (0.0, 100.0), (0.0, 0.0)).is_err());
        assert!(bolt_group_shear(&[mm(1.0)], &[], Force::default(), Force::default(), mm(0.0), mm(0.0)).is_err());
        let moment = Torque::new::<newton_meter>(10.0);
        assert!(bolt_group_tension(&[Length::default()], Force::default(), moment).is_err());
        assert!(bolt_group_tension(&[], Force::default(), moment).is_err());
    }

    proptest! {
        #[test]
        fn a_force_through_the_centre_is_shared_evenly(n in 1..12usize, fx in -1e4..1e4f64, fy in -1e4..1e4f64) {
            let places: Vec<_> = (0..n).map(|i| {
                let angle = std::f64::consts::TAU * i as f64 / n as f64;
                (80.0 * angle.cos() + 200.0, 80.0 * angle.sin())
            }).collect();
            let sum = places.iter().fold((0.0, 0.0), |sum, place| (sum.0 + place.0, sum.1 + place.1));
            let centre = (sum.0 / n as f64, sum.1 / n as f64);
            for shear in shears(&places, (fx, fy), centre).expect("in range") {
                prop_assert!((shear.value - fx.hypot(fy) / n as f64).abs() < 1e-6 * fx.hypot(fy).max(1.0));
            }
        }

        #[test]
        fn tensions_balance_pull_and_moment(
            y in prop::collection::vec(1.0..400.0f64, 1..9), f in 0.0..2e4f64, m in 0.0..3e3f64,
        ) {
            let distances: Vec<_> = y.iter().map(|v| Length::new::<millimeter>(*v)).collect();
            let moment = Torque::new::<newton_meter>(m);
            let tensions = bolt_group_tension(&distances, Force::default(), moment).expect("in range");
            let held: f64 = tensions.iter().zip(&distances).map(|(t, l)| t.value * l.value).sum();
            prop_assert!((held - m).abs() < 1e-9 * m.max(1.0));
            let pulled = bolt_group_tension(&distances, Force::new::<newton>(f), Torque::default()).expect("in range");
            prop_assert!((pulled.iter().map(|t| t.value).sum::<f64>() - f).abs() < 1e-9 * f.max(1.0));
        }
    }
}
