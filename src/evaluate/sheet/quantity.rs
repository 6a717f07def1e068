//! The quantities of a report, as they were recorded and as they came out.

use std::ops::Deref;
use std::sync::Arc;

use crate::evaluate::propagate::Node;
use crate::parse::ast::{Amount, Number, Symbol};
use crate::quantity::constants::Constant;
use crate::quantity::{Decimal, Dimension, Exact, Kind, Shape, Unit};
use crate::span::{Span, Spanned};

/// Index of a quantity among all of its report.
pub type QuantityId = usize;

/// A quantity of the report.
#[derive(Clone, Debug)]
pub struct Quantity {
    /// Its symbol.
    pub symbol: Symbol,
    /// Its name, where one was given.
    pub name: Option<Arc<str>>,
    /// The number of the place that defines it; of a constant, past all places.
    pub item: usize,
    /// Where its symbol stands there.
    pub span: Span,
    /// The unit that it is shown in.
    pub unit: Arc<Unit>,
    /// Reading or result.
    pub origin: Origin,
    /// Value and uncertainty; `None` where there is no value, for which a fault says why.
    pub measure: Option<Measure>,
    /// Its sources as the report states them (of a reading), or none (of a result: they follow
    /// from the propagation).
    pub sources: Vec<Source>,
    /// The quantities that its formula uses, each once, in the order of the formula.
    pub operands: Vec<QuantityId>,
    /// Is it `exact`?
    pub exact: bool,
}

/// What a quantity is.
#[derive(Clone, Debug)]
pub enum Origin {
    /// One recorded number.
    Reading(Box<Record>),
    /// Several recorded numbers of the same quantity.
    Repeated(Box<Repeated>),
    /// A column of a table: one value a row.
    Column(Box<Column>),
    /// Worked out by a formula.
    Result {
        /// The author's own figure, where stated: value and uncertainty in `unit`.
        stated: Option<Box<Stated>>,
    },
    /// A constant of nature, which the course has made known.
    Constant(&'static Constant),
    /// Its item could not be read, for which a fault says why; what uses it has no value either.
    Unread,
}

impl Origin {
    /// Is it worked out by a formula, alone or row by row?
    pub fn is_result(&self) -> bool {
        match self {
            Self::Result { .. } => true,
            Self::Column(column) => column.result,
            Self::Reading(_) | Self::Repeated(_) | Self::Constant(_) | Self::Unread => false,
        }
    }
}

/// The author's own figure of a result.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// The value as typed.
    pub value: Number,
    /// The uncertainty, in the same unit.
    pub uncertainty: Option<Decimal>,
    /// The unit it was stated in.
    pub unit: Arc<Unit>,
    /// Where.
    pub span: Span,
}

/// What was recorded of a single reading.
#[derive(Clone, Debug)]
pub struct Record {
    /// The number as typed, in the quantity's unit.
    pub value: Spanned<Number>,
    /// The plain sum of the amounts of all sources in the quantity's unit, exactly where that is
    /// possible: by it the reading's figures are judged, whatever the way of combining.
    pub sum: Option<Exact>,
    /// The total that the author typed (`±`), in the quantity's unit.
    pub claimed: Option<Claimed>,
    /// The step of the digital display that it was read from, in the quantity's unit.
    pub display: Option<Exact>,
}

/// A total that the author typed.
#[derive(Clone, Debug)]
pub struct Claimed {
    /// As typed, where it is one number in the unit of the value: its last place counts.
    pub typed: Option<Decimal>,
    /// How much, in the quantity's unit.
    pub amount: Option<Exact>,
    /// Where it stands.
    pub span: Span,
    /// Is it the only source, or a claim of what the other sources add up to?
    pub alone: bool,
}

/// What was recorded of a repeated reading.
#[derive(Clone, Debug)]
pub struct Repeated {
    /// All numbers as typed, in the quantity's unit.
    pub values: Vec<Spanned<Number>>,
    /// For each, is it left out of what is computed, and why?
    pub left_out: Vec<Option<Arc<str>>>,
    /// The mean of those that are not left out, in the quantity's unit.
    pub mean: f64,
    /// Standard deviation of one reading, in the quantity's unit; `None` of a single value.
    pub deviation: Option<f64>,
    /// The total that the author typed (`±`), in the quantity's unit.
    pub claimed: Option<Claimed>,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub struct Column {
    /// The number of the table in the document.
    pub table: usize,
    /// The number of the column in the table, from 0.
    pub column: usize,
    /// Its rows, from the top.
    pub rows: Vec<Row>,
    /// Is it worked out by a formula?
    pub result: bool,
    /// Where its heading asks for the scatter of its rows.
    pub repeat: Option<ColumnRepeat>,
    /// The total that the author typed in its heading (`±`).
    pub claimed: Option<Box<Claimed>>,
    /// Is there no value in any row, for which a fault says why?
    pub failed: bool,
}

/// One row of a column.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Where its cell stands, without the pipes.
    pub cell: Span,
    /// The number that the author typed there: the reading, or in a result column the author's own
    /// figure.
    pub typed: Option<Number>,
    /// Of a result column: the uncertainty that the author typed with it, in the column's unit. What was typed with a
    /// reading is in the row's measure.
    pub own: Option<Decimal>,
    /// Its value; `None` where there is none.
    pub measure: Option<Measure>,
}

/// The scatter of a column's rows.
#[derive(Clone, Debug)]
pub struct ColumnRepeat {
    /// Standard deviation of a row, in SI.
    pub deviation: f64,
    /// Of each row that holds a value: the node without its part of the scatter.
    pub(in crate::evaluate) steady: Vec<Node>,
}

/// A value with its combined uncertainty, in the coherent SI unit of `dimension`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The value; of a temperature point, in kelvin.
    pub value: f64,
    /// Its combined uncertainty, by the course's way of combining.
    pub uncertainty: f64,
    /// Its dimension.
    pub dimension: Dimension,
    /// Is it a point on a temperature scale?
    pub point: bool,
    /// Where it stands in the propagation.
    pub node: Node,
}

/// One source of uncertainty of a reading.
#[derive(Clone, Debug)]
pub struct Source {
    /// What it comes from.
    pub kind: Kind,
    /// The word that the author used for it, where that is a word of the course.
    pub word: Option<Arc<str>>,
    /// The amount as the author wrote it, or as the instrument's data sheet has it.
    pub written: Option<Arc<Amount>>,
    /// How much, in the unit of the reading; exactly where that is possible.
    pub exact: Option<Exact>,
    /// How much, in the unit of the reading.
    pub amount: f64,
    /// What kind of limit that is.
    pub shape: Shape,
    /// Its degrees of freedom; `None` means infinitely many.
    pub dof: Option<f64>,
    /// Why.
    pub reason: Option<Arc<str>>,
    /// The name of the instrument that brought it in.
    pub instrument: Option<Arc<str>>,
    /// Where it was stated.
    pub span: Span,
    /// Its variables.
    pub parts: Parts,
}

/// The variables of a source, as a slice.
#[derive(Clone, Debug, PartialEq)]
pub enum Parts {
    /// Of an amount of zero.
    None,
    /// As a rule.
    One(Part),
    /// Of an instrument whose errors are the same in all its readings: a relative one and an absolute one.
    Two(Box<[Part; 2]>),
}

impl Deref for Parts {
    type Target = [Part];

    fn deref(&self) -> &[Part] {
        match self {
            Self::None => &[],
            Self::One(part) => std::slice::from_ref(part),
            Self::Two(parts) => &parts[..],
        }
    }
}

/// One variable of a source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it stands in the propagation.
    pub node: Node,
    /// Its amount: in the unit of the reading, of a relative one a pure number.
    pub amount: f64,
    /// Is it the same variable in all readings taken with the instrument?
    pub shared: bool,
    /// Is it a share of the value, which moves the value by so much of itself?
    pub relative: bool,
}

impl Part {
    /// By how much of its amount it moves a value in SI, which lies so far above the zero of its unit's scale.
    pub const fn sensitivity(&self, above_zero: f64) -> f64 {
        if self.relative { above_zero } else { 1.0 }
    }
}
