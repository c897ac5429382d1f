//! The one way in which a computation refuses: a value outside the range for which its formula holds.
//!
//! Formulas come with conditions. A result that leaves them silently would be worse than none, so every function
//! whose formula has a range returns `Result<_, OutOfRange>`, and the caller says which value it was and what is
//! allowed.

use std::fmt;

use uom::si::{Dimension, Quantity, Units};

/// A value outside the range for which a computation is valid. Both the value and the allowed range are text, with
/// units as a person reads them.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{what} is {value}, outside {allowed}")]
pub struct OutOfRange {
    /// The quantity that is out of range, in words.
    pub what: &'static str,
    /// Its value, with unit.
    pub value: String,
    /// The range in which the computation is valid, with unit.
    pub allowed: String,
}

impl OutOfRange {
    /// Refuses `value` of the quantity `what`, for which only `allowed` is valid.
    pub fn new(what: &'static str, value: impl fmt::Display, allowed: impl fmt::Display) -> Self {
        OutOfRange { what, value: value.to_string(), allowed: allowed.to_string() }
    }
}

/// Hands `value` back if it is finite and above zero.
///
/// # Errors
/// `value` is zero, negative, infinite or not a number.
pub fn positive<D, U>(what: &'static str, value: Quantity<D, U, f64>) -> Result<Quantity<D, U, f64>, OutOfRange>
where
    D: Dimension + ?Sized,
    U: Units<f64> + ?Sized,
{
    if value.value.is_finite() && value.value > 0.0 {
        Ok(value)
    } else {
        Err(OutOfRange::new(what, format_args!("{} in SI units", value.value), "the values above zero"))
    }
}

/// Hands `value` back if it is finite and not below zero.
///
/// # Errors
/// `value` is negative, infinite or not a number.
pub fn not_negative<D, U>(what: &'static str, value: Quantity<D, U, f64>) -> Result<Quantity<D, U, f64>, OutOfRange>
where
    D: Dimension + ?Sized,
    U: Units<f64> + ?Sized,
{
    if value.value.is_finite() && value.value >= 0.0 {
        Ok(value)
    } else {
        Err(OutOfRange::new(what, format_args!("{} in SI units", value.value), "the values from zero up"))
    }
}

/// Hands `value` back if it lies between `low` and `high`, both allowed. `show` puts a value into words.
///
/// # Errors
/// `value` lies outside, or is not a number.
pub fn within<D, U>(
    what: &'static str,
    value: Quantity<D, U, f64>,
    low: Quantity<D, U, f64>,
    high: Quantity<D, U, f64>,
    show: impl Fn(Quantity<D, U, f64>) -> String,
) -> Result<Quantity<D, U, f64>, OutOfRange>
where
    D: Dimension + ?Sized,
    U: Units<f64> + ?Sized,
{
    if low.value <= value.value && value.value <= high.value {
        Ok(value)
    } else {
        Err(OutOfRange::new(what, show(value), format_args!("{} to {}", show(low), show(high))))
    }
}

#[cfg(test)]
mod tests {
    use uom::si::f64::{Length, Ratio};
    use uom::si::length::millimeter;
    use uom::si::ratio::ratio;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn says_what_how_much_and_what_is_allowed() {
        let refusal = within("inner diameter", mm(2.0), mm(3.0), mm(50.0), |l| format!("{} mm", l.get::<millimeter>()))
            .expect_err("2 mm is below 3 mm");
        assert_eq!(refusal.to_string(), "inner diameter is 2 mm, outside 3 mm to 50 mm");
    }

    #[test]
    fn both_ends_are_allowed() {
        let show = |l: Length| format!("{} mm", l.get::<millimeter>());
        assert!(within("bore", mm(3.0), mm(3.0), mm(5.0), show).is_ok());
        assert!(within("bore", mm(5.0), mm(3.0), mm(5.0), show).is_ok());
    }

    #[test]
    fn not_a_number_is_never_in_range() {
        let nothing = Ratio::new::<ratio>(f64::NAN);
        assert!(positive("share", nothing).is_err());
        assert!(not_negative("share", nothing).is_err());
        assert!(
            within("share", nothing, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), |_| String::new()).is_err()
        );
    }

    #[test]
    fn zero_is_not_positive_but_not_negative_either() {
        assert!(positive("length", mm(0.0)).is_err());
        assert!(not_negative("length", mm(0.0)).is_ok());
        assert!(not_negative("length", mm(-1.0)).is_err());
    }
}
