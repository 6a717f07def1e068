//! Functions over columns, and of several quantities taken as readings of one.

use super::evaluator::Evaluator;
use super::fault::{Doing, FaultKind};
use super::formula::Value;
use super::known::Known;
use super::line;
use super::means;
use super::propagate::{Node, distinct};
use super::scatter::Scatter;
use super::sheet::{Column, Key, Origin, QuantityId};
use super::statistics::{Sum, count, mean};
use super::weighted;
use crate::parse::ast::Function;
use crate::quantity::Dimension;

/// A function over columns. `place` is what `row` asks for.
pub(super) fn columns(
    function: Function,
    columns: &[QuantityId],
    place: Option<f64>,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<Value, FaultKind> {
    match columns {
        [id] => Over { function, evaluator, rows: rows(*id, known)? }.of_one(place),
        [y, x] => {
            let through_origin = function == Function::SlopeThroughOrigin;
            let [slope, intercept] = line::parameters((*y, *x, through_origin), known, evaluator)?;
            Ok(if function == Function::Intercept { intercept } else { slope })
        }
        _ => Err(FaultKind::NotComputed { what: function.word() }),
    }
}

/// What the rows of a column that hold a value come to.
struct Rows<'k> {
    id: QuantityId,
    /// What one of the column's unit is in SI.
    factor: f64,
    column: &'k Column,
    values: Vec<f64>,
    nodes: Vec<Node>,
    dimension: Dimension,
    point: bool,
}

fn rows<'k>(id: QuantityId, known: &Known<'k>) -> Result<Rows<'k>, FaultKind> {
    let quantity = &known.quantities[id];
    let Origin::Column(column) = &quantity.origin else {
        return Err(FaultKind::Follows { symbol: quantity.symbol.clone() });
    };
    let measured = || column.rows.iter().filter_map(|row| row.measure);
    let values = measured().map(|measure| measure.value).collect();
    let nodes = measured().map(|measure| measure.node).collect();
    let first = measured().next();
    let dimension = first.map_or(Dimension::NONE, |measure| measure.dimension);
    let factor = quantity.unit.factor();
    Ok(Rows { id, factor, column, values, nodes, dimension, point: first.is_some_and(|measure| measure.point) })
}

struct Over<'o, 'k, 'e> {
    function: Function,
    evaluator: &'o mut Evaluator<'e>,
    rows: Rows<'k>,
}

impl Over<'_, '_, '_> {
    fn of_one(mut self, place: Option<f64>) -> Result<Value, FaultKind> {
        let has = self.rows.values.len();
        match self.function {
            Function::Mean => self.mean(),
            Function::Wmean => self.weighted_mean(),
            Function::Sum => Ok(self.sum()),
            Function::Sd => self.deviation(1.0),
            Function::Sem => self.deviation(libm::sqrt(count(has))),
            Function::Count => Ok(self.made(count(has), Dimension::NONE, false, [])),
            Function::First if has > 0 => Ok(self.row(0)),
            Function::Last if has > 0 => Ok(self.row(has - 1)),
            Function::First | Function::Last => Err(self.too_few(1)),
            Function::Row => self.numbered(place),
            function => Err(FaultKind::NotComputed { what: function.word() }),
        }
    }

    fn too_few(&self, needs: usize) -> FaultKind {
        FaultKind::TooFewValues { function: self.function.word(), needs, has: self.rows.values.len() }
    }

    /// The mean; of a column with `repeat`, with the scatter of the mean in place of that of its rows.
    fn mean(mut self) -> Result<Value, FaultKind> {
        let value = mean(&self.rows.values).ok_or_else(|| self.too_few(1))?;
        let share = 1.0 / count(self.rows.values.len());
        let nodes = self.rows.column.repeat.as_ref().map_or(&self.rows.nodes, |repeat| &repeat.steady);
        let mut operands: Vec<_> = nodes.iter().map(|&node| (node, share)).collect();
        if self.rows.column.repeat.is_some()
            && let Some(scatter) = Scatter::of(&self.rows.values)
        {
            let node = scattered(vec![self.rows.id], scatter, self.rows.factor, self.evaluator);
            means::tie(node, self.rows.column, value, self.evaluator)?;
            operands.push((node, 1.0));
        }
        let (dimension, point) = (self.rows.dimension, self.rows.point);
        Ok(self.made(value, dimension, point, operands))
    }

    /// The mean, each row weighted with the inverse square of its uncertainty.
    fn weighted_mean(self) -> Result<Value, FaultKind> {
        let Rows { id, column, values, nodes, dimension, point, .. } = self.rows;
        let results: Vec<_> = values.into_iter().zip(nodes).collect();
        let held = column.rows.iter().enumerate().filter(|(_, row)| row.measure.is_some());
        let rows: Vec<_> = held.map(|(number, _)| number).collect();
        let (value, node) = weighted::of_rows(id, &results, &rows, self.evaluator)?;
        Ok(Value { id, node, value, dimension, point, uncertain: true })
    }

    /// The sum; of no rows, nothing.
    fn sum(mut self) -> Value {
        let value = self.rows.values.iter().copied().collect::<Sum>().value();
        let operands: Vec<_> = self.rows.nodes.iter().map(|&node| (node, 1.0)).collect();
        let dimension = self.rows.dimension;
        self.made(value, dimension, false, operands)
    }

    /// The standard deviation of the rows, over `root`.
    fn deviation(mut self, root: f64) -> Result<Value, FaultKind> {
        let found = mean(&self.rows.values).zip(Scatter::of(&self.rows.values));
        let (centre, Scatter { deviation, count, .. }) = found.ok_or_else(|| self.too_few(2))?;
        let slope = |x: f64| if deviation > 0.0 { (x - centre) / ((count - 1.0) * deviation * root) } else { 0.0 };
        let rows = self.rows.nodes.iter().zip(&self.rows.values);
        let operands: Vec<_> = rows.map(|(&node, &x)| (node, slope(x))).collect();
        let dimension = self.rows.dimension;
        Ok(self.made(deviation / root, dimension, false, operands))
    }

    /// `row(x, 3)`: the rows of the table are counted, from 1.
    fn numbered(mut self, place: Option<f64>) -> Result<Value, FaultKind> {
        let rows = &self.rows.column.rows;
        let numbers = (1..=rows.len()).zip(rows);
        let found = place.and_then(|place| numbers.into_iter().find(|&(n, _)| count(n) == place));
        let (_, row) = found.ok_or(FaultKind::NoSuchRow { has: rows.len() })?;
        let measure = row.measure.ok_or(FaultKind::MissingReading)?;
        Ok(self.made(measure.value, measure.dimension, measure.point, [(measure.node, 1.0)]))
    }

    fn row(mut self, place: usize) -> Value {
        let (value, node) = (self.rows.values[place], self.rows.nodes[place]);
        let (dimension, point) = (self.rows.dimension, self.rows.point);
        self.made(value, dimension, point, [(node, 1.0)])
    }

    fn made(
        &mut self,
        value: f64,
        dimension: Dimension,
        point: bool,
        operands: impl IntoIterator<Item = (Node, f64)>,
    ) -> Value {
        made(self.rows.id, value, dimension, point, operands, self.evaluator)
    }
}

/// Several values taken as readings of one quantity: their mean, their scatter joining their own
/// sources; `wmean` weights each with the inverse square of its own uncertainty.
pub(super) fn repeated(
    function: Function,
    values: &[Value],
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<Value, FaultKind> {
    let Some(first) = values.first() else { return Err(FaultKind::NoQuantity { function: function.word() }) };
    if let Some(other) = values.iter().find(|value| value.dimension != first.dimension) {
        let (left, right) = (first.dimension, other.dimension);
        return Err(FaultKind::UnitsDiffer { doing: Doing::Arguments, left, right });
    }
    if function == Function::Wmean {
        return weighted::of_several(values, known, evaluator);
    }
    let numbers: Vec<_> = values.iter().map(|value| value.value).collect();
    let share = 1.0 / count(values.len());
    let value = mean(&numbers).ok_or(FaultKind::NoQuantity { function: function.word() })?;
    let of = values.iter().map(|value| value.id).collect();
    let factor = known.quantities[first.id].unit.factor();
    let scatter = Scatter::of(&numbers).map(|scatter| (scattered(of, scatter, factor, evaluator), 1.0));
    let operands = values.iter().map(|value| (value.node, share)).chain(scatter);
    Ok(made(first.id, value, first.dimension, first.point, distinct(operands), evaluator))
}

/// The variable of a scatter, as the course takes it; `factor` is one of the unit of the first in SI.
fn scattered(of: Vec<QuantityId>, scatter: Scatter, factor: f64, evaluator: &mut Evaluator<'_>) -> Node {
    let taken = scatter.taken(evaluator.course);
    let node = evaluator.propagation.source(taken, taken, scatter.count - 1.0);
    evaluator.causes.insert(node, Key::Scatter { of, amount: taken / factor });
    node
}

fn made(
    id: QuantityId,
    value: f64,
    dimension: Dimension,
    point: bool,
    operands: impl IntoIterator<Item = (Node, f64)>,
    evaluator: &mut Evaluator<'_>,
) -> Value {
    let node = evaluator.propagation.quantity(operands);
    Value { id, node, value, dimension, point, uncertain: evaluator.propagation.is_uncertain(node) }
}
