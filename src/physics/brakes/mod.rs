//! Brakes from the pedal to the road: forces, pressures, torques, balance between the axles, distances, heat, parking.
//!
//! In come what a builder can measure (bores, radii, friction, masses, heights), out come quantities and small records.
//! Deceleration is handed over as `z`, the braking rate: deceleration over gravity. Forces at the road are those of a
//! whole axle; lengths of the car are its wheelbase, the distance of the centre of gravity behind the front axle and
//! its height above the road. Air forces and the inertia of turning parts are left out of the balance.

mod balance;
mod balance_band;
mod heat;
mod hydraulics;
mod lever;
mod lock;
mod parking;
mod stopping;
mod surface;
mod torque;
mod volume;

pub use balance::*;
pub use balance_band::*;
pub use heat::*;
pub use hydraulics::*;
pub use lever::*;
pub use lock::*;
pub use parking::*;
pub use stopping::*;
pub use surface::*;
pub use torque::*;
pub use volume::*;
