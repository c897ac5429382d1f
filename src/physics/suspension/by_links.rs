//! Suspensions given as lists of links, as a shop makes them: each leg of an arm and each rod is one link.
//!
//! A wishbone is two links that meet at its ball joint; a pair of links alike on both sides of a live axle is given once.

use uom::si::f64::{Angle, Length};

use super::axle::{CrankOn, LiveAxle, Watt, axle_pose};
use super::axle_pose::AxlePose;
use super::layouts::{FiveLink, Link, StrutOnLinks, wheel_pose};
use super::wheel_pose::{Wheel, WheelPose};
use crate::physics::range::OutOfRange;
use crate::physics::space::Point;

pub(super) fn links(inner: &[Point], outer: &[Point]) -> Result<Vec<Link>, OutOfRange> {
    if inner.len() != outer.len() {
        let ends = format!("{} inner and {} outer", inner.len(), outer.len());
        return Err(OutOfRange::new("the ends of the links", ends, "lists of the same length"));
    }
    Ok(inner.iter().zip(outer).map(|(i, o)| Link { inner: *i, outer: *o }).collect())
}

fn exactly<const N: usize>(
    inner: &[Point],
    outer: &[Point],
    what: &'static str,
    wanted: &'static str,
) -> Result<[Link; N], OutOfRange> {
    links(inner, outer)?.try_into().map_err(|found: Vec<Link>| OutOfRange::new(what, found.len(), wanted))
}

/// The point on the other side of the car.
pub(super) fn mirrored(point: Point) -> Point {
    [point[0], -point[1], point[2]]
}

/// [`wheel_pose`] of an upright on four links and a tie rod or toe link, which the rack moves.
///
/// # Errors
/// As [`wheel_pose`], or there are not four links.
#[allow(clippy::too_many_arguments)]
pub fn links_pose(
    inner: &[Point],
    outer: &[Point],
    tie_rod_inner: Point,
    tie_rod_outer: Point,
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
    rack: Length,
) -> Result<WheelPose, OutOfRange> {
    let what = "the number of links of an upright, without the tie rod or toe link";
    let [a, b, c, d] = exactly(inner, outer, what, "four: two for each wishbone, one for each single link")?;
    let tie_rod = Link { inner: tie_rod_inner, outer: tie_rod_outer };
    let wheel = Wheel { centre: wheel_centre, loaded_radius, camber, toe_in };
    wheel_pose(&FiveLink { links: [a, b, c, d, tie_rod], wheel }, travel, rack)
}

/// [`wheel_pose`] of a strut on two links (the legs of its arm) and a tie rod or toe link.
///
/// # Errors
/// As [`wheel_pose`], or there are not two links.
#[allow(clippy::too_many_arguments)]
pub fn strut_on_links_pose(
    inner: &[Point],
    outer: &[Point],
    top: Point,
    rod_axis: Point,
    tie_rod_inner: Point,
    tie_rod_outer: Point,
    wheel_centre: Point,
    loaded_radius: Length,
    camber: Angle,
    toe_in: Angle,
    travel: Length,
    rack: Length,
) -> Result<WheelPose, OutOfRange> {
    let what = "the number of links of a strut, without the tie rod or toe link";
    let links = exactly(inner, outer, what, "two, the legs of its arm")?;
    let tie_rod = Link { inner: tie_rod_inner, outer: tie_rod_outer };
    let wheel = Wheel { centre: wheel_centre, loaded_radius, camber, toe_in };
    wheel_pose(&StrutOnLinks { links, top, rod_axis, tie_rod, wheel }, travel, rack)
}

fn axle_of_links(
    paired: Vec<Link>,
    single: Vec<Link>,
    watt: Option<Watt>,
    left_centre: Point,
    loaded_radius: Length,
) -> LiveAxle {
    let twins = paired.iter().map(|l| Link { inner: mirrored(l.inner), outer: mirrored(l.outer) });
    let links = paired.iter().copied().chain(twins).chain(single).collect();
    let wheel = |centre| Wheel { centre, loaded_radius, camber: Angle::default(), toe_in: Angle::default() };
    LiveAxle { links, watt, left: wheel(left_centre), right: wheel(mirrored(left_centre)) }
}

/// [`axle_pose`] of a live axle on links: those that are alike on both sides given once, then the single ones (a Panhard rod, a
/// torque arm). Right wheel and twins are the mirror images of the left ones.
///
/// # Errors
/// As [`axle_pose`], or lists differ in length.
#[allow(clippy::too_many_arguments)]
pub fn live_axle_on_links_pose(
    paired_inner: &[Point],
    paired_outer: &[Point],
    single_inner: &[Point],
    single_outer: &[Point],
    left_centre: Point,
    loaded_radius: Length,
    left_travel: Length,
    right_travel: Length,
) -> Result<AxlePose, OutOfRange> {
    let (paired, single) = (links(paired_inner, paired_outer)?, links(single_inner, single_outer)?);
    axle_pose(&axle_of_links(paired, single, None, left_centre, loaded_radius), left_travel, right_travel)
}

/// The same with a [`Watt`] linkage.
///
/// # Errors
/// As [`live_axle_on_links_pose`].
#[allow(clippy::too_many_arguments)]
pub fn live_axle_on_links_with_watt_pose(
    paired_inner: &[Point],
    paired_outer: &[Point],
    single_inner: &[Point],
    single_outer: &[Point],
    crank_on_axle: bool,
    pivot: Point,
    first_end: Point,
    first_far: Point,
    second_end: Point,
    second_far: Point,
    left_centre: Point,
    loaded_radius: Length,
    left_travel: Length,
    right_travel: Length,
) -> Result<AxlePose, OutOfRange> {
    let (paired, single) = (links(paired_inner, paired_outer)?, links(single_inner, single_outer)?);
    let crank_on = if crank_on_axle { CrankOn::Axle } else { CrankOn::Body };
    let watt = Watt { crank_on, pivot, first_end, first_far, second_end, second_far };
    axle_pose(&axle_of_links(paired, single, Some(watt), left_centre, loaded_radius), left_travel, right_travel)
}

#[cfg(test)]
mod tests {
    use uom::si::angle::degree;
    use uom::si::length::millimeter;

    use super::super::flat::{double_wishbone_pose, live_axle_pose, strut_pose};
    use super::*;

    fn at(x: f64, y: f64, z: f64) -> Point {
        [x, y, z].map(Length::new::<millimeter>)
    }

    fn mm(value: f64) -> Length {
        Length::new::<millimeter>(value)
    }

    #[test]
    fn wishbones_and_their_legs_are_one_suspension() {
        let (lower, upper) = (at(14.0, 690.0, 168.0), at(-22.0, 640.0, 436.0));
        let pivots =
            [at(170.0, 310.0, 175.0), at(-150.0, 325.0, 190.0), at(120.0, 380.0, 402.0), at(-160.0, 372.0, 388.0)];
        let tie = [at(-118.0, 322.0, 236.0), at(-130.0, 668.0, 248.0)];
        let centre = at(0.0, 725.0, 300.0);
        let (camber, toe) = (Angle::new::<degree>(-1.0), Angle::new::<degree>(0.1));
        for (travel, rack) in [(50.0, 0.0), (-60.0, 12.0)] {
            let legs = links_pose(
                &pivots,
                &[lower, lower, upper, upper],
                tie[0],
                tie[1],
                centre,
                mm(298.0),
                camber,
                toe,
                mm(travel),
                mm(rack),
            );
            let [a, b, c, d] = pivots;
            let arms = double_wishbone_pose(
                a,
                b,
                lower,
                c,
                d,
                upper,
                tie[0],
                tie[1],
                centre,
                mm(298.0),
                camber,
                toe,
                mm(travel),
                mm(rack),
            );
            let (legs, arms) = (legs.expect("within reach"), arms.expect("within reach"));
            assert!((legs.camber - arms.camber).abs() < Angle::new::<degree>(1e-9));
            assert!((legs.toe_in - arms.toe_in).abs() < Angle::new::<degree>(1e-9));
        }
        assert!(
            links_pose(&pivots[..3], &[lower; 3], tie[0], tie[1], centre, mm(298.0), camber, toe, mm(0.0), mm(0.0))
                .is_err()
        );
    }

    #[test]
    fn a_strut_on_the_legs_of_its_arm_is_the_strut() {
        let (front, rear, ball) = (at(150.0, 330.0, 190.0), at(-140.0, 330.0, 195.0), at(5.0, 690.0, 180.0));
        let (top, low) = (at(-40.0, 560.0, 840.0), at(-10.0, 650.0, 420.0));
        let (tie_in, tie_out, centre) = (at(-120.0, 330.0, 250.0), at(-130.0, 670.0, 245.0), at(0.0, 725.0, 300.0));
        let (camber, toe) = (Angle::new::<degree>(-1.0), Angle::new::<degree>(0.1));
        let a = strut_on_links_pose(
            &[front, rear],
            &[ball, ball],
            top,
            low,
            tie_in,
            tie_out,
            centre,
            mm(298.0),
            camber,
            toe,
            mm(40.0),
            mm(5.0),
        );
        let b =
            strut_pose(front, rear, ball, top, low, tie_in, tie_out, centre, mm(298.0), camber, toe, mm(40.0), mm(5.0));
        let (a, b) = (a.expect("within reach"), b.expect("within reach"));
        assert!((a.camber - b.camber).abs() < Angle::new::<degree>(1e-9));
        assert!((a.roll_centre_height - b.roll_centre_height).abs() < mm(1e-6));
    }

    #[test]
    fn a_pair_of_links_is_two_links() {
        let (lower_in, lower_out) = (at(-1890.0, 420.0, 240.0), at(-2480.0, 480.0, 215.0));
        let (upper_in, upper_out) = (at(-2080.0, 380.0, 420.0), at(-2470.0, 130.0, 440.0));
        let centre = at(-2500.0, 700.0, 300.0);
        let pairs = live_axle_on_links_pose(
            &[lower_in, upper_in],
            &[lower_out, upper_out],
            &[],
            &[],
            centre,
            mm(298.0),
            mm(30.0),
            mm(-20.0),
        );
        let all = live_axle_pose(
            &[lower_in, mirrored(lower_in), upper_in, mirrored(upper_in)],
            &[lower_out, mirrored(lower_out), upper_out, mirrored(upper_out)],
            centre,
            mirrored(centre),
            mm(298.0),
            mm(30.0),
            mm(-20.0),
        );
        let (pairs, all) = (pairs.expect("within reach"), all.expect("within reach"));
        assert!((pairs.steer - all.steer).abs() < Angle::new::<degree>(1e-9));
        assert!((pairs.roll_centre_height - all.roll_centre_height).abs() < mm(1e-5));
    }
}
