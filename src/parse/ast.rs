//! What an item says, one type a production of `grammar/notation.ebnf`. Everything that a finding
//! may point at keeps its place in the untouched source.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Shape};
use crate::span::{Span, Spanned};

/// The name of a quantity in its canonical spelling: Greek letters for their names (`theta` is
/// `θ`), `′` for every prime, one `_` before a subscript. Cheap to clone.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Symbol(Arc<str>);

impl Symbol {
    /// `canonical` must be a symbol's canonical spelling already.
    pub fn new(canonical: &str) -> Self {
        Self(canonical.into())
    }

    /// The whole canonical spelling.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// What stands before primes and subscript: `v` of `v′_0`.
    pub fn base(&self) -> &str {
        self.0.split(['_', '′']).next().unwrap_or(&self.0)
    }

    /// How many primes it carries.
    pub fn primes(&self) -> usize {
        self.0.matches('′').count()
    }

    /// What stands after the `_`, without primes.
    pub fn subscript(&self) -> Option<&str> {
        self.0.split_once('_').map(|(_, sub)| sub.trim_end_matches('′'))
    }
}

impl fmt::Display for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A number as it was typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number {
    /// Digits and their places, the power of ten included.
    pub decimal: Decimal,
    /// The power of ten where one was typed: −19 of `1.602e-19` and of `1.602×10^-19`.
    pub power: Option<i32>,
}

/// How an uncertainty was attached to its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Attached {
    /// `14.30 ± 0.15 cm`, `14.30 +- 0.15 cm`, `(14.30 ± 0.15) cm`; the place of the sign.
    Sign(Span),
    /// `14.30(15) cm`: in units of the last digit (JCGM 100:2008, 7.2.2). The amount is in the unit of
    /// the value all the same: 0.15 here.
    LastDigits,
    /// `14.30(0.15) cm`: in the unit of the value.
    InBrackets,
}

/// A `±` and what follows it: the author's total.
#[derive(Clone, Debug, PartialEq)]
pub struct Total {
    /// Its amount. A number in the value's own unit carries no unit of its own.
    pub amount: Arc<Amount>,
    /// The form it was typed in.
    pub attached: Attached,
    /// What kind of limit it is, where that was said.
    pub shape: Option<Box<Spanned<Limit>>>,
    /// Why.
    pub reason: Option<Spanned<Arc<str>>>,
}

/// A best estimate with its unit and, where typed, its uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: Spanned<Number>,
    /// Its unit; `None` where none was typed.
    pub unit: Option<Spanned<Spelling>>,
    /// Its uncertainty.
    pub total: Option<Box<Spanned<Total>>>,
}

/// Two readings whose errors are tied: `correlated a b 0.8 "same scale"`.
#[derive(Clone, Debug, PartialEq)]
pub struct Correlation {
    /// Both readings.
    pub symbols: [Spanned<Symbol>; 2],
    /// The correlation coefficient as typed, whatever its size.
    pub coefficient: Spanned<Number>,
    /// Why.
    pub reason: Option<Spanned<Arc<str>>>,
}

/// Arithmetic on plain numbers and units, in the order of a stack machine: operands first, so that
/// neither reading, printing nor dropping it recurses. `2 × 1/4 mm` is `2 1 4 Over Unit(mm) Times`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Amount {
    /// The steps, at least one.
    pub steps: Vec<AmountStep>,
}

/// One step of an [`Amount`].
#[derive(Clone, Debug, PartialEq)]
pub enum AmountStep {
    /// Push a number.
    Number(Spanned<Number>),
    /// Push the instrument's range, upper less lower end (`0.5 % of range`).
    Range,
    /// Attach a unit to what is on top. The spellings `digit`, `digits` and `%` are units here.
    Unit(Spanned<Spelling>),
    /// Add the two on top.
    Plus,
    /// Subtract.
    Minus,
    /// Multiply, written `×`, `*` or `·`.
    Times,
    /// Multiply, written `of`.
    Of,
    /// Divide.
    Over,
}

/// What kind of limit an amount is, and its degrees of freedom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// The distribution; `dof` alone means a standard uncertainty.
    pub shape: Shape,
    /// Degrees of freedom; `None` means infinitely many.
    pub dof: Option<f64>,
}

impl Limit {
    /// The words that say it: those of the shapes, and that of the degrees of freedom.
    pub const WORDS: [&str; 8] = ["normal", "rectangular", "triangular", "arcsine", "trapezoidal", "k", "level", "dof"];
}

/// What follows a `;` in a reading, a result or a column.
#[derive(Clone, Debug, PartialEq)]
pub enum Clause {
    /// `reading 1/4 of 0.5 mm rectangular "both jaws seated"`.
    Source {
        /// The kind's word, as typed; those that every course knows are not copied.
        kind: Spanned<Cow<'static, str>>,
        /// How much; `None` for `repeat` and `counting`.
        amount: Option<Spanned<Arc<Amount>>>,
        /// What kind of limit, where said.
        limit: Option<Box<Spanned<Limit>>>,
        /// Why.
        reason: Option<Spanned<Arc<str>>>,
    },
    /// `± 0.5 mm "all in all"`.
    Total(Total),
    /// `with stopwatch`: the sources of an instrument.
    With(Spanned<String>),
    /// `exact "defined"`: there is no source.
    Exact(Option<Spanned<Arc<str>>>),
    /// `stated 1.24 ± 0.04 m/s`: the author's own figure of a result.
    Stated(Box<Estimate>),
    /// `without 6.40 "knocked"`: one recorded value is left out of what is computed.
    Without {
        /// The value, as recorded.
        value: Spanned<Number>,
        /// Why.
        reason: Option<Spanned<Arc<str>>>,
    },
}

/// A symbol and the name it was given.
#[derive(Clone, Debug, PartialEq)]
pub struct Head {
    /// The symbol.
    pub symbol: Spanned<Symbol>,
    /// The name in quotes.
    pub name: Option<Spanned<Arc<str>>>,
}

/// A recorded number, or several of the same quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What it is called.
    pub head: Head,
    /// One value, or several of a repeated reading.
    pub values: Vec<Spanned<Number>>,
    /// The unit of all of them.
    pub unit: Option<Spanned<Spelling>>,
    /// The uncertainty typed with the value.
    pub total: Option<Box<Spanned<Total>>>,
    /// A reason that stands behind an estimate without `±`.
    pub remark: Option<Spanned<Arc<str>>>,
    /// The clauses that could be read.
    pub clauses: Vec<Spanned<Clause>>,
}

/// A quantity worked out from others.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// What it is called.
    pub head: Head,
    /// How it follows.
    pub formula: Formula,
    /// The unit after `in`.
    pub unit: Option<Spanned<Spelling>>,
    /// The style after `as`.
    pub style: Option<Spanned<Style>>,
    /// The clauses that could be read.
    pub clauses: Vec<Spanned<Clause>>,
}

/// A formula in the order of a stack machine: operands first. Flat, so that a chain of a hundred
/// thousand terms neither recurses nor overflows a stack when it is dropped.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Formula {
    /// The steps, at least one; exactly one value is left when all are done.
    pub steps: Vec<Spanned<Step>>,
}

/// One step of a [`Formula`]. The span of an operator's step is that of its sign; of a call's, that
/// of the whole call.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// Push a number, with the unit in its square brackets.
    Number(Number, Option<Box<Spanned<Spelling>>>),
    /// Push a quantity.
    Symbol(Symbol),
    /// Push π.
    Pi,
    /// Change the sign of the top.
    Negate,
    /// Combine the two on top.
    Binary(Binary),
    /// Apply a function to as many as are counted.
    Call(Function, usize),
}

/// The operators with two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Binary {
    /// `+`
    Add,
    /// `-`
    Subtract,
    /// `*`, `×`, `·`
    Multiply,
    /// `/`
    Divide,
    /// `^`, and the superscript in `v²`
    Power,
}

/// The functions of the notation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is the mathematical function of its name; `word` spells it")]
pub enum Function {
    Sqrt,
    Cbrt,
    Exp,
    Ln,
    Log10,
    Sin,
    Cos,
    Tan,
    Asin,
    Acos,
    Atan,
    Atan2,
    Sinh,
    Cosh,
    Tanh,
    Abs,
    Mean,
    Sum,
    Sd,
    Sem,
    Count,
    First,
    Last,
    Row,
    Slope,
    Intercept,
    Wmean,
    /// `slope(y against x through 0)`
    SlopeThroughOrigin,
}

impl Function {
    /// All that have a word of their own, in the order in which the notation lists them.
    pub const ALL: [Self; 27] = [
        Self::Sqrt,
        Self::Cbrt,
        Self::Exp,
        Self::Ln,
        Self::Log10,
        Self::Sin,
        Self::Cos,
        Self::Tan,
        Self::Asin,
        Self::Acos,
        Self::Atan,
        Self::Atan2,
        Self::Sinh,
        Self::Cosh,
        Self::Tanh,
        Self::Abs,
        Self::Mean,
        Self::Sum,
        Self::Sd,
        Self::Sem,
        Self::Count,
        Self::First,
        Self::Last,
        Self::Row,
        Self::Slope,
        Self::Intercept,
        Self::Wmean,
    ];

    /// The function of a word.
    pub fn of_word(word: &str) -> Option<Self> {
        Some(match word {
            "sqrt" => Self::Sqrt,
            "cbrt" => Self::Cbrt,
            "exp" => Self::Exp,
            "ln" => Self::Ln,
            "log10" => Self::Log10,
            "sin" => Self::Sin,
            "cos" => Self::Cos,
            "tan" => Self::Tan,
            "asin" => Self::Asin,
            "acos" => Self::Acos,
            "atan" => Self::Atan,
            "atan2" => Self::Atan2,
            "sinh" => Self::Sinh,
            "cosh" => Self::Cosh,
            "tanh" => Self::Tanh,
            "abs" => Self::Abs,
            "mean" => Self::Mean,
            "sum" => Self::Sum,
            "sd" => Self::Sd,
            "sem" => Self::Sem,
            "count" => Self::Count,
            "first" => Self::First,
            "last" => Self::Last,
            "row" => Self::Row,
            "slope" => Self::Slope,
            "intercept" => Self::Intercept,
            "wmean" => Self::Wmean,
            _ => return None,
        })
    }

    /// How it is typed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sqrt => "sqrt",
            Self::Cbrt => "cbrt",
            Self::Exp => "exp",
            Self::Ln => "ln",
            Self::Log10 => "log10",
            Self::Sin => "sin",
            Self::Cos => "cos",
            Self::Tan => "tan",
            Self::Asin => "asin",
            Self::Acos => "acos",
            Self::Atan => "atan",
            Self::Atan2 => "atan2",
            Self::Sinh => "sinh",
            Self::Cosh => "cosh",
            Self::Tanh => "tanh",
            Self::Abs => "abs",
            Self::Mean => "mean",
            Self::Sum => "sum",
            Self::Sd => "sd",
            Self::Sem => "sem",
            Self::Count => "count",
            Self::First => "first",
            Self::Last => "last",
            Self::Row => "row",
            Self::Slope | Self::SlopeThroughOrigin => "slope",
            Self::Intercept => "intercept",
            Self::Wmean => "wmean",
        }
    }
}

/// How a quantity is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Style {
    /// `9.7 ± 0.2 m/s²`
    #[default]
    Plain,
    /// `g = 9.7 ± 0.2 m/s²`
    Full,
    /// `9.7(2) m/s²`
    Short,
    /// `9.7 m/s²`
    Value,
    /// `0.2 m/s²`
    Uncertainty,
    /// `1.7 %`
    Relative,
    /// `9.5 m/s² to 9.9 m/s²`
    Interval,
    /// the name
    Name,
    /// the formula, the formula with its numbers, the result
    Working,
}

impl Style {
    /// Every style with its word.
    pub const ALL: [(Self, &'static str); 9] = [
        (Self::Plain, "plain"),
        (Self::Full, "full"),
        (Self::Short, "short"),
        (Self::Value, "value"),
        (Self::Uncertainty, "uncertainty"),
        (Self::Relative, "relative"),
        (Self::Interval, "interval"),
        (Self::Name, "name"),
        (Self::Working, "working"),
    ];
}

/// A quantity shown again.
#[derive(Clone, Debug, PartialEq)]
pub struct Mention {
    /// Which.
    pub symbol: Spanned<Symbol>,
    /// The unit after `in`.
    pub unit: Option<Spanned<Spelling>>,
    /// The style after `as`.
    pub style: Option<Spanned<Style>>,
}

/// Two values held against each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// The quantity compared.
    pub left: Spanned<Symbol>,
    /// What it is compared with.
    pub right: Against,
}

/// The right side of a comparison.
#[derive(Clone, Debug, PartialEq)]
pub enum Against {
    /// Another quantity of the report.
    Symbol(Spanned<Symbol>),
    /// A value from elsewhere; without `±` it is taken as exact.
    Estimate {
        /// The value.
        estimate: Box<Spanned<Estimate>>,
        /// Where it comes from.
        reason: Option<Spanned<Arc<str>>>,
    },
}

/// A table's heading item.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// What it is called.
    pub head: Head,
    /// The unit in square brackets; `None` where none was typed, `[1]` has no factors.
    pub unit: Option<Spanned<Spelling>>,
    /// Of a result column.
    pub formula: Option<Formula>,
    /// The clauses that could be read; they hold for every row.
    pub clauses: Vec<Spanned<Clause>>,
}

/// A picture of two columns.
#[derive(Clone, Debug, PartialEq)]
pub struct Graph {
    /// Upright.
    pub y: Spanned<Symbol>,
    /// Across.
    pub x: Spanned<Symbol>,
    /// What else is wanted.
    pub options: Vec<Spanned<GraphOption>>,
}

/// An option of a graph.
#[derive(Clone, Debug, PartialEq)]
pub enum GraphOption {
    /// `line`, `line through 0`
    Line {
        /// Has it to pass through the origin?
        through_origin: bool,
    },
    /// `extreme`
    Extreme,
    /// `residuals`
    Residuals,
    /// `log x`
    LogX,
    /// `log y`
    LogY,
    /// `title "…"`
    Title(Spanned<Arc<str>>),
}

/// What stands between `~{` and `}`.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A reading, single or repeated.
    Reading(Reading),
    /// A result.
    Result(Derived),
    /// A mention; in a table's heading cell, where its symbol is defined nowhere else, a column.
    Mention(Mention),
    /// A comparison.
    Comparison(Comparison),
    /// A column.
    Column(Column),
    /// A graph.
    Graph(Graph),
    /// `budget of g`
    Budget(Spanned<Symbol>),
    /// `rationale`
    Rationale,
    /// `summary`
    Summary,
}

impl Item {
    /// The quantity that the item defines.
    pub fn head(&self) -> Option<&Head> {
        match self {
            Self::Reading(reading) => Some(&reading.head),
            Self::Result(derived) => Some(&derived.head),
            Self::Column(column) => Some(&column.head),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_function_is_found_by_its_word() {
        for function in Function::ALL {
            assert_eq!(Function::of_word(function.word()), Some(function));
        }
        for word in ["", "x", "sine", "Sin", "π"] {
            assert_eq!(Function::of_word(word), None, "{word}");
        }
    }
}
