//! `zero-without-reason`: a source said to be nothing, and not why.

use super::no_reason::unjustified;
use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "zero-without-reason",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a source whose amount is 0 and which has no reason in quotes.",
        why: "That something can be neglected is a judgement like any other, and often the boldest one.",
        wrong: "The rod is ~{d = 12.42 mm; reading 0.02 mm \"jaws seated\"; definition 0} thick.\n",
        right: "The rod is ~{d = 12.42 mm; reading 0.02 mm \"jaws seated\"; definition 0 \"turned steel, the same all round\"} thick.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    // Where nothing else stands beside it, `zero-uncertainty` asks for more than its reason.
    let perfect = super::zero_uncertainty::items(desk);
    for (_, item) in desk.spelt_items().filter(|(number, _)| !perfect.contains(number)) {
        for source in unjustified(item).filter(|source| source.nothing) {
            let kind = source.kind.unwrap_or("this");
            let message = format!("the {kind} uncertainty is said to be nothing, but not why it can be left out");
            let help = "write behind the 0, in quotes, why it is too small to matter";
            found.push(RULE.at(source.span, message, help));
        }
    }
}
