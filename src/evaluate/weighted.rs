//! The weighted mean of several results of one quantity: each counts as the inverse square of its uncertainty.
//!
//! The uncertainty of a result is here the one that the report shows of it: under `standard` the combined standard
//! uncertainty, for which the weights are the best ones (results independent); under `sum` and `quadrature` what
//! their amounts come to. What the mean inherits is its results' errors, each with its sensitivity, so that errors
//! which several of them share do not average out.

use super::evaluator::Evaluator;
use super::fault::{FaultKind, Weightless};
use super::formula::Value;
use super::known::Known;
use super::propagate::{Node, distinct};
use super::sheet::{QuantityId, Weighted};
use super::statistics;

/// `wmean(a, b, c)`: values of one dimension, at least one.
pub(super) fn of_several(
    values: &[Value],
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<Value, FaultKind> {
    let weightless = |place: usize, why| {
        let symbol = values.get(place).and_then(|value| known.quantities.get(value.id)).map(|q| q.symbol.clone());
        FaultKind::NoWeight { symbol, row: None, why }
    };
    let results: Vec<_> = values.iter().map(|value| (value.value, value.node)).collect();
    let of = values.iter().map(|value| value.id).collect();
    let (mean, node) = weighted(&results, of, evaluator, weightless)?;
    let first = values.first().ok_or(FaultKind::NoQuantity { function: "wmean" })?;
    Ok(Value { value: mean, node, uncertain: true, ..*first })
}

/// `wmean(x)`: the rows of a column. `rows` says where each value stands in the column.
pub(super) fn of_rows(
    id: QuantityId,
    results: &[(f64, Node)],
    rows: &[usize],
    evaluator: &mut Evaluator<'_>,
) -> Result<(f64, Node), FaultKind> {
    let weightless = |place: usize, why| FaultKind::NoWeight { symbol: None, row: rows.get(place).copied(), why };
    weighted(results, vec![id], evaluator, weightless)
}

/// The mean and its place in the propagation.
fn weighted(
    results: &[(f64, Node)],
    of: Vec<QuantityId>,
    evaluator: &mut Evaluator<'_>,
    weightless: impl Fn(usize, Weightless) -> FaultKind,
) -> Result<(f64, Node), FaultKind> {
    let mut pairs = Vec::with_capacity(results.len());
    for (place, &(value, node)) in results.iter().enumerate() {
        let uncertainty = evaluator.weighing.uncertainty(node, &evaluator.propagation);
        match uncertainty {
            None => return Err(weightless(place, Weightless::TooManySources)),
            Some(u) if u > 0.0 && u.is_finite() => pairs.push((value, u)),
            Some(_) => return Err(weightless(place, Weightless::NoUncertainty)),
        }
    }
    let needs = || FaultKind::TooFewValues { function: "wmean", needs: 1, has: results.len() };
    let mean = statistics::weighted_mean(&pairs).ok_or_else(needs)?;
    let shares = pairs.iter().map(|&(_, u)| (mean.uncertainty / u) * (mean.uncertainty / u));
    let operands = results.iter().map(|&(_, node)| node).zip(shares);
    let node = evaluator.propagation.quantity(distinct(operands));
    evaluator.weighing.means.insert(node, Weighted { of, mean });
    Ok((mean.mean, node))
}
