//! Tightening a bolt with the friction of thread and head known apart, and the stress while the wrench pulls.
//!
//! Where only a nut factor is known, [`super::thread::torque_for_preload`] serves.

use std::f64::consts::PI;

use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
use uom::si::force::newton;
use uom::si::length::millimeter;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, not_negative, positive, within};
use super::thread::{thread_minor_diameter, thread_stress_area};

/// Pitch diameter of a thread: d2 = d - 0.64952 P; the number is 3 √3 / 8 (ISO 724).
///
/// # Errors
/// Diameter or pitch not above zero, or a pitch over half of the diameter.
pub fn thread_pitch_diameter(diameter: Length, pitch: Length) -> Result<Length, OutOfRange> {
    let diameter = positive("diameter of the thread", diameter)?;
    let show = |l: Length| format!("{:.3} mm", l.get::<millimeter>());
    let pitch = within(
        "pitch of the thread",
        positive("pitch of the thread", pitch)?,
        Length::default(),
        diameter / 2.0,
        show,
    )?;
    Ok(diameter - pitch * (3.0 * 3f64.sqrt() / 8.0))
}

/// The part of the torque over the preload that turns the thread: P / 2π + μt d2 / (2 cos 30°).
fn thread_arm(diameter: Length, pitch: Length, friction: Ratio) -> Result<Length, OutOfRange> {
    let flank = thread_pitch_diameter(diameter, pitch)? / (2.0 * (PI / 6.0).cos());
    Ok(pitch / (2.0 * PI) + flank * plausible("friction in the thread", friction)?)
}

/// All of the torque over the preload.
fn whole_arm(
    diameter: Length,
    pitch: Length,
    face_diameter: Length,
    thread_friction: Ratio,
    face_friction: Ratio,
) -> Result<Length, OutOfRange> {
    let face = positive("mean diameter of the turning face", face_diameter)? / 2.0;
    Ok(thread_arm(diameter, pitch, thread_friction)?
        + face * plausible("friction under the turning face", face_friction)?)
}

fn plausible(what: &'static str, friction: Ratio) -> Result<Ratio, OutOfRange> {
    within(what, friction, Ratio::from(0.0), Ratio::from(0.6), |r| r.value.to_string())
}

/// Torque that leaves the preload F: T = F (P / 2π + μt d2 / (2 cos 30°) + μf Df / 2) (ISO 16047, clause 7: its 1.154
/// is 1 / cos 30°).
///
/// `face_diameter` Df is the mean diameter of the face that turns under head or nut, about 1.3 nominal diameters; μt
/// and μf are the coefficients of friction in the thread and under that face.
///
/// # Errors
/// The preload is negative, a coefficient of friction is outside 0 to 0.6, a length is not above zero, or the pitch is
/// over half of the diameter.
pub fn torque_with_friction(
    preload: Force,
    diameter: Length,
    pitch: Length,
    face_diameter: Length,
    thread_friction: Ratio,
    face_friction: Ratio,
) -> Result<Torque, OutOfRange> {
    let arm = whole_arm(diameter, pitch, face_diameter, thread_friction, face_friction)?;
    let preload = not_negative("preload", preload)?;
    Ok(Torque::new::<newton_meter>(preload.value * arm.value))
}

/// Preload that a torque leaves, the inverse of [`torque_with_friction`].
///
/// # Errors
/// The torque is negative, and those of [`torque_with_friction`].
pub fn preload_with_friction(
    torque: Torque,
    diameter: Length,
    pitch: Length,
    face_diameter: Length,
    thread_friction: Ratio,
    face_friction: Ratio,
) -> Result<Force, OutOfRange> {
    let arm = whole_arm(diameter, pitch, face_diameter, thread_friction, face_friction)?;
    let torque = not_negative("tightening torque", torque)?;
    Ok(Force::new::<newton>(torque.get::<newton_meter>() / arm.value))
}

/// Stress in the bolt while it is tightened to the preload F: σv = √(σ² + 3 τ²), σ = F / As, τ = 16 Tt / (π d0³), with
/// the torque Tt in the thread and the diameter d0 of the stress area (von Mises; VDI 2230, memory). It falls by the
/// twist once the wrench is off.
///
/// # Errors
/// Those of [`torque_with_friction`].
pub fn tightening_stress(
    preload: Force,
    diameter: Length,
    pitch: Length,
    thread_friction: Ratio,
) -> Result<Pressure, OutOfRange> {
    let arm = thread_arm(diameter, pitch, thread_friction)?;
    let preload = not_negative("preload", preload)?;
    let tension: Pressure = preload / thread_stress_area(diameter, pitch)?;
    let mean = (thread_pitch_diameter(diameter, pitch)? + thread_minor_diameter(diameter, pitch)?) / 2.0;
    let shear: Pressure = preload * arm / (mean * mean * mean) * (16.0 / PI);
    Ok((tension * tension + shear * shear * 3.0).sqrt())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn newtons(value: f64) -> Force {
        Force::new::<newton>(value)
    }

    /// The torque with one coefficient of friction throughout.
    fn torque(preload: f64, d: f64, p: f64, face: f64, mu: f64) -> Result<Torque, OutOfRange> {
        torque_with_friction(newtons(preload), mm(d), mm(p), mm(face), Ratio::from(mu), Ratio::from(mu))
    }

    #[test]
    fn the_pitch_diameters_of_iso_724_come_out() {
        for (d, p, d2) in
            [(6.0, 1.0, 5.350), (8.0, 1.25, 7.188), (10.0, 1.5, 9.026), (12.0, 1.75, 10.863), (12.0, 1.25, 11.188)]
        {
            let got =
                thread_pitch_diameter(Length::new::<millimeter>(d), Length::new::<millimeter>(p)).expect("a thread");
            assert!((got.get::<millimeter>() - d2).abs() < 0.0006); // ISO 724 table 1 (memory)
        }
    }

    #[test]
    fn usual_friction_gives_the_usual_nut_factor() {
        // Friction 0.15 at thread and head is nut factor 0.20 in machine design textbooks (Shigley's table, memory).
        let torque = torque(1000.0, 10.0, 1.5, 13.0, 0.15).expect("in range");
        assert!((torque.value / (1000.0 * 0.010) - 0.20).abs() < 0.01);
    }

    #[test]
    fn the_table_of_tightening_torques_is_met() {
        // M10, class 8.8, friction 0.12 throughout: VDI 2230 table A1 gives 27.3 kN and 46 N m at 90 % of the yield
        // strength (memory; head width 16 mm, hole 11 mm: mean face diameter 13.25 mm).
        let stress = tightening_stress(newtons(27_300.0), mm(10.0), mm(1.5), Ratio::from(0.12)).expect("in range");
        assert!((stress.value / (0.9 * 640e6) - 1.0).abs() < 0.03, "{}", stress.value);
        let torque = torque(27_300.0, 10.0, 1.5, 13.25, 0.12).expect("in range");
        assert!((torque.value / 46.0 - 1.0).abs() < 0.06, "{}", torque.value);
    }

    #[test]
    fn refuses_glue_and_ice() {
        assert!(torque(1000.0, 10.0, 1.5, 13.0, 0.7).is_err());
        assert!(torque(1000.0, 10.0, 1.5, 13.0, -0.1).is_err());
        assert!(thread_pitch_diameter(mm(2.0), mm(1.5)).is_err());
    }

    proptest! {
        #[test]
        fn torque_and_preload_undo_each_other(
            d in 4.0..24.0f64, share in 0.08..0.2f64, mu in 0.0..0.5f64, f in 10.0..2e5f64,
        ) {
            let there = torque(f, d, share * d, 1.3 * d, mu).expect("in range");
            let (mu, pitch) = (Ratio::from(mu), mm(share * d));
            let back = preload_with_friction(there, mm(d), pitch, mm(1.3 * d), mu, mu).expect("in range");
            prop_assert!((back.value / f - 1.0).abs() < 1e-9);
            let stress = tightening_stress(newtons(f), mm(d), pitch, mu).expect("in range");
            prop_assert!(stress > newtons(f) / thread_stress_area(mm(d), pitch).expect("a thread"));
        }

        #[test]
        fn without_friction_a_turn_lifts_the_load_by_one_pitch(d in 4.0..24.0f64, p in 0.5..2.0f64, f in 10.0..2e5f64) {
            let work = torque(f, d, p, 1.3 * d, 0.0).expect("in range").value * 2.0 * PI;
            prop_assert!((work / (f * p * 1e-3) - 1.0).abs() < 1e-9);
        }
    }
}
