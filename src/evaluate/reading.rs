//! Recorded numbers to a quantity: its unit, its value, its sources of uncertainty.

use std::borrow::Cow;
use std::sync::Arc;

use super::amount::{Magnitude, Scale, Size, converted, size};
use super::evaluator::{Evaluator, Shared};
use super::fault::FaultKind;
use super::instrument;
use super::meant;
use super::scatter::Scatter;
use super::sheet::{Claimed, Measure, Origin, Part, Parts, Record, Repeated, Source};
use crate::parse::ast::{Amount, AmountStep, Clause, Limit, Number, Reading, Total};
use crate::quantity::{Decimal, Exact, Kind, Kinds, Shape, Unit};
use crate::span::{Span, Spanned};

/// As many sources of one reading are made room for at once.
const MOST_RESERVED: usize = 16;

/// A reading as far as it could be worked out.
pub(super) struct Outcome {
    pub(super) unit: Arc<Unit>,
    pub(super) origin: Origin,
    pub(super) measure: Option<Measure>,
    pub(super) sources: Vec<Source>,
    pub(super) exact: bool,
}

/// Works a reading out.
pub(super) fn evaluate(reading: &Reading, item: usize, evaluator: &mut Evaluator<'_>) -> Outcome {
    let unit = match &reading.unit {
        Some(spelling) => evaluator.unit_at(spelling, item),
        None => Some(evaluator.one()),
    };
    let known = unit.is_some();
    let unit = unit.unwrap_or_else(|| evaluator.one());
    let recorded = Recorded {
        values: &reading.values,
        total: reading.total.as_deref(),
        clauses: &reading.clauses,
        span: span_of_list(reading),
        in_column: false,
    };
    let mut work = Work::new(recorded, item, unit, evaluator);
    work.leave_out();
    work.gather();
    work.scatter();
    let measure = known.then(|| work.measure()).flatten();
    work.outcome(measure)
}

/// What was recorded: of a reading, or of one row of a column.
#[derive(Clone, Copy)]
pub(super) struct Recorded<'w> {
    pub(super) values: &'w [Spanned<Number>],
    /// The uncertainty typed with the value.
    pub(super) total: Option<&'w Spanned<Total>>,
    pub(super) clauses: &'w [Spanned<Clause>],
    /// Where the values stand.
    pub(super) span: Span,
    /// Is it one row of a column, whose scatter the column knows?
    pub(super) in_column: bool,
}

/// What is stated of a row of a column. It holds for every row whose number ends at the same place.
pub(super) struct Stated {
    /// The sources, their amounts those of the row that they were worked out for.
    pub(super) sources: Vec<Source>,
    /// What the author says that these come to.
    pub(super) claimed: Option<Claimed>,
    bases: Vec<Basis>,
}

impl Stated {
    /// The amounts of the sources beside a value, in the column's unit.
    pub(super) fn amounts(&self, value: Magnitude) -> impl Iterator<Item = f64> {
        self.bases.iter().map(move |basis| basis.amount(value).float())
    }
}

/// What is stated of one row; its variables are the column's business.
pub(super) fn row(recorded: Recorded<'_>, item: usize, unit: &Arc<Unit>, evaluator: &mut Evaluator<'_>) -> Stated {
    let mut work = Work::new(recorded, item, Arc::clone(unit), evaluator);
    work.leave_out();
    work.gather();
    Stated { sources: work.sources, claimed: work.claimed, bases: work.bases }
}

/// A recorded value in SI; of a point, in kelvin.
pub(super) fn in_si(value: Magnitude, unit: &Unit) -> f64 {
    match value {
        Magnitude::Exact(exact) => unit.to_si(exact),
        Magnitude::About(float) => unit.to_si(Exact::ZERO) + float * unit.factor(),
    }
}

/// The reading under way.
struct Work<'w, 'e> {
    recorded: Recorded<'w>,
    item: usize,
    unit: Arc<Unit>,
    evaluator: &'w mut Evaluator<'e>,
    /// Of each value that is left out, why; empty where none is.
    left_out: Vec<Option<Arc<str>>>,
    /// The value, or the mean of those that count, in `unit`.
    value: Magnitude,
    sources: Vec<Source>,
    /// In a column: what the amount of each source follows from.
    bases: Vec<Basis>,
    claimed: Option<Claimed>,
    /// The display's step in `unit`, where a digital instrument was named.
    display: Option<Magnitude>,
    exact: bool,
    deviation: Option<f64>,
    /// The kinds that the author spoke to in clauses of their own.
    typed_kinds: Kinds,
    /// Did an instrument bring a source in?
    from_instruments: bool,
}

/// What is said of a source beside its size.
struct Said {
    kind: Kind,
    word: Option<Arc<str>>,
    written: Option<Arc<Amount>>,
    limit: Option<Limit>,
    reason: Option<Arc<str>>,
    instrument: Option<Arc<str>>,
    span: Span,
}

impl Said {
    fn shape(&self) -> Shape {
        self.limit.map_or_else(|| usual_shape(&self.kind), |limit| limit.shape)
    }
}

/// What the amount of a source follows from.
enum Basis {
    /// What was written.
    Size(Size),
    /// The value, which is a count: its square root.
    Root,
    /// The scatter, once all readings are there.
    Scatter,
}

impl Basis {
    /// The amount beside a value.
    fn amount(&self, value: Magnitude) -> Magnitude {
        match self {
            Self::Size(size) => size.beside(value).abs(),
            Self::Root => Magnitude::About(libm::sqrt(value.float().max(0.0))),
            Self::Scatter => Magnitude::ZERO,
        }
    }
}

impl<'w, 'e> Work<'w, 'e> {
    fn new(recorded: Recorded<'w>, item: usize, unit: Arc<Unit>, evaluator: &'w mut Evaluator<'e>) -> Self {
        Self {
            recorded,
            item,
            unit,
            evaluator,
            left_out: Vec::new(),
            value: Magnitude::ZERO,
            sources: Vec::new(),
            bases: Vec::new(),
            claimed: None,
            display: None,
            exact: false,
            deviation: None,
            typed_kinds: Kinds::default(),
            from_instruments: false,
        }
    }

    fn repeated(&self) -> bool {
        self.recorded.values.len() > 1
    }

    fn fault(&mut self, span: Span, kind: FaultKind) {
        self.evaluator.fault(self.item, span, kind);
    }

    /// Sets aside what a `without` names, and takes the mean of the rest.
    fn leave_out(&mut self) {
        for clause in self.recorded.clauses {
            let Clause::Without { value, reason } = &clause.value else { continue };
            let mut counted = self.recorded.values.iter().enumerate().filter(|&(place, _)| self.counts(place));
            match counted.find(|(_, number)| number.value.decimal == value.value.decimal) {
                Some((place, _)) if self.repeated() => {
                    self.left_out.resize(self.recorded.values.len(), None);
                    self.left_out[place] = Some(reason.as_ref().map(|r| Arc::clone(&r.value)).unwrap_or_default());
                }
                _ => self.fault(value.span, FaultKind::NothingLeftOut),
            }
        }
        self.value = self.mean();
    }

    fn counts(&self, place: usize) -> bool {
        self.left_out.get(place).is_none_or(Option::is_none)
    }

    /// The values that are not left out.
    fn counted(&self) -> impl Iterator<Item = Magnitude> {
        let kept = self.recorded.values.iter().enumerate().filter(|&(place, _)| self.counts(place));
        kept.map(|(_, number)| Magnitude::typed(number.value.decimal))
    }

    fn mean(&self) -> Magnitude {
        if let [only] = self.recorded.values {
            return Magnitude::typed(only.value.decimal);
        }
        let (sum, count) = self.counted().fold((Magnitude::ZERO, 0), |(sum, n), value| (sum.plus(value), n + 1));
        let one_over = Exact::ONE.over(Exact::whole(count)).unwrap_or(Exact::ZERO);
        sum.times(Magnitude::Exact(one_over))
    }

    /// All sources, in the order of the clauses; the estimate's own `±` first.
    fn gather(&mut self) {
        let recorded = self.recorded;
        // Most clauses are one source; nothing is left over in the thousands of readings of a long report.
        self.sources.reserve_exact((recorded.clauses.len() + usize::from(recorded.total.is_some())).min(MOST_RESERVED));
        if let Some(total) = recorded.total {
            self.total(&total.value, true, total.span);
        }
        for clause in recorded.clauses {
            match &clause.value {
                Clause::Source { .. } => self.typed(clause),
                Clause::Total(total) => self.total(total, false, clause.span),
                Clause::With(word) => self.with(word),
                Clause::Exact(_) => self.exact = true,
                Clause::Stated(_) | Clause::Without { .. } => {}
            }
        }
        self.settle_claim();
    }

    /// `± 0.15 cm`: the one source, unless there are others. Which it is comes out at the end.
    ///
    /// Within the estimate the unit may stand behind both numbers; a clause of its own names its unit.
    fn total(&mut self, total: &Total, within_estimate: bool, span: Span) {
        let Some(size) = self.size_at(&total.amount, within_estimate, None, span) else { return };
        let amount = self.questioned(&size, span);
        let typed = self.typed_place(total);
        self.claimed = Some(Claimed { typed, amount: amount.exact(), span, alone: true });
        let said = Said {
            kind: Kind::Plain,
            word: None,
            written: Some(Arc::clone(&total.amount)),
            limit: total.shape.as_ref().map(|limit| limit.value),
            reason: total.reason.as_ref().map(|reason| Arc::clone(&reason.value)),
            instrument: None,
            span,
        };
        self.push(said, amount, Basis::Size(size));
    }

    /// A typed total as a decimal in the unit of the value, its places as typed.
    fn typed_place(&mut self, total: &Total) -> Option<Decimal> {
        match &total.amount.steps[..] {
            [AmountStep::Number(number)] => Some(number.value.decimal),
            [AmountStep::Number(number), AmountStep::Unit(unit)] => {
                let unit = self.evaluator.unit(&unit.value).ok()?;
                Some(number.value.decimal.shifted(self.unit.power_of_ten_from(&unit)?))
            }
            _ => None,
        }
    }

    /// Beside other sources a `±` claims what they come to, and adds nothing.
    fn settle_claim(&mut self) {
        let others = self.sources.iter().any(|source| source.kind != Kind::Plain);
        if others && self.claimed.is_some() {
            self.retain(|source| source.kind != Kind::Plain);
        }
        if let Some(claimed) = &mut self.claimed {
            claimed.alone = !others;
        }
    }

    fn typed(&mut self, clause: &Spanned<Clause>) {
        let Clause::Source { kind: typed, amount, limit, reason } = &clause.value else { return };
        let Some((kind, word)) = self.evaluator.kind(typed, self.item) else { return };
        self.take_the_place(&kind);
        let said = Said {
            kind,
            word,
            written: amount.as_ref().map(|amount| Arc::clone(&amount.value)),
            limit: limit.as_ref().map(|limit| limit.value),
            reason: reason.as_ref().map(|reason| Arc::clone(&reason.value)),
            instrument: None,
            span: clause.span,
        };
        match (amount, &said.kind) {
            (Some(amount), _) => self.stated(said, &amount.value, None, None),
            (None, Kind::Repeat) if self.repeated() || self.recorded.in_column => {
                self.push(said, Magnitude::ZERO, Basis::Scatter);
            }
            (None, Kind::Counting) if !self.repeated() => {
                self.push(said, Basis::Root.amount(self.value), Basis::Root);
            }
            (None, Kind::Repeat) => {
                self.fault(typed.span, FaultKind::AmountWithoutSize { why: "one reading has no scatter" })
            }
            (None, Kind::Counting) => {
                self.fault(typed.span, FaultKind::AmountWithoutSize { why: "a list is no count" })
            }
            // The parser has asked for the amount.
            (None, _) => {}
        }
    }

    /// A typed clause takes the place of what instruments bring in of its kind, before it and after.
    fn take_the_place(&mut self, kind: &Kind) {
        if self.typed_kinds.insert(kind) && self.from_instruments {
            self.retain(|source| source.instrument.is_none() || source.kind != *kind);
        }
    }

    /// Keeps those sources, and of each what its amount follows from.
    fn retain(&mut self, keep: impl Fn(&Source) -> bool) {
        let mut sources = self.sources.iter();
        self.bases.retain(|_| sources.next().is_none_or(&keep));
        self.sources.retain(keep);
    }

    /// `with stopwatch`: what the data sheet says, unless the author says otherwise.
    fn with(&mut self, word: &Spanned<String>) {
        let sheet = match self.evaluator.instrument(&word.value) {
            Some(Ok(sheet)) => sheet,
            Some(Err(kind)) => return self.fault(word.span, kind),
            None => {
                let kind = self.evaluator.unknown_instrument(&word.value);
                return self.fault(word.span, kind);
            }
        };
        if let Some(display) = &sheet.display {
            self.display = self.size(display, false, None).ok().map(|size| size.absolute);
        }
        let range = self.range(&sheet);
        for (kind, amount) in &sheet.sources {
            let (kind, course_word) = self.evaluator.base_kind(kind);
            if self.typed_kinds.contains(&kind) {
                continue;
            }
            self.from_instruments = true;
            let shared = (sheet.systematic && kind == Kind::Instrument).then_some(word.value.as_str());
            let said = Said {
                kind,
                word: course_word,
                written: Some(Arc::clone(amount)),
                limit: None,
                reason: None,
                instrument: Some(Arc::clone(&sheet.name)),
                span: word.span,
            };
            self.stated(said, amount, range, shared);
        }
    }

    /// A source whose amount was written. `shared`: the instrument's word, where all its readings share the error.
    fn stated(&mut self, said: Said, amount: &Amount, range: Option<Magnitude>, shared: Option<&str>) {
        let Some(size) = self.size_at(amount, false, range, said.span) else { return };
        let amount = self.questioned(&size, said.span);
        let shape = said.shape();
        self.push(said, amount, Basis::Size(size));
        if let Some(instrument) = shared {
            let parts = self.share(instrument, &size, shape);
            if let Some(source) = self.sources.last_mut() {
                source.parts = parts;
            }
        }
    }

    /// An amount beside the value, without its sign. A share of zero is questioned, and an amount below zero.
    fn questioned(&mut self, size: &Size, span: Span) -> Magnitude {
        if !size.relative.is_zero() && self.value.is_zero() {
            self.fault(span, FaultKind::RelativeToZero);
        }
        let amount = size.beside(self.value);
        if amount.is_negative() {
            self.fault(span, FaultKind::NegativeAmount);
        }
        amount.abs()
    }

    /// The instrument's range, upper less lower end.
    fn range(&mut self, sheet: &instrument::Sheet) -> Option<Magnitude> {
        let (low, high) = sheet.range.as_ref()?;
        let [low, high] = [low, high].map(|end| self.size(end, true, None).map(|size| size.absolute).ok());
        Some(high?.plus(low?.times(Magnitude::Exact(Exact::whole(-1)))))
    }

    /// The size of an amount of the clause at `span`; what is wrong with it is a fault. Where a unit can mean only one
    /// that one counts all the same.
    fn size_at(&mut self, amount: &Amount, bare: bool, range: Option<Magnitude>, span: Span) -> Option<Size> {
        let mut amount = Cow::Borrowed(amount);
        for _ in 0..=meant::MOST {
            let kind = match self.size(&amount, bare, range) {
                Ok(size) => return Some(size),
                Err(kind) => kind,
            };
            let meant = match &kind {
                FaultKind::UnknownUnit(unknown) => meant::amount(&amount, unknown),
                _ => None,
            };
            self.fault(span, kind);
            amount = Cow::Owned(meant?);
        }
        None
    }

    fn size(&mut self, amount: &Amount, bare: bool, range: Option<Magnitude>) -> Result<Size, FaultKind> {
        let digit = Some(self.display.unwrap_or_else(|| self.digit()));
        let scale = Scale { unit: &self.unit, digit, range, bare };
        size(amount, &scale, &mut |spelling| self.evaluator.unit(spelling))
    }

    /// One unit of the last typed place, power of ten included; of a list, of its coarsest value.
    fn digit(&self) -> Magnitude {
        let places = self.recorded.values.iter().map(|number| number.value.decimal.last_place());
        Magnitude::Exact(Exact::new(1, 1, places.max().unwrap_or(0)))
    }

    fn push(&mut self, said: Said, amount: Magnitude, basis: Basis) {
        let (shape, dof) = (said.shape(), said.limit.and_then(|limit| limit.dof));
        let Said { kind, word, written, limit: _, reason, instrument, span } = said;
        let (exact, amount) = (amount.exact(), amount.float());
        let parts = Parts::None;
        self.sources.push(Source { kind, word, written, exact, amount, shape, dof, reason, instrument, span, parts });
        if self.recorded.in_column {
            self.bases.push(basis);
        }
    }

    /// The variables of an error that is the same in all readings of its instrument: its relative part is one,
    /// signed as the reading; its absolute part another.
    fn share(&mut self, instrument: &str, size: &Size, shape: Shape) -> Parts {
        let factor = self.unit.factor();
        let mut part = |which: Shared, amount: f64, si: f64| {
            let node = self.evaluator.shared(instrument, which, si, si * shape.standard());
            Part { node, amount, shared: true, relative: which == Shared::Relative }
        };
        let (share, absolute) = (size.relative.float().abs(), size.absolute.float().abs());
        let relative = (share != 0.0).then(|| part(Shared::Relative, share, share));
        let absolute = (absolute != 0.0).then(|| part(Shared::Absolute, absolute, absolute * factor));
        match (relative, absolute) {
            (Some(relative), Some(absolute)) => Parts::Two(Box::new([relative, absolute])),
            (one, other) => one.or(other).map_or(Parts::None, Parts::One),
        }
    }

    /// The scatter of a repeated reading, as the course takes it.
    fn scatter(&mut self) {
        if !self.repeated() || self.exact {
            return;
        }
        let values: Vec<f64> = self.counted().map(Magnitude::float).collect();
        let Some(scatter) = Scatter::of(&values) else { return };
        self.deviation = Some(scatter.deviation);
        let taken = scatter.taken(self.evaluator.course);
        if !self.sources.iter().any(|source| source.kind == Kind::Repeat) {
            let (kind, span) = (Kind::Repeat, self.recorded.span);
            let (word, written, limit, reason, instrument) = (None, None, None, None, None);
            self.push(Said { kind, word, written, limit, reason, instrument, span }, Magnitude::ZERO, Basis::Scatter);
        }
        let Some(source) = self.sources.iter_mut().find(|source| source.kind == Kind::Repeat) else { return };
        (source.exact, source.amount, source.shape, source.dof) =
            (None, taken, Shape::Normal, Some(scatter.count - 1.0));
    }

    /// Gives every source its variable, and the reading its place in the propagation.
    fn measure(&mut self) -> Option<Measure> {
        if self.counted().next().is_none() {
            self.fault(self.recorded.span, FaultKind::AllLeftOut);
            return None;
        }
        let factor = self.unit.factor();
        let value = in_si(self.value, &self.unit);
        if !value.is_finite() {
            let what = super::fault::Undefined::Overflow;
            self.fault(self.recorded.span, FaultKind::OutsideDomain { what, argument: value });
            return None;
        }
        let evaluator = &mut *self.evaluator;
        for source in self.sources.iter_mut().filter(|source| source.parts.is_empty() && source.amount != 0.0) {
            let (amount, si) = (source.amount, source.amount * factor);
            let standard = evaluator.standard(source.shape, source.dof);
            let node = evaluator.propagation.source(si, si * standard, source.dof.unwrap_or(f64::INFINITY));
            source.parts = Parts::One(Part { node, amount, shared: false, relative: false });
        }
        let counted = if self.exact { &[] } else { &self.sources[..] };
        let parts = counted.iter().flat_map(|source| source.parts.iter());
        // A share of 20 °C is one of 20 K, not of 293.15 K.
        let size = self.unit.above_zero(value);
        let node = evaluator.propagation.quantity(parts.map(|part| (part.node, part.sensitivity(size))));
        Some(Measure { value, uncertainty: 0.0, dimension: self.unit.dimension, point: self.unit.zero.is_some(), node })
    }

    fn outcome(self, measure: Option<Measure>) -> Outcome {
        let Self { recorded, unit, value, sources, claimed, display, exact, mut left_out, deviation, .. } = self;
        let origin = match recorded.values {
            [typed] => {
                let sum = sources.iter().try_fold(Exact::ZERO, |sum, source| sum.plus(source.exact?));
                let display = display.and_then(Magnitude::exact);
                Origin::Reading(Box::new(Record { value: *typed, sum, claimed, display }))
            }
            values => {
                left_out.resize(values.len(), None);
                let (values, mean) = (values.to_vec(), value.float());
                Origin::Repeated(Box::new(Repeated { values, left_out, mean, deviation, claimed }))
            }
        };
        Outcome { unit, origin, measure, sources, exact }
    }
}

/// Where no shape was given: limits that the eye, the definition or the maker sets are rectangular
/// (JCGM 100:2008, 4.3.7), the rest are standard uncertainties.
const fn usual_shape(kind: &Kind) -> Shape {
    match kind {
        Kind::Reading | Kind::Definition | Kind::Instrument => Shape::Rectangular,
        _ => Shape::Normal,
    }
}

/// Where the recorded values stand.
fn span_of_list(reading: &Reading) -> Span {
    match (reading.values.first(), reading.values.last()) {
        (Some(first), Some(last)) => first.span.to(last.span),
        _ => reading.head.symbol.span,
    }
}

/// An estimate's value and uncertainty in the unit `wanted`, for comparisons and stated figures.
pub(super) fn uncertainty_of(
    total: &Total,
    value: Decimal,
    unit: &Arc<Unit>,
    wanted: &Unit,
    evaluator: &mut Evaluator<'_>,
) -> Result<Magnitude, FaultKind> {
    let digit = Magnitude::Exact(Exact::new(1, 1, value.last_place()));
    let scale = Scale { unit, digit: Some(digit), range: None, bare: true };
    let own = size(&total.amount, &scale, &mut |spelling| evaluator.unit(spelling))?.beside(Magnitude::typed(value));
    converted(own.abs(), unit, wanted)
}
