//! `no-uncertainty`: a reading without any.

use crate::check::bare;
use crate::check::desk::Desk;
use crate::check::paper::{self, is_without_uncertainty};
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;

pub(super) static RULE: Rule = Rule {
    name: "no-uncertainty",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a reading that states no source of uncertainty and is not said to be exact, or at a cell without one among cells \
               that have theirs.",
        why: "A measured number without its uncertainty cannot be compared with anything, and it enters every result as if \
              it were perfect.",
        wrong: "The clay pot is ~{h = 14.3 cm} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: None,
        source: "JCGM 100:2008, 7.2.1: a result is complete only with its uncertainty",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    found.extend(desk.sound().filter_map(|(_, quantity)| of_cells(desk, quantity)));
    for (_, quantity) in desk.sound() {
        let span = match &quantity.origin {
            Origin::Reading(record) => record.value.span,
            // Where all but one are left out, that one has no scatter.
            Origin::Repeated(_) if quantity.measure.is_some() => quantity.span,
            // Of an empty table there is nothing to be uncertain yet.
            Origin::Column(column)
                if !column.result && column.rows.iter().any(|row| row.typed.is_some() && row.own.is_none()) =>
            {
                quantity.span
            }
            _ => continue,
        };
        if !is_without_uncertainty(quantity) || bare::is_number_alone(quantity) || desk.ambiguous(quantity.item) {
            continue;
        }
        let message =
            format!("`{}` is measured but has no uncertainty, so it counts as perfectly known", quantity.symbol);
        found.push(RULE.at(span, message, help(quantity)));
    }
}

/// A column whose cells carry their own uncertainties, all but some: the first of those.
fn of_cells(desk: &Desk<'_>, quantity: &Quantity) -> Option<Finding> {
    let Origin::Column(column) = &quantity.origin else { return None };
    if column.result || is_without_uncertainty(quantity) || !paper::clauses(desk.item(quantity.item)?).is_empty() {
        return None;
    }
    let mut bare = column.rows.iter().filter(|row| row.measure.is_some_and(|measure| measure.uncertainty == 0.0));
    let span = desk.trimmed(bare.next()?.cell);
    let which = match bare.count() {
        0 => "this cell has no uncertainty, and counts",
        1 => "this cell and another one of its column have no uncertainty, and count",
        others => &format!("this cell and {others} others of its column have no uncertainty, and count"),
    };
    let message = format!("{which} as perfectly known, while the column's other cells have theirs");
    let help = "write it behind the number, as in `2.10 ± 0.05`, or into the heading for all cells that say nothing";
    Some(RULE.at(span, message, help))
}

fn help(quantity: &Quantity) -> &'static str {
    if quantity.unit.is_one() {
        "add `; counting` for a count of random events, `; exact \"why\"` for a number that was simply counted"
    } else {
        "add what limits it, as in `; reading 1/4 of 1 mm \"what was hard to see\"`, or `; with` and the instrument"
    }
}
