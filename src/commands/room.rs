//! `figures --room`: how far one value of a build may go before something breaks, and what stops it.

use super::Status;
use super::in_force::{Opened, Refused};
use super::judging::read;
use super::output::Output;
use crate::assess::{NoRoom, Request, RoomFor, assess, room};
use crate::language::Overrides;
use crate::report::{self, Trouble};
use crate::source::{Sources, Span};
use crate::terms::{TermsError, find_value};
use jiff::civil::Date;

/// Runs it for one value of a build.
pub fn run(opened: &Opened, build: &str, path: &str, day: Date, machine: bool, output: &mut Output) -> Status {
    let (spec, errors) = read(&opened.repository, build);
    let mut texts = Sources::default();
    let file = texts.add("--room", path.into());
    let span = |range: std::ops::Range<usize>| Span { file, start: range.start as u32, end: range.end as u32 };
    let wrong = |trouble: Trouble, texts: Sources| Refused::Wrong("path", texts, vec![trouble]);
    let place = match find_value(&spec, path) {
        Ok(place) => place,
        Err((range, problem)) => {
            let error = TermsError { problem, span: span(range), other: None };
            return wrong(Trouble::from(&error), texts).told(output, machine);
        }
    };
    let request =
        Request { spec: &spec, rulebook: &opened.repository.book, day, figures: false, explained: false, only: None };
    let base = assess(&request, &Overrides::new());
    let room = match room(&base, &request, place, RoomFor::All) {
        Ok(room) => room,
        Err(why) => {
            let message = match why {
                NoRoom::NotAQuantity => "only a quantity has room to move",
                NoRoom::NoValue => "there is no value here that could move",
            };
            let trouble = Trouble { message: message.into(), remedy: None, span: span(0..path.len()), other: None };
            return wrong(trouble, texts).told(output, machine);
        }
    };
    if machine {
        output.json(&report::room_json(&base, &room, &errors));
    } else {
        output.text(&report::errors("spec", &errors, &spec.sources, output.look));
        output.text(&report::room(&base, &room, output.look));
    }
    if errors.is_empty() { Status::Clear } else { Status::Unusable }
}
