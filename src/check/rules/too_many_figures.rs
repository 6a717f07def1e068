//! `too-many-figures`: digits of a reading that its uncertainty drowns.

use crate::check::desk::Desk;
use crate::check::judge::{self, Judged, Judgement};
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::quantity::{Rounding, round};

pub(super) static RULE: Rule = Rule {
    name: "too-many-figures",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading whose uncertainty, rounded to the reading's last place, has more than two figures.",
        why: "The uncertainty says which digit is doubtful. Digits far behind that one are not evidence of anything.",
        wrong: "The cooling pot's rim is ~{h = 48.50 cm; definition 1.00 cm \"the rim is wavy\"} above the bench.\n",
        right: "The cooling pot's rim is ~{h = 48.5 cm; definition 1.0 cm \"the rim is wavy\"} above the bench.\n",
        edit: Some("Rounds the value to the last place that its uncertainty leaves standing, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for judged in desk.judged().iter().filter(|judged| !super::placeholder_zeros::speaks_of(judged)) {
        if let Judgement::Drowned(_) = judged.judgement {
            found.push(worded(desk, judged));
        }
    }
}

fn worded(desk: &Desk<'_>, judged: &Judged<'_>) -> Finding {
    let place = judge::place_for(judged.sum, judged.place());
    let value = say::decimal(round::to_place(judged.value(), place, Rounding::Nearest));
    let sum = say::with_unit(&say::exact(judged.sum), &judged.quantity.unit.as_difference());
    let message = format!(
        "this value goes down to {}, but it may be off by {sum}, so its last digits say nothing",
        say::with_unit(&say::step(judged.place()), &judged.quantity.unit.as_difference())
    );
    let help = match judged.typed {
        Some(typed) => {
            let typed = say::decimal(round::to_place(typed.value, place, Rounding::Nearest));
            format!("write `{value}`, and `± {typed}` for the uncertainty")
        }
        None => format!("write `{value}`"),
    };
    RULE.at(judged.span(desk), message, help).suggest(judged.number.span, value)
}
