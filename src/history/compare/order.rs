//! In which lists the order says something: in rings, and where a rule or a figure asks for what stands before or after an item.

use crate::language::code::{Code, Op};
use crate::rulebook::{Rulebook, Subject};
use crate::terms::{ListId, ListMembers, RecordId, Types};
use std::collections::BTreeSet;

/// Lists in which another order is a change.
pub(super) fn ordered(book: &Rulebook, types: &Types) -> BTreeSet<ListId> {
    let mut neighbours: BTreeSet<RecordId> = BTreeSet::new();
    let mut visit = |code: &Code| {
        code.walk(&mut |part| {
            if let Op::Neighbour(_, _, records) = &part.op {
                neighbours.extend(records.iter().copied());
            }
        });
    };
    for rule in &book.rules {
        subject(&rule.subject).into_iter().for_each(&mut visit);
        rule.when.iter().for_each(&mut visit);
        rule.with.iter().for_each(|(_, code)| visit(code));
        rule.holds.iter().for_each(|(_, code)| visit(code));
    }
    for figure in &book.library.figures {
        figure.condition.iter().for_each(&mut visit);
        figure.with.iter().for_each(|(_, code)| visit(code));
        visit(&figure.is);
    }
    let orders = |members: &ListMembers| match members {
        ListMembers::Records(records) => records.iter().any(|record| neighbours.contains(record)),
        ListMembers::Values(_) => false,
    };
    types.lists().filter(|(_, list)| list.ring || orders(&list.members)).map(|(id, _)| id).collect()
}

fn subject(subject: &Subject) -> Vec<&Code> {
    match subject {
        Subject::Section { code, .. } => vec![code],
        Subject::Members { list, condition, .. } => std::iter::once(list).chain(condition).collect(),
    }
}

/// Whether items that stood in the order of their numbers `0, 1, 2 …` and now stand in this one are in another order; in a ring it does not
/// matter where one begins.
pub(super) fn reordered(now: &[usize], ring: bool) -> bool {
    let falls = now.windows(2).filter(|pair| matches!(pair, [a, b] if a > b)).count();
    match (falls, ring) {
        (0, _) => false,
        (1, true) => now.first() < now.last(),
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ring_may_begin_anywhere() {
        assert!(!reordered(&[0, 2, 5], false));
        assert!(reordered(&[1, 2, 0], false));
        assert!(!reordered(&[1, 2, 0], true));
        assert!(!reordered(&[3, 0, 1], true));
        assert!(reordered(&[0, 2, 1], true));
        assert!(reordered(&[2, 1, 0], true));
        assert!(!reordered(&[], true));
    }
}
