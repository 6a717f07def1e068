//! `ascii-plus-minus`: `+-` in the text where a reader should see `±`.

use crate::check::desk::Desk;
use crate::check::pairs;
use crate::check::{Finding, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "ascii-plus-minus",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at `+-` or `+/-` between two numbers in running text, where it stays as it was typed. Inside an item both are \
               read as `±`.",
        why: "A reader sees a plus and a minus, and has to guess.",
        wrong: "The label says 21 +- 1 N/m.\n\nWe find ~{k = 20.7 N/m; ± 0.8 N/m \"slope of the line\"}.\n",
        right: "The label says twenty-one.\n\nWe find ~{k = 20.7 N/m; ± 0.8 N/m \"slope of the line\"}.\n",
        edit: Some("Writes `±`."),
        source: "ISO 80000-2:2019, the sign ±",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if !desk.holds("+") {
        return;
    }
    let masked = &desk.context.document.masked;
    for sign in ["+/-", "+-"].into_iter().filter(|sign| desk.holds(sign)) {
        for &words in &desk.prose().words {
            for pair in pairs::around(words, words.of(masked), sign) {
                let place = pair.sign;
                let message =
                    format!("`{sign}` stands in the text as it was typed, and a reader has to guess what it means");
                found.push(
                    RULE.at(place, message, "write `±`; better still, make the measurement an item")
                        .certain(place, "±"),
                );
            }
        }
    }
}
