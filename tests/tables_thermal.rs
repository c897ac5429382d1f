//! Holds cooling, air and atmosphere against tables made by general-purpose reference libraries; the scripts that made
//! them, with the versions, stand in `tests/reference/`.

#[path = "reference/tables.rs"]
mod tables;

use tables::{near, numbers, table};
use tramgauge::physics::air::{
    air_conductivity, air_density, air_specific_heat, air_viscosity, gas_constant_of_air, speed_of_sound,
};
use tramgauge::physics::atmosphere::standard_atmosphere;
use tramgauge::physics::cooling::coolant::{
    Glycol, coolant_conductivity, coolant_density, coolant_freezing_point, coolant_specific_heat, coolant_viscosity,
    glycol_mass_share,
};
use tramgauge::physics::cooling::exchanger::{
    effectiveness_counterflow, effectiveness_crossflow, effectiveness_crossflow_approximate, log_mean_difference,
};
use tramgauge::physics::cooling::saturation::{boiling_point_water, vapour_pressure_water};
use uom::si::f64::{Length, Pressure, Ratio, ThermodynamicTemperature};
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::thermodynamic_temperature::{degree_celsius, kelvin};

fn glycol_of(row: &[serde_json::Value]) -> &str {
    row.first().and_then(serde_json::Value::as_str).expect("a name")
}

fn kelvins(value: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<kelvin>(value)
}

#[test]
fn boiling_points_agree_with_iapws() {
    for row in table("cooling_saturation.json", 15) {
        let [t, p] = numbers(&row)[..] else { panic!("two columns") };
        let what = format!("water at {t} K");
        near(&what, vapour_pressure_water(kelvins(t)).expect("in range").value, p, 5e-7);
        let boils = boiling_point_water(Pressure::new::<pascal>(p)).expect("in range");
        near(&what, boils.get::<kelvin>(), t, 5e-8);
    }
}

#[test]
fn effectiveness_agrees_with_ht() {
    for row in table("cooling_exchangers.json", 15) {
        let [n, c, exact, approximate, counterflow] = numbers(&row)[..] else { panic!("five columns") };
        let (n, c) = (Ratio::from(n), Ratio::from(c));
        let what = format!("{} units at {}", n.value, c.value);
        // The library integrates numerically.
        near(&what, effectiveness_crossflow(n, c).expect("in range").value, exact, 1e-6);
        near(&what, effectiveness_crossflow_approximate(n, c).expect("in range").value, approximate, 1e-7);
        near(&what, effectiveness_counterflow(n, c).expect("in range").value, counterflow, 1e-7);
    }
}

#[test]
fn mean_differences_agree_with_ht() {
    for row in table("cooling_mean_differences.json", 6) {
        let [a, b, c, d, mean] = numbers(&row)[..] else { panic!("five columns") };
        let celsius = ThermodynamicTemperature::new::<degree_celsius>;
        let got = log_mean_difference(celsius(a), celsius(b), celsius(c), celsius(d)).expect("in range");
        near(&format!("{a}-{b} against {c}-{d}"), got.value, mean, 1e-7);
    }
}

#[test]
fn coolants_agree_with_coolprop_and_iapws() {
    for row in table("cooling_coolants.json", 15) {
        let [share, t, density, heat, viscosity, conductivity] = numbers(&row)[..] else { panic!("six numbers") };
        let glycol = Glycol::named(glycol_of(&row)).expect("a glycol");
        let (share, t) = (Ratio::from(share), kelvins(t));
        let what = format!("{} {} at {} K", share.value, glycol_of(&row), t.get::<kelvin>());
        near(&what, coolant_density(glycol, share, t).expect("in range").value, density, 1e-3);
        near(&what, coolant_specific_heat(glycol, share, t).expect("in range").value, heat, 3.5e-3);
        near(&what, coolant_viscosity(glycol, share, t).expect("in range").value, viscosity, 3.5e-2);
        near(&what, coolant_conductivity(glycol, share, t).expect("in range").value, conductivity, 3.5e-3);
    }
}

#[test]
fn freezing_points_agree_with_coolprop() {
    for row in table("cooling_freezing.json", 15) {
        let [volume, t] = numbers(&row)[..] else { panic!("two numbers") };
        let glycol = Glycol::named(glycol_of(&row)).expect("a glycol");
        let mass = glycol_mass_share(glycol, Ratio::from(volume)).expect("in range");
        let got = coolant_freezing_point(glycol, mass).expect("in range").get::<kelvin>();
        assert!((got - t).abs() < 0.3, "{volume} {}: {got} K, expected {t} K", glycol_of(&row));
    }
}

#[test]
fn air_agrees_with_coolprop() {
    for row in table("air_properties.json", 15) {
        let [t, p, density, heat, viscosity, conductivity, sound] = numbers(&row)[..] else { panic!("seven columns") };
        let (state, pressure) = (kelvins(t), Pressure::new::<pascal>(p));
        let what = format!("air at {t} K and {p} Pa");
        near(&what, air_density(pressure, state).expect("in range").value, density, 4e-3);
        // The fits are for 1 atm; pressure moves the heat capacity of cold air most.
        near(&what, air_specific_heat(state).expect("in range").value, heat, 5e-3);
        near(&what, air_viscosity(state).expect("in range").value, viscosity, 3e-3);
        near(&what, air_conductivity(state).expect("in range").value, conductivity, 6e-3);
        if (253.0..330.0).contains(&t) {
            let speed = speed_of_sound(state, gas_constant_of_air(), Ratio::from(1.4)).expect("in range");
            near(&what, speed.value, sound, 3e-3);
        }
    }
}

#[test]
fn the_atmosphere_agrees_with_fluids() {
    for row in table("air_atmosphere.json", 15) {
        let [height, t, p, density] = numbers(&row)[..] else { panic!("four columns") };
        let state = standard_atmosphere(Length::new::<meter>(height)).expect("in range");
        let what = format!("{height} m");
        near(&what, state.temperature.get::<kelvin>(), t, 1e-6);
        near(&what, state.pressure.value, p, 1e-5);
        near(&what, state.density.value, density, 2e-5);
    }
}
