//! Computations of shared wires, fuses and the battery.

use super::register;
use crate::physics::{battery, fuse, shared_wires as wires};

register! {
    "Current and voltage drop of wires that feed each other; the source is number 0."
    shared_wires = wires::shared_wires: (resistances: [resistance], loads: [current], fed_by: [number])
        -> {currents: [current], drops: [voltage], drops_from_source: [voltage]};
    "Current of a load of constant power behind a resistance."
    constant_power_current = wires::constant_power_current: (
        voltage: voltage, power: power, loop_resistance: resistance
    ) -> current;
    "Least rating of a fuse that bears a lasting current."
    least_fuse = fuse::least_fuse: (current: current, lasting_share: number) -> current;
    "Next rating of a fuse that is sold."
    next_standard_fuse = fuse::next_standard_fuse: (current: current) -> current;
    "Time in which a short circuit heats a copper wire."
    copper_heating_time = fuse::copper_heating_time: (
        current: current, area: area, start: temperature, end: temperature
    ) -> time;
    "Inner resistance of a battery."
    battery_resistance = battery::battery_resistance: (at_rest: voltage, under_load: voltage, current: current)
        -> resistance;
    "Voltages while the starter turns."
    cranking_voltages = battery::cranking_voltages: (
        at_rest: voltage, battery_resistance: resistance, cable_resistance: resistance, current: current
    ) -> {at_battery: voltage, at_starter: voltage, lost_in_cables: voltage};
    "How long a battery feeds a current alone."
    battery_lasts = battery::battery_lasts: (capacity: charge, rated_over: time, current: current, exponent: number)
        -> time;
}
