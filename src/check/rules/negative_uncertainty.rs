//! `negative-uncertainty`: an amount below zero.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "negative-uncertainty",
    group: "record",
    severity: Severity::Error,
    page: &Page {
        does: "Points at an uncertainty whose amount is below zero.",
        why: "An uncertainty says how far off a value may be, to either side: it has no sign of its own.",
        wrong: "The clay pot is ~{h = 14.3 cm; reading -0.1 cm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Takes the minus out, where one stands before the amount."),
        source: "JCGM 200:2012 (VIM), 2.26: measurement uncertainty is a non-negative parameter",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::NegativeAmount) {
        let message = "this uncertainty is below zero, but it reaches to both sides of the value and has no sign";
        let finding = RULE.at(fault.span, message, "write the amount without a minus");
        let text = desk.text(fault.span);
        let minus = text.find(['-', '−']).filter(|_| text.matches(['-', '−']).count() == 1);
        found.push(match minus.and_then(|at| Some((at, text[at..].chars().next()?))) {
            Some((at, sign)) => {
                let start = fault.span.start + at;
                finding.certain(Span::new(start, start + sign.len_utf8()), "")
            }
            None => finding,
        });
    }
}
