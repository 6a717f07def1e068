//! `check`: findings, nothing written.

use std::io;

use super::args::{Check, FindingsFormat};
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, of_stream};
use crate::face::input::Wanted;
use crate::face::output::{json, short, text};

pub(super) fn run(arguments: &Check) -> Attempt<Outcome> {
    let sources = &arguments.sources;
    let wanted = Wanted { paths: &sources.paths, treated_as: sources.treated_as.as_deref(), left_out: None };
    let mut desk = Desk::new(&wanted)?;
    let count = desk.inputs.len();
    let mut tally = Tally::default();
    let mut findings = json::Findings::default();
    let mut out = anstream::stderr().lock();
    desk.each(|input, report| {
        tally.add(report);
        match arguments.format {
            _ if arguments.quiet => Ok(()),
            FindingsFormat::Json => {
                findings.add(&input.shown, &input.source, &report.findings);
                Ok(())
            }
            FindingsFormat::Text => {
                of_stream(text::findings(&mut out, &input.shown, &input.source, &report.findings, Severity::Advice))
            }
            FindingsFormat::Short => {
                of_stream(short::findings(&mut out, &input.shown, &input.source, &report.findings))
            }
        }
    })?;
    match arguments.format {
        _ if arguments.quiet => {}
        FindingsFormat::Json => of_stream(findings.write(io::stdout().lock(), tally.errors, tally.warnings))?,
        FindingsFormat::Text => {
            of_stream(text::summary(&mut out, count, tally.errors, tally.warnings, tally.advice))?;
        }
        FindingsFormat::Short => {}
    }
    Ok(Outcome::of(tally.errors + if arguments.strict { tally.warnings } else { 0 }))
}
