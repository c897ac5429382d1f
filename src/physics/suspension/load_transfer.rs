//! Lateral load transfer and its split between the axles.

use uom::si::angle::{degree, radian};
use uom::si::f64::{Acceleration, Angle, Force, Length, Mass, Ratio};
use uom::si::ratio::ratio;

use crate::physics::range::{OutOfRange, positive, within};
use crate::physics::rates::RotationalStiffness;

/// One axle in a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CorneringAxle {
    /// Track.
    pub track: Length,
    /// Height of the roll centre.
    pub roll_centre_height: Length,
    /// Roll stiffness of springs and bar.
    pub roll_stiffness: RotationalStiffness,
}

/// A car in a steady corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoadTransfer {
    /// Roll of the body.
    pub roll_angle: Angle,
    /// Load that leaves the front inner wheel for the outer.
    pub front: Force,
    /// Load that leaves the rear inner wheel for the outer.
    pub rear: Force,
    /// Share of the front axle in the whole transfer.
    pub front_share: Ratio,
}

/// Lateral load transfer with a rolling body: each axle takes its share of the lateral force at its roll centre and of the roll
/// moment by its stiffness, `dW = (F z_rc + K phi) / t`, `phi = m a h / (K_f + K_r - m g h)`.
///
/// h is the height of the centre of gravity above the roll axis below it; all mass is taken as sprung; small angles. With
/// `with_gravity` false the moment of the leaning weight (`m g h`) is left out, as short forms do: 6 to 17 % less roll.
/// Source: Milliken, Race Car Vehicle Dynamics; Gillespie (memory).
///
/// # Errors
/// A mass, track, wheelbase or height is not above zero; the centre of gravity is not between the axles; the stiffness does not
/// hold the body up; the roll is above 20 degrees, where small angles end.
#[allow(clippy::too_many_arguments)]
pub fn lateral_load_transfer(
    mass: Mass,
    lateral_acceleration: Acceleration,
    wheelbase: Length,
    centre_of_gravity_behind_front_axle: Length,
    centre_of_gravity_height: Length,
    front: CorneringAxle,
    rear: CorneringAxle,
    gravity: Acceleration,
    with_gravity: bool,
) -> Result<LoadTransfer, OutOfRange> {
    positive("mass", mass)?;
    let wheelbase = positive("wheelbase", wheelbase)?;
    let height = positive("height of the centre of gravity", centre_of_gravity_height)?;
    let show = |share: Ratio| format!("{:.3} of the wheelbase", share.get::<ratio>());
    let rear_share = within(
        "place of the centre of gravity behind the front axle",
        centre_of_gravity_behind_front_axle / wheelbase,
        Ratio::new::<ratio>(0.0),
        Ratio::new::<ratio>(1.0),
        show,
    )?;
    let front_share = Ratio::new::<ratio>(1.0) - rear_share;
    let roll_axis = front.roll_centre_height * front_share + rear.roll_centre_height * rear_share;
    let lever = height - roll_axis;
    let leaning: RotationalStiffness =
        if with_gravity { mass * gravity * lever } else { RotationalStiffness::default() };
    let stiffness = positive("roll stiffness", front.roll_stiffness + rear.roll_stiffness)? - leaning;
    // Everything is in proportion to the lateral acceleration, so the split exists without one.
    let roll_gain = mass * lever / positive("roll stiffness left by gravity", stiffness)?;
    let roll: Ratio = roll_gain * lateral_acceleration;
    let angle = Angle::new::<radian>(roll.get::<ratio>());
    let limit = Angle::new::<degree>(20.0);
    within("roll", angle, -limit, limit, |a| format!("{:.1} deg", a.get::<degree>()))?;
    let on = |axle: CorneringAxle, share: Ratio| -> Result<Mass, OutOfRange> {
        let elastic: Mass = axle.roll_stiffness * roll_gain / positive("track", axle.track)?;
        Ok(mass * share * (axle.roll_centre_height / axle.track) + elastic)
    };
    let (front_gain, rear_gain) = (on(front, front_share)?, on(rear, rear_share)?);
    Ok(LoadTransfer {
        roll_angle: angle,
        front: front_gain * lateral_acceleration,
        rear: rear_gain * lateral_acceleration,
        front_share: front_gain / positive("load transfer", front_gain + rear_gain)?,
    })
}
