//! One section for each system: its findings, rules, what is to be measured, concessions, figures.

use super::before::Was;
use super::{Judged, concessions, figures, findings, measure, plots, rules, shown};
use crate::assess::{Counts, FigureValue, Finding, Judgement, Needed};
use crate::rulebook::Class;
use maud::{Markup, html};

/// What there is to say of one system; numbers are those of the lists in the JSON.
pub(super) struct System<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its number among the systems.
    pub number: usize,
    /// Outcomes counted.
    pub counts: Counts,
    /// Findings.
    pub findings: Vec<(usize, &'a Judgement, Class, &'a Finding)>,
    /// Every rule on every subject.
    pub outcomes: Vec<(usize, &'a Judgement)>,
    /// Missing values for which a rule of this system waits first.
    pub needed: Vec<(usize, &'a Needed)>,
    /// Figures.
    pub figures: Vec<(usize, &'a FigureValue)>,
    /// What it is compared with.
    pub was: Option<&'a Was<'a>>,
}

impl System<'_> {
    /// The id of its section.
    pub fn id(&self) -> String {
        format!("system-{}", self.number)
    }
}

/// All systems, in the order of the rulebook; behind them those that only what the sheet is compared with has.
pub(super) fn systems<'a>(judged: &Judged<'a>, was: Option<&'a Was<'a>>) -> Vec<System<'a>> {
    let assessment = judged.assessment;
    let index = &assessment.index;
    let of_rule = |rule: usize| index.rules.get(rule).map(|r| &*r.system);
    let of_figure = |figure: usize| index.figures.get(figure).map(|f| &*f.system);
    let mut all: Vec<System> = Vec::new();
    for (name, counts) in assessment.counts_by_system() {
        all.push(System { counts, ..empty(name, all.len()) });
    }
    for value in &assessment.figures {
        if let Some(name) = of_figure(value.figure)
            && !all.iter().any(|s| s.name == name)
        {
            all.push(empty(name, all.len()));
        }
    }
    if let Some(was) = was {
        let outcomes = was.assessment.counts_by_system().into_iter().map(|(name, _)| name);
        let gone = was.comparison().figures.iter().filter(|m| m.new.is_none());
        let figures = gone.filter_map(|m| Some(&*was.assessment.index.figures.get(m.figure)?.system));
        for name in outcomes.chain(figures).collect::<Vec<_>>() {
            if !all.iter().any(|s| s.name == name) {
                all.push(empty(name, all.len()));
            }
        }
    }
    for system in &mut all {
        system.was = was;
        let name = system.name;
        let broken = assessment.broken().into_iter().enumerate();
        system.findings =
            broken.filter(|(_, (j, ..))| of_rule(j.rule) == Some(name)).map(|(n, (j, c, f))| (n, j, c, f)).collect();
        system.outcomes =
            assessment.judgements.iter().enumerate().filter(|(_, j)| of_rule(j.rule) == Some(name)).collect();
        let first = |needed: &Needed| needed.rules.first().and_then(|rule| of_rule(*rule));
        system.needed = judged.needed.iter().enumerate().filter(|(_, n)| first(n) == Some(name)).collect();
        system.figures =
            assessment.figures.iter().enumerate().filter(|(_, f)| of_figure(f.figure) == Some(name)).collect();
    }
    all
}

fn empty(name: &str, number: usize) -> System<'_> {
    System {
        name,
        number,
        counts: Counts::default(),
        findings: Vec::new(),
        outcomes: Vec::new(),
        needed: Vec::new(),
        figures: Vec::new(),
        was: None,
    }
}

/// The section of a system; in brief without the workings of findings, the rules that are decided, and the figures.
pub(super) fn section(judged: &Judged, system: &System, brief: bool) -> Markup {
    let id = system.id();
    html! {
        section.system aria-labelledby=(id) {
            h2 id=(id) { (shown(system.name)) }
            (findings::findings(judged, system, brief))
            (rules::rules(judged, system, brief))
            (measure::to_measure(judged, system))
            (concessions::concessions(judged, system))
            (plots::plots(judged, system))
            (figures::figures(judged, system, brief))
        }
    }
}
