//! `retyped-value`: a rounded number typed into a formula where its symbol would do.

use std::collections::HashMap;

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::{Measure, Origin};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Item, Number, Step};
use crate::quantity::{Decimal, Dimension, Exact, Rounding, Unit, round};
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "retyped-value",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a number in a formula, of three figures or more and with its unit, that equals a quantity of the report, as \
               recorded or as rounded.",
        why: "A number typed again carries no uncertainty and keeps none of the digits that were rounded away.",
        wrong: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 1.32 s; reaction 0.02 s \"light gate\"}: \
                ~{v = 84.0[cm] / t}, ~{w = s / 2}.\n",
        right: "The marble rolls ~{s = 84.0 cm; reading 0.1 cm \"edge\"} in ~{t = 1.32 s; reaction 0.02 s \"light gate\"}: \
                ~{v = s / t}, ~{w = s / 2}.\n",
        edit: Some("Writes the quantity's symbol, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

/// The fewest figures by which a number is known again; shorter ones meet by chance.
const FEWEST: u32 = 3;

/// The most figures at which results are compared: nobody types more.
const MOST: u32 = 8;

/// A value as it is compared: its dimension, and its size in SI to ten figures.
type Key = (Dimension, u64);

/// The largest share of a number that its rounding to [`FEWEST`] figures takes or adds, and more.
const ROUNDED: f64 = 0.02;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let numbers: Vec<Typed<'_>> = desk.spelt_items().flat_map(|(item, content)| typed(desk, item, content)).collect();
    if numbers.is_empty() {
        return;
    }
    let known = known(desk, &numbers);
    for Typed { item, key, step, .. } in numbers {
        let Some(quantity) = known.get(&key).and_then(|&id| desk.context.sheet.quantities.get(id)) else { continue };
        if quantity.item != item {
            let symbol = &quantity.symbol;
            let message = format!(
                "{} is the value of `{symbol}`, typed again without its uncertainty",
                say::quoted(desk.text(step.span))
            );
            let finding = RULE.at(step.span, message, format!("write `{symbol}` if that is what is meant"));
            found.push(
                finding
                    .beside(quantity.span, format!("`{symbol}` is defined here"))
                    .suggest(step.span, symbol.as_str()),
            );
        }
    }
}

/// A number with a unit in a formula that has figures enough.
struct Typed<'r> {
    item: usize,
    decimal: Decimal,
    /// Its size in SI.
    size: f64,
    key: Key,
    step: &'r Spanned<Step>,
}

fn typed<'r>(desk: &Desk<'_>, item: usize, content: &'r Item) -> impl Iterator<Item = Typed<'r>> {
    let formula = match content {
        Item::Result(derived) => Some(&derived.formula),
        _ => None,
    };
    formula.into_iter().flat_map(|formula| &formula.steps).filter_map(move |step| match &step.value {
        Step::Number(Number { decimal, .. }, Some(unit)) if decimal.figures() >= FEWEST => {
            let (size, key) = key(*decimal, &desk.unit(&unit.value)?)?;
            Some(Typed { item, decimal: *decimal, size, key, step })
        }
        _ => None,
    })
}

/// Every value that could be typed again to one of these numbers, the first quantity of each.
fn known(desk: &Desk<'_>, numbers: &[Typed<'_>]) -> HashMap<Key, QuantityId> {
    let figures = Figures::of(numbers.iter().map(|number| number.decimal));
    let mut sizes: Vec<f64> = numbers.iter().map(|number| libm::fabs(number.size)).collect();
    sizes.sort_by(f64::total_cmp);
    // Most values are far from all of them, and need not be rounded to know that.
    let near = |measure: Measure| {
        let size = libm::fabs(measure.value);
        let next = sizes.partition_point(|other| *other < size * (1.0 - ROUNDED));
        sizes.get(next).is_some_and(|other| *other <= size * (1.0 + ROUNDED))
    };
    let mut known = HashMap::new();
    for (id, quantity) in desk.sound().filter(|(_, quantity)| !quantity.exact && quantity.measure.is_none_or(near)) {
        for value in faces(quantity, figures) {
            if let Some((_, key)) = key(value, &quantity.unit) {
                known.entry(key).or_insert(id);
            }
        }
    }
    known
}

/// The decimals by which a quantity is known: as recorded, or as rounded to so many figures.
fn faces(quantity: &Quantity, figures: Figures) -> Vec<Decimal> {
    match (&quantity.origin, quantity.measure) {
        (Origin::Reading(record), _) => vec![record.value.value.decimal],
        (_, Some(measure)) => {
            let value = Decimal::of_f64(quantity.unit.from_si(measure.value));
            let rounded = |value: Decimal| figures.each().map(move |n| round::to_figures(value, n, Rounding::Nearest));
            value.into_iter().flat_map(rounded).collect()
        }
        _ => Vec::new(),
    }
}

/// To how many figures the report's formulas have numbers, a bit each: results are rounded to no others.
#[derive(Clone, Copy)]
struct Figures(u32);

impl Figures {
    fn of(numbers: impl Iterator<Item = Decimal>) -> Self {
        // A number with zeros at its end may be the rounding to fewer figures: 1200 of 1204.
        let both = |number: Decimal| [number.figures(), number.trimmed().figures().max(FEWEST)];
        Self(numbers.flat_map(both).filter(|&n| n <= MOST).fold(0, |bits, n| bits | 1 << n))
    }

    fn each(self) -> impl Iterator<Item = u32> {
        (FEWEST..=MOST).filter(move |n| self.0 & 1 << n != 0)
    }
}

/// The bits of a double (IEEE 754-2019, 3.4) that ten figures take: 33 of its 52 behind the point.
const DROPPED_BITS: u32 = 19;

/// A value's size in SI, and what it is looked up by; zero is everybody's value.
fn key(value: Decimal, unit: &Unit) -> Option<(f64, Key)> {
    let size = unit.to_si(Exact::of(value).unwrap_or(Exact::ZERO));
    // Half a unit of the last bit kept: the product of two roundings lies on either side of the true value.
    let rounded = (size.to_bits() + (1 << (DROPPED_BITS - 1))) >> DROPPED_BITS;
    (!value.is_zero()).then_some((size, (unit.dimension, rounded)))
}
