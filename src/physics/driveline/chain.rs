//! Several cardan joints in one line: how their unevenness adds up, cancels, and how to clock the yokes.
//!
//! In come the bends of the joints and their phases. The phase of a joint is the angle from the plane in which it bends to
//! the pins of its driving yoke, about the line of shafts, all read in one position of the line; [`phases_of_joints`] makes
//! the phases from planes and yoke offsets. Constant-velocity joints and flexible discs add nothing and are left out.

use uom::si::angle::{degree, radian};
use uom::si::f64::{Angle, Ratio};
use uom::si::ratio::ratio;

use super::cardan::{advance_and_excess, checked_bend};
use super::direction::half_turn;
use crate::physics::range::OutOfRange;
use crate::search::lowest_about;

/// Speed of the last shaft against that of the first, over one turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineExtremes {
    /// The highest ratio of output speed to input speed.
    pub highest_ratio: Ratio,
    /// The lowest ratio of output speed to input speed.
    pub lowest_ratio: Ratio,
    /// The bend of the single joint that would swing as high.
    pub equivalent_angle: Angle,
}

fn paired(bends: &[Angle], phases: &[Angle]) -> Result<Vec<(f64, f64)>, OutOfRange> {
    if bends.len() != phases.len() {
        let allowed = format!("{}, the number of joints", bends.len());
        return Err(OutOfRange::new("number of phases", phases.len(), allowed));
    }
    bends.iter().zip(phases).map(|(bend, phase)| Ok((checked_bend(*bend)?.value, phase.value))).collect()
}

/// The equivalent angle of a line of joints: the bend of the one joint that would excite the line as they do together.
///
/// `theta_eq^2 = |sum of theta_i^2 e^(2 j phi_i)|`, each joint a vector of length `theta_i^2` that points twice its phase
/// around. Two joints in one plane with the yokes in line have phases 0 and 90 deg, which gives `sqrt |theta_1^2 - theta_2^2|`.
/// No joint at all gives zero.
///
/// # Errors
/// A bend below zero or above 85 deg; not one phase for each joint.
///
/// Source: SAE AE-7, 3.1 (memory). The rule is for small angles: see [`line_extremes`] for the exact motion.
pub fn equivalent_angle(bends: &[Angle], phases: &[Angle]) -> Result<Angle, OutOfRange> {
    let (mut along, mut across, mut all) = (0.0, 0.0, 0.0);
    for (bend, phase) in paired(bends, phases)? {
        let (sin, cos) = (2.0 * phase).sin_cos();
        let vector = bend * bend;
        along += vector * cos;
        across += vector * sin;
        all += vector;
    }
    let sum = f64::hypot(along, across);
    // What rounding leaves of vectors that cancel would come back as its root, which is visible.
    let sum = if sum <= 4.0 * f64::EPSILON * all { 0.0 } else { sum };
    Ok(Angle::new::<radian>(sum.sqrt()))
}

/// The least equivalent angle that clocking the yokes alone can reach, all bends as they are.
///
/// With `v_i = theta_i^2` and `m` the greatest of them: `sqrt(max(0, 2 m - sum of v_i))`. Vectors whose directions are free
/// close to a ring unless one is longer than all others together.
///
/// # Errors
/// A bend below zero or above 85 deg.
///
/// Source: geometry, from the vector rule of [`equivalent_angle`].
pub fn least_equivalent_angle(bends: &[Angle]) -> Result<Angle, OutOfRange> {
    let mut sum = 0.0;
    let mut greatest = 0.0_f64;
    for bend in bends {
        let vector = checked_bend(*bend)?.value.powi(2);
        sum += vector;
        greatest = greatest.max(vector);
    }
    Ok(Angle::new::<radian>((2.0 * greatest - sum).max(0.0).sqrt()))
}

/// The phases of the joints of a line, from the planes in which they bend and the yoke offsets of the shafts between them.
///
/// `phi_1 = -psi_1`, `phi_(i+1) = phi_i + 90 deg + delta_i + psi_i - psi_(i+1)`: the two yokes of a cross stand at right
/// angles, a shaft with its yokes in line has `delta = 0`, and a plane that is turned takes its joint's phase with it.
/// Planes and offsets count in one sense, from the left towards up; an offset is the turn of the yoke further along the
/// line against the other one. Phases are brought into the range above -90 deg and up to 90 deg.
///
/// # Errors
/// Not one offset fewer than planes.
///
/// Source: geometry of the cross.
pub fn phases_of_joints(planes: &[Angle], yoke_offsets: &[Angle]) -> Result<Vec<Angle>, OutOfRange> {
    let between = planes.len().saturating_sub(1);
    if yoke_offsets.len() != between {
        let allowed = format!("{between}, one for each shaft between two joints");
        return Err(OutOfRange::new("number of yoke offsets", yoke_offsets.len(), allowed));
    }
    let quarter = Angle::new::<degree>(90.0);
    let zero = Angle::new::<radian>(0.0);
    let turned = std::iter::once(zero).chain(yoke_offsets.iter().scan(zero, |turned, offset| {
        *turned += quarter + *offset;
        Some(*turned)
    }));
    Ok(planes.iter().zip(turned).map(|(plane, turned)| half_turn(turned - *plane)).collect())
}

/// The yoke offset with which a shaft between two equal joints runs evenly: the twist from the plane of the first joint
/// to that of the second, above -90 deg and up to 90 deg. Zero, yokes in line, is right only where the planes coincide.
///
/// `delta = psi_2 - psi_1`
///
/// Source: geometry of the cross; SAE AE-7, 3.1 (memory).
pub fn yoke_offset_needed(first_plane: Angle, second_plane: Angle) -> Angle {
    half_turn(second_plane - first_plane)
}

/// The exact extremes of the speed ratio of a line of joints, found by following the line through one turn.
///
/// Joint by joint `tan phi_out = tan phi_in / cos beta`; the ratios multiply; each joint is entered with what the ones before
/// have added to its phase. The extremes are sampled at every half degree and refined.
///
/// # Errors
/// A bend below zero or above 85 deg; not one phase for each joint.
///
/// Source: kinematics of Hooke's joint.
pub fn line_extremes(bends: &[Angle], phases: &[Angle]) -> Result<LineExtremes, OutOfRange> {
    let joints = paired(bends, phases)?;
    // Logarithms add up where ratios multiply, and keep the digits of a swing that nearly cancels.
    let swing = |turn: f64| {
        let mut ahead = 0.0;
        joints.iter().fold(0.0, |sum, (bend, phase)| {
            let (advance, excess) = advance_and_excess(*bend, phase + turn + ahead);
            ahead += advance;
            sum + excess.ln_1p()
        })
    };
    let highest = extreme(&swing);
    let lowest = -extreme(&|turn| -swing(turn));
    // 1 - cos of the equivalent angle, by the half angle.
    let versine = (-(-highest).exp_m1()).max(0.0);
    let equivalent = 2.0 * (versine / 2.0).sqrt().asin();
    Ok(LineExtremes {
        highest_ratio: Ratio::new::<ratio>(highest.exp()),
        lowest_ratio: Ratio::new::<ratio>(lowest.exp()),
        equivalent_angle: Angle::new::<radian>(equivalent),
    })
}

/// The greatest value of a function whose period is half a turn.
fn extreme(function: &dyn Fn(f64) -> f64) -> f64 {
    const SAMPLES: u32 = 360;
    let step = std::f64::consts::PI / f64::from(SAMPLES);
    let (mut best_at, mut best) = (0.0, f64::NEG_INFINITY);
    for sample in 0..SAMPLES {
        let turn = f64::from(sample) * step;
        let value = function(turn);
        if value > best {
            (best_at, best) = (turn, value);
        }
    }
    let below = |turn: f64| (turn, -function(turn));
    let about = [below(best_at - step), (best_at, -best), below(best_at + step)];
    -lowest_about(about, 1e-9, 100, |turn| Some(-function(turn))).1
}
