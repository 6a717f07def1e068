//! `clauses-contradict`: clauses of one reading that cannot all be meant.

use crate::check::desk::Desk;
use crate::check::paper::clauses;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::parse::ast::{Clause, Item};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "clauses-contradict",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a second `±` of one reading, and at a source of uncertainty beside `exact`.",
        why: "A `±` says what the uncertainty comes to in all, and there is one total. `exact` says that there is none at all. \
              What is computed then rests on what the author did not mean.",
        wrong: "The block weighs ~{m = 80.6 g; ± 0.2 g \"data sheet\"; ± 0.1 g \"last digit\"}.\n",
        right: "The block weighs ~{m = 80.6 g; instrument 0.2 g \"data sheet\"; definition 0.1 g \"crumbs\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, item) in desk.spelt_items() {
        if !matches!(item, Item::Reading(_) | Item::Column(_)) {
            continue;
        }
        let mut totals = within(item).into_iter().chain(
            clauses(item).iter().filter_map(|clause| matches!(clause.value, Clause::Total(_)).then_some(clause.span)),
        );
        if let Some(first) = totals.next() {
            found.extend(totals.next().map(|second| two_totals(first, second)));
        }
        found.extend(beside_exact(item));
    }
}

/// Where the `±` stands that belongs to the recorded number itself.
fn within(item: &Item) -> Option<Span> {
    match item {
        Item::Reading(reading) => reading.total.as_ref().map(|total| total.span),
        _ => None,
    }
}

fn two_totals(first: Span, second: Span) -> Finding {
    let message = "this is a second `±` of one reading, and nobody can tell which of the two is meant";
    let help = "if they are two sources, write of each where the doubt comes from, as in `instrument 0.2 g`; else take one out";
    RULE.at(second, message, help).beside(first, "the first one")
}

fn beside_exact(item: &Item) -> Option<Finding> {
    let clauses = clauses(item);
    let exact = clauses.iter().find(|clause| matches!(clause.value, Clause::Exact(_)))?.span;
    let source = within(item).or_else(|| {
        let sources = |clause: &Clause| matches!(clause, Clause::Source { .. } | Clause::Total(_) | Clause::With(_));
        clauses.iter().find(|clause| sources(&clause.value)).map(|clause| clause.span)
    })?;
    let message = "this is a source of uncertainty, but the reading is said to be exact, so it counts for nothing";
    let help = "take `exact` out if the number was measured, or the source if it was not";
    Some(RULE.at(source, message, help).beside(exact, "where it is said to be exact"))
}
