//! The pose of a wheel and what is read off it: camber, toe, where the tyre stands, instant centres, roll centre.

use nalgebra::Vector3;
use uom::si::angle::{degree, radian};
use uom::si::curvature::radian_per_meter;
use uom::si::f64::{Angle, Curvature, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::motion::Motion;
use crate::physics::range::{OutOfRange, positive, within};
use crate::physics::space::{Point, point, vector};

/// A wheel as it stands in the drawn position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wheel {
    /// The middle of the wheel, in its centre plane. Its side of the car tells left from right.
    pub centre: Point,
    /// From the wheel centre to the ground along the wheel's plane, the tyre loaded.
    pub loaded_radius: Length,
    /// Camber: negative with the top towards the car.
    pub camber: Angle,
    /// Toe of this wheel: positive with the front towards the car.
    pub toe_in: Angle,
}

impl Wheel {
    /// Refuses what no wheel can be.
    ///
    /// # Errors
    /// The centre is on the middle plane, the radius is not above zero, camber or toe are beyond 45 degrees.
    pub(super) fn check(&self) -> Result<(), OutOfRange> {
        positive("loaded radius", self.loaded_radius)?;
        let (limit, show) = (Angle::new::<degree>(45.0), |a: Angle| format!("{:.1} deg", a.get::<degree>()));
        within("camber", self.camber, -limit, limit, show)?;
        within("toe", self.toe_in, -limit, limit, show)?;
        let off_middle = self.centre[1].get::<meter>().abs();
        if off_middle > 1e-3 && self.centre.iter().all(|c| c.value.is_finite()) {
            Ok(())
        } else {
            Err(OutOfRange::new("wheel centre", "in the middle plane of the car", "places left or right of it"))
        }
    }

    /// 1 on the left, -1 on the right.
    fn side(&self) -> f64 {
        self.centre[1].get::<meter>().signum()
    }

    /// The drawn direction of the spin axis, away from the car.
    pub(super) fn spin_axis(&self) -> Vector3<f64> {
        let (toe, camber) = (self.toe_in.get::<radian>(), self.camber.get::<radian>());
        Vector3::new(toe.sin() * camber.cos(), self.side() * toe.cos() * camber.cos(), -camber.sin())
    }

    /// The point of the tyre on the ground, for a wheel at `centre` with that spin axis.
    pub(super) fn contact(&self, centre: Vector3<f64>, spin_axis: Vector3<f64>) -> Vector3<f64> {
        let up = (Vector3::z() - spin_axis * spin_axis.z).normalize();
        centre - up * self.loaded_radius.get::<meter>()
    }
}

/// A wheel at a wheel travel. Rates are for each unit of rise of the wheel centre; points are in the axes of the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelPose {
    /// Rise of the wheel centre from the drawn position.
    pub travel: Length,
    /// Movement of the tie rod's inner end to the left.
    pub rack: Length,
    /// Camber: negative with the top towards the car.
    pub camber: Angle,
    /// Change of camber from the drawn position.
    pub camber_change: Angle,
    /// Camber gained for each unit of travel.
    pub camber_gain: Curvature,
    /// Toe: positive with the front towards the car.
    pub toe_in: Angle,
    /// Change of toe from the drawn position: bump steer, and steering.
    pub toe_in_change: Angle,
    /// Toe gained for each unit of travel.
    pub toe_in_gain: Curvature,
    /// The middle of the wheel.
    pub wheel_centre: Point,
    /// The spin axis, away from the car.
    pub spin_axis: [Ratio; 3],
    /// The point one metre from the wheel centre along the spin axis, away from the car.
    pub metre_outboard: Point,
    /// Where the upright's point now is that was drawn one metre ahead of the wheel centre.
    pub metre_ahead: Point,
    /// Where the upright's point now is that was drawn one metre to the left of the wheel centre.
    pub metre_left: Point,
    /// Where the upright's point now is that was drawn one metre above the wheel centre.
    pub metre_up: Point,
    /// The point of the tyre on the ground.
    pub contact: Point,
    /// Outward movement of the contact point from the drawn position: half of the change of track.
    pub half_track_change: Length,
    /// Outward movement of the wheel centre.
    pub half_track_change_at_centre: Length,
    /// Forward movement of the contact point from the drawn position: change of wheelbase.
    pub forward_change: Length,
    /// Height of the roll centre above the ground, both wheels of the axle at this travel.
    pub roll_centre_height: Length,
    /// Where the wheel turns about in the front view, in the plane of the contact point; none where that is far away.
    pub front_instant_centre: Option<Point>,
    /// Where the wheel, braked, turns about in the side view; none where that is far away.
    pub side_instant_centre: Option<Point>,
    /// Slope of the line from the contact point to the side view's instant centre, positive when it rises forward.
    pub side_slope_at_contact: Ratio,
    /// Slope of the line from the wheel centre to the side view's instant centre, positive when it rises forward.
    pub side_slope_at_centre: Ratio,
    /// The motion of the upright: carries any of its points along.
    pub upright: Motion,
}

/// Slower turning (per metre of travel) puts an instant centre beyond a hundred kilometres.
pub(super) const TURNING: f64 = 1e-5;

impl WheelPose {
    pub(super) fn new(wheel: &Wheel, travel: Length, rack: Length, upright: Motion) -> Result<WheelPose, OutOfRange> {
        let side = wheel.side();
        let axis = upright.placing.turn * wheel.spin_axis();
        let axis_rate = upright.spin.cross(&axis);
        let (level, outward) = (axis.x.hypot(axis.y), side * axis.y);
        let drawn_centre = vector(wheel.centre);
        let centre = upright.placing.place(drawn_centre);
        let contact = wheel.contact(centre, axis);
        let drawn_contact = wheel.contact(drawn_centre, wheel.spin_axis());
        let moving = upright.velocity_at(contact);
        if !(level > 1e-3 && moving.z.abs() > 1e-3) {
            return Err(OutOfRange::new(
                "the pose of the wheel",
                "one that lies flat or does not rise",
                "wheels that stand and rise with their travel",
            ));
        }
        let (camber, toe_in) = (-axis.z.asin(), axis.x.atan2(outward));
        let angle = Angle::new::<radian>;
        let length = Length::new::<meter>;
        let spin = upright.spin;
        let centre_speed = upright.velocity_at(centre);
        Ok(WheelPose {
            travel,
            rack,
            camber: angle(camber),
            camber_change: angle(camber) - wheel.camber,
            camber_gain: Curvature::new::<radian_per_meter>(-axis_rate.z / level),
            toe_in: angle(toe_in),
            toe_in_change: angle(toe_in) - wheel.toe_in,
            toe_in_gain: Curvature::new::<radian_per_meter>(
                (axis_rate.x * outward - axis.x * side * axis_rate.y) / (level * level),
            ),
            wheel_centre: point(centre),
            spin_axis: [axis.x, axis.y, axis.z].map(Ratio::new::<ratio>),
            metre_outboard: point(centre + axis),
            metre_ahead: point(upright.placing.place(drawn_centre + Vector3::x())),
            metre_left: point(upright.placing.place(drawn_centre + Vector3::y())),
            metre_up: point(upright.placing.place(drawn_centre + Vector3::z())),
            contact: point(contact),
            half_track_change: length(side * (contact.y - drawn_contact.y)),
            half_track_change_at_centre: length(side * (centre.y - drawn_centre.y)),
            forward_change: length(contact.x - drawn_contact.x),
            roll_centre_height: length(contact.y * moving.y / moving.z),
            front_instant_centre: (spin.x.abs() > TURNING)
                .then(|| point(contact + Vector3::new(0.0, -moving.z / spin.x, moving.y / spin.x))),
            side_instant_centre: (spin.y.abs() > TURNING)
                .then(|| point(contact + Vector3::new(moving.z / spin.y, 0.0, -moving.x / spin.y))),
            side_slope_at_contact: Ratio::new::<ratio>(-moving.x / moving.z),
            side_slope_at_centre: Ratio::new::<ratio>(-centre_speed.x / centre_speed.z),
            upright,
        })
    }
}
