//! How a single reading's figures are judged: by the plain sum of its amounts, whatever the way of
//! combining, at the place of the last digit that was recorded.

use super::desk::Desk;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Claimed, Origin, Record};
use crate::quantity::{Decimal, Exact, Kind, Rounding};
use crate::span::Span;

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

/// A reading whose figures can be judged.
pub(super) struct Judged<'r> {
    pub(super) quantity: &'r Quantity,
    pub(super) record: &'r Record,
    pub(super) sum: Exact,
    pub(super) judgement: Judgement,
}

impl Judged<'_> {
    /// The number as recorded.
    pub(super) fn value(&self) -> Decimal {
        self.record.value.value.decimal
    }

    /// The place of its last digit.
    pub(super) fn place(&self) -> i32 {
        self.value().last_place()
    }

    /// Value and typed uncertainty where they stand together, else the value.
    pub(super) fn span(&self, desk: &Desk<'_>) -> Span {
        let value = self.record.value.span;
        let together = self.record.claimed.as_ref().map(|claimed| value.to(claimed.span));
        together.filter(|&both| !desk.text(both).contains(';')).unwrap_or(value)
    }
}

/// All readings whose figures can be judged. Digital displays are not among them: all the digits that
/// they show are recorded. Neither are exact numbers and counts.
pub(super) fn readings<'r>(desk: &Desk<'r>) -> impl Iterator<Item = Judged<'r>> {
    desk.sound().filter_map(|(_, quantity)| {
        let Origin::Reading(record) = &quantity.origin else { return None };
        let counted = quantity.sources.iter().any(|source| source.kind == Kind::Counting);
        let sum = record.sum.filter(|sum| !sum.is_zero() && !sum.is_negative())?;
        if quantity.exact || counted || record.display.is_some() {
            return None;
        }
        let judgement = judge(record.value.value.decimal, sum, record.claimed.as_ref());
        Some(Judged { quantity, record, sum, judgement })
    })
}

fn judge(value: Decimal, sum: Exact, claimed: Option<&Claimed>) -> Judgement {
    let place = value.last_place();
    let typed = claimed.and_then(|claimed| claimed.typed);
    if is_under_a_step(sum, place) {
        return Judgement::Coarse;
    }
    if typed.is_some_and(|typed| typed.last_place() != place) {
        return Judgement::PlacesDiffer;
    }
    match sum.round(place, Rounding::Nearest).map_or(1, Decimal::figures) {
        figures if figures > MOST_FIGURES => Judgement::Drowned(figures),
        _ => Judgement::Right,
    }
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
        let claimed = typed.map(|typed| Claimed {
            typed: Some(decimal(typed)),
            amount: Exact::of(decimal(typed)),
            span: Span::default(),
            alone: true,
        });
        judge(decimal(value), Exact::of(decimal(sum)).unwrap(), claimed.as_ref())
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
    }

    #[test]
    fn the_place_for_an_uncertainty_is_the_finest_that_it_does_not_drown() {
        let sum = |text: &str| Exact::of(Decimal::read(text).unwrap()).unwrap();
        assert_eq!([place_for(sum("1.00"), -2), place_for(sum("100"), 0), place_for(sum("0.0996"), -4)], [-1, 1, -2]);
    }
}
