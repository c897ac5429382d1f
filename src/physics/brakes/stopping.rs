//! Stopping distances: by the equation of motion, and the distances that the regulations allow.
//!
//! Symbols: v speed, V speed in km/h, d deceleration, t_r reaction time, t_b build-up time of the pressure.

use uom::si::f64::{Acceleration, Length, Time, Velocity};
use uom::si::length::meter;
use uom::si::velocity::kilometer_per_hour;

use crate::physics::range::{OutOfRange, not_negative, positive};

/// A stopping distance and its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoppingDistance {
    /// The whole distance.
    pub distance: Length,
    /// The distance by the short form of many books, without the term of the pressure's rise.
    pub short_form: Length,
    /// The part run before the full deceleration stands.
    pub before_full: Length,
}

/// Distance from a speed to rest at an even deceleration: s = v^2 / (2 d).
///
/// # Errors
/// The speed is negative or the deceleration not above zero.
pub fn braking_distance(speed: Velocity, deceleration: Acceleration) -> Result<Length, OutOfRange> {
    let v = not_negative("speed", speed)?;
    Ok(v * v / (positive("deceleration", deceleration)? * 2.0))
}

/// Distance from the moment of need to rest, with a reaction time and a deceleration that rises evenly from nothing:
/// s = v (t_r + t_b / 2) + v^2 / (2 d) - d t_b^2 / 24.
///
/// # Errors
/// A value is negative, the deceleration not above zero, or the car stands before the deceleration is full
/// (v < d t_b / 2).
pub fn stopping_distance(
    speed: Velocity,
    reaction: Time,
    build_up: Time,
    deceleration: Acceleration,
) -> Result<StoppingDistance, OutOfRange> {
    let reaction = not_negative("reaction time", reaction)?;
    let build_up = not_negative("build-up time", build_up)?;
    let short_form = speed * (reaction + build_up / 2.0) + braking_distance(speed, deceleration)?;
    let at_full = not_negative("speed left when the deceleration is full", speed - deceleration * build_up / 2.0)?;
    let distance = short_form - deceleration * build_up * build_up / 24.0;
    let before_full = distance - braking_distance(at_full, deceleration)?;
    Ok(StoppingDistance { distance, short_form, before_full })
}

/// Mean fully developed deceleration of a stop, from the distances run down to 80 % and to 10 % of the first speed:
/// d_m = (v_b^2 - v_e^2) / (2 (s_e - s_b)), in km/h and metres the divisor is 25.92.
/// Source: UN Regulation 13 annex 4 1.1.2 (read).
///
/// # Errors
/// The speed is negative, or the second distance not above the first.
pub fn mean_fully_developed_deceleration(
    first_speed: Velocity,
    distance_to_80_percent: Length,
    distance_to_10_percent: Length,
) -> Result<Acceleration, OutOfRange> {
    let v = not_negative("first speed", first_speed)?;
    let run = positive("distance between 80 % and 10 % of the speed", distance_to_10_percent - distance_to_80_percent)?;
    Ok(v * v * (0.8 * 0.8 - 0.1 * 0.1) / (run * 2.0))
}

/// Distance allowed by a rule of the form 0.1 V + c V^2 (metres, km/h).
fn allowed(speed: Velocity, c: f64) -> Result<Length, OutOfRange> {
    let v = not_negative("speed", speed)?.get::<kilometer_per_hour>();
    Ok(Length::new::<meter>(0.1 * v + c * v * v))
}

/// Distance allowed to the service brake, cold: 0.1 V + 0.0060 V^2; 70 m from 100 km/h.
/// Source: 49 CFR 571.135 S7.5.3 (read).
///
/// # Errors
/// The speed is negative.
pub fn service_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0060)
}

/// Distance allowed from high speed: 0.1 V + 0.0067 V^2. Source: 49 CFR 571.135 S7.6.3 (read).
///
/// # Errors
/// The speed is negative.
pub fn high_speed_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0067)
}

/// Distance allowed with the antilock failed: 0.1 V + 0.0075 V^2. Source: 49 CFR 571.135 S7.8.3 (read).
///
/// # Errors
/// The speed is negative.
pub fn antilock_failed_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0075)
}

/// Distance allowed to the hot brake: 0.1 V + 0.0079 V^2. Source: 49 CFR 571.135 S7.14 (read).
///
/// # Errors
/// The speed is negative.
pub fn hot_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0079)
}

/// Distance allowed with variable proportioning failed: 0.1 V + 0.0100 V^2. Source: 49 CFR 571.135 S7.9.3 (read).
///
/// # Errors
/// The speed is negative.
pub fn proportioning_failed_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0100)
}

/// Distance allowed with one circuit or the servo failed: 0.1 V + 0.0158 V^2; 168 m from 100 km/h.
/// Source: 49 CFR 571.135 S7.10.3 and S7.11.4 (read).
///
/// # Errors
/// The speed is negative.
pub fn secondary_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 0.0158)
}

/// Distance that the older rule for cars allowed: 0.1 V + V^2 / 150 (memory).
///
/// # Errors
/// The speed is negative.
pub fn older_service_stop_limit(speed: Velocity) -> Result<Length, OutOfRange> {
    allowed(speed, 1.0 / 150.0)
}

/// Even deceleration that just keeps an allowed distance whose first part, 0.1 V, is spent on response:
/// d = v^2 / (2 (s - 0.1 V)).
///
/// # Errors
/// The speed is negative or the distance not above 0.1 V.
pub fn deceleration_for_limit(speed: Velocity, allowed: Length) -> Result<Acceleration, OutOfRange> {
    let v = not_negative("speed", speed)?;
    let response = Length::new::<meter>(0.1 * v.get::<kilometer_per_hour>());
    Ok(v * v / (positive("distance left after the response", allowed - response)? * 2.0))
}

/// Distance by which a stop is judged on paper: 0.1 V for the response and v^2 / (2 d) at the full deceleration.
///
/// # Errors
/// The speed is negative or the deceleration not above zero.
pub fn regulation_stop(speed: Velocity, deceleration: Acceleration) -> Result<Length, OutOfRange> {
    Ok(allowed(speed, 0.0)? + braking_distance(speed, deceleration)?)
}

/// Time from a speed to rest at an even deceleration: t = v / d.
///
/// # Errors
/// The speed is negative or the deceleration not above zero.
pub fn braking_time(speed: Velocity, deceleration: Acceleration) -> Result<Time, OutOfRange> {
    Ok(not_negative("speed", speed)? / positive("deceleration", deceleration)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::acceleration::meter_per_second_squared;
    use uom::si::time::second;

    use super::*;

    fn kmh(v: f64) -> Velocity {
        Velocity::new::<kilometer_per_hour>(v)
    }

    fn d(v: f64) -> Acceleration {
        Acceleration::new::<meter_per_second_squared>(v)
    }

    #[test]
    fn distances_printed_in_the_regulation_beside_its_formulas() {
        // 49 CFR 571.135 prints for 100 km/h: 70, 85, 89, 110, 168 m (S7.5.3, S7.8.3, S7.14, S7.9.3, S7.10.3; read).
        let v = kmh(100.0);
        for (limit, printed) in [
            (service_stop_limit(v), 70.0),
            (antilock_failed_stop_limit(v), 85.0),
            (hot_stop_limit(v), 89.0),
            (proportioning_failed_stop_limit(v), 110.0),
            (secondary_stop_limit(v), 168.0),
        ] {
            assert!((limit.expect("valid").get::<meter>() - printed).abs() < 1e-9);
        }
    }

    #[test]
    fn decelerations_named_beside_the_distances() {
        // UN Regulation 13-H annex 3 names 6.43 and 2.44 m/s2 beside the two distances (memory).
        let v = kmh(100.0);
        for (limit, named) in [(service_stop_limit(v), 6.43), (secondary_stop_limit(v), 2.44)] {
            let found = deceleration_for_limit(v, limit.expect("valid")).expect("valid");
            assert!((found.get::<meter_per_second_squared>() - named).abs() < 0.005);
        }
    }

    #[test]
    fn a_stop_within_the_build_up_is_refused() {
        assert!(stopping_distance(kmh(5.0), Time::new::<second>(0.5), Time::new::<second>(1.0), d(8.0)).is_err());
    }

    proptest! {
        #[test]
        fn distance_grows_with_the_square_of_speed(v in 1.0..300.0f64, a in 0.5..15.0f64) {
            let one = braking_distance(kmh(v), d(a)).expect("valid").get::<meter>();
            let two = braking_distance(kmh(2.0 * v), d(a)).expect("valid").get::<meter>();
            prop_assert!((two - 4.0 * one).abs() < 1e-9 * two);
        }

        #[test]
        fn stopping_distance_agrees_with_stepping(v in 40.0..250.0f64, tr in 0.0..1.5f64, tb in 0.01..0.6f64, a in 2.0..12.0f64) {
            let closed = stopping_distance(kmh(v), Time::new::<second>(tr), Time::new::<second>(tb), d(a)).expect("valid");
            // Explicit midpoint steps, a second route to the same integral.
            let (mut speed, mut s, mut t, dt) = (v / 3.6, v / 3.6 * tr, 0.0f64, 1e-3);
            while speed > 0.0 {
                let rate = a * ((t + dt / 2.0) / tb).min(1.0);
                let next = speed - rate * dt;
                if next < 0.0 { s += speed * speed / (2.0 * rate); break; }
                s += (speed + next) / 2.0 * dt;
                speed = next;
                t += dt;
            }
            prop_assert!((closed.distance.get::<meter>() - s).abs() < 0.02);
            prop_assert!(closed.short_form >= closed.distance);
        }

        #[test]
        fn regulation_stop_and_its_deceleration_are_inverse(v in 20.0..250.0f64, a in 1.0..12.0f64) {
            let s = regulation_stop(kmh(v), d(a)).expect("valid");
            let back = deceleration_for_limit(kmh(v), s).expect("valid");
            prop_assert!((back.get::<meter_per_second_squared>() - a).abs() < 1e-9);
        }
    }
}
