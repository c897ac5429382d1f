//! Evidence: what a value rests on, collected while it is computed.
//!
//! Evidence is a shared graph in one arena: joining two pieces costs one entry, a memoised figure keeps the handle of its
//! evidence, and only what is shown is ever flattened.

use super::library::FigureId;
use super::table::TableId;
use crate::terms::PlaceId;
use std::rc::Rc;

/// A handle on evidence in an [`EvidenceArena`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Evidence(u32);

impl Evidence {
    /// Nothing.
    pub const NONE: Evidence = Evidence(0);
}

/// How a piece of evidence bears on the outcome; the strongest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// It stands in the comparison that decided.
    Decides,
    /// It went into a figure that stands there.
    Feeds,
    /// It was looked at, but would not have changed the outcome alone.
    Considered,
}

/// One thing that a value rests on.
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// A value of the spec (written or not).
    Place(PlaceId),
    /// A cell of a table.
    Cell {
        /// The table.
        table: TableId,
        /// Row, from 0.
        row: u32,
        /// Column, from 0.
        column: u32,
    },
    /// A value that the rule takes for granted, as shown.
    Assumed(Rc<str>),
    /// Which of several ways to know a value was used, in words.
    Chosen(Rc<str>),
}

#[derive(Debug, Clone, Copy)]
enum Link {
    Nothing,
    Place(PlaceId),
    Cell(TableId, u16, u16),
    Assumed(u32),
    Chosen(u32),
    Join(Evidence, Evidence),
    Considered(Evidence),
    Figure(FigureId, PlaceId, Evidence),
}

/// A flattened piece of evidence.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// What it is.
    pub piece: Piece,
    /// How it bears on the outcome.
    pub role: Role,
    /// The figure nearest to the outcome through which it went, with that figure's subject.
    pub through: Option<(FigureId, PlaceId)>,
}

/// Holds the evidence of one judgement.
#[derive(Debug, Clone)]
pub struct EvidenceArena {
    links: Vec<Link>,
    words: Vec<Rc<str>>,
    /// The link of each place that has one; those of evidence that was cut off are out of date.
    places: Vec<Evidence>,
}

impl Default for EvidenceArena {
    fn default() -> Self {
        EvidenceArena::for_places(0)
    }
}

/// How many links stand in the evidence for each place of a spec, taken high: room that is not used costs nothing, moving the
/// links does.
const LINKS_FOR_EACH_PLACE: usize = 16;

impl EvidenceArena {
    /// An empty one, with room for what the judgement of a spec of that many places needs.
    pub fn for_places(places: usize) -> EvidenceArena {
        let mut links = Vec::with_capacity(1 + LINKS_FOR_EACH_PLACE * places);
        links.push(Link::Nothing);
        EvidenceArena { links, words: Vec::new(), places: vec![Evidence::NONE; places] }
    }

    fn push(&mut self, link: Link) -> Evidence {
        self.links.push(link);
        Evidence(self.links.len() as u32 - 1)
    }

    /// How much there is, for [`EvidenceArena::cut`].
    pub(super) fn size(&self) -> (usize, usize) {
        (self.links.len(), self.words.len())
    }

    /// Forgets what came after it had that size; handles on that are not to be used any more.
    pub(super) fn cut(&mut self, (links, words): (usize, usize)) {
        self.links.truncate(links);
        self.words.truncate(words);
    }

    fn word(&mut self, word: Rc<str>) -> u32 {
        self.words.push(word);
        self.words.len() as u32 - 1
    }

    /// A spec value: one link, however often it is read.
    pub fn place(&mut self, place: PlaceId) -> Evidence {
        let at = place.0 as usize;
        if let Some(known) = self.places.get(at)
            && matches!(self.links.get(known.0 as usize), Some(Link::Place(there)) if *there == place)
        {
            return *known;
        }
        if at >= self.places.len() {
            self.places.resize(at + 1, Evidence::NONE);
        }
        let evidence = self.push(Link::Place(place));
        self.places[at] = evidence;
        evidence
    }

    /// A cell of a table.
    pub fn cell(&mut self, table: TableId, row: usize, column: usize) -> Evidence {
        self.push(Link::Cell(table, row as u16, column as u16))
    }

    /// A value that the rule takes for granted.
    pub fn assumed(&mut self, shown: Rc<str>) -> Evidence {
        let at = self.word(shown);
        self.push(Link::Assumed(at))
    }

    /// Which of several ways to know a value was used.
    pub fn chosen(&mut self, words: Rc<str>) -> Evidence {
        let at = self.word(words);
        self.push(Link::Chosen(at))
    }

    /// Both.
    pub fn join(&mut self, a: Evidence, b: Evidence) -> Evidence {
        if a == Evidence::NONE || a == b {
            return b;
        }
        if b == Evidence::NONE {
            return a;
        }
        self.push(Link::Join(a, b))
    }

    /// The same, as only considered.
    pub fn considered(&mut self, a: Evidence) -> Evidence {
        if a == Evidence::NONE { a } else { self.push(Link::Considered(a)) }
    }

    /// What a figure of a subject rests on.
    pub fn through(&mut self, figure: FigureId, subject: PlaceId, a: Evidence) -> Evidence {
        self.push(Link::Figure(figure, subject, a))
    }

    /// All pieces, each once with its strongest role, in the order in which they were met.
    pub fn flatten(&self, root: Evidence) -> Vec<Flat> {
        let mut out: Vec<Flat> = Vec::new();
        let mut seen: std::collections::BTreeMap<u32, u8> = std::collections::BTreeMap::new();
        let mut stack = vec![(root, Role::Decides, None)];
        while let Some((at, role, through)) = stack.pop() {
            let bit = 1 << role as u8;
            let marks = seen.entry(at.0).or_insert(0);
            // A link met before in a stronger or equal role has nothing to add.
            if *marks & (2 * bit - 1) != 0 {
                continue;
            }
            *marks |= bit;
            match &self.links[at.0 as usize] {
                Link::Nothing => {}
                link @ (Link::Place(_) | Link::Cell(..) | Link::Assumed(_) | Link::Chosen(_)) => {
                    let piece = self.piece(*link);
                    match out.iter_mut().find(|f| f.piece == piece) {
                        Some(known) if known.role > role => {
                            known.role = role;
                            known.through = through;
                        }
                        Some(_) => {}
                        None => out.push(Flat { piece, role, through }),
                    }
                }
                Link::Join(a, b) => {
                    stack.push((*b, role, through));
                    stack.push((*a, role, through));
                }
                Link::Considered(a) => stack.push((*a, Role::Considered, through)),
                Link::Figure(figure, subject, a) => {
                    stack.push((*a, role.max(Role::Feeds), through.or(Some((*figure, *subject)))));
                }
            }
        }
        out
    }

    /// Whether `root` rests on any of the places that `wanted` says yes to.
    pub fn rests_on(&self, root: Evidence, wanted: &dyn Fn(PlaceId) -> bool) -> bool {
        self.flatten(root).iter().any(|f| matches!(f.piece, Piece::Place(p) if wanted(p)))
    }

    /// The first spec value met.
    pub fn first_place(&self, root: Evidence) -> Option<PlaceId> {
        self.flatten(root).iter().find_map(|f| if let Piece::Place(p) = f.piece { Some(p) } else { None })
    }

    /// Figures (with their subjects) met on the way, the ones nearest to the outcome first.
    pub fn figures(&self, root: Evidence) -> Vec<(FigureId, PlaceId)> {
        let mut out = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        let mut queue = std::collections::VecDeque::from([root]);
        while let Some(at) = queue.pop_front() {
            if !seen.insert(at.0) {
                continue;
            }
            match &self.links[at.0 as usize] {
                Link::Join(a, b) => queue.extend([*a, *b]),
                Link::Figure(figure, subject, a) => {
                    if !out.contains(&(*figure, *subject)) {
                        out.push((*figure, *subject));
                    }
                    queue.push_back(*a);
                }
                _ => {}
            }
        }
        out
    }

    fn piece(&self, link: Link) -> Piece {
        let word = |at: u32| self.words.get(at as usize).cloned().unwrap_or_else(|| "".into());
        match link {
            Link::Cell(table, row, column) => Piece::Cell { table, row: u32::from(row), column: u32::from(column) },
            Link::Assumed(at) => Piece::Assumed(word(at)),
            Link::Chosen(at) => Piece::Chosen(word(at)),
            Link::Place(place) => Piece::Place(place),
            Link::Nothing | Link::Join(..) | Link::Considered(_) | Link::Figure(..) => Piece::Chosen("".into()),
        }
    }

    /// For every piece of evidence so far: whether it rests on one of these places. One pass, since evidence is only ever
    /// joined from what was there before.
    pub fn touched(&self, is_changed: &dyn Fn(PlaceId) -> bool) -> Touched {
        let mut marks = Vec::with_capacity(self.links.len());
        for link in &self.links {
            let mark = match *link {
                Link::Place(place) => is_changed(place),
                Link::Join(a, b) => marks[a.0 as usize] || marks[b.0 as usize],
                Link::Considered(a) | Link::Figure(_, _, a) => marks[a.0 as usize],
                Link::Nothing | Link::Cell(..) | Link::Assumed(_) | Link::Chosen(_) => false,
            };
            marks.push(mark);
        }
        Touched(marks)
    }

    /// For every piece of evidence so far: whether it rests on a value that a rule assumes or on one of these places, not
    /// counting what was only considered.
    pub fn resting_on_assumptions(&self, is_assumed: &dyn Fn(PlaceId) -> bool) -> Touched {
        let mut marks = Vec::with_capacity(self.links.len());
        for link in &self.links {
            let mark = match *link {
                Link::Place(place) => is_assumed(place),
                Link::Assumed(_) => true,
                Link::Join(a, b) => marks[a.0 as usize] || marks[b.0 as usize],
                Link::Figure(_, _, a) => marks[a.0 as usize],
                Link::Considered(_) | Link::Nothing | Link::Cell(..) | Link::Chosen(_) => false,
            };
            marks.push(mark);
        }
        Touched(marks)
    }
}

/// Which evidence of an arena rests on some places.
#[derive(Debug, Clone, Default)]
pub struct Touched(Vec<bool>);

impl Touched {
    /// That any evidence does.
    pub fn everything() -> Touched {
        Touched::default()
    }

    /// Whether this evidence does.
    pub fn contains(&self, evidence: Evidence) -> bool {
        self.0.get(evidence.0 as usize).copied().unwrap_or(true)
    }
}
