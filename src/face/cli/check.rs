//! `check`: findings, and with `--fix` or `--diff` what can be done about them.

use std::io::{self, StderrLock};

use anstream::AutoStream;

use super::args::{Check, FindingsFormat};
use super::fix::Mender;
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, of_stream};
use crate::face::input::Wanted;
use crate::face::output::text::{self, Pen};
use crate::face::output::{json, sarif, short};
use crate::report::{self, Report};

pub(super) fn run(arguments: &Check) -> Attempt<Outcome> {
    let sources = &arguments.sources;
    let wanted = Wanted { paths: &sources.paths, treated_as: sources.treated_as.as_deref(), left_out: None };
    let desk = Desk::new(&wanted)?;
    let mut mender = Mender::new(arguments, &desk.inputs, &desk.course_files)?;
    let mut teller = Teller::new(arguments);
    let pen = Pen::new();
    let is_drawn = teller.format == Some(FindingsFormat::Text);
    let draw = |path: &str, report: &Report<'_>| {
        is_drawn.then(|| pen.findings(path, report.document.source, &report.findings, Severity::Advice))
    };
    let mut failures = Vec::new();
    desk.each(
        |input, report| (draw(&input.shown, &report), report),
        |input, course, (drawn, report)| {
            let changed = mender.mend(input, &report, course, &mut teller.out).unwrap_or_else(|why| {
                // One report that cannot be changed keeps no other from being changed.
                failures.extend(why);
                None
            });
            let told = match changed {
                None => teller.tell(&input.shown, &report, drawn),
                Some(text) => {
                    let report = report::read(&text, course);
                    teller.tell(&input.shown, &report, draw(&input.shown, &report))
                }
            };
            desk.let_go(report);
            told
        },
    )?;
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

    /// Says what was found in a report; `drawn` is that, where it is to be said as text.
    fn tell(&mut self, path: &str, report: &Report<'_>, drawn: Option<String>) -> Attempt<()> {
        self.reports += 1;
        self.tally.add(Tally::of(report));
        let (source, findings) = (report.document.source, &report.findings);
        match self.format {
            None => {}
            Some(FindingsFormat::Json) => self.json.add(path, source, findings),
            Some(FindingsFormat::Sarif) => self.sarif.add(path, report),
            Some(FindingsFormat::Text) => of_stream(text::put(&mut self.out, &drawn.unwrap_or_default()))?,
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
