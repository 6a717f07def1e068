//! A quantity's number as it is shown: a reading with the digits that were recorded, everything else
//! with those that its uncertainty leaves.

use super::View;
use super::figure::{Figure, Size};
use crate::course::Combine;
use crate::evaluate::sheet::{Claimed, Measure, Origin, Record, Stated};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::Number;
use crate::quantity::constants::Constant;
use crate::quantity::{Decimal, Unit, figures, round};

/// The figure of a quantity in `unit`, or in its own. `None` where it has no value.
pub(super) fn figure(view: View<'_>, id: QuantityId, unit: Option<&Unit>) -> Option<Figure> {
    let quantity = view.sheet.quantities.get(id)?;
    let unit = unit.unwrap_or(&quantity.unit);
    let typed = match &quantity.origin {
        Origin::Reading(record) => Some((recorded(view, quantity, record), &quantity.unit)),
        Origin::Constant(constant) => Some((published(constant), &quantity.unit)),
        Origin::Result { stated: Some(stated) } => Some((self::stated(view, quantity, stated), &stated.unit)),
        Origin::Repeated(_) | Origin::Column(_) | Origin::Result { stated: None } | Origin::Unread => None,
    };
    let kept = typed.and_then(|(figure, own)| moved(figure, own, unit));
    kept.or_else(|| computed(view, quantity, unit))
}

/// A constant with the digits that were published.
fn published(constant: &Constant) -> Figure {
    Figure { value: constant.shown(), uncertainty: constant.standard_uncertainty(), power: None }.scaled()
}

/// Digits that were typed, in another unit: they stay where the factor is a power of ten.
fn moved(figure: Figure, own: &Unit, unit: &Unit) -> Option<Figure> {
    if own == unit {
        return Some(figure);
    }
    let power = (own.zero == unit.zero).then(|| unit.power_of_ten_from(own)).flatten()?;
    let shifted = Figure {
        value: figure.value.shifted(power),
        uncertainty: figure.uncertainty.map(|amount| amount.shifted(power)),
        power: figure.power,
    };
    // A power of ten that was typed takes the factor in; where none was, one is written if it is needed.
    Some(match figure.power {
        Some(typed) => figure_with(shifted.with_power(None), typed + power),
        None => shifted.scaled(),
    })
}

fn figure_with(figure: Figure, power: i32) -> Figure {
    figure.with_power((power != 0).then_some(power))
}

/// The value of a quantity for a formula with its numbers: as recorded, or where it is computed, to one
/// place more than its uncertainty leaves, so that who works it out again gets the report's figure.
pub(super) fn for_working(view: View<'_>, id: QuantityId, unit: &Unit) -> Option<Figure> {
    let figure = figure(view, id, Some(unit))?;
    let quantity = view.sheet.quantities.get(id)?;
    let typed = matches!(&quantity.origin, Origin::Reading(_) | Origin::Result { stated: Some(_) });
    let (Some(measure), Some(uncertainty), false) = (quantity.measure, figure.uncertainty, typed) else {
        return Some(figure.value_alone());
    };
    let place = uncertainty.last_place() + figure.power.unwrap_or(0) - 1;
    let value = Decimal::of_f64(in_unit(measure.value, measure.point, unit))?;
    let value = round::to_place(value, place, figures::for_values(view.course.round));
    Some(Figure { value, uncertainty: None, power: None }.with_power(figure.power))
}

/// A quantity's value and uncertainty as computed, in `unit`.
pub(super) fn computed(view: View<'_>, quantity: &Quantity, unit: &Unit) -> Option<Figure> {
    of_measure(view, quantity, quantity.measure?, unit)
}

/// A value of a quantity and its uncertainty as computed, in `unit`; of results the expanded one where the course asks
/// for it.
pub(super) fn of_measure(view: View<'_>, quantity: &Quantity, measure: Measure, unit: &Unit) -> Option<Figure> {
    let uncertainty = spread(view.sheet.reported(quantity, &measure), unit);
    Figure::computed(in_unit(measure.value, measure.point, unit), uncertainty, view.course)
}

/// An SI value in `unit`, which may have a zero point only for points.
fn in_unit(value: f64, point: bool, unit: &Unit) -> f64 {
    if point { unit.from_si(value) } else { spread(value, unit) }
}

/// An SI uncertainty, contribution or difference in `unit`.
pub(super) fn spread(amount: f64, unit: &Unit) -> f64 {
    // A unit without a zero point is one of differences, and nearly all are.
    if unit.zero.is_none() { unit.from_si(amount) } else { unit.as_difference().from_si(amount) }
}

fn recorded(view: View<'_>, quantity: &Quantity, record: &Record) -> Figure {
    let number = record.value.value;
    let total = if quantity.exact { None } else { total(view, quantity, record) };
    typed(number, total)
}

fn total(view: View<'_>, quantity: &Quantity, record: &Record) -> Option<Decimal> {
    if let Some(Claimed { typed: Some(typed), .. }) = record.claimed {
        return (!typed.is_zero()).then_some(typed);
    }
    let (size, place) = (size(view, quantity, record)?, record.value.value.decimal.last_place());
    // By the plain sum, whatever the way of combining, a digit was not recorded that could be read.
    let coarse = record.sum.map_or(size, Size::Exact).is_finer_than(place);
    if coarse { size.first_figure(view.course.round) } else { size.at_place(place, view.course.round) }
}

/// An uncertainty beside a number that was typed to that place.
pub(super) fn total_at(view: View<'_>, amount: Decimal, place: i32) -> Option<Decimal> {
    let (size, rounding) = (Size::Near(amount), view.course.round);
    if size.is_finer_than(place) { size.first_figure(rounding) } else { size.at_place(place, rounding) }
}

/// How much a reading's sources come to, by the course's way of combining.
pub(super) fn size(view: View<'_>, quantity: &Quantity, record: &Record) -> Option<Size> {
    let claimed = record.claimed.as_ref().and_then(|claimed| claimed.amount);
    let sum = if view.course.combine == Combine::Sum { record.sum } else { None };
    let near = || {
        let amount = spread(quantity.measure?.uncertainty, &quantity.unit);
        Decimal::of_f64(amount).map(|amount| Size::Near(amount.abs()))
    };
    claimed.or(sum).map(Size::Exact).or_else(near)
}

/// The author's own figure of a result. Without an uncertainty of its own it has the computed one, to its
/// last place.
fn stated(view: View<'_>, quantity: &Quantity, stated: &Stated) -> Figure {
    let near = || {
        let uncertainty = view.sheet.reported(quantity, quantity.measure.as_ref()?);
        let amount = Decimal::of_f64(spread(uncertainty, &stated.unit))?;
        Size::Near(amount.abs()).at_place(stated.value.decimal.last_place(), view.course.round)
    };
    typed(stated.value, stated.uncertainty.or_else(near))
}

/// A typed number, with the power of ten that was typed.
pub(super) fn typed(number: Number, uncertainty: Option<Decimal>) -> Figure {
    Figure { value: number.decimal, uncertainty, power: None }.with_power(number.power)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit::Scale;
    use crate::quantity::{Dimension, Exact};

    fn length(tens: i32) -> Unit {
        let scale = Scale { ratio: Exact::new(1, 1, tens), irrational: 1.0 };
        Unit { dimension: Dimension::new([1, 0, 0, 0, 0, 0, 0]), scale, ..Unit::one() }
    }

    #[test]
    fn a_typed_power_of_ten_is_kept() {
        let number = Number { decimal: Decimal::read("1.602e-19").unwrap(), power: Some(-19) };
        let figure = typed(number, Decimal::read("0.004e-19"));
        assert_eq!((figure.value.to_string().as_str(), figure.power), ("1.602", Some(-19)));
        assert_eq!(figure.uncertainty.unwrap().to_string(), "0.004");
    }

    #[test]
    fn digits_stay_where_the_factor_is_a_power_of_ten() {
        let number = Number { decimal: Decimal::read("12.42").unwrap(), power: None };
        let shown =
            |own, unit| moved(typed(number, None), &length(own), &length(unit)).map(|f| (f.value.to_string(), f.power));
        assert_eq!(shown(-3, -3), Some(("12.42".into(), None)));
        assert_eq!(shown(-3, -2), Some(("1.242".into(), None)));
        assert_eq!(shown(-3, 0), Some(("0.01242".into(), None)));
        assert_eq!(shown(-3, 3), Some(("1.242".into(), Some(-5))));
        assert_eq!(shown(0, -6), Some(("1.242".into(), Some(7))));
    }
}
