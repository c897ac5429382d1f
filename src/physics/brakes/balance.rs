//! Balance between the axles: loads while braking, adhesion that each axle uses, ideal distribution, effort at the pedal.
//!
//! Symbols: W weight, L wheelbase, a distance of the centre of gravity behind the front axle, b = L - a, h its height,
//! z braking rate (deceleration over gravity), N axle load, phi share of the whole braking force at the front axle,
//! k adhesion used by an axle (its braking force over its load).
//! Source: UN Regulation 13-H, annex 5 (memory) and 49 CFR 571.135 S7.4 (read) for k; equilibrium for the rest.

use uom::si::f64::{Force, Length, Ratio};
use uom::si::length::millimeter;
use uom::si::ratio::{percent, ratio};

use super::hydraulics::valve_slope;
use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Loads on the axles while braking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLoads {
    /// Load of the front axle.
    pub front: Force,
    /// Load of the rear axle.
    pub rear: Force,
    /// Load that has gone from the rear to the front axle.
    pub transfer: Force,
}

/// Adhesion used by each axle: braking force over load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdhesionUsed {
    /// Of the front axle.
    pub front: Ratio,
    /// Of the rear axle.
    pub rear: Ratio,
}

/// A pair of braking forces at the road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleForces {
    /// Braking force of the front axle.
    pub front: Force,
    /// Braking force of the rear axle.
    pub rear: Force,
}

/// A point of the ideal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IdealPoint {
    /// Braking rate, deceleration over gravity.
    pub deceleration: Ratio,
    /// Braking force of the rear axle over the weight.
    pub rear_over_weight: Ratio,
}

/// What a braking rate asks of the push rods and what each axle gives for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrakingEffort {
    /// Force behind the balance bar or cylinder.
    pub push: Force,
    /// Braking force of the front axle.
    pub front: Force,
    /// Braking force of the rear axle.
    pub rear: Force,
    /// Share of the front axle in the whole braking force.
    pub front_share: Ratio,
}

/// The car's shape as the formulas use it: b / L, a / L and h / L.
pub(super) struct Shape {
    pub(super) front: f64,
    pub(super) rear: f64,
    pub(super) height: f64,
}

impl Shape {
    /// Load shares of front and rear axle at a braking rate.
    pub(super) fn load_shares(&self, z: f64) -> (f64, f64) {
        (self.front + z * self.height, self.rear - z * self.height)
    }
}

/// The car's shape, refused where the centre of gravity does not stand between the axles or lies below the road.
pub(super) fn shape(wheelbase: Length, cg_behind_front: Length, cg_height: Length) -> Result<Shape, OutOfRange> {
    let wheelbase = positive("wheelbase", wheelbase)?;
    let what = "distance of the centre of gravity behind the front axle";
    let show = |l: Length| format!("{} mm", l.get::<millimeter>());
    let behind = within(what, cg_behind_front, Length::new::<millimeter>(0.0), wheelbase, show)?;
    let height = not_negative("height of the centre of gravity", cg_height)?;
    Ok(Shape {
        front: ((wheelbase - behind) / wheelbase).get::<ratio>(),
        rear: (behind / wheelbase).get::<ratio>(),
        height: (height / wheelbase).get::<ratio>(),
    })
}

/// A braking rate as a number, refused where it is negative or would lift the rear axle off the road.
pub(super) fn braking_rate(z: Ratio, shape: &Shape) -> Result<f64, OutOfRange> {
    let rate = not_negative("braking rate", z)?.get::<ratio>();
    if shape.load_shares(rate).1 > 0.0 {
        return Ok(rate);
    }
    let lifts = shape.rear / shape.height;
    Err(OutOfRange::new("braking rate", rate, format_args!("the rates below {lifts}, at which the rear wheels lift")))
}

/// A share as a number, refused outside 0 to 1.
pub(super) fn share(what: &'static str, value: Ratio) -> Result<f64, OutOfRange> {
    let show = |r: Ratio| format!("{} %", r.get::<percent>());
    Ok(within(what, value, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?.get::<ratio>())
}

/// Axle loads while braking: N_f = W (b + z h) / L, N_r = W (a - z h) / L.
///
/// # Errors
/// The centre of gravity does not stand between the axles, a value is negative, or the rear wheels lift.
pub fn dynamic_axle_loads(
    weight: Force,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    z: Ratio,
) -> Result<AxleLoads, OutOfRange> {
    let weight = positive("weight", weight)?;
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let z = braking_rate(z, &shape)?;
    let (front, rear) = shape.load_shares(z);
    Ok(AxleLoads { front: weight * front, rear: weight * rear, transfer: weight * z * shape.height })
}

/// Adhesion used by each axle at a braking rate: k_f = phi z L / (b + z h), k_r = (1 - phi) z L / (a - z h).
///
/// # Errors
/// As [`dynamic_axle_loads`]; the front share is outside 0 to 1.
pub fn adhesion_used(
    front_share: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    z: Ratio,
) -> Result<AdhesionUsed, OutOfRange> {
    let phi = share("front share of the braking force", front_share)?;
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let z = braking_rate(z, &shape)?;
    let (front, rear) = shape.load_shares(z);
    let front = positive("load share of the front axle", Ratio::new::<ratio>(front))?;
    let (front_force, rear_force) = (Ratio::new::<ratio>(phi * z), Ratio::new::<ratio>((1.0 - phi) * z));
    Ok(AdhesionUsed { front: front_force / front, rear: rear_force / rear })
}

/// Share of the front axle at which both axles use the same adhesion: phi = (b + z h) / L.
///
/// # Errors
/// As [`dynamic_axle_loads`].
pub fn ideal_front_share(
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    z: Ratio,
) -> Result<Ratio, OutOfRange> {
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let z = braking_rate(z, &shape)?;
    Ok(Ratio::new::<ratio>(shape.load_shares(z).0))
}

/// Braking forces of the ideal distribution at a braking rate: F_i = z N_i.
///
/// # Errors
/// As [`dynamic_axle_loads`].
pub fn ideal_forces(
    weight: Force,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    z: Ratio,
) -> Result<AxleForces, OutOfRange> {
    let loads = dynamic_axle_loads(weight, wheelbase, cg_behind_front, cg_height, z)?;
    Ok(AxleForces { front: loads.front * z, rear: loads.rear * z })
}

/// The point of the ideal distribution at which the front axle gives a force f = F_f / W: z from z (b + z h) / L = f, and
/// F_r / W = z - f.
///
/// # Errors
/// The centre of gravity does not stand between the axles, or the rear wheels lift before.
pub fn ideal_point(
    front_over_weight: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<IdealPoint, OutOfRange> {
    let f = not_negative("front braking force over weight", front_over_weight)?.get::<ratio>();
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    positive("load share of the front axle at rest", Ratio::new::<ratio>(shape.front))?;
    // The form without the difference of the quadratic's root: it holds for h = 0 as well.
    let z = 2.0 * f / (shape.front + (shape.front * shape.front + 4.0 * shape.height * f).sqrt());
    let z = Ratio::new::<ratio>(braking_rate(Ratio::new::<ratio>(z), &shape)?);
    Ok(IdealPoint { deceleration: z, rear_over_weight: z - front_over_weight })
}

/// Push that a braking rate asks for, z W = (g_f + g_r) F, from the gains g: road force of the axle over the force behind
/// the balance bar (or cylinder).
///
/// # Errors
/// A value is negative, or both gains are zero.
pub fn braking_effort(
    z: Ratio,
    weight: Force,
    front_gain: Ratio,
    rear_gain: Ratio,
) -> Result<BrakingEffort, OutOfRange> {
    let (front_gain, rear_gain) = gains(front_gain, rear_gain)?;
    let force = not_negative("braking rate", z)? * positive("weight", weight)?;
    let push = force / (front_gain + rear_gain);
    Ok(effort(push, push * front_gain, push * rear_gain, front_gain / (front_gain + rear_gain)))
}

/// As [`braking_effort`], with a proportioning valve in the rear circuit which, above the push `knee_push`, lets only the
/// part `slope` of the further rise through.
///
/// # Errors
/// As [`braking_effort`]; the slope is outside 0 to 100 %, or no push reaches the braking rate.
pub fn braking_effort_with_valve(
    z: Ratio,
    weight: Force,
    front_gain: Ratio,
    rear_gain: Ratio,
    knee_push: Force,
    slope: Ratio,
) -> Result<BrakingEffort, OutOfRange> {
    let (front_gain, rear_gain) = gains(front_gain, rear_gain)?;
    let knee = not_negative("push at the valve's knee", knee_push)?;
    let slope = valve_slope(slope)?;
    let force = not_negative("braking rate", z)? * positive("weight", weight)?;
    if force <= knee * (front_gain + rear_gain) {
        return braking_effort(z, weight, front_gain, rear_gain);
    }
    let above = positive("gain above the valve's knee", front_gain + slope * rear_gain)?;
    let push = knee + (force - knee * (front_gain + rear_gain)) / above;
    let front = push * front_gain;
    Ok(effort(push, front, force - front, front / force))
}

fn gains(front: Ratio, rear: Ratio) -> Result<(Ratio, Ratio), OutOfRange> {
    let front = not_negative("gain of the front brakes", front)?;
    let rear = not_negative("gain of the rear brakes", rear)?;
    positive("gain of the brakes", front + rear)?;
    Ok((front, rear))
}

fn effort(push: Force, front: Force, rear: Force, front_share: Ratio) -> BrakingEffort {
    BrakingEffort { push, front, rear, front_share }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;

    use super::*;

    fn m(l: f64) -> Length {
        Length::new::<uom::si::length::meter>(l)
    }

    fn r(v: f64) -> Ratio {
        Ratio::new::<ratio>(v)
    }

    #[test]
    fn lifting_rear_wheels_are_refused() {
        // a / h = 1.2 / 0.6: the rear wheels lift at z = 2.
        assert!(adhesion_used(r(0.6), m(2.4), m(1.2), m(0.6), r(2.0)).is_err());
        assert!(adhesion_used(r(0.6), m(2.4), m(1.2), m(0.6), r(1.99)).is_ok());
    }

    #[test]
    fn centre_of_gravity_outside_the_wheelbase_is_refused() {
        assert!(ideal_front_share(m(2.4), m(2.5), m(0.5), r(0.5)).is_err());
    }

    proptest! {
        #[test]
        fn loads_add_up_to_the_weight(w in 3e3..3e4f64, l in 1.8..3.5f64, at in 0.3..0.7f64, h in 0.2..0.7f64, z in 0.0..1.2f64) {
            prop_assume!(z * h < 0.95 * at * l);
            let loads = dynamic_axle_loads(Force::new::<newton>(w), m(l), m(l * at), m(h), r(z)).expect("valid");
            prop_assert!(((loads.front + loads.rear).get::<newton>() - w).abs() < 1e-6);
        }

        #[test]
        fn the_ideal_share_uses_equal_adhesion(l in 1.8..3.5f64, at in 0.3..0.7f64, h in 0.2..0.7f64, z in 0.01..0.9f64) {
            prop_assume!(z * h < 0.95 * at * l);
            let phi = ideal_front_share(m(l), m(l * at), m(h), r(z)).expect("valid");
            let used = adhesion_used(phi, m(l), m(l * at), m(h), r(z)).expect("valid");
            prop_assert!((used.front - used.rear).get::<ratio>().abs() < 1e-9);
            prop_assert!((used.front.get::<ratio>() - z).abs() < 1e-9);
        }

        #[test]
        fn more_front_share_uses_less_rear_adhesion(phi in 0.1..0.85f64, z in 0.05..0.9f64) {
            let at = |phi: f64| adhesion_used(r(phi), m(2.5), m(1.3), m(0.5), r(z)).expect("valid");
            prop_assert!(at(phi + 0.05).rear < at(phi).rear);
            prop_assert!(at(phi + 0.05).front > at(phi).front);
        }

        #[test]
        fn a_valve_gives_the_asked_force_and_favours_the_front(z in 0.05..1.2f64, gf in 1.0..20.0f64, gr in 0.5..15.0f64, knee in 0.0..3e3f64, s in 0.0..0.99f64) {
            let w = Force::new::<newton>(1e4);
            let plain = braking_effort(r(z), w, r(gf), r(gr)).expect("valid");
            let valve = braking_effort_with_valve(r(z), w, r(gf), r(gr), Force::new::<newton>(knee), r(s)).expect("valid");
            prop_assert!(((valve.front + valve.rear).get::<newton>() - z * 1e4).abs() < 1e-6);
            prop_assert!(valve.front_share.get::<ratio>() >= plain.front_share.get::<ratio>() - 1e-12);
            prop_assert!(valve.push.get::<newton>() >= plain.push.get::<newton>() - 1e-9);
        }

        #[test]
        fn valve_of_slope_one_does_nothing(z in 0.05..1.2f64, gf in 1.0..20.0f64, gr in 0.5..15.0f64) {
            let w = Force::new::<newton>(1e4);
            let plain = braking_effort(r(z), w, r(gf), r(gr)).expect("valid");
            let valve = braking_effort_with_valve(r(z), w, r(gf), r(gr), Force::new::<newton>(10.0), r(1.0)).expect("valid");
            prop_assert!((plain.push - valve.push).get::<newton>().abs() < 1e-6);
        }
    }
}
