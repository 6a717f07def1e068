//! Mentions and comparisons: quantities shown again, and held against each other.

use std::sync::Arc;

use super::amount::Magnitude;
use super::evaluator::Evaluator;
use super::fault::{Doing, FaultKind};
use super::known::Known;
use super::propagate::Node;
use super::reading::uncertainty_of;
use super::sheet::{Compared, Measure, Origin, QuantityId, View};
use super::units::difference;
use crate::course::{Agree, Combine};
use crate::parse::ast::{Against, Comparison, Estimate, Mention, Symbol};
use crate::quantity::Exact;
use crate::span::Spanned;

/// Which uncertainty of the right side is shown.
enum Beside {
    /// The one that was typed, in SI.
    Typed(f64),
    /// Of a reading the combined one.
    Combined,
    /// Of a result the expanded one, where the course asks for it.
    Expanded,
}

/// A comparison that waits for the totals.
pub(super) struct Pending {
    item: usize,
    compared: Compared,
    /// The left side, in the propagation.
    left: Node,
    /// Left less right.
    difference: Node,
    /// The right side, in the propagation.
    reference: Node,
    /// What the right side shows of its uncertainty.
    beside: Beside,
}

/// Resolves a mention.
pub(super) fn mention(
    mention: &Mention,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<View> {
    let quantity = find(&mention.symbol, item, known, evaluator)?;
    let unit = match &mention.unit {
        None => None,
        Some(spelling) => {
            let unit = evaluator.unit_at(spelling, item)?;
            if let Some(measure) = known.quantities[quantity].measure
                && measure.dimension != unit.dimension
            {
                let (left, right) = (unit.dimension, measure.dimension);
                let kind = FaultKind::UnitsDiffer { doing: Doing::ShowingIn, left, right };
                evaluator.fault(item, spelling.span, kind);
                return None;
            }
            let is_difference = known.quantities[quantity].measure.is_some_and(|measure| !measure.point);
            Some(if is_difference { difference(&unit) } else { unit })
        }
    };
    Some(View::Mention { quantity, unit })
}

/// A symbol that only names a quantity: of a budget.
pub(super) fn named(
    symbol: &Spanned<Symbol>,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<View> {
    let quantity = find(symbol, item, known, evaluator)?;
    if is_whole_column(symbol, quantity, item, known, evaluator) {
        return None;
    }
    Some(View::Mention { quantity, unit: None })
}

/// Sets a comparison up; its figures come with [`Pending::view`].
pub(super) fn comparison(
    comparison: &Comparison,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<Pending> {
    let (left, measure) = single(&comparison.left, item, known, evaluator)?;
    let quantity = &known.quantities[left];
    let (right, value, reference, beside) = match &comparison.right {
        Against::Symbol(symbol) => {
            let (right, other) = single(symbol, item, known, evaluator)?;
            if other.dimension != measure.dimension {
                let (left, right) = (measure.dimension, other.dimension);
                evaluator.fault(item, symbol.span, FaultKind::UnitsDiffer { doing: Doing::Comparing, left, right });
                return None;
            }
            let is_result = known.quantities[right].origin.is_result();
            (Some(right), other.value, other.node, if is_result { Beside::Expanded } else { Beside::Combined })
        }
        Against::Estimate { estimate, .. } => {
            let (value, amount, node) = reference(estimate, item, &measure, evaluator)?;
            (None, value, node, Beside::Typed(amount))
        }
    };
    let operands = if measure.node == reference { vec![] } else { vec![(measure.node, 1.0), (reference, -1.0)] };
    let difference = evaluator.propagation.quantity(operands);
    let unit = Arc::clone(&quantity.unit);
    let compared = Compared {
        left,
        right,
        reference: (unit.from_si(value), 0.0),
        difference: (measure.value - value) / unit.factor(),
        uncertainty: 0.0,
        agree: false,
        unit: self::difference(&unit),
    };
    Some(Pending { item, compared, left: measure.node, difference, reference, beside })
}

impl Pending {
    /// The comparison, once all totals are known. Unrounded figures decide.
    pub(super) fn view(self, evaluator: &mut Evaluator<'_>) -> (usize, View) {
        let Self { item, mut compared, difference, reference, .. } = self;
        let factor = compared.unit.factor();
        for node in [self.left, difference, reference] {
            evaluator.factors.learn(evaluator.propagation.dof(node));
        }
        let combined = |node| evaluator.propagation.combined(node).unwrap_or(f64::NAN) / factor;
        let expanded =
            |node| evaluator.factors.reach(node, &evaluator.propagation).unwrap_or_else(|| combined(node) * factor);
        compared.reference.1 = match self.beside {
            Beside::Typed(amount) => amount / factor,
            Beside::Combined => combined(reference),
            Beside::Expanded => expanded(reference) / factor,
        };
        compared.uncertainty = expanded(difference) / factor;
        let by = |combine| evaluator.propagation.totals(difference).map_or(f64::NAN, |totals| totals.combined(combine));
        let reach = match evaluator.course.agree {
            Agree::Overlap if evaluator.course.combine == Combine::Standard => expanded(difference),
            Agree::Overlap => by(Combine::Sum),
            Agree::TwoSigma => 2.0 * by(Combine::Standard),
            // |E_n| ≤ 1 (ISO 13528:2022, 9.7, from memory): each side's own uncertainty, in quadrature.
            Agree::NormalizedError => libm::hypot(expanded(self.left), expanded(reference)),
        };
        compared.agree = compared.difference.abs() <= reach / factor;
        (item, View::Comparison(compared))
    }
}

/// A value from elsewhere and its uncertainty as typed, in SI, and its variable.
fn reference(
    estimate: &Spanned<Estimate>,
    item: usize,
    left: &Measure,
    evaluator: &mut Evaluator<'_>,
) -> Option<(f64, f64, Node)> {
    let Estimate { value, unit, total } = &estimate.value;
    let unit = match unit {
        Some(spelling) => evaluator.unit_at(spelling, item)?,
        None => evaluator.one(),
    };
    if unit.dimension != left.dimension {
        let kind = FaultKind::UnitsDiffer { doing: Doing::Comparing, left: left.dimension, right: unit.dimension };
        evaluator.fault(item, estimate.span, kind);
        return None;
    }
    let unit = if left.point { unit } else { difference(&unit) };
    let decimal = value.value.decimal;
    let amount = match total {
        Some(total) => uncertainty_of(&total.value, decimal, &unit, &difference(&unit), evaluator),
        None => Ok(Magnitude::ZERO),
    };
    let amount = match amount {
        Ok(amount) => amount.float() * unit.factor(),
        Err(kind) => {
            evaluator.fault(item, estimate.span, kind);
            return None;
        }
    };
    let si = Exact::of(decimal).map_or_else(|| decimal.to_f64() * unit.factor(), |exact| unit.to_si(exact));
    let limit = total.as_ref().and_then(|total| total.value.shape.as_ref()).map(|limit| limit.value);
    let standard = limit.map_or(1.0, |limit| evaluator.standard(limit.shape, limit.dof));
    let dof = limit.and_then(|limit| limit.dof).unwrap_or(f64::INFINITY);
    let source = evaluator.propagation.source(amount, amount * standard, dof);
    Some((si, amount, evaluator.propagation.quantity([(source, 1.0)])))
}

/// A quantity of one value, with it; a whole column is a fault, what was not computed has its own elsewhere.
fn single(
    symbol: &Spanned<Symbol>,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<(QuantityId, Measure)> {
    let id = find(symbol, item, known, evaluator)?;
    is_whole_column(symbol, id, item, known, evaluator);
    Some((id, known.quantities[id].measure?))
}

/// Does it name a column where one value is wanted? Then that is a fault, unless the column has one of its own.
fn is_whole_column(
    symbol: &Spanned<Symbol>,
    id: QuantityId,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> bool {
    let Origin::Column(column) = &known.quantities[id].origin else { return false };
    if !column.failed {
        evaluator.fault(item, symbol.span, FaultKind::ColumnAsValue);
    }
    true
}

/// The quantity of a symbol; one that is not known is a fault.
pub(super) fn find(
    symbol: &Spanned<Symbol>,
    item: usize,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<QuantityId> {
    let found = known.by_symbol.get(&symbol.value).copied();
    if found.is_none() {
        evaluator.fault(item, symbol.span, FaultKind::UnknownSymbol { symbol: symbol.value.clone(), nearest: None });
    }
    found
}
