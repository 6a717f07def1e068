//! `uneven-digits`: a repeated reading whose values end at different places.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Origin;

pub(super) static RULE: Rule = Rule {
    name: "uneven-digits",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a value of a repeated reading that has fewer digits than the others.",
        why: "One instrument shows the same places every time. Mostly a zero at the end was dropped, and a zero is a digit that \
              was read.",
        wrong: "The gate swings in ~{t = 2.31, 2.3, 2.28, 2.33 s; reaction 0.20 s \"by hand\"}.\n",
        right: "The gate swings in ~{t = 2.31, 2.30, 2.28, 2.33 s; reaction 0.20 s \"by hand\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Repeated(repeated) = &quantity.origin else { continue };
        let place = |n: usize| repeated.values.get(n).map(|value| value.value.decimal.last_place());
        let finest = (0..repeated.values.len()).filter_map(place).min();
        let Some(finest) = finest else { continue };
        let mut coarse = repeated.values.iter().filter(|value| value.value.decimal.last_place() > finest);
        let Some(first) = coarse.next() else { continue };
        let message = format!(
            "this value has fewer digits than the others of its list, which end at the place of {}",
            say::step(finest)
        );
        let help = "record every value to the same place: where a zero was read at the end, write it";
        let finding = RULE.at(first.span, message, help);
        found.push(coarse.take(5).fold(finding, |finding, other| finding.beside(other.span, "so does this one")));
    }
}
