//! What all parts of the evaluation share: the course, the units and instruments found so far, the
//! propagation, the faults.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use super::coverage;
use super::factors::Factors;
use super::fault::{Fault, FaultKind};
use super::formula::Value;
use super::instrument::{self, Instruments};
use super::meant;
use super::propagate::{Node, Propagation};
use super::sheet::{Asked, Causes, Lines, QuantityId, Row, Weighteds};
use super::units;
use crate::course::Course;
use crate::parse::ast::{Function, Limit};
use crate::quantity::unit::Spelling;
use crate::quantity::{Kind, Shape, Unit, Units, UnknownUnit};
use crate::span::{Span, Spanned};

/// How many steps the search for what rows share may take, all lines of a report together. A line takes a few for
/// each quantity that its rows rest on; only thousands of lines through rows that each rest on thousands of results
/// come to more.
const LINE_STEPS: usize = 50_000_000;

/// How many steps the search for the uncertainties of results may take, all weighted means of a report together.
const WEIGHING_STEPS: usize = 20_000_000;

/// Which of the two errors that all readings of one instrument share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Shared {
    /// A share of the value.
    Relative,
    /// The same amount whatever the value.
    Absolute,
}

/// Of each column the lines that take it to be wrong.
type Takers = BTreeMap<QuantityId, Vec<Asked>>;

/// The means of one table, each with how far the rows of its column lie from it, as parts of the length of all of them
/// together.
type Means = Vec<(Node, Vec<f64>)>;

/// A function over columns, which columns, and of `row` which row, bit for bit.
type Question = (Function, Vec<QuantityId>, Option<u64>);

pub(super) struct Evaluator<'c> {
    pub(super) course: &'c Course,
    pub(super) propagation: Propagation,
    pub(super) faults: Vec<Fault>,
    /// What the variables that no reading brought in stand for.
    pub(super) causes: Causes,
    /// The lines fitted so far.
    pub(super) lines: Lines,
    /// The lines that know of errors in a column.
    pub(super) takers: Takers,
    /// How many steps the search for what their rows share may still take.
    pub(super) line_steps: usize,
    /// The weighted means worked out so far.
    pub(super) weighing: Weighing,
    /// Coverage factors found so far.
    pub(super) factors: Factors,
    pub(super) units: Units,
    found: Found,
    one: Arc<Unit>,
    instruments: Instruments,
    /// What functions over columns came to: one and the same wherever a formula asks again.
    pub(super) over_columns: HashMap<Question, Result<Value, FaultKind>>,
    /// Of the rows of repeated readings, and of what is worked out of them: the same without the scatter.
    steady: BTreeMap<Node, Node>,
    /// The means of columns whose scatter is tied to that of other columns, by their tables.
    pub(super) tables: BTreeMap<usize, Means>,
    /// The standard uncertainty per unit of amount of a level with degrees of freedom, both bit for bit.
    levels: BTreeMap<[u64; 2], f64>,
    /// By instrument, then which error, and its amount: a data sheet may give two ranges' worth of digits.
    shared: BTreeMap<String, BTreeMap<(Shared, u64), Node>>,
}

impl<'c> Evaluator<'c> {
    pub(super) fn new(course: &'c Course) -> Self {
        Self {
            course,
            propagation: Propagation::new(course.combine),
            faults: Vec::new(),
            causes: Causes::default(),
            lines: Lines::new(),
            takers: Takers::new(),
            line_steps: LINE_STEPS,
            weighing: Weighing::default(),
            factors: Factors::new(course),
            units: units::of_course(&course.units),
            found: Found::default(),
            one: Arc::new(Unit::ONE),
            instruments: Instruments::default(),
            over_columns: HashMap::new(),
            steady: BTreeMap::new(),
            tables: BTreeMap::new(),
            levels: BTreeMap::new(),
            shared: BTreeMap::new(),
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
        self.found.insert(spelling, unit.clone());
        unit
    }

    /// The unit of pure numbers.
    pub(super) fn one(&self) -> Arc<Unit> {
        Arc::clone(&self.one)
    }

    /// The unit that stands at a place; one that is not known is a fault, and where it can mean only one that one
    /// all the same.
    pub(super) fn unit_at(&mut self, spelling: &Spanned<Spelling>, item: usize) -> Option<Arc<Unit>> {
        let mut unknown = match self.unit(&spelling.value) {
            Ok(unit) => return Some(unit),
            Err(unknown) => unknown,
        };
        let mut tried = spelling.value.clone();
        for _ in 0..meant::MOST {
            let meant = meant::unit(&tried, &unknown);
            self.fault(item, spelling.span, FaultKind::UnknownUnit(unknown));
            tried = meant?;
            unknown = match self.unit(&tried) {
                Ok(unit) => return Some(unit),
                Err(next) => next,
            };
        }
        None
    }

    /// The kind of that word, and the word itself where it is one of the course. A kind that nobody knows is
    /// a fault, and a kind of its own all the same: its amount counts. But what only says of which kind a limit is
    /// (`dof 9`) is no source.
    pub(super) fn kind(&mut self, word: &Spanned<Cow<'static, str>>, item: usize) -> Option<(Kind, Option<Arc<str>>)> {
        if let Some(known) = Kind::known(&word.value) {
            return Some((known, None));
        }
        if !self.course.kinds.contains_key(word.value.as_ref()) {
            let words = Kind::KNOWN.iter().map(Kind::word).chain(self.course.kinds.keys().map(String::as_str));
            let nearest = crate::quantity::nearest(&word.value, words).map(str::to_owned);
            self.fault(item, word.span, FaultKind::UnknownKind { word: word.value.to_string(), nearest });
            if Limit::WORDS.contains(&word.value.as_ref()) {
                return None;
            }
        }
        Some(self.base_kind(&Kind::Named(word.value.as_ref().into())))
    }

    /// What a word of the course is another word for, at the end of its chain of `like`; with the word.
    pub(super) fn base_kind(&self, kind: &Kind) -> (Kind, Option<Arc<str>>) {
        let Kind::Named(word) = kind else { return (kind.clone(), None) };
        let mut base = word.as_ref();
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

    /// Keeps, of all rows that hold a value, what they are without their scatter.
    pub(super) fn know_steady(&mut self, rows: &[Row], steady: &[Node]) {
        let nodes = rows.iter().filter_map(|row| row.measure).map(|measure| measure.node);
        self.steady.extend(nodes.zip(steady.iter().copied()));
    }

    /// A quantity of one row, less what it owes to the scatter of the rows.
    pub(super) fn without_scatter(&mut self, operands: &[(Node, f64)]) -> Node {
        let steady = |node: &Node| self.steady.get(node).copied().unwrap_or(*node);
        self.propagation.quantity(operands.iter().map(|(node, p)| (steady(node), *p)))
    }

    /// The variable of an error that all readings of an instrument share.
    pub(super) fn shared(&mut self, instrument: &str, which: Shared, amount: f64, standard: f64) -> Node {
        let key = (which, amount.to_bits());
        if let Some(&node) = self.shared.get(instrument).and_then(|errors| errors.get(&key)) {
            return node;
        }
        let node = self.propagation.source(amount, standard, f64::INFINITY);
        self.shared.entry(instrument.to_owned()).or_default().insert(key, node);
        node
    }
}

/// What the evaluation remembers of weighted means.
pub(super) struct Weighing {
    pub(super) means: Weighteds,
    /// Uncertainties found so far: a result that every row of a table is held against is looked at once.
    found: HashMap<Node, f64>,
    left: usize,
}

impl Default for Weighing {
    fn default() -> Self {
        Self { means: Weighteds::new(), found: HashMap::new(), left: WEIGHING_STEPS }
    }
}

impl Weighing {
    /// The uncertainty of a node as the report shows it; `None` where too much of the report stands behind it.
    pub(super) fn uncertainty(&mut self, node: Node, propagation: &Propagation) -> Option<f64> {
        if let Some(&known) = self.found.get(&node) {
            return Some(known);
        }
        let uncertainty = propagation.combined_within(node, &mut self.left)?;
        self.found.insert(node, uncertainty);
        Some(uncertainty)
    }
}

/// The spellings that were looked for, with what was found. Nearly all are one symbol, for which a comparison of texts
/// does.
#[derive(Debug, Default)]
struct Found {
    alone: BTreeMap<String, Result<Arc<Unit>, UnknownUnit>>,
    compound: BTreeMap<Spelling, Result<Arc<Unit>, UnknownUnit>>,
}

impl Found {
    fn get(&self, spelling: &Spelling) -> Option<&Result<Arc<Unit>, UnknownUnit>> {
        match spelling.alone() {
            Some(symbol) => self.alone.get(symbol),
            None => self.compound.get(spelling),
        }
    }

    fn insert(&mut self, spelling: &Spelling, unit: Result<Arc<Unit>, UnknownUnit>) {
        match spelling.alone() {
            Some(symbol) => self.alone.insert(symbol.to_owned(), unit),
            None => self.compound.insert(spelling.clone(), unit),
        };
    }
}
