//! `placeholder-zeros`: `1200 ± 100`, whose zeros may be digits or only keep the place.

use crate::check::desk::Desk;
use crate::check::judge::{self, Judged, Judgement};
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::quantity::{Rounding, round};

pub(super) static RULE: Rule = Rule {
    name: "placeholder-zeros",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a whole number whose trailing zeros lie below its uncertainty, so that they can only keep the place.",
        why: "Zeros at the end of a recorded number count as digits that were read. Where they were not, a power of ten \
              says so.",
        wrong: "The track is loaded with ~{m = 1200 g; definition 100 g \"sand is lost on the way\"}.\n",
        right: "The track is loaded with ~{m = 1.2e3 g; definition 100 g \"sand is lost on the way\"}.\n",
        edit: Some("Writes the number with a power of ten, its last digit where the uncertainty is, as a suggestion."),
        source: "ISO 80000-1:2009, 7.3.4 and annex B, from memory",
    },
    check,
};

/// Is it zeros that the uncertainty drowns, and nothing else?
pub(super) fn speaks_of(judged: &Judged<'_>) -> bool {
    let value = judged.value();
    matches!(judged.judgement, Judgement::Drowned(_))
        && judged.number.value.power.is_none()
        && value.last_place() == 0
        && !value.is_zero()
        && value.trimmed().last_place() >= judge::place_for(judged.sum, judged.place())
}

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for judged in desk.judged().iter().filter(|judged| speaks_of(judged)) {
        let unit = judged.quantity.unit.as_difference();
        let sum = say::with_unit(&say::exact(judged.sum), &unit);
        let value = in_powers(judged);
        let message = format!(
            "the zeros at the end of `{}` count as digits that were read, but the uncertainty is {sum}",
            desk.text(judged.number.span)
        );
        let help = format!("write `{value}`, so that the last digit written is the doubtful one");
        found.push(RULE.at(judged.number.span, message, help).suggest(judged.number.span, value));
    }
}

/// `1.2e3`: with its last digit at the place where the uncertainty begins.
fn in_powers(judged: &Judged<'_>) -> String {
    let first = judged.sum.decimal().map_or_else(|| judge::place_for(judged.sum, 0), |sum| sum.first_place());
    let value = judged.value();
    let place = first.min(value.trimmed().last_place());
    let short = round::to_place(value, place, Rounding::Nearest);
    format!("{}e{}", short.shifted(-value.first_place()), value.first_place())
}
