//! A formula worked out once more in plain doubles, with each quantity moved by its uncertainty: how far
//! every step of it may lie from its value. Judges what the slope at one point cannot tell.

use super::desk::Desk;
use crate::parse::ast::{Binary, Formula, Function, Item, Number, Step, Symbol};
use crate::quantity::Exact;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

/// Formulas with more quantities than this are not tried: each costs one more pass.
const MOST_QUANTITIES: usize = 32;

/// A formula that was tried.
pub(super) struct Trial<'r> {
    /// The number of its item.
    pub(super) item: usize,
    /// Its steps.
    pub(super) steps: &'r [Spanned<Step>],
    /// Of each step: what it was given, by the numbers of the steps.
    pub(super) given: Vec<Vec<usize>>,
    /// Of each step: its value, in SI.
    pub(super) values: Vec<f64>,
    /// Of each step: how far it may lie from that, the effects of all quantities added.
    pub(super) spread: Vec<f64>,
    /// Of each quantity: how much of its effect on the result no straight line tells.
    pub(super) bent: Vec<(Symbol, f64)>,
    /// The largest effect of one quantity on the result, the others held.
    pub(super) steepest: f64,
}

impl Trial<'_> {
    /// The place of all that a step joins.
    pub(super) fn span(&self, step: usize) -> Span {
        let mut span = self.steps[step].span;
        let mut open = vec![step];
        while let Some(next) = open.pop() {
            let own = self.steps[next].span;
            span = Span::new(span.start.min(own.start), span.end.max(own.end));
            open.extend(&self.given[next]);
        }
        span
    }
}

/// Every result whose formula is one of numbers, quantities, operators and functions of numbers.
pub(super) fn results<'r>(desk: &Desk<'r>) -> impl Iterator<Item = Trial<'r>> {
    desk.spelt_items().filter_map(|(number, item)| match item {
        Item::Result(derived) => tried(desk, number, &derived.formula),
        _ => None,
    })
}

fn tried<'r>(desk: &Desk<'r>, item: usize, formula: &'r Formula) -> Option<Trial<'r>> {
    let steps = &formula.steps;
    let (leaves, moving) = leaves(desk, steps)?;
    if moving.is_empty() || moving.len() > MOST_QUANTITIES {
        return None;
    }
    let given = given(steps)?;
    let values = values(steps, &given, &leaves, None)?;
    let mut trial = Trial {
        item,
        steps,
        given: Vec::new(),
        spread: vec![0.0; values.len()],
        values,
        bent: Vec::new(),
        steepest: 0.0,
    };
    for (symbol, uncertainty) in moving {
        let run = |by: f64| self::values(steps, &given, &leaves, Some((symbol, by)));
        let (up, down) = (run(uncertainty)?, run(-uncertainty)?);
        trial.add(symbol, &up, &down);
    }
    trial.given = given;
    Some(trial)
}

/// A quantity and how far it is moved, in SI.
type Moving<'r> = (&'r Symbol, f64);

/// Of each step its value in SI, where it is a number or a quantity; and the quantities that have an uncertainty,
/// with it, each once.
fn leaves<'r>(desk: &Desk<'_>, steps: &'r [Spanned<Step>]) -> Option<(Vec<f64>, Vec<Moving<'r>>)> {
    let mut moving: Vec<Moving<'_>> = Vec::new();
    let mut leaves = Vec::with_capacity(steps.len());
    for step in steps {
        leaves.push(match &step.value {
            Step::Number(number, unit) => in_si(desk, *number, unit.as_deref())?,
            Step::Symbol(symbol) => {
                let measure = desk.context.sheet.find(symbol)?.1.measure?;
                // Past the most that are tried it no longer matters whether one is counted twice.
                let is_new = moving.len() > MOST_QUANTITIES || moving.iter().all(|(other, _)| *other != symbol);
                if measure.uncertainty > 0.0 && is_new {
                    moving.push((symbol, measure.uncertainty));
                }
                measure.value
            }
            _ => f64::NAN,
        });
    }
    Some((leaves, moving))
}

impl Trial<'_> {
    fn add(&mut self, symbol: &Symbol, up: &[f64], down: &[f64]) {
        let off = |moved: f64, value: f64| if moved.is_finite() { libm::fabs(moved - value) } else { 0.0 };
        for (((spread, &value), &up), &down) in self.spread.iter_mut().zip(&self.values).zip(up).zip(down) {
            *spread += off(up, value).max(off(down, value));
        }
        if let (Some(value), Some(up), Some(down)) = (self.values.last(), up.last(), down.last())
            && up.is_finite()
            && down.is_finite()
        {
            self.bent.push((symbol.clone(), libm::fabs(up + down - 2.0 * value) / 2.0));
            self.steepest = self.steepest.max(libm::fabs(up - down) / 2.0);
        }
    }
}

/// Of each step the steps that give its arguments; `None` where the formula is not whole.
fn given(steps: &[Spanned<Step>]) -> Option<Vec<Vec<usize>>> {
    let mut stack: Vec<usize> = Vec::new();
    let mut given = Vec::with_capacity(steps.len());
    for (number, step) in steps.iter().enumerate() {
        let count = match &step.value {
            Step::Number(..) | Step::Symbol(_) | Step::Pi => 0,
            Step::Negate => 1,
            Step::Binary(_) => 2,
            Step::Call(_, count) => *count,
        };
        given.push(stack.split_off(stack.len().checked_sub(count)?));
        stack.push(number);
    }
    Some(given)
}

/// Of each step its value, with one quantity moved by so much.
fn values(
    steps: &[Spanned<Step>],
    given: &[Vec<usize>],
    leaves: &[f64],
    moved: Option<Moving<'_>>,
) -> Option<Vec<f64>> {
    let mut values = Vec::with_capacity(steps.len());
    for ((step, given), leaf) in steps.iter().zip(given).zip(leaves) {
        let argument = |n: usize| given.get(n).map_or(f64::NAN, |&step: &usize| values[step]);
        values.push(match &step.value {
            Step::Number(..) => *leaf,
            Step::Symbol(symbol) => leaf + moved.filter(|(other, _)| *other == symbol).map_or(0.0, |(_, by)| by),
            Step::Pi => std::f64::consts::PI,
            Step::Negate => -argument(0),
            Step::Binary(binary) => joined(*binary, argument(0), argument(1)),
            Step::Call(function, _) => called(*function, argument(0), argument(1))?,
        });
    }
    Some(values)
}

fn in_si(desk: &Desk<'_>, number: Number, unit: Option<&Spanned<Spelling>>) -> Option<f64> {
    match unit {
        Some(unit) => Some(desk.unit(&unit.value)?.to_si(Exact::of(number.decimal)?)),
        None => Some(number.decimal.to_f64()),
    }
}

fn joined(binary: Binary, a: f64, b: f64) -> f64 {
    match binary {
        Binary::Add => a + b,
        Binary::Subtract => a - b,
        Binary::Multiply => a * b,
        Binary::Divide => a / b,
        Binary::Power => libm::pow(a, b),
    }
}

/// `None` of the functions that look at many values.
fn called(function: Function, a: f64, b: f64) -> Option<f64> {
    Some(match function {
        Function::Sqrt => libm::sqrt(a),
        Function::Cbrt => libm::cbrt(a),
        Function::Exp => libm::exp(a),
        Function::Ln => libm::log(a),
        Function::Log10 => libm::log10(a),
        Function::Sin => libm::sin(a),
        Function::Cos => libm::cos(a),
        Function::Tan => libm::tan(a),
        Function::Asin => libm::asin(a),
        Function::Acos => libm::acos(a),
        Function::Atan => libm::atan(a),
        Function::Atan2 => libm::atan2(a, b),
        Function::Sinh => libm::sinh(a),
        Function::Cosh => libm::cosh(a),
        Function::Tanh => libm::tanh(a),
        Function::Abs => libm::fabs(a),
        Function::Mean
        | Function::Sum
        | Function::Sd
        | Function::Sem
        | Function::Count
        | Function::First
        | Function::Last
        | Function::Row
        | Function::Slope
        | Function::Intercept
        | Function::SlopeThroughOrigin
        | Function::Wmean => return None,
    })
}
