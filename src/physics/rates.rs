//! Quantity types which `uom` has no name for: force per travel, moment per angle, force per speed.

use uom::Kind;
use uom::si::{ISQ, Quantity, SI};
use uom::typenum::{N1, N2, P1, P2, Z0};

/// Force per travel.
pub type SpringRate = Quantity<ISQ<Z0, P1, N2, Z0, Z0, Z0, Z0, dyn Kind>, SI<f64>, f64>;

/// Moment per angle.
pub type RotationalStiffness = Quantity<ISQ<P2, P1, N2, Z0, Z0, Z0, Z0, dyn Kind>, SI<f64>, f64>;

/// Force per speed.
pub type Damping = Quantity<ISQ<Z0, P1, N1, Z0, Z0, Z0, Z0, dyn Kind>, SI<f64>, f64>;
