//! Sizes of the thread standards: which pitch a bare size has, and the diameter of pipe threads, which is not their name.

/// ISO 261, coarse pitches: nominal diameter, pitch, in mm. (memory)
pub(super) const METRIC_COARSE: &[(f64, f64)] = &[
    (1.6, 0.35),
    (2.0, 0.4),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
    (7.0, 1.0),
    (8.0, 1.25),
    (10.0, 1.5),
    (12.0, 1.75),
    (14.0, 2.0),
    (16.0, 2.0),
    (18.0, 2.5),
    (20.0, 2.5),
    (22.0, 2.5),
    (24.0, 3.0),
    (27.0, 3.0),
    (30.0, 3.5),
    (33.0, 3.5),
    (36.0, 4.0),
    (39.0, 4.0),
    (42.0, 4.5),
    (48.0, 5.0),
];

/// A size in inches and its threads to the inch.
type Sizes = &'static [(f64, f64)];

/// ASME B1.1, UNC: fractional sizes. (memory)
pub(super) const UNIFIED_COARSE: Sizes = &[
    (0.25, 20.0),
    (0.3125, 18.0),
    (0.375, 16.0),
    (0.4375, 14.0),
    (0.5, 13.0),
    (0.5625, 12.0),
    (0.625, 11.0),
    (0.75, 10.0),
    (0.875, 9.0),
    (1.0, 8.0),
    (1.125, 7.0),
    (1.25, 7.0),
    (1.5, 6.0),
];

/// ASME B1.1, UNF: fractional sizes. (memory)
pub(super) const UNIFIED_FINE: Sizes = &[
    (0.25, 28.0),
    (0.3125, 24.0),
    (0.375, 24.0),
    (0.4375, 20.0),
    (0.5, 20.0),
    (0.5625, 18.0),
    (0.625, 18.0),
    (0.75, 16.0),
    (0.875, 14.0),
    (1.0, 12.0),
    (1.125, 12.0),
    (1.25, 12.0),
    (1.5, 12.0),
];

/// ASME B1.1, numbered sizes: number, UNC and UNF threads to the inch; 0 where there is none. (memory)
pub(super) const NUMBERED: &[(u8, f64, f64)] = &[
    (0, 0.0, 80.0),
    (1, 64.0, 72.0),
    (2, 56.0, 64.0),
    (3, 48.0, 56.0),
    (4, 40.0, 48.0),
    (5, 40.0, 44.0),
    (6, 32.0, 40.0),
    (8, 32.0, 36.0),
    (10, 24.0, 32.0),
    (12, 24.0, 28.0),
];

/// BS 84, Whitworth. (memory)
pub(super) const WHITWORTH: Sizes = &[
    (0.125, 40.0),
    (0.1875, 24.0),
    (0.25, 20.0),
    (0.3125, 18.0),
    (0.375, 16.0),
    (0.4375, 14.0),
    (0.5, 12.0),
    (0.5625, 12.0),
    (0.625, 11.0),
    (0.75, 10.0),
    (0.875, 9.0),
    (1.0, 8.0),
];

/// BS 84, British Standard Fine. (memory)
pub(super) const BRITISH_FINE: Sizes = &[
    (0.1875, 32.0),
    (0.25, 26.0),
    (0.3125, 22.0),
    (0.375, 20.0),
    (0.4375, 18.0),
    (0.5, 16.0),
    (0.5625, 16.0),
    (0.625, 14.0),
    (0.75, 12.0),
    (0.875, 11.0),
    (1.0, 10.0),
];

/// ISO 228-1 and ISO 7-1: size, major diameter in mm, threads to the inch. (memory)
pub(super) const PIPE: &[(f64, f64, f64)] = &[
    (0.0625, 7.723, 28.0),
    (0.125, 9.728, 28.0),
    (0.25, 13.157, 19.0),
    (0.375, 16.662, 19.0),
    (0.5, 20.955, 14.0),
    (0.625, 22.911, 14.0),
    (0.75, 26.441, 14.0),
    (0.875, 30.201, 14.0),
    (1.0, 33.249, 11.0),
    (1.25, 41.910, 11.0),
    (1.5, 47.803, 11.0),
    (2.0, 59.614, 11.0),
];

/// ASME B1.20.1, American taper pipe thread: size, outside diameter of the pipe in inches, threads to the inch. (memory)
pub(super) const AMERICAN_PIPE: &[(f64, f64, f64)] = &[
    (0.0625, 0.3125, 27.0),
    (0.125, 0.405, 27.0),
    (0.25, 0.540, 18.0),
    (0.375, 0.675, 18.0),
    (0.5, 0.840, 14.0),
    (0.75, 1.050, 14.0),
    (1.0, 1.315, 11.5),
    (1.25, 1.660, 11.5),
    (1.5, 1.900, 11.5),
    (2.0, 2.375, 11.5),
];

/// SAE J514, 37 degree flare, and J1926, straight thread with O-ring: dash size (sixteenths of an inch of tube), thread
/// diameter in inches, threads to the inch. (memory)
pub(super) const DASH: &[(u8, f64, f64)] = &[
    (2, 0.3125, 24.0),
    (3, 0.375, 24.0),
    (4, 0.4375, 20.0),
    (5, 0.5, 20.0),
    (6, 0.5625, 18.0),
    (8, 0.75, 16.0),
    (10, 0.875, 14.0),
    (12, 1.0625, 12.0),
    (14, 1.1875, 12.0),
    (16, 1.3125, 12.0),
    (20, 1.625, 12.0),
    (24, 1.875, 12.0),
    (32, 2.5, 12.0),
];
