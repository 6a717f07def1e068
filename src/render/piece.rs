//! What is said, before any format: running text, mathematics, tables.

use super::picture::Picture;
use super::plain;
use crate::parse::ast::{Function, Symbol};
use crate::quantity::unit::Spelling;

/// A stretch of what stands in place of an item, or in a cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Piece {
    /// Words, the author's or ours; written literally.
    Text(String),
    /// A quantity, a formula.
    Math(Math),
    /// A picture beside what it shows; nothing in formats without pictures.
    Picture(Picture),
}

impl Piece {
    /// As text without any mark-up.
    pub(super) fn bare(&self) -> String {
        match self {
            Self::Text(text) => text.clone(),
            Self::Math(math) => plain::write(math, plain::Blanks::Fixed),
            Self::Picture(_) => String::new(),
        }
    }

    /// The same with no blanks but U+0020.
    pub(super) fn simple(&self) -> String {
        match self {
            Self::Math(math) => plain::write(math, plain::Blanks::Simple),
            other => other.bare(),
        }
    }
}

/// A tree of mathematics. Its depth is bounded: `formula` makes none of more than so many steps.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Math {
    /// Side by side.
    Row(Vec<Math>),
    /// Digits, with the course's decimal sign and without a sign of their own.
    Digits(String),
    /// A quantity's symbol.
    Symbol(Symbol),
    /// π.
    Pi,
    /// An upright word: `of`, `range`.
    Word(String),
    /// An operator or a relation.
    Sign(Sign),
    /// A unit, set off from the number before it where that is the custom.
    Unit(Spelling),
    /// A unit that follows no number.
    BareUnit(Spelling),
    /// Above and below.
    Fraction(Box<Math>, Box<Math>),
    /// Base and exponent.
    Raised(Box<Math>, Box<Math>),
    /// The square root (2), the cube root (3).
    Root(u8, Box<Math>),
    /// In brackets, in every format.
    Bracket(Box<Math>),
    /// Between bars.
    Bars(Box<Math>),
    /// A function and its arguments.
    Call(Function, Vec<Math>),
}

impl Math {
    /// Side by side; one part alone stands for itself.
    pub(super) fn row(mut parts: Vec<Self>) -> Self {
        match parts.len() {
            1 => parts.remove(0),
            _ => Self::Row(parts),
        }
    }

    /// Is there a fraction anywhere in it?
    pub(super) fn has_fraction(&self) -> bool {
        match self {
            Self::Fraction(..) => true,
            Self::Row(parts) | Self::Call(_, parts) => parts.iter().any(Self::has_fraction),
            Self::Raised(base, exponent) => base.has_fraction() || exponent.has_fraction(),
            Self::Root(_, inner) | Self::Bracket(inner) | Self::Bars(inner) => inner.has_fraction(),
            Self::Digits(_)
            | Self::Symbol(_)
            | Self::Pi
            | Self::Word(_)
            | Self::Sign(_)
            | Self::Unit(_)
            | Self::BareUnit(_) => false,
        }
    }
}

/// An operator or a relation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "each is the sign of its name")]
pub(super) enum Sign {
    Equals,
    Plus,
    Minus,
    /// A minus in front of what it belongs to.
    Negative,
    PlusMinus,
    /// A product in a formula: `·`.
    Dot,
    /// A product of numbers: `×`.
    Cross,
    /// A fraction on the line, without blanks: `1/4`.
    Slash,
    /// A quotient on the line: ` / `.
    Over,
    Comma,
}

/// A table of rationale, a budget, a summary.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Table {
    /// What it is.
    pub(super) caption: String,
    /// Its columns.
    pub(super) columns: Vec<Column>,
    /// Its rows, by what they belong to.
    pub(super) groups: Vec<Group>,
}

/// A column of a [`Table`].
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column {
    /// What stands above it.
    pub(super) heading: String,
    /// Is it one of numbers?
    pub(super) numeric: bool,
}

/// The rows that belong to one quantity.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Group {
    /// The quantity; over all columns. Empty where the rows need none.
    pub(super) title: Vec<Piece>,
    /// One a source.
    pub(super) rows: Vec<Row>,
}

/// A row, one cell a column.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// The cells; the first one heads the row.
    pub(super) cells: Vec<Vec<Piece>>,
    /// Does it sum up the rows above?
    pub(super) total: bool,
}
