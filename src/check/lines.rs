//! Straight lines that a report asks for, and the place of its first asking.

use std::collections::HashSet;

use super::paper::Paper;
use crate::evaluate::fit::{Line, Point};
use crate::evaluate::sheet::{Asked, Fitted};
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
pub(super) fn lines<'r>(paper: &Paper<'r>) -> Vec<Drawn<'r>> {
    let sheet = paper.context.sheet;
    let (mut seen, mut drawn) = (HashSet::new(), Vec::new());
    if sheet.lines.is_empty() {
        return drawn;
    }
    let sound = |id: QuantityId| {
        sheet.quantities.get(id).filter(|quantity| paper.is_sound(quantity) && !paper.is_incomplete(quantity.item))
    };
    for (_, item) in paper.spelt_items() {
        for (span, asked) in asked(paper, item) {
            if seen.insert(asked)
                && let (Some(y), Some(_)) = (sound(asked.0), sound(asked.1))
                && let Some(fitted) = sheet.lines.get(&asked)
            {
                drawn.push(Drawn { span, fitted, y });
            }
        }
    }
    drawn
}

fn asked(paper: &Paper<'_>, item: &Item) -> Vec<(Span, Asked)> {
    match item {
        Item::Result(derived) => paper.context.sheet.lines_in(&derived.formula),
        Item::Column(column) => {
            column.formula.as_ref().map(|formula| paper.context.sheet.lines_in(formula)).unwrap_or_default()
        }
        Item::Graph(graph) => by_graph(paper, graph).into_iter().collect(),
        _ => Vec::new(),
    }
}

fn by_graph(paper: &Paper<'_>, graph: &Graph) -> Option<(Span, Asked)> {
    let line = graph.options.iter().find_map(|option| match option.value {
        GraphOption::Line { through_origin } => Some(through_origin),
        _ => None,
    });
    // What points miss a line by is drawn beneath one, asked for or not.
    let residuals = graph.options.iter().any(|option| option.value == GraphOption::Residuals);
    let line = line.or(residuals.then_some(false));
    let span = Span::new(graph.y.span.start, graph.x.span.end);
    Some((span, (id(paper, &graph.y.value)?, id(paper, &graph.x.value)?, line?)))
}

fn id(paper: &Paper<'_>, symbol: &Symbol) -> Option<QuantityId> {
    paper.context.sheet.find(symbol).map(|(id, _)| id)
}
