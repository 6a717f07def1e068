//! Recorded numbers to a quantity: its unit, its value, its sources of uncertainty.

use std::collections::HashSet;
use std::sync::Arc;

use super::amount::{Magnitude, Scale, Size, converted, size};
use super::evaluator::{Evaluator, Shared};
use super::fault::FaultKind;
use super::instrument;
use super::propagate::Node;
use super::scatter::Scatter;
use super::sheet::{Claimed, Measure, Origin, Part, Record, Repeated, Source};
use crate::parse::ast::{Amount, AmountStep, Clause, Limit, Number, Reading, Total};
use crate::quantity::{Decimal, Exact, Kind, Shape, Unit};
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
        None => Some(Arc::new(Unit::one())),
    };
    let known = unit.is_some();
    let unit = unit.unwrap_or_else(|| Arc::new(Unit::one()));
    let recorded = Recorded {
        values: &reading.values,
        total: reading.total.as_ref(),
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

/// One row of a column: its value in SI, its sources.
pub(super) struct RowOutcome {
    pub(super) value: f64,
    pub(super) sources: Vec<Source>,
}

/// Works the sources of one row out; their variables are the column's business.
pub(super) fn row(recorded: Recorded<'_>, item: usize, unit: &Arc<Unit>, evaluator: &mut Evaluator<'_>) -> RowOutcome {
    let mut work = Work::new(recorded, item, Arc::clone(unit), evaluator);
    work.leave_out();
    work.gather();
    RowOutcome { value: work.in_si(), sources: work.sources }
}

/// The reading under way.
struct Work<'w, 'e> {
    recorded: Recorded<'w>,
    item: usize,
    unit: Arc<Unit>,
    evaluator: &'w mut Evaluator<'e>,
    left_out: Vec<Option<String>>,
    /// The value, or the mean of those that count, in `unit`.
    value: Magnitude,
    sources: Vec<Source>,
    claimed: Option<Claimed>,
    /// The display's step in `unit`, where a digital instrument was named.
    display: Option<Magnitude>,
    exact: bool,
    deviation: Option<f64>,
    /// The kinds that the author spoke to in clauses of their own.
    typed_kinds: HashSet<Kind>,
    /// Did an instrument bring a source in?
    from_instruments: bool,
}

/// A source before it has an amount.
struct Stated<'s> {
    kind: Kind,
    word: Option<String>,
    amount: &'s Amount,
    limit: Option<Limit>,
    reason: Option<String>,
    instrument: Option<String>,
    /// The instrument's word, where all its readings share the error.
    shared: Option<String>,
    span: Span,
}

impl<'w, 'e> Work<'w, 'e> {
    fn new(recorded: Recorded<'w>, item: usize, unit: Arc<Unit>, evaluator: &'w mut Evaluator<'e>) -> Self {
        let left_out = vec![None; recorded.values.len()];
        let (value, sources) = (Magnitude::ZERO, Vec::new());
        Self {
            recorded,
            item,
            unit,
            evaluator,
            left_out,
            value,
            sources,
            claimed: None,
            display: None,
            exact: false,
            deviation: None,
            typed_kinds: HashSet::new(),
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
            let typed = |number: &Spanned<Number>| number.value.decimal;
            let mut places = self.recorded.values.iter().zip(&self.left_out);
            match places.position(|(number, out)| out.is_none() && typed(number) == typed(value)) {
                Some(place) if self.repeated() => {
                    self.left_out[place] = Some(reason.as_ref().map(|r| r.value.clone()).unwrap_or_default());
                }
                _ => self.fault(value.span, FaultKind::NothingLeftOut),
            }
        }
        let counted = self.counted();
        let sum = counted.iter().fold(Magnitude::ZERO, |sum, &value| sum.plus(value));
        let count = i128::try_from(counted.len()).unwrap_or(i128::MAX);
        let one_over = Exact::ONE.over(Exact::whole(count)).unwrap_or(Exact::ZERO);
        self.value = sum.times(Magnitude::exactly(one_over));
    }

    fn counted(&self) -> Vec<Magnitude> {
        let kept = self.recorded.values.iter().zip(&self.left_out).filter(|(_, out)| out.is_none());
        kept.map(|(number, _)| magnitude(number.value.decimal)).collect()
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
                Clause::Source { kind, amount, limit, reason } => {
                    self.typed(kind, amount.as_ref(), limit.as_ref(), reason.as_ref(), clause.span);
                }
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
        let size = match self.size(&total.amount, within_estimate, None) {
            Ok(size) => size,
            Err(kind) => return self.fault(span, kind),
        };
        self.question(size, span);
        let amount = size.beside(self.value).abs();
        let typed = self.typed_place(total);
        self.claimed = Some(Claimed { typed, amount: amount.exact, span, alone: true });
        let limit = total.shape.map(|limit| limit.value);
        let reason = total.reason.as_ref().map(|reason| reason.value.clone());
        let written = Some(total.amount.clone());
        self.push(Kind::Plain, None, written, amount, limit, reason, None, span);
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
        if others {
            self.sources.retain(|source| source.kind != Kind::Plain);
        }
        if let Some(claimed) = &mut self.claimed {
            claimed.alone = !others;
        }
    }

    fn typed(
        &mut self,
        kind: &Spanned<String>,
        amount: Option<&Spanned<Amount>>,
        limit: Option<&Spanned<Limit>>,
        reason: Option<&Spanned<String>>,
        span: Span,
    ) {
        let (known, word) = self.evaluator.kind(kind, self.item);
        let limit = limit.map(|limit| limit.value);
        let reason = reason.map(|reason| reason.value.clone());
        self.take_the_place(&known);
        match (amount, &known) {
            (Some(amount), _) => {
                let (amount, span) = (&amount.value, span);
                self.stated(Stated { kind: known, word, amount, limit, reason, instrument: None, shared: None, span });
            }
            (None, Kind::Repeat) if self.repeated() || self.recorded.in_column => {
                self.push(known, word, None, Magnitude::ZERO, limit, reason, None, span);
            }
            (None, Kind::Counting) if !self.repeated() => {
                let amount = Magnitude::about(libm::sqrt(self.value.float.max(0.0)));
                self.push(known, word, None, amount, limit, reason, None, span);
            }
            (None, Kind::Repeat) => {
                self.fault(kind.span, FaultKind::AmountWithoutSize { why: "one reading has no scatter" })
            }
            (None, Kind::Counting) => self.fault(kind.span, FaultKind::AmountWithoutSize { why: "a list is no count" }),
            // The parser has asked for the amount.
            (None, _) => {}
        }
    }

    /// A typed clause takes the place of what instruments bring in of its kind, before it and after.
    fn take_the_place(&mut self, kind: &Kind) {
        if !self.typed_kinds.insert(kind.clone()) {
            return;
        }
        if self.from_instruments {
            self.sources.retain(|source| source.instrument.is_none() || source.kind != *kind);
        }
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
        for (kind, amount) in &sheet.sources {
            let kind = self.evaluator.base_kind(kind);
            if self.typed_kinds.contains(&kind.0) {
                continue;
            }
            self.from_instruments = true;
            let shared = (sheet.systematic && kind.0 == Kind::Instrument).then(|| word.value.clone());
            let instrument = Some(sheet.name.clone());
            let (kind, word_of_course) = kind;
            let stated = Stated {
                kind,
                word: word_of_course,
                amount,
                limit: None,
                reason: None,
                instrument,
                shared,
                span: word.span,
            };
            self.stated_by(stated, Some(&sheet));
        }
    }

    fn stated(&mut self, stated: Stated<'_>) {
        self.stated_by(stated, None);
    }

    fn stated_by(&mut self, stated: Stated<'_>, sheet: Option<&instrument::Sheet>) {
        let range = sheet.and_then(|sheet| self.range(sheet));
        let size = match self.size(stated.amount, false, range) {
            Ok(size) => size,
            Err(kind) => return self.fault(stated.span, kind),
        };
        self.question(size, stated.span);
        let amount = size.beside(self.value);
        let Stated { kind, word, amount: written, limit, reason, instrument, shared, span } = stated;
        self.push(kind, word, Some(written.clone()), amount.abs(), limit, reason, instrument, span);
        if let Some(shared) = shared {
            self.share(&shared, size);
        }
    }

    /// A share of zero, an amount below zero.
    fn question(&mut self, size: Size, span: Span) {
        if !size.relative.is_zero() && self.value.is_zero() {
            self.fault(span, FaultKind::RelativeToZero);
        }
        if size.beside(self.value).float < 0.0 {
            self.fault(span, FaultKind::NegativeAmount);
        }
    }

    /// The instrument's range, upper less lower end.
    fn range(&mut self, sheet: &instrument::Sheet) -> Option<Magnitude> {
        let (low, high) = sheet.range.as_ref()?;
        let [low, high] = [low, high].map(|end| self.size(end, true, None).map(|size| size.absolute).ok());
        Some(high?.plus(low?.times(Magnitude::exactly(Exact::whole(-1)))))
    }

    fn size(&mut self, amount: &Amount, bare: bool, range: Option<Magnitude>) -> Result<Size, FaultKind> {
        let digit = Some(self.display.unwrap_or_else(|| self.digit()));
        let unit = Arc::clone(&self.unit);
        let scale = Scale { unit: &unit, digit, range, bare };
        size(amount, &scale, &mut |spelling| self.evaluator.unit(spelling))
    }

    /// One unit of the last typed place, power of ten included; of a list, of its coarsest value.
    fn digit(&self) -> Magnitude {
        let places = self.recorded.values.iter().map(|number| number.value.decimal.last_place());
        magnitude(Decimal::step(places.max().unwrap_or(0)))
    }

    #[expect(clippy::too_many_arguments, reason = "the parts of a source, named where they are put together")]
    fn push(
        &mut self,
        kind: Kind,
        word: Option<String>,
        written: Option<Amount>,
        amount: Magnitude,
        limit: Option<Limit>,
        reason: Option<String>,
        instrument: Option<String>,
        span: Span,
    ) {
        let shape = limit.map_or_else(|| usual_shape(&kind), |limit| limit.shape);
        let dof = limit.and_then(|limit| limit.dof);
        let (exact, amount) = (amount.exact, amount.float);
        let parts = Vec::new();
        self.sources.push(Source { kind, word, written, exact, amount, shape, dof, reason, instrument, span, parts });
    }

    /// Marks the source just pushed as the same error in all readings of its instrument: its relative
    /// part is one variable, signed as the reading; its absolute part another.
    fn share(&mut self, instrument: &str, size: Size) {
        let Some(source) = self.sources.last_mut() else { return };
        let shape = source.shape;
        let factor = self.unit.factor();
        let one = Arc::new(Unit::one());
        let mut part = |which: Shared, amount: f64, si: f64, unit: &Arc<Unit>| {
            if amount != 0.0 {
                let node = self.evaluator.shared(instrument, which, si, si * shape.standard());
                let relative = which == Shared::Relative;
                source.parts.push(Part { node, amount, unit: Arc::clone(unit), shared: true, relative });
            }
        };
        part(Shared::Relative, size.relative.float.abs(), size.relative.float.abs(), &one);
        let absolute = size.absolute.float.abs();
        part(Shared::Absolute, absolute, absolute * factor, &self.unit);
    }

    /// The scatter of a repeated reading, as the course takes it.
    fn scatter(&mut self) {
        if !self.repeated() || self.exact {
            return;
        }
        let values: Vec<f64> = self.counted().iter().map(|value| value.float).collect();
        let Some(scatter) = Scatter::of(&values) else { return };
        self.deviation = Some(scatter.deviation);
        let taken = scatter.taken(self.evaluator.course);
        if !self.sources.iter().any(|source| source.kind == Kind::Repeat) {
            let span = self.recorded.span;
            self.push(Kind::Repeat, None, None, Magnitude::ZERO, None, None, None, span);
        }
        let Some(source) = self.sources.iter_mut().find(|source| source.kind == Kind::Repeat) else { return };
        (source.exact, source.amount, source.shape, source.dof) =
            (None, taken, Shape::Normal, Some(scatter.count - 1.0));
    }

    /// The value in SI; of a point, in kelvin.
    fn in_si(&self) -> f64 {
        self.value.exact.map_or_else(|| affine(&self.unit, self.value.float), |exact| self.unit.to_si(exact))
    }

    /// Gives every source its variable, and the reading its place in the propagation.
    fn measure(&mut self) -> Option<Measure> {
        if self.counted().is_empty() {
            self.fault(self.recorded.span, FaultKind::AllLeftOut);
            return None;
        }
        let factor = self.unit.factor();
        let value = self.in_si();
        if !value.is_finite() {
            let what = super::fault::Undefined::Overflow;
            self.fault(self.recorded.span, FaultKind::OutsideDomain { what, argument: value });
            return None;
        }
        let mut operands = Vec::<(Node, f64)>::new();
        for source in &mut self.sources {
            if source.parts.is_empty() && source.amount != 0.0 {
                let si = source.amount * factor;
                let standard = self.evaluator.standard(source.shape, source.dof);
                let dof = source.dof.unwrap_or(f64::INFINITY);
                let node = self.evaluator.propagation.source(si, si * standard, dof);
                source.parts.push(Part {
                    node,
                    amount: source.amount,
                    unit: Arc::clone(&self.unit),
                    shared: false,
                    relative: false,
                });
            }
            for part in &source.parts {
                // A relative error moves the value by a share of the value itself.
                let by = if part.relative { value } else { 1.0 };
                operands.push((part.node, by));
            }
        }
        let operands = if self.exact { Vec::new() } else { operands };
        let node = self.evaluator.propagation.quantity(operands);
        Some(Measure { value, uncertainty: 0.0, dimension: self.unit.dimension, point: self.unit.zero.is_some(), node })
    }

    fn outcome(self, measure: Option<Measure>) -> Outcome {
        let Self { recorded, unit, value, sources, claimed, display, exact, left_out, deviation, .. } = self;
        let origin = match recorded.values {
            [typed] => {
                let sum = sources.iter().try_fold(Exact::ZERO, |sum, source| sum.plus(source.exact?));
                let display = display.and_then(|step| step.exact);
                Origin::Reading(Box::new(Record { value: *typed, sum, claimed, display }))
            }
            values => Origin::Repeated(Repeated { values: values.to_vec(), left_out, mean: value.float, deviation }),
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

/// `x` of `unit` in SI, where it is known as a double only.
fn affine(unit: &Unit, x: f64) -> f64 {
    unit.to_si(Exact::ZERO) + x * unit.factor()
}

fn magnitude(decimal: Decimal) -> Magnitude {
    Exact::of(decimal).map_or_else(|| Magnitude::about(decimal.to_f64()), Magnitude::exactly)
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
    let digit = magnitude(Decimal::step(value.last_place()));
    let scale = Scale { unit, digit: Some(digit), range: None, bare: true };
    let own = size(&total.amount, &scale, &mut |spelling| evaluator.unit(spelling))?.beside(magnitude(value));
    converted(own.abs(), unit, wanted)
}
