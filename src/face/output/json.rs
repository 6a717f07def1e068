//! `check --format json`: the findings of all files as one object.

use std::io::{self, Write};

use serde::Serialize;

use crate::check::{Finding, Severity};
use crate::span::{Lines, Position, Span};

/// The version of the form; it grows when a key changes its meaning.
pub(super) const VERSION: u32 = 1;

/// Findings of files, as they come.
#[derive(Debug, Default)]
pub(in crate::face) struct Findings {
    files: Vec<File>,
}

impl Findings {
    /// Adds a file, also one without findings.
    pub(in crate::face) fn add(&mut self, path: &str, source: &str, findings: &[Finding]) {
        let lines = if findings.is_empty() { Lines::new("") } else { Lines::new(source) };
        let findings = findings.iter().map(|finding| Told::new(finding, &lines)).collect();
        self.files.push(File { path: path.to_owned(), findings });
    }

    /// Writes the whole object.
    pub(in crate::face) fn write(self, out: impl Write, errors: usize, warnings: usize) -> io::Result<()> {
        object(out, &Whole { version: VERSION, files: self.files, errors, warnings })
    }
}

/// Writes one JSON object and ends its line.
pub(super) fn object(out: impl Write, value: &impl Serialize) -> io::Result<()> {
    let mut out = io::BufWriter::new(out);
    serde_json::to_writer_pretty(&mut out, value)?;
    out.write_all(b"\n")?;
    out.flush()
}

#[derive(Serialize)]
struct Whole {
    version: u32,
    files: Vec<File>,
    errors: usize,
    warnings: usize,
}

#[derive(Debug, Serialize)]
struct File {
    path: String,
    findings: Vec<Told>,
}

#[derive(Debug, Serialize)]
struct Told {
    rule: &'static str,
    severity: Severity,
    message: String,
    help: String,
    span: Ends,
    related: Vec<Related>,
    edits: Vec<Edit>,
}

#[derive(Debug, Serialize)]
struct Ends {
    start: Position,
    end: Position,
}

#[derive(Debug, Serialize)]
struct Related {
    message: String,
    span: Ends,
}

#[derive(Debug, Serialize)]
struct Edit {
    span: Ends,
    text: String,
}

impl Told {
    fn new(finding: &Finding, lines: &Lines<'_>) -> Self {
        let related = finding.related.iter();
        let edits = finding.edits.iter();
        Self {
            rule: finding.rule,
            severity: finding.severity,
            message: finding.message.clone(),
            help: finding.help.clone(),
            span: Ends::new(finding.span, lines),
            related: related.map(|r| Related { message: r.message.clone(), span: Ends::new(r.span, lines) }).collect(),
            edits: edits.map(|e| Edit { span: Ends::new(e.span, lines), text: e.text.clone() }).collect(),
        }
    }
}

impl Ends {
    fn new(span: Span, lines: &Lines<'_>) -> Self {
        Self { start: lines.position(span.start), end: lines.position(span.end) }
    }
}
