//! `coarse-reading`: a digit that could be read and was not recorded.

use crate::check::desk::Desk;
use crate::check::judge::Judgement;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::quantity::{Rounding, round};

pub(super) static RULE: Rule = Rule {
    name: "coarse-reading",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading whose uncertainty is smaller than one step of its last recorded digit.",
        why: "All sure digits and one estimated digit belong in the record. If the uncertainty is right, one more digit \
              could be read; if the digits are right, the uncertainty is too small.",
        wrong: "The pot is ~{h = 14 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "The pot is ~{h = 14.0 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for judged in desk.judged().iter().filter(|judged| judged.judgement == Judgement::Coarse) {
        if super::reaction_below_step::speaks_of(judged.quantity) {
            continue;
        }
        let unit = judged.quantity.unit.as_difference();
        let sum = say::with_unit(&say::exact(judged.sum), &unit);
        let message = format!(
            "this value is recorded in steps of {}, but its uncertainty is only {sum}, so a digit that could be read is missing",
            say::with_unit(&say::step(judged.place()), &unit)
        );
        let next = say::decimal(round::to_place(judged.value(), judged.place() - 1, Rounding::Nearest));
        let help = format!(
            "record the next digit too (`{next}` if it was a zero), or state an uncertainty as large as the digits allow"
        );
        found.push(RULE.at(judged.span(desk), message, help));
    }
}
