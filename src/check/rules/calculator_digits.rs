//! `calculator-digits`: a stated result with all that the calculator showed.

use std::sync::Arc;

use crate::check::desk::Desk;
use crate::check::judge::MOST_FIGURES;
use crate::check::own::{self, Own};
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Measure, Origin, Stated};
use crate::quantity::{Decimal, Rounding, figures, round};

pub(super) static RULE: Rule = Rule {
    name: "calculator-digits",
    group: "figures",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a stated result, or a typed cell of a result column, whose digits go far beyond its uncertainty, and at a stated \
               uncertainty of more than two figures.",
        why: "Digits behind the doubtful one are the calculator's, not the laboratory's.",
        wrong: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 1.32 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 63.63636 cm/s}.\n",
        right: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 1.32 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t in cm/s; stated 64 cm/s}.\n",
        edit: None,
        source: "JCGM 100:2008, 7.2.6: at most two figures of an uncertainty as a rule",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Some((measure, Own { stated, uncertainty })) = quantity.measure.zip(own::figure(desk, quantity)) else {
            continue;
        };
        // It says what to write in place of both figures.
        if super::stated::speaks_of(desk, quantity) {
            continue;
        }
        let measure = &own::shown(desk, quantity, &measure);
        let message = match uncertainty {
            Some(typed) if typed.figures() > MOST_FIGURES => {
                format!(
                    "this stated uncertainty has {} figures, and nobody knows an uncertainty that well",
                    typed.figures()
                )
            }
            None if drowned(stated, measure) => {
                "this stated result has digits far beyond its uncertainty, which the calculator made".into()
            }
            _ => continue,
        };
        found.push(RULE.at(stated.span, message, help(desk, stated, measure)));
    }
    found.extend(desk.sound().filter_map(|(_, quantity)| of_cells(desk, quantity)));
}

/// The author's own cells of a result column: what was done in one was done in most, and is said once.
fn of_cells(desk: &Desk<'_>, quantity: &Quantity) -> Option<Finding> {
    let Origin::Column(column) = &quantity.origin else { return None };
    let typed = column.rows.iter().filter(|row| column.result && row.own.is_none());
    let mut cells = typed.filter_map(|row| {
        let (value, measure) = (row.typed?, own::shown(desk, quantity, row.measure.as_ref()?));
        let unit = Arc::clone(&quantity.unit);
        let stated = Stated { value, uncertainty: None, unit, span: desk.trimmed(row.cell) };
        drowned(&stated, &measure).then_some((stated, measure))
    });
    let (stated, measure) = cells.next()?;
    let which = match cells.count() {
        0 => "this cell has",
        1 => "this cell and another one of its column have",
        others => &format!("this cell and {others} others of its column have"),
    };
    let message = format!("{which} digits far beyond the uncertainty, which the calculator made");
    let value = say::decimal(rounded(desk, &stated, &measure)?.value);
    Some(RULE.at(stated.span, message, format!("write `{value}`, or leave the cell empty, and it is filled")))
}

/// Has the computed uncertainty more than two figures at the last place of the stated value?
fn drowned(stated: &Stated, measure: &Measure) -> bool {
    let uncertainty = Decimal::of_f64(measure.uncertainty / stated.unit.factor()).filter(|u| !u.is_zero());
    uncertainty.is_some_and(|u| {
        round::to_place(u, stated.value.decimal.last_place(), Rounding::Nearest).figures() > MOST_FIGURES
    })
}

/// The result as the course reports it.
pub(super) fn help(desk: &Desk<'_>, stated: &Stated, measure: &Measure) -> String {
    match rounded(desk, stated, measure) {
        Some(figures::Rounded { value, uncertainty: Some(u) }) => {
            let both = format!("{} ± {}", say::decimal(value), say::decimal(u));
            format!("write `{}`", say::with_unit(&both, &stated.unit))
        }
        _ => "write as many digits as the uncertainty leaves standing".into(),
    }
}

fn rounded(desk: &Desk<'_>, stated: &Stated, measure: &Measure) -> Option<figures::Rounded> {
    let course = desk.context.course;
    let value = Decimal::of_f64(stated.unit.from_si(measure.value))?;
    let uncertainty = Decimal::of_f64(measure.uncertainty / stated.unit.factor())?;
    Some(figures::together(value, uncertainty, course.digits, course.round))
}
