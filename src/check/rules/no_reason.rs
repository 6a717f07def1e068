//! `no-reason`: an uncertainty that is stated and not justified.

use crate::check::desk::Desk;
use crate::check::expectation::nth_of;
use crate::check::paper::clauses;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse;
use crate::parse::ast::{Amount, AmountStep, Clause, Item, Limit, Total};
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "no-reason",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at an uncertainty without a reason in quotes. What an instrument brings in needs none, nor do \
               scatter, counts and a total that only adds up the clauses beside it. A correlation wants one too.",
        why: "The amount is a judgement, and only its reason lets a reader judge it too.",
        wrong: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    correlations(desk, found);
    for (_, item) in desk.spelt_items() {
        let unjustified = unjustified(item).filter(|source| !source.nothing && !is_limit(desk, source));
        found.extend(unjustified.map(worded));
        found.extend(left_out(item).map(|span| {
            let message = "this value is left out without a reason, so nobody can judge whether that is fair";
            RULE.at(
                span,
                message,
                "write behind it, in quotes, what went wrong with it, as in `without 6.40 \"knocked\"`",
            )
        }));
    }
}

/// As many correlations are told one by one: each costs one more reading of the front matter.
const MOST_CORRELATIONS: usize = 20;

/// Correlations of the front matter without a reason.
fn correlations(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let course = desk.context.course;
    let bare = course.correlations.iter().enumerate().filter(|(_, text)| {
        parse::correlation(text).is_ok_and(|read| read.reason.is_none_or(|reason| reason.value.trim().is_empty()))
    });
    for (index, _) in bare.take(MOST_CORRELATIONS) {
        let Some(span) = nth_of(desk, "correlations", index) else { return };
        found.push(RULE.at(
            span,
            "this correlation has no reason, so nobody can judge whether it is fair",
            "write behind the coefficient, in quotes, what ties the two readings, as in `\"same scale\"`",
        ));
    }
}

/// Is it no source at all, but says of which kind a limit is? `unknown-kind` speaks of it.
fn is_limit(desk: &Desk<'_>, source: &Unjustified<'_>) -> bool {
    source.kind.is_some_and(|kind| Limit::WORDS.contains(&kind) && !desk.context.course.kinds.contains_key(kind))
}

fn worded(source: Unjustified<'_>) -> Finding {
    let (message, help) = match source.kind {
        Some(kind) => (
            format!("this {kind} uncertainty has no reason, so nobody can judge whether it is fair"),
            match kind {
                "instrument" => {
                    "write behind the amount, in quotes, where the figure comes from, as in `\"data sheet\"`"
                }
                "reaction" => "write behind the amount, in quotes, what the hand had to do, as in `\"start and stop\"`",
                _ => "write behind the amount, in quotes, what you saw that makes it this large",
            },
        ),
        None => (
            "this uncertainty has no reason, so nobody can judge whether it is fair".into(),
            "write behind it, in quotes, what you saw that makes it this large; better still, name its kind: `reading`, `definition`, `instrument`",
        ),
    };
    RULE.at(source.span, message, help)
}

/// The values of a list that are left out for no reason.
fn left_out(item: &Item) -> impl Iterator<Item = Span> {
    clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Without { reason, .. } => reason.is_none().then_some(clause.span),
        _ => None,
    })
}

/// An amount without a reason.
pub(super) struct Unjustified<'r> {
    pub(super) span: Span,
    /// The kind's word; `None` of a plain `±`.
    pub(super) kind: Option<&'r str>,
    /// Is the amount a plain zero? Then `zero-without-reason` speaks.
    pub(super) nothing: bool,
}

/// The amounts of an item that no reason stands behind. A remark behind the estimate speaks for all.
pub(super) fn unjustified(item: &Item) -> impl Iterator<Item = Unjustified<'_>> {
    let remark = matches!(item, Item::Reading(reading) if reading.remark.is_some());
    let clauses = if remark { &[] } else { clauses(item) };
    let sources = clauses.iter().filter_map(|clause| match &clause.value {
        Clause::Source { kind, amount: Some(amount), reason: None, .. } => {
            Some(Unjustified { span: clause.span, kind: Some(&kind.value), nothing: is_zero(&amount.value) })
        }
        _ => None,
    });
    sources.chain(lone_total(item))
}

/// A `±` that is the only source and has no reason.
fn lone_total(item: &Item) -> Option<Unjustified<'_>> {
    let source = |clause: &Spanned<Clause>| matches!(clause.value, Clause::Source { .. } | Clause::With(_));
    let remark = matches!(item, Item::Reading(reading) if reading.remark.is_some());
    if remark || clauses(item).iter().any(source) {
        return None;
    }
    let (total, span) = typed_total(item)?;
    total.reason.is_none().then_some(Unjustified { span, kind: None, nothing: false })
}

/// The `±` of an item, in its estimate or in a clause of its own.
fn typed_total(item: &Item) -> Option<(&Total, Span)> {
    let in_estimate = match item {
        Item::Reading(reading) => reading.total.as_ref().map(|total| (&total.value, total.span)),
        _ => None,
    };
    in_estimate.or_else(|| {
        clauses(item).iter().find_map(|clause| match &clause.value {
            Clause::Total(total) => Some((total, clause.span)),
            _ => None,
        })
    })
}

/// Is it a plain zero?
pub(super) fn is_zero(amount: &Amount) -> bool {
    amount.steps.iter().all(|step| match step {
        AmountStep::Number(number) => number.value.decimal.is_zero(),
        AmountStep::Unit(_) => true,
        _ => false,
    })
}
