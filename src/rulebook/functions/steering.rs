//! Computations of the steering: Ackermann geometry, steering axis, column, free play.

use super::register;
use crate::physics::steering;

register! {
    "Steer angle of the outer wheel with which neither wheel scrubs."
    ackermann_outer_angle = steering::ackermann_outer_angle: (wheelbase: length, kingpin_spacing: length, inner_angle: angle) -> angle;
    "Share of Ackermann: 0 for parallel steering, 1 where no wheel scrubs."
    ackermann_share = steering::ackermann_share: (
        wheelbase: length, kingpin_spacing: length, inner_angle: angle, outer_angle: angle
    ) -> number;
    "Diameter of the circle of the outer front wheel."
    turning_circle = steering::turning_circle: (wheelbase: length, outer_angle: angle, scrub_radius: length) -> length;
    "Inclination, caster, scrub radius and trail of a steering axis through two points."
    kingpin_geometry = steering::kingpin_geometry: (lower: point, upper: point, contact: point)
        -> {inclination: angle, caster: angle, scrub_radius: length, mechanical_trail: length};
    "Joint angles of a column with two joints, and the clocking of its middle shaft with which it turns evenly."
    steering_column = steering::steering_column: (wheel: point, first_joint: point, second_joint: point, steering_box: point)
        -> {first_angle: angle, second_angle: angle, yoke_phase: angle};
    "Unevenness of a column with two joints: greatest output speed over the least, less one."
    column_unevenness = steering::column_unevenness: (first_angle: angle, second_angle: angle, clocking_error: angle) -> number;
    "Movement of the steering wheel's rim by free play."
    free_play_at_rim = steering::free_play_at_rim: (wheel_diameter: length, play: angle) -> length;
}
