//! What a tyre's marking promises: load index, speed symbol, and the rim that its width is measured on.

use uom::si::f64::{Length, Mass, Ratio, Velocity};
use uom::si::length::{inch, millimeter};
use uom::si::mass::kilogram;
use uom::si::ratio::{percent, ratio};
use uom::si::velocity::kilometer_per_hour;

use super::range::{OutOfRange, positive, within};
use super::space::in_millimetres;

/// Rim width on which a tyre's section width is measured: 0.70 W for aspect ratios of 50 % and above, 0.85 W below, to the
/// nearest half inch. Source: ISO 4000-1 and handbook practice (memory).
///
/// # Errors
/// Width outside 95 to 455 mm, aspect outside 20 to 100 %.
pub fn measuring_rim_width(section_width: Length, aspect: Ratio) -> Result<Length, OutOfRange> {
    let mm = Length::new::<millimeter>;
    let width = within("section width", section_width, mm(95.0), mm(455.0), in_millimetres)?;
    let show = |r: Ratio| format!("{:.0} %", r.get::<percent>());
    let aspect = within("aspect ratio", aspect, Ratio::new::<ratio>(0.2), Ratio::new::<ratio>(1.0), show)?;
    let factor = if aspect.get::<ratio>() < 0.475 { 0.85 } else { 0.70 };
    let half_inches = ((width * factor).get::<inch>() * 2.0).round();
    Ok(Length::new::<inch>(half_inches / 2.0))
}

/// Masses of the load indexes from 60, in kilogram. Source: ISO 4000-1; UN Regulation 30, annex 4 (read).
const LOADS: [u16; 61] = [
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425, 437, 450, 462, 475,
    487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775, 800, 825, 850, 875, 900, 925,
    950, 975, 1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, 1400,
];

/// Mass that a tyre of a load index carries. Source: ISO 4000-1; UN Regulation 30, annex 4 (read).
///
/// # Errors
/// The index is not a whole number from 60 to 120.
pub fn load_of_index(index: Ratio) -> Result<Mass, OutOfRange> {
    let number = index.get::<ratio>();
    let place = number - 60.0;
    let found = (place >= 0.0 && place.fract() == 0.0).then(|| LOADS.get(place as usize)).flatten();
    found
        .map(|load| Mass::new::<kilogram>(f64::from(*load)))
        .ok_or_else(|| OutOfRange::new("load index", number, "the whole numbers from 60 to 120"))
}

/// Speeds of the speed symbols, in kilometre per hour. Source: ISO 4000-1; UN Regulation 30 (read).
const SPEEDS: [(&str, f64); 13] = [
    ("L", 120.0),
    ("M", 130.0),
    ("N", 140.0),
    ("P", 150.0),
    ("Q", 160.0),
    ("R", 170.0),
    ("S", 180.0),
    ("T", 190.0),
    ("U", 200.0),
    ("H", 210.0),
    ("V", 240.0),
    ("W", 270.0),
    ("Y", 300.0),
];

/// Speed up to which a tyre of a speed symbol carries its load, or part of it (see [`load_share_at_speed`]).
///
/// # Errors
/// The symbol is none of L to Y in the table of ISO 4000-1.
pub fn speed_of_symbol(symbol: &str) -> Result<Velocity, OutOfRange> {
    let found = SPEEDS.iter().find(|(s, _)| *s == symbol);
    found.map(|(_, speed)| Velocity::new::<kilometer_per_hour>(*speed)).ok_or_else(|| {
        OutOfRange::new("speed symbol", format_args!("\"{symbol}\""), "L, M, N, P, Q, R, S, T, U, H, V, W, Y")
    })
}

/// Share of its index's load that a tyre carries at a speed: whole up to the symbol's speed, but V, W and Y tyres lose load in
/// steps of 10 km/h before it.
///
/// V: 97, 94, 91 % up to 220, 230, 240 km/h. W: 95, 90, 85 % up to 250, 260, 270. Y: 95, 90, 85 % up to 280, 290, 300. Source:
/// UN Regulation 30 (memory).
///
/// # Errors
/// The symbol is unknown, or the speed is above the symbol's.
pub fn load_share_at_speed(symbol: &str, speed: Velocity) -> Result<Ratio, OutOfRange> {
    let top = speed_of_symbol(symbol)?;
    let show = |v: Velocity| format!("{:.0} km/h", v.get::<kilometer_per_hour>());
    let v = within("speed", speed, Velocity::default(), top, show)?.get::<kilometer_per_hour>();
    let (from, loss) = match symbol {
        "V" => (210.0, 0.03),
        "W" => (240.0, 0.05),
        "Y" => (270.0, 0.05),
        _ => return Ok(Ratio::new::<ratio>(1.0)),
    };
    // A hair above a step's end by rounding is not the next step.
    let steps = ((v - from) / 10.0 - 1e-9).ceil().max(0.0);
    Ok(Ratio::new::<ratio>(1.0 - loss * steps))
}

/// Difference of two rolling radii, as a share of their mean.
///
/// # Errors
/// A radius is not above zero.
pub fn radius_difference(first: Length, second: Length) -> Result<Ratio, OutOfRange> {
    let (a, b) = (positive("rolling radius", first)?, positive("rolling radius", second)?);
    Ok((a - b).abs() / ((a + b) / 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kmh(value: f64) -> Velocity {
        Velocity::new::<kilometer_per_hour>(value)
    }

    #[test]
    fn well_known_markings() {
        // 91V: 615 kg at 240 km/h; 75S: 387 kg at 180 km/h (ISO 4000-1, read).
        let load = |i: f64| load_of_index(Ratio::new::<ratio>(i)).expect("in the table").get::<kilogram>();
        assert_eq!((load(91.0), load(75.0), load(60.0), load(120.0)), (615.0, 387.0, 250.0, 1400.0));
        assert!((speed_of_symbol("V").expect("in the table") - kmh(240.0)).abs() < kmh(1e-9));
    }

    #[test]
    fn the_table_of_loads_climbs() {
        assert!(LOADS.windows(2).all(|w| w[0] < w[1]));
    }

    #[test]
    fn no_index_between_and_none_outside() {
        for index in [59.0, 121.0, 90.5, f64::NAN, f64::INFINITY, -3.0] {
            assert!(load_of_index(Ratio::new::<ratio>(index)).is_err(), "{index}");
        }
        assert!(speed_of_symbol("v").is_err() && speed_of_symbol("").is_err() && speed_of_symbol("O").is_err());
    }

    #[test]
    fn fast_tyres_lose_load_in_steps() {
        let share = |s, v| load_share_at_speed(s, kmh(v)).expect("in range").get::<percent>().round();
        assert_eq!(
            [share("V", 210.0), share("V", 215.0), share("V", 220.0), share("V", 240.0)],
            [100.0, 97.0, 97.0, 91.0]
        );
        assert_eq!(
            [share("W", 240.0), share("W", 260.0), share("Y", 300.0), share("H", 210.0)],
            [100.0, 90.0, 85.0, 100.0]
        );
        assert!(load_share_at_speed("H", kmh(211.0)).is_err());
    }

    #[test]
    fn measuring_rims() {
        // 205/55: 0.70 W = 5.65 in, 5.5 in; 225/40: 0.85 W = 7.53 in, 7.5 in (handbook practice, memory).
        let rim = |w, a| measuring_rim_width(Length::new::<millimeter>(w), Ratio::new::<percent>(a)).expect("in range");
        assert_eq!((rim(205.0, 55.0).get::<inch>(), rim(225.0, 40.0).get::<inch>()), (5.5, 7.5));
        assert!(measuring_rim_width(Length::new::<millimeter>(20.5), Ratio::new::<percent>(55.0)).is_err());
        assert!(measuring_rim_width(Length::new::<millimeter>(205.0), Ratio::new::<percent>(550.0)).is_err());
    }
}
