//! `values`: every quantity as data.

use std::io;

use super::args::{Values, ValuesFormat};
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::input::Wanted;
use crate::face::output::{text, values};

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
    let mut writer =
        values::Writer::begin(io::BufWriter::new(io::stdout().lock()), arguments.format.into(), arguments.correlations);
    desk.each(|input, _, report| {
        tally.add(&report);
        writer.report(&input.shown, &report);
        of_stream(text::findings(&mut told, &input.shown, &input.source, &report.findings, Severity::Warning))
    })?;
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
