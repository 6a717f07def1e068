//! What a course decides: the keys of `meniscus.yaml` and of a report's front matter, with their
//! defaults, merged upwards. The room takes text; the face finds and reads the files.

mod amounts;
mod broken;
mod correlations;
mod fault;
mod front;
mod instrument;
mod judge;
mod layer;
mod merge;
mod notation;
mod own_units;
mod place;
mod reader;
mod said;
mod tree;
mod words;

use std::collections::{BTreeMap, BTreeSet};

pub use fault::CourseFault;
pub use front::texts;
pub use layer::{KEYS, LARGEST, Layer, MAPS, of_file, of_front_matter};
pub use merge::{Author, merge};
pub use notation::{Amount, Correlation, Notation, Size, Sizeless};
pub use place::{Side, Step, place};
pub use said::Said;
pub use words::Word;

use crate::quantity::{Figures, Kind, Rounding};

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
    /// How a straight line is laid through points.
    pub fit: Fit,
    /// When two values agree.
    pub agree: Agree,
    /// How wide the interval is that results show, under `standard` alone.
    pub coverage: Option<Coverage>,
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
    /// Constants of nature to be known by these symbols.
    pub constants: Vec<String>,
    /// Pairs of readings tied together, each as typed: `correlated a b 0.8 "same scale"`.
    pub correlations: Vec<String>,
    /// Instruments by the word that `with` uses.
    pub instruments: BTreeMap<String, Instrument>,
    /// Quantities that a report of the course ought to have, by the symbol as typed.
    pub expected: BTreeMap<String, Expected>,
    /// Severities by rule.
    pub rules: BTreeMap<String, Level>,
    /// Words that the tool writes into a report, by key.
    pub words: BTreeMap<String, String>,
    /// What a report cannot change: a key, or one entry of a map as `rules.no-reason`.
    pub fixed: BTreeSet<String>,
    /// What is wrong with the report's own front matter, at places of the report. A course file with
    /// faults makes no course.
    pub faults: Vec<CourseFault>,
}

impl Course {
    /// The kind that a word names: a known one, also by a word of the course for it, or one of the course's own.
    /// `None` of a word that names none.
    pub fn kind(&self, word: &str) -> Option<Kind> {
        let mut word = word;
        // No chain is longer than the kinds are many: `merge` lets no circle through.
        for _ in 0..=self.kinds.len() {
            if let Some(known) = Kind::known(word) {
                return Some(known);
            }
            match &self.kinds.get(word)?.like {
                Some(like) => word = like,
                None => return Some(Kind::Named(word.into())),
            }
        }
        None
    }
}

/// The course with what a report's front matter says laid over it. `at` is the front matter's first
/// byte in the report; what is wrong with it is in [`Course::faults`], at places of the report.
pub fn of_report(course: &Course, front_matter: &str, at: usize, notation: Notation) -> Course {
    let mut own = course.clone();
    let Some((layer, mut faults)) = of_front_matter(front_matter, notation) else { return own };
    faults.extend(merge(&mut own, layer, Author::Report, notation));
    faults.sort_by_key(|fault| fault.span);
    own.faults = faults.into_iter().map(|fault| fault.shifted(at)).collect();
    own
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

/// How a straight line is laid through points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fit {
    /// Least squares, the scatter of the points about the line its uncertainty.
    #[default]
    Scatter,
    /// Weighted by the uncertainties of y.
    Weighted,
    /// Weighted by those of x and y.
    BothErrors,
    /// Between the steepest and the flattest line that the uncertainties allow.
    ExtremeLines,
}

/// When two values agree.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Agree {
    /// Their intervals overlap.
    #[default]
    Overlap,
    /// They differ by at most two standard uncertainties of the difference.
    TwoSigma,
    /// Their difference is at most its expanded uncertainty.
    NormalizedError,
}

/// How wide an expanded uncertainty is (JCGM 100:2008, 6.2).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Coverage {
    /// A level of confidence, between 0 and 1.
    Level(f64),
    /// A coverage factor.
    Factor(f64),
}

/// A quantity that a report of the course ought to have.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Expected {
    /// What it should come to, as typed: `9.81 ± 0.02 m/s^2`.
    pub value: Option<String>,
    /// Must every report have it?
    pub required: bool,
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
