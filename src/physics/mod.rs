//! Pure computations, typed with `uom`, one file for each topic; each states formula, symbols, source and range of validity.

pub mod aero;
pub mod air;
pub mod atmosphere;
pub mod brakes;
pub mod cooling;
pub mod driveline;
pub mod engine;
pub mod range;
pub mod sound;
pub mod temperature;
pub mod thermal_growth;
