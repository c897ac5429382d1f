//! Where a score is least, about a place that is known to be lower than its neighbours.

/// The share of a bracket that a step takes where no parabola fits: that of the golden section.
const GOLDEN: f64 = 0.381_966_011_250_105_1;

/// Finds where `score` is least between two neighbours of a point of a line, each a place and its score there, the least of
/// the three in the middle: at an end of the line the middle one is that end itself. Gives the place and its score, which are
/// those of the middle if nothing less was found. It ends when the place is known but for `near`, after `steps` scores, or where
/// there is no score. With several dips it finds one of them.
///
/// Each step goes to the lowest point of the parabola through the best three places, or where that leads nowhere by the golden
/// section. Source: R. P. Brent, Algorithms for Minimization without Derivatives, 1973, chapter 5 (from memory).
pub fn lowest_about(
    [one, middle, other]: [(f64, f64); 3],
    near: f64,
    steps: usize,
    mut score: impl FnMut(f64) -> Option<f64>,
) -> (f64, f64) {
    let (low, high) = if one.0 <= other.0 { (one, other) } else { (other, one) };
    let (mut left, mut right) = (low.0, high.0);
    let (mut best, mut second, mut third) = (middle, low, high);
    if middle.0 == low.0 || middle.0 == high.0 {
        // At the end of a line the score mostly rises from there on.
        let (inside, other) = if middle.0 == low.0 { (middle.0 + near, high) } else { (middle.0 - near, low) };
        match score(inside) {
            Some(there) if there < middle.1 => (best, second, third) = ((inside, there), middle, other),
            _ => return middle,
        }
    }
    let (mut step, mut before) = (right - left, right - left);
    for _ in 0..steps {
        let centre = left + (right - left) / 2.0;
        if (best.0 - centre).abs() + (right - left) / 2.0 <= 2.0 * near {
            break;
        }
        let parabola = vertex(best, second, third)
            .filter(|by| by.abs() < before.abs() / 2.0 && left < best.0 + by && best.0 + by < right);
        (before, step) = match parabola {
            Some(by) if best.0 + by - left < 2.0 * near || right - best.0 - by < 2.0 * near => {
                (step, near.copysign(centre - best.0))
            }
            Some(by) => (step, by),
            None => {
                let span = if best.0 < centre { right - best.0 } else { left - best.0 };
                (span, GOLDEN * span)
            }
        };
        let x = best.0 + if step.abs() < near { near.copysign(step) } else { step };
        let Some(there) = score(x) else { break };
        if there <= best.1 {
            if x < best.0 {
                right = best.0
            } else {
                left = best.0
            }
            (third, second, best) = (second, best, (x, there));
        } else {
            if x < best.0 {
                left = x
            } else {
                right = x
            }
            if there <= second.1 || second.0 == best.0 {
                (third, second) = (second, (x, there));
            } else if there <= third.1 || third.0 == best.0 || third.0 == second.0 {
                third = (x, there);
            }
        }
    }
    best
}

/// From the first of three places to the lowest point of the parabola through them; none if they lie on a line.
fn vertex(best: (f64, f64), second: (f64, f64), third: (f64, f64)) -> Option<f64> {
    let (to_second, to_third) = (second.0 - best.0, third.0 - best.0);
    let (rise_second, rise_third) = (second.1 - best.1, third.1 - best.1);
    let above = to_second * to_second * rise_third - to_third * to_third * rise_second;
    let below = 2.0 * (to_second * rise_third - to_third * rise_second);
    let by = above / below;
    by.is_finite().then_some(by)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEAR: f64 = 2e-4;

    /// The lowest place of `of` about the middle of three places, and how many scores that took.
    fn lowest(of: impl Fn(f64) -> f64, places: [f64; 3]) -> ((f64, f64), usize) {
        let mut scores = 0;
        let found = lowest_about(places.map(|x| (x, of(x))), NEAR, 40, |x| {
            scores += 1;
            Some(of(x))
        });
        (found, scores)
    }

    #[test]
    fn the_lowest_point_of_a_smooth_dip_is_found_in_a_few_steps() {
        let cosine = |x: f64| -(x - 1.25).cos();
        let ((x, there), scores) = lowest(cosine, [-1.0, 1.0, 2.5]);
        assert!((x - 1.25).abs() < NEAR && there == cosine(x), "{x}");
        assert!(scores <= 8, "{scores}");
    }

    #[test]
    fn the_lowest_point_of_a_kink_is_found() {
        let kink = |x: f64| if x < 0.3 { 2.0 * (0.3 - x) } else { 5.0 * (x - 0.3) };
        let ((x, _), scores) = lowest(kink, [0.0, 0.5, 1.0]);
        assert!((x - 0.3).abs() < 2.0 * NEAR, "{x} in {scores}");
    }

    #[test]
    fn at_an_end_of_a_line_one_look_tells_that_the_score_rises_from_it() {
        for (slope, end) in [(1.0, 0.0), (-1.0, 2.0)] {
            let (found, scores) = lowest(|x| slope * x, if end == 0.0 { [0.0, 0.0, 2.0] } else { [0.0, 2.0, 2.0] });
            assert_eq!((found, scores), ((end, slope * end), 1));
        }
        let ((x, _), _) = lowest(|x| (x - 0.2).powi(2), [0.0, 0.0, 1.0]);
        assert!((x - 0.2).abs() < 2.0 * NEAR, "{x}");
    }

    #[test]
    fn a_missing_score_ends_the_search_with_what_was_found() {
        assert_eq!(lowest_about([(0.0, 2.0), (1.0, 1.0), (2.0, 2.5)], NEAR, 40, |_| None), (1.0, 1.0));
        let half = lowest_about([(0.0, 1.0), (0.5, 0.25), (1.0, f64::NAN)], NEAR, 40, |x| (x < 0.4).then_some(x * x));
        assert!(half.1 <= 0.25);
    }

    proptest::proptest! {
        #[test]
        fn what_is_found_is_within_the_bracket_and_no_worse_than_its_middle(
            at in 0.0..1.0f64, steep in 0.01..50.0f64, wave in 0.0..2.0f64, middle in 0.01..0.99f64,
        ) {
            let of = |x: f64| steep * (x - at).abs().powf(1.3) + wave * (7.0 * x).sin();
            let ((x, there), scores) = lowest(of, [0.0, middle, 1.0]);
            proptest::prop_assert!((0.0..=1.0).contains(&x) && there <= of(middle) && scores <= 40);
        }
    }
}
