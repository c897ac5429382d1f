//! The acceleration which the tyres allow, by which axle is driven.
//!
//! In come wheelbase, place of the centre of gravity, friction and the fall of gravity; out comes the limit on the level, with
//! the load that moves rearward counted, and without air drag.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::f64::{Acceleration, Length, Ratio};
use uom::si::length::{meter, millimeter};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Greatest acceleration on the level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TractionLimits {
    /// With the front axle driven.
    pub front_drive: Acceleration,
    /// With the rear axle driven.
    pub rear_drive: Acceleration,
    /// With all wheels driven, each with the torque that it can take.
    pub all_drive: Acceleration,
}

/// The greatest acceleration which friction allows, for each way of driving.
///
/// With `b` the distance of the centre of gravity ahead of the rear axle: front `mu g b / (L + mu h)`, rear
/// `mu g (L - b) / (L - mu h)`, all `mu g`; none of them above `g b / h`, where the front wheels leave the ground.
///
/// # Errors
/// A wheelbase or gravity that is not above zero; a negative height or friction; a centre of gravity outside the wheelbase.
///
/// Source: equilibrium of the car, as in any text on vehicle dynamics.
pub fn traction_limits(
    wheelbase: Length,
    ahead_of_rear_axle: Length,
    height: Length,
    friction: Ratio,
    gravity: Acceleration,
) -> Result<TractionLimits, OutOfRange> {
    let l = positive("wheelbase", wheelbase)?.value;
    let show = |length: Length| format!("{:.0} mm", length.get::<millimeter>());
    let b = within(
        "distance of the centre of gravity ahead of the rear axle",
        ahead_of_rear_axle,
        Length::new::<meter>(0.0),
        wheelbase,
        show,
    )?
    .value;
    let h = not_negative("height of the centre of gravity", height)?.value;
    let mu = not_negative("friction of the tyres", friction)?.value;
    let g = positive("gravity", gravity)?.value;
    let lift = if h > 0.0 { g * b / h } else { f64::INFINITY };
    let rear = if l > mu * h { mu * g * (l - b) / (l - mu * h) } else { f64::INFINITY };
    let limited = |value: f64| Acceleration::new::<meter_per_second_squared>(value.min(lift));
    Ok(TractionLimits {
        front_drive: limited(mu * g * b / (l + mu * h)),
        rear_drive: limited(rear),
        all_drive: limited(mu * g),
    })
}
