//! The judgement: a spec held against the rulebook gives an [`Assessment`].
//!
//! In come a checked spec, a rulebook, the day of the inspection and overrides of single places; out comes one value that
//! holds everything a report may say. It knows nothing of output forms.
//!
//! The one primitive is [`assess`]: this spec, with these overrides. [`Assessment::again`] is the same, reusing what
//! the overrides do not touch; load cases, tolerances, tries and the shaking of check pieces are built on it.

mod assessment;
mod before;
mod budget;
mod calibrate;
mod cases;
mod concession;
mod detail;
mod figures;
mod granted;
mod holding;
mod judge;
mod missing;
mod probe;
mod reckoning;
mod room;
mod round;
mod shake;
mod tried;
mod tries;

pub use assessment::{
    Assessment, Counts, Doubt, Finding, Judgement, Label, Margin, MissingValue, Outcome, SourceText, UnprovenValue,
    WorseOpen,
};
pub use before::{Before, Lack, ToSettle, before};
pub use budget::{Budget, Settling, budget};
pub use calibrate::{Calibration, PieceResult, PieceVerdict, calibrate};
pub use cases::{Case, CaseReading, CaseValue, InCases, assess_cases, put_in};
pub use concession::{Concession, ConcessionFault, ConcessionFinding, ConcessionState};
pub use detail::shown;
pub use figures::{Basis, FigureReading, FigureValue};
pub use granted::{Assumptions, Granted};
pub use holding::{AtStake, HeldUp, Holding};
pub use judge::{Request, assess};
pub use missing::{Needed, needed};
pub use reckoning::{Reckoning, reckon};
pub use room::{Border, NoRoom, Room, RoomFor, RoomOf, Stop, Stretch, room};
pub use round::{Blank, Round, RoundLine, Why, now, round};
pub use shake::{ShakeReport, Unnoticed, shake};
pub use tries::{TriedFigure, TriedOutcome, TriedReading, Tries, Variant, tries};
