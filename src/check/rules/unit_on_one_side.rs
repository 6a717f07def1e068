//! `unit-on-one-side`: a value and its uncertainty, of which only one has a unit.

use crate::check::desk::Desk;
use crate::check::paper::clauses;
use crate::check::typed;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::fault::{Doing, Fault, FaultKind};
use crate::parse::ast::{AmountStep, Clause, Item, Reading, Total};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "unit-on-one-side",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a value without a unit whose uncertainty has one, or the other way round.",
        why: "Without both units nobody can tell whether the uncertainty is large or small beside its value.",
        wrong: "The clay pot is ~{h = 14.3 cm; reading 0.1 \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Writes the unit of the one behind the other, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

/// What the evaluation says of an amount that lacks the unit of its value.
const WITHOUT_UNIT: &str = "it has no unit";

/// Does this rule speak of that fault?
pub(super) fn speaks_of(kind: &FaultKind) -> bool {
    match kind {
        FaultKind::UnitsDiffer { doing: Doing::Amount, left, right } => left.is_none() || right.is_none(),
        FaultKind::AmountWithoutSize { why } => *why == WITHOUT_UNIT,
        _ => false,
    }
}

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut unitless_value = None;
    for fault in desk.faults().filter(|fault| {
        // What could not be read may be the unit.
        let readable = !desk.unit_unknown(fault.item) && !desk.misspelt(fault.item);
        speaks_of(&fault.kind) && readable && typed::of_value_and_amount(desk, fault).is_none()
    }) {
        match fault.kind {
            FaultKind::UnitsDiffer { left, .. } if left.is_none() => {
                // Each clause of such a reading draws the same fault: it is the value that is wrong, once.
                if unitless_value != Some(fault.item) {
                    found.push(value_without(desk, fault));
                }
                unitless_value = Some(fault.item);
            }
            _ => found.push(uncertainty_without(desk, fault)),
        }
    }
}

fn value_without(desk: &Desk<'_>, fault: &Fault) -> Finding {
    let message = "this uncertainty has a unit, but the value it belongs to has none";
    let reading =
        desk.item(fault.item).and_then(|item| if let Item::Reading(reading) = item { Some(reading) } else { None });
    let Some((value, unit)) = reading.and_then(|r| Some((r.values.last()?.span, unit_of_first_amount(r)?))) else {
        return RULE.at(fault.span, message, "write the unit behind the value");
    };
    let unit = desk.text(unit);
    RULE.at(
        value,
        "this value has no unit, but its uncertainty has one",
        format!("write the unit behind the value: `{} {unit}`", desk.text(value)),
    )
    .beside(fault.span, "the uncertainty")
    .suggest(Span::at(value.end), format!(" {unit}"))
}

fn uncertainty_without(desk: &Desk<'_>, fault: &Fault) -> Finding {
    let item = desk.item(fault.item);
    let amount = item.and_then(|item| amount_in(item, fault.span)).unwrap_or(fault.span);
    let message = "this uncertainty has no unit, but the value it belongs to has one";
    let Some(Item::Reading(Reading { unit: Some(unit), .. })) = item else {
        return RULE.at(amount, message, "write the unit behind the amount");
    };
    let unit = desk.text(unit.span);
    let help = format!("write the unit behind the amount: `{} {unit}`", desk.text(amount).trim());
    RULE.at(amount, message, help).suggest(Span::at(amount.end), format!(" {unit}"))
}

/// Where the amount of the clause at `span` stands.
fn amount_in(item: &Item, span: Span) -> Option<Span> {
    clauses(item).iter().filter(|clause| clause.span == span).find_map(|clause| match &clause.value {
        Clause::Source { amount, .. } => amount.as_ref().map(|amount| amount.span),
        Clause::Total(total) => number_of(total),
        _ => None,
    })
}

/// Where the number of a `±` stands that has nothing behind it.
fn number_of(total: &Total) -> Option<Span> {
    match total.amount.steps.as_slice() {
        [AmountStep::Number(number)] => Some(number.span),
        _ => None,
    }
}

fn unit_of_first_amount(reading: &Reading) -> Option<Span> {
    let amounts = reading.clauses.iter().filter_map(|clause| match &clause.value {
        Clause::Source { amount, .. } => amount.as_ref().map(|amount| &amount.value),
        Clause::Total(total) => Some(&total.amount),
        _ => None,
    });
    amounts.flat_map(|amount| &amount.steps).find_map(|step| match step {
        AmountStep::Unit(unit) => Some(unit.span),
        _ => None,
    })
}
