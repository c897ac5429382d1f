//! A live axle on its links, solved in space: three to five links (a Panhard rod is one of them), with or without a Watt
//! linkage.
//!
//! An axle has two freedoms, heave and roll. Four constraints hold it exactly. A fifth, as in two pairs of parallel links
//! with a Panhard rod, can only be met in roll because rubber ends give; then the links share the misfit so that the sum of
//! its squares is least, and the pose says how much the ends must give.

use nalgebra::{QR, Rotation3, SMatrix, SVector, U7, U8, Unit, Vector3};
use uom::si::f64::Length;
use uom::si::length::meter;

use super::axle_pose::AxlePose;
use super::follow::{Asked, Mechanism, Stuck, follow};
use super::layouts::Link;
use super::motion::{Motion, Placing};
use super::wheel_pose::Wheel;
use crate::physics::range::{OutOfRange, within};
use crate::physics::space::{Point, in_millimetres, unit_between, vector};

type Jacobian = SMatrix<f64, 8, 7>;
type Residual = SVector<f64, 8>;

/// What the prescribed travels weigh against the misfit of a link: the square of it is how much better they are kept.
const TRAVEL_WEIGHT: f64 = 1e4;

/// Largest residual of the travels, and of the links of an axle that is held exactly.
const RESIDUAL: f64 = 1e-12;

/// Largest last step where the ends must give: it converges by a constant factor near a thousandth, not quadratically.
const LAST_STEP: f64 = 1e-11;

/// The least pivot with which the links still count as holding the axle.
const SINGULAR: f64 = 1e-6;

/// Travel to the neighbouring poses from which rates are taken where the ends give.
const NEIGHBOUR: f64 = 1e-4;

/// The largest turn of the axle in one step.
const LARGEST_TURN: f64 = 0.4;

/// What carries the pivot of a Watt linkage's crank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CrankOn {
    /// The crank turns on the axle; its links go to the body.
    Axle,
    /// The crank turns on the body; its links go to the axle.
    Body,
}

/// A Watt linkage: a crank that turns about its middle, in a plane across the car, with a link at each end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Watt {
    /// What carries the crank.
    pub crank_on: CrankOn,
    /// The crank's pivot.
    pub pivot: Point,
    /// The crank's end for the first link.
    pub first_end: Point,
    /// The far end of the first link.
    pub first_far: Point,
    /// The crank's end for the second link.
    pub second_end: Point,
    /// The far end of the second link.
    pub second_far: Point,
}

/// A live axle and its links.
#[derive(Debug, Clone, PartialEq)]
pub struct LiveAxle {
    /// Three to five links from the body to the axle; a Panhard rod is one of them.
    pub links: Vec<Link>,
    /// The Watt linkage, if there is one.
    pub watt: Option<Watt>,
    /// The left wheel.
    pub left: Wheel,
    /// The right wheel.
    pub right: Wheel,
}

#[derive(Debug, Clone)]
struct Crank {
    on: CrankOn,
    pivot: Vector3<f64>,
    axis: Unit<Vector3<f64>>,
    /// For each link: the crank's end, the far end, the length.
    links: [(Vector3<f64>, Vector3<f64>, f64); 2],
}

/// The links of an axle in the form in which they are solved.
#[derive(Debug, Clone)]
pub(super) struct AxleLinkage {
    middle: Vector3<f64>,
    wheel_centres: [Vector3<f64>; 2],
    rods: Vec<(Vector3<f64>, Vector3<f64>, f64)>,
    crank: Option<Crank>,
}

#[derive(Clone)]
pub(super) struct Settled {
    placing: Placing,
    crank: f64,
    asked: Asked,
    jacobian: QR<f64, U8, U7>,
    misfit: f64,
}

impl LiveAxle {
    fn linkage(&self) -> Result<AxleLinkage, OutOfRange> {
        self.left.check()?;
        self.right.check()?;
        let constraints = self.links.len() + usize::from(self.watt.is_some());
        if !(3..=5).contains(&self.links.len()) || !(4..=5).contains(&constraints) {
            return Err(OutOfRange::new(
                "the number of links of a live axle",
                format_args!(
                    "{}{}",
                    self.links.len(),
                    if self.watt.is_some() { " with a Watt linkage" } else { ", with no Watt linkage" }
                ),
                "four or five, a Watt linkage counted as one",
            ));
        }
        let rods = self.links.iter().map(|link| rod("a link of the axle", link.inner, link.outer));
        let wheel_centres = [vector(self.left.centre), vector(self.right.centre)];
        unit_between("the axle", wheel_centres[0], wheel_centres[1])?;
        Ok(AxleLinkage {
            middle: (wheel_centres[0] + wheel_centres[1]) / 2.0,
            wheel_centres,
            rods: rods.collect::<Result<_, _>>()?,
            crank: self.watt.as_ref().map(Crank::new).transpose()?,
        })
    }
}

fn rod(what: &'static str, inner: Point, outer: Point) -> Result<(Vector3<f64>, Vector3<f64>, f64), OutOfRange> {
    let (inner, outer) = (vector(inner), vector(outer));
    unit_between(what, inner, outer)?;
    Ok((inner, outer, (outer - inner).norm()))
}

impl Crank {
    fn new(watt: &Watt) -> Result<Crank, OutOfRange> {
        let ends = unit_between("the crank of the Watt linkage", vector(watt.first_end), vector(watt.second_end))?;
        // The three points of the crank are usually in line: the axis is what is left of the forward direction across it.
        let axis = (Vector3::x() - ends * ends.x).try_normalize(0.1).ok_or_else(|| {
            OutOfRange::new("the crank of the Watt linkage", "along the car", "cranks that turn in a plane across it")
        })?;
        Ok(Crank {
            on: watt.crank_on,
            pivot: vector(watt.pivot),
            axis: Unit::new_unchecked(axis),
            links: [
                rod("a link of the Watt linkage", watt.first_end, watt.first_far)?,
                rod("a link of the Watt linkage", watt.second_end, watt.second_far)?,
            ],
        })
    }

    /// Residual of each link, and its gradient by shift, turn and crank angle.
    fn rows(&self, at: &Placing, angle: f64) -> [(f64, [Vector3<f64>; 2], f64); 2] {
        let turned = Rotation3::from_axis_angle(&self.axis, angle);
        self.links.map(|(end, far, length)| {
            let arm = turned * (end - self.pivot);
            let swing = self.axis.cross(&arm);
            // The part's own point, its lever, and the point at the body's end; the crank swings one of them.
            let (lever, body_end, swing) = match self.on {
                CrankOn::Axle => (at.lever(self.pivot + arm), far, at.turn * swing),
                CrankOn::Body => (at.lever(far), self.pivot + arm, -swing),
            };
            let along = at.about + at.shift + lever - body_end;
            let now = along.norm();
            let u = along / now;
            (now - length, [u, lever.cross(&u)], u.dot(&swing))
        })
    }
}

impl AxleLinkage {
    fn equations(&self, at: &Placing, crank: f64, asked: Asked) -> (Residual, Jacobian) {
        let (mut residual, mut jacobian) = (Residual::zeros(), Jacobian::zeros());
        let mut put = |i: usize, r: f64, [shift, turn]: [Vector3<f64>; 2], by_crank: f64| {
            residual[i] = r;
            for axis in 0..3 {
                jacobian[(i, axis)] = shift[axis];
                jacobian[(i, axis + 3)] = turn[axis];
            }
            jacobian[(i, 6)] = by_crank;
        };
        for (i, centre) in self.wheel_centres.iter().enumerate() {
            let lever = at.lever(*centre);
            let rise = (at.about + at.shift + lever - centre).z;
            let up = Vector3::z() * TRAVEL_WEIGHT;
            put(i, (rise - asked[i]) * TRAVEL_WEIGHT, [up, lever.cross(&up)], 0.0);
        }
        for (i, (inner, outer, length)) in self.rods.iter().enumerate() {
            let lever = at.lever(*outer);
            let along = at.about + at.shift + lever - inner;
            let now = along.norm();
            let u = along / now;
            put(i + 2, now - length, [u, lever.cross(&u)], 0.0);
        }
        match &self.crank {
            Some(watt) => {
                let [first, second] = watt.rows(at, crank);
                put(6, first.0, first.1, first.2);
                put(7, second.0, second.1, second.2);
            }
            None => put(7, crank, [Vector3::zeros(); 2], 1.0),
        }
        (residual, jacobian)
    }

    /// Whether the links hold the axle exactly, with nothing that must give.
    fn is_exact(&self) -> bool {
        self.rods.len() + usize::from(self.crank.is_some()) == 4
    }

    fn drawn(&self) -> Result<Settled, OutOfRange> {
        let placing = Placing::drawn(self.middle);
        let (residual, jacobian) = self.equations(&placing, 0.0, [0.0; 2]);
        let jacobian = jacobian.qr();
        if residual.iter().all(|r| r.is_finite()) && holds(&jacobian) {
            Ok(Settled { placing, crank: 0.0, asked: [0.0; 2], jacobian, misfit: 0.0 })
        } else {
            Err(OutOfRange::new(
                "the place of the links",
                "such that they leave the axle loose",
                "the places in which they leave it heave and roll only",
            ))
        }
    }
}

/// Whether a triangular factor is far from singular.
fn holds(jacobian: &QR<f64, U8, U7>) -> bool {
    let pivots = jacobian.r().diagonal().abs();
    pivots.iter().all(|p| *p > SINGULAR)
}

/// The least-squares solution for a right-hand side.
fn solved(jacobian: &QR<f64, U8, U7>, mut right: Residual) -> Option<SVector<f64, 7>> {
    jacobian.q_tr_mul(&mut right);
    jacobian.r().solve_upper_triangular(&right.fixed_rows::<7>(0).clone_owned())
}

fn travels(left: f64, right: f64) -> Residual {
    let mut asked = Residual::zeros();
    asked[0] = left * TRAVEL_WEIGHT;
    asked[1] = right * TRAVEL_WEIGHT;
    asked
}

fn moved(at: &Placing, by: &SVector<f64, 7>) -> Placing {
    at.moved(by.fixed_rows::<3>(0).into(), by.fixed_rows::<3>(3).into())
}

impl Mechanism for AxleLinkage {
    type Position = Settled;

    fn settle(&self, from: &Settled, to: Asked) -> Option<Settled> {
        let tangent = solved(&from.jacobian, travels(to[0] - from.asked[0], to[1] - from.asked[1]))?;
        let mut placing = moved(&from.placing, &tangent);
        let mut crank = from.crank + tangent[6];
        let mut turned = tangent.fixed_rows::<4>(3).norm();
        for _ in 0..20 {
            if turned.is_nan() || turned > LARGEST_TURN {
                return None;
            }
            let (residual, jacobian) = self.equations(&placing, crank, to);
            let qr = jacobian.qr();
            if !holds(&qr) {
                return None;
            }
            let misfit = residual.rows(2, 6).amax();
            let step = solved(&qr, -residual)?;
            let kept = residual[0].abs().max(residual[1].abs()) < RESIDUAL * TRAVEL_WEIGHT;
            let done = if self.is_exact() { kept && misfit < RESIDUAL } else { step.norm() < LAST_STEP };
            if done {
                return Some(Settled { placing, crank, asked: to, jacobian: qr, misfit });
            }
            turned += step.fixed_rows::<4>(3).norm();
            placing = moved(&placing, &step);
            crank += step[6];
        }
        None
    }
}

impl AxleLinkage {
    /// The motion of the axle when the wheels rise by `left` and `right` for each unit of travel.
    fn motion(&self, at: &Settled, left: f64, right: f64) -> Option<Motion> {
        let (speed, spin) = if self.is_exact() {
            let rate = solved(&at.jacobian, travels(left, right))?;
            (rate.fixed_rows::<3>(0).into(), rate.fixed_rows::<3>(3).into())
        } else {
            // Where ends give, the tangent of the links is not that of the least misfit: neighbours tell.
            let beside = |by: f64| self.settle(at, [at.asked[0] + left * by, at.asked[1] + right * by]);
            let (low, high) = (beside(-NEIGHBOUR)?.placing, beside(NEIGHBOUR)?.placing);
            let turned = (high.turn * low.turn.inverse()).scaled_axis();
            ((high.shift - low.shift) / (2.0 * NEIGHBOUR), turned / (2.0 * NEIGHBOUR))
        };
        Some(Motion { placing: at.placing, speed, spin })
    }
}

/// The pose of a live axle with its wheels at these travels.
///
/// Travels are the rises of the wheel centres against the body from the drawn position. Always walked from there.
///
/// # Errors
/// The links are too few or too many, coincide, leave the axle loose, or do not reach: the error says how far they do.
pub fn axle_pose(axle: &LiveAxle, left_travel: Length, right_travel: Length) -> Result<AxlePose, OutOfRange> {
    axle_poses(axle, &[(left_travel, right_travel)])?
        .pop()
        .ok_or_else(|| OutOfRange::new("wheel travel", "not given", "one for each wheel"))
}

/// The poses of a live axle at a list of left and right travels, each solved from the one before it.
///
/// # Errors
/// As [`axle_pose`], at the first pair that cannot be reached.
pub fn axle_poses(axle: &LiveAxle, at: &[(Length, Length)]) -> Result<Vec<AxlePose>, OutOfRange> {
    let linkage = axle.linkage()?;
    let reach = Length::new::<meter>(1.0);
    let mut here = linkage.drawn()?;
    let mut poses = Vec::with_capacity(at.len());
    for (left, right) in at {
        within("wheel travel", *left, -reach, reach, in_millimetres)?;
        within("wheel travel", *right, -reach, reach, in_millimetres)?;
        let from = here.asked;
        here = follow(&linkage, here, from, [left, right].map(|l| l.get::<meter>())).map_err(|Stuck(reached)| {
            let [l, r] = reached.map(Length::new::<meter>).map(in_millimetres);
            OutOfRange::new(
                "wheel travel",
                format_args!("{} left, {} right", in_millimetres(*left), in_millimetres(*right)),
                format_args!("what the links reach, {l} left and {r} right in that direction"),
            )
        })?;
        let loose =
            || OutOfRange::new("wheel travel", in_millimetres(*left), "the travels at which the links hold the axle");
        let heave = linkage.motion(&here, 1.0, 1.0).ok_or_else(loose)?;
        let roll = linkage.motion(&here, 1.0, -1.0).ok_or_else(loose)?;
        let give = Length::new::<meter>(here.misfit);
        poses.push(AxlePose::new(&axle.left, &axle.right, [*left, *right], heave, roll, give)?);
    }
    Ok(poses)
}
