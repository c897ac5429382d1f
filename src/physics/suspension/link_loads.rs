//! What the load of a wheel puts into the links, springs and top mounts that hold its upright or its axle.

use nalgebra::{DMatrix, DVector, Vector3};
use uom::si::f64::Force;
use uom::si::f64::Length;
use uom::si::force::newton;

use super::by_links::{links, mirrored};
use super::layouts::Link;
use crate::physics::range::OutOfRange;
use crate::physics::space::{Point, point, unit_between, vector};

/// What is left of the load unbalanced, as a share of it, where the links do not hold the part.
const UNBALANCED: f64 = 1e-6;

/// Singular values below this share of the greatest one count as nothing.
const SINGULAR: f64 = 1e-9;

/// Force along one link, tension positive, of a part (upright or axle) on which a force acts at the point `at`.
///
/// The part is held by this link (and by its mirror image, `has_twin`), by links given once for both sides (`paired_*`), by
/// single links, by springs, and at points that take a force in every direction (the top mount of a strut, `held`). All are
/// rods with balls at their ends: `sum T_i u_i + F = 0`, `sum T_i p_i x u_i + p x F = 0`, with u from the part to the body. Where
/// more of them hold the part than statics can tell apart, the loads are those with the least sum of squares. Weight and
/// inertia of the part are left out. Source: statics of a rigid body.
///
/// # Errors
/// Lists differ in length, two ends coincide, or the links do not hold the part against this force.
#[allow(clippy::too_many_arguments)]
pub fn link_load(
    inner: Point,
    outer: Point,
    has_twin: bool,
    paired_inner: &[Point],
    paired_outer: &[Point],
    single_inner: &[Point],
    single_outer: &[Point],
    spring_body_ends: &[Point],
    spring_part_ends: &[Point],
    held: &[Point],
    at: Point,
    forward: Force,
    left: Force,
    up: Force,
) -> Result<Force, OutOfRange> {
    let twin = |l: &Link| Link { inner: mirrored(l.inner), outer: mirrored(l.outer) };
    let own = Link { inner, outer };
    let mut rods = vec![own];
    rods.extend(has_twin.then(|| twin(&own)));
    let paired = links(paired_inner, paired_outer)?;
    rods.extend(paired.iter().map(twin));
    rods.extend(paired.iter());
    rods.extend(links(single_inner, single_outer)?);
    rods.extend(links(spring_body_ends, spring_part_ends)?);
    let middle = vector(at);
    // One column for each rod or held direction: force on the part for a unit of tension, and its moment about the load.
    let mut columns: Vec<[f64; 6]> = Vec::with_capacity(rods.len() + 3 * held.len());
    let mut add = |place: Vector3<f64>, along: Vector3<f64>| {
        let moment = (place - middle).cross(&along);
        columns.push([along.x, along.y, along.z, moment.x, moment.y, moment.z]);
    };
    for rod in &rods {
        let end = vector(rod.outer);
        add(end, unit_between("a link", end, vector(rod.inner))?);
    }
    for place in held {
        [Vector3::x(), Vector3::y(), Vector3::z()].into_iter().for_each(|axis| add(vector(*place), axis));
    }
    let force = [forward, left, up].map(|f| f.get::<newton>());
    let load = DVector::from_column_slice(&[-force[0], -force[1], -force[2], 0.0, 0.0, 0.0]);
    let matrix = DMatrix::from_fn(6, columns.len(), |row, column| columns[column][row]);
    let refuse = || {
        OutOfRange::new(
            "the links of this wheel",
            "such that they do not hold it",
            "links, a spring and a rack that do",
        )
    };
    let svd = matrix.clone().svd(true, true);
    let least = svd.singular_values.max() * SINGULAR;
    let tensions = svd.solve(&load, least).map_err(|_| refuse())?;
    let unbalanced = (matrix * &tensions - &load).norm();
    let tension = tensions.get(0).copied().filter(|t| t.is_finite()).ok_or_else(refuse)?;
    if unbalanced > UNBALANCED * load.norm().max(1.0) || !unbalanced.is_finite() {
        return Err(refuse());
    }
    Ok(Force::new::<newton>(tension))
}

/// The point one metre from the ball joint of an arm, across the plane of the arm: the line on which the arm can hold its ball
/// when a spring stands on it.
///
/// # Errors
/// Pivots and ball joint lie on one line.
pub fn across_arm(pivot: Point, other_pivot: Point, ball: Point) -> Result<Point, OutOfRange> {
    let end = vector(ball);
    let first = unit_between("a leg of the arm", vector(pivot), end)?;
    let second = unit_between("a leg of the arm", vector(other_pivot), end)?;
    let normal = first.cross(&second).try_normalize(1e-6).ok_or_else(|| {
        OutOfRange::new("the legs of an arm", "on one line", "pivots which are apart as seen from the ball joint")
    })?;
    let up = if normal.z < 0.0 { -normal } else { normal };
    Ok(point(end + up * Length::new::<uom::si::length::meter>(1.0).value))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use uom::si::angle::degree;
    use uom::si::f64::Angle;
    use uom::si::length::millimeter;

    use super::super::by_links::links_pose;
    use super::super::flat::carried_point;
    use super::*;

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    fn at(x: f64, y: f64, z: f64) -> Point {
        [x, y, z].map(mm)
    }

    fn n(value: f64) -> Force {
        Force::new::<newton>(value)
    }

    const NONE: &[Point] = &[];

    #[test]
    fn a_post_carries_its_load_and_a_square_frame_the_rest() {
        // A block held by six rods along the axes: each force goes into the rods along it, by hand.
        let inner = [
            at(1000.0, 0.0, 0.0),
            at(0.0, 1000.0, 0.0),
            at(0.0, 0.0, 1000.0),
            at(100.0, 1000.0, 0.0),
            at(0.0, 100.0, 1000.0),
            at(1000.0, 0.0, 100.0),
        ];
        let outer = [
            at(0.0, 0.0, 0.0),
            at(0.0, 0.0, 0.0),
            at(0.0, 0.0, 0.0),
            at(100.0, 0.0, 0.0),
            at(0.0, 100.0, 0.0),
            at(0.0, 0.0, 100.0),
        ];
        let load = |own: usize, f: [f64; 3]| {
            let others = |list: &[Point]| -> Vec<Point> {
                list.iter().enumerate().filter(|(i, _)| *i != own).map(|(_, p)| *p).collect()
            };
            let (i, o) = (others(&inner), others(&outer));
            let place = at(0.0, 0.0, 0.0);
            link_load(
                inner[own],
                outer[own],
                false,
                NONE,
                NONE,
                &i,
                &o,
                NONE,
                NONE,
                NONE,
                place,
                n(f[0]),
                n(f[1]),
                n(f[2]),
            )
            .expect("held")
            .get::<newton>()
        };
        assert!((load(0, [-500.0, 0.0, 0.0]) - 500.0).abs() < 1e-6);
        assert!((load(2, [0.0, 0.0, 800.0]) + 800.0).abs() < 1e-6);
        assert!(load(1, [0.0, 0.0, 800.0]).abs() < 1e-6);
    }

    #[test]
    fn too_few_links_do_not_hold() {
        let one = link_load(
            at(0.0, 300.0, 200.0),
            at(0.0, 700.0, 200.0),
            false,
            NONE,
            NONE,
            NONE,
            NONE,
            NONE,
            NONE,
            NONE,
            at(0.0, 720.0, 0.0),
            n(0.0),
            n(0.0),
            n(3000.0),
        );
        assert!(one.is_err());
    }

    #[test]
    fn a_strut_top_takes_what_the_arm_does_not() {
        // Straight sideways through the ball joint: the arm alone carries it.
        let (front, rear, ball) = (at(150.0, 330.0, 180.0), at(-150.0, 330.0, 180.0), at(0.0, 700.0, 180.0));
        let tie = (at(-130.0, 330.0, 260.0), at(-130.0, 680.0, 260.0));
        let leg = link_load(
            front,
            ball,
            false,
            NONE,
            NONE,
            &[rear, tie.0],
            &[ball, tie.1],
            NONE,
            NONE,
            &[at(-20.0, 560.0, 850.0)],
            ball,
            n(0.0),
            n(-1000.0),
            n(0.0),
        );
        // Two legs share 1000 N of compression: T = -500 / cos(leg angle).
        let cosine = 370.0 / 370.0_f64.hypot(150.0);
        assert!((leg.expect("held").get::<newton>() + 500.0 / cosine).abs() < 1e-6);
    }

    proptest! {
        #[test]
        fn the_spring_carries_the_load_by_virtual_work(y in 560.0_f64..640.0, z in 250.0_f64..400.0) {
            let (lower, upper) = (at(14.0, 690.0, 168.0), at(-22.0, 640.0, 436.0));
            let inner = [at(170.0, 310.0, 175.0), at(-150.0, 325.0, 190.0), at(120.0, 380.0, 402.0), at(-160.0, 372.0, 388.0)];
            let outer = [lower, lower, upper, upper];
            let tie = (at(-118.0, 322.0, 236.0), at(-130.0, 668.0, 248.0));
            let centre = at(0.0, 725.0, 300.0);
            let (body_end, part_end) = (at(-10.0, 450.0, 700.0), at(-5.0, y, z));
            let pose = |travel: f64| {
                links_pose(&inner, &outer, tie.0, tie.1, centre, mm(300.0), Angle::new::<degree>(0.0), Angle::new::<degree>(0.0), mm(travel), mm(0.0)).expect("within reach")
            };
            let length = |travel: f64| {
                let p = pose(travel);
                let end = carried_point(p.wheel_centre, p.metre_ahead, p.metre_left, p.metre_up, centre, part_end);
                (vector(end) - vector(body_end)).norm()
            };
            // The load works on the contact point, the spring on its own shortening.
            let rise = pose(0.5).contact[2].value - pose(-0.5).contact[2].value;
            let ratio = (length(-0.5) - length(0.5)) / rise;
            let singles_inner = [inner[0], inner[1], inner[2], inner[3], tie.0];
            let singles_outer = [outer[0], outer[1], outer[2], outer[3], tie.1];
            let spring = link_load(body_end, part_end, false, NONE, NONE, &singles_inner, &singles_outer, NONE, NONE, NONE, pose(0.0).contact, n(0.0), n(0.0), n(3000.0));
            let spring = spring.expect("held").get::<newton>();
            prop_assert!((spring + 3000.0 / ratio).abs() < 3000.0 / ratio * 2e-3, "{spring} {}", 3000.0 / ratio);
        }
    }
}
