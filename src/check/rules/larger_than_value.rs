//! `larger-than-value`: 3 ± 5.

use crate::check::desk::Desk;
use crate::check::own;
use crate::check::say;
use crate::check::uses::{closure, users};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Binary, Function, Item, Step};
use crate::quantity::{Dimension, Kind};

pub(super) static RULE: Rule = Rule {
    name: "larger-than-value",
    group: "results",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a quantity whose uncertainty is larger than its value. Zero, differences, all that is worked out of \
               differences, and temperatures on a scale with its own zero are spared.",
        why: "Then the measurement says little more than that the thing exists. Mostly a power of ten or a unit went wrong.",
        wrong: "The rubber band stretches by ~{x = 2.4 mm; reading 5 mm \"it swings\"}.\n",
        right: "The rubber band stretches by ~{x = 24.0 mm; reading 0.5 mm \"it swings\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let large = |quantity: &Quantity| {
        let measure = quantity.measure.filter(|measure| !measure.point && measure.value != 0.0)?;
        let measure = own::shown(desk, quantity, &measure);
        // No thermodynamic temperature is below zero: this is a difference.
        let difference = measure.value < 0.0 && measure.dimension == Dimension::new([0, 0, 0, 0, 1, 0, 0]);
        (measure.uncertainty > libm::fabs(measure.value) && !counted(quantity) && !difference).then_some(measure)
    };
    let suspects: Vec<_> = desk.sound().filter_map(|(id, quantity)| Some((id, quantity, large(quantity)?))).collect();
    if suspects.is_empty() {
        return;
    }
    let users = users(desk.context.sheet);
    // What is worked out of another one is as doubtful, and that is said there.
    let follow = suspects.iter().flat_map(|(id, ..)| users[*id].iter().copied()).chain(differences(desk));
    let spared = closure(follow.collect(), &users);
    for (id, quantity, measure) in suspects {
        if spared.contains(&id) {
            continue;
        }
        let unit = quantity.unit.as_difference();
        let in_unit = |x: f64| say::with_unit(&say::number(x / unit.factor()), &unit);
        let message = format!(
            "the uncertainty of `{}`, {}, is larger than its value, {}",
            quantity.symbol,
            in_unit(measure.uncertainty),
            in_unit(measure.value)
        );
        let help = "check the power of ten and the units of both; if they are right, say what the result is good for";
        found.push(RULE.at(quantity.span, message, help));
    }
}

/// One event or none is a fair count.
fn counted(quantity: &Quantity) -> bool {
    quantity.sources.iter().any(|source| source.kind == Kind::Counting)
}

/// Results by subtraction; an intercept and a scatter are such, and near zero by their nature.
fn differences(desk: &Desk<'_>) -> Vec<QuantityId> {
    let quantities = desk.context.sheet.quantities.iter().enumerate();
    quantities.filter(|(_, quantity)| desk.item(quantity.item).is_some_and(subtracts)).map(|(id, _)| id).collect()
}

fn subtracts(item: &Item) -> bool {
    let Item::Result(derived) = item else { return false };
    derived.formula.steps.iter().any(|step| {
        let scatters = matches!(step.value, Step::Call(Function::Intercept | Function::Sd | Function::Sem, _));
        scatters || matches!(step.value, Step::Binary(Binary::Subtract) | Step::Negate)
    })
}
