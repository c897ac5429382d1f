//! Getting the engine's heat into the air: boiling points, coolants, heat exchangers, the steady balance, and the way
//! of the air.

pub mod air_path;
pub mod balance;
pub mod coolant;
pub mod exchanger;
pub mod saturation;
