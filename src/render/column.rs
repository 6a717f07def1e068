//! Columns of a table: their headings, and the cells that the tool fills.

use super::View;
use super::figure::{self, Figure};
use super::number;
use super::piece::{Math, Piece, Sign};
use super::style;
use super::unit;
use crate::evaluate::sheet::{Column, Measure, Origin, Row};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::Style;
use crate::quantity::{Decimal, Rounding, round};
use crate::span::Span;

/// The column of a quantity, where its rows could be worked out.
pub(super) fn column<'r>(view: View<'r>, id: QuantityId) -> Option<(&'r Quantity, &'r Column)> {
    let quantity = view.sheet.quantities.get(id)?;
    match &quantity.origin {
        Origin::Column(column) if !column.failed => Some((quantity, column)),
        _ => None,
    }
}

/// `extension x / cm`: what stands below are pure numbers, the quantity over its unit (ISO 80000-1:2009,
/// 7.1.4, from memory); with the uncertainty where all rows share it.
pub(super) fn heading<'r>(view: View<'r>, id: QuantityId) -> Option<Vec<Piece<'r>>> {
    let (quantity, column) = column(view, id)?;
    let mut pieces: Vec<Piece<'_>> = quantity.name.iter().map(|name| Piece::text(format!("{name} "))).collect();
    pieces.push(Piece::Math(over_unit(quantity)));
    if let Some(amount) = common_uncertainty(view, quantity, column) {
        let figure = Figure { value: amount, uncertainty: None, power: None };
        let amount = figure.math(unit::NONE, view.course.decimal);
        pieces.push(Piece::text(", "));
        pieces.push(Piece::Math(Math::row(vec![Math::Sign(Sign::PlusMinus), amount])));
    }
    Some(pieces)
}

/// How a column is mentioned: by its name, where that is asked for, else by its heading.
pub(super) fn called(view: View<'_>, id: QuantityId, style: Style) -> Option<Vec<Piece<'_>>> {
    match style {
        Style::Name => column(view, id).map(|(quantity, _)| vec![style::name(view, quantity)]),
        _ => heading(view, id),
    }
}

/// `x / cm`, `k / (N/m)`; a pure number is its symbol alone.
pub(super) fn over_unit(quantity: &Quantity) -> Math<'_> {
    let symbol = Math::Symbol(quantity.symbol.clone());
    if quantity.unit.is_one() {
        return symbol;
    }
    let unit = figure::behind_number((&quantity.unit.shown).into());
    let compound = unit.over.len() + unit.under.len() > 1;
    let shown = Math::BareUnit(unit);
    let shown = if compound { Math::Bracket(Box::new(shown)) } else { shown };
    Math::row(vec![symbol, Math::Sign(Sign::Over), shown])
}

/// Of a column of readings: the uncertainty of its rows, where it is shown alike in all of them.
fn common_uncertainty(view: View<'_>, quantity: &Quantity, column: &Column) -> Option<Decimal> {
    if column.result {
        return None;
    }
    let mut amounts = column.rows.iter().filter_map(|row| {
        let amount = near(row.measure?.uncertainty, quantity)?;
        Some(number::total_at(view, amount, row.typed?.decimal.last_place()))
    });
    let first = amounts.next()??;
    amounts.all(|amount| amount == Some(first)).then_some(first)
}

/// The uncertainty that every row has, in SI; `None` where they differ.
pub(super) fn same_uncertainty(column: &Column) -> Option<f64> {
    let mut amounts = column.rows.iter().filter_map(|row| row.measure).map(|measure| measure.uncertainty);
    let first = amounts.next()?;
    amounts.all(|amount| (amount - first).abs() <= 1e-9 * first).then_some(first)
}

/// An SI uncertainty in the quantity's unit, without what the arithmetic of doubles leaves behind.
fn near(uncertainty: f64, quantity: &Quantity) -> Option<Decimal> {
    const FIGURES: u32 = 12;
    let amount = Decimal::of_f64(number::spread(uncertainty, &quantity.unit))?;
    Some(round::to_figures(amount, FIGURES, Rounding::Nearest))
}

/// A cell of a result column that its author left empty.
#[derive(Clone, Copy, Debug)]
pub(super) struct Blank {
    /// Where it is.
    pub(super) address: Address,
    /// The blanks in it.
    pub(super) span: Span,
    quantity: QuantityId,
    measure: Measure,
}

/// Which cell of a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Address {
    /// Which of the document's tables.
    pub(super) table: usize,
    /// The row, from 0.
    pub(super) row: usize,
    /// The column, from 0.
    pub(super) column: usize,
}

/// The cells of a column that are to be filled.
pub(super) fn blanks<'r>(view: View<'r>, quantity: QuantityId) -> impl Iterator<Item = Blank> + use<'r> {
    let results = column(view, quantity).map(|(_, column)| column).filter(|column| column.result);
    results.into_iter().flat_map(move |column| {
        column.rows.iter().enumerate().filter_map(move |(row, cell)| {
            let measure = cell.measure.filter(|_| is_empty(view, cell))?;
            let address = Address { table: column.table, row, column: column.column };
            Some(Blank { address, span: cell.cell, quantity, measure })
        })
    })
}

fn is_empty(view: View<'_>, row: &Row) -> bool {
    row.cell.of(view.document.source).trim().is_empty()
}

/// Does a cell stand in its row, even if it is empty? One that is missing at the row's end has no pipe behind it.
pub(super) fn stands(view: View<'_>, cell: Span) -> bool {
    !cell.is_empty() || view.document.source.get(cell.start..).is_some_and(|rest| rest.starts_with('|'))
}

/// A value without its unit, which the heading has.
pub(super) fn filling<'r>(view: View<'r>, blank: &Blank) -> Option<Piece<'r>> {
    let quantity = view.sheet.quantities.get(blank.quantity)?;
    let figure = number::of_measure(view, quantity, blank.measure, &quantity.unit)?;
    Some(Piece::Math(figure.math(unit::NONE, view.course.decimal)))
}

/// What a row holds: a reading with the digits that were recorded, a result with those that its uncertainty leaves.
pub(super) fn figure(view: View<'_>, quantity: &Quantity, column: &Column, row: &Row) -> Option<Figure> {
    let measure = row.measure?;
    match row.typed.filter(|_| !column.result) {
        Some(typed) => {
            let amount = near(measure.uncertainty, quantity)?;
            Some(number::typed(typed, number::total_at(view, amount, typed.decimal.last_place())))
        }
        None => number::of_measure(view, quantity, measure, &quantity.unit),
    }
}
