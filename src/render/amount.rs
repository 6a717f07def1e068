//! The amount of a source as its author wrote it: `2 × 1/4 × 1 mm`.

use std::borrow::Cow;

use super::figure::{finish, typed_parts};
use super::piece::{Math, Sign};
use super::unit::{self, is_digit, shown};
use super::words;
use crate::course::Course;
use crate::parse::ast::{Amount, AmountStep, Number};
use crate::quantity::unit::Spelling;

/// How tightly the parts of an amount hold together, loosest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Sum,
    Product,
    /// `1/4`, of two bare numbers.
    Fraction,
    /// A number with a unit.
    Quantity,
    Number,
}

struct Part<'r> {
    row: Vec<Math<'r>>,
    rank: Rank,
}

impl<'r> Part<'r> {
    fn at_least(self, least: Rank) -> Vec<Math<'r>> {
        if self.rank >= least { self.row } else { vec![Math::Bracket(Box::new(Math::row(self.row)))] }
    }
}

/// The amount as mathematics; `None` of one that is not whole. Depth comes from brackets alone, which
/// the parser counts.
pub(super) fn math<'r>(amount: &'r Amount, course: &'r Course) -> Option<Math<'r>> {
    let mut stack: Vec<Part<'_>> = Vec::new();
    for step in &amount.steps {
        let part = match step {
            AmountStep::Number(number) => self::number(number.value, course),
            AmountStep::Range => Part { row: vec![Math::Word(words::RANGE.of(course).into())], rank: Rank::Number },
            AmountStep::Unit(unit) => with_unit(stack.pop()?, &unit.value, course),
            operator => {
                let (right, left) = (stack.pop()?, stack.pop()?);
                combined(operator, left, right, course)
            }
        };
        stack.push(part);
    }
    let whole = stack.pop().filter(|_| stack.is_empty())?;
    Some(Math::row(whole.row))
}

/// Is there arithmetic in it, or is it one number with a unit?
pub(super) fn is_plain(amount: &Amount) -> bool {
    matches!(amount.steps.as_slice(), [AmountStep::Number(_)] | [AmountStep::Number(_), AmountStep::Unit(_)])
}

/// Can it be another one for another value: is there a share of it, or a digit, in it?
pub(super) fn varies(amount: &Amount) -> bool {
    let depends = |unit: &Spelling| is_digit(unit) || unit.over.iter().any(|(symbol, _)| symbol == "%");
    amount.steps.iter().any(|step| matches!(step, AmountStep::Unit(unit) if depends(&unit.value)))
}

/// The unit of an amount that is one number.
pub(super) fn plain_unit(amount: &Amount) -> Option<Cow<'_, Spelling>> {
    match amount.steps.as_slice() {
        [AmountStep::Number(_), AmountStep::Unit(unit)] => Some(shown(&unit.value)),
        _ => None,
    }
}

fn number(number: Number, course: &Course) -> Part<'_> {
    let (parts, power) = typed_parts(number, course.decimal);
    let rank = if power.is_some() { Rank::Quantity } else { Rank::Number };
    Part { row: vec![finish(parts, power, unit::NONE)], rank }
}

fn with_unit<'r>(part: Part<'r>, unit: &'r Spelling, course: &'r Course) -> Part<'r> {
    let mut row = part.at_least(Rank::Fraction);
    row.push(Math::Unit(if is_digit(unit) { Cow::Owned(digits(unit, course)) } else { shown(unit) }));
    Part { row, rank: Rank::Quantity }
}

/// Steps of a display, in the course's language.
fn digits(typed: &Spelling, course: &Course) -> Spelling {
    let word = if typed.alone() == Some(words::DIGIT.text) { words::DIGIT } else { words::DIGITS };
    Spelling::symbol(word.of(course))
}

fn combined<'r>(operator: &AmountStep, left: Part<'r>, right: Part<'r>, course: &'r Course) -> Part<'r> {
    let bare = left.rank == Rank::Number && right.rank == Rank::Number;
    match operator {
        AmountStep::Plus => joined(left.row, Math::Sign(Sign::Plus), right.row, Rank::Sum),
        AmountStep::Minus => joined(left.row, Math::Sign(Sign::Minus), right.at_least(Rank::Product), Rank::Sum),
        AmountStep::Over if bare => joined(left.row, Math::Sign(Sign::Slash), right.row, Rank::Fraction),
        AmountStep::Over => {
            joined(left.at_least(Rank::Product), Math::Sign(Sign::Over), right.at_least(Rank::Quantity), Rank::Product)
        }
        AmountStep::Of => {
            let of = Math::Word(format!(" {} ", words::OF.of(course)).into());
            joined(left.at_least(Rank::Product), of, right.at_least(Rank::Fraction), Rank::Product)
        }
        _ => {
            let cross = Math::Sign(Sign::Cross);
            joined(left.at_least(Rank::Product), cross, right.at_least(Rank::Fraction), Rank::Product)
        }
    }
}

fn joined<'r>(mut left: Vec<Math<'r>>, between: Math<'r>, right: Vec<Math<'r>>, rank: Rank) -> Part<'r> {
    left.push(between);
    left.extend(right);
    Part { row: left, rank }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Decimal;
    use crate::render::plain::{Blanks, write};
    use crate::span::{Span, Spanned};

    /// Steps with blanks between them: `2 1 4 / mm ×`.
    fn shown(text: &str) -> String {
        let step = |word: &str| match word {
            "+" => AmountStep::Plus,
            "-" => AmountStep::Minus,
            "×" => AmountStep::Times,
            "of" => AmountStep::Of,
            "/" => AmountStep::Over,
            "range" => AmountStep::Range,
            _ => match Decimal::read(word) {
                Some(decimal) => AmountStep::Number(Spanned::new(Number { decimal, power: None }, Span::default())),
                None => {
                    let spelling = Spelling { over: vec![(word.into(), 1)], under: vec![] };
                    AmountStep::Unit(Spanned::new(spelling, Span::default()))
                }
            },
        };
        let amount = Amount { steps: text.split(' ').map(step).collect() };
        write(&math(&amount, &Course::default()).unwrap(), Blanks::Simple)
    }

    #[test]
    fn amounts_read_as_they_were_written() {
        for (steps, expected) in [
            ("0.5 digits", "0.5 digits"),
            ("2 1 4 / × 1 digit ×", "2 × 1/4 × 1 digit"),
            ("1 2 / 2 digits of", "1/2 of 2 digits"),
            ("5 1 + digits", "(5 + 1) digits"),
            ("5 digits 1 digit +", "5 digits + 1 digit"),
            ("1 digit 2 /", "1 digit / 2"),
            ("2 3 4 × ×", "2 × (3 × 4)"),
            ("1 2 3 + -", "1 − (2 + 3)"),
            ("1 digit range of", "1 digit of range"),
        ] {
            assert_eq!(shown(steps), expected, "{steps}");
        }
    }
}
