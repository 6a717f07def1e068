//! What stands where: for every item its pieces, for every block the tables beneath it.

use std::ops::Range;

use super::View;
use super::column::Blank;
use super::piece::{Piece, Table};
use super::{column, graph, rationale, style, summary};
use crate::check::{Finding, Severity};
use crate::course::RationalePlace;
use crate::evaluate::sheet::Graph;
use crate::evaluate::{QuantityId, sheet};
use crate::locate::End;
use crate::parse::ast::{Item, Style};
use crate::parse::{FaultKind, Parsed};

/// A report about to be written.
pub(super) struct Plan<'r> {
    pub(super) view: View<'r>,
    /// Of each item: the first error at it.
    errors: Vec<Option<&'r Finding>>,
    /// The item that asks for all rationale in its place.
    collected: Option<usize>,
    /// The item that asks for a summary; a second one gets none, or a hundred thousand would each get
    /// a hundred thousand lines.
    summary: Option<usize>,
    /// The items that are drawn as graphs, in order.
    graphs: Vec<usize>,
}

/// A block of the report, and the items in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Block {
    /// Where it ends, before its line ending.
    pub(super) end: usize,
    /// Its items.
    pub(super) items: Range<usize>,
}

impl<'r> Plan<'r> {
    pub(super) fn new(view: View<'r>) -> Self {
        let errors = errors(view);
        let plan = Self { view, errors, collected: None, summary: None, graphs: Vec::new() };
        let first =
            |asks: fn(&Item) -> bool| (0..view.document.places.len()).find(|&n| plan.whole(n).is_some_and(asks));
        let collected = first(|item| matches!(item, Item::Rationale));
        let summary = first(|item| matches!(item, Item::Summary));
        let graphs = (0..view.document.places.len()).filter(|&item| plan.drawn(item).is_some()).collect();
        Self { collected, summary, graphs, ..plan }
    }

    /// What stands in place of an item; `None` where it has to stay as it is.
    pub(super) fn said(&self, item: usize) -> Option<Vec<Piece<'r>>> {
        let view = self.view;
        match self.whole(item)? {
            Item::Reading(_) => style::styled(view, view.sheet.defined_by(item)?.0, None, Style::Full),
            Item::Result(derived) => {
                let style = derived.style.map_or(Style::Full, |style| style.value);
                style::styled(view, view.sheet.defined_by(item)?.0, None, style)
            }
            Item::Mention(mention) => {
                let sheet::View::Mention { quantity, unit } = view.sheet.views.get(&item)? else { return None };
                let style = mention.style.map_or(Style::Plain, |style| style.value);
                // A column has no one value: it is called by its heading.
                let called = column::called(view, *quantity, style);
                called.or_else(|| style::styled(view, *quantity, unit.as_deref(), style))
            }
            Item::Comparison(comparison) => {
                let sheet::View::Comparison(compared) = view.sheet.views.get(&item)? else { return None };
                style::comparison(view, comparison, compared)
            }
            Item::Budget(_) => self.budget(item).map(|_| Vec::new()),
            Item::Rationale | Item::Summary => Some(Vec::new()),
            Item::Column(_) => column::heading(view, view.sheet.defined_by(item)?.0),
            Item::Graph(_) => self.drawn(item).map(|_| Vec::new()),
        }
    }

    /// What was found wrong with an item that stays as it is.
    pub(super) fn error(&self, item: usize) -> Option<&'r Finding> {
        self.errors.get(item).copied().flatten()
    }

    /// The blocks that hold items, in order.
    pub(super) fn blocks(&self) -> impl Iterator<Item = Block> {
        let places = &self.view.document.places;
        let mut start = 0;
        std::iter::from_fn(move || {
            let end = places.get(start)?.block_end;
            let count = places[start..].iter().take_while(|place| place.block_end == end).count();
            let items = start..start + count;
            start += count;
            Some(Block { end, items })
        })
    }

    /// The cells of the report that are to be filled, in order, each once.
    pub(super) fn blanks(&self) -> Vec<Blank> {
        let defined = (0..self.view.document.places.len()).filter(|&item| self.whole(item).is_some());
        let columns = defined.filter_map(|item| self.view.sheet.defined_by(item));
        let mut blanks: Vec<_> = columns.flat_map(|(id, _)| column::blanks(self.view, id)).collect();
        blanks.sort_by_key(|blank| blank.address);
        blanks.dedup_by_key(|blank| blank.address);
        blanks
    }

    /// The tables beneath a block.
    pub(super) fn tables(&self, block: &Block) -> Vec<Table<'r>> {
        let mut tables = Vec::new();
        let beneath = self.collected.is_none() && self.view.course.rationale == RationalePlace::Beneath;
        tables.extend(beneath.then(|| self.rationale(block.items.clone())).flatten());
        for item in block.items.clone() {
            match self.whole(item) {
                Some(Item::Rationale) if self.collected == Some(item) => {
                    tables.extend(self.rationale(0..self.view.document.places.len()));
                }
                Some(Item::Budget(_)) => tables.extend(self.budget(item).map(|id| summary::budget(self.view, id))),
                Some(Item::Summary) if self.summary == Some(item) => tables.extend(summary::summary(self.view)),
                _ => {}
            }
        }
        tables
    }

    /// The graphs beneath a block.
    pub(super) fn graphs(&self, block: &Block) -> impl Iterator<Item = graph::Shown<'r>> {
        let first = self.graphs.partition_point(|&item| item < block.items.start);
        let numbered = self.graphs.iter().zip(1..).skip(first);
        let inside = numbered.take_while(move |(item, _)| **item < block.items.end);
        inside.filter_map(|(&item, number)| graph::shown(self.view, self.drawn(item)?, number))
    }

    fn drawn(&self, item: usize) -> Option<&'r Graph> {
        match (self.whole(item)?, self.view.sheet.views.get(&item)?) {
            (Item::Graph(_), sheet::View::Graph(graph)) => Some(graph),
            _ => None,
        }
    }

    /// The rationale of what some items define, as one table.
    fn rationale(&self, items: Range<usize>) -> Option<Table<'r>> {
        let defined = items.filter(|&item| self.whole(item).is_some());
        let quantities = defined.filter_map(|item| Some(self.view.sheet.defined_by(item)?.0));
        rationale::table(self.view, quantities.filter(|&id| self.has_value(id)))
    }

    fn budget(&self, item: usize) -> Option<QuantityId> {
        match self.view.sheet.views.get(&item)? {
            sheet::View::Mention { quantity, .. } if self.has_value(*quantity) => Some(*quantity),
            _ => None,
        }
    }

    fn has_value(&self, id: QuantityId) -> bool {
        let single = self.view.sheet.quantities.get(id).is_some_and(|quantity| quantity.measure.is_some());
        single || column::column(self.view, id).is_some()
    }

    /// The item, where nothing is so wrong with it that it has to stay as it is.
    fn whole(&self, item: usize) -> Option<&'r Item> {
        let place = self.view.document.places.get(item)?;
        let parsed = self.view.items.get(item)?;
        let right = place.end == End::Closed && self.error(item).is_none() && is_readable(parsed);
        right.then_some(parsed.item.as_ref()).flatten()
    }
}

/// Is nothing worse with its writing than a missing blank?
fn is_readable(parsed: &Parsed) -> bool {
    parsed.faults.iter().all(|fault| matches!(fault.kind, FaultKind::NoBlankBeforeUnit))
}

/// Of each place: the first finding there that is an error.
fn errors(view: View<'_>) -> Vec<Option<&Finding>> {
    let places = &view.document.places;
    let mut errors = vec![None; places.len()];
    for finding in view.findings.iter().filter(|finding| finding.severity == Severity::Error) {
        let after = places.partition_point(|place| place.span.start <= finding.span.start);
        let Some(item) = after.checked_sub(1) else { continue };
        // The end counts as inside: there a missing `}` is reported.
        if finding.span.start <= places[item].span.end {
            errors[item].get_or_insert(finding);
        }
    }
    errors
}
