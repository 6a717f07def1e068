//! `reaction-missing`: a time taken by hand, with nothing but the clock's own step.

use crate::check::desk::Desk;
use crate::check::paper::is_without_uncertainty;
use crate::check::sentence;
use crate::check::words::{self, Phrases, Told};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;
use crate::quantity::{Dimension, Kind};

pub(super) static RULE: Rule = Rule {
    name: "reaction-missing",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a time which the words of its item, or of its sentence, say was taken by hand or with a stopwatch (or the \
               sentence before it, with a stopwatch), with an uncertainty under a tenth of a second and none of it called `reaction`. It keeps silent where an instrument of the \
               course is named.",
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
static BY_HAND: Phrases = Phrases::new(&[
    "watch",
    "wristwatch",
    "stop clock",
    "phone",
    "smartphone",
    "clicked",
    "clicking",
    "tapped",
    "my timing",
    "manual timing",
    "timed manually",
    "by eye",
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
]);

/// Words of a clock that no hand starts, or of somebody who has thought of the hand.
static NO_HAND: Phrases = Phrases::new(&[
    "light gates",
    "photogates",
    "sensors",
    "laser",
    "trigger",
    "triggered",
    "microphone",
    "film",
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
]);

/// Words of a hand at the clock that say so in any sentence.
static PLAINLY_BY_HAND: Phrases = Phrases::new(&[
    "stopwatch",
    "stop watch",
    "stop clock",
    "by hand",
    "hand timed",
    "timed by hand",
    "timed manually",
    "phone timer",
    "timed with the phone",
    "clicked the timer",
    "started the timer",
    "started the watch",
    "stopped the watch",
]);

/// Clocks that a hand starts: where one is named, the sentence behind speaks of what it showed.
static HAND_CLOCKS: Phrases = Phrases::new(&["stopwatch", "stop watch", "stop clock", "phone timer"]);

/// An uncertainty that is as large as a hand's delay has it in, whatever it is called; in seconds.
const DELAY: f64 = 0.1;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let time = Dimension::new([0, 0, 1, 0, 0, 0, 0]);
    for told in words::told(desk).filter(|told| told.is(time)) {
        if is_weighed(told.quantity) || is_without_uncertainty(told.quantity) || !is_by_hand(desk, &told) {
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

/// Is the hand among its sources, by name, by size, or in the scatter of many readings?
fn is_weighed(quantity: &Quantity) -> bool {
    let sum: f64 = quantity.sources.iter().map(|source| source.amount * quantity.unit.factor()).sum();
    let named = quantity.sources.iter().any(|source| matches!(source.kind, Kind::Reaction | Kind::Repeat));
    named || sum >= DELAY || matches!(quantity.origin, Origin::Repeated(_))
}

/// Do the words of the item, or its sentence, speak of a hand, and none about it of a clock that needs none?
fn is_by_hand(desk: &Desk<'_>, told: &Told<'_>) -> bool {
    let words = told.words();
    if NO_HAND.are_in(&words) {
        return false;
    }
    let around = || {
        PLAINLY_BY_HAND.are_in(&told.around(desk, sentence::sentence))
            || HAND_CLOCKS.are_in(&told.around(desk, sentence::with_the_one_before))
    };
    BY_HAND.are_in(&words) || around() && !NO_HAND.are_in(&told.around(desk, sentence::paragraph))
}
