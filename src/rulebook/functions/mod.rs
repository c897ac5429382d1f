//! The register: which computations of `physics` expressions can call, under which names, with which kinds.
//!
//! One file for each system, one line for each function. The line names the kind of every parameter and of the result; the
//! macro turns SI numbers into `uom` quantities and back, so that a line whose kinds do not fit the function's types does
//! not compile.

mod brakes;
mod convert;
mod cooling;
mod driveline;
mod electrical;
mod engine;
mod fuel;
mod parts;
mod steering;
mod structure;
mod suspension;
mod wheels;

use crate::language::Function;
use std::sync::{Arc, LazyLock};

/// Every registered function, in the order of systems.
pub fn functions() -> Arc<[Function]> {
    static ALL: LazyLock<Arc<[Function]>> = LazyLock::new(|| {
        let systems = [
            brakes::functions(),
            cooling::functions(),
            driveline::functions(),
            electrical::functions(),
            engine::functions(),
            fuel::functions(),
            parts::functions(),
            steering::functions(),
            structure::functions(),
            suspension::functions(),
            wheels::functions(),
        ];
        systems.concat().into()
    });
    ALL.clone()
}

/// A kind's variant by the word that stands for it in a register line.
macro_rules! kind {
    (number) => {
        crate::quantity::Kind::Number
    };
    (angle) => {
        crate::quantity::Kind::Angle
    };
    (sound_level) => {
        crate::quantity::Kind::SoundLevel
    };
    (length) => {
        crate::quantity::Kind::Length
    };
    (area) => {
        crate::quantity::Kind::Area
    };
    (volume) => {
        crate::quantity::Kind::Volume
    };
    (mass) => {
        crate::quantity::Kind::Mass
    };
    (time) => {
        crate::quantity::Kind::Time
    };
    (speed) => {
        crate::quantity::Kind::Speed
    };
    (acceleration) => {
        crate::quantity::Kind::Acceleration
    };
    (rotational_speed) => {
        crate::quantity::Kind::RotationalSpeed
    };
    (angular_acceleration) => {
        crate::quantity::Kind::AngularAcceleration
    };
    (frequency) => {
        crate::quantity::Kind::Frequency
    };
    (force) => {
        crate::quantity::Kind::Force
    };
    (torque) => {
        crate::quantity::Kind::Torque
    };
    (energy) => {
        crate::quantity::Kind::Energy
    };
    (power) => {
        crate::quantity::Kind::Power
    };
    (pressure) => {
        crate::quantity::Kind::Pressure
    };
    (gauge_pressure) => {
        crate::quantity::Kind::GaugePressure
    };
    (absolute_pressure) => {
        crate::quantity::Kind::AbsolutePressure
    };
    (stress) => {
        crate::quantity::Kind::Stress
    };
    (temperature) => {
        crate::quantity::Kind::Temperature
    };
    (temperature_difference) => {
        crate::quantity::Kind::TemperatureDifference
    };
    (spring_rate) => {
        crate::quantity::Kind::SpringRate
    };
    (rotational_stiffness) => {
        crate::quantity::Kind::RollStiffness
    };
    (damping) => {
        crate::quantity::Kind::Damping
    };
    (moment_of_inertia) => {
        crate::quantity::Kind::Inertia
    };
    (second_moment_of_area) => {
        crate::quantity::Kind::AreaMoment
    };
    (section_modulus) => {
        crate::quantity::Kind::SectionModulus
    };
    (density) => {
        crate::quantity::Kind::Density
    };
    (mass_per_length) => {
        crate::quantity::Kind::MassPerLength
    };
    (flow) => {
        crate::quantity::Kind::VolumeFlow
    };
    (mass_flow) => {
        crate::quantity::Kind::MassFlow
    };
    (specific_consumption) => {
        crate::quantity::Kind::SpecificConsumption
    };
    (dynamic_viscosity) => {
        crate::quantity::Kind::DynamicViscosity
    };
    (kinematic_viscosity) => {
        crate::quantity::Kind::KinematicViscosity
    };
    (specific_heat_capacity) => {
        crate::quantity::Kind::HeatCapacity
    };
    (thermal_conductivity) => {
        crate::quantity::Kind::Conductivity
    };
    (heat_transfer_coefficient) => {
        crate::quantity::Kind::HeatTransfer
    };
    (heat_flux) => {
        crate::quantity::Kind::HeatFlux
    };
    (thermal_conductance) => {
        crate::quantity::Kind::Conductance
    };
    (thermal_expansion) => {
        crate::quantity::Kind::Expansion
    };
    (current) => {
        crate::quantity::Kind::Current
    };
    (voltage) => {
        crate::quantity::Kind::Voltage
    };
    (resistance) => {
        crate::quantity::Kind::Resistance
    };
    (resistivity) => {
        crate::quantity::Kind::Resistivity
    };
    (specific_energy) => {
        crate::quantity::Kind::SpecificEnergy
    };
    (charge) => {
        crate::quantity::Kind::Charge
    };
    (volume_per_length) => {
        crate::quantity::Kind::VolumePerLength
    };
    (volume_per_pressure) => {
        crate::quantity::Kind::VolumePerPressure
    };
}
pub(crate) use kind;

/// What a parameter takes, by the word of a register line: a kind, `[kind]`, `point`, `[point]`, `condition`, or
/// `word(Type: "word" => value, ...)`.
macro_rules! takes {
    (point) => { crate::language::function::ParameterType::Point };
    ([point]) => { crate::language::function::ParameterType::Points };
    (condition) => { crate::language::function::ParameterType::Truth };
    (word($($word:literal => $value:expr),* $(,)?)) => {
        crate::language::function::ParameterType::Word(&[$($word),*])
    };
    ([$kind:ident]) => { crate::language::function::ParameterType::Numbers(crate::rulebook::functions::kind!($kind).into()) };
    ($kind:ident) => { crate::language::function::ParameterType::Number(crate::rulebook::functions::kind!($kind).into()) };
}
pub(crate) use takes;

/// The argument as the function takes it.
macro_rules! given {
    ($argument:expr, word($($word:literal => $value:expr),* $(,)?)) => {
        match crate::rulebook::functions::convert::word($argument)? {
            $($word => $value,)*
            other => return Err(format!("`{other}` is not known here")),
        }
    };
    ($argument:expr, [$inner:ident]) => { crate::rulebook::functions::convert::many($argument)? };
    ($argument:expr, $kind:ident) => { crate::rulebook::functions::convert::FromArgument::from_argument($argument)? };
}
pub(crate) use given;

/// How an argument is handed over: lists as slices, all else by value.
macro_rules! handed {
    ($parameter:ident, [$inner:ident]) => {
        &$parameter[..]
    };
    ($parameter:ident, $($kind:tt)*) => {
        $parameter
    };
}
pub(crate) use handed;

/// What a function gives, by the words of a register line: a kind, `[kind]`, `point`, `condition` or `{field: kind, ...}`.
macro_rules! gives {
    ({ $($field:ident : $kind:tt),* $(,)? }) => {
        crate::language::Type::Fields(
            [$((crate::source::SharedText::built_in(stringify!($field)), crate::rulebook::functions::gives!($kind))),*].into(),
        )
    };
    (point) => { crate::language::Type::Point };
    (condition) => { crate::language::Type::Truth };
    ([$kind:ident]) => { crate::language::Type::List(std::sync::Arc::new(crate::rulebook::functions::gives!($kind))) };
    ($kind:ident) => { crate::language::Type::Quantity(crate::rulebook::functions::kind!($kind).into()) };
}
pub(crate) use gives;

/// The result as the language takes it.
macro_rules! result {
    ($value:expr, { $($field:ident : $kind:tt),* $(,)? }) => {{
        let record = crate::rulebook::functions::convert::Outcome::outcome($value)?;
        Ok(crate::language::Output::Fields(vec![
            $(crate::rulebook::functions::convert::IntoOutput::into_output(record.$field)),*
        ]))
    }};
    ($value:expr, $kind:tt) => {
        Ok(crate::rulebook::functions::convert::IntoOutput::into_output(
            crate::rulebook::functions::convert::Outcome::outcome($value)?,
        ))
    };
}
pub(crate) use result;

/// A register: lines of `"what it says" name = path::to::function(parameter: kind, ...) -> result;`.
macro_rules! register {
    ($($says:literal $name:ident = $function:path : ($($parameter:ident : $kind:tt $(($($words:tt)*))?),* $(,)?) -> $gives:tt;)*) => {
        /// The functions of this system.
        pub(super) fn functions() -> Vec<crate::language::Function> {
            vec![$(crate::language::Function {
                name: stringify!($name),
                says: $says,
                takes: vec![$(crate::language::function::Parameter {
                    name: stringify!($parameter),
                    ty: crate::rulebook::functions::takes!($kind $(($($words)*))?),
                }),*],
                gives: crate::rulebook::functions::gives!($gives),
                call: |arguments| {
                    #[allow(unused_mut, unused_variables, reason = "a function may take nothing")]
                    let mut given = arguments.iter();
                    $(
                        let $parameter = {
                            let argument = given.next().ok_or("an argument is missing")?;
                            crate::rulebook::functions::given!(argument, $kind $(($($words)*))?)
                        };
                    )*
                    let result = $function($(crate::rulebook::functions::handed!($parameter, $kind $(($($words)*))?)),*);
                    crate::rulebook::functions::result!(result, $gives)
                },
            }),*]
        }
    };
}
pub(crate) use register;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::language::function::ParameterType;
    use crate::language::{Argument, Output};

    #[test]
    fn no_two_functions_have_one_name() {
        let mut names: Vec<&str> = functions().iter().map(|f| f.name).collect();
        names.sort_unstable();
        let double: Vec<_> = names.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0]).collect();
        assert!(double.is_empty(), "registered twice: {double:?}");
    }

    /// What a function gives on one and the same number for every parameter, in lists of so many members.
    fn called(function: &Function, value: f64, members: usize) -> Result<Output, String> {
        let arguments: Vec<Argument> = function
            .takes
            .iter()
            .map(|parameter| match &parameter.ty {
                ParameterType::Number(_) => Argument::Number(value),
                ParameterType::Numbers(_) => Argument::Numbers(vec![value; members]),
                ParameterType::Point => Argument::Point([value; 3]),
                ParameterType::Points => Argument::Points(vec![[value; 3]; members]),
                ParameterType::Truth => Argument::Truth(value > 0.0),
                ParameterType::Word(words) => Argument::Word(words.first().copied().unwrap_or_default().into()),
            })
            .collect();
        (function.call)(&arguments)
    }

    fn is_finite(output: &Output) -> bool {
        match output {
            Output::Number(value) => value.is_finite(),
            Output::Numbers(all) => all.iter().all(|v| v.is_finite()),
            Output::Point(point) => point.iter().all(|v| v.is_finite()),
            Output::Truth(_) => true,
            Output::Fields(fields) => fields.iter().all(is_finite),
        }
    }

    #[test]
    fn no_argument_makes_a_function_panic() {
        for function in functions().iter() {
            for value in [0.0, -0.0, 1e-300, 1e300, -1e300, f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
                for members in [0, 1, 3] {
                    // Refused or answered: either is right here.
                    let _ = called(function, value, members);
                }
            }
        }
    }

    #[test]
    fn a_plain_argument_is_refused_or_answered_with_a_number() {
        for function in functions().iter() {
            for value in [0.0, 1.0, -1.0, 0.1, 0.5, -0.5, 2.0, 3.0, 20.0, 300.0, 1e5] {
                for members in [0, 1, 2, 5] {
                    let answer = called(function, value, members);
                    let right = answer.as_ref().is_ok_and(is_finite) || answer.is_err();
                    assert!(right, "{} of {value}: {answer:?}", function.name);
                }
            }
        }
    }
}
