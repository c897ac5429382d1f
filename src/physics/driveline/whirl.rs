//! Whirling: the speed at which a tube between two joints bows out like a skipping rope.
//!
//! In come a tube's section, length and material, out comes the speed of its first bending mode. Joints count as pins: the
//! tube bends as a slender beam (Euler and Bernoulli). Soft mounts and loose joints lower the real speed, and shear does on
//! short tubes (about 2 % at a length of 15 diameters, 4 % at 10), so a rule has to keep a margin below it.

use uom::si::angular_velocity::{radian_per_second, revolution_per_minute};
use uom::si::f64::{AngularVelocity, Length, Mass, MassDensity, Pressure};
use uom::si::length::{inch, meter, millimeter};

use super::shaft::checked_tube;
use crate::physics::range::{OutOfRange, not_negative, positive, within};
use crate::search::root_between;

/// Shortest beam, in diameters: below it the slender beam says nothing useful.
const SHORTEST_IN_DIAMETERS: f64 = 3.0;

fn checked_length(length: Length, outside: Length) -> Result<Length, OutOfRange> {
    let show = |l: Length| format!("{:.1} mm", l.get::<millimeter>());
    within("length of a whirling tube", length, outside * SHORTEST_IN_DIAMETERS, Length::new::<meter>(20.0), show)
}

struct Beam {
    /// Bending stiffness E I.
    stiffness: f64,
    /// Mass for each length.
    mass_per_length: f64,
    length: f64,
}

impl Beam {
    fn of_tube(
        outside: Length,
        inside: Length,
        length: Length,
        modulus: Pressure,
        density: MassDensity,
    ) -> Result<Beam, OutOfRange> {
        let (outside, inside) = checked_tube(outside, inside)?;
        let length = checked_length(length, outside)?;
        let modulus = positive("Young's modulus", modulus)?;
        let density = positive("density", density)?;
        let (d, h) = (outside.value, inside.value);
        let area = std::f64::consts::PI / 4.0 * (d * d - h * h);
        let moment = area * (d * d + h * h) / 16.0;
        Ok(Beam { stiffness: modulus.value * moment, mass_per_length: density.value * area, length: length.value })
    }

    /// First natural speed, with `half` = k L / 2 of the mode (a quarter turn for the bare tube).
    fn speed(&self, half: f64) -> f64 {
        (2.0 * half / self.length).powi(2) * (self.stiffness / self.mass_per_length).sqrt()
    }
}

/// The first critical speed of a tube (inside diameter zero: a bar) between two joints.
///
/// `w = (pi / L)^2 sqrt(E I / (rho A))`, that is `n = (30 pi / 4) sqrt(E / rho) sqrt(D^2 + d^2) / L^2` in revolutions per minute.
///
/// # Errors
/// A bore that is not smaller than the outside diameter; a length below 3 diameters or above 20 m; a modulus or density that is
/// not above zero.
///
/// Source: beam theory, pinned ends; SAE AE-7 (memory).
pub fn critical_speed(
    outside: Length,
    inside: Length,
    length: Length,
    modulus: Pressure,
    density: MassDensity,
) -> Result<AngularVelocity, OutOfRange> {
    let beam = Beam::of_tube(outside, inside, length, modulus, density)?;
    Ok(AngularVelocity::new::<radian_per_second>(beam.speed(std::f64::consts::FRAC_PI_2)))
}

/// The first critical speed of a tube with a mass at the middle of its length, exactly for the slender beam.
///
/// `mu u (tan u - tanh u) = 2` with `mu` the added mass over that of the tube and `u = k L / 2` between 0 and a quarter turn,
/// then `w = (2 u / L)^2 sqrt(E I / (rho A))`.
///
/// # Errors
/// As [`critical_speed`]; a negative mass.
///
/// Source: beam theory, pinned ends, point mass at the middle.
pub fn critical_speed_with_mass(
    outside: Length,
    inside: Length,
    length: Length,
    modulus: Pressure,
    density: MassDensity,
    mass: Mass,
) -> Result<AngularVelocity, OutOfRange> {
    let beam = Beam::of_tube(outside, inside, length, modulus, density)?;
    let share = not_negative("added mass", mass)?.value / (beam.mass_per_length * beam.length);
    let excess = |x: f64| Ok::<f64, OutOfRange>(share * x * (x.tan() - x.tanh()) - 2.0);
    // A mass too small to count leaves the tube's own half wave.
    let half_wave = std::f64::consts::FRAC_PI_2;
    let root = root_between(0.0, half_wave, excess)?.unwrap_or(half_wave);
    Ok(AngularVelocity::new::<radian_per_second>(beam.speed(root)))
}

/// A lower bound of the first critical speed of a tube which carries a mass anywhere along its length.
///
/// Dunkerley: `1 / w^2 = 1 / w_tube^2 + m a^2 b^2 / (3 E I L)`, with `a` and `b = L - a` the distances to the two joints.
///
/// # Errors
/// As [`critical_speed`]; a negative mass; a place outside the length.
///
/// Source: Dunkerley's rule, in every text on vibration.
pub fn critical_speed_dunkerley(
    outside: Length,
    inside: Length,
    length: Length,
    modulus: Pressure,
    density: MassDensity,
    mass: Mass,
    place: Length,
) -> Result<AngularVelocity, OutOfRange> {
    let beam = Beam::of_tube(outside, inside, length, modulus, density)?;
    let mass = not_negative("added mass", mass)?;
    let show = |l: Length| format!("{:.1} mm", l.get::<millimeter>());
    let a = within("distance of the mass from the first joint", place, Length::new::<meter>(0.0), length, show)?.value;
    let b = beam.length - a;
    let give = a * a * b * b / (3.0 * beam.stiffness * beam.length);
    let bare = beam.speed(std::f64::consts::FRAC_PI_2);
    Ok(AngularVelocity::new::<radian_per_second>((bare.powi(-2) + mass.value * give).powf(-0.5)))
}

/// The length between joints at which a tube reaches a wanted critical speed.
///
/// [`critical_speed`] solved for the length: it goes with one over its square.
///
/// # Errors
/// As [`critical_speed`], for the length found too; a speed that is not above zero.
///
/// Source: as [`critical_speed`].
pub fn length_for_critical_speed(
    outside: Length,
    inside: Length,
    modulus: Pressure,
    density: MassDensity,
    wanted: AngularVelocity,
) -> Result<Length, OutOfRange> {
    let wanted = positive("wanted critical speed", wanted)?;
    let (outside, inside) = checked_tube(outside, inside)?;
    let trial = outside * 10.0;
    let reached = critical_speed(outside, inside, trial, modulus, density)?;
    checked_length(trial * (reached.value / wanted.value).sqrt(), outside)
}

/// What two trade charts give for a steel tube: for a check of a chart, not for judging.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteelTubeCharts {
    /// `n = 1.22e8 sqrt(D^2 + d^2) / L^2`, millimetres: about 1.1 % high.
    pub metric: AngularVelocity,
    /// `n = 4.705e6 sqrt(D^2 + d^2) / L^2`, inches: about 1.0 % low.
    pub inch: AngularVelocity,
}

/// The critical speed of a steel tube by the two short forms of the trade.
///
/// # Errors
/// As [`critical_speed`].
///
/// Source: constants of SAE AE-7 and joint makers' handbooks (memory).
pub fn steel_tube_charts(outside: Length, inside: Length, length: Length) -> Result<SteelTubeCharts, OutOfRange> {
    let (outside, inside) = checked_tube(outside, inside)?;
    let length = checked_length(length, outside)?;
    let in_mm = outside.get::<millimeter>().hypot(inside.get::<millimeter>()) / length.get::<millimeter>().powi(2);
    let in_inches = outside.get::<inch>().hypot(inside.get::<inch>()) / length.get::<inch>().powi(2);
    Ok(SteelTubeCharts {
        metric: AngularVelocity::new::<revolution_per_minute>(1.22e8 * in_mm),
        inch: AngularVelocity::new::<revolution_per_minute>(4.705e6 * in_inches),
    })
}
