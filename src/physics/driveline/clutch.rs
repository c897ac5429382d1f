//! The torque that a plate clutch holds.
//!
//! In come clamp load, friction, radii of the lining and number of rubbing faces; out comes the capacity, new and worn in.

use uom::si::f64::{Force, Length, Ratio, Torque};
use uom::si::length::millimeter;
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// The torque which a clutch holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClutchCapacity {
    /// With new linings, which press evenly.
    pub new: Torque,
    /// Worn in, when the pressure goes with one over the radius: the lower one, and the one to rely on.
    pub worn: Torque,
}

/// The torque which a plate clutch holds before it slips.
///
/// New (even pressure): `T = n mu F (2/3) (Ro^3 - Ri^3) / (Ro^2 - Ri^2)`; worn in (even wear): `T = n mu F (Ro + Ri) / 2`.
/// A single plate has two faces.
///
/// # Errors
/// A negative load; friction outside 0 to 1.5; an inner radius that is negative or not smaller than the outer one; fewer than
/// one face or more than 40.
///
/// Source: Khurmi and Gupta, Theory of Machines, chapter 10.
pub fn clutch_capacity(
    clamp_load: Force,
    friction: Ratio,
    outer_radius: Length,
    inner_radius: Length,
    faces: Ratio,
) -> Result<ClutchCapacity, OutOfRange> {
    let number = |value: Ratio| format!("{:.3}", value.value);
    let load = not_negative("clamp load", clamp_load)?.value;
    let zero = Ratio::new::<ratio>(0.0);
    let friction = within("friction of the clutch", friction, zero, Ratio::new::<ratio>(1.5), number)?.value;
    let faces = within("number of faces", faces, Ratio::new::<ratio>(1.0), Ratio::new::<ratio>(40.0), number)?.value;
    let outer = positive("outer radius of the lining", outer_radius)?;
    let show = |l: Length| format!("{:.1} mm", l.get::<millimeter>());
    let inner =
        within("inner radius of the lining", inner_radius, Length::new::<millimeter>(0.0), outer * (1.0 - 1e-6), show)?;
    let (ro, ri) = (outer.value, inner.value);
    let pull = faces * friction * load;
    // (Ro^3 - Ri^3) / (Ro^2 - Ri^2) with the common factor taken out: a narrow lining keeps its digits.
    let even_pressure = 2.0 / 3.0 * (ro * ro + ro * ri + ri * ri) / (ro + ri);
    Ok(ClutchCapacity {
        new: Torque::new::<newton_meter>(pull * even_pressure),
        worn: Torque::new::<newton_meter>(pull * (ro + ri) / 2.0),
    })
}
