//! The pose of a live axle and what is read off it: how it shifts, tilts and steers, roll centre, side view slopes.

use nalgebra::Vector3;
use uom::si::angle::radian;
use uom::si::f64::{Angle, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::motion::Motion;
use super::wheel_pose::{TURNING, Wheel};
use crate::physics::range::OutOfRange;
use crate::physics::space::{Point, point, vector};

/// A live axle with its wheels at given travels. Points are in the axes of the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxlePose {
    /// Rise of the left wheel centre from the drawn position.
    pub left_travel: Length,
    /// Rise of the right wheel centre from the drawn position.
    pub right_travel: Length,
    /// Roll of the axle against the body, positive with the left wheel up.
    pub roll: Angle,
    /// Steering of the axle, positive when it points left.
    pub steer: Angle,
    /// Change of the slope of a line along the axle's nose, positive when its front end rises: that of the pinion.
    pub pinion_slope_change: Angle,
    /// Forward movement of the axle's middle from the drawn position.
    pub forward_change: Length,
    /// Movement of the axle's middle to the left from the drawn position.
    pub shift_left: Length,
    /// The middle between the wheel centres.
    pub middle: Point,
    /// Where the axle's point now is that was drawn one metre ahead of its middle.
    pub metre_ahead: Point,
    /// Where the axle's point now is that was drawn one metre to the left of its middle.
    pub metre_left: Point,
    /// Where the axle's point now is that was drawn one metre above its middle.
    pub metre_up: Point,
    /// The left wheel centre.
    pub left_centre: Point,
    /// The right wheel centre.
    pub right_centre: Point,
    /// The left tyre's point on the ground.
    pub left_contact: Point,
    /// The right tyre's point on the ground.
    pub right_contact: Point,
    /// Height of the roll centre above the line between the contact points, in the middle plane of the car.
    pub roll_centre_height: Length,
    /// Steering of the axle for each unit of its roll; positive when the left wheel's rise points it left.
    pub roll_steer: Ratio,
    /// Where the axle turns about in the side view as it rises; none where that is far away.
    pub side_instant_centre: Option<Point>,
    /// Slope of the line from the contact points' middle to the side view's instant centre, positive when it rises forward.
    pub side_slope_at_contact: Ratio,
    /// Slope of the line from the axle's middle to the side view's instant centre, positive when it rises forward.
    pub side_slope_at_centre: Ratio,
    /// The largest change of a link's length that its ends must give; zero where the links hold the axle exactly.
    pub ends_give: Length,
    /// The motion of the axle when both wheels rise.
    pub heave: Motion,
    /// The motion of the axle when the left wheel rises and the right wheel falls as much.
    pub in_roll: Motion,
}

impl AxlePose {
    pub(super) fn new(
        left: &Wheel,
        right: &Wheel,
        [left_travel, right_travel]: [Length; 2],
        heave: Motion,
        in_roll: Motion,
        ends_give: Length,
    ) -> Result<AxlePose, OutOfRange> {
        let placing = heave.placing;
        let nose = placing.turn * Vector3::x();
        let beam = placing.turn * Vector3::y();
        let centres = [left, right].map(|w| placing.place(vector(w.centre)));
        let contacts = [(left, centres[0]), (right, centres[1])]
            .map(|(wheel, centre)| wheel.contact(centre, placing.turn * wheel.spin_axis()));
        let ground_middle = (contacts[0] + contacts[1]) / 2.0;
        let across = contacts[0] - contacts[1];
        let rolling = in_roll.velocity_at(ground_middle);
        let (rising, centre_rising) =
            (heave.velocity_at(ground_middle), heave.velocity_at(placing.about + placing.shift));
        let spin = in_roll.spin.x;
        if !(spin > 1e-6 && rising.z > 1e-3 && centre_rising.z > 1e-3 && across.y > 1e-3) {
            return Err(OutOfRange::new(
                "the pose of the axle",
                "one in which it does not rise and roll with its wheels",
                "a left wheel on the left, and links that let it rise and roll",
            ));
        }
        // In roll the axle turns, in the plane across the car through the contact points' middle, about the point that does
        // not move sideways; it is sought in the car's middle plane.
        let roll_centre = ground_middle.z + rolling.y / spin;
        let ground = ground_middle.z - ground_middle.y * across.z / across.y;
        let angle = Angle::new::<radian>;
        let length = Length::new::<meter>;
        Ok(AxlePose {
            left_travel,
            right_travel,
            roll: angle(beam.z.atan2(beam.x.hypot(beam.y))),
            steer: angle(nose.y.atan2(nose.x)),
            pinion_slope_change: angle(nose.z.atan2(nose.x.hypot(nose.y))),
            forward_change: length(placing.shift.x),
            shift_left: length(placing.shift.y),
            middle: point(placing.place(placing.about)),
            metre_ahead: point(placing.place(placing.about + Vector3::x())),
            metre_left: point(placing.place(placing.about + Vector3::y())),
            metre_up: point(placing.place(placing.about + Vector3::z())),
            left_centre: point(centres[0]),
            right_centre: point(centres[1]),
            left_contact: point(contacts[0]),
            right_contact: point(contacts[1]),
            roll_centre_height: length(roll_centre - ground),
            roll_steer: Ratio::new::<ratio>(in_roll.spin.z / spin),
            side_instant_centre: (heave.spin.y.abs() > TURNING)
                .then(|| point(ground_middle + Vector3::new(rising.z / heave.spin.y, 0.0, -rising.x / heave.spin.y))),
            side_slope_at_contact: Ratio::new::<ratio>(-rising.x / rising.z),
            side_slope_at_centre: Ratio::new::<ratio>(-centre_rising.x / centre_rising.z),
            ends_give,
            heave,
            in_roll,
        })
    }
}
