//! `check`: findings, and with `--fix` or `--diff` what can be done about them.

use std::io::{self, StderrLock};

use anstream::AutoStream;

use super::args::{Check, FindingsFormat};
use super::fix::Mender;
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, of_stream};
use crate::face::input::Wanted;
use crate::face::output::{json, sarif, short, text};
use crate::report::{self, Report};

pub(super) fn run(arguments: &Check) -> Attempt<Outcome> {
    let sources = &arguments.sources;
    let wanted = Wanted { paths: &sources.paths, treated_as: sources.treated_as.as_deref(), left_out: None };
    let desk = Desk::new(&wanted)?;
    let mut mender = Mender::new(arguments, &desk.inputs, &desk.course_files)?;
    let mut teller = Teller::new(arguments);
    let mut failures = Vec::new();
    desk.each(|input, course, report| match mender.mend(input, &report, course, &mut teller.out) {
        Ok(None) => teller.tell(&input.shown, &report),
        Ok(Some(text)) => teller.tell(&input.shown, &report::read(&text, course)),
        Err(why) => {
            // One report that cannot be changed keeps no other from being changed.
            failures.extend(why);
            teller.tell(&input.shown, &report)
        }
    })?;
    let outcome = teller.end(failures.is_empty())?;
    if failures.is_empty() { Ok(outcome) } else { Err(failures) }
}

/// Says what was found, in the format that was asked for.
struct Teller {
    /// `None`: nothing is said.
    format: Option<FindingsFormat>,
    strict: bool,
    out: AutoStream<StderrLock<'static>>,
    reports: usize,
    tally: Tally,
    json: json::Findings,
    sarif: sarif::Findings,
}

impl Teller {
    fn new(arguments: &Check) -> Self {
        Self {
            format: (!arguments.quiet).then_some(arguments.format),
            strict: arguments.strict,
            out: anstream::stderr().lock(),
            reports: 0,
            tally: Tally::default(),
            json: json::Findings::default(),
            sarif: sarif::Findings::default(),
        }
    }

    fn tell(&mut self, path: &str, report: &Report<'_>) -> Attempt<()> {
        self.reports += 1;
        self.tally.add(report);
        let (source, findings) = (report.document.source, &report.findings);
        match self.format {
            None => {}
            Some(FindingsFormat::Json) => self.json.add(path, source, findings),
            Some(FindingsFormat::Sarif) => self.sarif.add(path, report),
            Some(FindingsFormat::Text) => {
                of_stream(text::findings(&mut self.out, path, source, findings, Severity::Advice))?;
            }
            Some(FindingsFormat::Short) => of_stream(short::findings(&mut self.out, path, source, findings))?,
        }
        Ok(())
    }

    /// The last words, and how the command ends.
    fn end(mut self, carried_out: bool) -> Attempt<Outcome> {
        let Tally { errors, warnings, advice } = self.tally;
        match self.format {
            None | Some(FindingsFormat::Short) => {}
            Some(FindingsFormat::Json) => of_stream(self.json.write(io::stdout().lock(), errors, warnings))?,
            Some(FindingsFormat::Sarif) => of_stream(self.sarif.write(io::stdout().lock(), carried_out))?,
            Some(FindingsFormat::Text) => {
                of_stream(text::summary(&mut self.out, self.reports, errors, warnings, advice))?;
            }
        }
        Ok(Outcome::of(errors + if self.strict { warnings } else { 0 }))
    }
}
