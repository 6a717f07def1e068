//! Columns of a table: cells to rows, of readings and of results.

use std::collections::HashMap;
use std::sync::Arc;

use super::around::Around;
use super::cause::Key;
use super::evaluator::Evaluator;
use super::fault::{Doing, FaultKind, Undefined};
use super::formula;
use super::propagate::Node;
use super::reading::{self, Recorded};
use super::result::Known;
use super::scatter::Scatter;
use super::sheet::{Column, ColumnRepeat, Measure, QuantityId, Row, Source};
use crate::locate::Table;
use crate::parse;
use crate::parse::ast::{Clause, Estimate, Formula, Number, Total};
use crate::quantity::unit::Spelling;
use crate::quantity::{Kind, Unit};
use crate::span::{Span, Spanned};

/// A column as far as it could be worked out.
pub(super) struct Outcome {
    pub(super) unit: Arc<Unit>,
    pub(super) column: Column,
    /// The sources of the first row that has the heading's, the others have the same with their own amounts;
    /// where there is none, those of the first row with an uncertainty of its own.
    pub(super) sources: Vec<Source>,
}

/// Where a column stands, and what its cells hold.
#[derive(Clone, Copy)]
pub(super) struct Cells<'c> {
    pub(super) source: &'c str,
    pub(super) tables: &'c [Table],
    pub(super) table: usize,
    pub(super) column: usize,
}

impl<'c> Cells<'c> {
    /// The cells of the column, from the top; a table that Markdown does not see has none.
    fn spans(&self) -> impl Iterator<Item = Span> + use<'c> {
        let column = self.column;
        let rows = self.tables.get(self.table).map_or(&[][..], |table| &table.rows);
        rows.iter().map(move |row| row.get(column).copied().unwrap_or_default())
    }
}

/// A column whose rows wait for their values.
pub(super) fn waiting(cells: Cells<'_>) -> Column {
    let rows = cells.spans().map(|cell| Row { cell, typed: None, own: None, measure: None }).collect();
    Column { table: cells.table, column: cells.column, rows, result: true, repeat: None, failed: true }
}

/// Works a column of readings out.
pub(super) fn readings(
    cells: Cells<'_>,
    unit: Option<&Spanned<Spelling>>,
    clauses: &[Spanned<Clause>],
    (id, item): (QuantityId, usize),
    evaluator: &mut Evaluator<'_>,
) -> Outcome {
    let known = unit.map_or_else(|| Some(Arc::new(Unit::one())), |spelling| evaluator.unit_at(spelling, item));
    let failed = known.is_none();
    let unit = known.unwrap_or_else(|| Arc::new(Unit::one()));
    let mut work =
        Work { cells, clauses, id, item, unit, evaluator, sources: Vec::new(), from_heading: false, said: false };
    let (mut rows, mut taken) = work.rows();
    let repeat = work.repeat(&mut taken);
    work.enter(&mut rows, taken);
    work.missing(&rows);
    let steady = repeat.map(|(deviation, steady)| ColumnRepeat { deviation, steady });
    let Work { unit, sources, .. } = work;
    let column = Column { table: cells.table, column: cells.column, rows, result: false, repeat: steady, failed };
    Outcome { unit, column, sources }
}

struct Work<'w, 'e> {
    cells: Cells<'w>,
    clauses: &'w [Spanned<Clause>],
    id: QuantityId,
    item: usize,
    unit: Arc<Unit>,
    evaluator: &'w mut Evaluator<'e>,
    sources: Vec<Source>,
    /// Are those the heading's, and not those of a row with an uncertainty of its own?
    from_heading: bool,
    /// Have the heading's clauses had their faults reported? They are the same in every row.
    said: bool,
}

/// A row's value before it is a node: where it belongs, its value in SI, its sources' amounts in SI.
struct Taken {
    row: usize,
    value: f64,
    operands: Vec<(Node, f64)>,
}

impl Work<'_, '_> {
    fn rows(&mut self) -> (Vec<Row>, Vec<Taken>) {
        let (mut rows, mut taken) = (Vec::new(), Vec::new());
        let mut shared = HashMap::new();
        for (row, cell) in self.cells.spans().enumerate() {
            let read = self.cell(cell);
            let typed = read.as_ref().map(|estimate| estimate.value.value);
            rows.push(Row { cell, typed, own: None, measure: None });
            if let Some(estimate) = read {
                taken.extend(self.taken(row, cell, &estimate, &mut shared));
            }
        }
        (rows, taken)
    }

    /// The estimate in a cell; an empty or dashed one has none.
    fn cell(&mut self, cell: Span) -> Option<Estimate> {
        match read_cell(self.cells.source, cell) {
            Ok(estimate) => estimate,
            Err(span) => {
                self.evaluator.fault(self.item, span, FaultKind::NoNumberInCell);
                None
            }
        }
    }

    /// `shared`: with `repeat`, one variable for each source, whatever the row.
    fn taken(
        &mut self,
        row: usize,
        cell: Span,
        estimate: &Estimate,
        shared: &mut HashMap<usize, Node>,
    ) -> Option<Taken> {
        let values = [estimate.value];
        // A cell's own uncertainty takes the place of what the heading says.
        let clauses = if estimate.total.is_some() { &[][..] } else { self.clauses };
        let recorded =
            Recorded { values: &values, total: estimate.total.as_ref(), clauses, span: cell, in_column: true };
        let before = self.evaluator.faults.len();
        let reading::RowOutcome { value, mut sources } = reading::row(recorded, self.item, &self.unit, self.evaluator);
        if !clauses.is_empty() && std::mem::replace(&mut self.said, true) {
            self.evaluator.faults.truncate(before);
        }
        if !value.is_finite() {
            let kind = FaultKind::OutsideDomain { what: Undefined::Overflow, argument: value };
            self.evaluator.fault(self.item, cell, kind);
            return None;
        }
        let repeats = sources.iter().any(|source| source.kind == Kind::Repeat);
        let own = estimate.total.is_some();
        let operands = self.variables(&mut sources, row, value, (own, repeats.then_some(shared)));
        if self.sources.is_empty() || !own && !self.from_heading {
            self.sources = sources;
            self.from_heading = !own;
        }
        Some(Taken { row, value, operands })
    }

    /// Each source's variable, and the coefficient that it comes in with. `own`: the row states it itself.
    fn variables(
        &mut self,
        sources: &mut [Source],
        row: usize,
        value: f64,
        (own, mut shared): (bool, Option<&mut HashMap<usize, Node>>),
    ) -> Vec<(Node, f64)> {
        let factor = self.unit.factor();
        let mut operands = Vec::with_capacity(sources.len());
        for (place, source) in sources.iter_mut().enumerate().filter(|(_, source)| source.amount != 0.0) {
            if !source.parts.is_empty() {
                for part in &source.parts {
                    let key = Key::Row { column: self.id, source: (!own).then_some(place), row, amount: part.amount };
                    self.evaluator.causes.entry(part.node).or_insert(key);
                }
                operands.extend(source.parts.iter().map(|part| (part.node, if part.relative { value } else { 1.0 })));
                continue;
            }
            let (amount, standard) = (source.amount * factor, self.evaluator.standard(source.shape, source.dof));
            let propagation = &mut self.evaluator.propagation;
            let dof = source.dof.unwrap_or(f64::INFINITY);
            let (node, coefficient) = match &mut shared {
                // One variable of size one, of which each row has its own amount.
                Some(shared) => {
                    (*shared.entry(place).or_insert_with(|| propagation.source(1.0, standard, dof)), amount)
                }
                None => (propagation.source(amount, amount * standard, dof), 1.0),
            };
            let source_of_heading = (!own).then_some(place);
            let key = Key::Row { column: self.id, source: source_of_heading, row, amount: source.amount };
            self.evaluator.causes.entry(node).or_insert(key);
            operands.push((node, coefficient));
        }
        operands
    }

    /// With `repeat` in the heading: the standard deviation of a row, and each row's node without it.
    fn repeat(&mut self, taken: &mut [Taken]) -> Option<(f64, Vec<Node>)> {
        let asked = |clause: &Spanned<Clause>| matches!(&clause.value, Clause::Source { kind, .. } if kind.value == Kind::Repeat.word());
        if !self.clauses.iter().any(asked) {
            return None;
        }
        let values: Vec<_> = taken.iter().map(|taken| taken.value).collect();
        let Scatter { deviation, count, .. } = Scatter::of(&values)?;
        let dof = count - 1.0;
        let mut steady = Vec::with_capacity(taken.len());
        for row in taken {
            let node = self.evaluator.propagation.quantity(std::mem::take(&mut row.operands));
            let scatter = self.evaluator.propagation.source(deviation, deviation, dof);
            let amount = deviation / self.unit.factor();
            self.evaluator.causes.insert(scatter, Key::Scatter { of: vec![self.id], amount, dof });
            row.operands = vec![(node, 1.0), (scatter, 1.0)];
            steady.push(node);
        }
        Some((deviation, steady))
    }

    fn enter(&mut self, rows: &mut [Row], taken: Vec<Taken>) {
        let (dimension, point) = (self.unit.dimension, self.unit.zero.is_some());
        for Taken { row, value, operands } in taken {
            let node = self.evaluator.propagation.quantity(operands);
            rows[row].measure = Some(Measure { value, uncertainty: 0.0, dimension, point, node });
        }
    }

    /// Said once for the column, at the first row that holds nothing.
    fn missing(&mut self, rows: &[Row]) {
        let empty = |row: &&Row| row.typed.is_none() && matches!(read_cell(self.cells.source, row.cell), Ok(None));
        if let Some(row) = rows.iter().find(empty) {
            let span = row.cell;
            self.evaluator.fault(self.item, span, FaultKind::MissingReading);
        }
    }
}

/// Fills a result column, row by row. `None` where its formula holds for no row.
pub(super) fn results(
    column: &mut Column,
    formula: &Formula,
    unit: Option<&Spanned<Spelling>>,
    item: usize,
    source: &str,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Option<Arc<Unit>> {
    let wanted = match unit {
        Some(spelling) => Some((spelling.span, evaluator.unit_at(spelling, item)?)),
        None => None,
    };
    let count = column.rows.len();
    let mut follows = None;
    let mut shown = wanted.as_ref().map(|(_, unit)| Arc::clone(unit));
    for (number, row) in column.rows.iter_mut().enumerate() {
        let stated = match read_cell(source, row.cell) {
            Ok(stated) => stated,
            Err(span) => {
                evaluator.fault(item, span, FaultKind::NoNumberInCell);
                continue;
            }
        };
        (row.typed, row.own) = stated.as_ref().map_or((None, None), |e| (Some(e.value.value), own(e)));
        let mut around = Around { known, evaluator, row: Some((number, count)) };
        let outcome = match formula::evaluate(formula, &mut around) {
            Ok(outcome) => outcome,
            // A row that holds no reading has no result either.
            Err(fault) if matches!(fault.value, FaultKind::Follows { .. }) => {
                follows.get_or_insert(fault);
                continue;
            }
            Err(fault) => {
                evaluator.fault(item, fault.span, fault.value);
                if same_in_every_row(evaluator) { return None } else { continue }
            }
        };
        if let Some((span, unit)) = &wanted
            && unit.dimension != outcome.dimension
        {
            let (left, right) = (unit.dimension, outcome.dimension);
            evaluator.fault(item, *span, FaultKind::UnitsDiffer { doing: Doing::ShowingIn, left, right });
            return None;
        }
        shown.get_or_insert_with(|| Arc::new(Unit::coherent(outcome.dimension)));
        let node = evaluator.propagation.quantity(outcome.derivatives);
        let formula::Outcome { value, dimension, point, .. } = outcome;
        row.measure = Some(Measure { value, uncertainty: 0.0, dimension, point, node });
    }
    if let Some(fault) = follows.filter(|_| column.rows.iter().all(|row| row.measure.is_none())) {
        evaluator.fault(item, fault.span, fault.value);
        return None;
    }
    Some(shown.unwrap_or_else(|| Arc::new(Unit::one())))
}

/// Does the fault just reported hold for the rows below as well?
fn same_in_every_row(evaluator: &Evaluator<'_>) -> bool {
    let row_by_row =
        |kind: &FaultKind| matches!(kind, FaultKind::OutsideDomain { .. } | FaultKind::NoSensitivity { .. });
    evaluator.faults.last().is_some_and(|fault| !row_by_row(&fault.kind))
}

/// The uncertainty that an author typed with a figure of their own, in the column's unit.
fn own(estimate: &Estimate) -> Option<crate::quantity::Decimal> {
    let Total { amount, .. } = &estimate.total.as_ref()?.value;
    match &amount.steps[..] {
        [parse::ast::AmountStep::Number(Spanned { value: Number { decimal, .. }, .. })] => Some(*decimal),
        _ => None,
    }
}

/// The estimate in a cell, `None` in an empty or dashed one.
///
/// # Errors
/// The place of a text that is neither.
fn read_cell(source: &str, cell: Span) -> Result<Option<Estimate>, Span> {
    let text = cell.of(source);
    let trimmed = text.trim();
    let start = cell.start + (text.len() - text.trim_start().len());
    let span = Span::new(start, start + trimmed.len());
    if trimmed.chars().all(|c| matches!(c, '-' | '–' | '—' | '−')) {
        return Ok(None);
    }
    match parse::estimate(trimmed) {
        // Places are counted from the start of the cell's text there.
        Ok(estimate) if estimate.unit.is_none() => Ok(Some(estimate)),
        _ => Err(span),
    }
}
