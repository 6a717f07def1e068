//! `values`: quantities as JSON or CSV, written as they come. What a result's sources are is found for one quantity
//! at a time, since all of them together may be as many as the square of the report's readings.

use std::borrow::Cow;
use std::io::{self, Write};

use serde::Serialize;

use super::{csv, json};
use crate::course::{Combine, Word};
use crate::evaluate::cause::{Cause, Of};
use crate::evaluate::propagate::Contribution;
use crate::evaluate::sheet::{Measure, Origin};
use crate::evaluate::{Quantity, QuantityId, Sheet};
use crate::parse::ast::Item;
use crate::quantity::{Shape, Unit};
use crate::render;
use crate::report::Report;

/// Steps that finding the sources of one quantity may take; past them its `sources` are `null`.
const STEPS: usize = 5_000_000;

/// The form of the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::face) enum Format {
    Json,
    Csv,
}

/// An output under way. The first error is kept, and nothing is written after it.
pub(in crate::face) struct Writer<W> {
    out: W,
    format: Format,
    correlations: bool,
    reports: usize,
    result: io::Result<()>,
}

impl<W: Write> Writer<W> {
    /// Writes what stands before the first report.
    pub(in crate::face) fn begin(mut out: W, format: Format, correlations: bool) -> Self {
        let result = match format {
            Format::Json => write!(out, "{{\"version\":{},\n\"reports\":[", json::VERSION),
            Format::Csv => csv::record(&mut out, COLUMNS),
        };
        Self { out, format, correlations, reports: 0, result }
    }

    /// Writes one report.
    pub(in crate::face) fn report(&mut self, path: &str, report: &Report<'_>) {
        if self.result.is_ok() {
            let first = self.reports == 0;
            self.result = match self.format {
                Format::Json => json_report(&mut self.out, path, report, first, self.correlations),
                Format::Csv => csv_report(&mut self.out, path, report),
            };
        }
        self.reports += 1;
    }

    /// Writes what stands behind the last one.
    pub(in crate::face) fn end(mut self) -> io::Result<()> {
        self.result?;
        if self.format == Format::Json {
            self.out.write_all(b"]}\n")?;
        }
        self.out.flush()
    }
}

/// Each quantity on a line of its own, so that people and line tools can read it too.
fn json_report(
    out: &mut impl Write,
    path: &str,
    report: &Report<'_>,
    first: bool,
    correlations: bool,
) -> io::Result<()> {
    let path = serde_json::to_string(path)?;
    let combine = report.course.combine.word();
    let comma = if first { "" } else { "," };
    write!(out, "{comma}\n{{\"path\":{path},\"combine\":\"{combine}\",\"quantities\":[")?;
    for (index, quantity) in report.sheet.quantities.iter().enumerate() {
        out.write_all(if index == 0 { b"\n" } else { b",\n" })?;
        serde_json::to_writer(&mut *out, &Row::new(report, index, sources(&report.sheet, quantity)))?;
    }
    out.write_all(b"],\n\"correlations\":")?;
    serde_json::to_writer(&mut *out, &correlations.then(|| Correlations::of(&report.sheet)).flatten())?;
    out.write_all(b"}")
}

const COLUMNS: [&str; 12] = [
    "path",
    "symbol",
    "name",
    "kind",
    "unit",
    "value",
    "uncertainty",
    "shown",
    "dof",
    "expanded_level",
    "expanded_factor",
    "expanded_uncertainty",
];

fn csv_report(out: &mut impl Write, path: &str, report: &Report<'_>) -> io::Result<()> {
    for id in 0..report.sheet.quantities.len() {
        let row = Row::new(report, id, None);
        let (value, uncertainty, dof) = (number(row.value), number(row.uncertainty), number(row.dof));
        let (unit, shown) = (row.unit.as_deref().unwrap_or(""), row.shown.as_deref().unwrap_or(""));
        let head = [path, row.symbol, row.name.unwrap_or(""), row.kind, unit];
        let expanded = row.expanded.as_ref();
        let level = number(expanded.and_then(|expanded| expanded.level));
        let [factor, reach] = [
            number(expanded.map(|expanded| expanded.factor)),
            number(expanded.and_then(|expanded| expanded.uncertainty)),
        ];
        csv::record(out, head.into_iter().chain([&*value, &*uncertainty, shown, &*dof, &*level, &*factor, &*reach]))?;
    }
    Ok(())
}

/// The shortest digits that read back as the same double; nothing for none.
fn number(number: Option<f64>) -> String {
    number.and_then(|number| serde_json::to_string(&number).ok()).unwrap_or_default()
}

/// A quantity as `values` gives it. A key that does not apply is `null`.
#[derive(Serialize)]
struct Row<'r> {
    symbol: &'r str,
    name: Option<&'r str>,
    kind: &'static str,
    unit: Option<String>,
    value: Option<f64>,
    uncertainty: Option<f64>,
    shown: Option<String>,
    dof: Option<f64>,
    expanded: Option<ExpandedRow>,
    sources: Option<Vec<SourceRow<'r>>>,
    fit: Option<FitRow>,
    simulated: Option<()>,
    rows: Option<Vec<Cell>>,
}

/// One row of a column; both `null` where it has no value.
#[derive(Serialize)]
struct Cell {
    value: Option<f64>,
    uncertainty: Option<f64>,
}

impl<'r> Row<'r> {
    fn new(report: &'r Report<'_>, id: QuantityId, sources: Option<Vec<SourceRow<'r>>>) -> Self {
        let quantity = &report.sheet.quantities[id];
        let measure = quantity.measure.as_ref();
        let (value, uncertainty) = match measure {
            Some(measure) => figures(report.course.combine, quantity, measure),
            None => (None, None),
        };
        Row {
            symbol: quantity.symbol.as_str(),
            name: quantity.name.as_deref(),
            kind: kind(&quantity.origin),
            unit: unit(&quantity.unit),
            value,
            uncertainty,
            shown: measure.map(|_| render::shown(report.view(), id)),
            dof: measure.and_then(|measure| dof(report, measure)),
            expanded: measure.and_then(|measure| expanded(report, quantity, measure)),
            sources,
            fit: fit(report, quantity),
            simulated: None,
            rows: rows(quantity),
        }
    }
}

/// An expanded uncertainty, in the quantity's unit.
#[derive(Serialize)]
struct ExpandedRow {
    level: Option<f64>,
    factor: f64,
    uncertainty: Option<f64>,
}

/// Of a result, what the course asks for.
fn expanded(report: &Report<'_>, quantity: &Quantity, measure: &Measure) -> Option<ExpandedRow> {
    let expanded = report.sheet.expanded(measure).filter(|_| quantity.origin.is_result())?;
    let uncertainty = finite(expanded.uncertainty / quantity.unit.factor());
    Some(ExpandedRow { level: expanded.level, factor: expanded.factor, uncertainty })
}

/// Effective degrees of freedom, where uncertainties are standard ones and they are limited.
fn dof(report: &Report<'_>, measure: &Measure) -> Option<f64> {
    let standard = report.course.combine == Combine::Standard;
    Some(report.sheet.dof(measure)).filter(|dof| standard && dof.is_finite())
}

/// How strongly quantities are correlated.
#[derive(Serialize)]
struct Correlations<'r> {
    symbols: Vec<&'r str>,
    matrix: Vec<Vec<f64>>,
}

impl<'r> Correlations<'r> {
    /// Of all quantities of one value that are uncertain; `None` where finding it would take too long.
    fn of(sheet: &'r Sheet) -> Option<Self> {
        let uncertain = sheet.quantities.iter().filter_map(|quantity| {
            let measure = quantity.measure.filter(|measure| measure.uncertainty > 0.0)?;
            Some((quantity.symbol.as_str(), measure.node))
        });
        let (symbols, nodes): (Vec<_>, Vec<_>) = uncertain.unzip();
        let matrix = sheet.propagation.correlations(&nodes, STEPS)?;
        Some(Self { symbols, matrix })
    }
}

/// How the line was fitted that a slope or an intercept belongs to.
#[derive(Serialize)]
struct FitRow {
    method: &'static str,
    points: usize,
    chi_squared: Option<f64>,
    dof: usize,
    residual_sd: Option<f64>,
    r_squared: Option<f64>,
    correlation: Option<f64>,
}

/// Of a quantity that is a slope or an intercept and nothing else, in the unit of y.
fn fit(report: &Report<'_>, quantity: &Quantity) -> Option<FitRow> {
    let Some(Item::Result(derived)) = &report.items.get(quantity.item)?.item else { return None };
    let ([_, _, _], [(_, asked)]) = (&derived.formula.steps[..], &report.sheet.lines_in(&derived.formula)[..]) else {
        return None;
    };
    let (upright, through_origin) = (report.sheet.quantities.get(asked.0)?, asked.2);
    let line = &report.sheet.lines.get(asked)?.line;
    Some(FitRow {
        method: report.course.fit.word(),
        points: line.points,
        chi_squared: line.chi_squared,
        dof: line.dof,
        residual_sd: line.residual_sd.map(|sd| sd / upright.unit.factor()),
        r_squared: line.r_squared,
        correlation: line.uncertainty.filter(|_| !through_origin).map(|uncertainty| uncertainty.correlation),
    })
}

fn rows(quantity: &Quantity) -> Option<Vec<Cell>> {
    let Origin::Column(column) = &quantity.origin else { return None };
    let cells = column.rows.iter().map(|row| match &row.measure {
        Some(measure) => {
            let (value, uncertainty) = computed(&quantity.unit, measure);
            let typed = row.typed.filter(|_| !column.result).map(|number| number.decimal.to_f64());
            Cell { value: finite(typed.unwrap_or(value)), uncertainty: finite(uncertainty) }
        }
        None => Cell { value: None, uncertainty: None },
    });
    Some(cells.collect())
}

const fn kind(origin: &Origin) -> &'static str {
    match origin {
        Origin::Reading(_) | Origin::Repeated(_) => "reading",
        Origin::Column(_) => "column",
        Origin::Constant(_) => "constant",
        Origin::Result { .. } | Origin::Unread => "result",
    }
}

/// Value and uncertainty in the quantity's unit; of a reading as typed, so that 12.42 mm is not 12.419999999999998.
fn figures(combine: Combine, quantity: &Quantity, measure: &Measure) -> (Option<f64>, Option<f64>) {
    let computed = computed(&quantity.unit, measure);
    let (value, uncertainty) = match &quantity.origin {
        Origin::Reading(record) => {
            let sum = record.sum.filter(|_| combine == Combine::Sum);
            (record.value.value.decimal.to_f64(), sum.map_or(computed.1, |sum| sum.to_f64()))
        }
        Origin::Repeated(repeated) => (repeated.mean, computed.1),
        _ => computed,
    };
    (finite(value), finite(uncertainty))
}

fn computed(unit: &Unit, measure: &Measure) -> (f64, f64) {
    (unit.from_si(measure.value), measure.uncertainty / unit.factor())
}

/// JSON has no infinities.
fn finite(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}

/// As the notation spells it: `kg*m/s^2`; `None` of a pure number.
fn unit(unit: &Unit) -> Option<String> {
    (!unit.is_one()).then(|| unit.shown.to_string())
}

/// One source's part in a quantity's uncertainty.
#[derive(Serialize)]
struct SourceRow<'r> {
    of: String,
    kind: &'r str,
    amount: f64,
    unit: Option<String>,
    shape: &'static str,
    standard: f64,
    dof: Option<f64>,
    reason: Option<Cow<'r, str>>,
    sensitivity: Option<f64>,
    contribution: Option<f64>,
    share: Option<f64>,
}

/// The sources of a quantity, largest contribution first; `None` where it has no value, or where finding them would
/// take too long.
fn sources<'r>(sheet: &'r Sheet, quantity: &Quantity) -> Option<Vec<SourceRow<'r>>> {
    let contributions = sheet.propagation.contributions(quantity.measure.as_ref()?.node, STEPS)?;
    Some(contributions.iter().filter_map(|contribution| source(sheet, quantity, contribution)).collect())
}

fn source<'r>(sheet: &'r Sheet, quantity: &Quantity, contribution: &Contribution) -> Option<SourceRow<'r>> {
    let cause = sheet.cause_of(contribution)?;
    let (here, there) = (quantity.unit.factor(), cause.unit.factor());
    Some(SourceRow {
        of: cause.of.words(),
        kind: cause.kind.word(),
        amount: cause.amount,
        unit: unit(cause.unit),
        shape: cause.shape.word(),
        standard: cause.amount * per_amount(sheet, contribution, &cause),
        dof: cause.dof,
        reason: reason(&cause),
        sensitivity: finite(contribution.sensitivity * there / here),
        contribution: finite(contribution.contribution / here),
        share: finite(contribution.share),
    })
}

/// The standard uncertainty per unit of amount. That of a level with degrees of freedom takes long to find, and the
/// propagation has it.
fn per_amount(sheet: &Sheet, contribution: &Contribution, cause: &Cause<'_>) -> f64 {
    match (cause.shape, cause.dof) {
        (Shape::Level(_), Some(_)) => sheet.propagation.deviation_per_limit(contribution.source),
        (shape, _) => shape.standard(),
    }
}

/// Why: of a source its author's reason, of correlated readings what ties them.
fn reason<'r>(cause: &Cause<'r>) -> Option<Cow<'r, str>> {
    match &cause.of {
        Of::Tied(_, ties) => {
            let reasons: Vec<&str> = ties.iter().filter_map(|tie| tie.reason.as_deref()).collect();
            (!reasons.is_empty()).then(|| Cow::Owned(reasons.join("; ")))
        }
        _ => cause.source.and_then(|source| source.reason.as_deref()).map(Cow::Borrowed),
    }
}
