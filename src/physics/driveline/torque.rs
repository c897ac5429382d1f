//! The torque in the line: what the engine can send into it and what the tyres can hold.
//!
//! In come torque, ratios, friction and load; out come the torque of the propeller shaft and of one half shaft. Losses are
//! left out: they would only make the sums look better than they are.

use uom::si::f64::{Force, Length, Ratio, Torque};
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use crate::physics::range::{OutOfRange, not_negative, positive, within};

/// The torque which the engine sends into the propeller shaft in one gear.
///
/// `T = T_engine i_gear k`, with `k` the shock factor of clutch and driver.
///
/// # Errors
/// A negative torque; a ratio that is not above zero; a shock factor outside 1 to 10.
///
/// Source: power flow without loss.
pub fn shaft_torque_from_engine(
    engine_torque: Torque,
    gear_ratio: Ratio,
    shock_factor: Ratio,
) -> Result<Torque, OutOfRange> {
    let engine_torque = not_negative("torque of the engine", engine_torque)?;
    let gear_ratio = positive("ratio of the gear", gear_ratio)?;
    let show = |factor: Ratio| format!("{:.2}", factor.value);
    let shock = within("shock factor", shock_factor, Ratio::new::<ratio>(1.0), Ratio::new::<ratio>(10.0), show)?;
    Ok(engine_torque * gear_ratio.value * shock.value)
}

/// The torque in the propeller shaft at which the tyres of the driven axle let go.
///
/// `T = mu F r / i_final`
///
/// # Errors
/// A negative friction or load; a radius or ratio that is not above zero.
///
/// Source: equilibrium of the driven wheels.
pub fn shaft_torque_from_tyres(
    friction: Ratio,
    axle_load: Force,
    rolling_radius: Length,
    final_drive: Ratio,
) -> Result<Torque, OutOfRange> {
    let friction = not_negative("friction of the tyres", friction)?;
    let load = not_negative("load of the driven axle", axle_load)?;
    let radius = positive("rolling radius", rolling_radius)?;
    let final_drive = positive("ratio of the final drive", final_drive)?;
    Ok(Torque::new::<newton_meter>(friction.value * load.value * radius.value / final_drive.value))
}

/// The torque of one half shaft.
///
/// `T = T_shaft i_final s`, with `s` the share that one side can take: 0.5 with an open differential, 1 with a locked one.
///
/// # Errors
/// A negative torque; a ratio that is not above zero; a share outside 0 to 1.
///
/// Source: power flow without loss.
pub fn half_shaft_torque(shaft_torque: Torque, final_drive: Ratio, share: Ratio) -> Result<Torque, OutOfRange> {
    let torque = not_negative("torque of the shaft", shaft_torque)?;
    let final_drive = positive("ratio of the final drive", final_drive)?;
    let show = |share: Ratio| format!("{:.3}", share.value);
    let share = within("share of one side", share, Ratio::new::<ratio>(0.0), Ratio::new::<ratio>(1.0), show)?;
    Ok(torque * final_drive.value * share.value)
}

/// The share of the torque that one side takes of a differential with a torque bias ratio.
///
/// `s = b / (1 + b)`
///
/// # Errors
/// A bias ratio below 1.
///
/// Source: definition of the bias ratio, the torque of the slower wheel over that of the faster.
pub fn bias_share(bias_ratio: Ratio) -> Result<Ratio, OutOfRange> {
    let show = |bias: Ratio| format!("{:.3}", bias.value);
    let b = within("torque bias ratio", bias_ratio, Ratio::new::<ratio>(1.0), Ratio::new::<ratio>(1e6), show)?.value;
    Ok(Ratio::new::<ratio>(b / (1.0 + b)))
}
