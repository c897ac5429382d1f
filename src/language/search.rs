//! Searching along one number: where a score is least, and where an answer turns. Sweeps of a rule refine their worst point by
//! it, and the room to move of a value is found by it.

/// Finds where `score` is least between `low` and `high` by golden section, each step narrowing the bracket by 0.618; nothing
/// if there is no score at a point on the way. With several dips it finds one of them.
pub fn lowest_between(
    mut low: f64,
    mut high: f64,
    steps: usize,
    mut score: impl FnMut(f64) -> Option<f64>,
) -> Option<f64> {
    let ratio = (5f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (high - ratio * (high - low), low + ratio * (high - low));
    let (mut at_a, mut at_b) = (score(a)?, score(b)?);
    for _ in 0..steps {
        if at_a <= at_b {
            high = b;
            b = a;
            at_b = at_a;
            a = high - ratio * (high - low);
            at_a = score(a)?;
        } else {
            low = a;
            a = b;
            at_a = at_b;
            b = low + ratio * (high - low);
            at_b = score(b)?;
        }
    }
    Some(if at_a <= at_b { a } else { b })
}

/// Narrows by halving the bracket of a point where an answer turns from yes, which it is at `yes`, to no, which it is at `no`;
/// gives the last point on either side, the one with yes first. It ends when the bracket is as narrow as `width`, or when no
/// number lies between its ends.
pub fn turning_between(mut yes: f64, mut no: f64, width: f64, mut answer: impl FnMut(f64) -> bool) -> (f64, f64) {
    while (no - yes).abs() > width {
        let middle = yes + (no - yes) / 2.0;
        if middle == yes || middle == no {
            break;
        }
        if answer(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    (yes, no)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lowest_point_is_found_and_a_missing_score_ends_it() {
        let found = lowest_between(-1.0, 4.0, 60, |x| Some((x - 1.25).powi(2)));
        assert!(found.is_some_and(|x| (x - 1.25).abs() < 1e-6), "{found:?}");
        assert_eq!(lowest_between(0.0, 1.0, 10, |x| (x < 0.5).then_some(x)), None);
    }

    #[test]
    fn the_turning_point_is_bracketed_from_both_sides() {
        for (yes, no) in [(0.0, 8.0), (8.0, 0.0)] {
            let holds = |x: f64| (x < 2.0) == (yes < no);
            let (inside, outside) = turning_between(yes, no, 1e-9, holds);
            assert!(holds(inside) && !holds(outside) && (inside - outside).abs() <= 1e-9);
        }
        let (inside, outside) = turning_between(1.0, 2.0, 0.0, |x| x <= 1.5);
        assert_eq!((inside, outside), (1.5, 1.5f64.next_up()));
    }
}
