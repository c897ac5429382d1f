//! Which dimensions may be added, compared, multiplied and divided, and what comes of it.
//!
//! Used by the type check of rules and by their evaluation. Two [`Dimension`]s go in; out comes the dimension of the
//! result or a [`Mismatch`], which says in words what does not fit and, where it can be computed, what would.

use super::kind::{Dimension, Exponents, Kind};

/// What was to be done with two quantities.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Operation {
    /// `a + b`
    Sum,
    /// `a - b`
    Difference,
    /// `a * b`
    Product,
    /// `a / b`
    Quotient,
    /// `a <= b` and the like, or a choice between the two.
    Comparison,
}

/// Two dimensions which an operation does not take together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mismatch {
    /// What was to be done.
    pub operation: Operation,
    /// The left operand.
    pub left: Dimension,
    /// The right operand.
    pub right: Dimension,
}

impl Dimension {
    /// A plain number.
    pub const NUMBER: Dimension = Dimension { exponents: Exponents::NONE, kind: Some(Kind::Number) };

    /// A dimension of which only the exponents are known; it goes with every kind of these exponents.
    pub fn of_exponents(exponents: Exponents) -> Dimension {
        Dimension { exponents, kind: None }
    }

    fn difference_kind(self) -> Option<Kind> {
        self.kind.and_then(Kind::difference)
    }

    fn is_point(self) -> bool {
        self.difference_kind().is_some()
    }

    /// The dimension of `self + other`. Equal kinds keep their kind; a point on a scale takes a difference and stays a
    /// point; two points cannot be added.
    pub fn sum(self, other: Dimension) -> Result<Dimension, Mismatch> {
        self.added(other).ok_or(Mismatch { operation: Operation::Sum, left: self, right: other })
    }

    fn added(self, other: Dimension) -> Option<Dimension> {
        if self.exponents != other.exponents {
            return None;
        }
        match (self.kind, other.kind) {
            (None, _) => Some(other),
            (_, None) => Some(self),
            (a, b) if a == b => (!self.is_point()).then_some(self),
            (_, b) if self.is_point() && self.difference_kind() == b => Some(self),
            (a, _) if other.is_point() && other.difference_kind() == a => Some(other),
            _ => None,
        }
    }

    /// The dimension of `self - other`. Two points on one scale give the kind of their differences; a point less a
    /// difference stays a point; a difference less a point means nothing.
    pub fn difference(self, other: Dimension) -> Result<Dimension, Mismatch> {
        self.subtracted(other).ok_or(Mismatch { operation: Operation::Difference, left: self, right: other })
    }

    fn subtracted(self, other: Dimension) -> Option<Dimension> {
        if self.exponents != other.exponents {
            return None;
        }
        match (self.kind, other.kind) {
            (a, b) if other.is_point() && (a == b || a.is_none()) => other.difference_kind().map(Dimension::from),
            (None, _) => Some(other),
            (_, None) => Some(self),
            (a, b) if a == b => Some(self),
            (_, b) if self.is_point() && self.difference_kind() == b => Some(self),
            _ => None,
        }
    }

    /// The dimension of `self * other`. A number times a kind keeps the kind; a temperature cannot be multiplied by a
    /// number, because the zero of its scale is arbitrary. Every other product has no kind, or is a number where its
    /// exponents cancel and no angle can be hidden in it.
    pub fn product(self, other: Dimension) -> Result<Dimension, Mismatch> {
        let refuse = || Err(Mismatch { operation: Operation::Product, left: self, right: other });
        match (self.kind, other.kind) {
            (Some(Kind::Number), Some(Kind::Temperature)) | (Some(Kind::Temperature), Some(Kind::Number)) => refuse(),
            (Some(Kind::Number), _) => Ok(other),
            (_, Some(Kind::Number)) => Ok(self),
            _ => Ok(made(self.exponents.times(other.exponents), self, other)),
        }
    }

    /// The dimension of `self / other`. The quotient of two equal kinds is a number; a kind by a number keeps the kind,
    /// except for a temperature; gauge pressure by absolute pressure is refused, for it is never a pressure ratio.
    pub fn quotient(self, other: Dimension) -> Result<Dimension, Mismatch> {
        let refuse = || Err(Mismatch { operation: Operation::Quotient, left: self, right: other });
        match (self.kind, other.kind) {
            (Some(a), Some(b)) if a == b => Ok(Dimension::NUMBER),
            (Some(Kind::Temperature), Some(Kind::Number)) => refuse(),
            (Some(Kind::GaugePressure), Some(Kind::AbsolutePressure))
            | (Some(Kind::AbsolutePressure), Some(Kind::GaugePressure)) => refuse(),
            (_, Some(Kind::Number)) => Ok(self),
            _ => Ok(made(self.exponents.over(other.exponents), self, other)),
        }
    }

    /// The dimension that both share, if they may be compared or stand for each other: equal exponents, and equal kinds
    /// or one of no kind. Of the two the one that has a kind is returned.
    pub fn comparable(self, other: Dimension) -> Result<Dimension, Mismatch> {
        match (self.kind, other.kind) {
            _ if self.exponents != other.exponents => None,
            (None, _) => Some(other),
            (a, b) if b.is_none() || a == b => Some(self),
            _ => None,
        }
        .ok_or(Mismatch { operation: Operation::Comparison, left: self, right: other })
    }

    /// The dimension of a whole power: a number stays one, the first power keeps the kind, others have none.
    #[must_use]
    pub fn power(self, n: i8) -> Dimension {
        match (self.kind, n) {
            (_, 0) => Dimension::NUMBER,
            (Some(Kind::Number), _) | (_, 1) => self,
            _ => Dimension::of_exponents(self.exponents.power(n)),
        }
    }

    /// The dimension of a square root; `None` where an exponent is odd.
    pub fn root(self) -> Option<Dimension> {
        match self.kind {
            Some(Kind::Number) => Some(self),
            _ => self.exponents.root().map(Dimension::of_exponents),
        }
    }

    fn name(self) -> String {
        self.kind
            .or_else(|| kinds_of(self.exponents).first().copied())
            .map_or_else(|| self.exponents.to_string(), |k| k.name().to_owned())
    }

    /// The dimension in words, with its article: `a torque`, `a number`, `a value in kg m2/s2`.
    pub fn in_words(self) -> String {
        match self.kind {
            Some(kind) => with_article(kind.name()),
            None if self.exponents == Exponents::NONE => "a number or an angle".to_owned(),
            None => match kinds_of(self.exponents).as_slice() {
                [] => format!("a value in {}", self.exponents),
                [one] => with_article(one.name()),
                [first, second] => format!("{} or {}", with_article(first.name()), second.name()),
                [first, ..] => with_article(first.name()),
            },
        }
    }
}

/// The result of multiplying or dividing two kinds that are no numbers. Where the exponents cancel it is a number, unless
/// an angle may have come in: then it is left without a kind, and goes with numbers and with angles.
fn made(exponents: Exponents, a: Dimension, b: Dimension) -> Dimension {
    let plain = |d: Dimension| d.kind.is_some_and(|kind| kind.turns() == 0);
    if exponents == Exponents::NONE && plain(a) && plain(b) {
        Dimension::NUMBER
    } else {
        Dimension::of_exponents(exponents)
    }
}

fn kinds_of(exponents: Exponents) -> Vec<Kind> {
    Kind::ALL.iter().copied().filter(|k| k.exponents() == exponents && k.turns() == 0).collect()
}

/// `a torque`, `an angle`.
pub(super) fn with_article(name: &str) -> String {
    let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {name}")
}

impl Mismatch {
    /// What does not fit, in one sentence without a full stop.
    pub fn message(&self) -> String {
        let (left, right) = (self.left.in_words(), self.right.in_words());
        match self.operation {
            Operation::Sum if self.left == self.right => {
                format!("{left} and another cannot be added: both are points on a scale")
            }
            Operation::Sum => format!("{left} and {right} cannot be added"),
            Operation::Difference => format!("{right} cannot be taken from {left}"),
            Operation::Product => format!("{left} cannot be multiplied by {right}"),
            Operation::Quotient => format!("{left} cannot be divided by {right}"),
            Operation::Comparison => format!("{left} cannot be compared with {right}"),
        }
    }

    /// The way out, where one can be computed: the conversion between two scales, or the factor that is missing.
    pub fn help(&self) -> Option<String> {
        use Kind::*;
        let pair = (self.left.kind, self.right.kind);
        let either = |a: Kind, b: Kind| pair == (Some(a), Some(b)) || pair == (Some(b), Some(a));
        let one_is = |kind: Kind| pair.0 == Some(kind) || pair.1 == Some(kind);
        let fixed = if either(GaugePressure, AbsolutePressure) {
            "`absolute(gauge, air)` and `gauge(absolute, air)` go between the two, with the pressure of the air around"
        } else if self.operation == Operation::Sum && self.left == self.right && self.left.is_point() {
            "the difference of two points can be added to a point: a + (b - c)"
        } else if self.operation == Operation::Product || self.operation == Operation::Quotient {
            "the zero of a temperature scale is arbitrary: multiply or divide a difference of two temperatures instead"
        } else if either(Temperature, TemperatureDifference) {
            "a temperature less a temperature is a difference; a temperature plus a difference is a temperature"
        } else if either(GaugePressure, Pressure) || either(AbsolutePressure, Pressure) {
            "a pressure difference is not a point on a scale: take the difference of two pressures of the same scale first"
        } else if either(Torque, Energy) {
            "a torque times an angle is the energy it delivers"
        } else if either(RotationalSpeed, Frequency) {
            "a rotational speed divided by `360 deg` is the frequency of its turns"
        } else if one_is(Angle) && one_is(Number) {
            "write the number with its unit, as `1.5 deg`; the tangent of an angle is a ratio: `tan(angle)`"
        } else {
            return self.missing_factor();
        };
        Some(fixed.to_owned())
    }

    fn missing_factor(&self) -> Option<String> {
        let (left, right) = (self.left, self.right);
        if left.exponents == right.exponents {
            return None;
        }
        if left.exponents == Exponents::NONE || right.exponents == Exponents::NONE {
            let (bare, other) = if left.exponents == Exponents::NONE { (left, right) } else { (right, left) };
            return match (bare.kind, other.kind) {
                (Some(Kind::Angle), Some(Kind::Length)) => Some(
                    "a length times the tangent or the sine of an angle is a length: `length * tan(angle)`".to_owned(),
                ),
                (Some(Kind::Angle | Kind::SoundLevel), _) => None,
                _ => Some(format!("write the number with a unit, if {} is meant", other.in_words())),
            };
        }
        let say = |over: Dimension, under: Dimension| {
            let factor = with_article(kinds_of(over.exponents.over(under.exponents)).first()?.name());
            Some(format!("{} / {} gives {factor}: is it missing as a factor?", over.name(), under.name()))
        };
        say(left, right).or_else(|| say(right, left)).or_else(|| {
            let factor = left.exponents.over(right.exponents);
            Some(format!("{} / {} leaves a factor in {factor}", left.name(), right.name()))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Kind::*;

    fn d(kind: Kind) -> Dimension {
        kind.into()
    }

    /// No kind, but the exponents of one.
    fn like(kind: Kind) -> Dimension {
        Dimension::of_exponents(kind.exponents())
    }

    #[test]
    fn equal_kinds_add_and_compare_and_others_do_not() {
        for &a in Kind::ALL {
            for &b in Kind::ALL {
                assert_eq!(d(a).comparable(d(b)).is_ok(), a == b, "{a:?} {b:?}");
                let scale = a.difference() == Some(b) || b.difference() == Some(a);
                let allowed = (a == b && a.difference().is_none()) || scale;
                assert_eq!(d(a).sum(d(b)).is_ok(), allowed, "{a:?} + {b:?}");
            }
        }
    }

    #[test]
    fn points_on_a_scale() {
        for (point, step) in
            [(Temperature, TemperatureDifference), (GaugePressure, Pressure), (AbsolutePressure, Pressure)]
        {
            assert_eq!(d(point).difference(d(point)), Ok(d(step)));
            assert_eq!(d(point).sum(d(step)), Ok(d(point)));
            assert_eq!(d(step).sum(d(point)), Ok(d(point)));
            assert_eq!(d(point).difference(d(step)), Ok(d(point)));
            assert!(d(step).difference(d(point)).is_err());
            assert!(d(point).sum(d(point)).is_err());
            assert_eq!(d(point).sum(like(point)), Ok(d(point)));
            assert_eq!(d(point).difference(like(point)), Ok(d(point)));
            assert_eq!(like(point).difference(d(point)), Ok(d(step)));
        }
        assert!(d(GaugePressure).difference(d(AbsolutePressure)).is_err());
    }

    #[test]
    fn numbers_keep_kinds_and_equal_kinds_give_numbers() {
        for &kind in Kind::ALL {
            assert_eq!(d(Number).product(d(kind)).is_ok(), kind != Temperature, "{kind:?}");
            if kind != Temperature {
                assert_eq!(d(kind).product(d(Number)), Ok(d(kind)));
                assert_eq!(d(kind).quotient(d(Number)), Ok(d(kind)));
            }
            assert_eq!(d(kind).quotient(d(kind)), Ok(d(Number)));
        }
    }

    #[test]
    fn products_have_no_kind_and_may_hide_an_angle() {
        assert_eq!(d(Force).product(d(Length)), Ok(like(Torque)));
        assert_eq!(d(Force).product(d(Length)).and_then(|t| t.comparable(d(Energy))), Ok(d(Energy)));
        assert_eq!(d(Angle).quotient(d(Time)), Ok(like(RotationalSpeed)));
        assert_eq!(d(Angle).product(d(Angle)), Ok(Dimension::of_exponents(Exponents::NONE)));
        let hidden = d(RotationalSpeed).product(d(Time));
        assert_eq!(hidden, Ok(like(Angle)));
        assert!(like(Angle).comparable(d(Angle)).is_ok() && like(Angle).comparable(d(Number)).is_ok());
        assert_eq!(d(Torque).quotient(d(RollStiffness)), Ok(like(Angle)));
        assert_eq!(d(Frequency).product(d(Time)), Ok(d(Number)));
        assert_eq!(d(Area).quotient(d(VolumePerLength)), Ok(d(Number)));
        assert_eq!(d(Length).power(2), like(Area));
        assert_eq!(d(Number).power(3), d(Number));
        assert_eq!(d(Length).power(0), d(Number));
        assert_eq!(d(Area).root(), Some(like(Length)));
        assert_eq!(d(Length).root(), None);
    }

    #[test]
    fn towers_of_powers_do_not_overflow() {
        let tower = d(Length).power(100).power(100).product(d(Volume)).map(|t| t.power(-128));
        assert!(tower.is_ok_and(|t| t.exponents.0[0] == i8::MIN));
    }

    #[test]
    fn a_mismatch_offers_the_way_out() {
        let all = [
            d(Torque).comparable(d(Force)),
            d(Force).sum(d(Torque)),
            d(Angle).comparable(d(Length)),
            d(Angle).comparable(d(Number)),
            d(Torque).comparable(d(Energy)),
            d(GaugePressure).comparable(d(AbsolutePressure)),
            d(GaugePressure).quotient(d(AbsolutePressure)),
            d(GaugePressure).comparable(d(Pressure)),
            d(Temperature).sum(d(Temperature)),
            d(Temperature).product(d(Number)),
            d(TemperatureDifference).difference(d(Temperature)),
            d(RotationalSpeed).comparable(d(Frequency)),
            d(Stress).comparable(d(Pressure)),
            d(Voltage).comparable(d(Density)),
            like(Torque).comparable(d(Force)),
            d(Conductance).product(d(Charge)).and_then(|x| x.comparable(d(Number))),
        ];
        let told: Vec<String> = all
            .into_iter()
            .filter_map(Result::err)
            .map(|m| format!("{}\n  {}", m.message(), m.help().unwrap_or_else(|| "-".to_owned())))
            .collect();
        insta::assert_snapshot!(told.join("\n"));
    }
}
