//! Units against the outside: the conversion factors of NIST SP 811, and a table made with a general-purpose library.

use tramgauge::quantity::{Kind, parse};

fn si(text: &str, kind: Kind) -> f64 {
    match parse(text, kind) {
        Ok(written) => written.si,
        Err(error) => panic!("{text}: {} ({:?})", error.message(), error.help()),
    }
}

/// Half a unit in the seventh figure, which is all that the tables of SP 811 print.
const SEVEN_FIGURES: f64 = 5.5e-7;

#[test]
fn factors_of_nist_sp_811() {
    // NIST Special Publication 811 (2008), appendix B.8, factors as printed there. (memory)
    let printed = [
        ("1 in", Kind::Length, 2.54e-2, "inch to metre"),
        ("1 ft", Kind::Length, 3.048e-1, "foot to metre"),
        ("1 yd", Kind::Length, 9.144e-1, "yard to metre"),
        ("1 mi", Kind::Length, 1.609_344e3, "mile to metre"),
        ("1 thou", Kind::Length, 2.54e-5, "mil (0.001 in) to metre"),
        ("1 in2", Kind::Area, 6.4516e-4, "square inch to square metre"),
        ("1 ft2", Kind::Area, 9.290_304e-2, "square foot to square metre"),
        ("1 in3", Kind::Volume, 1.638_706e-5, "cubic inch to cubic metre"),
        ("1 ft3", Kind::Volume, 2.831_685e-2, "cubic foot to cubic metre"),
        ("1 L", Kind::Volume, 1.0e-3, "litre to cubic metre"),
        ("1 US gal", Kind::Volume, 3.785_412e-3, "gallon (US) to cubic metre"),
        ("1 imp gal", Kind::Volume, 4.546_09e-3, "gallon (Canadian and UK) to cubic metre"),
        ("1 US qt", Kind::Volume, 9.463_529e-4, "quart (US liquid) to cubic metre"),
        ("1 US pt", Kind::Volume, 4.731_765e-4, "pint (US liquid) to cubic metre"),
        ("1 US fl oz", Kind::Volume, 2.957_353e-5, "ounce (US fluid) to cubic metre"),
        ("1 imp fl oz", Kind::Volume, 2.841_306e-5, "ounce (Canadian and UK fluid) to cubic metre"),
        ("1 lb", Kind::Mass, 4.535_924e-1, "pound (avoirdupois) to kilogram"),
        ("1 oz", Kind::Mass, 2.834_952e-2, "ounce (avoirdupois) to kilogram"),
        ("1 slug", Kind::Mass, 1.459_390e1, "slug to kilogram"),
        ("1 short ton", Kind::Mass, 9.071_847e2, "ton, short, to kilogram"),
        ("1 long ton", Kind::Mass, 1.016_047e3, "ton, long, to kilogram"),
        ("1 t", Kind::Mass, 1.0e3, "ton, metric, to kilogram"),
        ("1 lbf", Kind::Force, 4.448_222, "pound-force to newton"),
        ("1 ozf", Kind::Force, 2.780_139e-1, "ounce-force to newton"),
        ("1 kgf", Kind::Force, 9.806_65, "kilogram-force to newton"),
        ("1 kip", Kind::Force, 4.448_222e3, "kip to newton"),
        ("1 lbf ft", Kind::Torque, 1.355_818, "pound-force foot to newton metre"),
        ("1 lbf in", Kind::Torque, 1.129_848e-1, "pound-force inch to newton metre"),
        ("1 ozf in", Kind::Torque, 7.061_552e-3, "ounce-force inch to newton metre"),
        ("1 kgf m", Kind::Torque, 9.806_65, "kilogram-force metre to newton metre"),
        ("1 psi", Kind::Pressure, 6.894_757e3, "pound-force per square inch to pascal"),
        ("1 ksi", Kind::Stress, 6.894_757e6, "kip per square inch to pascal"),
        ("1 lbf/ft2", Kind::Pressure, 4.788_026e1, "pound-force per square foot to pascal"),
        ("1 bar", Kind::GaugePressure, 1.0e5, "bar to pascal"),
        ("1 atm", Kind::AbsolutePressure, 1.013_25e5, "atmosphere, standard, to pascal"),
        ("1 inHg", Kind::Pressure, 3.386_389e3, "inch of mercury, conventional, to pascal"),
        ("1 mmHg", Kind::Pressure, 1.333_224e2, "millimetre of mercury, conventional, to pascal"),
        ("1 inH2O", Kind::Pressure, 2.490_889e2, "inch of water, conventional, to pascal"),
        ("1 mmH2O", Kind::Pressure, 9.806_65, "millimetre of water, conventional, to pascal"),
        ("1 lbf/in", Kind::SpringRate, 1.751_268e2, "pound-force per inch to newton per metre"),
        ("1 lbf/ft", Kind::SpringRate, 1.459_390e1, "pound-force per foot to newton per metre"),
        ("1 Btu", Kind::Energy, 1.055_056e3, "British thermal unit (IT) to joule"),
        ("1 kWh", Kind::Energy, 3.6e6, "kilowatt hour to joule"),
        ("1 ft lbf", Kind::Energy, 1.355_818, "foot pound-force to joule"),
        ("1 mech hp", Kind::Power, 7.456_999e2, "horsepower (550 ft lbf/s) to watt"),
        ("1 PS", Kind::Power, 7.354_988e2, "horsepower (metric) to watt"),
        ("1 mph", Kind::Speed, 4.4704e-1, "mile per hour to metre per second"),
        ("1 km/h", Kind::Speed, 2.777_778e-1, "kilometre per hour to metre per second"),
        ("1 knot", Kind::Speed, 5.144_444e-1, "knot to metre per second"),
        ("1 ft/s2", Kind::Acceleration, 3.048e-1, "foot per second squared"),
        ("1 g", Kind::Acceleration, 9.806_65, "acceleration of free fall, standard"),
        ("1 deg", Kind::Angle, 1.745_329e-2, "degree to radian"),
        ("1 arcmin", Kind::Angle, 2.908_882e-4, "minute (angle) to radian"),
        ("1 rpm", Kind::RotationalSpeed, 1.047_198e-1, "revolution per minute to radian per second"),
        ("1 lb/ft3", Kind::Density, 1.601_846e1, "pound per cubic foot"),
        ("1 lb/in3", Kind::Density, 2.767_990e4, "pound per cubic inch"),
        ("1 lb/ft", Kind::MassPerLength, 1.488_164, "pound per foot"),
        ("1 lb in2", Kind::Inertia, 2.926_397e-4, "pound inch squared"),
        ("1 lb ft2", Kind::Inertia, 4.214_011e-2, "pound foot squared"),
        ("1 in4", Kind::AreaMoment, 4.162_314e-7, "inch to the fourth power"),
        ("1 cfm", Kind::VolumeFlow, 4.719_474e-4, "cubic foot per minute"),
        ("1 US gal/min", Kind::VolumeFlow, 6.309_020e-5, "gallon (US) per minute"),
        ("1 lb/h", Kind::MassFlow, 1.259_979e-4, "pound per hour"),
        ("1 lb/(mech hp h)", Kind::SpecificConsumption, 1.689_659e-7, "pound per horsepower hour"),
        ("1 cP", Kind::DynamicViscosity, 1.0e-3, "centipoise to pascal second"),
        ("1 cSt", Kind::KinematicViscosity, 1.0e-6, "centistokes to square metre per second"),
        ("1 Btu/(h ft2 °F)", Kind::HeatTransfer, 5.678_263, "Btu (IT) per hour square foot degree Fahrenheit"),
        ("1 Btu ft/(h ft2 °F)", Kind::Conductivity, 1.730_735, "Btu (IT) foot per hour square foot degree Fahrenheit"),
        ("1 Btu/(lb °F)", Kind::HeatCapacity, 4.1868e3, "Btu (IT) per pound degree Fahrenheit"),
        ("1 Btu/lb", Kind::SpecificEnergy, 2.326e3, "Btu (IT) per pound"),
        ("1 Ah", Kind::Charge, 3.6e3, "ampere hour to coulomb"),
        ("1 year", Kind::Time, 3.1536e7, "year (365 days) to second"),
        ("1 °F", Kind::TemperatureDifference, 5.555_556e-1, "degree Fahrenheit (interval) to kelvin"),
    ];
    for (text, kind, factor, entry) in printed {
        let read = si(text, kind);
        assert!((read / factor - 1.0).abs() < SEVEN_FIGURES, "{entry}: {text} is {read}, printed {factor}");
    }
}

#[test]
fn temperatures_of_nist_sp_811() {
    // Appendix B.8: T/K = t/°C + 273.15 and T/K = (t/°F + 459.67) / 1.8. (memory)
    for (text, kelvin) in
        [("0 °C", 273.15), ("100 °C", 373.15), ("32 °F", 273.15), ("212 °F", 373.15), ("-459.67 °F", 0.0)]
    {
        assert!((si(text, Kind::Temperature) - kelvin).abs() < 1e-9, "{text}");
    }
}

#[test]
fn table_made_with_a_general_purpose_library() {
    let table: serde_json::Value =
        serde_json::from_str(include_str!("data/pint_units.json")).expect("the table is JSON");
    let rows = table["rows"].as_array().expect("the table has rows");
    assert!(rows.len() >= 200, "{} rows", rows.len());
    let mut apart = Vec::new();
    for row in rows {
        let (text, kind) = (row["text"].as_str().unwrap_or(""), row["kind"].as_str().unwrap_or(""));
        let kind = Kind::named(kind).unwrap_or_else(|| panic!("{text}: no kind {kind}"));
        let (read, theirs) = (si(text, kind), row["si"].as_f64().unwrap_or(f64::NAN));
        let error = (read / theirs - 1.0).abs();
        if error.is_nan() || error > 1e-12 {
            apart.push(format!("{text}: {read} against {theirs}, {error:e}"));
        }
    }
    assert!(apart.is_empty(), "{}", apart.join("\n"));
}

#[test]
fn unit_cases_of_the_collected_check_values() {
    // Collected check values unit-01 to unit-11 and unit-bsfc-01, made with pint 0.25.3; each agrees within 1e-6.
    let cases = [
        ("unit-01", "1 mech hp", Kind::Power, 745.699_87, "1 W"),
        ("unit-03", "1 lbf ft", Kind::Torque, 1.355_817_9, "1 N m"),
        ("unit-05", "1 US gal", Kind::Volume, 3.785_411_8, "1 L"),
        ("unit-07", "1 lbf/in", Kind::SpringRate, 0.175_126_84, "1 N/mm"),
        ("unit-09", "1 mph", Kind::Speed, 1.609_344, "1 km/h"),
        ("unit-11", "1 kgf/cm2", Kind::Pressure, 0.980_665, "1 bar"),
        ("unit-bsfc-01", "0.5 lb/(mech hp h)", Kind::SpecificConsumption, 304.138_69, "1 g/kWh"),
    ];
    for (case, text, kind, expected, unit) in cases {
        let got = si(text, kind) / si(unit, kind);
        assert!((got - expected).abs() <= 1e-6 * expected, "{case}: {text} is {got} of {unit}, not {expected}");
    }
}
