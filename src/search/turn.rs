//! Where an answer turns from yes to no.

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
