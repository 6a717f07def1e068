//! Straight lines through two columns: slope and intercept as quantities, their errors correlated as
//! they are.

mod common;

use std::sync::Arc;

use super::evaluator::Evaluator;
use super::fault::FaultKind;
use super::fit::{self, Line, Method, NoLine, Options, Point, Uncertainty};
use super::formula::Value;
use super::known::Known;
use super::propagate::{Correlated, Node, Reached, distinct};
use super::sheet::{Asked, Column, Fitted, Key, Measure, Origin, QuantityId, Sheet};
use super::statistics::count;
use crate::course::Fit;
use crate::parse::ast::{Formula, Function, Step};
use crate::quantity::{Dimension, Unit};
use crate::span::{Span, Spanned};
use common::TOO_MUCH;

impl Sheet {
    /// The lines that a formula asks for, each with the place of the call.
    pub fn lines_in(&self, formula: &Formula) -> Vec<(Span, Asked)> {
        let call = |steps: &[Spanned<Step>]| {
            let [y, x, call] = steps else { return None };
            let (Step::Symbol(y), Step::Symbol(x), Step::Call(function, 2)) = (&y.value, &x.value, &call.value) else {
                return None;
            };
            let through_origin = match function {
                Function::Slope | Function::Intercept => false,
                Function::SlopeThroughOrigin => true,
                _ => return None,
            };
            Some((call.span, (self.find(y)?.0, self.find(x)?.0, through_origin)))
        };
        formula.steps.windows(3).filter_map(call).collect()
    }
}

/// Slope and intercept of `y` against `x`; of a line through the origin the intercept is 0 ± 0.
pub(super) fn parameters(
    (y, x, through_origin): Asked,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<[Value; 2], FaultKind> {
    let axes = Axes::new(y, x, known)?;
    axes.values(&fitted(y, x, through_origin, known, evaluator)?, evaluator)
}

/// The line of `y` against `x` by the course's method, through the origin of both where that is asked for. A
/// line is fitted once, whoever asks.
pub(super) fn fitted(
    y: QuantityId,
    x: QuantityId,
    through_origin: bool,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<Fitted, FaultKind> {
    let asked = (y, x, through_origin);
    if let Some(fitted) = evaluator.lines.get(&asked) {
        return Ok(fitted.clone());
    }
    let fitted = Axes::new(y, x, known)?.fitted(through_origin, evaluator)?;
    common::tie(asked, &fitted, evaluator)?;
    evaluator.lines.insert(asked, fitted.clone());
    Ok(fitted)
}

/// The steepest and the flattest line that the error bars of `y` against `x` allow: each its slope and its
/// intercept, in SI, with what was taken off every x and y as in [`Fitted`].
pub(super) fn extremes(
    y: QuantityId,
    x: QuantityId,
    through_origin: bool,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<[[f64; 2]; 2], FaultKind> {
    let axes = Axes::new(y, x, known)?;
    let rows = axes.rows();
    let points = axes.points(&rows, &reached(&rows, evaluator)?, through_origin);
    let options = Options { method: Method::ExtremeLines, through_origin };
    let line = fit::line(&points, options).map_err(|why| no_line(why, through_origin, &rows, axes.unit))?;
    let both = line.extremes.ok_or(FaultKind::NotComputed { what: "slope" })?;
    Ok(both.map(|extreme| [extreme.slope, extreme.intercept]))
}

const fn method(fit: Fit) -> Method {
    match fit {
        Fit::Scatter => Method::Scatter,
        Fit::Weighted => Method::Weighted,
        Fit::BothErrors => Method::BothErrors,
        Fit::ExtremeLines => Method::ExtremeLines,
    }
}

/// Why there is no line, its points told by their rows in the table. `unit` is that of y.
fn no_line(why: NoLine, through_origin: bool, rows: &[Row], unit: &Unit) -> FaultKind {
    let needs = if through_origin { 1 } else { 2 };
    let number = |place: usize| rows.get(place).map_or(place, |row| row.number);
    let why = match why {
        NoLine::TooFewPoints { points } => {
            return FaultKind::TooFewValues { function: "slope", needs, has: points };
        }
        NoLine::NotFinite { row } => NoLine::NotFinite { row: number(row) },
        NoLine::NoUncertainty { row } => NoLine::NoUncertainty { row: number(row) },
        NoLine::NoneThroughAll { miss, rows } => {
            NoLine::NoneThroughAll { miss: miss / unit.factor(), rows: rows.map(number) }
        }
        why => why,
    };
    FaultKind::NoLine { why, unit: Arc::new(unit.as_difference()) }
}

/// The two columns of a line.
struct Axes<'k> {
    y: (QuantityId, &'k Column),
    x: (QuantityId, &'k Column),
    dimensions: [Dimension; 2],
    /// The unit of y.
    unit: &'k Unit,
    /// Is y a point on a temperature scale?
    point: bool,
    /// The zero of x, where that is a point: an intercept is what y is at 0 °C.
    zero: f64,
    /// The zero of y likewise, for lines through the origin.
    height: f64,
}

impl<'k> Axes<'k> {
    fn new(y: QuantityId, x: QuantityId, known: &Known<'k>) -> Result<Self, FaultKind> {
        let [upright, across] = [column(y, known)?, column(x, known)?];
        if upright.rows.len() != across.rows.len() {
            return Err(FaultKind::LengthsDiffer { left: upright.rows.len(), right: across.rows.len() });
        }
        let first = |column: &Column| column.rows.iter().find_map(|row| row.measure);
        let (Some(of_y), Some(of_x)) = (first(upright), first(across)) else {
            return Err(FaultKind::TooFewValues { function: "slope", needs: 2, has: 0 });
        };
        let zero = |id: QuantityId, of: Measure| {
            let unit = &known.quantities[id].unit;
            unit.zero.filter(|_| of.point).map_or(0.0, |_| unit.to_si(crate::quantity::Exact::ZERO))
        };
        let dimensions = [of_y.dimension, of_x.dimension];
        let (zero, height) = (zero(x, of_x), zero(y, of_y));
        let unit = &known.quantities[y].unit;
        Ok(Self { y: (y, upright), x: (x, across), dimensions, unit, point: of_y.point, zero, height })
    }

    /// The rows in which both columns hold a value.
    fn rows(&self) -> Vec<Row> {
        let pairs = self.y.1.rows.iter().zip(&self.x.1.rows).enumerate();
        let both = pairs.filter_map(|(number, (y, x))| Some((number, y.measure?, x.measure?)));
        both.enumerate().map(|(place, (number, y, x))| Row { number, place, y, x }).collect()
    }

    /// The rows as points with their own, independent errors.
    fn points(&self, rows: &[Row], reached: &Reached, through_origin: bool) -> Vec<Point> {
        let height = self.height(through_origin);
        let point =
            |(row, &[sy, sx]): (&Row, &[f64; 2])| Point { x: row.x.value - self.zero, y: row.y.value - height, sx, sy };
        rows.iter().zip(&reached.own).map(point).collect()
    }

    const fn height(&self, through_origin: bool) -> f64 {
        if through_origin { self.height } else { 0.0 }
    }

    fn fitted(&self, through_origin: bool, evaluator: &mut Evaluator<'_>) -> Result<Fitted, FaultKind> {
        let rows = self.rows();
        let reached = reached(&rows, evaluator)?;
        let points = self.points(&rows, &reached, through_origin);
        let options = Options { method: method(evaluator.course.fit), through_origin };
        let line = fit::line(&points, options).map_err(|why| no_line(why, through_origin, &rows, self.unit))?;
        let own = line.uncertainty.map(|own| {
            let asked = (self.y.0, self.x.0, through_origin);
            // What the points' own uncertainties come to is known as well as these are, whatever the number of points.
            let dof = if line.options.method == Method::Scatter { count(line.dof) } else { f64::INFINITY };
            correlated(own, dof, Key::Fit { line: asked }, evaluator)
        });
        let operands = operands(&line, &points, &rows, &reached, own, evaluator)?;
        let nodes = operands.map(|operands| evaluator.propagation.quantity(operands));
        let rows = rows.iter().map(|row| row.number).collect();
        let variables = own.map(|own| own.stand_on);
        Ok(Fitted { line, points, rows, zero: self.zero, height: self.height(through_origin), nodes, variables })
    }

    fn values(&self, fitted: &Fitted, evaluator: &Evaluator<'_>) -> Result<[Value; 2], FaultKind> {
        let [y, x] = self.dimensions;
        let steepness = y.over(x).ok_or(FaultKind::PowerOfUnit)?;
        let value = |value, node, dimension, point| {
            let uncertain = evaluator.propagation.is_uncertain(node);
            Value { id: self.y.0, node, value, dimension, point, uncertain }
        };
        let [slope, intercept] = fitted.nodes;
        let Line { slope: steep, intercept: high, .. } = fitted.line;
        Ok([value(steep, slope, steepness, false), value(high, intercept, y, self.point)])
    }
}

fn column<'k>(id: QuantityId, known: &Known<'k>) -> Result<&'k Column, FaultKind> {
    match &known.quantities[id].origin {
        Origin::Column(column) if !column.failed => Ok(column),
        _ => Err(FaultKind::Follows { symbol: known.quantities[id].symbol.clone() }),
    }
}

/// One row of a line.
struct Row {
    /// Its number in the columns.
    number: usize,
    /// Its number among the rows of the line.
    place: usize,
    y: Measure,
    x: Measure,
}

/// Nodes with the derivative by each.
type Operands = Vec<(Node, f64)>;

/// What each row rests on alone, and which sources reach several rows.
fn reached(rows: &[Row], evaluator: &mut Evaluator<'_>) -> Result<Reached, FaultKind> {
    let nodes: Vec<_> = rows.iter().map(|row| [row.y.node, row.x.node]).collect();
    evaluator.propagation.reached(&nodes, &mut evaluator.line_steps).ok_or(TOO_MUCH)
}

/// Slope and intercept, less all that they are not worth by themselves.
fn correlated(own: Uncertainty, dof: f64, cause: Key, evaluator: &mut Evaluator<'_>) -> Correlated {
    let pair = evaluator.propagation.correlated([own.slope, own.intercept], own.correlation, dof);
    pair.stand_on.into_iter().for_each(|node| evaluator.causes.insert(node, cause.clone()));
    pair
}

/// The derivatives of slope and intercept by everything that they rest on: the line's own scatter, and
/// what several rows share; of a line without scatter, every coordinate.
fn operands(
    line: &Line,
    points: &[Point],
    rows: &[Row],
    reached: &Reached,
    own: Option<Correlated>,
    evaluator: &mut Evaluator<'_>,
) -> Result<[Operands; 2], FaultKind> {
    let coordinates = rows.iter().zip(points).flat_map(|(row, point)| {
        let by = line.sensitivity(row.place, point);
        [(row.y.node, [by.slope_by_y, by.intercept_by_y]), (row.x.node, [by.slope_by_x, by.intercept_by_x])]
    });
    let Some(own) = own else {
        let coordinates: Vec<_> = coordinates.collect();
        return Ok([0, 1].map(|which| distinct(coordinates.iter().map(|(node, by)| (*node, by[which])))));
    };
    let swept = evaluator.propagation.swept(coordinates, &mut evaluator.line_steps).ok_or(TOO_MUCH)?;
    let shared: Vec<_> = swept.into_iter().filter(|(source, _)| reached.is_shared(*source)).collect();
    let of = |which: usize, own: Node| {
        shared.iter().map(move |(source, by)| (*source, by[which])).chain([(own, 1.0)]).collect()
    };
    let [slope, intercept] = own.variables;
    Ok([of(0, slope), of(1, intercept)])
}
