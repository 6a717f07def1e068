//! What the rooms below `course` lend it, so that a course file's amounts are judged where they stand.

use crate::check;
use crate::course::{self, Correlation, Notation, Size, Sizeless};
use crate::evaluate;
use crate::evaluate::fault::FaultKind;
use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::Units;
use crate::quantity::constants::CONSTANTS;
use crate::quantity::unit::Spelling;
use crate::render::words;

/// What the room `course` needs to know of those below it.
pub const NOTATION: Notation = Notation {
    rules: rule_names,
    words: all_words,
    amount,
    estimate: units_of_estimate,
    correlation,
    unit,
    symbol: is_symbol,
    units: evaluate::units::of_course,
};

fn rule_names() -> Vec<&'static str> {
    check::rules().iter().map(|rule| rule.name).collect()
}

fn all_words() -> Vec<(String, &'static str)> {
    let written = words::ALL.iter().map(|word| (word.key.to_owned(), word.text));
    written.chain(CONSTANTS.iter().map(|constant| (words::key_of_constant(constant), constant.name))).collect()
}

fn is_symbol(text: &str) -> bool {
    parse::symbol(text).is_ok()
}

fn amount(text: &str) -> Option<Box<dyn course::Amount>> {
    Some(Box::new(parse::amount(text).ok()?))
}

impl course::Amount for Amount {
    fn units(&self) -> Vec<Spelling> {
        spellings(self)
    }

    fn size(&self, units: &Units) -> Size {
        evaluate::units::size(self, units).map_err(|fault| match fault {
            FaultKind::UnitsDiffer { .. } => Sizeless::UnitsDiffer,
            FaultKind::AmountWithoutSize { why } => Sizeless::Because(why),
            _ => Sizeless::Because("one of its units is not known"),
        })
    }
}

fn units_of_estimate(text: &str) -> Option<Vec<Spelling>> {
    let estimate = parse::estimate(text).ok()?;
    let own = estimate.unit.into_iter().map(|unit| unit.value);
    Some(own.chain(estimate.total.iter().flat_map(|total| spellings(&total.value.amount))).collect())
}

fn correlation(text: &str) -> Option<Correlation> {
    let read = parse::correlation(text).ok()?;
    let coefficient = read.coefficient.value.decimal.to_f64();
    Some(Correlation { symbols: read.symbols.map(|symbol| symbol.value.to_string()), coefficient })
}

fn unit(text: &str) -> Option<Spelling> {
    parse::unit(text).ok()
}

fn spellings(amount: &Amount) -> Vec<Spelling> {
    let units = amount.steps.iter().filter_map(|step| match step {
        AmountStep::Unit(spelling) => Some(spelling.value.clone()),
        _ => None,
    });
    units.collect()
}
