//! `no-sensitivity`: a value whose uncertainty cannot be told from its slope.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::{FaultKind, Undefined};

pub(super) static RULE: Rule = Rule {
    name: "no-sensitivity",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a step whose curve stands upright just where it is used: the square root at 0, the arcsine at 1.",
        why: "There the smallest error of the argument changes the result without a limit, so no uncertainty can be carried \
              through.",
        wrong: "The lens is off by ~{x = 0.0 mm; reading 0.1 mm \"thick mark\"}; ~{y = sqrt(x)}.\n",
        right: "The lens is off by ~{x = 0.6 mm; reading 0.1 mm \"thick mark\"}; ~{y = sqrt(x)}.\n",
        edit: None,
        source: "JCGM 100:2008, 5.1.2: the first-order law needs a derivative",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NoSensitivity { what } = fault.kind else { continue };
        let message =
            format!("{} is infinitely steep at this value, so no uncertainty can be carried through it", named(what));
        let help = "work the result out at both ends of the interval of what it is given, and say its range in words; or use another formula";
        found.push(RULE.at(fault.span, message, help));
    }
}

fn named(what: Undefined) -> String {
    match what {
        Undefined::Function(function) => format!("the curve of `{function}`"),
        Undefined::Power => "the curve of this power".into(),
        Undefined::Division | Undefined::Overflow => "the curve of this step".into(),
    }
}
