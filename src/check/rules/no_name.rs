//! `no-name`: a quantity without a name, in a course that wants one.

use super::required_kind::NAME;
use crate::check::desk::Desk;
use crate::check::paper::is_recorded;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "no-name",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading without a name in quotes, where the course lists `name` under `require`.",
        why: "A symbol is short for something; the tables of a report are read by people who do not know what.",
        wrong: "---\nmeniscus:\n  require: [name]\n---\n\nIt is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "---\nmeniscus:\n  require: [name]\n---\n\n\
                It is ~{h \"height of the pot\" = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if !desk.context.course.require.iter().any(|word| word == NAME) {
        return;
    }
    for (_, quantity) in desk.sound().filter(|(_, quantity)| quantity.name.is_none()) {
        if !is_recorded(quantity) {
            continue;
        }
        let message = format!("`{}` has no name, and this course wants one for every reading", quantity.symbol);
        let help = "write the name in quotes behind the symbol, as in `h \"height of the pot\" = …`";
        found.push(RULE.at(quantity.span, message, help));
    }
}
