//! What is said, before any format: running text, mathematics, tables.

use std::borrow::Cow;

use super::picture::Picture;
use crate::course::DecimalSign;
use crate::parse::ast::{Function, Symbol};
use crate::quantity::Decimal;
use crate::quantity::unit::Spelling;

/// A stretch of what stands in place of an item, or in a cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Piece<'r> {
    /// Words, the author's or ours; written literally.
    Text(Cow<'r, str>),
    /// A quantity, a formula.
    Math(Math<'r>),
    /// A picture beside what it shows; nothing in formats without pictures.
    Picture(Picture),
}

impl<'r> Piece<'r> {
    /// Words that something else holds, or that were made for it.
    pub(super) fn text(text: impl Into<Cow<'r, str>>) -> Self {
        Self::Text(text.into())
    }
}

/// A tree of mathematics. Its depth is bounded: `formula` makes none of more than so many steps.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Math<'r> {
    /// Side by side.
    Row(Vec<Math<'r>>),
    /// The digits of a number, with the course's decimal sign and without a sign of their own.
    Digits(Decimal, DecimalSign),
    /// A quantity's symbol.
    Symbol(Symbol),
    /// π.
    Pi,
    /// An upright word: `of`, `range`.
    Word(Cow<'r, str>),
    /// An operator or a relation.
    Sign(Sign),
    /// A unit, set off from the number before it where that is the custom.
    Unit(Cow<'r, Spelling>),
    /// A unit that follows no number.
    BareUnit(Cow<'r, Spelling>),
    /// Above and below.
    Fraction(Box<Math<'r>>, Box<Math<'r>>),
    /// Base and exponent.
    Raised(Box<Math<'r>>, Box<Math<'r>>),
    /// The square root (2), the cube root (3).
    Root(u8, Box<Math<'r>>),
    /// In brackets, in every format.
    Bracket(Box<Math<'r>>),
    /// Between bars.
    Bars(Box<Math<'r>>),
    /// A function and its arguments.
    Call(Function, Vec<Math<'r>>),
}

impl Math<'_> {
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
            Self::Digits(..)
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
pub(super) struct Table<'r> {
    /// What it is.
    pub(super) caption: Cow<'r, str>,
    /// Its columns.
    pub(super) columns: Vec<Column<'r>>,
    /// Its rows, by what they belong to.
    pub(super) groups: Vec<Group<'r>>,
}

/// A column of a [`Table`].
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Column<'r> {
    /// What stands above it.
    pub(super) heading: Cow<'r, str>,
    /// Is it one of numbers?
    pub(super) numeric: bool,
}

/// The rows that belong to one quantity.
pub(super) struct Group<'r> {
    /// The quantity; over all columns. Empty where the rows need none.
    pub(super) title: Vec<Piece<'r>>,
    /// One a source. Each is made when it is asked for: a summary has as many as the report has quantities.
    pub(super) rows: Box<dyn Iterator<Item = Row<'r>> + 'r>,
}

/// A row, one cell a column.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row<'r> {
    /// The cells; the first one heads the row.
    pub(super) cells: Vec<Vec<Piece<'r>>>,
    /// Does it sum up the rows above?
    pub(super) total: bool,
}
