//! A rule: its name, its page, how loudly it speaks, and its look at the report.

use super::finding::Severity;

/// One thing that a marker circles.
#[derive(Debug)]
pub struct Rule {
    /// What is there when it speaks, in kebab case: `places-differ`.
    pub name: &'static str,
    /// One of [`GROUPS`].
    pub group: &'static str,
    /// How loudly it speaks where the course says nothing.
    pub severity: Severity,
    /// Its manual page.
    pub page: &'static Page,
}

/// A rule's manual page. `wrong` and `right` are whole small reports: the first draws this rule's
/// finding and no other error or warning, the second draws none.
#[derive(Debug)]
pub struct Page {
    /// What the rule points at.
    pub does: &'static str,
    /// Why a marker cares.
    pub why: &'static str,
    /// A report that draws it.
    pub wrong: &'static str,
    /// The same report, put right.
    pub right: &'static str,
    /// What its edit changes, where it has one.
    pub edit: Option<&'static str>,
    /// The document that the rule rests on, or that there is none.
    pub source: &'static str,
}

/// The groups in the order in which they are listed, with what belongs to each.
pub const GROUPS: [(&str, &str); 7] = [
    ("writing", "how items, numbers and units are written"),
    ("figures", "which digits are recorded and reported"),
    ("record", "what has to stand beside a number"),
    ("reading", "how an instrument is read"),
    ("formulas", "whether a formula can be worked out"),
    ("results", "whether figures and words agree with what was computed"),
    ("course", "what the course asks for, and its own files"),
];
