//! Units as the author of an item would write them: those that stand in it, and what its formula makes of them.

use std::sync::Arc;

use super::paper::{Paper, clauses};
use super::trial::arguments;
use crate::evaluate::Quantity;
use crate::evaluate::fault::{Doing, Fault, FaultKind};
use crate::parse::ast::{Against, Amount, AmountStep, Binary, Clause, Formula, Item, Step, Symbol};
use crate::quantity::unit::Spelling;
use crate::quantity::{Dimension, Unit};
use crate::span::{Span, Spanned};

/// A unit of more factors than this reads no better than the coherent one.
const MOST_FACTORS: usize = 3;

/// The units that an item speaks of.
pub(super) struct Typed {
    /// With their places, in the order of the source.
    placed: Vec<(Span, Unit)>,
    /// Of each kind the first that was met.
    kinds: Vec<Unit>,
}

impl Typed {
    pub(super) fn of(paper: &Paper<'_>, item: &Item) -> Self {
        let mut placed = of_item(paper, item);
        let mut kinds: Vec<Unit> = Vec::new();
        for (_, unit) in &placed {
            if kinds.iter().all(|known| known.dimension != unit.dimension) {
                kinds.push(unit.clone());
            }
        }
        placed.sort_by_key(|(place, _)| *place);
        Self { placed, kinds }
    }

    /// The unit of that dimension, within `span` where there is one; `None` where none is of that kind.
    pub(super) fn unit(&self, span: Span, dimension: Dimension) -> Option<&Unit> {
        let start = self.placed.partition_point(|(place, _)| place.start < span.start);
        let there = self.placed.iter().skip(start).take_while(|(place, _)| place.end <= span.end);
        there.map(|(_, unit)| unit).chain(&self.kinds).find(|unit| unit.dimension == dimension)
    }
}

/// Where the units of a value and of an uncertainty beside it stand, if only those of pure numbers such as `rad`, where
/// both have one and they differ.
pub(super) fn of_value_and_amount(paper: &Paper<'_>, fault: &Fault) -> Option<[Span; 2]> {
    let FaultKind::UnitsDiffer { doing: Doing::Amount, .. } = fault.kind else { return None };
    let item = paper.item(fault.item)?;
    let own = match item {
        Item::Reading(reading) => reading.unit.as_ref()?.span,
        Item::Column(column) => column.unit.as_ref()?.span,
        _ => return None,
    };
    let clause = clauses(item).iter().find(|clause| clause.span == fault.span)?;
    let amount = match &clause.value {
        Clause::Source { amount, .. } => &amount.as_ref()?.value,
        Clause::Total(total) => &total.amount,
        _ => return None,
    };
    let other = amount.steps.iter().find_map(|step| match step {
        AmountStep::Unit(unit) => Some(unit.span),
        _ => None,
    })?;
    Some([own, other])
}

/// The units of the two sides of the operator that stands at `span` in an item's formula.
pub(super) fn sides(paper: &Paper<'_>, item: &Item, span: Span) -> Option<[Option<Unit>; 2]> {
    let mut stack = Vec::new();
    for step in &formula(item)?.steps {
        if step.span == span && matches!(step.value, Step::Binary(_)) {
            let (right, left) = (stack.pop()?, stack.pop()?);
            return Some([left, right]);
        }
        work(paper, &step.value, &mut stack);
    }
    None
}

/// Of each step of a formula the unit that its author would write it in; `None` where there is none that is plain.
pub(super) fn of_steps(paper: &Paper<'_>, steps: &[Spanned<Step>]) -> Vec<Option<Unit>> {
    let mut stack = Vec::new();
    let unit = |step: &Spanned<Step>| {
        work(paper, &step.value, &mut stack);
        stack.last().cloned().flatten()
    };
    steps.iter().map(unit).collect()
}

/// Puts the unit of a step in the place of those of its arguments.
fn work(paper: &Paper<'_>, step: &Step, stack: &mut Vec<Option<Unit>>) {
    let mut given = stack.split_off(stack.len().saturating_sub(arguments(step))).into_iter();
    let mut argument = || given.next().flatten();
    stack.push(match step {
        Step::Number(_, None) | Step::Pi => Some(Unit::one()),
        Step::Number(_, Some(unit)) => paper.unit(&unit.value),
        Step::Symbol(symbol) => quantity(paper, symbol).map(|quantity| (*quantity.unit).clone()),
        Step::Negate => argument(),
        Step::Binary(Binary::Add | Binary::Subtract) => {
            let (left, right) = (argument(), argument());
            left.filter(|left| right.is_some_and(|right| right.dimension == left.dimension))
        }
        Step::Binary(Binary::Multiply) => together(paper, argument(), argument(), false),
        Step::Binary(Binary::Divide) => together(paper, argument(), argument(), true),
        Step::Binary(Binary::Power) | Step::Call(..) => None,
    });
}

/// A product or a quotient of units.
fn together(paper: &Paper<'_>, one: Option<Unit>, other: Option<Unit>, over: bool) -> Option<Unit> {
    let (one, other) = (one?, other?);
    if other.is_one() {
        return Some(one);
    }
    let mut whole = one.shown;
    let (above, below) =
        if over { (other.shown.under, other.shown.over) } else { (other.shown.over, other.shown.under) };
    above.into_iter().for_each(|factor| multiply(&mut whole, factor, 1));
    below.into_iter().for_each(|factor| multiply(&mut whole, factor, -1));
    (whole.over.len() + whole.under.len() <= MOST_FACTORS).then(|| paper.unit(&whole)).flatten()
}

/// A factor joins others of its symbol.
fn multiply(whole: &mut Spelling, (symbol, power): (String, i32), side: i32) {
    let take = |factors: &mut Vec<(String, i32)>| {
        let place = factors.iter().position(|(other, _)| *other == symbol)?;
        Some(factors.remove(place).1)
    };
    let power = side * power + take(&mut whole.over).unwrap_or(0) - take(&mut whole.under).unwrap_or(0);
    match power {
        0 => {}
        1.. => whole.over.push((symbol, power)),
        _ => whole.under.push((symbol, -power)),
    }
}

fn quantity<'r>(paper: &Paper<'r>, symbol: &Symbol) -> Option<&'r Quantity> {
    paper.context.sheet.find(symbol).map(|(_, quantity)| quantity)
}

fn formula(item: &Item) -> Option<&Formula> {
    match item {
        Item::Result(derived) => Some(&derived.formula),
        Item::Column(column) => column.formula.as_ref(),
        _ => None,
    }
}

/// The units that stand in an item or belong to a quantity in it, each with its place.
fn of_item(paper: &Paper<'_>, item: &Item) -> Vec<(Span, Unit)> {
    let mut units = Vec::new();
    let mut typed = |span: Span, spelling: &Spelling| units.extend(paper.unit(spelling).map(|unit| (span, unit)));
    spelt(item).for_each(|(span, spelling)| typed(span, spelling));
    let steps = formula(item).map_or(&[][..], |formula| &formula.steps);
    for step in steps {
        if let Step::Number(_, Some(unit)) = &step.value {
            typed(unit.span, &unit.value);
        }
    }
    let in_formula = steps.iter().filter_map(|step| match &step.value {
        Step::Symbol(symbol) => Some((step.span, symbol)),
        _ => None,
    });
    let named = match item {
        Item::Mention(mention) => vec![&mention.symbol],
        Item::Comparison(comparison) => match &comparison.right {
            Against::Symbol(right) => vec![&comparison.left, right],
            Against::Estimate { .. } => vec![&comparison.left],
        },
        _ => Vec::new(),
    };
    let symbols = in_formula.chain(named.into_iter().map(|symbol| (symbol.span, &symbol.value)));
    units.extend(symbols.filter_map(|(span, symbol)| Some((span, (*quantity(paper, symbol)?.unit).clone()))));
    units
}

/// The units that are typed in an item, but for those of its formula.
fn spelt(item: &Item) -> impl Iterator<Item = (Span, &Spelling)> {
    let own = match item {
        Item::Reading(reading) => reading.unit.as_ref(),
        Item::Result(derived) => derived.unit.as_ref(),
        Item::Column(column) => column.unit.as_ref(),
        Item::Mention(mention) => mention.unit.as_ref(),
        Item::Comparison(comparison) => match &comparison.right {
            Against::Estimate { estimate, .. } => estimate.value.unit.as_ref(),
            Against::Symbol(_) => None,
        },
        _ => None,
    };
    let stated = clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Stated(estimate) => estimate.unit.as_ref(),
        _ => None,
    });
    let amounts = amounts(item).flat_map(|amount| &amount.steps).filter_map(|step| match step {
        AmountStep::Unit(unit) => Some(unit),
        _ => None,
    });
    own.into_iter().chain(stated).chain(amounts).map(|unit| (unit.span, &unit.value))
}

/// The amounts of a reading's sources.
pub(super) fn amounts(item: &Item) -> impl Iterator<Item = &Amount> {
    let typed = match item {
        Item::Reading(reading) => reading.total.as_ref().map(|total| &total.value.amount),
        _ => None,
    };
    let in_clauses = clauses(item).iter().filter_map(|clause| match &clause.value {
        Clause::Source { amount, .. } => amount.as_ref().map(|amount| &amount.value),
        Clause::Total(total) => Some(&total.amount),
        _ => None,
    });
    typed.into_iter().chain(in_clauses).map(Arc::as_ref)
}
