//! A formula as mathematics: from its steps, which put operands first, to a tree as it is printed.

use super::figure::{finish, typed_parts};
use super::piece::{Math, Sign};
use super::unit;
use super::words;
use crate::course::{Course, DecimalSign};
use crate::parse::ast::{Binary, Formula, Function, Number, Step, Symbol};
use crate::quantity::Decimal;
use crate::quantity::unit::Spelling;

/// A formula of more steps is not printed: nobody would read it, and the depth of a tree is bounded
/// by its steps.
pub(super) const MOST_STEPS: usize = 200;

/// How tightly the parts of a row hold together, loosest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Rank {
    /// Terms with signs between them.
    Sum,
    /// One term with a minus before it.
    Negative,
    /// Factors, or a fraction.
    Product,
    /// A number with a unit or a power of ten.
    Quantity,
    /// A power or a root.
    Power,
    /// Whatever needs no brackets anywhere.
    Whole,
}

/// A row and how tightly it holds together.
#[derive(Clone, Debug)]
pub(super) struct Part<'r> {
    pub(super) row: Vec<Math<'r>>,
    pub(super) rank: Rank,
}

impl<'r> Part<'r> {
    pub(super) fn new(math: Math<'r>, rank: Rank) -> Self {
        Self { row: vec![math], rank }
    }

    /// With brackets where it holds together less tightly than `least`.
    fn at_least(self, least: Rank) -> Vec<Math<'r>> {
        if self.rank >= least { self.row } else { vec![Math::Bracket(Box::new(Math::row(self.row)))] }
    }

    fn boxed(self) -> Box<Math<'r>> {
        Box::new(Math::row(self.row))
    }
}

/// The formula, its symbols as `symbol` has them. `None` where it is too long to print.
pub(super) fn math<'r>(
    formula: &'r Formula,
    course: &'r Course,
    symbol: &dyn Fn(&Symbol) -> Part<'r>,
) -> Option<Math<'r>> {
    if formula.steps.len() > MOST_STEPS {
        return None;
    }
    let mut stack: Vec<Part<'_>> = Vec::new();
    for step in &formula.steps {
        let part = match &step.value {
            Step::Number(number, unit) => constant(*number, unit.as_ref().map(|unit| &unit.value), course.decimal),
            Step::Symbol(name) => symbol(name),
            Step::Pi => Part::new(Math::Pi, Rank::Whole),
            Step::Negate => negative(stack.pop()?),
            Step::Binary(binary) => {
                let (right, left) = (stack.pop()?, stack.pop()?);
                self::binary(*binary, left, right)
            }
            Step::Call(function, count) => {
                let arguments = stack.split_off(stack.len().checked_sub(*count)?);
                call(*function, arguments, course)
            }
        };
        stack.push(part);
    }
    let whole = stack.pop().filter(|_| stack.is_empty())?;
    Some(Math::row(whole.row))
}

fn constant(number: Number, unit: Option<&Spelling>, sign: DecimalSign) -> Part<'_> {
    let unit = unit.map_or(unit::NONE.into(), unit::shown);
    let bare = number.power.is_none() && unit.over.is_empty() && unit.under.is_empty();
    let (parts, power) = typed_parts(number, sign);
    Part::new(finish(parts, power, unit), if bare { Rank::Whole } else { Rank::Quantity })
}

fn negative(of: Part<'_>) -> Part<'_> {
    let mut row = vec![Math::Sign(Sign::Negative)];
    row.extend(of.at_least(Rank::Product));
    Part { row, rank: Rank::Negative }
}

fn binary<'r>(binary: Binary, left: Part<'r>, right: Part<'r>) -> Part<'r> {
    match binary {
        // In a + (b − c) the brackets are idle; in a − (b − c) they are not.
        Binary::Add => {
            let right = if right.rank == Rank::Negative { right.at_least(Rank::Product) } else { right.row };
            joined(left.row, Sign::Plus, right, Rank::Sum)
        }
        Binary::Subtract => joined(left.row, Sign::Minus, right.at_least(Rank::Product), Rank::Sum),
        Binary::Multiply => {
            let rank = if left.rank == Rank::Negative { Rank::Negative } else { Rank::Product };
            joined(left.at_least(Rank::Negative), Sign::Dot, right.at_least(Rank::Product), rank)
        }
        Binary::Divide => Part::new(Math::Fraction(left.boxed(), right.boxed()), Rank::Product),
        Binary::Power => {
            let base = Box::new(Math::row(left.at_least(Rank::Whole)));
            Part::new(Math::Raised(base, right.boxed()), Rank::Power)
        }
    }
}

fn joined<'r>(mut left: Vec<Math<'r>>, sign: Sign, right: Vec<Math<'r>>, rank: Rank) -> Part<'r> {
    left.push(Math::Sign(sign));
    left.extend(right);
    Part { row: left, rank }
}

fn call<'r>(function: Function, arguments: Vec<Part<'r>>, course: &'r Course) -> Part<'r> {
    let mut arguments: Vec<Math<'_>> = arguments.into_iter().map(|part| Math::row(part.row)).collect();
    match (function, arguments.len()) {
        (Function::Sqrt | Function::Cbrt, 1) => {
            let degree = if function == Function::Sqrt { 2 } else { 3 };
            Part::new(Math::Root(degree, Box::new(arguments.remove(0))), Rank::Power)
        }
        (Function::Abs, 1) => Part::new(Math::Bars(Box::new(arguments.remove(0))), Rank::Whole),
        // As it is typed: which of the two is upright is not told by their order.
        (Function::Slope | Function::Intercept | Function::SlopeThroughOrigin, 2) => {
            let across = arguments.remove(1);
            let against = Math::Word(format!(" {} ", words::AGAINST.of(course)).into());
            let mut row = vec![arguments.remove(0), against, across];
            if function == Function::SlopeThroughOrigin {
                let through = Math::Word(format!(" {} ", words::THROUGH.of(course)).into());
                row.extend([through, Math::Digits(Decimal::ZERO, course.decimal)]);
            }
            named(function, vec![Math::Row(row)], course)
        }
        _ => named(function, arguments, course),
    }
}

/// A function by its name in the course's language, where it has one of its own there.
fn named<'r>(function: Function, arguments: Vec<Math<'r>>, course: &'r Course) -> Part<'r> {
    let own = words::of_function(function).map(|word| word.of(course)).filter(|name| *name != function.word());
    let Some(name) = own else { return Part::new(Math::Call(function, arguments), Rank::Whole) };
    let mut inside = Vec::new();
    for argument in arguments {
        inside.extend((!inside.is_empty()).then_some(Math::Sign(Sign::Comma)));
        inside.push(argument);
    }
    let row = vec![Math::Word(name.into()), Math::Bracket(Box::new(Math::row(inside)))];
    Part { row, rank: Rank::Whole }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::plain::{Blanks, write};
    use crate::span::{Span, Spanned};

    /// Steps in the order of a stack machine, blanks between them: `d t /`, `x neg`, `a b 2atan2`.
    fn formula(text: &str) -> Formula {
        let step = |word: &str| match word {
            "+" => Step::Binary(Binary::Add),
            "-" => Step::Binary(Binary::Subtract),
            "*" => Step::Binary(Binary::Multiply),
            "/" => Step::Binary(Binary::Divide),
            "^" => Step::Binary(Binary::Power),
            "neg" => Step::Negate,
            "pi" => Step::Pi,
            "sqrt" => Step::Call(Function::Sqrt, 1),
            "sin" => Step::Call(Function::Sin, 1),
            "log10" => Step::Call(Function::Log10, 1),
            "atan2" => Step::Call(Function::Atan2, 2),
            _ => match Decimal::read(word) {
                Some(decimal) => Step::Number(Number { decimal, power: None }, None),
                None => Step::Symbol(Symbol::new(word)),
            },
        };
        Formula { steps: text.split(' ').map(|word| Spanned::new(step(word), Span::default())).collect() }
    }

    fn shown(text: &str) -> String {
        let plain = |name: &Symbol| Part::new(Math::Symbol(name.clone()), Rank::Whole);
        write(&math(&formula(text), &Course::default(), &plain).unwrap(), Blanks::Simple)
    }

    #[test]
    fn brackets_stand_where_they_are_needed_and_nowhere_else() {
        for (steps, expected) in [
            ("d t /", "d / t"),
            ("a b c * /", "a / (b · c)"),
            ("a b * c /", "a · b / c"),
            ("a b / c *", "a / b · c"),
            ("a b c / *", "a · (b / c)"),
            ("a b c / /", "a / (b / c)"),
            ("a b + c *", "(a + b) · c"),
            ("a b + c /", "(a + b) / c"),
            ("a b c + +", "a + b + c"),
            ("a b c + -", "a − (b + c)"),
            ("a b neg -", "a − (−b)"),
            ("a neg b +", "−a + b"),
            ("a b neg *", "a · (−b)"),
            ("x 2 ^ neg", "−x²"),
            ("x neg 2 ^", "(−x)²"),
            ("x n ^", "x^n"),
            ("x n 1 + ^", "x^(n + 1)"),
            ("x 2 neg ^", "x⁻²"),
            ("a b ^ c ^", "(a^b)^c"),
            ("4 pi 2 ^ * L * T 2 ^ /", "4 · π² · L / T²"),
            ("L g / sqrt", "√(L / g)"),
            ("L sqrt 2 ^", "(√L)²"),
            ("x sin 2 ^", "sin(x)²"),
            ("x log10", "log₁₀(x)"),
            ("y x atan2", "atan2(y, x)"),
            ("a b - neg", "−(a − b)"),
        ] {
            assert_eq!(shown(steps), expected, "{steps}");
        }
    }

    #[test]
    fn a_formula_of_any_length_is_answered() {
        let is_printed = |text: &str| {
            let plain = |name: &Symbol| Part::new(Math::Symbol(name.clone()), Rank::Whole);
            math(&formula(text), &Course::default(), &plain).is_some()
        };
        assert!(is_printed("a a +") && !is_printed("a +"));
        assert!(!is_printed(&format!("a{}", " a +".repeat(100_000))));
    }
}
