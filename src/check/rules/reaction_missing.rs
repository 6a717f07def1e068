//! `reaction-missing`: a time taken by hand, with nothing but the clock's own step.

use crate::check::desk::Desk;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Origin;
use crate::quantity::{Dimension, Kind};

pub(super) static RULE: Rule = Rule {
    name: "reaction-missing",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a time which the author's words say was taken by hand or with a stopwatch, without a `reaction` \
               uncertainty. It keeps silent where an instrument of the course is named.",
        why: "A hand is a tenth of a second or two late, at the start and at the stop; the hundredths on the display are nothing \
              beside that.",
        wrong: "The gate swings in ~{t = 2.31 s; instrument 0.01 s \"last digit of the stopwatch\"}.\n",
        right: "The gate swings in ~{t = 2.31 s; instrument 0.01 s \"last digit of the stopwatch\"; reaction 0.2 s \"by hand\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// Words of a hand at the clock.
const BY_HAND: [&str; 12] = [
    "stopwatch",
    "stop watch",
    "by hand",
    "hand timed",
    "timed by hand",
    "phone timer",
    "thumb",
    "button",
    "pressed",
    "hand held",
    "handheld",
    "manually",
];

/// Words of a clock that no hand starts, or of somebody who has thought of the hand.
const NO_HAND: [&str; 12] = [
    "light gate",
    "gate sensor",
    "photogate",
    "sensor",
    "automatic",
    "automatically",
    "electronic",
    "reaction",
    "video",
    "frame",
    "frames",
    "datalogger",
];

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let time = Dimension::new([0, 0, 1, 0, 0, 0, 0]);
    for told in words::told(desk).filter(|told| told.is(time)) {
        let weighed = told.quantity.sources.iter().any(|source| matches!(source.kind, Kind::Reaction | Kind::Plain));
        if weighed || super::no_uncertainty::is_without(told.quantity) {
            continue;
        }
        let words = told.words();
        if !words::say(&words, &BY_HAND) || words::say(&words, &NO_HAND) {
            continue;
        }
        let span = match &told.quantity.origin {
            Origin::Reading(record) => record.value.span,
            _ => told.quantity.span,
        };
        let message = format!(
            "`{}` was timed by hand, but the hand's own delay is not among its uncertainties",
            told.quantity.symbol
        );
        found.push(RULE.at(
            span,
            message,
            "add what it comes to, as in `; reaction 0.2 s \"by hand, start and stop\"`",
        ));
    }
}
