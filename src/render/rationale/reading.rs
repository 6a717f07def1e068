//! What readings, and columns of them, owe their uncertainty to.

use super::line::{Line, MOST_LISTED, amount, dof, total, total_line};
use super::source::{clauses, exact, is_totalled, kind, reason, sources, worked_out};
use crate::course::Combine;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Column, Record, Repeated, Source};
use crate::quantity::{Decimal, Kind, Rounding, round};
use crate::render::figure::{self, Figure};
use crate::render::piece::{Math, Piece, Sign};
use crate::render::words;
use crate::render::{View, amount, column, coverage, number, unit};

pub(super) fn reading<'r>(view: View<'r>, quantity: &'r Quantity, record: &Record) -> Vec<Line<'r>> {
    if quantity.exact {
        return vec![exact(view, quantity)];
    }
    let mut lines = sources(view, quantity);
    if quantity.measure.is_some_and(|measure| is_totalled(view, quantity, measure.uncertainty)) {
        let sum = if view.course.combine == Combine::Sum { record.sum } else { None };
        lines.extend(total(view, quantity, sum));
    }
    lines.extend(quantity.measure.and_then(|measure| dof(view, &measure, quantity.sources.len() > 1)));
    lines.extend(ties(view, quantity));
    if let Some(claimed) = record.claimed.as_ref().filter(|claimed| !claimed.alone) {
        let amount = claimed.amount.and_then(|amount| self::amount(Some(amount), amount.to_f64(), quantity, view));
        let line = Line::saying(words::TOTAL_CLAIMED, view.course);
        lines.push(Line { amount: amount.into_iter().map(Piece::Math).collect(), total: true, ..line });
    }
    lines
}

pub(super) fn repeated<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &'r Repeated) -> Vec<Line<'r>> {
    let mut lines = vec![recorded(view, quantity, repeated)];
    lines.extend(left_out(view, quantity, repeated));
    if quantity.exact {
        lines.push(exact(view, quantity));
        return lines;
    }
    lines.extend(sources(view, quantity));
    if quantity.sources.len() > 1 {
        lines.extend(total(view, quantity, None));
    }
    lines.extend(quantity.measure.and_then(|measure| dof(view, &measure, quantity.sources.len() > 1)));
    lines.extend(ties(view, quantity));
    lines
}

/// What the rows of a column of readings owe their uncertainty to.
pub(super) fn of_rows<'r>(view: View<'r>, quantity: &'r Quantity, column: &Column) -> Vec<Line<'r>> {
    if quantity.exact {
        return vec![exact(view, quantity)];
    }
    if quantity.sources.is_empty() {
        return vec![Line::saying(words::NO_SOURCE, view.course)];
    }
    let same = column::same_uncertainty(column);
    if clauses(view, quantity).is_empty() {
        return vec![Line::saying(words::IN_ROWS, view.course)];
    }
    let line = |source: &'r Source| Line {
        source: kind(source, view.course),
        amount: in_rows(source, quantity, column, same.is_some(), view).map(Piece::Math).into_iter().collect(),
        reason: reason(source, quantity, view),
        ..Line::default()
    };
    let mut lines: Vec<Line<'_>> = quantity.sources.iter().map(line).collect();
    let total = same.filter(|&total| is_totalled(view, quantity, total));
    lines.extend(total.and_then(|total| total_line(view, quantity, total, None)));
    lines
}

/// The amount of a source in every row of a column: as it is written, and how much that comes to where it is the
/// same in all of them.
fn in_rows<'r>(
    source: &'r Source,
    quantity: &'r Quantity,
    column: &Column,
    same: bool,
    view: View<'r>,
) -> Option<Math<'r>> {
    if let (Kind::Repeat, Some(repeat)) = (&source.kind, &column.repeat) {
        return amount(None, number::spread(repeat.deviation, &quantity.unit), quantity, view);
    }
    match &source.written {
        Some(written) if !same && amount::varies(written) => amount::math(written, view.course),
        None if !same && source.kind == Kind::Counting => {
            Some(Math::Root(2, Box::new(Math::Symbol(quantity.symbol.clone()))))
        }
        None if !same => None,
        _ => worked_out(source, quantity, view),
    }
}

/// What a reading is tied to.
fn ties<'r>(view: View<'r>, quantity: &Quantity) -> Vec<Line<'r>> {
    let said = coverage::ties(view, quantity).into_iter();
    said.map(|(source, reason)| Line { source, reason, ..Line::default() }).collect()
}

/// What was recorded, and the mean of what counts.
fn recorded<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &Repeated) -> Line<'r> {
    let (course, unit) = (view.course, &quantity.unit.shown);
    let mut row = Vec::new();
    for value in repeated.values.iter().take(MOST_LISTED) {
        row.extend((!row.is_empty()).then_some(Math::Sign(Sign::Comma)));
        row.push(number::typed(value.value, None).math(unit::NONE, course.decimal));
    }
    let mut values = vec![Piece::Math(figure::finish(row, None, unit))];
    if let Some(more) = repeated.values.len().checked_sub(MOST_LISTED).filter(|&more| more > 0) {
        values.push(Piece::text(" "));
        values.extend(words::MORE_VALUES.filled(course, [("count", vec![Piece::text(more.to_string())])]));
    }
    let mean = mean(view, quantity, repeated).map(|mean| words::MEAN.filled(course, [("mean", vec![mean])]));
    values.extend(mean.into_iter().flat_map(|mean| [Piece::text("; ")].into_iter().chain(mean)));
    let deviation = repeated.deviation.and_then(|deviation| amount(None, deviation, quantity, view));
    let deviation = deviation.map(|math| words::SCATTER.filled(course, [("scatter", vec![Piece::Math(math)])]));
    values.extend(deviation.into_iter().flat_map(|text| [Piece::text("; ")].into_iter().chain(text)));
    let count = vec![Piece::text(repeated.values.len().to_string())];
    Line { source: words::READINGS.filled(course, [("count", count)]), reason: values, ..Line::default() }
}

/// The mean to one place more than the readings have.
fn mean<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &Repeated) -> Option<Piece<'r>> {
    let place = repeated.values.iter().map(|value| value.value.decimal.last_place()).min()? - 1;
    let measure = quantity.measure?;
    let mean = Decimal::of_f64(quantity.unit.from_si(measure.value))?;
    let value = round::to_place(mean, place, Rounding::Nearest);
    let figure = Figure { value, uncertainty: None, power: None }.scaled();
    Some(Piece::Math(figure.math(&quantity.unit.shown, view.course.decimal)))
}

fn left_out<'r>(view: View<'r>, quantity: &'r Quantity, repeated: &'r Repeated) -> Vec<Line<'r>> {
    let pairs = repeated.values.iter().zip(&repeated.left_out);
    let line = |value: Math<'r>, reason: &'r str| Line {
        source: words::LEFT_OUT.filled(view.course, [("value", vec![Piece::Math(value)])]),
        reason: vec![Piece::text(reason)],
        ..Line::default()
    };
    pairs
        .filter_map(|(value, reason)| {
            let figure = number::typed(value.value, None);
            reason.as_ref().map(|reason| line(figure.math(&quantity.unit.shown, view.course.decimal), reason))
        })
        .collect()
}
