//! Computations of structure: box sections, beams, bolt groups, lugs, threads, and where the tubes of a cage stand.

use super::register;
use crate::physics::{beam, bolt_group, box_section, engagement, lug, tightening, tube, tube_place as place};

register! {
    "Wall of a tube from its mass per length."
    tube_wall_from_mass = tube::tube_wall_from_mass: (
        outside: length, mass_per_length: mass_per_length, density: density
    ) -> length;
    "Section of a rectangular tube."
    box_section = box_section::box_section: (height: length, width: length, wall: length)
        -> {
            area: area, second_moment: second_moment_of_area, section_modulus: section_modulus,
            sideways_second_moment: second_moment_of_area, sideways_section_modulus: section_modulus,
            torsion_constant: second_moment_of_area
        };
    "Moment and deflection of a beam held at one end."
    cantilever = beam::cantilever: (
        force: force, length: length, modulus: stress, second_moment: second_moment_of_area
    ) -> {moment: torque, deflection: length};
    "Moment and deflection of a beam on two supports."
    beam_on_supports = beam::beam_on_supports: (
        force: force, span: length, load_at: length, modulus: stress, second_moment: second_moment_of_area
    ) -> {moment: torque, deflection: length};
    "Moment and deflection of a beam held at both ends."
    beam_held_at_both_ends = beam::beam_held_at_both_ends: (
        force: force, span: length, load_at: length, modulus: stress, second_moment: second_moment_of_area
    ) -> {moment: torque, deflection: length};
    "Stress in the outermost fibre of a bent section."
    bending_stress = beam::bending_stress: (moment: torque, section_modulus: section_modulus) -> stress;

    "Shear in each bolt of a plate under a force in its plane."
    bolt_group_shear = bolt_group::bolt_group_shear: (
        x: [length], y: [length], force_x: force, force_y: force, at_x: length, at_y: length
    ) -> [force];
    "Tension in each bolt of a plate under a pull and a moment over an edge."
    bolt_group_tension = bolt_group::bolt_group_tension: (from_edge: [length], pull: force, moment: torque)
        -> [force];
    "Stresses in a bolt that a rod end bends beside its bracket."
    bolt_in_single_shear = lug::bolt_in_single_shear: (force: force, arm: length, diameter: length)
        -> {moment: torque, bending: stress, shear: stress, equivalent: stress};
    "Stresses in a bolt through a fork."
    bolt_in_double_shear = lug::bolt_in_double_shear: (
        force: force, outer_thickness: length, inner_thickness: length, gap: length, diameter: length
    ) -> {moment: torque, bending: stress, shear: stress, equivalent: stress};
    "Load at which a hole tears out to the edge."
    lug_tear_out_load = lug::lug_tear_out_load: (
        end_distance: length, hole_diameter: length, thickness: length, shear_strength: stress
    ) -> force;
    "Use of a bolt's strength under shear and tension together."
    bolt_combined_use = lug::bolt_combined_use: (shear_share: number, tension_share: number) -> number;
    "Length of engagement at which the bolt breaks before a thread strips."
    engagement_for_bolt_strength = engagement::engagement_for_bolt_strength: (
        diameter: length, pitch: length, bolt_strength: stress, part_strength: stress, shear_to_tensile: number
    ) -> {for_bolt_thread: length, for_part_thread: length, needed: length};
    "Pitch diameter of a thread."
    thread_pitch_diameter = tightening::thread_pitch_diameter: (diameter: length, pitch: length) -> length;
    "Tightening torque for a preload, with the frictions of thread and head."
    torque_with_friction = tightening::torque_with_friction: (
        preload: force, diameter: length, pitch: length, face_diameter: length, thread_friction: number,
        face_friction: number
    ) -> torque;
    "Preload of a tightening torque, with the frictions of thread and head."
    preload_with_friction = tightening::preload_with_friction: (
        torque: torque, diameter: length, pitch: length, face_diameter: length, thread_friction: number,
        face_friction: number
    ) -> force;
    "Stress in a bolt while it is tightened."
    tightening_stress = tightening::tightening_stress: (
        preload: force, diameter: length, pitch: length, thread_friction: number
    ) -> stress;

    "Angle between a tube and the vertical."
    angle_from_vertical = place::angle_from_vertical: (one: point, other: point) -> angle;
    "Angle by which a line falls below the horizontal."
    angle_below_horizontal = place::angle_below_horizontal: (from: point, to: point) -> angle;
    "Angle between two tubes."
    angle_between_tubes = place::angle_between_tubes: (
        first_from: point, first_to: point, second_from: point, second_to: point
    ) -> angle;
    "Room between a point and the surface of a tube."
    room_beside_tube = place::room_beside_tube: (point: point, one_end: point, other_end: point, outside: length)
        -> length;
    "Room between the surfaces of two tubes."
    room_between_tubes = place::room_between_tubes: (
        first_from: point, first_to: point, first_outside: length, second_from: point, second_to: point,
        second_outside: length
    ) -> length;
}
