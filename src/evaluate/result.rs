//! Formulas to quantities: what a result uses, in which order, and what it comes to.

use std::collections::HashMap;
use std::sync::Arc;

use super::amount::Magnitude;
use super::around::Around;
use super::evaluator::Evaluator;
use super::fault::{Doing, FaultKind};
use super::formula;
use super::known::Known;
use super::reading::uncertainty_of;
use super::sheet::{Measure, Origin, QuantityId, Stated};
use super::units::difference;
use crate::parse::ast::{AmountStep, Clause, Derived, Estimate, Formula, Step, Symbol};
use crate::quantity::{Decimal, Exact, Unit};
use crate::span::Span;

/// The quantities that a formula uses, each once, in its order; unknown ones left out. `used_by` says of each quantity
/// which was the last that it has been found for.
pub(super) fn operands(
    user: QuantityId,
    formula: &Formula,
    by_symbol: &HashMap<Symbol, QuantityId>,
    used_by: &mut [Option<QuantityId>],
) -> Vec<QuantityId> {
    let symbols = formula.steps.iter().filter_map(|step| match &step.value {
        Step::Symbol(symbol) => by_symbol.get(symbol).copied(),
        _ => None,
    });
    symbols.filter(|&id| used_by[id].replace(user) != Some(user)).collect()
}

/// Works a result out. Every quantity that it uses has been before.
pub(super) fn evaluate(item: usize, derived: &Derived, known: &Known<'_>, evaluator: &mut Evaluator<'_>) -> Outcome {
    let wanted = derived.unit.as_ref().map(|spelling| (spelling.span, evaluator.unit_at(spelling, item)));
    let worked = formula::evaluate(&derived.formula, &mut Around::new(known, evaluator, None));
    let (unit, measure) = match worked {
        Ok(outcome) => measured(outcome, wanted, item, evaluator),
        Err(fault) => {
            let at = fault.span;
            evaluator.fault(item, at, fault.value);
            also_unknown(&derived.formula, at, item, known, evaluator);
            (wanted.and_then(|(_, unit)| unit), None)
        }
    };
    let unit = unit.unwrap_or_else(|| evaluator.one());
    let stated = stated(derived, item, &unit, measure.as_ref(), evaluator);
    Outcome { unit, measure, origin: Origin::Result { stated: stated.map(Box::new) } }
}

/// A formula stops at what goes wrong first, at `at`; symbols that nobody defines are wrong all the same.
pub(super) fn also_unknown(formula: &Formula, at: Span, item: usize, known: &Known<'_>, evaluator: &mut Evaluator<'_>) {
    for step in formula.steps.iter().filter(|step| step.span != at) {
        if let Step::Symbol(symbol) = &step.value
            && !known.by_symbol.contains_key(symbol)
        {
            evaluator.fault(item, step.span, FaultKind::UnknownSymbol { symbol: symbol.clone(), nearest: None });
        }
    }
}

/// The unit that a formula's outcome is shown in, and the outcome as a quantity; none where it cannot be shown in
/// the unit wanted.
fn measured(
    outcome: formula::Outcome,
    wanted: Option<(Span, Option<Arc<Unit>>)>,
    item: usize,
    evaluator: &mut Evaluator<'_>,
) -> (Option<Arc<Unit>>, Option<Measure>) {
    let formula::Outcome { value, dimension, point, derivatives, remarks } = outcome;
    for remark in remarks {
        evaluator.fault(item, remark.span, remark.value);
    }
    let unit = match wanted {
        None => Arc::new(Unit::coherent(dimension)),
        Some((_, None)) => return (None, None),
        Some((span, Some(unit))) if unit.dimension != dimension => {
            let (left, right) = (unit.dimension, dimension);
            evaluator.fault(item, span, FaultKind::UnitsDiffer { doing: Doing::ShowingIn, left, right });
            return (Some(unit), None);
        }
        // A difference of temperatures has no zero point.
        Some((_, Some(unit))) if !point => difference(&unit),
        Some((_, Some(unit))) => unit,
    };
    let node = evaluator.propagation.quantity(derivatives);
    (Some(unit), Some(Measure { value, uncertainty: 0.0, dimension, point, node }))
}

/// What a result comes to.
pub(super) struct Outcome {
    pub(super) unit: Arc<Unit>,
    pub(super) measure: Option<Measure>,
    pub(super) origin: Origin,
}

/// The author's own figure.
fn stated(
    derived: &Derived,
    item: usize,
    unit: &Arc<Unit>,
    computed: Option<&Measure>,
    evaluator: &mut Evaluator<'_>,
) -> Option<Stated> {
    let (estimate, span) = derived.clauses.iter().find_map(|clause| match &clause.value {
        Clause::Stated(estimate) => Some((estimate, clause.span)),
        _ => None,
    })?;
    let own = match &estimate.unit {
        Some(spelling) => evaluator.unit_at(spelling, item)?,
        None => evaluator.one(),
    };
    // Of a difference of temperatures, `39.4 degC` has no zero point either.
    let own = if computed.is_some_and(|measure| !measure.point) { difference(&own) } else { own };
    if computed.is_some() && own.dimension != unit.dimension {
        let kind = FaultKind::UnitsDiffer { doing: Doing::Stated, left: unit.dimension, right: own.dimension };
        evaluator.fault(item, estimate.unit.as_ref().map_or(span, |unit| unit.span), kind);
        return None;
    }
    let uncertainty = match stated_uncertainty(estimate, &own, evaluator) {
        Some(Err(kind)) => {
            evaluator.fault(item, span, kind);
            None
        }
        Some(Ok(uncertainty)) => Some(uncertainty),
        None => None,
    };
    Some(Stated { value: estimate.value.value, uncertainty, unit: own, span })
}

fn stated_uncertainty(
    estimate: &Estimate,
    unit: &Arc<Unit>,
    evaluator: &mut Evaluator<'_>,
) -> Option<Result<Decimal, FaultKind>> {
    let total = &estimate.total.as_ref()?.value;
    let amount = uncertainty_of(total, estimate.value.value.decimal, unit, unit, evaluator);
    // As it was typed it keeps its zeros.
    let typed = match total.amount.steps.as_slice() {
        [AmountStep::Number(number)] => Some(number.value.decimal),
        [AmountStep::Number(number), AmountStep::Unit(own)] => {
            estimate.unit.as_ref().filter(|unit| unit.value == own.value).map(|_| number.value.decimal)
        }
        _ => None,
    };
    let decimal = |m: Magnitude| {
        if let Some(typed) = typed {
            return typed.abs();
        }
        let exact = m.exact().and_then(Exact::decimal);
        exact.or_else(|| Decimal::of_f64(m.float())).unwrap_or(Decimal::ZERO)
    };
    Some(amount.map(decimal))
}
