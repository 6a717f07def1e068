//! Graphs: the points of two columns, the lines through them, and how well a line is known at each abscissa.

use super::evaluator::Evaluator;
use super::fault::FaultKind;
use super::known::Known;
use super::line;
use super::propagate::Node;
use super::sheet::{Column, Drawn, Fitted, Graph, Mark, Measure, Origin, QuantityId, Straight, View};
use super::statistics::count;
use super::view;
use crate::parse::ast::{self, GraphOption, Symbol};
use crate::quantity::Unit;
use crate::span::{Span, Spanned};

/// How many graphs of one report are drawn. A hundred thousand of them would each go through the same hundred
/// thousand rows.
const MOST: usize = 100;

/// At how many abscissas the uncertainty of a line is worked out.
const SAMPLES: usize = 49;

/// How far a line runs on beyond the outermost points, as a part of their distance.
const BEYOND: f64 = 0.04;

/// An axis whose values begin no further from zero than this part of their end begins at zero.
const NEAR_ZERO: f64 = 0.3;

/// Where an axis of values from `low` to `high` begins and ends, both given with what is drawn about them: at
/// zero, where that is near.
pub fn with_zero(low: f64, high: f64) -> (f64, f64) {
    if low > 0.0 && low <= NEAR_ZERO * high {
        (0.0, high)
    } else if high < 0.0 && high >= NEAR_ZERO * low {
        (low, 0.0)
    } else {
        (low, high)
    }
}

/// The graphs of a report that wait for the totals.
#[derive(Default)]
pub(super) struct Graphs {
    pending: Vec<Pending>,
    asked: usize,
}

struct Pending {
    item: usize,
    graph: Graph,
    units: [Unit; 2],
    /// Of each point: the nodes of x and y.
    nodes: Vec<[Node; 2]>,
    /// The height of the line at each sample.
    heights: Vec<Node>,
}

impl Graphs {
    /// Sets a graph up; its uncertainties come with [`Graphs::views`].
    pub(super) fn add(&mut self, graph: &ast::Graph, item: usize, known: &Known<'_>, evaluator: &mut Evaluator<'_>) {
        self.asked += 1;
        if self.asked > MOST {
            evaluator.fault(item, graph.y.span, FaultKind::NotComputed { what: "graph" });
            return;
        }
        let found = [&graph.y, &graph.x].map(|symbol| view::find(symbol, item, known, evaluator));
        let [Some(y), Some(x)] = found else { return };
        let asked = Asked::of(graph);
        match set_up(graph, [y, x], &asked, known, evaluator) {
            Ok((pending, remarks)) => {
                self.pending.push(Pending { item, ..pending });
                remarks.into_iter().for_each(|(span, kind)| evaluator.fault(item, span, kind));
            }
            Err((span, kind)) => evaluator.fault(item, span, kind),
        }
    }

    /// The graphs, once all totals are known.
    pub(super) fn views(self, evaluator: &Evaluator<'_>) -> Vec<(usize, View)> {
        let view = |pending: Pending| (pending.item, View::Graph(Box::new(pending.settled(evaluator))));
        self.pending.into_iter().map(view).collect()
    }
}

/// What the options of a graph ask for, each with its place.
#[derive(Default)]
struct Asked {
    /// The line, and whether it has to pass through the origin.
    line: Option<(Span, bool)>,
    extreme: Option<Span>,
    residuals: Option<Span>,
    log_x: Option<Span>,
    log_y: Option<Span>,
    title: Option<String>,
}

impl Asked {
    fn of(graph: &ast::Graph) -> Self {
        let mut asked = Self::default();
        for Spanned { span, value } in &graph.options {
            match value {
                GraphOption::Line { through_origin } => asked.line = Some((*span, *through_origin)),
                GraphOption::Extreme => asked.extreme = Some(*span),
                GraphOption::Residuals => asked.residuals = Some(*span),
                GraphOption::LogX => asked.log_x = Some(*span),
                GraphOption::LogY => asked.log_y = Some(*span),
                GraphOption::Title(title) => asked.title = Some(title.value.to_string()),
            }
        }
        // What points miss a line by is nothing without one.
        asked.line = asked.line.or(asked.residuals.map(|span| (span, false)));
        asked
    }

    fn through_origin(&self) -> bool {
        self.line.is_some_and(|(_, through_origin)| through_origin)
    }
}

type Placed<T> = (Span, T);

/// The graph without its uncertainties, and what is to be remarked of it.
fn set_up(
    graph: &ast::Graph,
    [y, x]: [QuantityId; 2],
    asked: &Asked,
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<(Pending, Vec<Placed<FaultKind>>), Placed<FaultKind>> {
    let upright = column(y, known).map_err(|kind| (graph.y.span, kind))?;
    let across = column(x, known).map_err(|kind| (graph.x.span, kind))?;
    if upright.rows.len() != across.rows.len() {
        let kind = FaultKind::LengthsDiffer { left: upright.rows.len(), right: across.rows.len() };
        return Err((graph.x.span, kind));
    }
    let units = [y, x].map(|id| (*known.quantities[id].unit).clone());
    let all = points(upright, across, &units);
    let remarks = unplaced(asked, graph, &all.0);
    let count = all.0.len();
    let (points, nodes) = with_place(all, asked);
    if points.is_empty() {
        return Err((graph.y.span, FaultKind::TooFewValues { function: "graph", needs: 1, has: 0 }));
    }
    let extremes = asked.extreme.map(|span| extremes([y, x], asked, &units, known, evaluator).map_err(at(span)));
    let drawn = asked.line.map(|(span, origin)| {
        let fitted = line::fitted(y, x, origin, known, evaluator);
        fitted.and_then(|fitted| drawn(fitted, &units)).map_err(at(span))
    });
    let (line, extremes) = (drawn.transpose()?, extremes.transpose()?);
    let samples = if line.is_some() || extremes.is_some() { samples(&points, asked) } else { Vec::new() };
    let heights = line.iter().flat_map(|line| heights(line, &samples, &units, evaluator)).collect();
    let graph = Graph {
        y,
        x,
        title: asked.title.clone(),
        log_x: asked.log_x.is_some(),
        log_y: asked.log_y.is_some(),
        off: count - points.len(),
        points,
        line,
        extremes,
        residuals: asked.residuals.is_some(),
        samples,
    };
    Ok((Pending { item: 0, graph, units, nodes, heights }, remarks))
}

/// The points that have a place on their axes.
fn with_place((points, nodes): (Vec<Mark>, Vec<[Node; 2]>), asked: &Asked) -> (Vec<Mark>, Vec<[Node; 2]>) {
    let off = |logarithmic: Option<Span>, value: f64| logarithmic.is_some() && value <= 0.0;
    let pairs = points.into_iter().zip(nodes);
    pairs.filter(|(mark, _)| !off(asked.log_x, mark.x) && !off(asked.log_y, mark.y)).unzip()
}

/// A fault at the place of an option; what a line lacks is told by the option's own word.
fn at(span: Span) -> impl Fn(FaultKind) -> Placed<FaultKind> {
    move |kind| match kind {
        FaultKind::TooFewValues { needs, has, .. } => (span, FaultKind::TooFewValues { function: "line", needs, has }),
        kind => (span, kind),
    }
}

fn column<'k>(id: QuantityId, known: &Known<'k>) -> Result<&'k Column, FaultKind> {
    let quantity = &known.quantities[id];
    match &quantity.origin {
        Origin::Column(column) if !column.failed => Ok(column),
        Origin::Column(_) | Origin::Unread => Err(FaultKind::Follows { symbol: quantity.symbol.clone() }),
        _ => Err(FaultKind::NoColumn { function: "graph" }),
    }
}

/// The rows in which both columns hold a value, in the columns' units.
fn points(upright: &Column, across: &Column, units: &[Unit; 2]) -> (Vec<Mark>, Vec<[Node; 2]>) {
    let pairs = upright.rows.iter().zip(&across.rows).enumerate();
    let both = pairs.filter_map(|(row, (y, x))| {
        let (y, x) = (y.measure?, x.measure?);
        let mark = Mark { row, x: in_unit(&x, &units[1]), y: in_unit(&y, &units[0]), ux: 0.0, uy: 0.0, residual: None };
        (mark.x.is_finite() && mark.y.is_finite()).then_some((mark, [x.node, y.node]))
    });
    both.unzip()
}

fn in_unit(measure: &Measure, unit: &Unit) -> f64 {
    if measure.point { unit.from_si(measure.value) } else { unit.as_difference().from_si(measure.value) }
}

/// Which points have no place on a logarithmic axis.
fn unplaced(asked: &Asked, graph: &ast::Graph, points: &[Mark]) -> Vec<Placed<FaultKind>> {
    let across =
        asked.log_x.and_then(|span| off_axis(span, &graph.x.value, points.iter().map(|mark| (mark.row, mark.x))));
    let upright =
        asked.log_y.and_then(|span| off_axis(span, &graph.y.value, points.iter().map(|mark| (mark.row, mark.y))));
    across.into_iter().chain(upright).collect()
}

fn off_axis(span: Span, symbol: &Symbol, values: impl Iterator<Item = (usize, f64)>) -> Option<Placed<FaultKind>> {
    let mut off = values.filter(|&(_, value)| value <= 0.0);
    let (row, _) = off.next()?;
    Some((span, FaultKind::OffLogAxis { symbol: symbol.clone(), points: 1 + off.count(), row }))
}

fn extremes(
    [y, x]: [QuantityId; 2],
    asked: &Asked,
    units: &[Unit; 2],
    known: &Known<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Result<[Straight; 2], FaultKind> {
    let both = line::extremes(y, x, asked.through_origin(), known, evaluator)?;
    let [a, b] = both.map(|[slope, intercept]| straight(slope, intercept, units));
    match (a, b) {
        (Some(a), Some(b)) => Ok([a, b]),
        _ => Err(out_of_range()),
    }
}

fn out_of_range() -> FaultKind {
    FaultKind::NoLine { why: super::fit::NoLine::OutOfRange, unit: Unit::one().into() }
}

fn drawn(fitted: Fitted, units: &[Unit; 2]) -> Result<Drawn, FaultKind> {
    let line = straight(fitted.line.slope, fitted.line.intercept + fitted.height, units).ok_or_else(out_of_range)?;
    Ok(Drawn { fitted, line, slope_uncertainty: 0.0, intercept_uncertainty: 0.0, band: Vec::new() })
}

/// A line of SI units in those of the columns; the zero of x has been taken off already.
fn straight(slope: f64, intercept: f64, [y, x]: &[Unit; 2]) -> Option<Straight> {
    let line = Straight { slope: slope * (x.factor() / y.factor()), intercept: y.from_si(intercept) };
    (line.slope.is_finite() && line.intercept.is_finite()).then_some(line)
}

/// Abscissas from end to end, evenly spaced on the axis.
fn samples(points: &[Mark], asked: &Asked) -> Vec<f64> {
    let (low, high) = ends(points.iter().map(|mark| mark.x));
    let steps = || (0..SAMPLES).map(|n| count(n) / count(SAMPLES - 1));
    if asked.log_x.is_some() {
        let (low, high) = (libm::log10(low), libm::log10(high));
        let beyond = BEYOND * (high - low);
        let at = |share| libm::pow(10.0, (low - beyond) * (1.0 - share) + (high + beyond) * share);
        return steps().map(at).filter(|x: &f64| x.is_finite()).collect();
    }
    let beyond = BEYOND * high - BEYOND * low;
    // Running on alone carries no line past zero.
    let start = if low >= 0.0 { (low - beyond).max(0.0) } else { low - beyond };
    let end = if high <= 0.0 { (high + beyond).min(0.0) } else { high + beyond };
    let (mut low, mut high) = with_zero(start, end);
    if asked.through_origin() {
        (low, high) = (low.min(0.0), high.max(0.0));
    }
    steps().map(|share| low * (1.0 - share) + high * share).filter(|x| x.is_finite()).collect()
}

fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}

/// The height of the line at each sample, as a quantity: what slope and intercept share with each other, and
/// with the same instrument's other readings, counts as it does everywhere.
fn heights(line: &Drawn, samples: &[f64], units: &[Unit; 2], evaluator: &mut Evaluator<'_>) -> Vec<Node> {
    let [slope, intercept] = line.fitted.nodes;
    let factor = units[1].factor();
    let mut height = |x: &f64| evaluator.propagation.quantity([(slope, x * factor), (intercept, 1.0)]);
    samples.iter().map(&mut height).collect()
}

impl Pending {
    fn settled(self, evaluator: &Evaluator<'_>) -> Graph {
        let Self { mut graph, units: [of_y, of_x], nodes, heights, .. } = self;
        let combined = |node: Node, unit: &Unit| {
            let amount = evaluator.propagation.combined(node).map(|amount| amount / unit.factor());
            amount.filter(|amount| amount.is_finite())
        };
        for (mark, [x, y]) in graph.points.iter_mut().zip(nodes) {
            mark.ux = combined(x, &of_x).unwrap_or(0.0);
            mark.uy = combined(y, &of_y).unwrap_or(0.0);
            let above = graph.line.as_ref().and_then(|drawn| residual(&drawn.fitted, mark.row));
            mark.residual = above.map(|above| above / of_y.factor()).filter(|above| above.is_finite());
        }
        if let Some(drawn) = &mut graph.line {
            let [slope, intercept] = drawn.fitted.nodes;
            let rise = of_x.factor();
            drawn.slope_uncertainty = combined(slope, &of_y).map_or(0.0, |amount| amount * rise);
            drawn.intercept_uncertainty = combined(intercept, &of_y).unwrap_or(0.0);
            let band: Option<Vec<f64>> = heights.into_iter().map(|node| combined(node, &of_y)).collect();
            drawn.band = band.unwrap_or_default();
        }
        graph
    }
}

/// How far the point of a row lies above the line, in SI.
fn residual(fitted: &Fitted, row: usize) -> Option<f64> {
    let place = fitted.rows.binary_search(&row).ok()?;
    Some(fitted.line.residual(fitted.points.get(place)?))
}
