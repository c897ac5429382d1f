//! The way of the air through a core: what the road speed drives, what a fan adds, and how large a mouth is needed.

use uom::si::f64::{Area, MassDensity, Pressure, Ratio, Velocity, VolumeRate};

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// Air driven through a ducted core by the road speed alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RamDuct {
    /// Dynamic pressure of the oncoming air.
    pub dynamic_pressure: Pressure,
    /// Speed of the air on the core's face.
    pub core_speed: Velocity,
    /// Volume flow through the core.
    pub flow: VolumeRate,
    /// Area of the oncoming air that the core swallows: the mouth that fits.
    pub capture_area: Area,
    /// That area over the area of the core.
    pub inlet_to_core: Ratio,
}

/// The upper bound of what the road speed V can drive through a core of loss coefficient K (pressure loss over the
/// dynamic pressure on its face): v = V / √(1 + K), with a loss-free mouth and the air's own pressure behind the core.
///
/// # Errors
/// The speed or the loss coefficient is negative, or the density or the area is not above zero.
pub fn ram_duct(
    road_speed: Velocity,
    density: MassDensity,
    core_loss: Ratio,
    core_area: Area,
) -> Result<RamDuct, OutOfRange> {
    let one = Ratio::from(1.0);
    let core_speed = duct_core_speed(road_speed, core_loss, one, Ratio::from(0.0), one)?;
    let core_area = positive("area of the core", core_area)?;
    let inlet_to_core = (one / (one + core_loss)).sqrt();
    Ok(RamDuct {
        dynamic_pressure: positive("density of the air", density)? * road_speed * road_speed / 2.0,
        core_speed,
        flow: core_speed * core_area,
        capture_area: core_area * inlet_to_core,
        inlet_to_core,
    })
}

/// v, the speed of the air on the face of a core in a real duct: v = V √((η - cp) / (K + 1 / φ²)).
///
/// η is the share of the dynamic pressure that the mouth and the diffuser save, cp the pressure coefficient where the
/// duct ends (negative in suction), K the loss coefficient of the core, φ the area of the duct's end over that of the
/// core. Where the end's pressure exceeds what was saved, no air flows, and the speed is zero.
///
/// # Errors
/// The speed or the loss coefficient is negative, the share saved is outside 0 to 1, the pressure coefficient is
/// outside -3 to 1, or the area ratio is not above zero.
pub fn duct_core_speed(
    road_speed: Velocity,
    core_loss: Ratio,
    pressure_saved: Ratio,
    end_pressure_coefficient: Ratio,
    end_to_core: Ratio,
) -> Result<Velocity, OutOfRange> {
    let show = |r: Ratio| r.value.to_string();
    let speed = not_negative("road speed", road_speed)?;
    let loss = not_negative("loss coefficient of the core", core_loss)?;
    let saved = within("share of dynamic pressure saved", pressure_saved, Ratio::from(0.0), Ratio::from(1.0), show)?;
    let (low, high) = (Ratio::from(-3.0), Ratio::from(1.0));
    let behind = within("pressure coefficient of the duct's end", end_pressure_coefficient, low, high, show)?;
    let end = positive("area of the duct's end over that of the core", end_to_core)?;
    let driving = (saved - behind).max(Ratio::from(0.0));
    let drive: Ratio = driving / (loss + Ratio::from(1.0) / (end * end));
    Ok(speed * drive.sqrt())
}

/// The volume flow through a core with a fan and the road speed together.
///
/// The fan's curve is taken as the straight line from `fan_pressure` at no flow to `fan_flow` in the free, the core's
/// loss as ρ/2 (K + 1) (V / A)², and the road speed adds `ram_pressure`. Where the road speed drives more than the fan
/// passes freely, the fan is taken as turning idly and adding nothing.
///
/// # Errors
/// The ram pressure or the loss coefficient is negative, or another argument is not above zero.
pub fn fan_and_ram_flow(
    fan_pressure: Pressure,
    fan_flow: VolumeRate,
    ram_pressure: Pressure,
    density: MassDensity,
    core_loss: Ratio,
    core_area: Area,
) -> Result<VolumeRate, OutOfRange> {
    let fan = positive("pressure of the fan at no flow", fan_pressure)?;
    let free = positive("free flow of the fan", fan_flow)?;
    let ram = not_negative("ram pressure", ram_pressure)?;
    let area = positive("area of the core", core_area)?;
    let loss = not_negative("loss coefficient of the core", core_loss)? + Ratio::from(1.0);
    let density = positive("density of the air", density)?;
    let per_flow_squared = density * loss / (area * area * 2.0);
    let by_ram: VolumeRate = (ram / per_flow_squared).sqrt();
    if by_ram >= free {
        return Ok(by_ram);
    }
    // The positive root of a V² + b V - c = 0, a the core's loss, b the slope of the fan's line.
    let slope = fan / free;
    let root = (slope * slope + per_flow_squared * (fan + ram) * 4.0).sqrt();
    Ok((root - slope) / (per_flow_squared * 2.0))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::area::square_meter;
    use uom::si::mass_density::kilogram_per_cubic_meter;
    use uom::si::pressure::pascal;
    use uom::si::velocity::meter_per_second;
    use uom::si::volume_rate::cubic_meter_per_second;

    use super::*;

    fn flow(fan: f64, free: f64, ram: f64, loss: f64) -> f64 {
        fan_and_ram_flow(
            Pressure::new::<pascal>(fan),
            VolumeRate::new::<cubic_meter_per_second>(free),
            Pressure::new::<pascal>(ram),
            MassDensity::new::<kilogram_per_cubic_meter>(1.2),
            Ratio::from(loss),
            Area::new::<square_meter>(0.2),
        )
        .expect("in range")
        .value
    }

    #[test]
    fn a_duct_that_ends_in_pressure_passes_nothing() {
        let speed = Velocity::new::<meter_per_second>(30.0);
        let still = duct_core_speed(speed, Ratio::from(8.0), Ratio::from(0.5), Ratio::from(0.6), Ratio::from(1.0));
        assert!(still.is_ok_and(|v| v.value == 0.0));
        assert!(
            duct_core_speed(speed, Ratio::from(-1.0), Ratio::from(0.5), Ratio::from(0.0), Ratio::from(1.0)).is_err()
        );
        assert!(
            duct_core_speed(speed, Ratio::from(8.0), Ratio::from(1.5), Ratio::from(0.0), Ratio::from(1.0)).is_err()
        );
    }

    proptest! {
        #[test]
        fn the_flow_meets_both_the_fans_line_and_the_cores_loss(
            fan in 50.0..400.0f64, free in 0.3..2.0f64, ram in 0.0..300.0f64, loss in 2.0..20.0f64,
        ) {
            let v = flow(fan, free, ram, loss);
            let core = 0.6 * (loss + 1.0) * (v / 0.2).powi(2);
            let driving = ram + (fan * (1.0 - v / free)).max(0.0);
            prop_assert!((core / driving - 1.0).abs() < 1e-6);
        }

        #[test]
        fn speed_and_suction_help_and_loss_hinders(v in 5.0..60.0f64, loss in 1.0..20.0f64, end in 0.3..2.0f64) {
            let at = |v: f64, loss: f64, cp: f64| duct_core_speed(
                Velocity::new::<meter_per_second>(v), Ratio::from(loss), Ratio::from(0.8), Ratio::from(cp),
                Ratio::from(end),
            ).expect("in range").value;
            prop_assert!((at(2.0 * v, loss, -0.1) / at(v, loss, -0.1) - 2.0).abs() < 1e-9);
            prop_assert!(at(v, loss + 1.0, 0.0) < at(v, loss, 0.0));
            prop_assert!(at(v, loss, -0.2) > at(v, loss, 0.0));
        }
    }
}
