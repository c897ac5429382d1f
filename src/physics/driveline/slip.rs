//! The slip joint: how much spline is left in engagement, and how much plunge, as the line grows and shrinks.
//!
//! In come what was measured at ride height and the distance between the joints there and elsewhere; out come the lengths
//! at the other place. A negative result is no error: it is how far the shaft has come apart or bottomed.

use uom::si::f64::Length;

use crate::physics::range::{OutOfRange, not_negative, positive};

/// Length of spline still engaged when the distance between the joints is `length`, of `engaged` at `at_length`.
///
/// `e = e_0 - (L - L_0)`; below zero the shaft has come apart by that much.
///
/// # Errors
/// A negative engagement at the start, a length that is not above zero.
///
/// Source: geometry.
pub fn slip_engagement(engaged: Length, at_length: Length, length: Length) -> Result<Length, OutOfRange> {
    let engaged = not_negative("engaged length of spline", engaged)?;
    Ok(engaged - (positive("distance between joints", length)? - positive("distance between joints", at_length)?))
}

/// Plunge still free when the distance between the joints is `length`, of `plunge` at `at_length`.
///
/// `p = p_0 + (L - L_0)`; below zero the slip joint has bottomed by that much.
///
/// # Errors
/// A negative plunge at the start, a length that is not above zero.
///
/// Source: geometry.
pub fn slip_plunge(plunge: Length, at_length: Length, length: Length) -> Result<Length, OutOfRange> {
    let plunge = not_negative("free plunge", plunge)?;
    Ok(plunge + (positive("distance between joints", length)? - positive("distance between joints", at_length)?))
}
