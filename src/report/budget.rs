//! Whose uncertainty costs verdicts, and what accuracy would settle them.

use super::json;
use super::page::{Page, Style};
use crate::assess::{Assessment, Budget, Settling};
use crate::quantity;
use serde_json::{Value, json};

fn name<'a>(assessment: &'a Assessment, settling: &Settling) -> &'a str {
    assessment.index.rules.get(settling.rule).map_or("", |rule| &*rule.name)
}

/// The section of a page; nothing where no uncertainty costs anything.
pub(super) fn section(page: &mut Page, assessment: &Assessment, all: &[Budget]) {
    if all.is_empty() {
        return;
    }
    page.heading(Style::Strong, "what to measure better", &[]);
    for budget in all {
        page.blank();
        page.paragraph(Style::Strong, &format!("{} \u{b1} {}", budget.path, budget.shown(budget.stated)));
        let alone = budget.open.iter().filter(|settling| settling.needs.is_some()).count();
        let costs = match (budget.open.len(), alone) {
            (0, _) => String::new(),
            (open, 0) => format!("{open} open, none of which it settles alone"),
            (open, alone) if open == alone => format!("{open} open"),
            (open, alone) => format!("{open} open, {alone} of which it settles alone"),
        };
        page.field("costs", &costs);
        if let Some(would_do) = budget.would_do {
            page.field("would do", &format!("\u{b1} {}", budget.shown(would_do)));
        }
        for settling in &budget.open {
            let needs = match settling.needs {
                Some(needs) => format!("settled at \u{b1} {}", budget.shown(needs)),
                None => match settling.together {
                    Some(all) => format!("together with the others: \u{b1} {}", budget.shown(all)),
                    None => "not by this measurement alone".into(),
                },
            };
            let share = (settling.share * 100.0).round();
            page.field(
                "open",
                &format!("{} {}: {share} % of its variance; {needs}", name(assessment, settling), settling.subject),
            );
        }
        for settling in &budget.near {
            let reach = quantity::show(
                settling.reach.unwrap_or_default(),
                quantity::Kind::Number.into(),
                None,
                Some(quantity::Digits::Significant(2)),
            );
            page.field(
                "near",
                &format!("{} {}: holds by {reach} times its uncertainty", name(assessment, settling), settling.subject),
            );
        }
    }
}

/// The same for machines; uncertainties are expanded (k = 2), in SI and as shown.
pub(super) fn list(assessment: &Assessment, all: &[Budget]) -> Value {
    let amount = |budget: &Budget, si: f64| json!({"si": si, "shown": budget.shown(si)});
    let one = |budget: &Budget| {
        let open: Vec<Value> = budget
            .open
            .iter()
            .map(|s| json!({"rule": name(assessment, s), "subject": s.subject, "share": s.share, "needs": s.needs.map(|n| amount(budget, n)), "together": s.together.map(|n| amount(budget, n))}))
            .collect();
        let near: Vec<Value> = budget
            .near
            .iter()
            .map(|s| json!({"rule": name(assessment, s), "subject": s.subject, "share": s.share, "reach": s.reach}))
            .collect();
        json!({
            "path": budget.path,
            "at": json::place(&assessment.sources, budget.span),
            "stated": amount(budget, budget.stated),
            "cost": budget.cost,
            "would_do": budget.would_do.map(|n| amount(budget, n)),
            "open": open,
            "near": near,
        })
    };
    all.iter().map(one).collect()
}
