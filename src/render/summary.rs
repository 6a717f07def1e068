//! The tables that an author asks for: the budget of one quantity, a summary of all.

use std::collections::HashSet;

use super::View;
use super::column;
use super::number;
use super::piece::{Column, Group, Math, Piece, Row, Table};
use super::rationale;
use super::style::{own_unit, relative};
use super::words;
use crate::evaluate::{Quantity, QuantityId, sheet};
use crate::parse::ast::{Against, Comparison, Item};

/// Every source of one quantity, whatever its number.
pub(super) fn budget(view: View<'_>, id: QuantityId) -> Table<'_> {
    let mut table = rationale::whole(view, id);
    table.caption = words::BUDGET.of(view.course).into();
    table
}

/// One line a quantity, in the order of the report; `None` where there are none.
pub(super) fn summary(view: View<'_>) -> Option<Table<'_>> {
    let course = view.course;
    let column = |word: words::Word, numeric| Column { heading: word.of(course).into(), numeric };
    let used = used(view);
    let quantities = view.sheet.quantities.iter().enumerate();
    let mut rows = quantities
        .filter(move |(id, quantity)| !matches!(quantity.origin, sheet::Origin::Constant(_)) || used.contains(id))
        .filter_map(move |(id, quantity)| {
            let value = match column::column(view, id) {
                Some((_, column)) => of_rows(view, quantity, column)?,
                None => {
                    let unit = own_unit(quantity);
                    vec![Piece::Math(number::figure(view, id, Some(unit))?.math(&unit.shown, course.decimal))]
                }
            };
            let cells = vec![
                vec![Piece::Math(Math::Symbol(quantity.symbol.clone()))],
                words::name_of(quantity, course).map(Piece::text).into_iter().collect(),
                value,
                relative(view, quantity).into_iter().collect(),
            ];
            Some(Row { cells, total: false })
        })
        .peekable();
    rows.peek().is_some().then(|| Table {
        caption: words::SUMMARY.of(course).into(),
        columns: vec![
            column(words::QUANTITY, false),
            column(words::NAME, false),
            column(words::VALUE, true),
            column(words::RELATIVE, true),
        ],
        groups: vec![Group { title: Vec::new(), rows: Box::new(rows) }],
    })
}

/// The quantities that another one is worked out from, or that are shown. A course may give a report more constants than it
/// needs.
fn used(view: View<'_>) -> HashSet<QuantityId> {
    let operands = view.sheet.quantities.iter().flat_map(|quantity| quantity.operands.iter().copied());
    let shown = view.items.iter().filter_map(|parsed| match parsed.item.as_ref()? {
        Item::Mention(mention) => Some(&mention.symbol.value),
        Item::Comparison(comparison) => Some(&comparison.left.value),
        Item::Budget(symbol) => Some(&symbol.value),
        _ => None,
    });
    let compared = view.items.iter().filter_map(|parsed| match parsed.item.as_ref()? {
        Item::Comparison(Comparison { right: Against::Symbol(symbol), .. }) => Some(&symbol.value),
        _ => None,
    });
    operands.chain(shown.chain(compared).filter_map(|symbol| Some(view.sheet.find(symbol)?.0))).collect()
}

/// `10 rows: 2.10 ± 0.05 cm to 8.45 ± 0.05 cm`: the least and the greatest value of a column.
fn of_rows<'r>(view: View<'r>, quantity: &'r Quantity, column: &sheet::Column) -> Option<Vec<Piece<'r>>> {
    let held = || column.rows.iter().filter(|row| row.measure.is_some());
    let by_value = |a: &&sheet::Row, b: &&sheet::Row| {
        let value = |row: &sheet::Row| row.measure.map_or(f64::NAN, |measure| measure.value);
        value(a).total_cmp(&value(b))
    };
    let end = |row: &sheet::Row| {
        let figure = column::figure(view, quantity, column, row)?;
        Some(vec![Piece::Math(figure.math(&quantity.unit.shown, view.course.decimal))])
    };
    let (low, high) = (end(held().min_by(by_value)?)?, end(held().max_by(by_value)?)?);
    let count = vec![Piece::text(held().count().to_string())];
    Some(words::ROWS.filled(view.course, [("count", count), ("low", low), ("high", high)]))
}
