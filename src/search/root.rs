//! Where a function of one number is zero, by the library `roots`.

use roots::{Convergency, find_root_brent};

/// When a root is known well enough: to the last digits of a double, or to so small a share of the bracket.
struct LastDigits {
    bracket: f64,
}

impl Convergency<f64> for LastDigits {
    fn is_root_found(&mut self, value: f64) -> bool {
        value == 0.0
    }

    fn is_converged(&mut self, one: f64, other: f64) -> bool {
        (one - other).abs() <= f64::EPSILON * (4.0 * one.abs().max(other.abs()) + self.bracket)
    }

    fn is_iteration_limit_reached(&mut self, iteration: usize) -> bool {
        // Brent's method halves the bracket at least every few steps, so that a double has long been used up.
        iteration > 2_000
    }
}

/// The root of a continuous function between two places at which it has different signs; none where it has not.
///
/// # Errors
/// That of the function, at the first place at which it has one.
pub fn root_between<E>(low: f64, high: f64, mut function: impl FnMut(f64) -> Result<f64, E>) -> Result<Option<f64>, E> {
    let mut error = None;
    // A root ends the search.
    let mut value = |x: f64| match error {
        Some(_) => 0.0,
        None => function(x).unwrap_or_else(|why| {
            error = Some(why);
            0.0
        }),
    };
    let found = find_root_brent(low, high, &mut value, &mut LastDigits { bracket: (high - low).abs() });
    error.map_or(Ok(found.ok()), Err)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn root(low: f64, high: f64, function: impl Fn(f64) -> f64) -> Option<f64> {
        root_between(low, high, |x| Ok::<f64, ()>(function(x))).expect("no error")
    }

    #[test]
    fn roots_are_found_to_the_last_digits() {
        // The constant of Dottie, the root of cos x = x: https://oeis.org/A003957.
        let dottie = root(0.0, 1.0, |x| x.cos() - x).expect("a root");
        assert!((dottie - 0.739_085_133_215_160_6).abs() < 1e-15, "{dottie}");
        let step = root(0.0, 1.0, |x| if x < 0.3 { -1.0 } else { 1.0 }).expect("a root");
        assert!((step - 0.3).abs() < 1e-15, "{step}");
        let tiny = root(0.0, 1.0, |x| x - 1e-30).expect("a root");
        assert!(tiny.abs() < 1e-15, "{tiny}");
    }

    #[test]
    fn without_a_change_of_sign_there_is_none() {
        assert_eq!(root(0.0, 1.0, |x| x + 1.0), None);
        assert_eq!(root(0.0, 1.0, |_| f64::NAN), None);
    }

    #[test]
    fn the_first_error_ends_the_search() {
        let mut asked = 0;
        let found = root_between(0.0, 1.0, |x| {
            asked += 1;
            if (0.0..1.0).contains(&x) && x > 0.0 { Err(x) } else { Ok(x - 0.25) }
        });
        assert_eq!((found, asked), (Err(0.25), 3));
    }

    proptest::proptest! {
        #[test]
        fn the_root_of_a_rising_cubic_is_found(at in -50.0..50.0f64, steep in 0.001..1e3f64) {
            let found = root(-100.0, 100.0, |x| steep * ((x - at).powi(3) + (x - at)));
            proptest::prop_assert!(found.is_some_and(|x| (x - at).abs() < 1e-12), "{found:?}");
        }
    }
}
