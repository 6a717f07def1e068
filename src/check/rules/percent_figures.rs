//! `percent-figures`: ± 1.2345 %.

use crate::check::desk::Desk;
use crate::check::judge::MOST_FIGURES;
use crate::check::paper::clauses;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{Amount, AmountStep, Clause, Item};
use crate::quantity::{Decimal, Rounding, round};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "percent-figures",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at an uncertainty in per cent with more than two figures. What a data sheet says under `instrument` is spared.",
        why: "An uncertainty is itself known to one or two figures; the third of a percentage is the calculator's.",
        wrong: "The load is ~{F = 2.40 N ± 3.125 % \"the pointer trembles\"}.\n",
        right: "The load is ~{F = 2.40 N ± 3 % \"the pointer trembles\"}.\n",
        edit: None,
        source: "JCGM 100:2008, 7.2.6: at most two figures of an uncertainty as a rule",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, item) in desk.spelt_items() {
        for (amount, span) in judged(item) {
            let Some(number) = percentage(amount).filter(|number| number.trimmed().figures() > MOST_FIGURES) else {
                continue;
            };
            let message =
                format!("an uncertainty of {} % has more figures than anybody can know", say::decimal(number));
            let short = say::decimal(round::to_figures(number, 2, Rounding::Nearest));
            found.push(RULE.at(span, message, format!("write `{short} %`, or an amount with a unit")));
        }
    }
}

fn judged(item: &Item) -> impl Iterator<Item = (&Amount, Span)> {
    let of_estimate = match item {
        Item::Reading(reading) => reading.total.as_ref().map(|total| (&total.value.amount, total.span)),
        _ => None,
    };
    let of_clauses = clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Source { kind, amount: Some(amount), .. } if kind.value != "instrument" => {
            Some((&amount.value, amount.span))
        }
        Clause::Total(total) => Some((&total.amount, clause.span)),
        _ => None,
    });
    of_estimate.into_iter().chain(of_clauses).map(|(amount, span)| (&**amount, span))
}

/// The number of an amount that is nothing but a percentage.
fn percentage(amount: &Amount) -> Option<Decimal> {
    match &amount.steps[..] {
        [AmountStep::Number(number), AmountStep::Unit(unit)] => {
            matches!(&unit.value.over[..], [(symbol, 1)] if symbol == "%").then_some(number.value.decimal)
        }
        _ => None,
    }
}
