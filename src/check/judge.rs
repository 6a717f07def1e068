//! How a single reading's figures are judged: by the plain sum of its amounts, whatever the way of
//! combining, at the place of the last digit that was recorded.

use super::displayed;
use super::instrument;
use super::paper::Paper;
use super::words;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Column, Origin};
use crate::parse::ast::{AmountStep, Number};
use crate::quantity::{Decimal, Exact, Kind, Rounding};
use crate::span::{Span, Spanned};

/// The most figures that the uncertainty of a reading may have at the reading's own last place.
pub(super) const MOST_FIGURES: u32 = 2;

/// What a marker says of a reading's figures; of several slips the one that explains the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Judgement {
    /// Nothing.
    Right,
    /// The sum is smaller than one step of the last place: a digit that could be read is missing.
    Coarse,
    /// Value and typed uncertainty end at different places.
    PlacesDiffer,
    /// At the value's last place the uncertainty has so many figures.
    Drowned(u32),
}

/// A recorded number whose figures can be judged.
pub(super) struct Judged<'r> {
    pub(super) quantity: &'r Quantity,
    /// The number as recorded, and where.
    pub(super) number: Spanned<Number>,
    /// The uncertainty that was typed with it, and where.
    pub(super) typed: Option<Spanned<Decimal>>,
    pub(super) sum: Exact,
    pub(super) judgement: Judgement,
}

impl<'r> Judged<'r> {
    fn new(
        quantity: &'r Quantity,
        number: Spanned<Number>,
        typed: Option<Spanned<Decimal>>,
        sum: Exact,
    ) -> Option<Self> {
        let judgement = judge(number.value.decimal, sum, typed.map(|typed| typed.value))?;
        Some(Self { quantity, number, typed, sum, judgement })
    }

    /// The number.
    pub(super) fn value(&self) -> Decimal {
        self.number.value.decimal
    }

    /// The place of its last digit.
    pub(super) fn place(&self) -> i32 {
        self.value().last_place()
    }

    /// Would more or fewer digits be asked of what the author's words call a display?
    fn asks_of_display(&self, paper: &Paper<'r>) -> bool {
        let asks = matches!(self.judgement, Judgement::Coarse | Judgement::Drowned(_));
        asks && words::of(paper, self.quantity).is_some_and(|told| told.is_display(paper))
    }

    /// Value and typed uncertainty where they stand together, else the value.
    pub(super) fn span(&self, paper: &Paper<'_>) -> Span {
        let value = self.number.span;
        let together = self.typed.map(|typed| bracketed(paper, value.to(typed.span)));
        together.filter(|&both| !paper.text(both).contains(';')).unwrap_or(value)
    }
}

/// A place that ends behind a bracket, with the bracket's beginning.
fn bracketed(paper: &Paper<'_>, span: Span) -> Span {
    let text = paper.text(span);
    if text.find(')').is_none_or(|close| text[..close].contains('(')) {
        return span;
    }
    let before = paper.text(Span::new(0, span.start)).trim_end();
    if before.ends_with('(') { Span::new(before.len() - 1, span.end) } else { span }
}

/// All recorded numbers whose figures can be judged; of a column the first of each way of not being right. Digital
/// displays are not among them: all the digits that they show are recorded. Neither are exact numbers and
/// counts.
pub(super) fn readings<'r>(paper: &Paper<'r>) -> impl Iterator<Item = Judged<'r>> {
    let judged =
        |quantity: &Quantity| !quantity.exact && !quantity.sources.iter().any(|source| source.kind == Kind::Counting);
    let judged = paper.sound().filter(move |(_, quantity)| judged(quantity));
    let judged = judged.flat_map(|(_, quantity)| match &quantity.origin {
        Origin::Reading(record) if record.display.is_none() => {
            let claimed = record.claimed.as_ref();
            let typed = claimed.and_then(|claimed| Some(Spanned::new(claimed.typed?, claimed.span)));
            let judged = record.sum.and_then(|sum| Judged::new(quantity, record.value, typed, sum));
            judged.into_iter().collect()
        }
        Origin::Column(column) if !column.result => cells(paper, quantity, column),
        _ => Vec::new(),
    });
    judged.filter(|judged| !judged.asks_of_display(paper))
}

/// The cells of a column whose figures are not right, the first of each kind.
fn cells<'r>(paper: &Paper<'r>, quantity: &'r Quantity, column: &'r Column) -> Vec<Judged<'r>> {
    let heading = (!quantity.sources.is_empty()).then(|| sum_of(paper, quantity)).flatten();
    // Most rows have no uncertainty of their own and end at one place: what is to be said of it is found out once.
    let mut known = None;
    let mut wrong: Vec<Judged<'r>> = Vec::new();
    for row in &column.rows {
        let Some((number, sum)) = row.typed.zip(row.own.map_or(heading, Exact::of)) else { continue };
        let place = row.own.is_none().then(|| number.decimal.last_place());
        if place.is_some() && place == known {
            continue;
        }
        let Some(judgement) = judge(number.decimal, sum, row.own) else { continue };
        known = place.or(known);
        let same = std::mem::discriminant(&judgement);
        if judgement == Judgement::Right || wrong.iter().any(|w| std::mem::discriminant(&w.judgement) == same) {
            continue;
        }
        let typed = row.own.map(|own| Spanned::new(own, paper.trimmed(row.cell)));
        let number = Spanned::new(number, displayed::number(paper, row.cell));
        wrong.push(Judged { quantity, number, typed, sum, judgement });
    }
    wrong
}

/// The sum of a heading's sources, where each is an amount of its own, the same in every row.
fn sum_of(paper: &Paper<'_>, quantity: &Quantity) -> Option<Exact> {
    // All the digits that a display shows are recorded.
    if instrument::beside(paper, quantity).is_some_and(|instrument| instrument.display.is_some()) {
        return None;
    }
    quantity.sources.iter().try_fold(Exact::ZERO, |sum, source| {
        let steps = &source.written.as_ref()?.steps;
        let by_row = |step: &AmountStep| match step {
            AmountStep::Unit(unit) => {
                unit.value.over.iter().any(|(symbol, _)| matches!(&**symbol, "%" | "digit" | "digits"))
            }
            AmountStep::Range => true,
            _ => false,
        };
        sum.plus(source.exact.filter(|_| !steps.iter().any(by_row))?)
    })
}

/// `None` where there is no uncertainty to judge by.
fn judge(value: Decimal, sum: Exact, typed: Option<Decimal>) -> Option<Judgement> {
    if sum.is_zero() || sum.is_negative() {
        return None;
    }
    let place = value.last_place();
    if is_under_a_step(sum, place) {
        return Some(Judgement::Coarse);
    }
    if typed.is_some_and(|typed| typed.last_place() != place && !only_zeros_part(value, typed)) {
        return Some(Judgement::PlacesDiffer);
    }
    Some(match sum.round(place, Rounding::Nearest).map_or(1, Decimal::figures) {
        figures if figures > MOST_FIGURES => Judgement::Drowned(figures),
        _ => Judgement::Right,
    })
}

/// Does one of two numbers reach below the last place of the other with a whole number's zeros alone: the 100
/// beside 1.2e3, the 650 nm beside 0.01 µm?
fn only_zeros_part(one: Decimal, other: Decimal) -> bool {
    let reaches = |fine: Decimal, place: i32| {
        place > fine.last_place() && fine.last_place() >= 0 && fine.trimmed().last_place() >= place
    };
    reaches(one, other.last_place()) || reaches(other, one.last_place())
}

fn is_under_a_step(sum: Exact, place: i32) -> bool {
    Exact::of(Decimal::step(place)).is_some_and(|step| sum < step)
}

/// The finest place at which the uncertainty has no more figures than a reading's may have.
pub(super) fn place_for(sum: Exact, from: i32) -> i32 {
    let fits = |place: &i32| sum.round(*place, Rounding::Nearest).is_none_or(|at| at.figures() <= MOST_FIGURES);
    (from..from + 40).find(fits).unwrap_or(from)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(value: &str, sum: &str, typed: Option<&str>) -> Judgement {
        let decimal = |text: &str| Decimal::read(text).unwrap();
        judge(decimal(value), Exact::of(decimal(sum)).unwrap(), typed.map(decimal)).unwrap()
    }

    /// The examples of the notation's page, "What is shown".
    #[test]
    fn figures_are_judged_at_the_last_place_of_the_value() {
        for (value, sum) in [("48.5", "1.0"), ("48", "1"), ("1.835", "0.0025"), ("14.3", "0.15"), ("9.11e-31", "2e-33")]
        {
            assert_eq!(of(value, sum, None), Judgement::Right, "{value} ± {sum}");
        }
        for (value, sum) in [("24.3", "0.05"), ("12", "0.3")] {
            assert_eq!(of(value, sum, None), Judgement::Coarse, "{value} ± {sum}");
        }
        assert_eq!(of("48.50", "1.00", None), Judgement::Drowned(3));
        assert_eq!(of("1200", "100", None), Judgement::Drowned(3));
    }

    #[test]
    fn one_slip_is_named_once() {
        assert_eq!(of("9.8134", "0.2", Some("0.2")), Judgement::PlacesDiffer);
        assert_eq!(of("14.3", "0.15", Some("0.15")), Judgement::PlacesDiffer);
        assert_eq!(of("12", "0.3", Some("0.3")), Judgement::Coarse);
        assert_eq!(of("48.50", "1.00", Some("1.00")), Judgement::Drowned(3));
        assert_eq!(of("650", "10", Some("1e1")), Judgement::Right);
        assert_eq!(of("651", "10", Some("1e1")), Judgement::PlacesDiffer);
    }

    #[test]
    fn the_place_for_an_uncertainty_is_the_finest_that_it_does_not_drown() {
        let sum = |text: &str| Exact::of(Decimal::read(text).unwrap()).unwrap();
        assert_eq!([place_for(sum("1.00"), -2), place_for(sum("100"), 0), place_for(sum("0.0996"), -4)], [-1, 1, -2]);
    }
}
