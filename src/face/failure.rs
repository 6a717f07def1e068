//! Why a command could not be carried out: exit status 2, nothing written.

use std::io::{self, Write};
use std::path::Path;

use crate::check::{Finding, Severity};
use crate::course::CourseFault;

use super::output::short;
use super::output::text::{self, Pen};

/// One reason.
#[derive(Debug)]
pub(super) enum Failure {
    /// Something that a sentence says.
    Plain {
        /// What went wrong, without a full stop.
        message: String,
        /// What to do instead.
        help: Option<String>,
    },
    /// A course file that cannot be used, shown at its places.
    Course {
        /// The file, as shown.
        path: String,
        /// Its text.
        source: String,
        /// What is wrong with it, at least one thing.
        faults: Vec<CourseFault>,
    },
}

/// What a step of a command gives. Several inputs may fail, and all are told.
pub(super) type Attempt<T> = Result<T, Vec<Failure>>;

impl Failure {
    pub(super) fn new(message: impl Into<String>) -> Self {
        Self::Plain { message: message.into(), help: None }
    }

    pub(super) fn with_help(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::Plain { message: message.into(), help: Some(help.into()) }
    }

    /// What the system said of a file.
    pub(super) fn of_file(path: &Path, verb: &str, error: &io::Error) -> Self {
        Self::new(format!("cannot {verb} {}: {}", path.display(), said(error)))
    }
}

/// The system's sentence without its number.
fn said(error: &io::Error) -> String {
    let whole = error.to_string();
    whole.split(" (os error").next().unwrap_or(&whole).to_owned()
}

/// A standard stream that could not be written; a reader that has gone is no failure.
pub(super) fn of_stream(result: io::Result<()>) -> Attempt<()> {
    match result {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(vec![Failure::new(format!("cannot write the output: {}", said(&error)))])
        }
        _ => Ok(()),
    }
}

/// How they are said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// With the lines that they stand in.
    Drawn,
    /// A line each, as findings are where editors read them.
    Short,
}

/// Says all of them on standard error.
pub(super) fn print(failures: &[Failure], form: Form) {
    let mut out = anstream::stderr().lock();
    let pen = Pen::new();
    for failure in failures {
        // Where standard error is closed there is no one left to tell.
        let _ = match failure {
            Failure::Plain { message, help } => writeln!(out, "{}", pen.sentence(message, help.as_deref())),
            Failure::Course { path, source, faults } => {
                let findings: Vec<Finding> = faults.iter().map(finding).collect();
                match form {
                    Form::Drawn => text::put(&mut out, &pen.findings(path, source, &findings, Severity::Error)),
                    Form::Short => short::findings(&mut out, path, source, &findings),
                }
            }
        };
    }
}

/// A fault of a course as a finding of the rule `course`.
pub(super) fn finding(fault: &CourseFault) -> Finding {
    Finding {
        rule: "course",
        severity: Severity::Error,
        message: fault.message.clone(),
        help: fault.help.clone(),
        span: fault.span,
        related: Vec::new(),
        edits: Vec::new(),
    }
}
