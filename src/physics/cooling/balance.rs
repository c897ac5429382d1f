//! The steady balance of a cooling system: the temperature at which the core passes on what the engine gives, the flow
//! of coolant, and where the fuel's heat goes.

use uom::si::f64::{
    AvailableEnergy, MassDensity, MassRate, Power, Pressure, Ratio, SpecificHeatCapacity, TemperatureInterval,
    ThermalConductance, ThermodynamicTemperature, VolumeRate,
};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::coolant::{Glycol, coolant_density, coolant_freezing_point, coolant_specific_heat};
use super::exchanger::{HeatExchange, Streams, effectiveness_crossflow};
use crate::physics::air::{air_density, air_specific_heat};
use crate::physics::range::{OutOfRange, not_negative, positive, within};
use crate::physics::temperature::difference;
use crate::search::root_between;

/// The steady state of a radiator which has to pass on the heat Q: the coolant enters it at air + Q / (ε Cmin).
///
/// `coolant_capacity` and `air_capacity` are the heat capacity flows, mass flow times specific heat; `conductance` is
/// U A of the core. The thermostat is taken as open.
///
/// # Errors
/// The heat is negative, a capacity flow or the conductance is not above zero, or U A / Cmin is above 50.
pub fn coolant_balance(
    heat: Power,
    air_in: ThermodynamicTemperature,
    coolant_capacity: ThermalConductance,
    air_capacity: ThermalConductance,
    conductance: ThermalConductance,
) -> Result<HeatExchange, OutOfRange> {
    let heat = not_negative("heat to the coolant", heat)?;
    let air_in = positive("temperature of the air", air_in)?;
    let streams = Streams::new(coolant_capacity, air_capacity, conductance)?;
    let above: TemperatureInterval = heat / (streams.effectiveness * streams.least);
    Ok(streams.exchange(heat, air_in + above, air_in))
}

/// The steady state of a radiator by the flows that a builder knows: [`coolant_balance`] with the heat capacities of
/// air at its inlet and of the coolant at the mean of its temperatures, found by going round until they agree.
///
/// Above 125 °C the coolant's properties are taken at 125 °C: the answer then only says how far too hot it is.
///
/// # Errors
/// The heat is negative, a flow or the conductance is not above zero, the share of glycol is outside 0 to 0.6, the air
/// is outside -40 to 400 °C, or U A / Cmin is above 50.
pub fn radiator_balance(
    heat: Power,
    glycol: Glycol,
    glycol_mass_share: Ratio,
    coolant_flow: VolumeRate,
    air_flow: MassRate,
    air_in: ThermodynamicTemperature,
    conductance: ThermalConductance,
) -> Result<HeatExchange, OutOfRange> {
    let air_capacity: ThermalConductance = positive("air flow", air_flow)? * air_specific_heat(air_in)?;
    let coolant_flow = positive("coolant flow", coolant_flow)?;
    let (coldest, hottest) = (coolant_freezing_point(glycol, glycol_mass_share)?, celsius(125.0));
    let state_at = |mean: ThermodynamicTemperature| -> Result<HeatExchange, OutOfRange> {
        let mean = mean.max(coldest).min(hottest);
        let mass_flow: MassRate = coolant_flow * coolant_density(glycol, glycol_mass_share, mean)?;
        let specific_heat = coolant_specific_heat(glycol, glycol_mass_share, mean)?;
        coolant_balance(heat, air_in, mass_flow * specific_heat, air_capacity, conductance)
    };
    let mut state = state_at(celsius(90.0))?;
    // The heat capacity changes by a tenth of a percent per kelvin at most: each round gains two digits or more.
    for _ in 0..6 {
        state = state_at(state.hot_in - difference(state.hot_in, state.hot_out) / 2.0)?;
    }
    Ok(state)
}

fn celsius(value: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(value)
}

/// Conductance of a core at another air flow than the one where it is known: U A = U A0 (m / m0)^n. The air's side is
/// the poor one; n is 0.5 to 0.65 for finned tube cores (memory).
///
/// # Errors
/// A flow or the conductance is not above zero, the flows differ by more than a factor of four, or the exponent is
/// outside 0.3 to 0.8.
pub fn conductance_at_air_flow(
    known: ThermalConductance,
    known_at: MassRate,
    air_flow: MassRate,
    exponent: Ratio,
) -> Result<ThermalConductance, OutOfRange> {
    let show = |r: Ratio| format!("{:.3}", r.value);
    let exponent = within("exponent of the air flow", exponent, Ratio::from(0.3), Ratio::from(0.8), show)?;
    let flows: Ratio = positive("air flow", air_flow)? / positive("air flow of the known conductance", known_at)?;
    let flows = within("air flow over the known one", flows, Ratio::from(0.25), Ratio::from(4.0), show)?;
    Ok(positive("conductance of the core", known)? * flows.value.powf(exponent.value))
}

/// The conductance U A which a crossflow core must have to pass on the heat Q from a hot stream entering at `hot_in`
/// to a cold one entering at `cold_in`; on a run with measured temperatures, the conductance that the core has.
///
/// The effectiveness Q / (Cmin (hot in - cold in)) is inverted numerically.
///
/// # Errors
/// The heat, a capacity flow or the temperature difference is not above zero, or no core of less than 50 transfer units
/// passes on so much.
pub fn conductance_for(
    heat: Power,
    hot_in: ThermodynamicTemperature,
    cold_in: ThermodynamicTemperature,
    hot_capacity: ThermalConductance,
    cold_capacity: ThermalConductance,
) -> Result<ThermalConductance, OutOfRange> {
    let hot = positive("heat capacity flow of the hot stream", hot_capacity)?;
    let cold = positive("heat capacity flow of the cold stream", cold_capacity)?;
    let apart = positive("difference of the two inlet temperatures", difference(hot_in, cold_in))?;
    let least = hot.min(cold);
    let ratio: Ratio = least / hot.max(cold);
    let wanted: Ratio = positive("heat", heat)? / (least * apart);
    let most_units = 50.0;
    let most = effectiveness_crossflow(Ratio::from(most_units), ratio)?;
    if wanted > most {
        let allowed = format!("0 to {:.3}, which a core of 50 transfer units reaches", most.value);
        return Err(OutOfRange::new("effectiveness", format_args!("{:.3}", wanted.value), allowed));
    }
    let lacking = |units: f64| Ok((effectiveness_crossflow(Ratio::from(units), ratio)? - wanted).value);
    let units = root_between(0.0, most_units, lacking)?.unwrap_or(most_units);
    Ok(least * Ratio::from(units))
}

/// V, the volume flow of coolant that carries the heat Q with the temperature drop ΔT: V = Q / (ρ c ΔT).
///
/// # Errors
/// The heat is negative, or another argument is not above zero.
pub fn coolant_flow(
    heat: Power,
    drop: TemperatureInterval,
    specific_heat: SpecificHeatCapacity,
    density: MassDensity,
) -> Result<VolumeRate, OutOfRange> {
    let per_volume = positive("density of the coolant", density)? * positive("specific heat", specific_heat)?;
    let drop = positive("temperature drop of the coolant", drop)?;
    Ok(not_negative("heat to the coolant", heat)? / (per_volume * drop))
}

/// What the air of a cooler takes up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirRise {
    /// Density of the air at the inlet.
    pub density: MassDensity,
    /// Mass flow of the air.
    pub mass_flow: MassRate,
    /// How much warmer the air leaves.
    pub rise: TemperatureInterval,
}

/// By how much the heat Q warms an air flow that is measured as a volume at the inlet: ΔT = Q / (ρ V c_p), c_p at the
/// inlet's temperature.
///
/// # Errors
/// The heat is negative, the flow or the absolute pressure is not above zero, or the temperature is outside -40 to 400
/// °C.
pub fn air_rise(
    heat: Power,
    flow: VolumeRate,
    pressure: Pressure,
    temperature: ThermodynamicTemperature,
) -> Result<AirRise, OutOfRange> {
    let density = air_density(pressure, temperature)?;
    let mass_flow: MassRate = positive("air flow", flow)? * density;
    let rise: ThermalConductance = mass_flow * air_specific_heat(temperature)?;
    Ok(AirRise { density, mass_flow, rise: not_negative("heat to the air", heat)? / rise })
}

/// Where the heat of the fuel goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatBalance {
    /// Heat of the fuel per time.
    pub fuel: Power,
    /// Heat that the coolant carries away.
    pub coolant: Power,
    /// Share of the coolant in the fuel's heat.
    pub coolant_share: Ratio,
    /// Heat that the exhaust carries away, above the air around.
    pub exhaust: Power,
    /// Share of the exhaust in the fuel's heat.
    pub exhaust_share: Ratio,
    /// What is left: work, oil, radiation.
    pub rest: Power,
}

/// Q = m c ΔT, the heat that a stream carries away.
///
/// # Errors
/// The mass flow is negative, or the heat capacity is not above zero.
pub fn carried_heat(
    flow: MassRate,
    specific_heat: SpecificHeatCapacity,
    rise: TemperatureInterval,
) -> Result<Power, OutOfRange> {
    Ok(not_negative("mass flow", flow)? * positive("specific heat", specific_heat)? * rise)
}

/// Heat balance of an engine on a test bench: fuel flow times heating value against what coolant and exhaust carry away
/// ([`carried_heat`]; the exhaust's mass flow is air and fuel together, its rise that above the air around).
///
/// # Errors
/// The fuel flow or the heating value is not above zero.
pub fn heat_balance(
    fuel_flow: MassRate,
    heating_value: AvailableEnergy,
    coolant: Power,
    exhaust: Power,
) -> Result<HeatBalance, OutOfRange> {
    let fuel: Power = positive("fuel flow", fuel_flow)? * positive("heating value", heating_value)?;
    Ok(HeatBalance {
        fuel,
        coolant,
        coolant_share: coolant / fuel,
        exhaust,
        exhaust_share: exhaust / fuel,
        rest: fuel - coolant - exhaust,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::mass_rate::kilogram_per_second;
    use uom::si::power::kilowatt;
    use uom::si::thermal_conductance::watt_per_kelvin;
    use uom::si::volume_rate::liter_per_minute;

    use super::super::exchanger::heat_exchange;
    use super::*;

    fn conductance(value: f64) -> ThermalConductance {
        ThermalConductance::new::<watt_per_kelvin>(value)
    }

    fn kilowatts(value: f64) -> Power {
        Power::new::<kilowatt>(value)
    }

    #[test]
    fn no_heat_leaves_the_coolant_at_the_airs_temperature() {
        let cold = coolant_balance(
            kilowatts(0.0),
            celsius(35.0),
            conductance(5000.0),
            conductance(1300.0),
            conductance(1500.0),
        )
        .expect("in range");
        assert_eq!(cold.hot_in, celsius(35.0));
    }

    #[test]
    fn the_known_flows_give_the_known_capacities() {
        // 120 L/min of water at 90 °C is 1.931 kg/s; with 4205 J/(kg K) (IAPWS-IF97) it carries 8119 W/K.
        let state = radiator_balance(
            kilowatts(50.0),
            Glycol::Ethylene,
            Ratio::from(0.0),
            VolumeRate::new::<liter_per_minute>(120.0),
            MassRate::new::<kilogram_per_second>(1.3),
            celsius(35.0),
            conductance(1500.0),
        )
        .expect("in range");
        let by_hand = coolant_balance(
            kilowatts(50.0),
            celsius(35.0),
            conductance(8119.0),
            conductance(1.3 * 1006.7),
            conductance(1500.0),
        )
        .expect("in range");
        assert!(difference(state.hot_in, by_hand.hot_in).value.abs() < 0.1, "{:?} {:?}", state.hot_in, by_hand.hot_in);
    }

    #[test]
    fn a_boiling_radiator_is_answered_and_not_refused() {
        let hot = radiator_balance(
            kilowatts(200.0),
            Glycol::Ethylene,
            Ratio::from(0.5),
            VolumeRate::new::<liter_per_minute>(120.0),
            MassRate::new::<kilogram_per_second>(1.3),
            celsius(40.0),
            conductance(1500.0),
        );
        assert!(hot.is_ok_and(|state| state.hot_in > celsius(200.0)));
    }

    #[test]
    fn a_conductance_is_not_carried_far() {
        let at = |flow: f64, exponent: f64| {
            let (known, flow) = (MassRate::new::<kilogram_per_second>(1.0), MassRate::new::<kilogram_per_second>(flow));
            conductance_at_air_flow(conductance(1000.0), known, flow, Ratio::from(exponent))
        };
        assert!(at(2.0, 0.5).is_ok_and(|ua| (ua.value / (1000.0 * 2.0f64.sqrt()) - 1.0).abs() < 1e-12));
        assert!(at(4.1, 0.5).is_err() && at(0.2, 0.5).is_err() && at(2.0, 1.0).is_err());
    }

    #[test]
    fn no_core_passes_on_more_than_the_leaner_stream_can_carry() {
        let too_much =
            conductance_for(kilowatts(80.0), celsius(95.0), celsius(35.0), conductance(5000.0), conductance(1300.0));
        assert!(too_much.is_err_and(|e| e.what == "effectiveness"));
    }

    proptest! {
        #[test]
        fn the_balance_undoes_the_exchange(
            c in 1500.0..8000.0f64, a in 500.0..4000.0f64, ua in 100.0..5000.0f64, q in 1.0..200.0f64,
        ) {
            let state = coolant_balance(kilowatts(q), celsius(35.0), conductance(c), conductance(a), conductance(ua))
                .expect("in range");
            let back = heat_exchange(state.hot_in, state.cold_in, conductance(c), conductance(a), conductance(ua))
                .expect("in range");
            prop_assert!(((back.heat / kilowatts(q)).value - 1.0).abs() < 1e-9);
            let core = conductance_for(kilowatts(q), state.hot_in, state.cold_in, conductance(c), conductance(a))
                .expect("in range");
            // Where the effectiveness is nearly flat, the conductance that belongs to it is poorly known.
            let sameness = if state.transfer_units.value < 5.0 { 1e-6 } else { 0.2 };
            prop_assert!((core.value / ua - 1.0).abs() < sameness, "{} {}", core.value, ua);
        }

        #[test]
        fn more_air_or_core_cools_and_more_heat_warms(
            c in 1500.0..8000.0f64, a in 500.0..4000.0f64, ua in 100.0..5000.0f64,
        ) {
            let at = |q: f64, a: f64, ua: f64| {
                coolant_balance(kilowatts(q), celsius(35.0), conductance(c), conductance(a), conductance(ua))
                    .expect("in range").hot_in
            };
            prop_assert!(at(50.0, a * 1.05, ua) < at(50.0, a, ua));
            prop_assert!(at(50.0, a, ua * 1.05) < at(50.0, a, ua));
            prop_assert!(at(51.0, a, ua) > at(50.0, a, ua));
        }
    }
}
