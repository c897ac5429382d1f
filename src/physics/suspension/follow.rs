//! Following a mechanism from one position to another in steps small enough to stay on the same branch.
//!
//! Constraints of links have several solutions (every linkage can be built inside out). The one that the car can reach is
//! found by walking there: a step along the tangent, a correction, and a shorter step where the correction fails.

/// Inputs of a mechanism: two lengths that are prescribed.
pub(super) type Asked = [f64; 2];

/// The longest step of a prescribed length.
const STEP: f64 = 0.05;

/// A step that is no longer worth halving: the mechanism stops here.
const SMALLEST_STEP: f64 = 1e-7;

/// Something with a position for each pair of prescribed lengths.
pub(super) trait Mechanism {
    /// A position, with whatever makes the next step cheap.
    type Position: Clone;

    /// The position at `to`, near `from`; none if there is none nearby.
    fn settle(&self, from: &Self::Position, to: Asked) -> Option<Self::Position>;
}

/// How far towards its goal a mechanism came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stuck(pub Asked);

/// Walks from `start`, which is at `from`, to `to`.
pub(super) fn follow<M: Mechanism>(
    mechanism: &M,
    start: M::Position,
    from: Asked,
    to: Asked,
) -> Result<M::Position, Stuck> {
    let span = (to[0] - from[0]).abs().max((to[1] - from[1]).abs());
    if span == 0.0 {
        return Ok(start);
    }
    let at = |share: f64| [0, 1].map(|i| if share == 1.0 { to[i] } else { from[i] + (to[i] - from[i]) * share });
    let (mut here, mut share) = (start, 0.0_f64);
    let mut step = 1.0 / (span / STEP).ceil();
    while share < 1.0 {
        let next = if share + step > 1.0 - 1e-9 { 1.0 } else { share + step };
        match mechanism.settle(&here, at(next)) {
            Some(position) => (here, share) = (position, next),
            None if step * span < SMALLEST_STEP => return Err(Stuck(at(share))),
            None => step /= 2.0,
        }
    }
    Ok(here)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A crank of radius 1: its angle, from its height.
    struct Crank;

    impl Mechanism for Crank {
        type Position = f64;

        fn settle(&self, from: &f64, to: Asked) -> Option<f64> {
            let angle = to[0].asin();
            (angle.is_finite() && (angle - from).abs() < 0.5).then_some(angle)
        }
    }

    #[test]
    fn walks_to_the_goal() {
        assert_eq!(follow(&Crank, 0.0, [0.0; 2], [0.5, 0.0]), Ok(0.5_f64.asin()));
    }

    #[test]
    fn says_where_it_stuck() {
        let Err(Stuck(at)) = follow(&Crank, 0.0, [0.0; 2], [2.0, 0.0]) else { panic!("a crank of 1 reached 2") };
        assert!((at[0] - 1.0).abs() < 2e-7, "{at:?}");
    }
}
