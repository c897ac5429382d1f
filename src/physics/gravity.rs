//! The acceleration of free fall, for the heads and weights of other computations.

use uom::si::acceleration::meter_per_second_squared;
use uom::si::f64::Acceleration;

/// Standard acceleration of free fall, 9.80665 m/s2 (CGPM 1901, ISO 80000-3).
#[must_use]
pub fn standard_gravity() -> Acceleration {
    Acceleration::new::<meter_per_second_squared>(9.80665)
}
