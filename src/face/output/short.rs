//! A finding a line, as editors and build steps read them.

use std::io::{self, Write};

use crate::check::{Finding, Severity};
use crate::span::Lines;

/// `report.md:9:14: error: message [rule]`. Columns count characters from 1. Parsers of such lines know errors, warnings
/// and notes, and take every other word for an error.
pub(in crate::face) fn findings(
    out: &mut impl Write,
    path: &str,
    source: &str,
    findings: &[Finding],
) -> io::Result<()> {
    if findings.is_empty() {
        return Ok(());
    }
    let lines = Lines::new(source);
    // Standard error has no buffer of its own.
    let mut out = io::BufWriter::new(out);
    for finding in findings {
        let place = lines.position(finding.span.start);
        let (severity, message) = (word(finding.severity), one_line(&finding.message));
        writeln!(out, "{path}:{}:{}: {severity}: {message} [{}]", place.line, place.column, finding.rule)?;
    }
    out.flush()
}

const fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Advice => "note",
        Severity::Warning | Severity::Error => severity.word(),
    }
}

/// A message may quote the report, whose line breaks would end the line too early.
fn one_line(message: &str) -> String {
    message.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
