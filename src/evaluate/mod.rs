//! Items to quantities: order, sources, formulas, sensitivities, combining. Evaluation never
//! fails: it gives a sheet and its faults. Arithmetic knows no places; the caller adds them.

mod amount;
pub mod coverage;
mod evaluator;
pub mod fault;
pub mod fit;
mod formula;
mod function;
mod instrument;
mod order;
pub mod propagate;
mod reading;
mod result;
pub mod sheet;
pub mod statistics;
mod view;

use std::collections::HashMap;
use std::sync::Arc;

pub use sheet::{Quantity, QuantityId, Sheet};

use crate::course::Course;
use crate::parse::Parsed;
use crate::parse::ast::{Derived, Head, Item, Reading, Symbol};
use crate::quantity::{Unit, nearest};
use crate::span::Span;
use evaluator::Evaluator;
use fault::{Fault, FaultKind};
use order::Order;
use result::Known;
use sheet::{Origin, View};

/// How many unknown symbols are told their nearest neighbour: the search goes through all known ones.
const MOST_NEAREST: usize = 64;

/// Works every quantity out. `items[n]` is what the document's `n`th place holds.
pub fn evaluate(items: &[Parsed], course: &Course) -> Sheet {
    let mut evaluator = Evaluator::new(course);
    let mut sheet = Sheet { by_item: vec![None; items.len()], ..Sheet::default() };
    define(items, &mut sheet, &mut evaluator);
    let order = order(items, &mut sheet);
    report_cycles(&order, &sheet, &mut evaluator);
    work_out(items, &order, &mut sheet, &mut evaluator);
    look_again(items, &mut sheet, &mut evaluator);
    name_causes(&mut sheet);
    name_neighbours(&mut evaluator.faults, &sheet);
    evaluator.faults.sort_by_key(|fault| (fault.item, fault.span));
    Sheet { faults: evaluator.faults, propagation: evaluator.propagation, ..sheet }
}

/// Enters every definition, readings worked out, results waiting.
fn define(items: &[Parsed], sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    for (item, parsed) in items.iter().enumerate() {
        let Some(definition) = &parsed.item else { continue };
        let Some(head) = definition.head() else { continue };
        if let Some(&first) = sheet.by_symbol.get(&head.symbol.value) {
            let first = sheet.quantities[first].span;
            let kind = FaultKind::DefinedTwice { symbol: head.symbol.value.clone(), first };
            evaluator.fault(item, head.symbol.span, kind);
            continue;
        }
        let id = sheet.quantities.len();
        sheet.by_symbol.insert(head.symbol.value.clone(), id);
        sheet.by_item[item] = Some(id);
        sheet.quantities.push(entry(definition, head, item, evaluator));
    }
    for (item, parsed) in items.iter().enumerate() {
        if let Some(Item::Reading(reading)) = &parsed.item {
            unit_or_symbol(reading, item, &sheet.by_symbol, evaluator);
        }
    }
}

fn entry(definition: &Item, head: &Head, item: usize, evaluator: &mut Evaluator<'_>) -> Quantity {
    let waiting = Quantity {
        symbol: head.symbol.value.clone(),
        name: head.name.as_ref().map(|name| name.value.clone()),
        item,
        span: head.symbol.span,
        unit: Arc::new(Unit::one()),
        origin: Origin::Result { stated: None },
        measure: None,
        sources: Vec::new(),
        operands: Vec::new(),
        exact: false,
    };
    match definition {
        Item::Reading(reading) => {
            let reading::Outcome { unit, origin, measure, sources, exact } =
                reading::evaluate(reading, item, evaluator);
            Quantity { unit, origin, measure, sources, exact, ..waiting }
        }
        Item::Column(_) => {
            evaluator.fault(item, head.symbol.span, FaultKind::NotComputed { what: "column" });
            waiting
        }
        _ => waiting,
    }
}

/// `t = 2 h` without a clause, where a quantity `h` exists as well.
fn unit_or_symbol(reading: &Reading, item: usize, known: &HashMap<Symbol, QuantityId>, evaluator: &mut Evaluator<'_>) {
    let bare = reading.clauses.is_empty() && reading.total.is_none();
    let (true, Some(unit)) = (bare, &reading.unit) else { return };
    if let ([(symbol, 1)], []) = (&unit.value.over[..], &unit.value.under[..])
        && known.contains_key(&Symbol::new(symbol))
    {
        evaluator.fault(item, unit.span, FaultKind::UnitOrSymbol { unit: symbol.clone() });
    }
}

/// What each result uses, and the order that follows.
fn order(items: &[Parsed], sheet: &mut Sheet) -> Order {
    let formula = |quantity: &Quantity| derived(items, quantity).map(|derived| &derived.formula);
    let uses: Vec<_> = (sheet.quantities.iter())
        .map(|quantity| formula(quantity).map(|f| result::operands(f, &sheet.by_symbol)).unwrap_or_default())
        .collect();
    let order = order::order(&uses);
    for (quantity, operands) in sheet.quantities.iter_mut().zip(uses) {
        quantity.operands = operands;
    }
    order
}

fn derived<'i>(items: &'i [Parsed], quantity: &Quantity) -> Option<&'i Derived> {
    match items.get(quantity.item)?.item.as_ref()? {
        Item::Result(derived) => Some(derived),
        _ => None,
    }
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

/// Results, operands first; then the totals of all of them.
fn work_out(items: &[Parsed], order: &Order, sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    for &id in &order.sequence {
        let Some(derived) = derived(items, &sheet.quantities[id]) else { continue };
        let known = Known { quantities: &sheet.quantities, by_symbol: &sheet.by_symbol };
        let result::Outcome { unit, measure, origin } =
            result::evaluate(sheet.quantities[id].item, derived, &known, evaluator);
        let quantity = &mut sheet.quantities[id];
        (quantity.unit, quantity.measure, quantity.origin) = (unit, measure, origin);
    }
}

/// Mentions, comparisons and whatever else names a quantity; then all totals.
fn look_again(items: &[Parsed], sheet: &mut Sheet, evaluator: &mut Evaluator<'_>) {
    let known = Known { quantities: &sheet.quantities, by_symbol: &sheet.by_symbol };
    let (mut views, mut pending) = (HashMap::new(), Vec::new());
    for (item, parsed) in items.iter().enumerate() {
        let view = match &parsed.item {
            Some(Item::Mention(mention)) => view::mention(mention, item, &known, evaluator),
            Some(Item::Comparison(comparison)) => {
                pending.extend(view::comparison(comparison, item, &known, evaluator));
                None
            }
            Some(Item::Budget(symbol)) => view::named(symbol, item, &known, evaluator),
            Some(Item::Graph(_)) => {
                evaluator.fault(item, item_span(parsed), FaultKind::NotComputed { what: "graph" });
                None
            }
            _ => None,
        };
        views.extend(view.map(|view: View| (item, view)));
    }
    evaluator.propagation.settle();
    views.extend(pending.into_iter().map(|pending| pending.view(evaluator)));
    sheet.views = views;
    for quantity in &mut sheet.quantities {
        if let Some(measure) = &mut quantity.measure {
            measure.uncertainty = evaluator.propagation.combined(measure.node).unwrap_or(f64::NAN);
        }
    }
}

/// Where a graph's first symbol stands.
fn item_span(parsed: &Parsed) -> Span {
    match &parsed.item {
        Some(Item::Graph(graph)) => graph.y.span,
        _ => Span::default(),
    }
}

/// Of every variable, where it was first met.
fn name_causes(sheet: &mut Sheet) {
    for (id, quantity) in sheet.quantities.iter().enumerate() {
        for (place, source) in quantity.sources.iter().enumerate() {
            for (part, variable) in source.parts.iter().enumerate() {
                sheet.causes.entry(variable.node).or_insert((id, place, part));
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
            let known = sheet.quantities.iter().map(|quantity| quantity.symbol.as_str());
            *near = nearest(symbol.as_str(), known).map(Symbol::new);
        }
    }
}
