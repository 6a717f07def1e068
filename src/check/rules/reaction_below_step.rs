//! `reaction-below-step`: a hand quicker than the clock it stops.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Origin, Source};
use crate::quantity::{Decimal, Exact, Kind};

pub(super) static RULE: Rule = Rule {
    name: "reaction-below-step",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reaction time that is smaller than the step of the display it was read from; where only the author's \
               words speak of a display, its step is taken for one of the last recorded digit; and at a reaction below a hundredth of \
               a second that is smaller than the last recorded digit.",
        why: "A hand takes a tenth of a second or two. A reaction below a hundredth is most likely the display's step, entered \
              under the wrong word.",
        wrong: "---\nmeniscus:\n  instruments:\n    clock: {name: stopwatch, display: 0.01 s, instrument: 0.01 s}\n---\n\n\
                The gate swings in ~{t = 2.31 s; with clock; reaction 0.005 s \"I am quick\"}.\n",
        right: "---\nmeniscus:\n  instruments:\n    clock: {name: stopwatch, display: 0.01 s, instrument: 0.01 s}\n---\n\n\
                The gate swings in ~{t = 2.31 s; with clock; reaction 0.15 s \"practised on ten swings\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// No hand is quicker than this, in seconds: a tenth is quick (common practice, no source).
const NO_HAND: f64 = 0.01;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Reading(record) = &quantity.origin else { continue };
        let hands = |source: &&Source| source.kind == Kind::Reaction && source.amount > 0.0;
        let mut hands = quantity.sources.iter().filter(hands).peekable();
        if hands.peek().is_none() {
            continue;
        }
        let last = Exact::of(Decimal::step(record.value.value.decimal.last_place()));
        let display = record.display.or_else(|| last.filter(|_| is_displayed(desk, quantity)));
        let under = |amount: f64, step: Exact| amount < step.to_f64() * (1.0 - 1e-9);
        for source in hands {
            let message = match (display, last) {
                (Some(step), _) if under(source.amount, step) => {
                    let step = say::with_unit(&say::exact(step), &quantity.unit);
                    format!("this reaction time is smaller than {step}, the step of the display it was read from")
                }
                (None, Some(last))
                    if under(source.amount, last) && source.amount * quantity.unit.factor() < NO_HAND =>
                {
                    "no hand is as quick as this, and what is left out here is in the result".into()
                }
                _ => continue,
            };
            found.push(RULE.at(source.span, message, "write how late a hand is, which is a tenth of a second or more"));
        }
    }
}

/// Is there a reaction time that no hand has, so that the sum of the sources says nothing yet?
pub(super) fn speaks_of(quantity: &Quantity) -> bool {
    let quick = |amount: f64| amount > 0.0 && amount * quantity.unit.factor() < NO_HAND;
    quantity.sources.iter().any(|source| source.kind == Kind::Reaction && quick(source.amount))
}

/// Do its author's words speak of a display? It shows all the digits that were recorded, so that its step is one of
/// the last.
fn is_displayed<'r>(desk: &Desk<'r>, quantity: &'r Quantity) -> bool {
    words::of(desk, quantity).is_some_and(|told| told.is_display(desk))
}
