//! The driveline: joint angles and what they do to the speed of a shaft, whirling, slip, torque, gearing, traction.
//!
//! In come angles, lengths, speeds and torques as a spec states them, out come the figures that the rules of the
//! driveline judge. Axes follow ISO 8855 (x forward, y left, z up). A slope is positive when the front end is higher, a
//! sweep positive when the front end points left. A plane or phase about the line of shafts counts from the left
//! towards up, which is clockwise for a person who stands behind the car and looks forward.

mod cardan;
mod chain;
mod clutch;
mod direction;
mod gearing;
mod shaft;
mod slip;
mod torque;
mod traction;
mod whirl;

pub use cardan::{
    CardanPosition, SecondaryCouple, SpeedExtremes, bend_for_acceleration, bend_for_fluctuation,
    cardan_peak_acceleration, cardan_position, cardan_speed_extremes, inertia_torque, secondary_couple,
    torsional_acceleration, unity_ratio_angle,
};
pub use chain::{
    LineExtremes, equivalent_angle, least_equivalent_angle, line_extremes, phases_of_joints, yoke_offset_needed,
};
pub use clutch::{ClutchCapacity, clutch_capacity};
pub use direction::{Point, joint_angle, joint_angle_at, joint_plane, lateral_angle, slope_between, sweep_between};
pub use gearing::{
    engine_speed_at, overall_ratio, road_speed, rolling_radius, shaft_speed, tractive_force, wheel_speed,
};
pub use shaft::{polar_moment, shear_stress, shear_yield, torque_capacity, tube_twist};
pub use slip::{slip_engagement, slip_plunge};
pub use torque::{bias_share, half_shaft_torque, shaft_torque_from_engine, shaft_torque_from_tyres};
pub use traction::{TractionLimits, traction_limits};
pub use whirl::{
    SteelTubeCharts, critical_speed, critical_speed_dunkerley, critical_speed_with_mass, length_for_critical_speed,
    steel_tube_charts,
};

#[cfg(test)]
mod tests;
