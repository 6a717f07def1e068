//! Straight lines that a report asks for, and the place of its first asking.

use std::collections::HashSet;

use super::desk::Desk;
use crate::evaluate::fit::{Line, Point};
use crate::evaluate::line::{Asked, Fitted};
use crate::evaluate::{Quantity, QuantityId};
use crate::parse::ast::{Graph, GraphOption, Item, Symbol};
use crate::span::Span;

/// A line that was fitted.
pub(super) struct Drawn<'r> {
    /// What asks for it first: a call, or a graph's two symbols.
    pub(super) span: Span,
    pub(super) fitted: &'r Fitted,
    /// The column upright.
    pub(super) y: &'r Quantity,
}

impl Drawn<'_> {
    pub(super) fn line(&self) -> &Line {
        &self.fitted.line
    }

    /// How far the uncertainty of its own errors lets a point lie off the line, in y.
    pub(super) fn reach(&self, point: &Point) -> f64 {
        point.sy + libm::fabs(self.line().slope) * point.sx
    }
}

/// Every line once, in the order of the report; none of columns of which another rule says that they cannot be relied
/// upon.
pub(super) fn lines<'r>(desk: &Desk<'r>) -> Vec<Drawn<'r>> {
    let mut seen = HashSet::new();
    let sound: HashSet<QuantityId> =
        desk.sound().filter(|(_, quantity)| !desk.is_incomplete(quantity.item)).map(|(id, _)| id).collect();
    let sheet = desk.context.sheet;
    let mut drawn = Vec::new();
    for (_, item) in desk.spelt_items() {
        for (span, asked) in asked(desk, item) {
            if seen.insert(asked)
                && sound.contains(&asked.0)
                && sound.contains(&asked.1)
                && let (Some(fitted), Some(y)) = (sheet.lines.get(&asked), sheet.quantities.get(asked.0))
            {
                drawn.push(Drawn { span, fitted, y });
            }
        }
    }
    drawn
}

fn asked(desk: &Desk<'_>, item: &Item) -> Vec<(Span, Asked)> {
    match item {
        Item::Result(derived) => desk.context.sheet.lines_in(&derived.formula),
        Item::Column(column) => {
            column.formula.as_ref().map(|formula| desk.context.sheet.lines_in(formula)).unwrap_or_default()
        }
        Item::Graph(graph) => by_graph(desk, graph).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn by_graph(desk: &Desk<'_>, graph: &Graph) -> Option<(Span, Asked)> {
    let line = graph.options.iter().find_map(|option| match option.value {
        GraphOption::Line { through_origin } => Some(through_origin),
        _ => None,
    });
    // What points miss a line by is drawn beneath one, asked for or not.
    let residuals = graph.options.iter().any(|option| option.value == GraphOption::Residuals);
    let line = line.or(residuals.then_some(false));
    let span = Span::new(graph.y.span.start, graph.x.span.end);
    Some((span, (id(desk, &graph.y.value)?, id(desk, &graph.x.value)?, line?)))
}

fn id(desk: &Desk<'_>, symbol: &Symbol) -> Option<QuantityId> {
    desk.context.sheet.find(symbol).map(|(id, _)| id)
}
