//! Items to quantities: order, sources, formulas, sensitivities, combining. Evaluation never
//! fails: it gives a sheet and its faults. Arithmetic knows no places; the caller adds them.

mod amount;
mod around;
pub mod cause;
mod column;
mod constant;
pub mod coverage;
mod evaluator;
pub mod expanded;
mod factors;
pub mod fault;
pub mod fit;
mod formula;
mod function;
pub mod graph;
mod instrument;
mod known;
mod line;
mod means;
mod meant;
mod order;
pub mod outlier;
mod over;
pub mod propagate;
mod reading;
mod result;
mod scatter;
pub mod sheet;
pub mod statistics;
mod tied;
pub mod units;
mod view;
mod weighted;

use std::cell::LazyCell;
use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap, HashSet};
use std::sync::Arc;

pub use sheet::{Quantity, QuantityId, Sheet};

use crate::course::Course;
use crate::locate::{Document, Setting};
use crate::parse::Parsed;
use crate::parse::ast::{Clause, Column, Derived, Item, Mention, Reading, Symbol};
use crate::quantity::nearest;
use crate::span::Spanned;
use column::Cells;
use evaluator::Evaluator;
use fault::{Fault, FaultKind};
use known::Known;
use order::Order;
use sheet::{Origin, View};

/// How many unknown symbols are told their nearest neighbour: the search goes through all known ones.
const MOST_NEAREST: usize = 64;

/// Works every quantity out. `items[n]` is what the document's `n`th place holds.
pub fn evaluate(document: &Document<'_>, items: &[Parsed], course: &Course) -> Sheet {
    let mut evaluator = Evaluator::new(course);
    let mut sheet = Sheet { by_item: vec![None; items.len()], ..Sheet::default() };
    define(document, items, &mut sheet, &mut evaluator);
    tied::tie(&mut sheet, &mut evaluator);
    let order = order(items, &mut sheet);
    report_cycles(&order, &sheet, &mut evaluator);
    work_out(document, items, &order, &mut sheet, &mut evaluator);
    look_again(items, &mut sheet, &mut evaluator);
    sheet.units = std::mem::take(&mut evaluator.units);
    sheet.causes = std::mem::take(&mut evaluator.causes);
    sheet.lines = std::mem::take(&mut evaluator.lines);
    sheet.weighted_means = std::mem::take(&mut evaluator.weighing.means);
    sheet.factors = std::mem::take(&mut evaluator.factors);
    cause::of_readings(&mut sheet);
    name_neighbours(&mut evaluator.faults, &sheet);
    evaluator.faults.sort_by_key(|fault| (fault.item, fault.span));
    Sheet { faults: evaluator.faults, propagation: evaluator.propagation, ..sheet }
}

/// Enters every definition, readings worked out, results waiting.
fn define(document: &Document<'_>, items: &[Parsed], sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    let heads: Vec<_> = heads(document, items).collect();
    sheet.quantities.reserve_exact(heads.len());
    sheet.by_symbol.reserve(heads.len());
    for (item, definition) in heads {
        let symbol = definition.symbol();
        let id = match sheet.by_symbol.entry(symbol.value.clone()) {
            Entry::Occupied(first) => {
                let first = sheet.quantities[*first.get()].span;
                evaluator.fault(item, symbol.span, FaultKind::DefinedTwice { symbol: symbol.value.clone(), first });
                continue;
            }
            Entry::Vacant(free) => *free.insert(sheet.quantities.len()),
        };
        sheet.by_item[item] = Some(id);
        sheet.quantities.push(entry(&definition, id, item, document, evaluator));
    }
    for (symbol, constant) in constant::all(&evaluator.course.constants) {
        // What a report defines itself is what it means.
        if !sheet.by_symbol.contains_key(&symbol)
            && let Some(quantity) = constant::entry(symbol, constant, evaluator)
        {
            sheet.by_symbol.insert(quantity.symbol.clone(), sheet.quantities.len());
            sheet.quantities.push(quantity);
        }
    }
    for (item, parsed) in items.iter().enumerate() {
        if let Some(Item::Reading(reading)) = &parsed.item {
            unit_or_symbol(reading, item, &sheet.by_symbol, evaluator);
        }
    }
}

/// What an item defines.
enum Definition<'i> {
    Reading(&'i Reading),
    Result(&'i Derived),
    Column(&'i Column),
    /// A bare symbol in a heading cell that nothing else defines: a column of pure numbers.
    Bare(&'i Spanned<Symbol>),
    /// An item of which the symbol alone could be read.
    Broken(&'i Spanned<Symbol>),
}

impl Definition<'_> {
    fn symbol(&self) -> &Spanned<Symbol> {
        match self {
            Self::Reading(reading) => &reading.head.symbol,
            Self::Result(derived) => &derived.head.symbol,
            Self::Column(column) => &column.head.symbol,
            Self::Bare(symbol) | Self::Broken(symbol) => symbol,
        }
    }

    fn name(&self) -> Option<Arc<str>> {
        let head = match self {
            Self::Reading(reading) => &reading.head,
            Self::Result(derived) => &derived.head,
            Self::Column(column) => &column.head,
            Self::Bare(_) | Self::Broken(_) => return None,
        };
        head.name.as_ref().map(|name| name.value.clone())
    }
}

fn heads<'i>(document: &'i Document<'_>, items: &'i [Parsed]) -> impl Iterator<Item = (usize, Definition<'i>)> {
    // Only a symbol alone in a heading cell asks for it.
    let defined = LazyCell::new(|| -> HashSet<&Symbol> {
        items.iter().filter_map(|parsed| Some(&parsed.item.as_ref()?.head()?.symbol.value)).collect()
    });
    items.iter().zip(&document.places).enumerate().filter_map(move |(item, (parsed, place))| {
        let definition = match (&parsed.item, &parsed.defines) {
            (Some(Item::Reading(reading)), _) => Definition::Reading(reading),
            (Some(Item::Result(derived)), _) => Definition::Result(derived),
            (Some(Item::Column(column)), _) => Definition::Column(column),
            (Some(Item::Mention(Mention { symbol, unit: None, style: None })), _)
                if matches!(place.setting, Setting::HeadingCell { .. }) && !defined.contains(&symbol.value) =>
            {
                Definition::Bare(symbol)
            }
            (None, Some(symbol)) => Definition::Broken(symbol),
            _ => return None,
        };
        Some((item, definition))
    })
}

fn entry(
    definition: &Definition<'_>,
    id: QuantityId,
    item: usize,
    document: &Document<'_>,
    evaluator: &mut Evaluator<'_>,
) -> Quantity {
    let symbol = definition.symbol();
    let waiting = Quantity {
        symbol: symbol.value.clone(),
        name: definition.name(),
        item,
        span: symbol.span,
        unit: evaluator.one(),
        origin: Origin::Result { stated: None },
        measure: None,
        sources: Vec::new(),
        operands: Vec::new(),
        exact: false,
    };
    let (unit, clauses) = match definition {
        Definition::Reading(reading) => {
            let reading::Outcome { unit, origin, measure, sources, exact } =
                reading::evaluate(reading, item, evaluator);
            return Quantity { unit, origin, measure, sources, exact, ..waiting };
        }
        Definition::Result(_) => return waiting,
        Definition::Broken(_) => return Quantity { origin: Origin::Unread, ..waiting },
        Definition::Column(column) if column.formula.is_some() => {
            let column = cells(document, item).map(column::waiting);
            return Quantity {
                origin: column.map_or(Origin::Unread, |column| Origin::Column(Box::new(column))),
                ..waiting
            };
        }
        Definition::Column(column) => (column.unit.as_ref(), &column.clauses[..]),
        Definition::Bare(_) => (None, &[][..]),
    };
    // Outside a heading cell the parser has said so.
    let Some(cells) = cells(document, item) else { return Quantity { origin: Origin::Unread, ..waiting } };
    let column::Outcome { unit, column, sources } = column::readings(cells, unit, clauses, (id, item), evaluator);
    let exact = sources.is_empty() && clauses.iter().any(|clause| matches!(clause.value, Clause::Exact(_)));
    Quantity { unit, origin: Origin::Column(Box::new(column)), sources, exact, ..waiting }
}

/// The cells beneath the heading item of that number.
fn cells<'d>(document: &'d Document<'_>, item: usize) -> Option<Cells<'d>> {
    match document.places.get(item)?.setting {
        Setting::HeadingCell { table, column } => {
            Some(Cells { source: document.source, tables: &document.tables, table, column })
        }
        _ => None,
    }
}

/// `t = 2 h` without a clause, where a quantity `h` exists as well; `v = 2 s/t`, where both exist.
fn unit_or_symbol(reading: &Reading, item: usize, known: &HashMap<Symbol, QuantityId>, evaluator: &mut Evaluator<'_>) {
    let bare = reading.clauses.is_empty() && reading.total.is_none();
    let (true, Some(unit)) = (bare, &reading.unit) else { return };
    let mut factors = unit.value.over.iter().chain(&unit.value.under);
    // Of `3 m/s` beside a mass `m` only one could be meant.
    if factors.all(|(symbol, _)| known.contains_key(&Symbol::new(symbol))) {
        evaluator.fault(item, unit.span, FaultKind::UnitOrSymbol { unit: unit.value.to_string() });
    }
}

/// What each result uses, and the order that follows.
fn order(items: &[Parsed], sheet: &mut Sheet) -> Order {
    let formula = |quantity: &Quantity| match items.get(quantity.item)?.item.as_ref()? {
        Item::Result(derived) => Some(&derived.formula),
        Item::Column(column) => column.formula.as_ref(),
        _ => None,
    };
    let mut used_by = vec![None; sheet.quantities.len()];
    let mut uses = |(user, quantity): (QuantityId, &Quantity)| match formula(quantity) {
        Some(formula) => result::operands(user, formula, &sheet.by_symbol, &mut used_by),
        None => Vec::new(),
    };
    let uses: Vec<_> = sheet.quantities.iter().enumerate().map(&mut uses).collect();
    let order = order::order(&uses);
    for (quantity, operands) in sheet.quantities.iter_mut().zip(uses) {
        quantity.operands = operands;
    }
    order
}

fn report_cycles(order: &Order, sheet: &Sheet, evaluator: &mut Evaluator<'_>) {
    for cycle in &order.cycles {
        let Some(&first) = cycle.first() else { continue };
        let path = cycle.iter().map(|&id| sheet.quantities[id].symbol.clone()).collect();
        let spans = cycle.iter().map(|&id| sheet.quantities[id].span).collect();
        let quantity = &sheet.quantities[first];
        evaluator.fault(quantity.item, quantity.span, FaultKind::Cycle { path, spans });
    }
}

/// Results and result columns, operands first.
fn work_out(
    document: &Document<'_>,
    items: &[Parsed],
    order: &Order,
    sheet: &mut Sheet,
    evaluator: &mut Evaluator<'_>,
) {
    for &id in &order.sequence {
        let item = sheet.quantities[id].item;
        match items.get(item).and_then(|parsed| parsed.item.as_ref()) {
            Some(Item::Result(derived)) => {
                let known = Known { quantities: &sheet.quantities, by_symbol: &sheet.by_symbol };
                let result::Outcome { unit, measure, origin } = result::evaluate(item, derived, &known, evaluator);
                let quantity = &mut sheet.quantities[id];
                (quantity.unit, quantity.measure, quantity.origin) = (unit, measure, origin);
            }
            Some(Item::Column(Column { formula: Some(formula), unit, .. })) => {
                // Taken out while it is filled, so that the rows can look at the other columns.
                let origin = std::mem::replace(&mut sheet.quantities[id].origin, Origin::Unread);
                let Origin::Column(mut column) = origin else { continue };
                let known = Known { quantities: &sheet.quantities, by_symbol: &sheet.by_symbol };
                let source = document.source;
                let shown = column::results(&mut column, formula, unit.as_ref(), item, source, &known, evaluator);
                column.failed = shown.is_none();
                let quantity = &mut sheet.quantities[id];
                quantity.unit = shown.unwrap_or_else(|| evaluator.one());
                quantity.origin = Origin::Column(column);
            }
            _ => {}
        }
    }
}

/// Mentions, comparisons and whatever else names a quantity; then all totals.
fn look_again(items: &[Parsed], sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    let known = Known { quantities: &sheet.quantities, by_symbol: &sheet.by_symbol };
    let (mut views, mut pending, mut graphs) = (BTreeMap::new(), Vec::new(), graph::Graphs::default());
    for (item, parsed) in items.iter().enumerate() {
        let view = match &parsed.item {
            Some(Item::Mention(mention)) => view::mention(mention, item, &known, evaluator),
            Some(Item::Comparison(comparison)) => {
                pending.extend(view::comparison(comparison, item, &known, evaluator));
                None
            }
            Some(Item::Budget(symbol)) => view::named(symbol, item, &known, evaluator),
            Some(Item::Graph(graph)) => {
                graphs.add(graph, item, &known, evaluator);
                None
            }
            _ => None,
        };
        views.extend(view.map(|view: View| (item, view)));
    }
    evaluator.propagation.settle();
    views.extend(pending.into_iter().map(|pending| pending.view(evaluator)));
    views.extend(graphs.views(evaluator));
    sheet.views = views;
    for quantity in &mut sheet.quantities {
        let is_result = quantity.origin.is_result();
        let rows = match &mut quantity.origin {
            Origin::Column(column) => &mut column.rows[..],
            _ => &mut [],
        };
        for measure in quantity.measure.iter_mut().chain(rows.iter_mut().filter_map(|row| row.measure.as_mut())) {
            measure.uncertainty = evaluator.propagation.combined(measure.node).unwrap_or(f64::NAN);
            if is_result {
                evaluator.factors.learn(evaluator.propagation.dof(measure.node));
            }
        }
    }
}

/// Of each unknown symbol, the nearest that is known.
fn name_neighbours(faults: &mut [Fault], sheet: &Sheet) {
    let mut left = MOST_NEAREST;
    for fault in faults {
        if let FaultKind::UnknownSymbol { symbol, nearest: near } = &mut fault.kind {
            let Some(rest) = left.checked_sub(1) else { return };
            left = rest;
            let known = || sheet.quantities.iter().map(|quantity| quantity.symbol.as_str());
            // Of symbols of one letter only the same in the other case is near.
            let other_case = || known().find(|known| known.to_lowercase() == symbol.as_str().to_lowercase());
            *near = nearest(symbol.as_str(), known()).or_else(other_case).map(Symbol::new);
        }
    }
}
