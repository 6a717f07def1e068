//! Text of an item to what it says: nom over `&str`, one function a production of
//! `grammar/notation.ebnf`. Parsing never fails: it gives what could be read and the faults.

mod amount;
pub mod ast;
mod character;
mod clause;
mod correlation;
mod estimate;
mod fault;
mod formula;
mod item;
mod limit;
mod number;
mod recover;
mod token;
mod unit;

pub use fault::{Fault, FaultKind, UnitWriting};

use crate::locate::{End, Place, Setting};
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};
use recover::{MOST_FAULTS, Part};

/// As many clauses of one item are made room for at once: what is empty or broken needs none.
const MOST_RESERVED: usize = 16;

/// What could be read of one item.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parsed {
    /// The item, where its head could be read; clauses that could not are missing from it.
    pub item: Option<ast::Item>,
    /// What is wrong with its writing, in the order of the places.
    pub faults: Vec<Fault>,
    /// The symbol that the item defines, known even where the rest of its head is broken: uses of it
    /// are no fault of theirs.
    pub defines: Option<Spanned<ast::Symbol>>,
    /// The symbol that the item most likely sets out to define, where its head is broken right behind it, as in
    /// `~{m mass = 5.2 g}`.
    pub begins: Option<Spanned<ast::Symbol>>,
}

/// Reads one item. Linear in its length; places are those of the report's source.
pub fn parse(place: &Place<'_>) -> Parsed {
    let text = place.text.as_ref();
    let opened = text.strip_prefix("~{").unwrap_or(text);
    let closed = (place.end == End::Closed).then(|| opened.strip_suffix('}')).flatten();
    let start = place.span.start + (text.len() - opened.len());
    let inner = closed.unwrap_or(opened);
    if inner.chars().all(character::is_blank) {
        let faults = closed.map(|_| Fault { span: place.span, kind: FaultKind::Empty }).into_iter().collect();
        return Parsed { faults, ..Parsed::default() };
    }
    let reader = Reader { place, inner, start, closed: closed.is_some() };
    let mut parsed = reader.item();
    parsed.faults.sort_by_key(|fault| fault.span.start);
    parsed.faults.truncate(MOST_FAULTS);
    parsed
}

/// One item while its parts are read.
struct Reader<'p, 's> {
    place: &'p Place<'s>,
    /// The text between `~{` and `}`.
    inner: &'p str,
    /// Where that begins in the report.
    start: usize,
    closed: bool,
}

impl Reader<'_, '_> {
    fn item(&self) -> Parsed {
        let mut parsed = Parsed::default();
        let mut parts = recover::parts(self.inner);
        let head = parts.next().unwrap_or_default();
        self.head(head, &mut parsed);
        if self.is_last(head) {
            return parsed;
        }
        let form = item::form(parsed.item.as_ref(), token::skip(head.of(self.inner)));
        // There will be no more than there are semicolons, and a report holds thousands of such lists.
        if let Some(clauses) = parsed.item.as_mut().and_then(clauses) {
            let semicolons = memchr::memchr_iter(b';', &self.inner.as_bytes()[head.end..]).count();
            *clauses = Vec::with_capacity(semicolons.min(MOST_RESERVED));
        }
        for span in parts {
            self.clause(span, form, &mut parsed);
        }
        parsed
    }

    fn head(&self, span: Span, parsed: &mut Parsed) {
        let (part, text) = self.trimmed(span);
        let in_heading = matches!(self.place.setting, Setting::HeadingCell { .. });
        let has_clauses = self.inner[span.end..].contains(|c: char| c != ';' && !character::is_blank(c));
        let mut context = item::Context { in_heading, has_clauses, ..item::Context::default() };
        let out = item::head(&part, &mut context, text);
        let (item, faults) = part.finish(out);
        parsed.item = item;
        parsed.defines = context.defines;
        parsed.begins = context.begins;
        self.keep(faults, self.is_last(span), parsed);
    }

    fn clause(&self, span: Span, form: clause::Form, parsed: &mut Parsed) {
        let last = self.is_last(span);
        let (part, text) = self.trimmed(span);
        if text.is_empty() {
            let semicolon = self.start + span.start;
            let span = Span::new(semicolon.saturating_sub(1), semicolon);
            return self.keep(vec![Fault { span, kind: FaultKind::Empty }], last, parsed);
        }
        if form == clause::Form::Graph {
            let out = clause::graph_option(&part, text);
            let (option, faults) = part.finish(out);
            if let (Some(option), Some(ast::Item::Graph(graph))) = (option, &mut parsed.item) {
                graph.options.push(option);
            }
            return self.keep(faults, last, parsed);
        }
        let out = clause::clause(&part, form, text);
        let (clause, faults) = part.finish(out);
        if let (Some(clause), Some(clauses)) = (clause, parsed.item.as_mut().and_then(clauses)) {
            clauses.push(clause);
        }
        self.keep(faults, last, parsed);
    }

    /// Is it the last part? Behind every other one stands its `;`.
    fn is_last(&self, span: Span) -> bool {
        span.end == self.inner.len()
    }

    /// A part without the blanks about it, and its place.
    fn trimmed(&self, span: Span) -> (Part, &str) {
        let text = token::skip_end(span.of(self.inner));
        let closer = self.closed.then_some(self.place.span.end);
        let in_table = matches!(self.place.setting, Setting::HeadingCell { .. } | Setting::Cell);
        (Part::new(self.start + span.start + text.len(), in_table, closer), token::skip(text))
    }

    /// Keeps a part's faults. Where an item has no end, its last part runs into the report's text: what
    /// is wrong there follows from that, but for what no text can be.
    fn keep(&self, mut faults: Vec<Fault>, last: bool, parsed: &mut Parsed) {
        if last && !self.closed {
            faults.retain(|fault| matches!(fault.kind, FaultKind::TooDeep { .. } | FaultKind::NumberTooLong));
        }
        if parsed.faults.len() < MOST_FAULTS {
            parsed.faults.extend(faults);
        }
    }
}

fn clauses(item: &mut ast::Item) -> Option<&mut Vec<Spanned<ast::Clause>>> {
    match item {
        ast::Item::Reading(reading) => Some(&mut reading.clauses),
        ast::Item::Result(derived) => Some(&mut derived.clauses),
        ast::Item::Column(column) => Some(&mut column.clauses),
        _ => None,
    }
}

/// Reads an amount that stands alone, as in an instrument's data sheet: `0.5 % + 2 digits`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn amount(text: &str) -> Result<ast::Amount, Fault> {
    alone(text, amount::amount).map(|amount| amount.value)
}

/// Reads a unit that stands alone: `kg*m/s^2`; `1` is that of pure numbers.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn unit(text: &str) -> Result<Spelling, Fault> {
    alone(text, unit::unit_or_one).map(|unit| unit.value)
}

/// Reads an estimate that stands alone, as in a table's cell or a course's expected values:
/// `9.81 ± 0.02 m/s^2`. Places in it are counted from the start of `text`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn estimate(text: &str) -> Result<ast::Estimate, Fault> {
    alone(text, estimate::estimate).map(|estimate| estimate.value)
}

/// Reads a correlation, as a course lists them: `correlated a b 0.8 "same scale"`. Places in it are counted from the
/// start of `text`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn correlation(text: &str) -> Result<ast::Correlation, Fault> {
    alone(text, correlation::correlation)
}

/// Reads a symbol that stands alone, as a key of a course: `rho` is `ρ`.
///
/// # Errors
/// The first fault, its place counted from the start of `text`.
pub fn symbol(text: &str) -> Result<ast::Symbol, Fault> {
    alone(text, token::symbol).map(|symbol| symbol.value)
}

/// Reads the whole of a text with one parser.
fn alone<T>(text: &str, parser: impl for<'s> FnOnce(&Part, &'s str) -> recover::Out<'s, T>) -> Result<T, Fault> {
    let text = text.trim_end_matches(character::is_blank);
    let part = Part::new(text.len(), false, None);
    let out = parser(&part, token::skip(text)).map(|(rest, value)| (token::skip(rest), value));
    let (value, faults) = part.finish(out);
    let first = faults.into_iter().find(|fault| fault.kind != FaultKind::NoBlankBeforeUnit);
    match (value, first) {
        (Some(value), None) => Ok(value),
        (_, Some(fault)) => Err(fault),
        (None, None) => Err(Fault { span: Span::at(text.len()), kind: FaultKind::Empty }),
    }
}
