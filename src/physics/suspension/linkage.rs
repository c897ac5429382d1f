//! An upright held by five constraints, solved in space: what double wishbones, struts and five links have in common.
//!
//! A rigid body has six freedoms. Rods (each keeps the distance of its two ends) and sliding struts take five; the wheel
//! travel prescribes the sixth. Newton's method, on shift and rotation vector, with the exact Jacobian; residuals are
//! lengths and end below a thousandth of a nanometre.

use nalgebra::{LU, Matrix6, U6, Vector3, Vector6};
use uom::si::f64::Length;
use uom::si::length::meter;

use super::follow::{Asked, Mechanism, Stuck, follow};
use super::motion::{Motion, Placing};
use crate::physics::range::OutOfRange;
use crate::physics::space::{in_millimetres, unit_between};

/// Largest residual of a solution.
const RESIDUAL: f64 = 1e-12;

/// A residual so small that the Jacobian of the step before still leads to the solution: the error left is this, times a turn
/// of about the same size.
const NEAR: f64 = 1e-7;

/// The least pivot, against the greatest, with which five constraints still count as holding the upright.
const SINGULAR: f64 = 1e-6;

/// The largest turn in one step: more means that the solver has fallen onto another branch.
const LARGEST_TURN: f64 = 0.4;

/// One constraint on the upright.
#[derive(Debug, Clone, Copy)]
pub(super) enum Constraint {
    /// A rod from `inner` on the body to `outer` on the upright. The rack moves the inner end of a steered rod to the left.
    Rod { inner: Vector3<f64>, outer: Vector3<f64>, length: f64, steered: bool },
    /// The point `fixed` of the body stays in the plane across `normal` through `on_axis`, both carried by the upright.
    Plane { fixed: Vector3<f64>, on_axis: Vector3<f64>, normal: Vector3<f64> },
}

impl Constraint {
    /// A rod that is as long as it was drawn.
    pub fn rod(
        what: &'static str,
        inner: Vector3<f64>,
        outer: Vector3<f64>,
        steered: bool,
    ) -> Result<Constraint, OutOfRange> {
        unit_between(what, inner, outer)?;
        Ok(Constraint::Rod { inner, outer, length: (outer - inner).norm(), steered })
    }

    /// Residual and its gradient by shift and turn, with that by rack travel.
    fn row(&self, at: &Placing, rack: f64) -> (f64, [Vector3<f64>; 2], f64) {
        match *self {
            Constraint::Rod { inner, outer, length, steered } => {
                let lever = at.lever(outer);
                let moved = if steered { inner + Vector3::y() * rack } else { inner };
                let along = at.about + at.shift + lever - moved;
                let now = along.norm();
                let u = along / now;
                (now - length, [u, lever.cross(&u)], if steered { -u.y } else { 0.0 })
            }
            Constraint::Plane { fixed, on_axis, normal } => {
                let n = at.turn * normal;
                let from_middle = fixed - at.about - at.shift;
                (n.dot(&(from_middle - at.lever(on_axis))), [-n, n.cross(&from_middle)], 0.0)
            }
        }
    }
}

/// Five constraints on an upright, and its wheel centre, whose rise is the wheel travel.
#[derive(Debug, Clone)]
pub(super) struct Linkage {
    pub wheel_centre: Vector3<f64>,
    pub constraints: [Constraint; 5],
}

/// A solved position.
#[derive(Clone)]
pub(super) struct Settled {
    placing: Placing,
    asked: Asked,
    jacobian: LU<f64, U6, U6>,
    by_rack: Vector6<f64>,
    positive: bool,
}

impl Linkage {
    /// The upright as drawn.
    ///
    /// # Errors
    /// The constraints leave the upright loose, or hold it twice in one direction.
    pub fn drawn(&self) -> Result<Settled, OutOfRange> {
        let placing = Placing::drawn(self.wheel_centre);
        let (residual, jacobian, by_rack) = self.equations(&placing, [0.0; 2]);
        let finite = residual.iter().all(|r| r.is_finite());
        finite.then(|| Settled::held(placing, [0.0; 2], jacobian, by_rack)).flatten().ok_or_else(|| {
            OutOfRange::new(
                "the place of the links",
                "such that they leave the wheel loose or hold it twice",
                "the places in which they hold the wheel in all directions but one",
            )
        })
    }

    /// The upright at `travel` and `rack`, walking there from `near`.
    ///
    /// # Errors
    /// The links do not reach; the error says how far they do.
    pub fn settled(&self, near: Settled, travel: Length, rack: Length) -> Result<Settled, OutOfRange> {
        let (from, to) = (near.asked, [travel, rack].map(|l| l.get::<meter>()));
        follow(self, near, from, to).map_err(|Stuck(reached)| {
            let [reached_travel, reached_rack] = reached.map(Length::new::<meter>).map(in_millimetres);
            let allowed = if to[1] == 0.0 {
                format!("what the links reach, {reached_travel} in that direction")
            } else {
                format!("what the links reach, {reached_travel} with a rack travel of {reached_rack}")
            };
            OutOfRange::new("wheel travel", in_millimetres(travel), allowed)
        })
    }

    fn equations(&self, at: &Placing, asked: Asked) -> (Vector6<f64>, Matrix6<f64>, Vector6<f64>) {
        let [travel, rack] = asked;
        let (mut residual, mut jacobian, mut by_rack) = (Vector6::zeros(), Matrix6::zeros(), Vector6::zeros());
        residual[0] = at.shift.z - travel;
        jacobian[(0, 2)] = 1.0;
        for (i, constraint) in self.constraints.iter().enumerate() {
            let (r, [shift, turn], rack_gradient) = constraint.row(at, rack);
            residual[i + 1] = r;
            by_rack[i + 1] = rack_gradient;
            for axis in 0..3 {
                jacobian[(i + 1, axis)] = shift[axis];
                jacobian[(i + 1, axis + 3)] = turn[axis];
            }
        }
        (residual, jacobian, by_rack)
    }
}

impl Settled {
    /// A position in which five constraints hold the upright; none if they leave it loose.
    fn held(placing: Placing, asked: Asked, jacobian: Matrix6<f64>, by_rack: Vector6<f64>) -> Option<Settled> {
        let jacobian = jacobian.lu();
        let pivots = jacobian.lu_internal().diagonal().abs();
        let positive = jacobian.determinant() > 0.0;
        (pivots.min() > SINGULAR * pivots.max()).then_some(Settled { placing, asked, jacobian, by_rack, positive })
    }

    /// The motion of the upright for each unit of wheel travel.
    pub fn motion(&self) -> Option<Motion> {
        let rate = self.jacobian.solve(&Vector6::new(1.0, 0.0, 0.0, 0.0, 0.0, 0.0))?;
        Some(Motion {
            placing: self.placing,
            speed: rate.fixed_rows::<3>(0).into(),
            spin: rate.fixed_rows::<3>(3).into(),
        })
    }
}

fn moved(at: &Placing, by: &Vector6<f64>) -> Placing {
    at.moved(by.fixed_rows::<3>(0).into(), by.fixed_rows::<3>(3).into())
}

impl Mechanism for Linkage {
    type Position = Settled;

    fn settle(&self, from: &Settled, to: Asked) -> Option<Settled> {
        let mut tangent = from.by_rack * (from.asked[1] - to[1]);
        tangent[0] = to[0] - from.asked[0];
        from.jacobian.solve_mut(&mut tangent).then_some(())?;
        let mut placing = moved(&from.placing, &tangent);
        let mut turned = tangent.fixed_rows::<3>(3).norm();
        let mut factored: Option<LU<f64, U6, U6>> = None;
        for _ in 0..12 {
            if turned.is_nan() || turned > LARGEST_TURN {
                return None;
            }
            let (residual, jacobian, by_rack) = self.equations(&placing, to);
            let within = |limit: f64| residual.iter().all(|r| r.abs() < limit);
            if within(RESIDUAL) {
                let settled = Settled::held(placing, to, jacobian, by_rack);
                // A determinant of the other sign lies behind a position in which the linkage locks.
                return settled.filter(|settled| settled.positive == from.positive);
            }
            let known = factored.take().filter(|_| within(NEAR));
            let lu = known.unwrap_or_else(|| jacobian.lu());
            let mut step = -residual;
            lu.solve_mut(&mut step).then_some(())?;
            factored = Some(lu);
            turned += step.fixed_rows::<3>(3).norm();
            placing = moved(&placing, &step);
        }
        None
    }
}
