//! What a course decides: the keys of `meniscus.yaml` and of a report's front matter, with their
//! defaults, merged upwards.

use std::collections::BTreeMap;

use crate::quantity::{Figures, Rounding};

/// The rules in force for one report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// How uncertainties are combined.
    pub combine: Combine,
    /// Figures of a reported uncertainty.
    pub digits: Figures,
    /// How reported numbers are rounded.
    pub round: Rounding,
    /// What the scatter of repeated readings is taken to be.
    pub repeat: Repeat,
    /// Where rationale goes.
    pub rationale: RationalePlace,
    /// Kinds that every reading must speak to (and `name`).
    pub require: Vec<String>,
    /// Kinds of the course, by their word.
    pub kinds: BTreeMap<String, CourseKind>,
    /// Units of the course, each as an amount of known ones: `0.2286 m`.
    pub units: BTreeMap<String, String>,
    /// The decimal sign in what is written.
    pub decimal: DecimalSign,
    /// Instruments by the word that `with` uses.
    pub instruments: BTreeMap<String, Instrument>,
    /// Severities by rule.
    pub rules: BTreeMap<String, Level>,
    /// Words that the tool writes into a report, by key.
    pub words: BTreeMap<String, String>,
}

/// How uncertainties are combined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Combine {
    /// Σ |c·a|: limits that add.
    #[default]
    Sum,
    /// √Σ (c·a)².
    Quadrature,
    /// √Σ (c·s)², the combined standard uncertainty of JCGM 100:2008.
    Standard,
}

/// What the scatter of repeated readings is taken to be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Repeat {
    /// Of the mean: s/√n.
    #[default]
    StandardError,
    /// Of one reading: s.
    StandardDeviation,
    /// Half the largest less half the smallest.
    HalfRange,
}

/// Where rationale goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RationalePlace {
    /// Beneath the block that holds the item.
    #[default]
    Beneath,
    /// Nowhere.
    None,
}

/// The decimal sign in what is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum DecimalSign {
    /// `9.7`
    #[default]
    Point,
    /// `9,7`
    Comma,
}

/// How loudly a rule speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Not at all.
    Off,
    /// Worth a look.
    Advice,
    /// A marker would deduct.
    Warning,
    /// It cannot be computed, or contradicts itself.
    Error,
}

/// A kind of the course.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CourseKind {
    /// The known kind that it is another word for.
    pub like: Option<String>,
    /// What it is, in a sentence.
    pub says: Option<String>,
}

/// An instrument: an analogue scale or a digital display, as its data sheet describes it. Amounts
/// and units are in the notation's own spelling.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Instrument {
    /// What it is called in a report.
    pub name: Option<String>,
    /// One division of an analogue scale: `1 mm`.
    pub division: Option<String>,
    /// The share of a division that the eye can settle: `1/4`.
    pub read_to: Option<String>,
    /// How many ends of a length are read, 1 or 2.
    pub ends: Option<u32>,
    /// One step of a digital display: `0.01 s`.
    pub display: Option<String>,
    /// From where to where it reads: `0 V to 20 V`.
    pub range: Option<String>,
    /// The amount of each kind that the data sheet gives: `instrument` → `0.5 % + 2 digits`.
    pub kinds: BTreeMap<String, String>,
    /// Are its instrument errors the same in all readings taken with it?
    pub systematic: bool,
}
