//! `count-with-fraction`: 12.5 swings.

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Origin;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "count-with-fraction",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a number with a decimal part whose uncertainty is that of a count.",
        why: "What is counted comes in whole numbers, and the square root is the scatter of whole numbers: of a rate or a mean it \
              is another number.",
        wrong: "In a minute we counted ~{N = 144.5; counting} drops.\n",
        right: "In a minute we counted ~{N = 144; counting} drops.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Reading(record) = &quantity.origin else { continue };
        let counted = quantity.sources.iter().any(|source| source.kind == Kind::Counting);
        if counted && record.value.value.decimal.trimmed().last_place() < 0 {
            let message = "this is said to be a count, but a count has no decimal part";
            let help = "record the number that was counted, and work rates and means out of it in an item of their own";
            found.push(RULE.at(record.value.span, message, help));
        }
    }
}
