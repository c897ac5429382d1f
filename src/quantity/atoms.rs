//! The units that have a name of their own, how they are spelled, and their factors.
//!
//! Factors come from `uom`, except where `uom` carries a rounded one (a pound of seven figures, a psi that is 4e-8 low) and
//! the unit is defined exactly: those are written here with their definition, and a test holds them against `uom`.
//! `unit_text` reads units by this table, `unit` computes with it.

use super::kind::{Exponents, Kind};
use std::sync::LazyLock;
use uom::typenum::Integer;
use uom::{ConstantOp, Conversion};

/// A unit with a name of its own.
#[derive(Debug)]
pub(super) struct Atom {
    /// The spelling that is printed.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub spellings: &'static [&'static str],
    pub exponents: Exponents,
    /// How often an angle enters, as [`Kind::turns`].
    pub turns: i8,
    /// SI value = (value + offset) * factor.
    pub factor: f64,
    pub offset: f64,
    /// The only kind that the unit by itself can measure, where its exponents and turns leave several.
    pub only: Option<Kind>,
    /// Cannot be part of a compound unit.
    pub alone: bool,
}

impl Atom {
    fn of<D: uom::si::Dimension + ?Sized, U: Conversion<f64, T = f64>>(
        symbol: &'static str,
        spellings: &'static [&'static str],
    ) -> Atom {
        let exponents = Exponents([
            D::L::to_i8(),
            D::M::to_i8(),
            D::T::to_i8(),
            D::I::to_i8(),
            D::Th::to_i8(),
            D::N::to_i8(),
            D::J::to_i8(),
        ]);
        let (factor, offset) = (U::coefficient(), U::constant(ConstantOp::Add));
        Atom { symbol, spellings, exponents, turns: 0, factor, offset, only: None, alone: false }
    }

    fn exactly(mut self, factor: f64) -> Atom {
        self.factor = factor;
        self
    }

    fn turns(mut self, turns: i8) -> Atom {
        self.turns = turns;
        self
    }

    fn only(mut self, kind: Kind) -> Atom {
        self.only = Some(kind);
        self
    }

    fn alone(mut self) -> Atom {
        self.alone = true;
        self
    }
}

/// A unit of `uom` with the spelling that is printed and the others that are read.
macro_rules! unit {
    ($quantity:ident::$unit:ident, $symbol:literal $(, $spelling:literal)*) => {
        Atom::of::<uom::si::$quantity::Dimension, uom::si::$quantity::$unit>($symbol, &[$($spelling),*])
    };
}

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const GRAVITY: f64 = 9.806_65;
const POUND_FORCE: f64 = POUND * GRAVITY;
const PSI: f64 = POUND_FORCE / (INCH * INCH);
/// A metre of mercury and of water in pascal, by their conventional densities 13.5951 kg/L and 1 kg/L (NIST SP 811, B.8).
const MERCURY: f64 = 13_595.1 * GRAVITY;
const WATER: f64 = 1000.0 * GRAVITY;
const US_GALLON: f64 = 231.0 * INCH * INCH * INCH;
const IMPERIAL_GALLON: f64 = 4.546_09e-3;

/// All named units. A unit's place in the table, plus one, is how a [`super::UnitId`] knows it.
pub(super) static ATOMS: LazyLock<Vec<Atom>> = LazyLock::new(|| {
    let mut all = Vec::with_capacity(200);
    all.extend(plain_numbers());
    all.extend(space_and_time());
    all.extend(mechanics());
    all.extend(pressures());
    all.extend(heat_and_electricity());
    all
});

fn plain_numbers() -> Vec<Atom> {
    vec![
        unit!(ratio::percent, "%", "percent", "per cent").only(Kind::Number),
        unit!(ratio::per_mille, "‰").only(Kind::Number),
        unit!(ratio::part_per_million, "ppm").only(Kind::Number),
        unit!(ratio::ratio, ":1", ": 1").only(Kind::Number).alone(),
        unit!(ratio::ratio, "dB(A)", "dBA", "dB A", "dB").only(Kind::SoundLevel).alone(),
        unit!(angle::degree, "deg", "°", "degree", "degrees").turns(1),
        unit!(angle::minute, "arcmin", "′").turns(1),
        unit!(angle::radian, "rad", "radian", "radians").turns(1),
        unit!(angle::radian, "mrad").exactly(1e-3).turns(1),
        unit!(angle::revolution, "rev", "turn", "turns").turns(1),
    ]
}

fn space_and_time() -> Vec<Atom> {
    vec![
        unit!(length::millimeter, "mm", "millimetre", "millimetres", "millimeter", "millimeters"),
        unit!(length::centimeter, "cm"),
        unit!(length::decimeter, "dm"),
        unit!(length::meter, "m", "metre", "metres", "meter", "meters"),
        unit!(length::kilometer, "km"),
        unit!(length::micrometer, "µm", "\u{3bc}m", "um", "micron", "microns"),
        unit!(length::inch, "in", "inch", "inches", "\"", "″", "in."),
        unit!(length::mil, "thou"),
        unit!(length::foot, "ft", "foot", "feet", "ft."),
        unit!(length::yard, "yd", "yard", "yards"),
        unit!(length::mile, "mi", "mile", "miles"),
        unit!(volume::liter, "L", "l", "litre", "litres", "liter", "liters").only(Kind::Volume),
        unit!(volume::deciliter, "dL", "dl").only(Kind::Volume),
        unit!(volume::centiliter, "cL", "cl").only(Kind::Volume),
        unit!(volume::milliliter, "mL", "ml").only(Kind::Volume),
        unit!(volume::cubic_centimeter, "cc", "ccm").only(Kind::Volume),
        // Cubic inches and feet by name; `in3` and `ft3` are powers. 1 in = 25.4 mm exactly.
        unit!(volume::cubic_inch, "cu in", "cid", "cu. in.").exactly(INCH * INCH * INCH),
        unit!(volume::cubic_foot, "cu ft", "cu. ft.").exactly(FOOT * FOOT * FOOT),
        unit!(area::square_inch, "sq in", "sq. in."),
        unit!(area::square_foot, "sq ft", "sq. ft."),
        // The US gallon is 231 cubic inches; quart, pint and fluid ounce are its 4th, 8th and 128th part.
        unit!(volume::gallon, "US gal", "USgal", "gal (US)", "US gallon", "US gallons")
            .exactly(US_GALLON)
            .only(Kind::Volume),
        unit!(volume::quart_liquid, "US qt", "USqt", "US quart").exactly(US_GALLON / 4.0).only(Kind::Volume),
        unit!(volume::pint_liquid, "US pt", "US pint").exactly(US_GALLON / 8.0).only(Kind::Volume),
        unit!(volume::fluid_ounce, "US fl oz").exactly(US_GALLON / 128.0).only(Kind::Volume),
        // The imperial gallon is 4.546 09 L exactly; its fluid ounce the 160th part.
        unit!(
            volume::gallon_imperial,
            "imp gal",
            "impgal",
            "UK gal",
            "gal (UK)",
            "gal (imp)",
            "imperial gallon",
            "imperial gallons"
        )
        .only(Kind::Volume),
        unit!(volume::gallon_imperial, "imp qt", "UK qt").exactly(IMPERIAL_GALLON / 4.0).only(Kind::Volume),
        unit!(volume::gallon_imperial, "imp pt", "UK pt", "imperial pint")
            .exactly(IMPERIAL_GALLON / 8.0)
            .only(Kind::Volume),
        unit!(volume::fluid_ounce_imperial, "imp fl oz", "UK fl oz")
            .exactly(IMPERIAL_GALLON / 160.0)
            .only(Kind::Volume),
        unit!(time::second, "s", "sec", "second", "seconds"),
        unit!(time::millisecond, "ms"),
        unit!(time::microsecond, "µs", "\u{3bc}s", "us"),
        unit!(time::minute, "min", "minute", "minutes"),
        unit!(time::hour, "h", "hr", "hour", "hours"),
        unit!(time::day, "d", "day", "days"),
        unit!(time::day, "week", "weeks").exactly(7.0 * 86_400.0),
        unit!(time::year, "year", "years", "yr"),
        unit!(velocity::mile_per_hour, "mph"),
        unit!(velocity::kilometer_per_hour, "km/h", "kph", "kmh"),
        unit!(velocity::knot, "knot", "knots"),
        unit!(velocity::foot_per_minute, "fpm"),
        unit!(acceleration::standard_gravity, "gn", "g0"),
        unit!(frequency::hertz, "Hz"),
        unit!(frequency::kilohertz, "kHz"),
        unit!(frequency::megahertz, "MHz"),
        unit!(angular_velocity::revolution_per_minute, "rpm", "RPM", "rev/min", "r/min").turns(1),
        unit!(volume_rate::cubic_foot_per_minute, "cfm", "CFM")
            .exactly(FOOT * FOOT * FOOT / 60.0)
            .only(Kind::VolumeFlow),
    ]
}

fn mechanics() -> Vec<Atom> {
    vec![
        unit!(mass::kilogram, "kg", "kilogram", "kilograms"),
        unit!(mass::gram, "g", "gram", "grams", "gramme", "grammes"),
        unit!(mass::milligram, "mg"),
        unit!(mass::ton, "t", "tonne", "tonnes", "metric ton", "metric tons"),
        // International yard and pound agreement: 1 lb = 0.453 592 37 kg exactly.
        unit!(mass::pound, "lb", "lbs", "pound", "pounds", "lbm", "lb.").exactly(POUND),
        unit!(mass::ounce, "oz", "ounce", "ounces").exactly(POUND / 16.0),
        unit!(mass::slug, "slug", "slugs").exactly(POUND_FORCE / FOOT),
        unit!(mass::ton_short, "short ton", "short tons", "US ton").exactly(2000.0 * POUND),
        unit!(mass::ton_long, "long ton", "long tons", "imperial ton").exactly(2240.0 * POUND),
        unit!(force::newton, "N", "newton", "newtons"),
        unit!(force::kilonewton, "kN"),
        unit!(force::decanewton, "daN"),
        unit!(force::meganewton, "MN"),
        unit!(force::kilogram_force, "kgf", "kp"),
        unit!(force::gram_force, "gf"),
        // Standard gravity 9.806 65 m/s2 on the pound.
        unit!(force::pound_force, "lbf", "lbsf", "lb f").exactly(POUND_FORCE),
        unit!(force::ounce_force, "ozf").exactly(POUND_FORCE / 16.0),
        unit!(force::kip, "kip", "klbf").exactly(1000.0 * POUND_FORCE),
        unit!(torque::newton_meter, "Nm", "N-m").only(Kind::Torque),
        unit!(torque::newton_millimeter, "Nmm").only(Kind::Torque),
        unit!(torque::newton_centimeter, "Ncm").only(Kind::Torque),
        unit!(torque::kilonewton_meter, "kNm").only(Kind::Torque),
        unit!(torque::kilogram_force_meter, "kgf m", "kgfm", "kgf-m", "mkp", "kpm"),
        unit!(
            torque::pound_force_foot,
            "lbf ft",
            "lbf-ft",
            "ft lbf",
            "ft-lbf",
            "ftlbf",
            "lb ft",
            "lb-ft",
            "ft lb",
            "ft-lb",
            "ft-lbs",
            "ft lbs",
            "lbs-ft",
            "lbs ft"
        )
        .exactly(POUND_FORCE * FOOT),
        unit!(
            torque::pound_force_inch,
            "lbf in",
            "lbf-in",
            "in lbf",
            "in-lbf",
            "lb in",
            "lb-in",
            "in lb",
            "in-lb",
            "in-lbs",
            "in lbs",
            "lbs-in"
        )
        .exactly(POUND_FORCE * INCH),
        unit!(torque::ounce_force_inch, "ozf in", "ozf-in", "in ozf", "oz in", "oz-in", "in-oz", "in oz")
            .exactly(POUND_FORCE * INCH / 16.0),
        unit!(energy::joule, "J", "joule", "joules").only(Kind::Energy),
        unit!(energy::kilojoule, "kJ").only(Kind::Energy),
        unit!(energy::megajoule, "MJ").only(Kind::Energy),
        unit!(energy::millijoule, "mJ").only(Kind::Energy),
        unit!(energy::watt_hour, "Wh").only(Kind::Energy),
        unit!(energy::kilowatt_hour, "kWh").only(Kind::Energy),
        unit!(energy::btu_it, "Btu", "BTU").exactly(1_055.055_852_62).only(Kind::Energy),
        unit!(power::watt, "W", "watt", "watts"),
        unit!(power::kilowatt, "kW"),
        unit!(power::megawatt, "MW"),
        unit!(power::milliwatt, "mW"),
        // 550 foot pounds-force in a second; 75 kilogram-force metres in a second.
        unit!(power::horsepower, "mech hp", "bhp", "hp (mech)", "hp(mech)", "mechanical hp", "imp hp")
            .exactly(550.0 * POUND_FORCE * FOOT),
        unit!(power::horsepower_metric, "PS", "metric hp", "hp (metric)", "hp(metric)", "cv", "CV")
            .exactly(75.0 * GRAVITY),
        unit!(dynamic_viscosity::centipoise, "cP"),
        unit!(kinematic_viscosity::centistokes, "cSt"),
    ]
}

/// A pressure unit with its marked forms on the gauge and the absolute scale.
macro_rules! pressure {
    ($list:ident, $unit:ident, $factor:expr, [$symbol:literal $(, $more:literal)*], [$absolute:literal $(, $a:literal)*], [$gauge:literal $(, $g:literal)*]) => {
        $list.push(unit!(pressure::$unit, $symbol $(, $more)*).exactly($factor));
        $list.push(unit!(pressure::$unit, $absolute $(, $a)*).exactly($factor).only(Kind::AbsolutePressure).alone());
        $list.push(unit!(pressure::$unit, $gauge $(, $g)*).exactly($factor).only(Kind::GaugePressure).alone());
    };
}

fn pressures() -> Vec<Atom> {
    fn of<U: Conversion<f64, T = f64>>() -> f64 {
        U::coefficient()
    }
    use uom::si::pressure as p;
    let mut list = vec![
        unit!(pressure::pascal, "Pa"),
        unit!(pressure::millipascal, "mPa"),
        unit!(pressure::gigapascal, "GPa").only(Kind::Stress),
        unit!(pressure::kip_per_square_inch, "ksi").exactly(1000.0 * PSI).only(Kind::Stress),
        unit!(pressure::millimeter_of_water, "mmH2O", "mm H2O"),
    ];
    pressure!(
        list,
        kilopascal,
        of::<p::kilopascal>(),
        ["kPa"],
        ["kPa abs", "kPa(a)", "kPaa"],
        ["kPa gauge", "kPa(g)", "kPag"]
    );
    pressure!(list, megapascal, of::<p::megapascal>(), ["MPa"], ["MPa abs", "MPa(a)"], ["MPa gauge", "MPa(g)"]);
    pressure!(list, hectopascal, of::<p::hectopascal>(), ["hPa"], ["hPa abs", "hPa(a)"], ["hPa gauge", "hPa(g)"]);
    pressure!(
        list,
        bar,
        of::<p::bar>(),
        ["bar", "bars"],
        ["bar abs", "bar(a)", "bara", "bar absolute"],
        ["bar gauge", "bar(g)", "barg"]
    );
    pressure!(list, millibar, of::<p::millibar>(), ["mbar"], ["mbar abs", "mbar(a)"], ["mbar gauge", "mbar(g)"]);
    pressure!(
        list,
        psi,
        PSI,
        ["psi", "PSI"],
        ["psi abs", "psia", "psi absolute", "psi(a)"],
        ["psi gauge", "psig", "psi(g)"]
    );
    pressure!(list, inch_of_mercury, MERCURY * INCH, ["inHg", "in Hg"], ["inHg abs"], ["inHg gauge"]);
    pressure!(list, inch_of_water, WATER * INCH, ["inH2O", "in H2O"], ["inH2O abs"], ["inH2O gauge"]);
    pressure!(list, millimeter_of_mercury, MERCURY / 1000.0, ["mmHg", "mm Hg"], ["mmHg abs"], ["mmHg gauge"]);
    pressure!(list, atmosphere, of::<p::atmosphere>(), ["atm"], ["atm abs"], ["atm gauge"]);
    list
}

fn heat_and_electricity() -> Vec<Atom> {
    vec![
        unit!(thermodynamic_temperature::kelvin, "K", "kelvin", "kelvins"),
        unit!(thermodynamic_temperature::degree_celsius, "°C", "degC", "deg C", "ºC", "℃").only(Kind::Temperature),
        unit!(thermodynamic_temperature::degree_fahrenheit, "°F", "degF", "deg F", "ºF", "℉").only(Kind::Temperature),
        unit!(electric_current::ampere, "A", "amp", "amps", "ampere", "amperes"),
        unit!(electric_current::milliampere, "mA"),
        unit!(electric_current::kiloampere, "kA"),
        unit!(electric_potential::volt, "V", "volt", "volts"),
        unit!(electric_potential::millivolt, "mV"),
        unit!(electric_potential::kilovolt, "kV"),
        unit!(electrical_resistance::ohm, "ohm", "ohms", "Ω", "\u{2126}"),
        unit!(electrical_resistance::milliohm, "mohm", "mΩ", "m\u{2126}", "milliohm", "milliohms"),
        unit!(electrical_resistance::microohm, "µohm", "uohm", "µΩ", "\u{3bc}Ω"),
        unit!(electrical_resistance::kiloohm, "kohm", "kΩ", "k\u{2126}"),
        unit!(electrical_resistance::megaohm, "Mohm", "MΩ", "M\u{2126}"),
        unit!(electric_charge::ampere_hour, "Ah", "A-h"),
        unit!(electric_charge::milliampere_hour, "mAh"),
        unit!(luminous_intensity::candela, "cd", "candela"),
    ]
}

/// A name that more than one unit has, with the units to choose from.
pub(super) struct Ambiguous {
    pub names: &'static [&'static str],
    pub choices: &'static [&'static str],
    pub why: &'static str,
}

/// Names that are refused because the reader would have to guess.
pub(super) static AMBIGUOUS: &[Ambiguous] = &[
    Ambiguous {
        names: &["gal", "gallon", "gallons"],
        choices: &["US gal", "imp gal", "L"],
        why: "a US gallon is 3.785 L, an imperial gallon 4.546 L",
    },
    Ambiguous {
        names: &["qt", "quart", "quarts"],
        choices: &["US qt", "imp qt", "L"],
        why: "a US quart is 0.946 L, an imperial quart 1.137 L",
    },
    Ambiguous {
        names: &["pt", "pint", "pints"],
        choices: &["US pt", "imp pt", "mL"],
        why: "a US pint is 473 mL, an imperial pint 568 mL",
    },
    Ambiguous {
        names: &["fl oz", "floz"],
        choices: &["US fl oz", "imp fl oz", "mL"],
        why: "a US fluid ounce is 29.57 mL, an imperial one 28.41 mL",
    },
    Ambiguous {
        names: &["ton", "tons"],
        choices: &["t", "short ton", "long ton"],
        why: "a tonne is 1000 kg, a short ton 907 kg, a long ton 1016 kg",
    },
    Ambiguous {
        names: &["hp", "HP", "Hp", "horsepower"],
        choices: &["mech hp", "PS", "kW"],
        why: "a mechanical horsepower is 745.7 W, a metric one (PS) 735.5 W",
    },
    Ambiguous {
        names: &["cal", "kcal"],
        choices: &["J", "kJ", "Wh"],
        why: "a calorie is 4.184 J or 4.1868 J, as the table has it",
    },
    Ambiguous {
        names: &["mil", "mils"],
        choices: &["thou", "mm", "mL"],
        why: "a mil can be a thousandth of an inch, a millimetre or a millilitre",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn every_spelling_names_one_unit_only() {
        let mut seen = BTreeMap::new();
        for atom in ATOMS.iter() {
            for name in std::iter::once(&atom.symbol).chain(atom.spellings) {
                assert_eq!(seen.insert(*name, atom.symbol), None, "{name} is there twice");
            }
        }
        for name in AMBIGUOUS.iter().flat_map(|a| a.names) {
            assert!(!seen.contains_key(name), "{name} is both clear and ambiguous");
        }
        for choice in AMBIGUOUS.iter().flat_map(|a| a.choices) {
            assert!(seen.contains_key(choice), "{choice} is offered and not known");
        }
    }

    #[test]
    fn the_table_fits_a_unit_id() {
        assert!(ATOMS.len() < usize::from(u8::MAX), "{}", ATOMS.len());
    }

    #[test]
    fn exact_factors_agree_with_the_rounded_ones_of_uom() {
        fn of<U: Conversion<f64, T = f64>>() -> f64 {
            U::coefficient()
        }
        use uom::si::*;
        for (symbol, rounded) in [
            ("cu in", of::<volume::cubic_inch>()),
            ("cu ft", of::<volume::cubic_foot>()),
            ("US gal", of::<volume::gallon>()),
            ("US qt", of::<volume::quart_liquid>()),
            ("US pt", of::<volume::pint_liquid>()),
            ("US fl oz", of::<volume::fluid_ounce>()),
            ("imp fl oz", of::<volume::fluid_ounce_imperial>()),
            ("cfm", of::<volume_rate::cubic_foot_per_minute>()),
            ("lb", of::<mass::pound>()),
            ("oz", of::<mass::ounce>()),
            ("slug", of::<mass::slug>()),
            ("short ton", of::<mass::ton_short>()),
            ("long ton", of::<mass::ton_long>()),
            ("lbf", of::<force::pound_force>()),
            ("ozf", of::<force::ounce_force>()),
            ("kip", of::<force::kip>()),
            ("lbf ft", of::<torque::pound_force_foot>()),
            ("lbf in", of::<torque::pound_force_inch>()),
            ("ozf in", of::<torque::ounce_force_inch>()),
            ("Btu", of::<energy::btu_it>()),
            ("mech hp", of::<power::horsepower>()),
            ("PS", of::<power::horsepower_metric>()),
            ("psi", of::<pressure::psi>()),
            ("psi", of::<pressure::pound_force_per_square_inch>()),
            ("ksi", of::<pressure::kip_per_square_inch>()),
            ("inHg", of::<pressure::inch_of_mercury>()),
            ("inH2O", of::<pressure::inch_of_water>()),
            ("mmHg", of::<pressure::millimeter_of_mercury>()),
        ] {
            let exact = ATOMS.iter().find(|a| a.symbol == symbol).map_or(f64::NAN, |a| a.factor);
            // uom rounds to seven figures: half a unit of the last one, at a mantissa of 1 or more.
            assert!((exact / rounded - 1.0).abs() < 5e-7, "{symbol}: {exact} {rounded}");
        }
    }
}
