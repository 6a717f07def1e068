//! `beyond-display`: digits that the display does not have.

use crate::check::desk::Desk;
use crate::check::displayed;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::quantity::{Decimal, Exact};

pub(super) static RULE: Rule = Rule {
    name: "beyond-display",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a number said to be taken from a digital display that cannot show it: it has more digits, or is not a \
               whole number of the display's steps.",
        why: "Digits that no instrument showed are made up, or belong to another instrument.",
        wrong: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.1 g, instrument: 0.2 g}\n---\n\n\
                The wax weighs ~{m = 48.34 g; with balance}.\n",
        right: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.1 g, instrument: 0.2 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; with balance}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for shown in desk.displayed() {
        let Some(value) = shown.values.iter().find(|value| is_beyond(value.value, shown.step)) else { continue };
        let step = say::with_unit(&say::decimal(shown.step), &shown.quantity.unit);
        let message = format!("the display has steps of {step}, so it cannot have shown this value");
        let help = "record what the display showed, digit for digit, or name the instrument that was used";
        found.push(RULE.at(displayed::place(desk, shown.quantity, value.span), message, help));
    }
}

/// Has it a digit below the step, or is it no whole number of steps?
fn is_beyond(value: Decimal, step: Decimal) -> bool {
    let whole = || {
        let steps = Exact::of(value)?.over(Exact::of(step)?)?;
        Some(steps.decimal().is_some_and(|steps| steps.trimmed().last_place() >= 0))
    };
    let decade = step == Decimal::step(step.last_place());
    value.last_place() < step.last_place() || !decade && whole() == Some(false)
}
