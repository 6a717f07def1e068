//! `uneven-digits`: readings from one instrument that end at different places.

use crate::check::desk::Desk;
use crate::check::displayed;
use crate::check::instrument;
use crate::check::say;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Origin;
use crate::quantity::{Decimal, Exact};
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "uneven-digits",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a value of a repeated reading that has fewer digits than the others, or at the only one that has more; and at a cell of \
               a column, read from a display, that has fewer digits than the other cells.",
        why: "One instrument shows the same places every time. Mostly a zero at the end was dropped, and a zero is a digit that \
              was read.",
        wrong: "The gate swings in ~{t = 2.31, 2.3, 2.28, 2.33 s; reaction 0.20 s \"by hand\"}.\n",
        right: "The gate swings in ~{t = 2.31, 2.30, 2.28, 2.33 s; reaction 0.20 s \"by hand\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        match &quantity.origin {
            Origin::Repeated(_) => found.extend(of_list(&displayed::values(quantity))),
            Origin::Column(column) if !column.result => found.extend(of_cells(desk, quantity)),
            _ => {}
        }
    }
}

/// The values of a repeated reading: those with fewer digits, or the one that has more than all the others.
fn of_list(values: &[Spanned<Decimal>]) -> Option<Finding> {
    let place = |value: &Spanned<Decimal>| value.value.last_place();
    let finest = values.iter().map(place).min()?;
    let mut coarse = values.iter().filter(|value| place(value) > finest);
    let first = coarse.next()?;
    let mut fine = values.iter().filter(|value| place(value) == finest);
    if let (Some(odd), None) = (fine.next(), fine.next())
        && coarse.next().is_some()
    {
        let message = format!("this value has more digits than the others of its list, down to {}", say::step(finest));
        let help = "record every value to the same place: leave out what was not read, or write it for the others too";
        return Some(RULE.at(odd.span, message, help));
    }
    let message = format!(
        "this value has fewer digits than the others of its list, which end at the place of {}",
        say::step(finest)
    );
    let help = "record every value to the same place: where a zero was read at the end, write it";
    let coarse = values.iter().filter(|value| place(value) > finest).skip(1);
    Some(
        coarse
            .take(5)
            .fold(RULE.at(first.span, message, help), |finding, other| finding.beside(other.span, "so does this one")),
    )
}

/// The first cell of a column that has fewer digits than the display shows, or than other cells.
fn of_cells<'r>(desk: &Desk<'r>, quantity: &'r Quantity) -> Option<Finding> {
    let values = displayed::values(quantity);
    let (place, first) = match instrument::display(desk, quantity) {
        Some(step) => short_of_display(step, &values)?,
        None if words::of(desk, quantity).is_some_and(|told| told.is_display(desk)) => short_of_others(&values)?,
        None => return None,
    };
    let message = format!(
        "this value has fewer digits than the others of its column, which end at the place of {}",
        say::step(place)
    );
    let help = "record every digit that the display shows, a zero at the end included";
    Some(RULE.at(displayed::place(desk, quantity, first), message, help))
}

/// The place of a display's step, and the first value that ends above it, where not all of them do.
fn short_of_display(step: Exact, values: &[Spanned<Decimal>]) -> Option<(i32, Span)> {
    let place = step.decimal()?.trimmed().last_place();
    let short = |value: &&Spanned<Decimal>| value.value.last_place() > place;
    let first = values.iter().find(short)?;
    (!values.iter().all(|value| short(&value))).then_some((place, first.span))
}

/// The finest place of all, and the first value that ends above it. A display that changes its range shows fewer
/// decimals of larger numbers: only a value is meant that is not larger than one with more of them.
fn short_of_others(values: &[Spanned<Decimal>]) -> Option<(i32, Span)> {
    let place = values.iter().map(|value| value.value.last_place()).min()?;
    let size = |value: &Spanned<Decimal>| libm::fabs(value.value.to_f64());
    let fine = values.iter().filter(|value| value.value.last_place() == place);
    let largest = fine.map(size).fold(0.0, f64::max);
    let first = values.iter().find(|value| value.value.last_place() > place && size(value) <= largest)?;
    Some((place, first.span))
}
