//! Why an uncertainty is what it is: of each reading the sources as its author states them, of each
//! result what every source contributes.

mod line;
mod reading;
mod result;
mod source;

use super::View;
use super::number;
use super::picture::Picture;
use super::piece::{Column, Group, Piece, Row, Table};
use super::style::{equation, formula_of, long_formula, own_unit, printed};
use super::words;
use super::{column, coverage, quality};
use crate::course::Course;
use crate::evaluate::sheet::{self, Asked, Origin};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Item, Reading};
use line::Line;
use reading::of_rows;
use result::beside_stated;

/// Rows of a result before the rest is added up in one line.
const MOST_ROWS: usize = 12;
/// How far the search for the sources of one result may go, so that all of them together cost no more
/// than so much a result.
const MOST_STEPS: usize = 500;

/// The rationale of several quantities; `None` of none.
pub(super) fn table(view: View<'_>, quantities: impl Iterator<Item = QuantityId>) -> Option<Table<'_>> {
    let mut said = Vec::new();
    let sections = quantities.filter_map(|id| section(view, id, (MOST_ROWS, MOST_STEPS), &mut said));
    let sections: Vec<Section<'_>> = sections.collect();
    (!sections.is_empty()).then(|| set_out(view.course, sections))
}

/// The rationale of one quantity with every row.
pub(super) fn whole(view: View<'_>, id: QuantityId) -> Table<'_> {
    let mut section = section(view, id, (usize::MAX, 10 * MOST_STEPS), &mut Vec::new());
    for line in section.iter_mut().flat_map(|section| &mut section.lines) {
        line.share.splice(0..0, line.part.map(|part| Piece::Picture(Picture::Share(part))));
    }
    set_out(view.course, section.into_iter().collect())
}

/// The rows of one quantity, before it is known which columns the table has.
struct Section<'r> {
    title: Vec<Piece<'r>>,
    lines: Vec<Line<'r>>,
    is_result: bool,
}

/// A table has the columns that its sections need: shares belong to results, reasons to readings.
fn set_out<'r>(course: &'r Course, sections: Vec<Section<'r>>) -> Table<'r> {
    let shares = sections.iter().any(|section| section.is_result);
    let reasons = sections.iter().any(|section| !section.is_result);
    let amount = if reasons { words::AMOUNT } else { words::CONTRIBUTION };
    let columns = [
        (true, words::SOURCE, false),
        (true, amount, true),
        (shares, words::SHARE, true),
        (reasons, words::REASON, false),
    ];
    let groups = sections.into_iter().map(|section| Group {
        title: section.title,
        rows: Box::new(section.lines.into_iter().map(move |line| row(line, shares, reasons))),
    });
    Table {
        caption: words::RATIONALE.of(course).into(),
        columns: columns
            .into_iter()
            .filter(|&(there, ..)| there)
            .map(|(_, word, numeric)| Column { heading: word.of(course).into(), numeric })
            .collect(),
        groups: groups.collect(),
    }
}

fn row(line: Line<'_>, shares: bool, reasons: bool) -> Row<'_> {
    let Line { source, amount, share, reason, total, .. } = line;
    let cells = [Some(source), Some(amount), shares.then_some(share), reasons.then_some(reason)];
    Row { cells: cells.into_iter().flatten().collect(), total }
}

/// `said`: the lines whose quality the table tells already.
fn section<'r>(
    view: View<'r>,
    id: QuantityId,
    (rows, steps): (usize, usize),
    said: &mut Vec<Asked>,
) -> Option<Section<'r>> {
    let quantity = view.sheet.quantities.get(id)?;
    if let Some((quantity, column)) = column::column(view, id) {
        return Some(of_column(view, quantity, column));
    }
    let title = title(view, id, quantity)?;
    let (lines, is_result) = match &quantity.origin {
        Origin::Reading(record) => (reading::reading(view, quantity, record), false),
        Origin::Repeated(repeated) => (reading::repeated(view, quantity, repeated), false),
        Origin::Result { stated } => {
            let mut lines = result::result(view, quantity, rows, steps);
            let sayings = quality::said(view, quantity, said);
            lines.extend(sayings.into_iter().map(|source| Line { source, ..Line::default() }));
            lines.extend(stated.is_some().then(|| beside_stated(view, quantity)).flatten());
            (lines, true)
        }
        // Of a column that failed there is nothing to say.
        Origin::Column(_) | Origin::Constant(_) | Origin::Unread => return None,
    };
    Some(Section { title, lines, is_result })
}

/// A column's sources as its heading states them, which hold for every row; of a result column its formula.
fn of_column<'r>(view: View<'r>, quantity: &'r Quantity, column: &sheet::Column) -> Section<'r> {
    let mut title: Vec<Piece<'_>> = quantity.name.iter().map(|name| Piece::text(format!("{name} "))).collect();
    title.push(Piece::Math(column::over_unit(quantity)));
    let formula = formula_of(view, quantity);
    let formula = formula.map(|formula| printed(view, formula).unwrap_or_else(|| long_formula(view, formula)));
    title.extend(
        formula.into_iter().flat_map(|formula| [Piece::text(": "), Piece::Math(equation(&quantity.symbol, [formula]))]),
    );
    let lines = match column.result {
        true => coverage::of_rows(view).into_iter().map(|source| Line { source, ..Line::default() }).collect(),
        false => of_rows(view, quantity, column),
    };
    Section { title, lines, is_result: false }
}

/// `length: L = 71.5 ± 1.5 mm`; of a result with its formula.
fn title<'r>(view: View<'r>, id: QuantityId, quantity: &'r Quantity) -> Option<Vec<Piece<'r>>> {
    let unit = own_unit(quantity);
    let figure = number::figure(view, id, Some(unit))?.math(&unit.shown, view.course.decimal);
    let formula = formula_of(view, quantity);
    let formula = formula.map(|formula| printed(view, formula).unwrap_or_else(|| long_formula(view, formula)));
    let mut pieces: Vec<Piece<'_>> = quantity.name.iter().map(|name| Piece::text([name, ": "].concat())).collect();
    pieces.push(Piece::Math(equation(&quantity.symbol, formula.into_iter().chain([figure]))));
    let remark = item(view, quantity).and_then(|reading| reading.remark.as_ref());
    pieces.extend(remark.map(|remark| Piece::text(format!(" ({})", remark.value))));
    Some(pieces)
}

fn item<'r>(view: View<'r>, quantity: &Quantity) -> Option<&'r Reading> {
    match view.items.get(quantity.item)?.item.as_ref()? {
        Item::Reading(reading) => Some(reading),
        _ => None,
    }
}
