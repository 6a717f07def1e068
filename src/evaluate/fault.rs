//! What can be wrong with a report's quantities, as data. Each has its rule in the room `check`,
//! which words it.

use std::sync::Arc;

use super::fit::NoLine;
use crate::parse::ast::Symbol;
use crate::quantity::{Dimension, Unit, UnknownUnit};
use crate::span::Span;

/// One thing wrong, where, and in which item.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The number of the item's place.
    pub item: usize,
    /// The characters that are wrong.
    pub span: Span,
    /// What is wrong.
    pub kind: FaultKind,
}

/// The ways in which a quantity can be wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum FaultKind {
    /// A symbol that the report does not define, and the nearest one that it does.
    UnknownSymbol {
        /// As typed.
        symbol: Symbol,
        /// The nearest known one.
        nearest: Option<Symbol>,
    },
    /// A symbol that an earlier item defines already.
    DefinedTwice {
        /// Which.
        symbol: Symbol,
        /// Where it was defined first.
        first: Span,
    },
    /// Quantities that are each worked out from the next, the last from the first.
    Cycle {
        /// The path, each symbol once, beginning with the one whose item this is.
        path: Vec<Symbol>,
        /// Where each of them is defined.
        spans: Vec<Span>,
    },
    /// A unit that is not known.
    UnknownUnit(UnknownUnit),
    /// Two dimensions where one was wanted.
    UnitsDiffer {
        /// What was being done.
        doing: Doing,
        /// The dimension on the left, or the one wanted.
        left: Dimension,
        /// The dimension on the right, or the one found.
        right: Dimension,
    },
    /// An argument or an exponent that has to be a pure number.
    NotANumber {
        /// What it is given to: a function's word, or `^`.
        function: &'static str,
        /// What it is measured in.
        dimension: Dimension,
    },
    /// A power that leaves no whole exponents of units: `(2[m])^0.1`, `x^y` with a unit in `x`.
    PowerOfUnit,
    /// `t = 2 h` where a quantity `h` exists too.
    UnitOrSymbol {
        /// The unit, as typed.
        unit: String,
    },
    /// A kind that the course does not know, and the nearest that it does.
    UnknownKind {
        /// As typed.
        word: String,
        /// The nearest known word.
        nearest: Option<String>,
    },
    /// An instrument that neither the course nor the report names.
    UnknownInstrument {
        /// As typed.
        word: String,
        /// The nearest known word.
        nearest: Option<String>,
    },
    /// An instrument whose data sheet, as the course has it, cannot be read.
    BrokenInstrument {
        /// The instrument's word.
        word: String,
        /// The key that is wrong.
        key: String,
    },
    /// No real value: outside the domain of a function, division by zero, overflow.
    OutsideDomain {
        /// What was being done.
        what: Undefined,
        /// The number it was given, in SI.
        argument: f64,
    },
    /// A value, but no first-order sensitivity: the square root at zero, arcsine at one.
    NoSensitivity {
        /// What was being done.
        what: Undefined,
    },
    /// Uses a quantity that has no value itself; said once, where the trouble begins, so that this
    /// one draws no finding of its own.
    Follows {
        /// The quantity without a value.
        symbol: Symbol,
    },
    /// A relative amount of a value that is zero.
    RelativeToZero,
    /// A column where one value is wanted, outside a result column.
    ColumnAsValue,
    /// A function over columns, given something else.
    NoColumn {
        /// The function's word.
        function: &'static str,
    },
    /// `mean(a, b)` of something else than quantities of the report.
    NoQuantity {
        /// The function's word.
        function: &'static str,
    },
    /// Columns of different length side by side.
    LengthsDiffer {
        /// Rows of the one.
        left: usize,
        /// Rows of the other.
        right: usize,
    },
    /// Too few values for what is asked of them: a mean of none, a line through one point.
    TooFewValues {
        /// The function's word.
        function: &'static str,
        /// How many it needs.
        needs: usize,
        /// How many there are.
        has: usize,
    },
    /// Points through which there is no line by the course's method.
    NoLine {
        /// Why; rows are those of the table, from 0, and what is missing in y is in `unit`.
        why: NoLine,
        /// The unit of the column upright, as one of differences.
        unit: Arc<Unit>,
    },
    /// A weighted mean of a result that has no weight.
    NoWeight {
        /// The result, where it is one of several.
        symbol: Option<Symbol>,
        /// Its row, from 0, where it is one of a column's.
        row: Option<usize>,
        /// Why.
        why: Weightless,
    },
    /// Points of a graph with a logarithmic axis on which a value of zero or less has no place.
    OffLogAxis {
        /// The symbol of the column.
        symbol: Symbol,
        /// How many points.
        points: usize,
        /// The row of the first of them, from 0.
        row: usize,
    },
    /// `row(x, 9)` of a column with fewer rows.
    NoSuchRow {
        /// How many there are.
        has: usize,
    },
    /// A cell of a column that holds neither a number nor nothing.
    NoNumberInCell,
    /// Rows of a reading column that hold no reading; they are left out of what is computed from it.
    MissingReading,
    /// A word that is known, in a place where this version computes nothing with it.
    NotComputed {
        /// What it is.
        what: &'static str,
    },
    /// `range` or `digit` in an amount whose instrument or display is not known, `%` where it cannot
    /// be: an amount that gives no number.
    AmountWithoutSize {
        /// Why.
        why: &'static str,
    },
    /// An amount below zero.
    NegativeAmount,
    /// `without` a value that was not recorded.
    NothingLeftOut,
    /// `without` for each value of a list: no mean is left.
    AllLeftOut,
    /// A `°C`- or `°F`-point multiplied or divided: it was taken in kelvin.
    PointMultiplied,
    /// Points on such a scale added up, so that neither a point nor a difference comes out: they were taken in kelvin.
    PointsAdded,
}

/// Why a result has no weight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weightless {
    /// It is exact, or nobody said how uncertain it is.
    NoUncertainty,
    /// So much of the report stands behind it that its uncertainty is not known while formulas are worked out.
    TooManySources,
}

/// What was being done where two dimensions met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// `a + b`
    Adding,
    /// `a - b`
    Subtracting,
    /// `in unit`: the result in the unit wanted.
    ShowingIn,
    /// An amount beside the value it belongs to.
    Amount,
    /// A stated figure beside the computed one.
    Stated,
    /// `a against b`
    Comparing,
    /// Arguments of one function that have to be alike.
    Arguments,
}

/// What has no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Undefined {
    /// A division by zero.
    Division,
    /// A power.
    Power,
    /// A function, by its word.
    Function(&'static str),
    /// A number too large for a double.
    Overflow,
}
