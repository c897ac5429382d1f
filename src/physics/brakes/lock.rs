//! Which axle locks first, at what braking rate, and what one axle alone can do.
//!
//! Symbols as in `balance`; mu friction between tyre and road, f_r rolling resistance over load, z_f and z_r the braking
//! rates at which the front and the rear axle reach mu. Source: Wong, Theory of Ground Vehicles, braking chapter
//! (memory) and equilibrium.

use uom::si::f64::{Length, Ratio};
use uom::si::ratio::ratio;

use super::balance::{Shape, braking_rate, shape, share};
use crate::physics::range::{OutOfRange, not_negative, positive};

/// Braking rates at which the axles reach the friction of the road; the smaller one locks first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LockOrder {
    /// Rate at which the front axle is at its limit.
    pub front_lock: Ratio,
    /// Rate at which the rear axle is at its limit.
    pub rear_lock: Ratio,
    /// Rate at the first lock over the friction: how much of the road's friction the car can use.
    pub efficiency: Ratio,
}

/// Greatest braking rates by one axle alone and by both, from the friction of the road.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLimits {
    /// Only the front wheels braked.
    pub front_only: Ratio,
    /// Only the rear wheels braked.
    pub rear_only: Ratio,
    /// All wheels braked in the ideal proportion.
    pub all: Ratio,
}

/// Braking rates at the limit of each axle:
/// z_f = (mu b / L + (1 - phi) f_r) / (phi - mu h / L), z_r = (mu a / L + phi f_r) / (1 - phi + mu h / L).
///
/// # Errors
/// The front axle never reaches its limit (phi <= mu h / L) or only after the rear wheels have lifted; a value is
/// negative; the front share is outside 0 to 1.
pub fn lock_order(
    friction: Ratio,
    front_share: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
    rolling_resistance: Ratio,
) -> Result<LockOrder, OutOfRange> {
    let mu = positive("friction between tyre and road", friction)?.get::<ratio>();
    let phi = share("front share of the braking force", front_share)?;
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let rolling = not_negative("rolling resistance", rolling_resistance)?.get::<ratio>();
    let left = positive("front share less friction times height over wheelbase", r(phi - mu * shape.height))?;
    let front = (mu * shape.front + (1.0 - phi) * rolling) / left.get::<ratio>();
    let rear_left = positive("rear share of the braking force", r(1.0 - phi + mu * shape.height))?;
    let rear = (mu * shape.rear + phi * rolling) / rear_left.get::<ratio>();
    let first = if rear < front { rear } else { braking_rate(r(front), &shape)? };
    Ok(LockOrder { front_lock: r(front), rear_lock: r(rear), efficiency: r(first / mu) })
}

/// As [`lock_order`] without rolling resistance, with a proportioning valve in the rear circuit: up to the braking rate
/// `knee_rate` the front axle has the share phi_1 of the braking force, of what is added above it the share phi_2.
/// Front: phi_1 z = mu (b + z h) / L, above the knee phi_1 z_k + phi_2 (z - z_k) = mu (b + z h) / L; the rear alike.
///
/// # Errors
/// As [`lock_order`]; a valve that lets the front share fall (phi_2 < phi_1).
pub fn lock_order_with_valve(
    friction: Ratio,
    share_below: Ratio,
    share_above: Ratio,
    knee_rate: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<LockOrder, OutOfRange> {
    let mu = positive("friction between tyre and road", friction)?.get::<ratio>();
    let below = share("front share below the valve's knee", share_below)?;
    let above = share("front share above the valve's knee", share_above)?;
    not_negative("rise of the front share at the valve's knee", r(above - below))?;
    let knee = not_negative("braking rate at the valve's knee", knee_rate)?.get::<ratio>();
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    // An axle's force is s z up to the knee and s_2 z + (s - s_2) z_k above; its limit is mu (static + z slope).
    let limit = |share: f64, then: f64, load: f64, slope: f64| {
        let early = mu * load / (share - mu * slope);
        if share > mu * slope && early <= knee {
            early
        } else {
            (mu * load - (share - then) * knee) / (then - mu * slope)
        }
    };
    positive("front share less friction times height over wheelbase", r(above - mu * shape.height))?;
    let front = limit(below, above, shape.front, shape.height);
    positive("rear share of the braking force", r(1.0 - above + mu * shape.height))?;
    let rear = limit(1.0 - below, 1.0 - above, shape.rear, -shape.height);
    let first = if rear < front { rear } else { braking_rate(r(front), &shape)? };
    Ok(LockOrder { front_lock: r(front), rear_lock: r(rear), efficiency: r(first / mu) })
}

/// Braking rate at which both axles reach their limits together, z = (phi L - b) / h: below it the front locks first,
/// above it the rear. Negative where the rear locks first on any road.
///
/// # Errors
/// The height is not above zero; the front share is outside 0 to 1.
pub fn critical_deceleration(
    front_share: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<Ratio, OutOfRange> {
    let phi = share("front share of the braking force", front_share)?;
    positive("height of the centre of gravity", cg_height)?;
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    Ok(r((phi - shape.front) / shape.height))
}

/// Greatest braking rates: front only mu b / (L - mu h), rear only mu a / (L + mu h), all mu.
///
/// # Errors
/// The rear wheels would lift (mu h >= a for all wheels, or before the front axle's limit); a value is negative.
pub fn axle_limits(
    friction: Ratio,
    wheelbase: Length,
    cg_behind_front: Length,
    cg_height: Length,
) -> Result<AxleLimits, OutOfRange> {
    let mu = positive("friction between tyre and road", friction)?.get::<ratio>();
    let shape = shape(wheelbase, cg_behind_front, cg_height)?;
    let all = braking_rate(friction, &shape)?;
    let front_only = front_only(mu, &shape)?;
    Ok(AxleLimits { front_only, rear_only: r(mu * shape.rear / (1.0 + mu * shape.height)), all: r(all) })
}

fn front_only(mu: f64, shape: &Shape) -> Result<Ratio, OutOfRange> {
    let left = positive("1 less friction times height over wheelbase", r(1.0 - mu * shape.height))?;
    Ok(r(braking_rate(r(mu * shape.front) / left, shape)?))
}

fn r(value: f64) -> Ratio {
    Ratio::new::<ratio>(value)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::balance::adhesion_used;
    use super::*;

    fn m(l: f64) -> Length {
        Length::new::<uom::si::length::meter>(l)
    }

    #[test]
    fn a_front_axle_that_never_locks_is_refused() {
        assert!(lock_order(r(0.9), r(0.1), m(2.4), m(1.2), m(0.5), r(0.0)).is_err());
    }

    proptest! {
        #[test]
        fn the_locked_axle_uses_all_the_friction(mu in 0.2..1.0f64, phi in 0.5..0.85f64, at in 0.4..0.6f64, h in 0.3..0.6f64) {
            let car = (m(2.5), m(2.5 * at), m(h));
            let order = lock_order(r(mu), r(phi), car.0, car.1, car.2, r(0.0)).expect("valid");
            let first = if order.front_lock < order.rear_lock { order.front_lock } else { order.rear_lock };
            let used = adhesion_used(r(phi), car.0, car.1, car.2, first).expect("valid");
            let greater = used.front.get::<ratio>().max(used.rear.get::<ratio>());
            prop_assert!((greater - mu).abs() < 1e-9);
            prop_assert!(order.efficiency.get::<ratio>() <= 1.0 + 1e-12);
        }

        #[test]
        fn with_a_valve_the_locked_axle_uses_all_the_friction(
            mu in 0.2..1.0f64, gf in 3.0..9.0f64, gr in 2.0..6.0f64, s in 0.0..1.0f64, knee in 0.02..0.9f64,
        ) {
            let (below, above) = (gf / (gf + gr), gf / (gf + s * gr));
            let car = (m(2.5), m(1.25), m(0.5));
            prop_assume!(above > mu * 0.2 + 0.05 && below > mu * 0.2 + 0.05);
            let order = lock_order_with_valve(r(mu), r(below), r(above), r(knee), car.0, car.1, car.2).expect("valid");
            for (rate, front) in [(order.front_lock, true), (order.rear_lock, false)] {
                let z = rate.get::<ratio>();
                if !(0.0..2.4).contains(&z) {
                    continue;
                }
                let weight = uom::si::f64::Force::new::<uom::si::force::newton>(1e4);
                let at_knee = weight * knee / (gf + gr);
                let effort = super::super::balance::braking_effort_with_valve(rate, weight, r(gf), r(gr), at_knee, r(s)).expect("valid");
                let used = adhesion_used(effort.front_share, car.0, car.1, car.2, rate).expect("valid");
                let here = if front { used.front } else { used.rear };
                prop_assert!((here.get::<ratio>() - mu).abs() < 1e-8);
            }
        }

        #[test]
        fn order_changes_at_the_critical_rate(phi in 0.55..0.75f64, mu in 0.05..1.1f64) {
            let car = (m(2.5), m(1.25), m(0.5));
            let critical = critical_deceleration(r(phi), car.0, car.1, car.2).expect("valid").get::<ratio>();
            prop_assume!((mu - critical).abs() > 1e-6);
            let order = lock_order(r(mu), r(phi), car.0, car.1, car.2, r(0.0)).expect("valid");
            prop_assert_eq!(order.rear_lock < order.front_lock, mu > critical);
        }

        #[test]
        fn two_axles_do_more_than_one(mu in 0.1..1.2f64, at in 0.4..0.6f64, h in 0.2..0.6f64) {
            let limits = axle_limits(r(mu), m(2.5), m(2.5 * at), m(h)).expect("valid");
            prop_assert!(limits.front_only < limits.all && limits.rear_only < limits.all);
        }
    }
}
