//! `no-unit`: a bare number.

use crate::check::bare;
use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Origin;

pub(super) static RULE: Rule = Rule {
    name: "no-unit",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a recorded number that has no unit, no source of uncertainty, and is not said to be exact or counted.",
        why: "A number alone measures nothing: 14.3 of what?",
        wrong: "The clay pot is ~{h = 14.3} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound().filter(|(_, quantity)| bare::is_number_alone(quantity)) {
        let span = match &quantity.origin {
            Origin::Reading(record) => record.value.span,
            Origin::Repeated(repeated) => repeated.values.last().map_or(quantity.span, |value| value.span),
            _ => continue,
        };
        if !bare::is_plain(desk, quantity) {
            continue;
        }
        let message = format!("`{}` is a bare number, so nobody can tell what it measures", quantity.symbol);
        let help =
            "write the unit behind it, then its uncertainty; of a number that was counted write `; exact \"counted\"`";
        found.push(RULE.at(span, message, help));
    }
}
