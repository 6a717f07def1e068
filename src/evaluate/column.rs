//! Columns of a table: cells to rows, of readings and of results.

use std::collections::BTreeMap;
use std::ops::Range;
use std::rc::Rc;
use std::sync::Arc;

use super::amount::Magnitude;
use super::around::Around;
use super::evaluator::Evaluator;
use super::fault::{Doing, FaultKind, Undefined};
use super::formula;
use super::known::Known;
use super::propagate::Node;
use super::reading::{self, Recorded, Stated};
use super::result::also_unknown;
use super::scatter::Scatter;
use super::sheet::{Claimed, Column, ColumnRepeat, Key, Measure, QuantityId, Row, Source};
use crate::course::Combine;
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
    Column { table: cells.table, column: cells.column, rows, result: true, repeat: None, claimed: None, failed: true }
}

/// Works a column of readings out.
pub(super) fn readings(
    cells: Cells<'_>,
    unit: Option<&Spanned<Spelling>>,
    clauses: &[Spanned<Clause>],
    (id, item): (QuantityId, usize),
    evaluator: &mut Evaluator<'_>,
) -> Outcome {
    let known = match unit {
        Some(spelling) => evaluator.unit_at(spelling, item),
        None => Some(evaluator.one()),
    };
    let failed = known.is_none();
    let unit = known.unwrap_or_else(|| evaluator.one());
    let mut work = Work {
        cells,
        clauses,
        id,
        item,
        unit,
        evaluator,
        headings: BTreeMap::new(),
        operands: Vec::new(),
        sources: Vec::new(),
        from_heading: false,
        claimed: None,
        said: false,
    };
    let (mut rows, mut taken) = work.rows();
    let repeat = work.repeat(&mut taken);
    work.enter(&mut rows, taken);
    if let Some((_, steady)) = repeat.as_ref().filter(|_| work.evaluator.course.combine == Combine::Standard) {
        work.evaluator.know_steady(&rows, steady);
    }
    work.missing(&rows);
    let steady = repeat.map(|(deviation, steady)| ColumnRepeat { deviation, steady });
    let Work { unit, sources, claimed, .. } = work;
    let Cells { table, column, .. } = cells;
    let column = Column { table, column, rows, result: false, repeat: steady, claimed, failed };
    Outcome { unit, column, sources }
}

struct Work<'w, 'e> {
    cells: Cells<'w>,
    clauses: &'w [Spanned<Clause>],
    id: QuantityId,
    item: usize,
    unit: Arc<Unit>,
    evaluator: &'w mut Evaluator<'e>,
    /// What the heading states, by the last place of the numbers that it has been worked out for.
    headings: BTreeMap<i32, Rc<Stated>>,
    /// The operands of all rows, one after another.
    operands: Vec<(Node, f64)>,
    sources: Vec<Source>,
    /// Are those the heading's, and not those of a row with an uncertainty of its own?
    from_heading: bool,
    /// What the heading claims that its sources come to.
    claimed: Option<Box<Claimed>>,
    /// Have the heading's clauses had their faults reported? They are the same in every row.
    said: bool,
}

/// A row's value before it is a node: where it belongs, its value in SI, its part of the operands.
struct Taken {
    row: usize,
    value: f64,
    operands: Range<usize>,
}

impl Work<'_, '_> {
    fn rows(&mut self) -> (Vec<Row>, Vec<Taken>) {
        let (mut rows, mut taken) = (Vec::new(), Vec::new());
        let mut shared = Vec::new();
        for (row, cell) in self.cells.spans().enumerate() {
            let read = self.cell(cell);
            let typed = read.as_ref().map(|estimate| estimate.value.value);
            rows.push(Row { cell, typed, own: read.as_ref().and_then(own), measure: None });
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
    fn taken(&mut self, row: usize, cell: Span, estimate: &Estimate, shared: &mut Vec<Option<Node>>) -> Option<Taken> {
        let number = Magnitude::typed(estimate.value.value.decimal);
        let own = estimate.total.is_some();
        // A cell's own uncertainty takes the place of what the heading says.
        let stated = if own { Rc::new(self.stated(cell, estimate)) } else { self.heading(cell, estimate) };
        let value = reading::in_si(number, &self.unit);
        if !value.is_finite() {
            let kind = FaultKind::OutsideDomain { what: Undefined::Overflow, argument: value };
            self.evaluator.fault(self.item, cell, kind);
            return None;
        }
        let repeats = stated.sources.iter().any(|source| source.kind == Kind::Repeat);
        let operands = self.variables(&stated, (row, number, value), own, repeats.then_some(shared));
        if self.sources.is_empty() || !own && !self.from_heading {
            self.sources.clone_from(&stated.sources);
            self.from_heading = !own;
        }
        Some(Taken { row, value, operands })
    }

    /// What the heading states of a row. Only the size of a digit tells one row from another.
    fn heading(&mut self, cell: Span, estimate: &Estimate) -> Rc<Stated> {
        let last_place = estimate.value.value.decimal.last_place();
        if let Some(stated) = self.headings.get(&last_place) {
            return Rc::clone(stated);
        }
        let before = self.evaluator.faults.len();
        let stated = Rc::new(self.stated(cell, estimate));
        if self.headings.is_empty() {
            self.claimed = stated.claimed.clone().map(Box::new);
        }
        self.headings.insert(last_place, Rc::clone(&stated));
        if !self.clauses.is_empty() && std::mem::replace(&mut self.said, true) {
            self.evaluator.faults.truncate(before);
        }
        stated
    }

    fn stated(&mut self, cell: Span, estimate: &Estimate) -> Stated {
        let values = [estimate.value];
        let total = estimate.total.as_deref();
        let clauses = if total.is_some() { &[][..] } else { self.clauses };
        let recorded = Recorded { values: &values, total, clauses, span: cell, in_column: true };
        reading::row(recorded, self.item, &self.unit, self.evaluator)
    }

    /// Each source's variable, and the coefficient that it comes in with. `own`: the row states it itself.
    fn variables(
        &mut self,
        stated: &Stated,
        (row, number, value): (usize, Magnitude, f64),
        own: bool,
        mut shared: Option<&mut Vec<Option<Node>>>,
    ) -> Range<usize> {
        let start = self.operands.len();
        let factor = self.unit.factor();
        let key = |place, amount| Key::Row { column: self.id, source: (!own).then_some(place), row, amount };
        let amounts = stated.sources.iter().zip(stated.amounts(number)).enumerate();
        for (place, (source, amount)) in amounts.filter(|&(_, (_, amount))| amount != 0.0) {
            if !source.parts.is_empty() {
                for part in source.parts.iter() {
                    self.evaluator.causes.suggest(part.node, || key(place, part.amount));
                }
                let size = self.unit.above_zero(value);
                self.operands.extend(source.parts.iter().map(|part| (part.node, part.sensitivity(size))));
                continue;
            }
            let (si, standard) = (amount * factor, self.evaluator.standard(source.shape, source.dof));
            let propagation = &mut self.evaluator.propagation;
            let dof = source.dof.unwrap_or(f64::INFINITY);
            let (node, coefficient) = match &mut shared {
                // One variable of size one, of which each row has its own amount.
                Some(shared) => {
                    shared.resize(shared.len().max(place + 1), None);
                    (*shared[place].get_or_insert_with(|| propagation.source(1.0, standard, dof)), si)
                }
                None => (propagation.source(si, si * standard, dof), 1.0),
            };
            self.evaluator.causes.suggest(node, || key(place, amount));
            self.operands.push((node, coefficient));
        }
        start..self.operands.len()
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
            let node = self.evaluator.propagation.quantity(self.operands[row.operands.clone()].iter().copied());
            let scatter = self.evaluator.propagation.source(deviation, deviation, dof);
            let amount = deviation / self.unit.factor();
            self.evaluator.causes.insert(scatter, Key::Scatter { of: vec![self.id], amount });
            row.operands = self.operands.len()..self.operands.len() + 2;
            self.operands.extend([(node, 1.0), (scatter, 1.0)]);
            steady.push(node);
        }
        Some((deviation, steady))
    }

    fn enter(&mut self, rows: &mut [Row], taken: Vec<Taken>) {
        let (dimension, point) = (self.unit.dimension, self.unit.zero.is_some());
        for Taken { row, value, operands } in taken {
            let node = self.evaluator.propagation.quantity(self.operands[operands].iter().copied());
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
    let mut repeats = evaluator.course.combine == Combine::Standard;
    let mut steady = Vec::new();
    let (mut follows, mut remarked) = (None, false);
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
        let mut around = Around::new(known, evaluator, Some((number, count)));
        let outcome = match formula::evaluate(formula, &mut around) {
            Ok(outcome) => {
                repeats &= around.repeats.get() == Some(true);
                outcome
            }
            // A row that holds no reading has no result either.
            Err(fault) if matches!(fault.value, FaultKind::Follows { .. }) => {
                follows.get_or_insert(fault);
                continue;
            }
            Err(fault) => {
                let at = fault.span;
                evaluator.fault(item, at, fault.value);
                if same_in_every_row(evaluator) {
                    also_unknown(formula, at, item, known, evaluator);
                    return None;
                }
                continue;
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
        let formula::Outcome { value, dimension, point, derivatives, remarks } = outcome;
        // What deserves a word in one row does so in all.
        if !remarked {
            remarked = !remarks.is_empty();
            remarks.into_iter().for_each(|remark| evaluator.fault(item, remark.span, remark.value));
        }
        if repeats {
            steady.push(evaluator.without_scatter(&derivatives));
        }
        let node = evaluator.propagation.quantity(derivatives);
        row.measure = Some(Measure { value, uncertainty: 0.0, dimension, point, node });
    }
    if let Some(fault) = follows.filter(|_| column.rows.iter().all(|row| row.measure.is_none())) {
        let at = fault.span;
        evaluator.fault(item, at, fault.value);
        also_unknown(formula, at, item, known, evaluator);
        return None;
    }
    if repeats {
        column.repeat = repeated(&column.rows, steady, evaluator);
    }
    Some(shown.unwrap_or_else(|| evaluator.one()))
}

/// What is worked out of repeated readings that were taken together is repeated with them: its rows scatter as they do,
/// and the mean of a column of differences is the difference of the means (JCGM 100:2008, H.2.4, the second approach).
fn repeated(rows: &[Row], steady: Vec<Node>, evaluator: &mut Evaluator<'_>) -> Option<ColumnRepeat> {
    let values: Vec<_> = rows.iter().filter_map(|row| row.measure).map(|measure| measure.value).collect();
    let Scatter { deviation, .. } = Scatter::of(&values)?;
    evaluator.know_steady(rows, &steady);
    Some(ColumnRepeat { deviation, steady })
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
