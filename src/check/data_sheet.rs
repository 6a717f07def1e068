//! What an instrument's data sheet says of one reading, in numbers.

use super::paper::Paper;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::Unit;
use crate::quantity::unit::Spelling;

/// The reading that a data sheet speaks of.
pub(super) struct Beside<'r> {
    /// Its unit.
    pub(super) unit: &'r Unit,
    /// Its value in that unit.
    pub(super) value: f64,
    /// One digit of the display, in that unit.
    pub(super) digit: f64,
}

/// A number with or without its unit.
#[derive(Clone, Copy)]
enum Part {
    Plain(f64),
    /// In the unit of the reading.
    Measured(f64),
}

/// How much an amount comes to beside a reading, in its unit; `None` where a part of it is not known here.
pub(super) fn amount(paper: &Paper<'_>, amount: &Amount, beside: &Beside<'_>) -> Option<f64> {
    let mut stack = Vec::new();
    for step in &amount.steps {
        let part = match step {
            AmountStep::Number(number) => Part::Plain(number.value.decimal.to_f64()),
            AmountStep::Unit(unit) => match stack.pop()? {
                Part::Plain(number) => Part::Measured(number * size(paper, &unit.value, beside)?),
                Part::Measured(_) => return None,
            },
            AmountStep::Range => return None,
            sign => {
                let second = stack.pop()?;
                joined(sign, stack.pop()?, second)?
            }
        };
        stack.push(part);
    }
    match stack.pop()? {
        Part::Measured(amount) => Some(amount),
        Part::Plain(_) => None,
    }
}

/// One of a unit, in the unit of the reading; a percentage is one of the value.
fn size(paper: &Paper<'_>, unit: &Spelling, beside: &Beside<'_>) -> Option<f64> {
    match &unit.over[..] {
        [(symbol, 1)] if symbol == "%" => Some(0.01 * beside.value.abs()),
        [(symbol, 1)] if matches!(&**symbol, "digit" | "digits") => Some(beside.digit),
        _ => {
            let unit = paper.unit(unit).filter(|unit| unit.dimension == beside.unit.dimension)?;
            Some(unit.factor() / beside.unit.factor())
        }
    }
}

fn joined(sign: &AmountStep, a: Part, b: Part) -> Option<Part> {
    use Part::{Measured, Plain};
    Some(match (sign, a, b) {
        (AmountStep::Plus, Measured(a), Measured(b)) => Measured(a + b),
        (AmountStep::Plus, Plain(a), Plain(b)) => Plain(a + b),
        (AmountStep::Minus, Measured(a), Measured(b)) => Measured(a - b),
        (AmountStep::Minus, Plain(a), Plain(b)) => Plain(a - b),
        (AmountStep::Times | AmountStep::Of, Plain(a), Plain(b)) => Plain(a * b),
        (AmountStep::Times | AmountStep::Of, Plain(a), Measured(b)) => Measured(a * b),
        (AmountStep::Times | AmountStep::Of, Measured(a), Plain(b)) => Measured(a * b),
        (AmountStep::Over, Plain(a), Plain(b)) => Plain(a / b),
        (AmountStep::Over, Measured(a), Plain(b)) => Measured(a / b),
        _ => return None,
    })
}
