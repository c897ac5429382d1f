//! The steady balance of a cooling system: the temperature at which the core passes on what the engine gives, the flow
//! of coolant, and where the fuel's heat goes.

use uom::si::f64::{
    AvailableEnergy, MassDensity, MassRate, Power, Pressure, Ratio, SpecificHeatCapacity, TemperatureInterval,
    ThermalConductance, ThermodynamicTemperature, VolumeRate,
};

use super::exchanger::{HeatExchange, Streams, effectiveness_crossflow};
use crate::physics::air::{air_density, air_specific_heat};
use crate::physics::range::{OutOfRange, not_negative, positive};
use crate::physics::temperature::difference;

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

/// The conductance U A which a crossflow core must have to pass on the heat Q from a hot stream entering at `hot_in`
/// to a cold one entering at `cold_in`; on a run with measured temperatures, the conductance that the core has.
///
/// The effectiveness Q / (Cmin (hot in - cold in)) is inverted by bisection.
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
    let (mut low, mut high) = (0.0, 50.0);
    let most = effectiveness_crossflow(Ratio::from(high), ratio)?;
    if wanted > most {
        let allowed = format!("0 to {:.3}, which a core of 50 transfer units reaches", most.value);
        return Err(OutOfRange::new("effectiveness", format_args!("{:.3}", wanted.value), allowed));
    }
    // 60 halvings of 50 leave less than a double resolves.
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if effectiveness_crossflow(Ratio::from(middle), ratio)? < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(least * Ratio::from((low + high) / 2.0))
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

/// One stream which carries heat away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarriedHeat {
    /// Mass flow.
    pub flow: MassRate,
    /// Specific heat capacity.
    pub specific_heat: SpecificHeatCapacity,
    /// How much warmer it leaves than it came.
    pub rise: TemperatureInterval,
}

impl CarriedHeat {
    fn heat(&self) -> Power {
        self.flow * self.specific_heat * self.rise
    }
}

/// Heat balance of an engine on a test bench: fuel flow times heating value against what coolant and exhaust carry
/// away. The exhaust's flow is the sum of air and fuel.
///
/// # Errors
/// The fuel flow or the heating value is not above zero.
pub fn heat_balance(
    fuel_flow: MassRate,
    heating_value: AvailableEnergy,
    coolant: CarriedHeat,
    exhaust: CarriedHeat,
) -> Result<HeatBalance, OutOfRange> {
    let fuel: Power = positive("fuel flow", fuel_flow)? * positive("heating value", heating_value)?;
    let (coolant, exhaust) = (coolant.heat(), exhaust.heat());
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
    use uom::si::power::kilowatt;
    use uom::si::thermal_conductance::watt_per_kelvin;
    use uom::si::thermodynamic_temperature::degree_celsius;

    use super::super::exchanger::heat_exchange;
    use super::*;

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

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
    fn no_core_passes_on_more_than_the_leaner_stream_can_carry() {
        let too_much =
            conductance_for(kilowatts(80.0), celsius(95.0), celsius(35.0), conductance(5000.0), conductance(1300.0));
        assert!(too_much.is_err_and(|e| e.what == "effectiveness"));
    }

    proptest! {
        #[test]
        fn the_balance_undoes_the_exchange(c in 1500.0..8000.0f64, a in 500.0..4000.0f64, ua in 100.0..5000.0f64, q in 1.0..200.0f64) {
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
        fn more_air_or_core_cools_and_more_heat_warms(c in 1500.0..8000.0f64, a in 500.0..4000.0f64, ua in 100.0..5000.0f64) {
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
