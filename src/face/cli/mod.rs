//! The command line.

mod args;
mod check;
mod explain;
mod fix;
mod in_force;
mod render;
mod values;

use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use clap::Parser;

use super::courses::Courses;
use super::failure::{self, Attempt, Form};
use super::input::{Input, Wanted};
use super::together;
use crate::check::Severity;
use crate::course::Course;
use crate::report::{self, Report};
use args::{Arguments, Check, Command, FindingsFormat};

/// How a command that was carried out ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// No errors.
    Clean,
    /// Findings that are errors.
    Errors,
}

impl Outcome {
    /// Of a command that met so many errors.
    const fn of(errors: usize) -> Self {
        if errors == 0 { Self::Clean } else { Self::Errors }
    }
}

/// Does what the process's arguments say. The status is 0 where there are no errors, 1 where there are findings
/// that are errors, 2 where the command could not be carried out.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version come this way too, on standard output.
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { 2 } else { 0 });
        }
    };
    match run(&arguments.command) {
        Ok(Outcome::Clean) => ExitCode::SUCCESS,
        Ok(Outcome::Errors) => ExitCode::from(1),
        Err(failures) => {
            failure::print(&failures, form(&arguments.command));
            ExitCode::from(2)
        }
    }
}

/// How a command says what kept it from being carried out.
const fn form(command: &Command) -> Form {
    match command {
        Command::Check(Check { format: FindingsFormat::Short, .. }) => Form::Short,
        _ => Form::Drawn,
    }
}

fn run(command: &Command) -> Attempt<Outcome> {
    match command {
        Command::Render(arguments) => render::run(arguments),
        Command::Check(arguments) => check::run(arguments),
        Command::Values(arguments) => values::run(arguments),
        Command::Explain(arguments) => explain::run(arguments),
    }
}

/// Reports with the courses that hold for them: all that can fail for want of a file is behind us.
struct Desk {
    inputs: Vec<Input>,
    /// Of each report.
    courses: Vec<Arc<Course>>,
    course_files: Vec<PathBuf>,
}

impl Desk {
    fn new(wanted: &Wanted<'_>) -> Attempt<Self> {
        let inputs = wanted.read()?;
        let mut known = Courses::default();
        let courses = inputs.iter().map(|input| known.of(&input.folder)).collect::<Attempt<_>>()?;
        Ok(Self { inputs, courses, course_files: known.files().to_owned() })
    }

    /// Reads the reports, makes of each what the command wants of it, on all processors, and hands that on in order. Only
    /// a few are held at a time.
    fn each<'d, M: Send>(
        &'d self,
        make: impl Fn(&'d Input, Report<'d>) -> M + Sync,
        mut take: impl FnMut(&'d Input, &'d Course, M) -> Attempt<()>,
    ) -> Attempt<()> {
        let reports: Vec<(&Input, &Course)> = self.inputs.iter().zip(self.courses.iter().map(Arc::as_ref)).collect();
        together::in_order(
            &reports,
            |&(input, course)| make(input, report::read(&input.source, course)),
            |&(input, course), made| take(input, course, made),
        )
    }

    /// Ends with a report. The process ends with its only one: to free that piece by piece would be work for nothing.
    fn let_go(&self, report: Report<'_>) {
        if self.inputs.len() == 1 {
            std::mem::forget(report);
        }
    }
}

/// Findings by their severity.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    errors: usize,
    warnings: usize,
    advice: usize,
}

impl Tally {
    fn of(report: &Report<'_>) -> Self {
        let mut tally = Self::default();
        for finding in &report.findings {
            match finding.severity {
                Severity::Error => tally.errors += 1,
                Severity::Warning => tally.warnings += 1,
                Severity::Advice => tally.advice += 1,
            }
        }
        tally
    }

    fn add(&mut self, other: Self) {
        self.errors += other.errors;
        self.warnings += other.warnings;
        self.advice += other.advice;
    }
}
