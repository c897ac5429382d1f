//! Dimensions: exponents of the SI base quantities together with a kind. What may be added, compared and multiplied is in
//! `algebra`.

/// Exponents of length, mass, time, electric current, temperature, amount of substance, luminous intensity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, serde::Serialize, serde::Deserialize)]
pub struct Exponents(pub [i8; 7]);

impl Exponents {
    /// No dimension.
    pub const NONE: Exponents = Exponents([0; 7]);

    /// Exponents of a product. Exponents stop at ±127, so that no tower of powers can overflow.
    #[must_use]
    pub fn times(self, other: Exponents) -> Exponents {
        Exponents(std::array::from_fn(|i| self.0[i].saturating_add(other.0[i])))
    }

    /// Exponents of a quotient.
    #[must_use]
    pub fn over(self, other: Exponents) -> Exponents {
        Exponents(std::array::from_fn(|i| self.0[i].saturating_sub(other.0[i])))
    }

    /// Exponents of an integer power.
    #[must_use]
    pub fn power(self, n: i8) -> Exponents {
        Exponents(self.0.map(|e| e.saturating_mul(n)))
    }

    /// Exponents of a square root, if every exponent is even.
    pub fn root(self) -> Option<Exponents> {
        self.0.iter().all(|e| e % 2 == 0).then(|| Exponents(self.0.map(|e| e / 2)))
    }
}

/// In SI base units: `kg m2/s3`, `1/s`; nothing at all for no dimension.
impl std::fmt::Display for Exponents {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        const ORDER: [(usize, &str); 7] = [(1, "kg"), (0, "m"), (2, "s"), (3, "A"), (4, "K"), (5, "mol"), (6, "cd")];
        crate::quantity::unit::write_product(f, ORDER.iter().map(|&(i, symbol)| (symbol, self.0[i])))
    }
}

macro_rules! kinds {
    ($($variant:ident $name:literal [$($e:literal)*] $(point_of $difference:ident)? ; $doc:literal)*) => {
        /// What sort of thing a quantity is: tells torque from energy and gauge from absolute pressure, though their
        /// exponents agree.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        pub enum Kind { $(#[doc = $doc] $variant),* }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant),*];

            /// The kind's name in terms and rules, in words.
            pub fn name(self) -> &'static str { match self { $(Kind::$variant => $name),* } }

            /// The exponents of the kind.
            pub fn exponents(self) -> Exponents { match self { $(Kind::$variant => Exponents([$($e),*])),* } }

            /// For points on a scale (temperatures, gauge and absolute pressures): the kind of their differences.
            pub fn difference(self) -> Option<Kind> {
                match self { $($(Kind::$variant => Some(Kind::$difference),)?)* _ => None }
            }

            /// How often an angle enters the kind: 1 for an angle and a speed of rotation, -1 for a moment per angle, else 0.
            /// SI counts the radian as 1, so the exponents cannot tell 50 1/s from 50 rad/s; units and kinds must.
            pub fn turns(self) -> i8 {
                match self {
                    Kind::Angle | Kind::RotationalSpeed | Kind::AngularAcceleration => 1,
                    Kind::RollStiffness => -1,
                    _ => 0,
                }
            }

            /// The kind of that name.
            pub fn named(name: &str) -> Option<Kind> { Kind::ALL.iter().copied().find(|k| k.name() == name) }
        }
    };
}

kinds! {
    Number "number" [0 0 0 0 0 0 0]; "A plain number, a share or a ratio."
    Angle "angle" [0 0 0 0 0 0 0]; "A plane angle; radian in SI."
    SoundLevel "sound level" [0 0 0 0 0 0 0]; "A-weighted sound pressure level in decibel; never converted."
    Length "length" [1 0 0 0 0 0 0]; "A length."
    Area "area" [2 0 0 0 0 0 0]; "An area."
    Volume "volume" [3 0 0 0 0 0 0]; "A volume."
    Mass "mass" [0 1 0 0 0 0 0]; "A mass."
    Time "time" [0 0 1 0 0 0 0]; "A duration."
    Speed "speed" [1 0 -1 0 0 0 0]; "A speed."
    Acceleration "acceleration" [1 0 -2 0 0 0 0]; "An acceleration."
    RotationalSpeed "rotational speed" [0 0 -1 0 0 0 0]; "Speed of rotation; radian per second in SI."
    AngularAcceleration "angular acceleration" [0 0 -2 0 0 0 0]; "Angular acceleration; radian per second squared in SI."
    Frequency "frequency" [0 0 -1 0 0 0 0]; "Cycles per second."
    Force "force" [1 1 -2 0 0 0 0]; "A force."
    Torque "torque" [2 1 -2 0 0 0 0]; "A moment of force."
    Energy "energy" [2 1 -2 0 0 0 0]; "Energy, work or heat."
    Power "power" [2 1 -3 0 0 0 0]; "Power."
    Pressure "pressure" [-1 1 -2 0 0 0 0]; "A pressure difference or loss."
    GaugePressure "gauge pressure" [-1 1 -2 0 0 0 0] point_of Pressure; "Pressure above that of the air around."
    AbsolutePressure "absolute pressure" [-1 1 -2 0 0 0 0] point_of Pressure; "Pressure above vacuum."
    Stress "stress" [-1 1 -2 0 0 0 0]; "Stress, strength or modulus of a material."
    Temperature "temperature" [0 0 0 0 1 0 0] point_of TemperatureDifference; "A temperature; kelvin in SI."
    TemperatureDifference "temperature difference" [0 0 0 0 1 0 0]; "A difference of temperatures."
    SpringRate "spring rate" [0 1 -2 0 0 0 0]; "Force per travel."
    RollStiffness "rotational stiffness" [2 1 -2 0 0 0 0]; "Moment per angle."
    Damping "damping" [0 1 -1 0 0 0 0]; "Force per speed."
    Inertia "moment of inertia" [2 1 0 0 0 0 0]; "Mass moment of inertia."
    AreaMoment "second moment of area" [4 0 0 0 0 0 0]; "Second moment of area of a section."
    SectionModulus "section modulus" [3 0 0 0 0 0 0]; "Section modulus."
    Density "density" [-3 1 0 0 0 0 0]; "Mass per volume."
    MassPerLength "mass per length" [-1 1 0 0 0 0 0]; "Mass per length."
    VolumeFlow "flow" [3 0 -1 0 0 0 0]; "Volume per time."
    MassFlow "mass flow" [0 1 -1 0 0 0 0]; "Mass per time."
    SpecificConsumption "specific consumption" [-2 0 2 0 0 0 0]; "Fuel mass per energy delivered."
    DynamicViscosity "dynamic viscosity" [-1 1 -1 0 0 0 0]; "Dynamic viscosity."
    KinematicViscosity "kinematic viscosity" [2 0 -1 0 0 0 0]; "Kinematic viscosity."
    SpecificEnergy "specific energy" [2 0 -2 0 0 0 0]; "Energy per mass: heating value, latent heat."
    HeatCapacity "specific heat capacity" [2 0 -2 0 -1 0 0]; "Heat per mass and temperature difference."
    Conductivity "thermal conductivity" [1 1 -3 0 -1 0 0]; "Thermal conductivity."
    HeatTransfer "heat transfer coefficient" [0 1 -3 0 -1 0 0]; "Heat flow per area and temperature difference."
    HeatFlux "heat flux" [0 1 -3 0 0 0 0]; "Heat flow per area."
    Conductance "thermal conductance" [2 1 -3 0 -1 0 0]; "Heat flow per temperature difference."
    Expansion "thermal expansion" [0 0 0 0 -1 0 0]; "Relative change per temperature difference."
    Current "current" [0 0 0 1 0 0 0]; "Electric current."
    Voltage "voltage" [2 1 -3 -1 0 0 0]; "Electric potential difference."
    Resistance "resistance" [2 1 -3 -2 0 0 0]; "Electric resistance."
    Resistivity "resistivity" [3 1 -3 -2 0 0 0]; "Electric resistivity."
    Charge "charge" [0 0 1 1 0 0 0]; "Electric charge, battery capacity."
    LuminousIntensity "luminous intensity" [0 0 0 0 0 0 1]; "Luminous intensity."
    VolumePerLength "volume per length" [2 0 0 0 0 0 0]; "Volume per length, as of hose swell."
    VolumePerPressure "volume per pressure" [4 -1 2 0 0 0 0]; "Volume taken up per rise of pressure."
}

/// The dimension of a quantity: exponents and kind. `kind` is `None` for what a multiplication or division has made; such a
/// value goes with every kind of the same exponents. A bare number is [`Kind::Number`], never `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(from = "Packed", into = "Packed")]
pub struct Dimension {
    /// Exponents of the SI base quantities.
    pub exponents: Exponents,
    /// The kind, where one is known.
    pub kind: Option<Kind>,
}

/// A dimension in few bytes: a kind has its exponents.
#[derive(Clone, Copy, serde::Serialize, serde::Deserialize)]
enum Packed {
    Kind(Kind),
    Product(Exponents),
}

impl From<Dimension> for Packed {
    fn from(dimension: Dimension) -> Packed {
        dimension.kind.map_or(Packed::Product(dimension.exponents), Packed::Kind)
    }
}

impl From<Packed> for Dimension {
    fn from(packed: Packed) -> Dimension {
        match packed {
            Packed::Kind(kind) => kind.into(),
            Packed::Product(exponents) => Dimension { exponents, kind: None },
        }
    }
}

impl From<Kind> for Dimension {
    fn from(kind: Kind) -> Dimension {
        Dimension { exponents: kind.exponents(), kind: Some(kind) }
    }
}
