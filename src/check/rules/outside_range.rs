//! `outside-range`: a value that the instrument cannot show.

use crate::check::desk::Desk;
use crate::check::displayed;
use crate::check::instrument;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::parse;
use crate::parse::ast::AmountStep;
use crate::quantity::Exact;

pub(super) static RULE: Rule = Rule {
    name: "outside-range",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a value outside the range of the instrument named beside it.",
        why: "The instrument cannot have shown it, or its data sheet says nothing about it: the unit, the power of ten or the \
              instrument is wrong.",
        wrong: "---\nmeniscus:\n  instruments:\n    meter: {name: voltmeter, display: 0.01 V, range: 0 V to 20 V, instrument: 0.05 V}\n---\n\n\
                The cell gives ~{U = 152.00 V; with meter}.\n",
        right: "---\nmeniscus:\n  instruments:\n    meter: {name: voltmeter, display: 0.01 V, range: 0 V to 20 V, instrument: 0.05 V}\n---\n\n\
                The cell gives ~{U = 1.52 V; with meter}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Some((text, low, high)) = range(desk, quantity) else { continue };
        for value in displayed::values(quantity) {
            let size = quantity.unit.to_si(Exact::of(value.value).unwrap_or(Exact::ZERO));
            if size < low || size > high {
                let place = displayed::place(desk, quantity, value.span);
                let message =
                    format!("{} lies outside the range of the instrument, {text}", say::quoted(desk.text(place)));
                let help = "check the number, its unit and its power of ten, or name the instrument that was used";
                found.push(RULE.at(place, message, help));
            }
        }
    }
}

/// The range of the instrument named in a reading's item: as its description has it, and its ends in SI.
fn range<'r>(desk: &Desk<'r>, quantity: &Quantity) -> Option<(&'r str, f64, f64)> {
    let text = instrument::beside(desk, quantity)?.range.as_deref()?;
    let (low, high) = text.split_once(" to ")?;
    Some((text, end(desk, quantity, low)?, end(desk, quantity, high)?))
}

/// One end in SI; `None` where it is not one number with a unit of the reading's own kind.
fn end(desk: &Desk<'_>, quantity: &Quantity, text: &str) -> Option<f64> {
    let (sign, text) = text.trim().strip_prefix(['-', '−']).map_or((1.0, text), |rest| (-1.0, rest));
    let amount = parse::amount(text.trim()).ok()?;
    let [AmountStep::Number(number), AmountStep::Unit(unit)] = &amount.steps[..] else { return None };
    let unit = desk.unit(&unit.value).filter(|unit| unit.dimension == quantity.unit.dimension)?;
    let number = Exact::of(number.value.decimal)?;
    Some(unit.to_si(if sign < 0.0 { Exact::ZERO.minus(number)? } else { number }))
}
