//! A formula to its value, its dimension, and its partial derivatives by the quantities in it.
//!
//! Forward: the steps run on a stack, each leaving a slot with its value, its dimension and its links to
//! the slots it was made of. Backward: one sweep over the slots gives the derivative by every symbol
//! (reverse accumulation), so that `x - x` has one operand, with the derivative 0.

use std::ops::Range;
use std::sync::Arc;

use super::fault::{Doing, FaultKind, Undefined};
use super::function;
use super::propagate::Node;
use super::sheet::QuantityId;
use super::units::ONE;
use crate::parse::ast::{Binary, Formula, Function, Number, Step, Symbol};
use crate::quantity::unit::Spelling;
use crate::quantity::{Dimension, Exact, Unit, UnknownUnit};
use crate::span::{Span, Spanned};

/// What a symbol stands for in a formula.
#[derive(Clone, Copy, Debug)]
pub(super) enum Operand {
    /// One value.
    One(Value),
    /// A column: all its rows for a function over columns, else its value in the row being filled.
    Column(QuantityId),
}

/// What a formula needs to know of one value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Value {
    /// The quantity that it is one of, or was made of.
    pub(super) id: QuantityId,
    /// Where it stands in the propagation.
    pub(super) node: Node,
    /// In SI.
    pub(super) value: f64,
    pub(super) dimension: Dimension,
    /// Is it a point on a temperature scale?
    pub(super) point: bool,
    /// Can its value be wrong at all?
    pub(super) uncertain: bool,
}

/// What a formula asks of the sheet.
pub(super) trait Surroundings {
    /// The quantity of that symbol, or why it cannot be used.
    fn operand(&self, symbol: &Symbol) -> Result<Operand, FaultKind>;
    /// The value of a column in the row being filled, or why there is none.
    fn in_row(&self, column: QuantityId) -> Result<Value, FaultKind>;
    /// A function over columns; `place` is the row asked for, of those that hold a value, from 1.
    fn over(&mut self, function: Function, columns: &[QuantityId], place: Option<f64>) -> Result<Value, FaultKind>;
    /// Several values taken as readings of one quantity.
    fn repeated(&mut self, function: Function, values: &[Value]) -> Result<Value, FaultKind>;
    /// The unit in a number's square brackets.
    fn unit(&mut self, spelling: &Spelling) -> Result<Arc<Unit>, UnknownUnit>;
}

/// What a formula comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Outcome {
    pub(super) value: f64,
    pub(super) dimension: Dimension,
    /// Is it a point on a temperature scale?
    pub(super) point: bool,
    /// The partial derivatives by its distinct operands, in the order of the formula.
    pub(super) derivatives: Vec<(Node, f64)>,
    /// What deserves a word though there is a value.
    pub(super) remarks: Vec<Spanned<FaultKind>>,
}

/// For as many steps of one formula room is made at once.
const MOST_RESERVED: usize = 64;

/// Works a formula out.
pub(super) fn evaluate(formula: &Formula, around: &mut impl Surroundings) -> Result<Outcome, Spanned<FaultKind>> {
    let count = formula.steps.len().min(MOST_RESERVED);
    let (slots, links, stack) = (Vec::with_capacity(count), Vec::with_capacity(count), Vec::with_capacity(count));
    let mut machine = Machine { around, slots, links, stack, remarks: Vec::new(), column: None };
    for step in &formula.steps {
        machine.step(step).map_err(|kind| Spanned::new(kind, machine.column.unwrap_or(step.span)))?;
    }
    machine.outcome()
}

/// One intermediate value.
struct Slot {
    value: f64,
    dimension: Dimension,
    /// How many zero points of a temperature scale are in it: 1 of a point, 0 of a difference; the sum
    /// of two points has 2, half of that is a point again.
    zeros: f64,
    /// Can it be wrong at all? Where not, its derivatives are never asked for.
    uncertain: bool,
    of: Of,
    span: Span,
    /// The derivative of the whole by it, once that is swept.
    adjoint: f64,
}

/// What a slot was made of.
enum Of {
    Nothing,
    Quantity(Node, QuantityId),
    /// A column of which nothing has been asked yet.
    Column(QuantityId),
    /// Links to earlier slots.
    Slots(Range<usize>),
}

struct Machine<'a, S> {
    around: &'a mut S,
    slots: Vec<Slot>,
    /// Slots with the partial derivative by each.
    links: Vec<(usize, f64)>,
    stack: Vec<usize>,
    remarks: Vec<Spanned<FaultKind>>,
    /// The column that has no value in this row, where that is what went wrong.
    column: Option<Span>,
}

impl<S: Surroundings> Machine<'_, S> {
    fn step(&mut self, step: &Spanned<Step>) -> Result<(), FaultKind> {
        match &step.value {
            Step::Number(number, unit) => self.number(*number, unit.as_deref(), step.span),
            Step::Symbol(symbol) => self.symbol(symbol, step.span),
            Step::Pi => {
                self.push(std::f64::consts::PI, Dimension::NONE, 0.0, &[], step.span);
                Ok(())
            }
            Step::Negate => self.negate(step.span),
            Step::Binary(binary) => self.binary(*binary, step.span),
            Step::Call(function, count) => self.call(*function, *count, step.span),
        }
    }

    fn number(&mut self, number: Number, unit: Option<&Spanned<Spelling>>, span: Span) -> Result<(), FaultKind> {
        let found = unit.map(|spelling| self.around.unit(&spelling.value)).transpose();
        let found = found.map_err(FaultKind::UnknownUnit)?;
        let unit = found.as_deref().unwrap_or(&ONE);
        let value = Exact::of(number.decimal)
            .map_or_else(|| number.decimal.to_f64() * unit.factor(), |exact| unit.to_si(exact));
        let zeros = if unit.zero.is_some() { 1.0 } else { 0.0 };
        self.push(finite(value)?, unit.dimension, zeros, &[], span);
        Ok(())
    }

    fn symbol(&mut self, symbol: &Symbol, span: Span) -> Result<(), FaultKind> {
        let slot = match self.around.operand(symbol)? {
            Operand::One(value) => Slot::holding(value, span),
            Operand::Column(id) => Slot { of: Of::Column(id), ..Slot::number(0.0, span) },
        };
        self.hold(slot);
        Ok(())
    }

    fn hold(&mut self, slot: Slot) {
        self.stack.push(self.slots.len());
        self.slots.push(slot);
    }

    fn negate(&mut self, span: Span) -> Result<(), FaultKind> {
        let [x] = self.pop()?;
        let slot = &self.slots[x];
        let (value, dimension, zeros) = (-slot.value, slot.dimension, -slot.zeros);
        self.push(value, dimension, zeros, &[(x, -1.0)], span);
        Ok(())
    }

    fn binary(&mut self, binary: Binary, span: Span) -> Result<(), FaultKind> {
        let [a, b] = self.pop()?;
        match binary {
            Binary::Add => self.sum(a, b, 1.0, Doing::Adding, span),
            Binary::Subtract => self.sum(a, b, -1.0, Doing::Subtracting, span),
            Binary::Multiply => self.product(a, b, span),
            Binary::Divide => self.quotient(a, b, span),
            Binary::Power => self.power(a, b, span),
        }
    }

    fn sum(&mut self, a: usize, b: usize, sign: f64, doing: Doing, span: Span) -> Result<(), FaultKind> {
        let (left, right) = (&self.slots[a], &self.slots[b]);
        if left.dimension != right.dimension {
            return Err(FaultKind::UnitsDiffer { doing, left: left.dimension, right: right.dimension });
        }
        let value = finite(left.value + sign * right.value)?;
        let (dimension, zeros) = (left.dimension, left.zeros + sign * right.zeros);
        self.push(value, dimension, zeros, &[(a, 1.0), (b, sign)], span);
        Ok(())
    }

    fn product(&mut self, a: usize, b: usize, span: Span) -> Result<(), FaultKind> {
        let (x, y) = (self.slots[a].value, self.slots[b].value);
        let dimension = self.slots[a].dimension.times(self.slots[b].dimension).ok_or(FaultKind::PowerOfUnit)?;
        let zeros = self.scaled_zeros(a, b, y) + self.scaled_zeros(b, a, x);
        self.push(finite(x * y)?, dimension, zeros, &[(a, y), (b, x)], span);
        Ok(())
    }

    fn quotient(&mut self, a: usize, b: usize, span: Span) -> Result<(), FaultKind> {
        let (x, y) = (self.slots[a].value, self.slots[b].value);
        let (value, [by_a, by_b]) = function::quotient(x, y).map_err(|what| outside(what, y))?;
        let dimension = self.slots[a].dimension.over(self.slots[b].dimension).ok_or(FaultKind::PowerOfUnit)?;
        let zeros = self.scaled_zeros(a, b, 1.0 / y);
        self.taken_in_kelvin(b);
        self.push(value, dimension, zeros, &[(a, by_a), (b, by_b)], span);
        Ok(())
    }

    /// How many zero points are left of the slot `point` when it is multiplied by `factor`, the value of
    /// the slot `by`: a plain exact number scales them (half of two points is a point), anything else takes
    /// the temperature in kelvin.
    fn scaled_zeros(&mut self, point: usize, by: usize, factor: f64) -> f64 {
        let plain = self.slots[by].dimension.is_none() && !self.slots[by].uncertain && self.slots[by].is_number();
        if plain {
            return self.slots[point].zeros * factor;
        }
        self.taken_in_kelvin(point);
        0.0
    }

    fn taken_in_kelvin(&mut self, slot: usize) {
        if self.slots[slot].zeros != 0.0 {
            self.remarks.push(Spanned::new(FaultKind::PointMultiplied, self.slots[slot].span));
        }
    }

    fn power(&mut self, a: usize, b: usize, span: Span) -> Result<(), FaultKind> {
        let (base, exponent) = (&self.slots[a], &self.slots[b]);
        if !exponent.dimension.is_none() {
            return Err(FaultKind::NotANumber { function: "^", dimension: exponent.dimension });
        }
        let fixed = !exponent.uncertain;
        let dimension = match base.dimension {
            d if d.is_none() => d,
            d if fixed => d.power_f64(exponent.value).ok_or(FaultKind::PowerOfUnit)?,
            _ => return Err(FaultKind::PowerOfUnit),
        };
        let (x, y) = (base.value, exponent.value);
        let (value, [by_a, by_b]) = function::power(x, y, fixed).map_err(|what| outside(what, x))?;
        self.taken_in_kelvin(a);
        self.certain_slope(a, by_a, Undefined::Power)?;
        self.certain_slope(b, by_b, Undefined::Power)?;
        self.push(value, dimension, 0.0, &[(a, by_a), (b, by_b)], span);
        Ok(())
    }

    fn call(&mut self, function: Function, count: usize, span: Span) -> Result<(), FaultKind> {
        match (function, count) {
            (Function::Atan2, 2) => self.atan2(span),
            (_, 1) if function::of_one(function, 0.5).is_some() => self.of_one(function, span),
            (Function::Mean | Function::Wmean, 2..) => self.repeated(function, count, span),
            _ => self.over(function, count, span),
        }
    }

    /// `mean(x)`, `row(x, 3)`, `slope(y against x)`.
    fn over(&mut self, function: Function, count: usize, span: Span) -> Result<(), FaultKind> {
        let mut arguments = self.taken(count)?;
        let place = if function == Function::Row { arguments.pop().map(|slot| self.slots[slot].value) } else { None };
        let columns: Option<Vec<_>> = arguments.iter().map(|&slot| self.slots[slot].column()).collect();
        let columns = columns.ok_or(FaultKind::NoColumn { function: function.word() })?;
        let value = self.around.over(function, &columns, place)?;
        self.hold(Slot::holding(value, span));
        Ok(())
    }

    /// `mean(a, b, c)`: in a table, row by row.
    fn repeated(&mut self, function: Function, count: usize, span: Span) -> Result<(), FaultKind> {
        let arguments = self.taken(count)?;
        let mut values = Vec::with_capacity(count);
        for slot in arguments {
            self.settle_column(slot)?;
            let Slot { value, dimension, zeros, uncertain, .. } = self.slots[slot];
            let Of::Quantity(node, id) = self.slots[slot].of else {
                return Err(FaultKind::NoQuantity { function: function.word() });
            };
            values.push(Value { id, node, value, dimension, point: zeros == 1.0, uncertain });
        }
        let value = self.around.repeated(function, &values)?;
        self.hold(Slot::holding(value, span));
        Ok(())
    }

    /// A column that meets anything but a function over columns stands for its value in the row.
    fn settle_column(&mut self, slot: usize) -> Result<(), FaultKind> {
        if let Some(id) = self.slots[slot].column() {
            let span = self.slots[slot].span;
            let value = self.around.in_row(id).inspect_err(|_| self.column = Some(span))?;
            self.slots[slot] = Slot::holding(value, span);
        }
        Ok(())
    }

    fn of_one(&mut self, function: Function, span: Span) -> Result<(), FaultKind> {
        let [x] = self.pop()?;
        let (argument, given) = (self.slots[x].value, self.slots[x].dimension);
        let dimension = match function {
            Function::Sqrt => given.power(1, 2).ok_or(FaultKind::PowerOfUnit)?,
            Function::Cbrt => given.power(1, 3).ok_or(FaultKind::PowerOfUnit)?,
            Function::Abs => given,
            _ if given.is_none() => given,
            _ => return Err(FaultKind::NotANumber { function: function.word(), dimension: given }),
        };
        let answer = function::of_one(function, argument).unwrap_or(Err(Undefined::Function(function.word())));
        let (value, slope) = answer.map_err(|what| outside(what, argument))?;
        self.taken_in_kelvin(x);
        self.certain_slope(x, slope, Undefined::Function(function.word()))?;
        self.push(value, dimension, 0.0, &[(x, slope)], span);
        Ok(())
    }

    fn atan2(&mut self, span: Span) -> Result<(), FaultKind> {
        let [y, x] = self.pop()?;
        let (up, across) = (&self.slots[y], &self.slots[x]);
        if up.dimension != across.dimension {
            let (left, right) = (up.dimension, across.dimension);
            return Err(FaultKind::UnitsDiffer { doing: Doing::Arguments, left, right });
        }
        let (value, [by_y, by_x]) = function::atan2(up.value, across.value).map_err(|what| outside(what, 0.0))?;
        self.push(value, Dimension::NONE, 0.0, &[(y, by_y), (x, by_x)], span);
        Ok(())
    }

    /// An infinite derivative is a fault only where something uncertain comes in by it.
    fn certain_slope(&self, slot: usize, slope: f64, what: Undefined) -> Result<(), FaultKind> {
        if self.slots[slot].uncertain && !slope.is_finite() { Err(FaultKind::NoSensitivity { what }) } else { Ok(()) }
    }

    fn push(&mut self, value: f64, dimension: Dimension, zeros: f64, links: &[(usize, f64)], span: Span) {
        let uncertain = links.iter().any(|&(slot, _)| self.slots[slot].uncertain);
        let start = self.links.len();
        self.links.extend(links.iter().filter(|&&(slot, _)| !self.slots[slot].is_number()));
        let of = if start == self.links.len() { Of::Nothing } else { Of::Slots(start..self.links.len()) };
        // A sign or an operator stands for all that it joins.
        let span = links.iter().fold(span, |whole, &(slot, _)| {
            let inner = self.slots[slot].span;
            Span::new(whole.start.min(inner.start), whole.end.max(inner.end))
        });
        self.stack.push(self.slots.len());
        self.slots.push(Slot { value, dimension, zeros, uncertain, of, span, adjoint: 0.0 });
    }

    fn pop<const N: usize>(&mut self) -> Result<[usize; N], FaultKind> {
        let start = self.start_of(N)?;
        let popped = <[usize; N]>::try_from(&self.stack[start..]).map_err(|_| INCOMPLETE)?;
        self.stack.truncate(start);
        for slot in popped {
            self.settle_column(slot)?;
        }
        Ok(popped)
    }

    /// The topmost slots, the lowest first, whatever they hold.
    fn taken(&mut self, count: usize) -> Result<Vec<usize>, FaultKind> {
        let start = self.start_of(count)?;
        Ok(self.stack.split_off(start))
    }

    fn start_of(&self, count: usize) -> Result<usize, FaultKind> {
        self.stack.len().checked_sub(count).ok_or(INCOMPLETE)
    }

    fn outcome(mut self) -> Result<Outcome, Spanned<FaultKind>> {
        let last = match self.stack[..] {
            [last] => last,
            _ => return Err(Spanned::new(INCOMPLETE, Span::default())),
        };
        let span = self.slots[last].span;
        self.settle_column(last).map_err(|kind| Spanned::new(kind, span))?;
        let Slot { value, dimension, zeros, .. } = self.slots[last];
        // Sevenths of seven points do not add up to 1 in binary.
        let near = |count: f64| (zeros - count).abs() < 1e-9;
        let point = near(1.0);
        if !point && !near(0.0) {
            self.remarks.push(Spanned::new(FaultKind::PointsAdded, span));
        }
        let derivatives = self.derivatives(last);
        Ok(Outcome { value, dimension, point, derivatives, remarks: self.remarks })
    }

    /// One sweep backward.
    fn derivatives(&mut self, last: usize) -> Vec<(Node, f64)> {
        self.slots[last].adjoint = 1.0;
        for slot in (0..=last).rev() {
            let Slot { of: Of::Slots(ref links), adjoint, .. } = self.slots[slot] else { continue };
            for &(operand, p) in &self.links[links.clone()] {
                let operand = &mut self.slots[operand];
                operand.adjoint += adjoint * if operand.uncertain { p } else { finite_or_zero(p) };
            }
        }
        let quantities = self.slots.iter().enumerate().filter_map(|(first, slot)| match slot.of {
            Of::Quantity(node, _) => Some(Gathered { node, first, sum: slot.adjoint, sizes: slot.adjoint.abs() }),
            _ => None,
        });
        let mut found: Vec<_> = quantities.collect();
        found.sort_by_key(|gathered| gathered.node);
        found.dedup_by(|next, kept| kept.takes_in(next));
        found.sort_by_key(|gathered| gathered.first);
        found.into_iter().map(|gathered| (gathered.node, gathered.derivative())).collect()
    }
}

impl Slot {
    fn number(value: f64, span: Span) -> Self {
        Self { value, dimension: Dimension::NONE, zeros: 0.0, uncertain: false, of: Of::Nothing, span, adjoint: 0.0 }
    }

    fn holding(held: Value, span: Span) -> Self {
        let Value { id, node, value, dimension, point, uncertain } = held;
        let zeros = if point { 1.0 } else { 0.0 };
        Self { value, dimension, zeros, uncertain, of: Of::Quantity(node, id), span, adjoint: 0.0 }
    }

    const fn column(&self) -> Option<QuantityId> {
        match self.of {
            Of::Column(id) => Some(id),
            _ => None,
        }
    }

    /// Is it made of typed numbers alone?
    const fn is_number(&self) -> bool {
        matches!(self.of, Of::Nothing)
    }
}

/// The derivative by one quantity, gathered from all the places where the formula uses it.
struct Gathered {
    node: Node,
    /// The slot of the first of these places.
    first: usize,
    sum: f64,
    sizes: f64,
}

impl Gathered {
    /// Takes another place in, where it is one of the same quantity.
    fn takes_in(&mut self, other: &Self) -> bool {
        let same = self.node == other.node;
        if same {
            self.sum += other.sum;
            self.sizes += other.sizes;
        }
        same
    }

    /// What is left when the parts cancel to within the noise of their last bits is exactly nothing:
    /// `(a*b)/a` does not depend on `a`, and sin² + cos² on no angle.
    fn derivative(&self) -> f64 {
        if self.sum.abs() <= 16.0 * f64::EPSILON * self.sizes { 0.0 } else { self.sum }
    }
}

/// The parser leaves no formula whose operators lack operands, nor one that leaves two values.
const INCOMPLETE: FaultKind = FaultKind::NotComputed { what: "formula" };

fn outside(what: Undefined, argument: f64) -> FaultKind {
    FaultKind::OutsideDomain { what, argument }
}

fn finite(value: f64) -> Result<f64, FaultKind> {
    if value.is_finite() { Ok(value) } else { Err(outside(Undefined::Overflow, value)) }
}

const fn finite_or_zero(p: f64) -> f64 {
    if p.is_finite() { p } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::evaluate::propagate::Propagation;
    use crate::quantity::Decimal;
    use proptest::prelude::*;

    /// Three quantities a, b, c; the unit is metre, whatever is asked for.
    struct Three {
        values: [f64; 3],
        dimension: Dimension,
        point: bool,
    }

    impl Surroundings for Three {
        fn operand(&self, symbol: &Symbol) -> Result<Operand, FaultKind> {
            let place = "abc".find(symbol.as_str()).unwrap();
            let Self { values, dimension, point, .. } = *self;
            Ok(Operand::One(Value {
                id: place,
                node: node(place),
                value: values[place],
                dimension,
                point,
                uncertain: true,
            }))
        }

        fn in_row(&self, _: QuantityId) -> Result<Value, FaultKind> {
            Err(FaultKind::ColumnAsValue)
        }

        fn over(&mut self, function: Function, _: &[QuantityId], _: Option<f64>) -> Result<Value, FaultKind> {
            Err(FaultKind::NoColumn { function: function.word() })
        }

        fn repeated(&mut self, function: Function, _: &[Value]) -> Result<Value, FaultKind> {
            Err(FaultKind::NoQuantity { function: function.word() })
        }

        fn unit(&mut self, _: &Spelling) -> Result<Arc<Unit>, UnknownUnit> {
            let metre = Unit { dimension: Dimension::new([1, 0, 0, 0, 0, 0, 0]), ..Unit::one() };
            Ok(Arc::new(metre))
        }
    }

    /// The node that stands for the `place`th quantity.
    fn node(place: usize) -> Node {
        let mut propagation = Propagation::default();
        (0..=place).map(|_| propagation.source(1.0, 1.0, f64::INFINITY)).last().unwrap()
    }

    fn numbers(values: [f64; 3]) -> Three {
        Three { values, dimension: Dimension::NONE, point: false }
    }

    fn formula(words: &str) -> Formula {
        let step = |word: &str| match word {
            "+" => Step::Binary(Binary::Add),
            "-" => Step::Binary(Binary::Subtract),
            "*" => Step::Binary(Binary::Multiply),
            "/" => Step::Binary(Binary::Divide),
            "^" => Step::Binary(Binary::Power),
            "neg" => Step::Negate,
            "atan2" => Step::Call(Function::Atan2, 2),
            "a" | "b" | "c" => Step::Symbol(Symbol::new(word)),
            _ => match Decimal::read(word) {
                Some(decimal) => Step::Number(Number { decimal, power: None }, None),
                None => Step::Call(*Function::ALL.iter().find(|f| f.word() == word).unwrap(), 1),
            },
        };
        Formula { steps: words.split(' ').map(|word| Spanned::new(step(word), Span::default())).collect() }
    }

    fn worked(words: &str, values: [f64; 3]) -> Outcome {
        evaluate(&formula(words), &mut numbers(values)).unwrap()
    }

    #[test]
    fn each_operand_has_one_derivative_and_what_cancels_is_nothing() {
        assert_eq!(worked("a a -", [5.0, 0.0, 0.0]).derivatives, [(node(0), 0.0)]);
        assert_eq!(worked("a a /", [5.0, 0.0, 0.0]).derivatives, [(node(0), 0.0)]);
        assert_eq!(worked("a b * a /", [0.3, 0.7, 0.0]).derivatives[0], (node(0), 0.0));
        assert_eq!(worked("a sin 2 ^ a cos 2 ^ +", [0.7, 0.0, 0.0]).derivatives, [(node(0), 0.0)]);
        assert_eq!(worked("a b + a b - -", [5.0, 3.0, 0.0]).derivatives, [(node(0), 0.0), (node(1), 2.0)]);
    }

    #[test]
    fn a_square_root_at_zero_has_no_sensitivity() {
        let at_zero = evaluate(&formula("a 2 ^ b 2 ^ + sqrt"), &mut numbers([0.0; 3]));
        assert!(matches!(at_zero, Err(Spanned { value: FaultKind::NoSensitivity { .. }, .. })));
        assert_eq!(worked("0 sqrt a +", [1.0, 0.0, 0.0]).value, 1.0);
    }

    #[test]
    fn points_of_a_temperature_scale() {
        let kelvin = Dimension::new([0, 0, 0, 0, 1, 0, 0]);
        let run = |words| {
            let outcome = evaluate(
                &formula(words),
                &mut Three { values: [293.15, 303.15, 313.15], dimension: kelvin, point: true },
            );
            outcome.map(|o| (o.point, o.remarks.len())).unwrap()
        };
        assert_eq!(run("a b -"), (false, 0));
        assert_eq!(run("a b c - +"), (true, 0));
        assert_eq!(run("a b + 2 /"), (true, 0));
        assert_eq!(run("a b + c + 3 /"), (true, 0));
        assert_eq!(run("a b +"), (false, 1));
        assert_eq!(run("a b /"), (false, 2));
        assert_eq!(run("a b - c b - /"), (false, 0));
    }

    #[test]
    fn dimensions_are_checked_where_they_meet() {
        let metre = Dimension::new([1, 0, 0, 0, 0, 0, 0]);
        let run =
            |words| evaluate(&formula(words), &mut Three { values: [1.0, 2.0, 3.0], dimension: metre, point: false });
        assert_eq!(run("a b * sqrt").map(|o| o.dimension), Ok(metre));
        assert_eq!(run("a 0.5 ^ b 0.5 ^ *").map(|o| o.dimension), Ok(metre));
        let kind = |words| run(words).map_err(|fault| fault.value).unwrap_err();
        assert!(matches!(kind("a 1 +"), FaultKind::UnitsDiffer { doing: Doing::Adding, .. }));
        assert!(matches!(kind("a ln"), FaultKind::NotANumber { function: "ln", .. }));
        assert!(matches!(kind("2 a ^"), FaultKind::NotANumber { function: "^", .. }));
        assert!(matches!(kind("a 0.1 ^"), FaultKind::PowerOfUnit));
    }

    /// Formulas of any shape that stay inside every domain for a, b, c between 0.5 and 2.
    fn any_formula() -> impl Strategy<Value = String> {
        let leaf = prop_oneof![Just("a"), Just("b"), Just("c"), Just("1.7"), Just("0.3")].prop_map(str::to_owned);
        leaf.prop_recursive(5, 40, 2, |inner| {
            let of_two =
                |word: &'static str| (inner.clone(), inner.clone()).prop_map(move |(x, y)| format!("{x} {y} {word}"));
            let of_one = |words: &'static str| inner.clone().prop_map(move |x| format!("{x} {words}"));
            prop_oneof![
                of_two("+"),
                of_two("-"),
                of_two("*"),
                (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("{x} {y} abs 0.5 + /")),
                (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("{x} 2 ^ 1 + {y} sin ^")),
                (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("{x} {y} 2 ^ 1 + atan2")),
                of_one("neg"),
                of_one("sin"),
                of_one("cos"),
                of_one("atan"),
                of_one("tanh"),
                of_one("tanh exp"),
                of_one("tanh cosh"),
                of_one("tanh sinh"),
                of_one("tanh 0.9 * asin"),
                of_one("tanh 0.9 * acos"),
                of_one("tanh tan"),
                of_one("2 ^ 0.5 + ln"),
                of_one("2 ^ 0.5 + log10"),
                of_one("2 ^ 0.5 + sqrt"),
                of_one("2 ^ 0.5 + cbrt"),
                of_one("3 ^"),
            ]
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { max_global_rejects: 20_000, ..ProptestConfig::default() })]
        /// Central differences judge every derivative to 1e-6; where they disagree with themselves at twice
        /// the step they are no judge.
        #[test]
        fn gradients_equal_central_differences(words in any_formula(), values in [0.5f64..2.0, 0.5f64..2.0, 0.5f64..2.0]) {
            let outcome = worked(&words, values);
            for (of, derivative) in outcome.derivatives {
                let id = (0..3).position(|place| node(place) == of).unwrap();
                let at = |shift: f64| {
                    let mut moved = values;
                    moved[id] += shift;
                    worked(&words, moved).value
                };
                let difference = |h: f64| (at(h) - at(-h)) / (2.0 * h);
                let (fine, coarse) = (difference(1e-5), difference(2e-5));
                let size = 1.0 + derivative.abs() + outcome.value.abs();
                prop_assume!((fine - coarse).abs() <= 1e-7 * size);
                prop_assert!((derivative - fine).abs() <= 1e-6 * size, "{} by {}: {} against {}", words, id, derivative, fine);
            }
        }
    }
}
