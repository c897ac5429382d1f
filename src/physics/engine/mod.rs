//! Around the engine: the air it breathes and the gas it gives off, its mounts, its clutch, and what it drives.

pub mod accessories;
pub mod air_flow;
pub mod clutch_release;
pub mod gas_pipe;
pub mod mounts;
pub mod servo_vacuum;
pub mod throttle;
