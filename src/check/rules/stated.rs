//! `stated`: a figure of the author's own that is not what comes out.

use std::sync::Arc;

use crate::check::desk::Desk;
use crate::check::own::{self, Own};
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::course::Course;
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Claimed, Measure, Origin, Row, Stated};
use crate::quantity::{Decimal, Kind, Rounding, Unit, figures, round};

pub(super) static RULE: Rule = Rule {
    name: "stated",
    group: "results",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a stated result, or a total behind `±` beside its own sources, that differs from what those \
               sources and formulas come to.",
        why: "The report then says two things. Either a number was worked out from rounded values, or a source is missing.",
        wrong: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 2.00 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 43.5 ± 0.5 cm/s}.\n",
        right: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 2.00 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 42.0 ± 0.5 cm/s}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

/// What binary arithmetic may add to half a unit: sums of a hundred terms stay far below it.
const NOISE: f64 = 1e-9;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Some(measure) = quantity.measure.map(|measure| own::shown(desk, quantity, &measure)) else { continue };
        match &quantity.origin {
            Origin::Result { stated: Some(_) } => {
                found
                    .extend(own::figure(desk, quantity).and_then(|own| of_result(&own, &measure, desk.context.course)));
            }
            Origin::Reading(record) => found.extend(of_total(record.claimed.as_ref(), quantity, &measure)),
            Origin::Repeated(repeated) => found.extend(of_total(repeated.claimed.as_ref(), quantity, &measure)),
            _ => {}
        }
    }
    for (_, quantity) in desk.sound() {
        let Origin::Column(column) = &quantity.origin else { continue };
        // Where digits count, rows differ: the first is meant.
        let first = column.rows.iter().find(|row| row.own.is_none()).and_then(|row| row.measure);
        found.extend(first.and_then(|measure| of_total(column.claimed.as_deref(), quantity, &measure)));
        if column.result {
            found.extend(column.rows.iter().filter_map(|row| of_cell(desk, row, quantity)));
        }
    }
}

/// Does this rule speak of what was stated of a result?
pub(super) fn speaks_of<'r>(desk: &Desk<'r>, quantity: &'r Quantity) -> bool {
    let both = quantity.measure.zip(own::figure(desk, quantity));
    both.is_some_and(|(measure, own)| {
        of_result(&own, &own::shown(desk, quantity, &measure), desk.context.course).is_some()
    })
}

/// A number in a cell of a result column is the author's own.
fn of_cell(desk: &Desk<'_>, row: &Row, quantity: &Quantity) -> Option<Finding> {
    let (value, measure, unit) = (row.typed?, own::shown(desk, quantity, row.measure.as_ref()?), &quantity.unit);
    let stated = Stated { value, uncertainty: row.own, unit: Arc::clone(unit), span: desk.trimmed(row.cell) };
    let course = desk.context.course;
    let finding = of_result(&Own { stated: &stated, uncertainty: row.own }, &measure, course)?;
    let right = reported(unit.from_si(measure.value), measure.uncertainty / unit.factor(), course, &Unit::one());
    let right = if row.own.is_some() { &right } else { right.split(" ±").next()? };
    let help = format!("write `{right}`, or leave the cell empty, and it is filled");
    Some(Finding { help, ..finding })
}

fn of_result(own: &Own<'_>, measure: &Measure, course: &Course) -> Option<Finding> {
    let Own { stated, uncertainty: typed } = own;
    let uncertainty = measure.uncertainty / stated.unit.factor();
    let value = stated.unit.from_si(measure.value);
    let value_differs = !value_holds(stated.value.decimal, value, uncertainty, course);
    let uncertainty_differs =
        typed.is_some_and(|typed| !within_half(typed, uncertainty, place_of(typed, uncertainty, course)));
    let (what, own, computed) = match (value_differs, uncertainty_differs) {
        (false, false) => return None,
        (true, _) => ("value", stated.value.decimal, value),
        (false, true) => ("uncertainty", (*typed)?, uncertainty),
    };
    let message = format!(
        "the stated {what} is {}, but {} comes out",
        say::with_unit(&say::decimal(own), &stated.unit),
        say::with_unit(
            &computed_as(computed, own.figures().clamp(3, 6), value_differs && uncertainty > 0.0),
            &stated.unit
        )
    );
    let right = reported(value, uncertainty, course, &stated.unit);
    let help = format!("write `{right}`, or look for a rounded number, a wrong unit or a missing source");
    Some(RULE.at(stated.span, message, help))
}

/// What comes out: of a measured value with the zeros that its author could have stated.
fn computed_as(computed: f64, figures: u32, zeros: bool) -> String {
    match Decimal::of_f64(computed).filter(|_| zeros) {
        Some(exact) => say::decimal(round::to_figures(exact, figures, Rounding::Nearest)),
        None => say::to_figures(computed, figures),
    }
}

/// Half a unit of the coarser of the stated figure's own last place and the place of the uncertainty.
fn value_holds(stated: Decimal, computed: f64, uncertainty: f64, course: &Course) -> bool {
    let own = stated.last_place();
    let place = Decimal::of_f64(uncertainty).filter(|uncertainty| !uncertainty.is_zero()).map_or(own, |uncertainty| {
        figures::uncertainty(uncertainty, course.digits, course.round).last_place().max(own)
    });
    within_half(stated, computed, place)
}

/// The place down to which a typed uncertainty speaks: its last, but the zeros of a whole number may only keep
/// the place, as in 510 ± 10, and then no finer one is meant than that of the uncertainty as the course reports it.
fn place_of(typed: Decimal, uncertainty: f64, course: &Course) -> i32 {
    let own = typed.last_place();
    let zeros = typed.trimmed().last_place();
    let reported = || Decimal::of_f64(uncertainty).map(|u| figures::uncertainty(u, course.digits, course.round));
    match reported().filter(|_| own >= 0 && zeros > own) {
        Some(reported) => own.max(zeros.min(reported.last_place())),
        None => own,
    }
}

/// Is the difference at most half a unit of the place, ties included?
fn within_half(stated: Decimal, computed: f64, place: i32) -> bool {
    let half = 0.5 * Decimal::step(place).to_f64();
    libm::fabs(stated.to_f64() - computed) <= half * (1.0 + NOISE)
}

fn of_total(claimed: Option<&Claimed>, quantity: &Quantity, measure: &Measure) -> Option<Finding> {
    let claimed = claimed.filter(|claimed| !claimed.alone)?;
    let unit = quantity.unit.as_difference();
    let computed = measure.uncertainty / unit.factor();
    let typed = claimed.typed?;
    if within_half(typed, computed, typed.last_place()) {
        return None;
    }
    let message = format!(
        "the total here is {}, but the sources beside it come to {}",
        say::with_unit(&say::decimal(typed), &unit),
        say::with_unit(&say::number(computed), &unit)
    );
    if computed == 0.0 {
        let help =
            "if this is one more source, say what kind it is in place of `±`, as in `instrument 0.1 cm \"data sheet\"`";
        return Some(RULE.at(claimed.span, message, help));
    }
    let right = Decimal::of_f64(computed).map(|exact| round::to_figures(exact, 2, Rounding::Nearest))?;
    let scatter_alone = quantity.sources.iter().all(|source| source.kind == Kind::Repeat);
    let help = if scatter_alone {
        let amount = say::with_unit(&say::decimal(typed), &unit);
        format!(
            "name its kind in place of `±`, as in `reading {amount}`, and it counts beside the scatter; or write `± {}`",
            say::decimal(right)
        )
    } else {
        format!("write `± {}`, or correct the source that is wrong or missing", say::decimal(right))
    };
    Some(RULE.at(claimed.span, message, help))
}

/// As the course reports it.
fn reported(value: f64, uncertainty: f64, course: &Course, unit: &Unit) -> String {
    let (Some(value), Some(uncertainty)) = (Decimal::of_f64(value), Decimal::of_f64(uncertainty)) else {
        return say::with_unit(&say::number(value), unit);
    };
    let rounded = figures::together(value, uncertainty, course.digits, course.round);
    let value = say::decimal(rounded.value);
    match rounded.uncertainty {
        Some(uncertainty) => say::with_unit(&format!("{value} ± {}", say::decimal(uncertainty)), unit),
        None => say::with_unit(&value, unit),
    }
}
