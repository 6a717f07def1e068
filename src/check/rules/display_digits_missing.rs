//! `display-digits-missing`: fewer digits than the display shows.

use crate::check::desk::Desk;
use crate::check::displayed;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::quantity::Decimal;
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "display-digits-missing",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a number taken from a digital display, recorded with fewer digits than the display shows.",
        why: "All that a display shows is evidence, zeros included; rounding comes with the result.",
        wrong: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.01 g, instrument: 0.02 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; with balance}.\n",
        right: "---\nmeniscus:\n  instruments:\n    balance: {name: balance, display: 0.01 g, instrument: 0.02 g}\n---\n\n\
                The wax weighs ~{m = 48.30 g; with balance}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for shown in desk.displayed() {
        let short = |value: &Spanned<Decimal>| value.value.last_place() > shown.step.last_place();
        // Of many, one with fewer digits than the others is a slip of another name.
        let Some(first) = shown.values.first().filter(|_| shown.values.iter().all(short)) else { continue };
        let step = say::with_unit(&say::decimal(shown.step), &shown.quantity.unit);
        let what = if shown.among_others() { "these values are" } else { "this value is" };
        let message = format!("the display shows steps of {step}, but {what} recorded with fewer digits");
        let help = "record every digit that the display shows, a zero at the end included";
        found.push(RULE.at(displayed::place(desk, shown.quantity, first.span), message, help));
    }
}
