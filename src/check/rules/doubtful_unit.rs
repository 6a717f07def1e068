//! `doubtful-unit`: a unit that can be read, but hardly means what it says.

use std::cell::LazyCell;
use std::collections::HashSet;
use std::sync::Arc;

use crate::check::desk::Desk;
use crate::check::paper::clauses;
use crate::check::say;
use crate::check::typed::amounts;
use crate::check::words::{self, Phrases};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::fault::{Doing, FaultKind};
use crate::parse::ast::{AmountStep, Clause, Head, Item};
use crate::quantity::Dimension;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "doubtful-unit",
    group: "writing",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a unit that means something else than its author most likely believes: `m/s^-2`, which is metres times \
               seconds squared; `ms^-1`, which is per millisecond; a temperature in `C`, which is the coulomb, or in `°`, which is an angle; a time in `S`; a pressure in `mb`, which is the millibarn; `gr`, which is the grain; \
               `Grad`, which is a thousand million radians.",
        why: "Such a unit is read without complaint, and every result that uses it is off by powers of ten or of another kind.",
        wrong: "The marble reaches ~{v = 1.27 ms^-1; instrument 0.02 ms^-1 \"light gate\"} at the end.\n",
        right: "The marble reaches ~{v = 1.27 m/s; instrument 0.02 m/s \"light gate\"} at the end.\n",
        edit: Some("Writes the unit that was most likely meant, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

/// Words of a temperature.
static WARMTH: Phrases = Phrases::new(&[
    "temperature",
    "temperatures",
    "thermometer",
    "thermocouple",
    "warm",
    "cold",
    "hot",
    "cooling",
    "heated",
    "melting",
]);

/// Words of a temperature that are hardly said of an angle.
static TEMPERATURE: Phrases = Phrases::new(&["temperature", "temperatures", "thermometer", "thermocouple"]);

/// Words of a time.
static TIME: Phrases = Phrases::new(&["time", "times", "period", "swing", "swings", "stopwatch"]);

/// Words of a pressure.
static PRESSURE: Phrases =
    Phrases::new(&["pressure", "pressures", "barometer", "barometric", "manometer", "atmospheric"]);

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let pressures = LazyCell::new(|| measures_pressures(desk));
    // Where its uncertainties are in another unit, that contradicts it, and `units-differ` says so.
    let contradicted: HashSet<usize> = desk
        .faults()
        .filter(|fault| matches!(fault.kind, FaultKind::UnitsDiffer { doing: Doing::Amount, .. }))
        .map(|fault| fault.item)
        .collect();
    for (_, item) in desk.spelt_items().filter(|(number, _)| !contradicted.contains(number)) {
        let Some(unit) = unit_of(item) else { continue };
        let meant = doubt(&unit.value, item).or_else(|| millibarn(&unit.value).filter(|_| *pressures));
        let Some((says, right)) = meant else { continue };
        let message = format!("{} {says}", say::quoted(desk.text(unit.span)));
        let finding = RULE.at(unit.span, message, format!("write `{right}` if that is what you mean"));
        let alike = amounts(item).flat_map(|amount| &amount.steps).filter_map(|step| match step {
            AmountStep::Unit(other) if other.value == unit.value && other.span != unit.span => Some(other.span),
            _ => None,
        });
        // The amounts of its sources were meant in the same unit.
        let places = [unit.span].into_iter().chain(alike);
        found.push(places.fold(finding, |finding, place| finding.suggest(place, right.as_str())));
    }
}

/// The unit of an item that this rule doubts, what it says and what was most likely meant.
pub(super) fn doubted(item: &Item) -> Option<(Span, &'static str, String)> {
    let unit = unit_of(item)?;
    doubt(&unit.value, item).map(|(says, right)| (unit.span, says, right))
}

fn unit_of(item: &Item) -> Option<&Spanned<Spelling>> {
    match item {
        Item::Reading(reading) => reading.unit.as_ref(),
        Item::Result(derived) => derived.unit.as_ref(),
        Item::Column(column) => column.unit.as_ref(),
        Item::Mention(mention) => mention.unit.as_ref(),
        _ => None,
    }
}

/// What a unit says, and what was most likely meant.
fn doubt(unit: &Spelling, item: &Item) -> Option<(&'static str, String)> {
    if unit.under.iter().any(|&(_, power)| power < 0) {
        let mut right = unit.clone();
        right.under.iter_mut().for_each(|(_, power)| *power = power.abs());
        return Some((
            "has a negative power behind its slash, which puts that factor above again",
            say::spelling(&right),
        ));
    }
    match (&unit.over[..], &unit.under[..]) {
        ([(symbol, power)], []) if symbol == "ms" && (-3..0).contains(power) => {
            let right = Spelling { over: vec![("m".into(), 1)], under: vec![("s".into(), -power)] };
            Some(("is a power of milliseconds, and has no metres in it", say::spelling(&right)))
        }
        ([(symbol, 1)], []) if symbol == "gr" => Some((
            "is the grain, some 65 mg, so every result is off by a factor of fifteen if grams are meant",
            "g".into(),
        )),
        ([(symbol, 1)], []) if matches!(symbol.as_str(), "°" | "deg") && is_of(item, &[], &TEMPERATURE) => {
            Some(("is the degree, an angle, but this is a temperature", "degC".into()))
        }
        ([(symbol, 1)], []) if symbol == "Grad" => {
            Some(("is a thousand million radians", if is_warmth(item) { "degC" } else { "deg" }.into()))
        }
        ([(symbol, 1)], []) if symbol == "S" && is_of(item, &["t", "T", "τ"], &TIME) => {
            Some(("is the siemens, a conductance, but this is a time", "s".into()))
        }
        ([(symbol, 1)], []) if symbol == "mb" && is_of(item, &["p", "P"], &PRESSURE) => millibarn(unit),
        ([(symbol, 1)], []) if symbol == "C" && is_warmth(item) => {
            Some(("is the coulomb, a charge, but this is a temperature", "degC".into()))
        }
        ([(symbol, 1)], []) if symbol == "F" && is_warmth(item) => {
            Some(("is the farad, a capacitance, but this is a temperature", "degF".into()))
        }
        _ => None,
    }
}

/// `mb` is common for the millibar, and in the SI's rules the millibarn.
fn millibarn(unit: &Spelling) -> Option<(&'static str, String)> {
    (unit.alone() == Some("mb")).then(|| ("is the millibarn, an area, but this is a pressure", "mbar".into()))
}

/// Is anything in the report given in a unit of pressure?
fn measures_pressures(desk: &Desk<'_>) -> bool {
    // The pascal: kg/(m*s^2).
    let pascal = Dimension::new([-1, 1, -2, 0, 0, 0, 0]);
    desk.context.sheet.quantities.iter().any(|quantity| quantity.unit.dimension == pascal)
}

fn is_warmth(item: &Item) -> bool {
    is_of(item, &["T", "θ", "ϑ"], &WARMTH)
}

/// Has a quantity one of these symbols, or do its name or its reasons hold one of these words?
fn is_of(item: &Item, symbols: &[&str], said: &Phrases) -> bool {
    let head: &Head = match item {
        Item::Reading(reading) => &reading.head,
        Item::Result(derived) => &derived.head,
        Item::Column(column) => &column.head,
        _ => return false,
    };
    let reasons = clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Source { reason, .. } => reason.as_ref(),
        _ => None,
    });
    let speaks = |text: &Spanned<Arc<str>>| said.are_in(&words::plain(&text.value));
    symbols.contains(&head.symbol.value.base()) || head.name.iter().chain(reasons).any(speaks)
}
