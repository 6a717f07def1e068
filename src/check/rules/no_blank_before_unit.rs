//! `no-blank-before-unit`: `5cm`.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::FaultKind;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "no-blank-before-unit",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a unit that touches its number.",
        why: "The blank stands for the multiplication of number and unit; without it `5 m` and a symbol `5m` look alike.",
        wrong: "The clay pot is ~{h = 14.3cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Puts the blank in."),
        source: "SI Brochure, 9th edition (2019), 5.4.3",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (item, parsed) in desk.context.items.iter().enumerate() {
        let touching = parsed.faults.iter().filter(|fault| fault.kind == FaultKind::NoBlankBeforeUnit);
        // What is no unit needs no blank before it.
        for fault in touching.filter(|_| !desk.unit_unknown(item)) {
            let message = "the unit touches its number, and the SI writes a blank between the two";
            let finding = RULE.at(fault.span, message, "put a blank before the unit");
            found.push(finding.certain(Span::at(fault.span.start), " "));
        }
    }
}
