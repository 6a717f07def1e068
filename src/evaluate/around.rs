//! The sheet as a formula sees it: quantities by their symbols, columns, and functions over them.

use std::cell::Cell;
use std::sync::Arc;

use super::evaluator::Evaluator;
use super::fault::FaultKind;
use super::formula::{Operand, Surroundings, Value};
use super::known::Known;
use super::over;
use super::sheet::{Measure, Origin, QuantityId};
use crate::parse::ast::{Function, Symbol};
use crate::quantity::unit::Spelling;
use crate::quantity::{Unit, UnknownUnit};

/// What surrounds a formula.
pub(super) struct Around<'a, 'k, 'e> {
    pub(super) known: &'a Known<'k>,
    pub(super) evaluator: &'a mut Evaluator<'e>,
    /// The row being filled, and how many there are in its table.
    pub(super) row: Option<(usize, usize)>,
    /// Are all columns that were met row by row repeated readings, or worked out of such alone? `None`: none was met.
    pub(super) repeats: Cell<Option<bool>>,
}

impl<'a, 'k, 'e> Around<'a, 'k, 'e> {
    /// Of a formula outside tables, or in one row of one.
    pub(super) const fn new(
        known: &'a Known<'k>,
        evaluator: &'a mut Evaluator<'e>,
        row: Option<(usize, usize)>,
    ) -> Self {
        Self { known, evaluator, row, repeats: Cell::new(None) }
    }

    fn value(&self, id: QuantityId, measure: Measure) -> Value {
        let Measure { value, dimension, point, node, .. } = measure;
        Value { id, node, value, dimension, point, uncertain: self.evaluator.propagation.is_uncertain(node) }
    }
}

impl Surroundings for Around<'_, '_, '_> {
    fn operand(&self, symbol: &Symbol) -> Result<Operand, FaultKind> {
        let Some(&id) = self.known.by_symbol.get(symbol) else {
            // Which known symbol is nearest comes out when all faults are there.
            return Err(FaultKind::UnknownSymbol { symbol: symbol.clone(), nearest: None });
        };
        let quantity = &self.known.quantities[id];
        match (&quantity.origin, quantity.measure) {
            (Origin::Column(column), _) if !column.failed => Ok(Operand::Column(id)),
            (_, Some(measure)) => Ok(Operand::One(self.value(id, measure))),
            (_, None) => Err(FaultKind::Follows { symbol: symbol.clone() }),
        }
    }

    fn in_row(&self, column: QuantityId) -> Result<Value, FaultKind> {
        let quantity = &self.known.quantities[column];
        let Origin::Column(data) = &quantity.origin else { return Err(FaultKind::ColumnAsValue) };
        let (row, rows) = self.row.ok_or(FaultKind::ColumnAsValue)?;
        if data.rows.len() != rows {
            return Err(FaultKind::LengthsDiffer { left: rows, right: data.rows.len() });
        }
        self.repeats.set(Some(self.repeats.get().unwrap_or(true) && data.repeat.is_some()));
        let measure = data.rows[row].measure.ok_or_else(|| FaultKind::Follows { symbol: quantity.symbol.clone() })?;
        Ok(self.value(column, measure))
    }

    fn over(&mut self, function: Function, columns: &[QuantityId], place: Option<f64>) -> Result<Value, FaultKind> {
        let key = (function, columns.to_vec(), place.map(f64::to_bits));
        if let Some(value) = self.evaluator.over_columns.get(&key) {
            return value.clone();
        }
        let value = over::columns(function, columns, place, self.known, self.evaluator);
        self.evaluator.over_columns.insert(key, value.clone());
        value
    }

    fn repeated(&mut self, function: Function, values: &[Value]) -> Result<Value, FaultKind> {
        over::repeated(function, values, self.known, self.evaluator)
    }

    fn unit(&mut self, spelling: &Spelling) -> Result<Arc<Unit>, UnknownUnit> {
        self.evaluator.unit(spelling)
    }
}
