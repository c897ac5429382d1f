//! Water and its mixtures with glycol as a coolant carries them: density, heat capacity, viscosity, conductivity,
//! freezing and boiling point.
//!
//! Shares are by mass inside; cans are labelled by volume, and [`glycol_mass_share`] goes from one to the other. A mass
//! share of zero is water. The fits rest on Melinder (2010, "Properties of secondary working fluids for indirect
//! systems") as CoolProp 8.0.0 carries it up to 100 °C, and on IAPWS-IF97 for water up to 130 °C.

use uom::si::dynamic_viscosity::pascal_second;
use uom::si::f64::{
    DynamicViscosity, MassDensity, MolarMass, Pressure, Ratio, SpecificHeatCapacity, ThermalConductivity,
    ThermodynamicTemperature,
};
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::molar_mass::gram_per_mole;
use uom::si::ratio::percent;
use uom::si::specific_heat_capacity::joule_per_kilogram_kelvin;
use uom::si::thermal_conductivity::watt_per_meter_kelvin;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::saturation::boiling_point_water;
use crate::physics::range::{OutOfRange, within};
use crate::physics::temperature::in_words;

/// What the water is mixed with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Glycol {
    /// Ethane-1,2-diol, the usual antifreeze.
    Ethylene,
    /// Propane-1,2-diol, the less poisonous one.
    Propylene,
}

/// Coefficients of a fit, in the order of [`powers`].
type Coefficients = [f64; 13];

const ETHYLENE_DENSITY: Coefficients = [
    992.269, -35.3718, -37.8659, 6.29046, 112.768, -36.9299, 32.0499, 2.30468, 60.4023, -95.4332, 8.33678, -80.4914,
    125.052,
];
const ETHYLENE_HEAT: Coefficients = [
    4174.96, -25.0578, 152.133, -5.99485, -1038.94, 1061.63, -839.593, -76.6428, -1053.5, -128.729, 519.418, 186.963,
    2.12999,
];
const ETHYLENE_VISCOSITY: Coefficients = [
    -7.34701, -1.95265, 1.18601, -0.396292, 2.45061, -0.844947, 1.01356, -1.98766, -0.700317, 0.779309, 0.35513,
    0.978502, -1.54657,
];
const ETHYLENE_CONDUCTIVITY: Coefficients = [
    0.627813, 0.138545, -0.0901904, 0.00220492, -0.490649, -0.270498, 0.380014, -0.0086722, -0.0319336, 0.461473,
    -0.394938, 0.208456, -0.44704,
];
const PROPYLENE_DENSITY: Coefficients = [
    992.491, -36.6893, -38.2218, 9.25271, 62.3112, -17.0827, 61.0214, 6.62803, 49.0592, -239.042, -31.0938, -86.8267,
    262.344,
];
const PROPYLENE_HEAT: Coefficients = [
    4176.78, -31.6401, 118.359, 16.3271, -683.113, 1736.8, -556.618, -43.0322, -559.386, -3245.12, 581.541, -655.198,
    2820.48,
];
const PROPYLENE_VISCOSITY: Coefficients = [
    -7.3101, -1.89941, 1.15029, -0.54028, 2.30806, -1.61553, 3.96556, -2.42181, 2.69444, -6.40446, -1.70769, -2.655,
    8.01105,
];
const PROPYLENE_CONDUCTIVITY: Coefficients = [
    0.627802,
    0.138379,
    -0.0902729,
    0.00308561,
    -0.599468,
    -0.278723,
    0.442323,
    -0.00344421,
    0.115661,
    0.33664,
    -0.485609,
    0.0922971,
    -0.254387,
];

impl Glycol {
    /// The glycol of that name, `ethylene glycol` or `propylene glycol`.
    pub fn named(name: &str) -> Option<Glycol> {
        match name {
            "ethylene glycol" => Some(Glycol::Ethylene),
            "propylene glycol" => Some(Glycol::Propylene),
            _ => None,
        }
    }

    /// Density at 20 °C: 1113 and 1036 kg/m³ (makers' data sheets, memory).
    fn density(self) -> MassDensity {
        MassDensity::new::<kilogram_per_cubic_meter>(match self {
            Glycol::Ethylene => 1113.0,
            Glycol::Propylene => 1036.0,
        })
    }

    /// Molar mass: 62.068 g/mol (C2H6O2) and 76.095 g/mol (C3H8O2).
    fn molar_mass(self) -> MolarMass {
        MolarMass::new::<gram_per_mole>(match self {
            Glycol::Ethylene => 62.068,
            Glycol::Propylene => 76.095,
        })
    }
}

/// w, the share of glycol by mass of a mixture made of φ parts of glycol and 1 - φ parts of water, both measured by
/// volume at 20 °C: w = φ ρg / (φ ρg + (1 - φ) ρw), ρw = 998.2 kg/m³.
///
/// # Errors
/// The share by volume is outside 0 to 1.
pub fn glycol_mass_share(glycol: Glycol, share_by_volume: Ratio) -> Result<Ratio, OutOfRange> {
    let volume = share("share of glycol by volume", share_by_volume, 1.0)?;
    let of_glycol = volume * glycol.density();
    let of_water = (Ratio::from(1.0) - volume) * MassDensity::new::<kilogram_per_cubic_meter>(998.2);
    Ok(of_glycol / (of_glycol + of_water))
}

/// x, the share of water among the molecules of a mixture with the share w of glycol by mass.
///
/// # Errors
/// The share by mass is outside 0 to 1.
pub fn water_mole_share(glycol: Glycol, mass_share: Ratio) -> Result<Ratio, OutOfRange> {
    let mass = share("share of glycol by mass", mass_share, 1.0)?;
    let of_water = (Ratio::from(1.0) - mass) / MolarMass::new::<gram_per_mole>(18.015);
    Ok(of_water / (of_water + mass / glycol.molar_mass()))
}

/// ρ, density of the coolant, within 0.1 % of its data up to 100 °C; an extension above.
///
/// # Errors
/// More than 60 % of glycol by mass, or a temperature below the freezing point or above 125 °C.
pub fn coolant_density(
    glycol: Glycol,
    mass_share: Ratio,
    temperature: ThermodynamicTemperature,
) -> Result<MassDensity, OutOfRange> {
    let value = fitted(glycol, mass_share, temperature, [&ETHYLENE_DENSITY, &PROPYLENE_DENSITY])?;
    Ok(MassDensity::new::<kilogram_per_cubic_meter>(value))
}

/// c_p, specific heat capacity of the coolant, within 0.3 % of its data up to 100 °C; an extension above. Published
/// tables differ among themselves by 2 %.
///
/// # Errors
/// More than 60 % of glycol by mass, or a temperature below the freezing point or above 125 °C.
pub fn coolant_specific_heat(
    glycol: Glycol,
    mass_share: Ratio,
    temperature: ThermodynamicTemperature,
) -> Result<SpecificHeatCapacity, OutOfRange> {
    let value = fitted(glycol, mass_share, temperature, [&ETHYLENE_HEAT, &PROPYLENE_HEAT])?;
    Ok(SpecificHeatCapacity::new::<joule_per_kilogram_kelvin>(value))
}

/// μ, dynamic viscosity of the coolant, within 3 % of its data up to 100 °C; an extension above.
///
/// # Errors
/// More than 60 % of glycol by mass, or a temperature below the freezing point or above 125 °C.
pub fn coolant_viscosity(
    glycol: Glycol,
    mass_share: Ratio,
    temperature: ThermodynamicTemperature,
) -> Result<DynamicViscosity, OutOfRange> {
    let value = fitted(glycol, mass_share, temperature, [&ETHYLENE_VISCOSITY, &PROPYLENE_VISCOSITY])?;
    Ok(DynamicViscosity::new::<pascal_second>(value.exp()))
}

/// λ, thermal conductivity of the coolant, within 0.3 % of its data up to 100 °C; an extension above.
///
/// # Errors
/// More than 60 % of glycol by mass, or a temperature below the freezing point or above 125 °C.
pub fn coolant_conductivity(
    glycol: Glycol,
    mass_share: Ratio,
    temperature: ThermodynamicTemperature,
) -> Result<ThermalConductivity, OutOfRange> {
    let value = fitted(glycol, mass_share, temperature, [&ETHYLENE_CONDUCTIVITY, &PROPYLENE_CONDUCTIVITY])?;
    Ok(ThermalConductivity::new::<watt_per_meter_kelvin>(value))
}

/// The temperature at which the first ice forms, within 0.3 K of the ASHRAE Handbook's tables as CoolProp 8.0.0 carries
/// them (up to 3 K above Melinder's: the careful one of the two): a polynomial in the share by mass.
///
/// # Errors
/// More than 60 % of glycol by mass.
pub fn coolant_freezing_point(glycol: Glycol, mass_share: Ratio) -> Result<ThermodynamicTemperature, OutOfRange> {
    let w = share("share of glycol by mass", mass_share, 0.6)?.value;
    let [a, b, c, d] = match glycol {
        Glycol::Ethylene => [-31.9635, -14.2618, -119.9, 17.7572],
        Glycol::Propylene => [-31.674, 3.8897, -107.979, -63.9294],
    };
    Ok(ThermodynamicTemperature::new::<degree_celsius>(w * (a + w * (b + w * (c + w * d)))))
}

/// The temperature at which the coolant boils at the absolute pressure p: water boils out of the mixture at
/// p_s(T) = p / x (Raoult's law, glycol taken as not volatile). Half and half by volume at 1 atm gives 108.2 °C against
/// 107 to 108 °C in handbooks (memory); the deviation grows with the share.
///
/// # Errors
/// More than 60 % of glycol by mass, or a pressure outside the saturation line of water.
pub fn coolant_boiling_point(
    glycol: Glycol,
    mass_share: Ratio,
    pressure: Pressure,
) -> Result<ThermodynamicTemperature, OutOfRange> {
    let mass = share("share of glycol by mass", mass_share, 0.6)?;
    boiling_point_water(pressure / water_mole_share(glycol, mass)?)
}

/// By what share of its volume a fill of coolant grows from `cold` to `hot`: ρ(cold) / ρ(hot) - 1.
///
/// # Errors
/// Those of [`coolant_density`].
pub fn coolant_growth(
    glycol: Glycol,
    mass_share: Ratio,
    cold: ThermodynamicTemperature,
    hot: ThermodynamicTemperature,
) -> Result<Ratio, OutOfRange> {
    Ok(coolant_density(glycol, mass_share, cold)? / coolant_density(glycol, mass_share, hot)? - Ratio::from(1.0))
}

/// Hands a share back if it lies between 0 and `most`.
fn share(what: &'static str, value: Ratio, most: f64) -> Result<Ratio, OutOfRange> {
    within(what, value, Ratio::from(0.0), Ratio::from(most), |r| format!("{:.1} %", r.get::<percent>()))
}

/// The products w^i τ^j of a fit, i and j up to 3 and i + j up to 4, with τ = (t - 40 °C) / 100 K.
fn powers(w: f64, tau: f64) -> [f64; 13] {
    let (w2, t2) = (w * w, tau * tau);
    let (w3, t3) = (w2 * w, t2 * tau);
    [1.0, tau, t2, t3, w, w * tau, w * t2, w * t3, w2, w2 * tau, w2 * t2, w3, w3 * tau]
}

/// The fit of that glycol (ethylene first) at the share w and the temperature.
fn fitted(
    glycol: Glycol,
    mass_share: Ratio,
    temperature: ThermodynamicTemperature,
    [ethylene, propylene]: [&Coefficients; 2],
) -> Result<f64, OutOfRange> {
    let low = coolant_freezing_point(glycol, mass_share)?;
    let high = ThermodynamicTemperature::new::<degree_celsius>(125.0);
    let temperature = within("temperature of the coolant", temperature, low, high, in_words)?;
    let coefficients = match glycol {
        Glycol::Ethylene => ethylene,
        Glycol::Propylene => propylene,
    };
    let powers = powers(mass_share.value, (temperature.get::<degree_celsius>() - 40.0) / 100.0);
    Ok(powers.iter().zip(coefficients).map(|(power, coefficient)| power * coefficient).sum())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::pressure::atmosphere;

    use super::*;

    const BOTH: [Glycol; 2] = [Glycol::Ethylene, Glycol::Propylene];

    fn celsius(value: f64) -> ThermodynamicTemperature {
        ThermodynamicTemperature::new::<degree_celsius>(value)
    }

    #[test]
    fn without_glycol_it_is_water() {
        for glycol in BOTH {
            let none = Ratio::from(0.0);
            assert!(coolant_freezing_point(glycol, none).is_ok_and(|t| t == celsius(0.0)));
            let open = Pressure::new::<atmosphere>(1.0);
            assert_eq!(coolant_boiling_point(glycol, none, open), boiling_point_water(open));
            assert_eq!(glycol_mass_share(glycol, none), Ok(none));
        }
    }

    #[test]
    fn half_and_half_boils_and_freezes_where_the_handbooks_say() {
        let mass = glycol_mass_share(Glycol::Ethylene, Ratio::from(0.5)).expect("in range");
        let boils = coolant_boiling_point(Glycol::Ethylene, mass, Pressure::new::<atmosphere>(1.0)).expect("in range");
        assert!((boils.get::<degree_celsius>() - 108.0).abs() < 1.0); // 107 to 108 °C (memory)
        let freezes = coolant_freezing_point(Glycol::Ethylene, mass).expect("in range");
        assert!((freezes.get::<degree_celsius>() + 37.0).abs() < 0.5); // -37 °C on the can (memory)
    }

    #[test]
    fn refuses_ice_steam_and_too_much_glycol() {
        let half = Ratio::from(0.5);
        assert!(coolant_density(Glycol::Ethylene, half, celsius(-40.0)).is_err());
        assert!(coolant_viscosity(Glycol::Ethylene, half, celsius(125.1)).is_err());
        assert!(coolant_specific_heat(Glycol::Propylene, Ratio::from(0.61), celsius(50.0)).is_err());
        assert!(glycol_mass_share(Glycol::Ethylene, Ratio::from(50.0)).is_err());
        assert!(coolant_conductivity(Glycol::Ethylene, Ratio::from(f64::NAN), celsius(50.0)).is_err());
    }

    #[test]
    fn only_its_names_name_a_glycol() {
        assert_eq!(Glycol::named("propylene glycol"), Some(Glycol::Propylene));
        assert_eq!(Glycol::named("glycol"), None);
    }

    #[test]
    fn a_fill_of_water_grows_as_the_steam_tables_say() {
        let growth =
            coolant_growth(Glycol::Ethylene, Ratio::from(0.0), celsius(20.0), celsius(110.0)).expect("in range");
        assert!((growth.value - (998.2 / 951.0 - 1.0)).abs() < 1e-3); // IAPWS densities at 20 and 110 °C
    }

    proptest! {
        #[test]
        fn more_glycol_is_denser_holds_less_heat_and_boils_later(w in 0.0..0.5f64, t in 5.0..120.0f64) {
            for glycol in BOTH {
                let (less, more) = (Ratio::from(w), Ratio::from(w + 0.1));
                prop_assert!(coolant_specific_heat(glycol, more, celsius(t)).ok()
                    < coolant_specific_heat(glycol, less, celsius(t)).ok() || t > 100.0);
                prop_assert!(coolant_conductivity(glycol, more, celsius(t)).ok()
                    < coolant_conductivity(glycol, less, celsius(t)).ok());
                prop_assert!(coolant_freezing_point(glycol, more).ok() < coolant_freezing_point(glycol, less).ok());
                let open = Pressure::new::<atmosphere>(1.0);
                prop_assert!(coolant_boiling_point(glycol, more, open).ok()
                    > coolant_boiling_point(glycol, less, open).ok());
            }
            let (less, more) = (Ratio::from(w), Ratio::from(w + 0.02));
            prop_assert!(coolant_density(Glycol::Ethylene, more, celsius(t)).ok()
                > coolant_density(Glycol::Ethylene, less, celsius(t)).ok());
        }

        #[test]
        fn heat_thins_it(w in 0.0..0.6f64, t in 5.0..120.0f64) {
            for glycol in BOTH {
                prop_assert!(coolant_viscosity(glycol, Ratio::from(w), celsius(t + 2.0)).ok()
                    < coolant_viscosity(glycol, Ratio::from(w), celsius(t)).ok());
                prop_assert!(coolant_density(glycol, Ratio::from(w), celsius(t + 2.0)).ok()
                    < coolant_density(glycol, Ratio::from(w), celsius(t)).ok());
            }
        }

        #[test]
        fn shares_keep_their_order(v in 0.0..0.99f64) {
            for glycol in BOTH {
                let mass = glycol_mass_share(glycol, Ratio::from(v)).expect("in range");
                let denser = glycol_mass_share(glycol, Ratio::from(v + 0.01)).expect("in range");
                prop_assert!(mass < denser && mass.value >= v);
                let water = water_mole_share(glycol, mass).expect("in range");
                prop_assert!(water.value >= 1.0 - mass.value - 1e-12);
            }
        }
    }
}
