//! What the rooms below know of the notation, lent to this one as functions.

use std::collections::BTreeMap;

use crate::quantity::unit::Spelling;
use crate::quantity::{Exact, Unit, Units};

/// What a course needs to know of the rooms below.
#[derive(Clone, Copy, Debug)]
pub struct Notation {
    /// The names of all rules.
    pub rules: fn() -> Vec<&'static str>,
    /// All words that are written into a report: their keys, and the texts with their `{parts}`.
    pub words: fn() -> Vec<(String, &'static str)>,
    /// An amount as `0.5 % + 2 digits`; `None` of what is none.
    pub amount: fn(&str) -> Option<Box<dyn Amount>>,
    /// The units in an estimate as `9.81 ± 0.02 m/s^2`; `None` of what is none.
    pub estimate: fn(&str) -> Option<Vec<Spelling>>,
    /// A correlation as `correlated a b 0.8 "same scale"`; `None` of what is none.
    pub correlation: fn(&str) -> Option<Correlation>,
    /// A unit as it is typed.
    pub unit: fn(&str) -> Option<Spelling>,
    /// Can a quantity have that symbol?
    pub symbol: fn(&str) -> bool,
    /// The built-in units and those of a course, as far as these can be worked out.
    pub units: fn(&BTreeMap<String, String>) -> Units,
}

/// An amount that has been read.
pub trait Amount {
    /// The units in it.
    fn units(&self) -> Vec<Spelling>;

    /// What it comes to in the first unit that it names.
    fn size(&self, units: &Units) -> Size;
}

/// Two readings that are tied, and how strongly.
#[derive(Clone, Debug, PartialEq)]
pub struct Correlation {
    /// Their symbols, each in its one spelling.
    pub symbols: [String; 2],
    /// The coefficient as typed, whatever its size.
    pub coefficient: f64,
}

/// A number and its unit.
pub type Size = Result<(Exact, Unit), Sizeless>;

/// Why an amount has no size of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sizeless {
    /// Its units measure different things.
    UnitsDiffer,
    /// A half sentence: it …
    Because(&'static str),
}
