//! Beams under one cross load: greatest moment and the deflection under the load. Harness bars, brackets, pedal mounts.

use uom::si::f64::{Force, Length, Pressure, Torque, Volume};
use uom::si::length::millimeter;
use uom::si::pressure::pascal;
use uom::si::torque::newton_meter;

use super::range::{OutOfRange, positive, within};
use super::tube::AreaMoment;

/// What a cross load does to a beam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeamLoad {
    /// Greatest bending moment, without its sign.
    pub moment: Torque,
    /// Deflection at the place of the load.
    pub deflection: Length,
}

/// A beam held at one end, with the load F at the distance l from there: M = F l, f = F l³ / (3 E I).
///
/// # Errors
/// The length, the modulus or the second moment is not above zero.
pub fn cantilever(
    force: Force,
    length: Length,
    modulus: Pressure,
    second_moment: AreaMoment,
) -> Result<BeamLoad, OutOfRange> {
    let length = positive("length of the beam", length)?;
    let deflection = force * length * length * length / stiffness(modulus, second_moment)? / 3.0;
    Ok(BeamLoad { moment: moment(force, length), deflection })
}

/// A beam that rests on two supports a span l apart, with the load F at the distance a from one and b from the other:
/// M = F a b / l, f = F a² b² / (3 E I l).
///
/// # Errors
/// The span, the modulus or the second moment is not above zero, or the load stands outside the span.
pub fn beam_on_supports(
    force: Force,
    span: Length,
    load_at: Length,
    modulus: Pressure,
    second_moment: AreaMoment,
) -> Result<BeamLoad, OutOfRange> {
    let (a, b) = parts(span, load_at)?;
    let deflection = force * a * a * b * b / (stiffness(modulus, second_moment)? * span) / 3.0;
    Ok(BeamLoad { moment: moment(force, a * (b / span)), deflection })
}

/// A beam held fast at both ends, with the load F at the distance a from one and b from the other: the moment is
/// greatest at the nearer end, M = F a b² / l² with a <= b, and f = F a³ b³ / (3 E I l³). Welded tubes lie between
/// this and [`beam_on_supports`].
///
/// # Errors
/// Those of [`beam_on_supports`].
pub fn beam_held_at_both_ends(
    force: Force,
    span: Length,
    load_at: Length,
    modulus: Pressure,
    second_moment: AreaMoment,
) -> Result<BeamLoad, OutOfRange> {
    let (one, other) = parts(span, load_at)?;
    let (near, far) = (one.min(other), one.max(other));
    let share = far / span;
    let shares = share * share * share * (near / span);
    let deflection = force * near * near * shares * span / stiffness(modulus, second_moment)? / 3.0;
    Ok(BeamLoad { moment: moment(force, near * share * share), deflection })
}

/// σ = M / W, stress in the outermost fibre of a section of the modulus W.
///
/// # Errors
/// The section modulus is not above zero.
pub fn bending_stress(moment: Torque, section_modulus: Volume) -> Result<Pressure, OutOfRange> {
    let modulus = positive("section modulus", section_modulus)?;
    Ok(Pressure::new::<pascal>(moment.get::<newton_meter>() / modulus.value))
}

fn parts(span: Length, load_at: Length) -> Result<(Length, Length), OutOfRange> {
    let span = positive("span of the beam", span)?;
    let show = |l: Length| format!("{:.1} mm", l.get::<millimeter>());
    let at = within("place of the load", load_at, Length::default(), span, show)?;
    Ok((at, span - at))
}

fn moment(force: Force, arm: Length) -> Torque {
    Torque::new::<newton_meter>((force.value * arm.value).abs())
}

/// E I.
type FlexuralRigidity = uom::si::Quantity<
    uom::si::ISQ<
        uom::typenum::P3,
        uom::typenum::P1,
        uom::typenum::N2,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
        uom::typenum::Z0,
    >,
    uom::si::SI<f64>,
    f64,
>;

fn stiffness(modulus: Pressure, second_moment: AreaMoment) -> Result<FlexuralRigidity, OutOfRange> {
    Ok(positive("modulus of elasticity", modulus)? * positive("second moment of area", second_moment)?)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::force::newton;
    use uom::si::length::meter;
    use uom::si::pressure::gigapascal;

    use super::super::tube::tube_section;
    use super::*;

    fn section() -> AreaMoment {
        tube_section(Length::new::<millimeter>(38.1), Length::new::<millimeter>(2.5)).expect("a tube").second_moment
    }

    fn loaded(
        beam: fn(Force, Length, Length, Pressure, AreaMoment) -> Result<BeamLoad, OutOfRange>,
        f: f64,
        l: f64,
        a: f64,
    ) -> BeamLoad {
        let steel = Pressure::new::<gigapascal>(206.0);
        beam(Force::new::<newton>(f), Length::new::<meter>(l), Length::new::<meter>(a), steel, section())
            .expect("in range")
    }

    #[test]
    fn in_the_middle_the_handbook_numbers_come_out() {
        // F l / 4 and F l³ / 48 E I on supports; F l / 8 and F l³ / 192 E I held: any handbook of beams (memory).
        let stiffness = 206e9 * section().value;
        let (on_supports, held) =
            (loaded(beam_on_supports, 1000.0, 1.2, 0.6), loaded(beam_held_at_both_ends, 1000.0, 1.2, 0.6));
        assert!((on_supports.moment.value - 300.0).abs() < 1e-9 && (held.moment.value - 150.0).abs() < 1e-9);
        assert!((on_supports.deflection.value / (1728.0 / 48.0 / stiffness) - 1.0).abs() < 1e-9);
        assert!((held.deflection.value / (1728.0 / 192.0 / stiffness) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_load_beside_the_beam_is_refused() {
        let steel = Pressure::new::<gigapascal>(206.0);
        let (force, span) = (Force::new::<newton>(1.0), Length::new::<meter>(1.0));
        assert!(beam_on_supports(force, span, Length::new::<meter>(1.1), steel, section()).is_err());
        assert!(cantilever(force, span, steel, AreaMoment::default()).is_err());
        assert!(bending_stress(Torque::new::<newton_meter>(1.0), Volume::default()).is_err());
    }

    proptest! {
        #[test]
        fn left_and_right_are_alike_and_holding_helps(f in 1.0..5e4f64, l in 0.1..3.0f64, share in 0.01..0.99f64) {
            let here = loaded(beam_on_supports, f, l, share * l);
            let there = loaded(beam_on_supports, f, l, (1.0 - share) * l);
            prop_assert!(((here.deflection / there.deflection).value - 1.0).abs() < 1e-9);
            let held = loaded(beam_held_at_both_ends, f, l, share * l);
            prop_assert!(held.deflection < here.deflection && held.moment.value <= here.moment.value * (1.0 + 1e-12));
        }
    }
}
