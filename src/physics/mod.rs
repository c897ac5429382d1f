//! Pure computations, typed with `uom`, one file for each topic; each states formula, symbols, source and range of
//! validity.

pub mod aero;
pub mod air;
pub mod atmosphere;
pub mod balance;
pub mod battery;
pub mod beam;
pub mod bolt_group;
pub mod box_section;
pub mod brakes;
pub mod column;
pub mod cooling;
pub mod driveline;
pub mod engagement;
pub mod engine;
pub mod fuel;
pub mod fuse;
pub mod gravity;
pub mod ground;
pub mod joint;
pub mod lug;
pub mod pipe;
pub mod pump;
pub mod range;
pub mod shared_wires;
pub mod sound;
pub mod suction;
pub mod temperature;
pub mod thermal_growth;
pub mod thread;
pub mod tightening;
pub mod tube;
pub mod vapour;
pub mod wheel;
pub mod wiring;
