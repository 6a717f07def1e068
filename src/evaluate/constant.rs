//! Constants of nature that the course has made known, as quantities of the report.

use std::sync::Arc;

use super::evaluator::Evaluator;
use super::sheet::{Measure, Origin, Part, Parts, Quantity, Source};
use crate::parse::{self, ast::Symbol};
use crate::quantity::constants::{self, Constant};
use crate::quantity::{Exact, Kind, Shape, Unit};
use crate::span::Span;

/// The constants of the course, each with its symbol; what the course lists and nobody knows is a fault
/// of the course.
pub(super) fn all(listed: &[String]) -> impl Iterator<Item = (Symbol, &'static Constant)> {
    listed.iter().filter_map(|word| Some((parse::symbol(word).ok()?, constants::find(word)?)))
}

/// A constant as a quantity. Its published uncertainty is a standard one and enters as it is; constants are
/// taken as independent of each other.
pub(super) fn entry(symbol: Symbol, constant: &'static Constant, evaluator: &mut Evaluator<'_>) -> Option<Quantity> {
    let unit = evaluator.unit(&parse::unit(constant.unit).ok()?).ok()?;
    let value = unit.to_si(constant.number());
    let sources: Vec<Source> = source(constant, &unit, evaluator).into_iter().collect();
    let operands: Vec<_> = sources.iter().flat_map(|source| source.parts.iter()).map(|part| (part.node, 1.0)).collect();
    let node = evaluator.propagation.quantity(operands);
    Some(Quantity {
        symbol,
        name: Some(constant.name.into()),
        item: usize::MAX,
        span: Span::default(),
        measure: Some(Measure { value, uncertainty: 0.0, dimension: unit.dimension, point: false, node }),
        unit,
        origin: Origin::Constant(constant),
        sources,
        operands: Vec::new(),
        exact: constant.exact,
    })
}

fn source(constant: &Constant, unit: &Arc<Unit>, evaluator: &mut Evaluator<'_>) -> Option<Source> {
    let amount = constant.standard_uncertainty()?;
    let si = amount.to_f64() * unit.factor();
    let node = evaluator.propagation.source(si, si, f64::INFINITY);
    let part = Part { node, amount: amount.to_f64(), shared: false, relative: false };
    Some(Source {
        kind: Kind::Plain,
        word: None,
        written: None,
        exact: Exact::of(amount),
        amount: amount.to_f64(),
        shape: Shape::Normal,
        dof: None,
        reason: Some(constants::SOURCE.into()),
        instrument: None,
        span: Span::default(),
        parts: Parts::One(part),
    })
}
