//! Torsion of a tube or bar: stress, twist, and the torque that it takes.
//!
//! In come outside and inside diameter and the torque or the stress that is allowed; out come the others. Round sections
//! only, elastic, away from welds and splines, where a joint's own rating counts.

use uom::si::angle::radian;
use uom::si::f64::{Angle, Length, Pressure, Torque};
use uom::si::length::{meter, millimeter};
use uom::si::pressure::pascal;
use uom::si::torque::newton_meter;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Second polar moment of area has the exponents of a fourth power of length, for which `uom` has no name of its own.
pub type PolarMoment = uom::si::Quantity<
    uom::si::ISQ<
        uom::typenum::P4,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
    >,
    uom::si::SI<f64>,
    f64,
>;

/// Outside and inside diameter of a tube that can exist.
pub(super) fn checked_tube(outside: Length, inside: Length) -> Result<(Length, Length), OutOfRange> {
    let show = |l: Length| format!("{:.2} mm", l.get::<millimeter>());
    let outside = positive("outside diameter of a tube", outside)?;
    let thinnest = outside * (1.0 - 1e-6);
    let inside = within("inside diameter of a tube", inside, Length::new::<meter>(0.0), thinnest, show)?;
    Ok((outside, inside))
}

/// The second polar moment of area of a tube (inside diameter zero: a bar), `J = pi (D^4 - d^4) / 32`.
///
/// # Errors
/// A bore that is negative or not smaller than the outside diameter.
///
/// Source: strength of materials.
pub fn polar_moment(outside: Length, inside: Length) -> Result<PolarMoment, OutOfRange> {
    let (outside, inside) = checked_tube(outside, inside)?;
    let (outer, inner) = (outside * outside, inside * inside);
    Ok((outer * outer - inner * inner) * (std::f64::consts::PI / 32.0))
}

/// The shear stress at the outside of a tube under torque, `tau = T D / (2 J) = 16 T D / (pi (D^4 - d^4))`.
///
/// # Errors
/// A bore that is negative or not smaller than the outside diameter; a negative torque.
///
/// Source: strength of materials; Gere, Mechanics of Materials, chapter 3.
pub fn shear_stress(torque: Torque, outside: Length, inside: Length) -> Result<Pressure, OutOfRange> {
    let torque = not_negative("torque", torque)?;
    let moment = polar_moment(outside, inside)?;
    Ok(Pressure::new::<pascal>(torque.value * outside.value / 2.0 / moment.value))
}

/// The torque at which the outside of a tube reaches a shear stress, `T = 2 tau J / D`.
///
/// # Errors
/// A bore that is negative or not smaller than the outside diameter; a negative stress.
///
/// Source: as [`shear_stress`].
pub fn torque_capacity(outside: Length, inside: Length, allowed_shear: Pressure) -> Result<Torque, OutOfRange> {
    let allowed = not_negative("allowed shear stress", allowed_shear)?;
    let moment = polar_moment(outside, inside)?;
    Ok(Torque::new::<newton_meter>(allowed.value * moment.value * 2.0 / outside.value))
}

/// The shear stress at which a ductile metal of a given yield strength yields, `tau = Re / sqrt 3`.
///
/// # Errors
/// A yield strength that is not above zero.
///
/// Source: von Mises' criterion.
pub fn shear_yield(yield_strength: Pressure) -> Result<Pressure, OutOfRange> {
    Ok(positive("yield strength", yield_strength)? / 3.0_f64.sqrt())
}

/// The angle by which a tube twists under torque, `theta = T L / (G J)`.
///
/// # Errors
/// A bore that is negative or not smaller than the outside diameter; a negative torque or length; a shear modulus that is not
/// above zero.
///
/// Source: strength of materials.
pub fn tube_twist(
    torque: Torque,
    outside: Length,
    inside: Length,
    length: Length,
    shear_modulus: Pressure,
) -> Result<Angle, OutOfRange> {
    let torque = not_negative("torque", torque)?;
    let length = not_negative("length of a tube", length)?;
    let modulus = positive("shear modulus", shear_modulus)?;
    let moment = polar_moment(outside, inside)?;
    Ok(Angle::new::<radian>(torque.value * length.value / (modulus.value * moment.value)))
}
