//! What can be wrong with an item's writing, as data. The rule `syntax` words it.

use crate::span::Span;

/// One thing wrong, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The place: the characters that are wrong, or the empty place where something is missing.
    pub span: Span,
    /// What is wrong.
    pub kind: FaultKind,
}

/// The ways in which an item's writing can be wrong. Where a right spelling is certain the fault
/// carries it, for the rule's edit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FaultKind {
    /// Something else was wanted here.
    Expected {
        /// What could stand here, in the words of the notation's page, most likely first.
        wanted: Vec<&'static str>,
        /// What stands here; empty at the end of the item.
        found: String,
    },
    /// Nothing stands between `~{` and `}`, or between two `;`.
    Empty,
    /// A quote that is never closed.
    OpenQuote,
    /// A bracket that is never closed, or never opened.
    LoneBracket,
    /// More than so many brackets inside one another.
    TooDeep {
        /// How many are allowed.
        most: usize,
    },
    /// More digits than a number may have, or too large a power of ten.
    NumberTooLong,
    /// `131,5`: a decimal comma; with the number as it should be, where it can be nothing else.
    DecimalComma {
        /// The right spelling.
        right: Option<String>,
    },
    /// `1,200` or `1 200`: a separator of thousands.
    ThousandsSeparator {
        /// The right spelling.
        right: String,
    },
    /// Two things side by side in a formula: a product has to be written.
    SideBySide,
    /// `N m`: a blank as a product of units; the right spelling.
    BlankProduct {
        /// The right spelling.
        right: String,
    },
    /// `m/s/s`: more than one slash in a unit; the right spelling.
    TwoSlashes {
        /// The right spelling.
        right: String,
    },
    /// `J/kg*K`: two factors behind the slash without brackets; the right spelling.
    OpenDenominator {
        /// The right spelling.
        right: String,
    },
    /// A unit written as units are not written, which can be told all the same.
    UnitWriting {
        /// In what way.
        how: UnitWriting,
        /// The right spelling.
        right: String,
        /// Can it mean nothing else?
        certain: bool,
    },
    /// `3 in`: the inch is spelt `inch`.
    InchAsKeyword,
    /// `x_{max}`: braces about a subscript; the right spelling.
    BracedSubscript {
        /// The right spelling.
        right: String,
    },
    /// `T₁`: a subscript character; the right spelling.
    SubscriptCharacter {
        /// The right spelling.
        right: String,
    },
    /// A word that can be no symbol.
    ReservedWord {
        /// The word.
        word: String,
    },
    /// `x = 1/2 m`: a fraction where a recorded number has to stand.
    FractionAsEstimate,
    /// `2 h + 3 min`: a sum where one number with one unit has to stand.
    SumAsEstimate,
    /// `12:04:31`: a clock time.
    ClockTime,
    /// `+0.3/−0.1`: an uncertainty with two sides.
    TwoSided,
    /// `1.32 s, 1.28 s`: a unit at each value of a list.
    UnitInList,
    /// `1.32 ± 0.01, 1.28 s`: an uncertainty inside a list.
    UncertaintyInList,
    /// `~{d / t}`: a formula that defines no symbol.
    NoSymbol,
    /// A bare unit inside a formula: `9.81 m/s^2 * t`; it stands in square brackets there. The right spelling.
    BareUnit {
        /// The right spelling.
        right: String,
    },
    /// A function with the wrong number of arguments.
    Arguments {
        /// The function.
        function: &'static str,
        /// How many it takes.
        takes: &'static str,
        /// How many it was given.
        given: usize,
    },
    /// `intercept(y against x through 0)`: what is 0 by what was asked; from `through` to the `0`.
    InterceptOfOrigin,
    /// `sine(x)`: no function of the notation.
    UnknownFunction {
        /// The word.
        word: String,
        /// The function that was likely meant.
        nearest: Option<&'static str>,
    },
    /// `~{x "extension" [cm]}` where no table's heading cell holds it; the place reaches from the symbol
    /// over the unit.
    ColumnOutsideHeading,
    /// A clause that does not belong to this form of item.
    ClauseOutOfPlace {
        /// The clause's word.
        clause: String,
        /// Where it belongs.
        belongs: &'static str,
    },
    /// `relative` and `name` take no `in`.
    StyleTakesNoUnit,
    /// `5cm`: no blank between number and unit. Accepted; an advice.
    NoBlankBeforeUnit,
}

impl FaultKind {
    /// Can what was written mean only one thing, so that the item is read as if it stood there rightly?
    pub const fn is_plain(&self) -> bool {
        matches!(
            self,
            Self::NoBlankBeforeUnit
                | Self::DecimalComma { right: Some(_) }
                | Self::BlankProduct { .. }
                | Self::TwoSlashes { .. }
                | Self::UnitWriting { certain: true, .. }
                | Self::InchAsKeyword
                | Self::BracedSubscript { .. }
                | Self::SubscriptCharacter { .. }
        )
    }
}

/// Ways of writing a unit that are not those of units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum UnitWriting {
    /// `m s-1`, `m/s2`: a power without its `^`.
    NoCaret,
    /// `cm.`, `N.m`: a full stop behind a symbol, or for a product.
    FullStop,
    /// `k m`, `deg C`, `cubic cm`: one unit with a blank inside.
    Split,
    /// `m per s`.
    Per,
}
