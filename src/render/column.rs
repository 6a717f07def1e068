//! Columns of a table: their headings, and the cells that the tool fills.

use super::View;
use super::figure::{self, Figure};
use super::number;
use super::piece::{Math, Piece, Sign};
use crate::evaluate::sheet::{Column, Measure, Origin, Row};
use crate::evaluate::{Quantity, QuantityId};
use crate::locate::Table;
use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, figures};
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
pub(super) fn heading(view: View<'_>, id: QuantityId) -> Option<Vec<Piece>> {
    let (quantity, column) = column(view, id)?;
    let mut pieces: Vec<Piece> = quantity.name.iter().map(|name| Piece::Text(format!("{name} "))).collect();
    pieces.push(Piece::Math(over_unit(quantity)));
    if let Some(amount) = common_uncertainty(view, quantity, column) {
        let figure = Figure { value: amount, uncertainty: None, power: None };
        let amount = figure.math(&Spelling::default(), view.course.decimal);
        pieces.push(Piece::Text(", ".into()));
        pieces.push(Piece::Math(Math::row(vec![Math::Sign(Sign::PlusMinus), amount])));
    }
    Some(pieces)
}

/// `x / cm`, `k / (N/m)`; a pure number is its symbol alone.
pub(super) fn over_unit(quantity: &Quantity) -> Math {
    let symbol = Math::Symbol(quantity.symbol.clone());
    if quantity.unit.is_one() {
        return symbol;
    }
    let unit = figure::behind_number(&quantity.unit.shown);
    let compound = unit.over.len() + unit.under.len() > 1;
    let shown = Math::BareUnit(unit);
    let shown = if compound { Math::Bracket(Box::new(shown)) } else { shown };
    Math::row(vec![symbol, Math::Sign(Sign::Over), shown])
}

/// Of a column of readings: the uncertainty of every row, where it is the same.
fn common_uncertainty(view: View<'_>, quantity: &Quantity, column: &Column) -> Option<Decimal> {
    if column.result {
        return None;
    }
    let mut amounts = column.rows.iter().filter_map(|row| row.measure).map(|measure| measure.uncertainty);
    let first = amounts.next().filter(|&amount| amount > 0.0)?;
    let same = amounts.all(|amount| (amount - first).abs() <= 1e-9 * first);
    let amount = Decimal::of_f64(number::spread(first, &quantity.unit)).filter(|_| same)?;
    Some(figures::uncertainty(amount, view.course.digits, view.course.round))
}

/// The empty cells of a result column and what they are filled with. A cell that Markdown takes for
/// missing at its row's end stands where its neighbour ends: which of the two it is, nobody can tell, and
/// it is left alone.
pub(super) fn filled(view: View<'_>, id: QuantityId) -> Vec<(Span, Vec<Piece>)> {
    let Some((quantity, column)) = column(view, id).filter(|(_, column)| column.result) else { return Vec::new() };
    let Some(table) = view.document.tables.get(column.table) else { return Vec::new() };
    let rows = column.rows.iter().enumerate();
    let empty = rows.filter(|(number, row)| is_empty(view, row) && stands_alone(table, *number, row.cell));
    empty.filter_map(|(_, row)| Some((row.cell, vec![value(view, quantity, row.measure?)?]))).collect()
}

fn is_empty(view: View<'_>, row: &Row) -> bool {
    row.cell.of(view.document.source).trim().is_empty()
}

fn stands_alone(table: &Table, row: usize, cell: Span) -> bool {
    let cells = table.rows.get(row).map_or(&[][..], |cells| cells);
    !cell.is_empty() || cells.iter().filter(|other| other.start <= cell.start && cell.end <= other.end).count() == 1
}

/// A value without its unit, which the heading has.
fn value(view: View<'_>, quantity: &Quantity, measure: Measure) -> Option<Piece> {
    let figure = number::of_measure(view, measure, &quantity.unit)?;
    Some(Piece::Math(figure.math(&Spelling::default(), view.course.decimal)))
}
