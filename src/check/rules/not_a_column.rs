//! `not-a-column`: `mean` of a single number.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "not-a-column",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a function over columns, such as `slope` or `sd`, that is given something else; and at a mean of several \
               things that are not all quantities of the report.",
        why: "These functions look at many values and their scatter; of one number, or of a sum worked out on the spot, there is \
              none.",
        wrong: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high, with the scatter ~{y = sd(h)}.\n",
        right: "The pot is ~{h = 14.3, 14.5, 14.2 cm; reading 0.1 cm \"uneven rim\"} high, half is ~{y = h / 2}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let (message, help) = match fault.kind {
            FaultKind::NoColumn { function } => (
                format!("`{function}` looks at the rows of a column, but what it is given is no column"),
                "give it the symbol of a table's column; repeated readings behind one symbol have their mean and scatter already",
            ),
            FaultKind::NoQuantity { function } => (
                format!("`{function}` takes quantities of this report, but one of these is worked out on the spot"),
                "give each of them a symbol in an item of its own, and use the symbols here",
            ),
            _ => continue,
        };
        found.push(RULE.at(fault.span, message, help));
    }
}
