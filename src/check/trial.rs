//! A formula worked out once more in plain doubles, with each quantity moved by its uncertainty: how far
//! every step of it may lie from its value. Judges what the slope at one point cannot tell.

use super::paper::Paper;
use crate::evaluate::QuantityId;
use crate::parse::ast::{Binary, Function, Item, Number, Step, Symbol};
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
    worked: Vec<Worked>,
    /// Of each quantity: how much of its effect on the result no straight line tells.
    pub(super) bent: Vec<(&'r Symbol, f64)>,
    /// The largest effect of one quantity on the result, the others held.
    pub(super) steepest: f64,
}

/// What a step came to.
#[derive(Clone, Copy)]
struct Worked {
    /// The first two steps that give its arguments; see [`Trial::given`].
    given: [usize; 2],
    /// Its value, in SI.
    value: f64,
    /// How far it may lie from that, the effects of all quantities added.
    spread: f64,
}

impl Trial<'_> {
    /// What a step was given, by the numbers of the steps.
    pub(super) fn given(&self, step: usize) -> &[usize] {
        let count = self.steps.get(step).map_or(0, |step| arguments(&step.value));
        self.worked.get(step).and_then(|worked| worked.given.get(..count)).unwrap_or(&[])
    }

    /// The value of the whole, in SI.
    pub(super) fn value(&self) -> f64 {
        self.worked.last().map_or(0.0, |last| last.value)
    }

    /// The value of a step in SI, and how far it may lie from that.
    pub(super) fn interval(&self, step: usize) -> (f64, f64) {
        self.worked.get(step).map_or((f64::NAN, f64::NAN), |worked| (worked.value, worked.spread))
    }

    /// Each step with what it was given.
    pub(super) fn with_given(&self) -> impl Iterator<Item = (&Step, &[usize])> {
        self.steps.iter().enumerate().map(|(number, step)| (&step.value, self.given(number)))
    }

    /// The place of all that a step joins.
    pub(super) fn span(&self, step: usize) -> Span {
        let mut span = self.steps[step].span;
        let mut open = vec![step];
        while let Some(next) = open.pop() {
            let own = self.steps[next].span;
            span = Span::new(span.start.min(own.start), span.end.max(own.end));
            open.extend(self.given(next));
        }
        span
    }
}

/// Every result whose formula is one of numbers, quantities, operators and functions of numbers, and may be anything
/// but a straight line in one of its quantities.
pub(super) fn results<'r>(paper: &Paper<'r>) -> Vec<Trial<'r>> {
    let mut room = Room::default();
    let tried = paper.spelt_items().filter_map(|(number, item)| match item {
        Item::Result(derived) => tried(paper, number, &derived.formula.steps, &mut room),
        _ => None,
    });
    tried.collect()
}

fn tried<'r>(paper: &Paper<'r>, item: usize, steps: &'r [Spanned<Step>], room: &mut Room<'r>) -> Option<Trial<'r>> {
    let bends = bends(steps)?;
    let repeated = leaves(paper, steps, room)?;
    if room.moving.is_empty() || room.moving.len() > MOST_QUANTITIES || !bends && !repeated {
        return None;
    }
    let mut worked = given(steps, &mut room.stack)?;
    work_out(steps, &worked, &room.leaves, None, &mut room.up);
    worked.iter_mut().zip(&room.up).for_each(|(worked, value)| worked.value = *value);
    let mut trial = Trial { item, steps, worked, bent: Vec::with_capacity(room.moving.len()), steepest: 0.0 };
    for (number, &(_, symbol, uncertainty)) in room.moving.iter().enumerate() {
        work_out(steps, &trial.worked, &room.leaves, Some((number, uncertainty)), &mut room.up);
        work_out(steps, &trial.worked, &room.leaves, Some((number, -uncertainty)), &mut room.down);
        trial.add(symbol, &room.up, &room.down);
    }
    Some(trial)
}

/// Can a formula divide by zero, leave the domain of a function, or bend though each quantity stands in it once? Sums
/// and products are straight in each of them. `None` of functions that look at many values.
fn bends(steps: &[Spanned<Step>]) -> Option<bool> {
    let mut bends = false;
    let mut before: Option<&Step> = None;
    for step in steps {
        bends |= match &step.value {
            Step::Call(function, _) => called(*function, 1.0, 1.0).map(|_| true)?,
            Step::Binary(Binary::Divide) => !matches!(before, Some(Step::Number(..))),
            Step::Binary(Binary::Power) => true,
            _ => false,
        };
        before = Some(&step.value);
    }
    Some(bends)
}

/// A quantity and how far it is moved, in SI.
type Moving<'r> = (QuantityId, &'r Symbol, f64);

/// What is only needed while a formula is tried: the same room for all of them.
#[derive(Default)]
struct Room<'r> {
    /// Of each step its value in SI, where it is a number or a quantity, and the number of the quantity among those
    /// that move.
    leaves: Vec<(f64, Option<usize>)>,
    /// The quantities that have an uncertainty, each once.
    moving: Vec<Moving<'r>>,
    /// The steps whose values are not used yet.
    stack: Vec<usize>,
    /// The values of the steps while one quantity is moved up.
    up: Vec<f64>,
    /// And down.
    down: Vec<f64>,
}

/// Fills in what a formula begins with: does a quantity that moves stand in it more than once?
fn leaves<'r>(paper: &Paper<'_>, steps: &'r [Spanned<Step>], room: &mut Room<'r>) -> Option<bool> {
    let Room { leaves, moving, .. } = room;
    leaves.clear();
    moving.clear();
    let mut repeated = false;
    for step in steps {
        leaves.push(match &step.value {
            Step::Number(number, unit) => (in_si(paper, *number, unit.as_deref())?, None),
            Step::Symbol(symbol) => {
                let (id, quantity) = paper.context.sheet.find(symbol)?;
                let measure = quantity.measure?;
                // Past the most that are tried it no longer matters whether one is counted twice.
                let known = moving.iter().take(MOST_QUANTITIES + 1).position(|(other, ..)| *other == id);
                repeated |= known.is_some();
                let is_new = known.is_none() && measure.uncertainty > 0.0;
                let number = known.or(is_new.then_some(moving.len()));
                moving.extend(is_new.then_some((id, symbol, measure.uncertainty)));
                (measure.value, number)
            }
            _ => (f64::NAN, None),
        });
    }
    Some(repeated)
}

impl<'r> Trial<'r> {
    fn add(&mut self, symbol: &'r Symbol, up: &[f64], down: &[f64]) {
        let off = |moved: f64, value: f64| if moved.is_finite() { libm::fabs(moved - value) } else { 0.0 };
        for ((worked, &up), &down) in self.worked.iter_mut().zip(up).zip(down) {
            worked.spread += off(up, worked.value).max(off(down, worked.value));
        }
        if let (Some(Worked { value, .. }), Some(up), Some(down)) = (self.worked.last(), up.last(), down.last())
            && up.is_finite()
            && down.is_finite()
        {
            self.bent.push((symbol, libm::fabs(up + down - 2.0 * value) / 2.0));
            self.steepest = self.steepest.max(libm::fabs(up - down) / 2.0);
        }
    }
}

/// How many arguments a step takes.
pub(super) const fn arguments(step: &Step) -> usize {
    match step {
        Step::Number(..) | Step::Symbol(_) | Step::Pi => 0,
        Step::Negate => 1,
        Step::Binary(_) => 2,
        Step::Call(_, count) => *count,
    }
}

/// Of each step what it is given, its value still open; `None` where the formula is not whole.
fn given(steps: &[Spanned<Step>], stack: &mut Vec<usize>) -> Option<Vec<Worked>> {
    stack.clear();
    let mut worked = Vec::with_capacity(steps.len());
    for (number, step) in steps.iter().enumerate() {
        let first = stack.len().checked_sub(arguments(&step.value))?;
        let given = [first, first + 1].map(|at| stack.get(at).copied().unwrap_or(0));
        worked.push(Worked { given, value: f64::NAN, spread: 0.0 });
        stack.truncate(first);
        stack.push(number);
    }
    Some(worked)
}

/// Of each step its value, with one quantity moved by so much.
fn work_out(
    steps: &[Spanned<Step>],
    worked: &[Worked],
    leaves: &[(f64, Option<usize>)],
    moved: Option<(usize, f64)>,
    values: &mut Vec<f64>,
) {
    values.clear();
    for ((step, Worked { given: [first, second], .. }), &(leaf, quantity)) in steps.iter().zip(worked).zip(leaves) {
        let value = |step: &usize| values.get(*step).copied().unwrap_or(f64::NAN);
        let result = match &step.value {
            Step::Number(..) => leaf,
            Step::Symbol(_) => leaf + moved.filter(|(number, _)| Some(*number) == quantity).map_or(0.0, |(_, by)| by),
            Step::Pi => std::f64::consts::PI,
            Step::Negate => -value(first),
            Step::Binary(binary) => joined(*binary, value(first), value(second)),
            Step::Call(function, _) => called(*function, value(first), value(second)).unwrap_or(f64::NAN),
        };
        values.push(result);
    }
}

fn in_si(paper: &Paper<'_>, number: Number, unit: Option<&Spanned<Spelling>>) -> Option<f64> {
    match unit {
        Some(unit) => Some(paper.unit(&unit.value)?.to_si(Exact::of(number.decimal)?)),
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
