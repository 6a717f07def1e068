//! The tables that an author asks for: the budget of one quantity, a summary of all.

use super::View;
use super::number;
use super::piece::{Column, Group, Math, Piece, Row, Table};
use super::rationale;
use super::style::{own_unit, relative};
use super::words;
use crate::evaluate::QuantityId;

/// Every source of one quantity, whatever its number.
pub(super) fn budget(view: View<'_>, id: QuantityId) -> Table {
    let mut table = rationale::whole(view, id);
    table.caption = words::BUDGET.of(view.course).to_owned();
    table
}

/// One line a quantity, in the order of the report; `None` where there are none.
pub(super) fn summary(view: View<'_>) -> Option<Table> {
    let course = view.course;
    let column = |word: words::Word, numeric| Column { heading: word.of(course).to_owned(), numeric };
    let known = view.sheet.quantities.iter().enumerate().filter(|(_, quantity)| quantity.measure.is_some());
    let rows: Vec<Row> = known
        .map(|(id, quantity)| {
            let unit = own_unit(quantity);
            let value = number::figure(view, id, Some(unit)).map(|f| Piece::Math(f.math(&unit.shown, course.decimal)));
            let cells = vec![
                vec![Piece::Math(Math::Symbol(quantity.symbol.clone()))],
                words::name_of(quantity, course).map(|name| Piece::Text(name.to_owned())).into_iter().collect(),
                value.into_iter().collect(),
                relative(view, quantity).into_iter().collect(),
            ];
            Row { cells, total: false }
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: words::SUMMARY.of(course).to_owned(),
        columns: vec![
            column(words::QUANTITY, false),
            column(words::NAME, false),
            column(words::VALUE, true),
            column(words::RELATIVE, true),
        ],
        groups: vec![Group { title: Vec::new(), rows }],
    })
}
