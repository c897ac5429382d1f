//! Suspension: where links put the wheels over their travel, and what springs, dampers and bars do there.

mod axle;
mod axle_pose;
mod by_links;
mod flat;
mod follow;
mod layouts;
mod link_angles;
mod link_loads;
mod linkage;
mod load_transfer;
mod motion;
mod planar;
mod ride;
mod shaft_lay;
mod spring_travel;
mod springs;
mod tyre_gap;
mod wheel_pose;

#[cfg(test)]
mod tests;

pub use axle::{CrankOn, LiveAxle, Watt, axle_pose, axle_poses};
pub use axle_pose::AxlePose;
pub use by_links::{links_pose, live_axle_on_links_pose, live_axle_on_links_with_watt_pose, strut_on_links_pose};
pub use flat::{
    carried_by_arm, carried_by_rocker, carried_point, double_wishbone_pose, five_link_pose, link_twist, live_axle_pose,
    live_axle_with_watt_pose, load_transfer, rod_end_tilt, strut_pose, swinging_arm_pose, tyre_gap_to,
};
pub use layouts::{
    DoubleWishbone, FiveLink, Guide, Independent, Link, Strut, StrutOnLinks, SwingingArm, wheel_pose, wheel_poses,
};
pub use link_angles::{LinkAngles, link_angles};
pub use link_loads::{across_arm, link_load};
pub use load_transfer::{CorneringAxle, LoadTransfer, lateral_load_transfer};
pub use motion::{Motion, arm_motion};
pub use planar::{
    FrontView, SideView, anti_dive, anti_squat, double_wishbone_front_view, links_side_view, parallel_arms_roll_centre,
    slope_angle, strut_front_view,
};
pub use ride::{
    Ride, damping_ratio, in_series, natural_frequency, ratio_change_rate, ride, roll_gradient,
    roll_stiffness_from_wheel_rate, static_deflection_for_frequency, wheel_hop_frequency, wheel_rate,
};
pub use shaft_lay::{ShaftLay, shaft_lay};
pub use spring_travel::{Rocker, SpringTravel, rocker_motion, spring_travel};
pub use springs::{
    AntiRollBar, anti_roll_bar, bar_twist, coil_rate, coil_shear_stress, solid_length, torsion_bar_rate,
};
pub use tyre_gap::tyre_gap;
pub use wheel_pose::{Wheel, WheelPose};
