//! `decimal-comma`: `12,4` where a decimal point is wanted.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "decimal-comma",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a number with a decimal comma inside an item.",
        why: "Inside an item a comma parts the values of a repeated reading, so `12,4` could be one number or two. \
              What the finished page shows is another matter: a course sets that with `decimal: comma`.",
        wrong: "The clay pot is ~{h = 14,3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Writes the decimal point, where the comma can be nothing else."),
        source: "ISO 80000-1:2009, 7.3.2, allows both signs; the notation of this program takes the point",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.context.items.iter().flat_map(|parsed| &parsed.faults) {
        let FaultKind::DecimalComma { right } = &fault.kind else { continue };
        let message = format!(
            "`{}` has a comma inside, and in an item a comma parts the values of a list",
            desk.text(fault.span).trim()
        );
        found.push(match right {
            Some(right) => RULE.at(fault.span, message, format!("write `{right}`")).certain(fault.span, right),
            None => {
                let help = "write a point as the decimal sign, or a blank behind the comma if these are two values";
                RULE.at(fault.span, message, help)
            }
        });
    }
}
