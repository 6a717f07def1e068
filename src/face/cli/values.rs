//! `values`: every quantity as data.

use std::io;

use super::args::{Values, ValuesFormat};
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::input::{Input, Wanted};
use crate::face::output::text::{self, Pen};
use crate::face::output::values;
use crate::report::Report;

pub(super) fn run(arguments: &Values) -> Attempt<Outcome> {
    if arguments.correlations && arguments.format != ValuesFormat::Json {
        let message = "--correlations has no place in CSV";
        return Err(vec![Failure::with_help(message, "write them as JSON: leave --format out")]);
    }
    let sources = &arguments.sources;
    let wanted = Wanted { paths: &sources.paths, treated_as: sources.treated_as.as_deref(), left_out: None };
    let desk = Desk::new(&wanted)?;
    let mut tally = Tally::default();
    let mut told = anstream::stderr().lock();
    let pen = Pen::new();
    let out = io::BufWriter::new(io::stdout().lock());
    let mut writer = values::Writer::begin(out, arguments.format.into(), arguments.correlations);
    let draw = |input: &Input, report: &Report<'_>| {
        pen.findings(&input.shown, &input.source, &report.findings, Severity::Warning)
    };
    desk.each(
        |input, report| (draw(input, &report), report),
        |input, _, (drawn, report)| {
            tally.add(Tally::of(&report));
            writer.report(&input.shown, &report);
            desk.let_go(report);
            of_stream(text::put(&mut told, &drawn))
        },
    )?;
    of_stream(writer.end())?;
    Ok(Outcome::of(tally.errors))
}

impl From<ValuesFormat> for values::Format {
    fn from(format: ValuesFormat) -> Self {
        match format {
            ValuesFormat::Json => Self::Json,
            ValuesFormat::Csv => Self::Csv,
        }
    }
}
