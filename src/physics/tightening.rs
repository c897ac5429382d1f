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

/// The thread and the frictions of a screw joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScrewFriction {
    /// Nominal diameter of the thread.
    pub diameter: Length,
    /// Pitch of the thread.
    pub pitch: Length,
    /// Mean diameter of the face that turns under head or nut, about 1.3 nominal diameters.
    pub bearing_diameter: Length,
    /// Coefficient of friction in the thread.
    pub thread_friction: Ratio,
    /// Coefficient of friction under the turning face.
    pub bearing_friction: Ratio,
}

impl ScrewFriction {
    /// Torque in the thread and under the face, over the preload.
    fn arms(&self) -> Result<(Length, Length), OutOfRange> {
        let friction =
            |what, value| within(what, value, Ratio::from(0.0), Ratio::from(0.6), |r: Ratio| r.value.to_string());
        let flank = thread_pitch_diameter(self.diameter, self.pitch)? / (2.0 * (PI / 6.0).cos());
        let thread = self.pitch / (2.0 * PI) + flank * friction("friction in the thread", self.thread_friction)?;
        let bearing = positive("mean diameter of the turning face", self.bearing_diameter)? / 2.0;
        Ok((thread, bearing * friction("friction under the turning face", self.bearing_friction)?))
    }
}

/// Torque that leaves the preload F: T = F (P / 2π + μt d2 / (2 cos 30°) + μb Db / 2) (ISO 16047, clause 7: its 1.154
/// is 1 / cos 30°).
///
/// # Errors
/// The preload is negative, a coefficient of friction is outside 0 to 0.6, a length is not above zero, or the pitch is
/// over half of the diameter.
pub fn torque_with_friction(preload: Force, screw: ScrewFriction) -> Result<Torque, OutOfRange> {
    let (thread, bearing) = screw.arms()?;
    let preload = not_negative("preload", preload)?;
    Ok(Torque::new::<newton_meter>(preload.value * (thread + bearing).value))
}

/// Preload that a torque leaves, the inverse of [`torque_with_friction`].
///
/// # Errors
/// The torque is negative, and those of [`torque_with_friction`].
pub fn preload_with_friction(torque: Torque, screw: ScrewFriction) -> Result<Force, OutOfRange> {
    let (thread, bearing) = screw.arms()?;
    let torque = not_negative("tightening torque", torque)?;
    Ok(Force::new::<newton>(torque.get::<newton_meter>() / (thread + bearing).value))
}

/// Stress in the bolt while it is tightened to the preload F: σv = √(σ² + 3 τ²), σ = F / As, τ = 16 Tt / (π d0³), with
/// the torque Tt in the thread and the diameter d0 of the stress area (von Mises; VDI 2230, memory). It falls by the
/// twist once the wrench is off.
///
/// # Errors
/// Those of [`torque_with_friction`].
pub fn tightening_stress(preload: Force, screw: ScrewFriction) -> Result<Pressure, OutOfRange> {
    let (thread, _) = screw.arms()?;
    let preload = not_negative("preload", preload)?;
    let tension: Pressure = preload / thread_stress_area(screw.diameter, screw.pitch)?;
    let mean = (thread_pitch_diameter(screw.diameter, screw.pitch)?
        + thread_minor_diameter(screw.diameter, screw.pitch)?)
        / 2.0;
    let shear: Pressure = preload * thread / (mean * mean * mean) * (16.0 / PI);
    Ok((tension * tension + shear * shear * 3.0).sqrt())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn screw(d: f64, p: f64, mu: f64) -> ScrewFriction {
        ScrewFriction {
            diameter: Length::new::<millimeter>(d),
            pitch: Length::new::<millimeter>(p),
            bearing_diameter: Length::new::<millimeter>(1.3 * d),
            thread_friction: Ratio::from(mu),
            bearing_friction: Ratio::from(mu),
        }
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
        let torque = torque_with_friction(Force::new::<newton>(1000.0), screw(10.0, 1.5, 0.15)).expect("in range");
        assert!((torque.value / (1000.0 * 0.010) - 0.20).abs() < 0.01);
    }

    #[test]
    fn the_table_of_tightening_torques_is_met() {
        // M10, class 8.8, friction 0.12 throughout: VDI 2230 table A1 gives 27.3 kN and 46 N m at 90 % of the yield
        // strength (memory; head width 16 mm, hole 11 mm: mean face diameter 13.25 mm).
        let mut m10 = screw(10.0, 1.5, 0.12);
        m10.bearing_diameter = Length::new::<millimeter>(13.25);
        let preload = Force::new::<newton>(27_300.0);
        let stress = tightening_stress(preload, m10).expect("in range");
        assert!((stress.value / (0.9 * 640e6) - 1.0).abs() < 0.03, "{}", stress.value);
        let torque = torque_with_friction(preload, m10).expect("in range");
        assert!((torque.value / 46.0 - 1.0).abs() < 0.06, "{}", torque.value);
    }

    #[test]
    fn refuses_glue_and_ice() {
        assert!(torque_with_friction(Force::new::<newton>(1000.0), screw(10.0, 1.5, 0.7)).is_err());
        assert!(torque_with_friction(Force::new::<newton>(1000.0), screw(10.0, 1.5, -0.1)).is_err());
        assert!(thread_pitch_diameter(Length::new::<millimeter>(2.0), Length::new::<millimeter>(1.5)).is_err());
    }

    proptest! {
        #[test]
        fn torque_and_preload_undo_each_other(d in 4.0..24.0f64, share in 0.08..0.2f64, mu in 0.0..0.5f64, f in 10.0..2e5f64) {
            let screw = screw(d, share * d, mu);
            let torque = torque_with_friction(Force::new::<newton>(f), screw).expect("in range");
            let back = preload_with_friction(torque, screw).expect("in range");
            prop_assert!((back.value / f - 1.0).abs() < 1e-9);
            // Without friction the work of a turn lifts the load by one pitch.
            if mu == 0.0 {
                prop_assert!((torque.value * 2.0 * PI / (f * screw.pitch.value) - 1.0).abs() < 1e-9);
            }
            prop_assert!(tightening_stress(Force::new::<newton>(f), screw).expect("in range")
                > Force::new::<newton>(f) / thread_stress_area(screw.diameter, screw.pitch).expect("a thread"));
        }
    }
}
