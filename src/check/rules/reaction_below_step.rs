//! `reaction-below-step`: a hand quicker than the clock it stops.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Origin, Record};
use crate::quantity::{Decimal, Exact, Kind};

pub(super) static RULE: Rule = Rule {
    name: "reaction-below-step",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reaction time that is smaller than the step of the display it was read from; where only the author's \
               words speak of a display, its step is taken for one of the last recorded digit.",
        why: "A hand takes a tenth of a second or two. A reaction below a hundredth is most likely the display's step, entered \
              under the wrong word.",
        wrong: "---\nmeniscus:\n  instruments:\n    clock: {name: stopwatch, display: 0.01 s, instrument: 0.01 s}\n---\n\n\
                The gate swings in ~{t = 2.31 s; with clock; reaction 0.005 s \"I am quick\"}.\n",
        right: "---\nmeniscus:\n  instruments:\n    clock: {name: stopwatch, display: 0.01 s, instrument: 0.01 s}\n---\n\n\
                The gate swings in ~{t = 2.31 s; with clock; reaction 0.15 s \"practised on ten swings\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Reading(record) = &quantity.origin else { continue };
        let mut hands =
            quantity.sources.iter().filter(|source| source.kind == Kind::Reaction && source.amount > 0.0).peekable();
        if hands.peek().is_none() {
            continue;
        }
        let Some(step) = record.display.or_else(|| step_in_words(desk, quantity, record)) else { continue };
        for source in hands.filter(|source| source.amount < step.to_f64() * (1.0 - 1e-9)) {
            let step = say::with_unit(&say::exact(step), &quantity.unit);
            let message =
                format!("this reaction time is smaller than {step}, the step of the display it was read from");
            found.push(RULE.at(source.span, message, "write how late a hand is, which is a tenth of a second or more"));
        }
    }
}

/// A display shows all the digits that were recorded, so that its step is one of the last.
fn step_in_words<'r>(desk: &Desk<'r>, quantity: &'r Quantity, record: &Record) -> Option<Exact> {
    let told = words::of(desk, quantity).filter(|told| told.is_display(desk));
    told.and_then(|_| Exact::of(Decimal::step(record.value.value.decimal.last_place())))
}
