//! `expected-disagrees`: a result that is not what the course expects.

use crate::check::desk::Desk;
use crate::check::expectation;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::course::{Combine, Expected};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Measure;
use crate::parse;
use crate::parse::ast::AmountStep;
use crate::quantity::{Exact, Unit};

pub(super) static RULE: Rule = Rule {
    name: "expected-disagrees",
    group: "results",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a quantity that the course lists under `expected` with a value, where the report's own does not agree with \
               it within the limits of both.",
        why: "It may be a discovery; more often a unit, a power of ten or a source of uncertainty is wrong. The record itself is \
              not to be changed for it.",
        wrong: "---\nmeniscus:\n  expected:\n    m: {value: 52.0 ± 0.5 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; instrument 0.2 g \"data sheet\"}.\n",
        right: "---\nmeniscus:\n  expected:\n    m: {value: 48.6 ± 0.5 g}\n---\n\n\
                The wax weighs ~{m = 48.3 g; instrument 0.2 g \"data sheet\"}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, symbol, expected) in expectation::all(desk) {
        let Some((_, quantity)) = desk.context.sheet.find(&symbol) else { continue };
        let Some((measure, other)) = quantity.measure.as_ref().zip(reference(desk, expected)) else { continue };
        if other.unit.dimension == measure.dimension && disagree(desk, quantity, measure, &other) {
            let text = expected.value.as_deref().unwrap_or_default();
            let message = format!("`{symbol}` does not agree with the {text} that the course expects");
            let help = format!(
                "{}: look for a wrong unit, a slip or a missing source before you explain it",
                own(quantity, measure)
            );
            found.push(RULE.at(quantity.span, message, help));
        }
    }
}

/// What the course expects, in its own unit.
struct Reference {
    unit: Unit,
    value: Exact,
    uncertainty: f64,
}

fn reference(desk: &Desk<'_>, expected: &Expected) -> Option<Reference> {
    let estimate = parse::estimate(expected.value.as_deref()?).ok()?;
    let unit = estimate.unit.as_ref().map_or_else(|| Some(Unit::one()), |unit| desk.unit(&unit.value))?;
    let value = Exact::of(estimate.value.value.decimal)?;
    let uncertainty = match &estimate.total {
        None => 0.0,
        Some(total) => match &total.value.amount.steps[..] {
            [AmountStep::Number(number)] => number.value.decimal.to_f64(),
            _ => return None,
        },
    };
    Some(Reference { unit, value, uncertainty })
}

/// Are the two farther apart than their limits reach, whatever the way of combining?
fn disagree(desk: &Desk<'_>, quantity: &Quantity, measure: &Measure, other: &Reference) -> bool {
    let Some(totals) = desk.context.sheet.propagation.totals(measure.node) else { return false };
    let own = totals.combined(Combine::Sum).max(desk.context.sheet.reported(quantity, measure));
    let limits = own + other.uncertainty * other.unit.factor();
    libm::fabs(measure.value - other.unit.to_si(other.value)) > limits * (1.0 + 1e-9)
}

fn own(quantity: &Quantity, measure: &Measure) -> String {
    let value = say::to_figures(quantity.unit.from_si(measure.value), 4);
    format!("it is {} here", say::with_unit(&value, &quantity.unit))
}
