//! Holds sections, beams, columns, bolt groups and wires against tables made by general-purpose libraries and by
//! routes which share no formula with the program; the script that made them, with the versions, is
//! `tests/reference/structure.py`.

#[path = "reference/tables.rs"]
mod tables;

use serde_json::Value;
use tables::{near, numbers, table};
use tramgauge::physics::beam::{beam_held_at_both_ends, beam_on_supports, bending_stress, cantilever};
use tramgauge::physics::bolt_group::bolt_group_shear;
use tramgauge::physics::box_section::box_section;
use tramgauge::physics::column::{eccentric_column, euler_load};
use tramgauge::physics::fuse::copper_heating_time;
use tramgauge::physics::shared_wires::shared_wires;
use tramgauge::physics::tube::{AreaMoment, tube_section};
use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::*;
use uom::si::force::newton;
use uom::si::length::{meter, millimeter};
use uom::si::pressure::pascal;
use uom::si::thermodynamic_temperature::degree_celsius;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn metres(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn list(cell: &Value) -> Vec<f64> {
    numbers(cell.as_array().expect("a list"))
}

#[test]
fn tubes_agree_with_sectionproperties() {
    for row in table("structure_tubes.json", 15) {
        let [d, t, area, second, elastic, plastic, torsion, gyration] = numbers(&row)[..] else {
            panic!("eight columns")
        };
        let section = tube_section(mm(d), mm(t)).expect("a tube");
        let what = format!("{d} x {t}");
        // The library's circle is a polygon of 256 sides: 1e-4 of the area, 2e-4 of the second moment.
        near(&what, section.area.value * 1e6, area, 2e-4);
        near(&what, section.second_moment.value * 1e12, second, 4e-4);
        near(&what, section.section_modulus.value * 1e9, elastic, 4e-4);
        near(&what, section.plastic_modulus.value * 1e9, plastic, 4e-4);
        near(&what, section.polar_moment.value * 1e12, torsion, 1.5e-3);
        near(&what, section.radius_of_gyration.value * 1e3, gyration, 2e-4);
    }
}

#[test]
fn boxes_agree_with_sectionproperties() {
    for row in table("structure_boxes.json", 15) {
        let [h, b, t, area, second, modulus, sideways, sideways_modulus, torsion] = numbers(&row)[..] else {
            panic!("nine columns")
        };
        let section = box_section(mm(h), mm(b), mm(t)).expect("a tube");
        let what = format!("{h} x {b} x {t}");
        near(&what, section.area.value * 1e6, area, 1e-6);
        near(&what, section.second_moment.value * 1e12, second, 1e-6);
        near(&what, section.section_modulus.value * 1e9, modulus, 1e-6);
        near(&what, section.sideways_second_moment.value * 1e12, sideways, 1e-6);
        near(&what, section.sideways_section_modulus.value * 1e9, sideways_modulus, 1e-6);
        // Bredt takes the wall as thin and leaves out the corners.
        near(&what, section.torsion_constant.value * 1e12, torsion, 0.06);
    }
}

#[test]
fn beams_agree_with_finite_elements() {
    for row in table("structure_beams.json", 15) {
        let [support, length, at, force, modulus, second, moment, deflection] = numbers(&row)[..] else {
            panic!("eight columns")
        };
        let (force, modulus) = (Force::new::<newton>(force), Pressure::new::<pascal>(modulus));
        let second: AreaMoment = metres(1.0) * metres(1.0) * metres(1.0) * metres(1.0) * second;
        let beam = match support as u8 {
            0 => cantilever(force, metres(length), modulus, second),
            1 => beam_on_supports(force, metres(length), metres(at), modulus, second),
            _ => beam_held_at_both_ends(force, metres(length), metres(at), modulus, second),
        }
        .expect("in range");
        let what = format!("support {support}, {length} m, load at {at} m");
        near(&what, beam.moment.value, moment, 1e-6);
        near(&what, beam.deflection.value, deflection, 1e-6);
    }
}

#[test]
fn columns_agree_with_finite_elements() {
    for row in table("structure_columns.json", 15) {
        let [outside, wall, length, factor, modulus, load] = numbers(&row)[..] else { panic!("six columns") };
        let second = tube_section(metres(outside), metres(wall)).expect("a tube").second_moment;
        let got = euler_load(Pressure::new::<pascal>(modulus), second, metres(length), Ratio::from(factor));
        near(&format!("{outside} x {wall}, {length} m"), got.expect("in range").value, load, 1e-5);
    }
}

#[test]
fn eccentric_columns_agree_with_a_boundary_value_problem() {
    for row in table("structure_eccentric.json", 15) {
        let [force, e, length, modulus, outside, wall, moment, stress] = numbers(&row)[..] else {
            panic!("eight columns")
        };
        let (force, modulus) = (Force::new::<newton>(force), Pressure::new::<pascal>(modulus));
        let (outside, wall) = (metres(outside), metres(wall));
        let column = eccentric_column(force, metres(e), metres(length), modulus, outside, wall).expect("in range");
        let what = format!("{outside:?} under {force:?}");
        near(&what, column.moment.value, moment, 1e-6);
        near(&what, column.stress.value, stress, 1e-6);
        let section = tube_section(outside, wall).expect("a tube");
        let bending = bending_stress(column.moment, section.section_modulus).expect("in range");
        near(&what, (bending + force / section.area).value, stress, 1e-6);
    }
}

#[test]
fn bolt_groups_agree_with_springs_under_a_stiff_plate() {
    for row in table("structure_bolt_groups.json", 15) {
        let [places, force, at, shears] = &row[..] else { panic!("four columns") };
        let point = |cell: &Value| match list(cell)[..] {
            [x, y] => (x, y),
            _ => panic!("two numbers"),
        };
        let places: Vec<_> = places.as_array().expect("places").iter().map(point).collect();
        let (x, y): (Vec<_>, Vec<_>) = places.iter().map(|(x, y)| (mm(*x), mm(*y))).unzip();
        let ((fx, fy), (ax, ay)) = (point(force), point(at));
        let (fx, fy) = (Force::new::<newton>(fx), Force::new::<newton>(fy));
        let got = bolt_group_shear(&x, &y, fx, fy, mm(ax), mm(ay)).expect("in range");
        assert_eq!(got.len(), list(shears).len());
        for (shear, wanted) in got.iter().zip(list(shears)) {
            near(&format!("{} bolts", places.len()), shear.value, wanted, 1e-6);
        }
    }
}

#[test]
fn shared_wires_agree_with_the_conductance_matrix() {
    for row in table("electrical_wires.json", 15) {
        let [feeders, resistances, loads, drops] = &row[..] else { panic!("four columns") };
        // The script counts from 0 and calls the source -1.
        let fed_by: Vec<_> = list(feeders).iter().map(|feeder| Ratio::from(feeder + 1.0)).collect();
        let resistances: Vec<_> = list(resistances).into_iter().map(ElectricalResistance::new::<ohm>).collect();
        let loads: Vec<_> = list(loads).into_iter().map(ElectricCurrent::new::<ampere>).collect();
        let got = shared_wires(&resistances, &loads, &fed_by).expect("a tree").drops_from_source;
        assert_eq!(got.len(), list(drops).len());
        for (drop, wanted) in got.iter().zip(list(drops)) {
            near(&format!("{} wires", got.len()), drop.value, wanted, 1e-6);
        }
    }
}

#[test]
fn wires_heat_as_marched_in_time() {
    for row in table("electrical_heating.json", 15) {
        let [current, area, start, end, time] = numbers(&row)[..] else { panic!("five columns") };
        let celsius = ThermodynamicTemperature::new::<degree_celsius>;
        let (current, area) = (ElectricCurrent::new::<ampere>(current), Area::new::<square_millimeter>(area));
        let got = copper_heating_time(current, area, celsius(start), celsius(end)).expect("in range");
        // K is rounded to 226 in the standard.
        near(&format!("{current:?} in {area:?}"), got.value, time, 4e-3);
    }
}
