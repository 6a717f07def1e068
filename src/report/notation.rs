//! What the rooms below `course` lend it, so that a course file's amounts are judged where they stand.

use crate::check;
use crate::course::Notation;
use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::unit::Spelling;
use crate::render::words;

/// What the room `course` needs to know of those below it.
pub const NOTATION: Notation =
    Notation { rules: rule_names, words: word_keys, amount: units_of_amount, estimate: units_of_estimate, unit };

fn rule_names() -> Vec<&'static str> {
    check::rules().iter().map(|rule| rule.name).collect()
}

fn word_keys() -> Vec<&'static str> {
    words::ALL.iter().map(|word| word.key).collect()
}

fn units_of_amount(text: &str) -> Option<Vec<Spelling>> {
    parse::amount(text).ok().map(|amount| spellings(&amount))
}

fn units_of_estimate(text: &str) -> Option<Vec<Spelling>> {
    let estimate = parse::estimate(text).ok()?;
    let own = estimate.unit.into_iter().map(|unit| unit.value);
    Some(own.chain(estimate.total.iter().flat_map(|total| spellings(&total.value.amount))).collect())
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
