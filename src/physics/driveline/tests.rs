//! Tests of the driveline's computations: published cases, tables made by other routes, and laws.

use uom::si::angle::degree;
use uom::si::angular_velocity::revolution_per_minute;
use uom::si::f64::{Angle, AngularVelocity, Length, MassDensity, Pressure, Ratio, Torque};
use uom::si::length::millimeter;
use uom::si::mass_density::kilogram_per_cubic_meter;
use uom::si::pressure::{gigapascal, megapascal};
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

mod laws;
mod ranges;
mod reference;
mod tables;
mod worked;

fn deg(value: f64) -> Angle {
    Angle::new::<degree>(value)
}

fn rpm(value: f64) -> AngularVelocity {
    AngularVelocity::new::<revolution_per_minute>(value)
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn number(value: f64) -> Ratio {
    Ratio::new::<ratio>(value)
}

fn nm(value: f64) -> Torque {
    Torque::new::<newton_meter>(value)
}

fn gpa(value: f64) -> Pressure {
    Pressure::new::<gigapascal>(value)
}

fn mpa(value: f64) -> Pressure {
    Pressure::new::<megapascal>(value)
}

fn kg_per_m3(value: f64) -> MassDensity {
    MassDensity::new::<kilogram_per_cubic_meter>(value)
}

#[track_caller]
fn close(got: f64, wanted: f64, share: f64) {
    assert!((got - wanted).abs() <= share * wanted.abs(), "{got} is not within {share} of {wanted}");
}
