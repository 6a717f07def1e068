//! What all parts of the evaluation share: the course, the units and instruments found so far, the
//! propagation, the faults.

use std::collections::HashMap;
use std::sync::Arc;

use super::cause::Key;
use super::coverage;
use super::expanded::Factors;
use super::fault::{Fault, FaultKind};
use super::formula::Value;
use super::instrument::{self, Instruments};
use super::line::Lines;
use super::means::Means;
use super::propagate::{Node, Propagation};
use super::sheet::QuantityId;
use super::units;
use super::weighted::Weighing;
use crate::course::Course;
use crate::parse::ast::Function;
use crate::quantity::unit::Spelling;
use crate::quantity::{Kind, Shape, Unit, Units, UnknownUnit};
use crate::span::{Span, Spanned};

/// Which of the two errors that all readings of one instrument share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Shared {
    /// A share of the value.
    Relative,
    /// The same amount whatever the value.
    Absolute,
}

/// A function over columns, which columns, and of `row` which row, bit for bit.
type Question = (Function, Vec<QuantityId>, Option<u64>);

pub(super) struct Evaluator<'c> {
    pub(super) course: &'c Course,
    pub(super) propagation: Propagation,
    pub(super) faults: Vec<Fault>,
    /// What the variables that no reading brought in stand for.
    pub(super) causes: HashMap<Node, Key>,
    /// The lines fitted so far.
    pub(super) lines: Lines,
    /// The weighted means worked out so far.
    pub(super) weighing: Weighing,
    /// Coverage factors found so far.
    pub(super) factors: Factors,
    pub(super) units: Units,
    found: HashMap<Spelling, Result<Arc<Unit>, UnknownUnit>>,
    instruments: Instruments,
    /// What functions over columns came to: one and the same wherever a formula asks again.
    pub(super) over_columns: HashMap<Question, Result<Value, FaultKind>>,
    /// The means of columns whose scatter is tied to that of other columns, by their tables.
    pub(super) tables: HashMap<usize, Means>,
    /// The standard uncertainty per unit of amount of a level with degrees of freedom, both bit for bit.
    levels: HashMap<[u64; 2], f64>,
    /// By instrument, which error, and its amount: a data sheet may give two ranges' worth of digits.
    shared: HashMap<(String, Shared, u64), Node>,
}

impl<'c> Evaluator<'c> {
    pub(super) fn new(course: &'c Course) -> Self {
        Self {
            course,
            propagation: Propagation::new(course.combine),
            faults: Vec::new(),
            causes: HashMap::new(),
            lines: Lines::new(),
            weighing: Weighing::default(),
            factors: Factors::new(course),
            units: units::of_course(&course.units),
            found: HashMap::new(),
            instruments: Instruments::default(),
            over_columns: HashMap::new(),
            tables: HashMap::new(),
            levels: HashMap::new(),
            shared: HashMap::new(),
        }
    }

    pub(super) fn fault(&mut self, item: usize, span: Span, kind: FaultKind) {
        self.faults.push(Fault { item, span, kind });
    }

    /// The unit of that spelling. Most reports use a dozen units thousands of times.
    pub(super) fn unit(&mut self, spelling: &Spelling) -> Result<Arc<Unit>, UnknownUnit> {
        if let Some(found) = self.found.get(spelling) {
            return found.clone();
        }
        let unit = self.units.find(spelling).map(Arc::new);
        self.found.insert(spelling.clone(), unit.clone());
        unit
    }

    /// The unit that stands at a place; one that is not known is a fault.
    pub(super) fn unit_at(&mut self, spelling: &Spanned<Spelling>, item: usize) -> Option<Arc<Unit>> {
        match self.unit(&spelling.value) {
            Ok(unit) => Some(unit),
            Err(unknown) => {
                self.fault(item, spelling.span, FaultKind::UnknownUnit(unknown));
                None
            }
        }
    }

    /// The kind of that word, and the word itself where it is one of the course. A kind that nobody knows is
    /// a fault, and a kind of its own all the same: its amount counts.
    pub(super) fn kind(&mut self, word: &Spanned<String>, item: usize) -> (Kind, Option<String>) {
        let known = Kind::known(&word.value).is_some() || self.course.kinds.contains_key(&word.value);
        if !known {
            let words = Kind::KNOWN.iter().map(Kind::word).chain(self.course.kinds.keys().map(String::as_str));
            let nearest = crate::quantity::nearest(&word.value, words).map(str::to_owned);
            self.fault(item, word.span, FaultKind::UnknownKind { word: word.value.clone(), nearest });
        }
        self.base_kind(&Kind::known(&word.value).unwrap_or_else(|| Kind::Named(word.value.clone())))
    }

    /// What a word of the course is another word for, at the end of its chain of `like`; with the word.
    pub(super) fn base_kind(&self, kind: &Kind) -> (Kind, Option<String>) {
        let Kind::Named(word) = kind else { return (kind.clone(), None) };
        let mut base = word.as_str();
        // A chain of `like` has no more links than the course has kinds; a circle of them is a fault of
        // the course and ends here.
        for _ in 0..=self.course.kinds.len() {
            let Some(like) = self.course.kinds.get(base).and_then(|kind| kind.like.as_deref()) else { break };
            if let Some(known) = Kind::known(like) {
                return (known, Some(word.clone()));
            }
            base = like;
        }
        (kind.clone(), Some(word.clone()))
    }

    /// The instrument of that word; `None` where there is none.
    pub(super) fn instrument(&mut self, word: &str) -> Option<Result<Arc<instrument::Sheet>, FaultKind>> {
        self.instruments.find(word, self.course)
    }

    pub(super) fn unknown_instrument(&self, word: &str) -> FaultKind {
        let words = self.course.instruments.keys().map(String::as_str);
        let nearest = crate::quantity::nearest(word, words).map(str::to_owned);
        FaultKind::UnknownInstrument { word: word.to_owned(), nearest }
    }

    /// The standard uncertainty per unit of amount. A level with degrees of freedom is one of Student's t, which takes
    /// long to find: each is found once.
    pub(super) fn standard(&mut self, shape: Shape, dof: Option<f64>) -> f64 {
        match (shape, dof) {
            (Shape::Level(level), Some(dof)) => {
                let key = [level.to_bits(), dof.to_bits()];
                *self.levels.entry(key).or_insert_with(|| coverage::standard(shape, Some(dof)))
            }
            _ => shape.standard(),
        }
    }

    /// The variable of an error that all readings of an instrument share.
    pub(super) fn shared(&mut self, instrument: &str, which: Shared, amount: f64, standard: f64) -> Node {
        let key = (instrument.to_owned(), which, amount.to_bits());
        let propagation = &mut self.propagation;
        *self.shared.entry(key).or_insert_with(|| propagation.source(amount, standard, f64::INFINITY))
    }
}
