//! Sound levels: adding sources, and going from one distance to another.

use uom::si::f64::{Length, Ratio};

use super::range::{OutOfRange, positive};

/// A sound pressure level in decibel, weighted as the limit that it is held against says. It is a logarithm of a ratio
/// and takes part in no other arithmetic.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct SoundLevel(pub f64);

/// Level of several sources together, which have nothing to do with each other: 10 lg Σ 10^(L / 10).
///
/// # Errors
/// There is no source, or a level is not a number between -50 and 250.
pub fn combined_sound_level(levels: &[SoundLevel]) -> Result<SoundLevel, OutOfRange> {
    if levels.is_empty() {
        return Err(OutOfRange::new("number of sources", 0, "one or more"));
    }
    let mut power = 0.0;
    for level in levels {
        power += 10f64.powf(checked(*level)?.0 / 10.0);
    }
    Ok(SoundLevel(10.0 * power.log10()))
}

/// Level at another distance from a small source in the open: L2 = L1 - 20 lg (r2 / r1). Walls, a second outlet and
/// the ground make it less than exact: 2 dB either way is usual.
///
/// # Errors
/// A distance is not above zero, or the level is not a number between -50 and 250.
pub fn sound_level_at(level: SoundLevel, measured_at: Length, wanted_at: Length) -> Result<SoundLevel, OutOfRange> {
    let ratio: Ratio = positive("distance", wanted_at)? / positive("distance of the measurement", measured_at)?;
    Ok(SoundLevel(checked(level)?.0 - 20.0 * ratio.value.log10()))
}

fn checked(level: SoundLevel) -> Result<SoundLevel, OutOfRange> {
    if (-50.0..=250.0).contains(&level.0) {
        Ok(level)
    } else {
        Err(OutOfRange::new("sound level", format_args!("{} dB", level.0), "-50 dB to 250 dB"))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::length::meter;

    use super::*;

    #[test]
    fn two_equal_sources_add_three_decibel() {
        let both = combined_sound_level(&[SoundLevel(95.0), SoundLevel(95.0)]).expect("in range");
        assert!((both.0 - 98.0103).abs() < 1e-4);
        assert!(combined_sound_level(&[]).is_err());
        assert!(combined_sound_level(&[SoundLevel(f64::INFINITY)]).is_err());
    }

    proptest! {
        #[test]
        fn twice_the_distance_takes_six_decibel(l in 40.0..130.0f64, r in 0.2..20.0f64) {
            let (near, far) = (Length::new::<meter>(r), Length::new::<meter>(2.0 * r));
            let far = sound_level_at(SoundLevel(l), near, far).expect("in range");
            prop_assert!((l - far.0 - 6.0206).abs() < 1e-4);
        }

        #[test]
        fn the_sum_is_between_the_loudest_and_all_as_loud(a in 40.0..130.0f64, b in 40.0..130.0f64) {
            let sum = combined_sound_level(&[SoundLevel(a), SoundLevel(b)]).expect("in range").0;
            prop_assert!(sum >= a.max(b) && sum <= a.max(b) + 3.0103);
        }
    }
}
