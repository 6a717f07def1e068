//! A rule: its name, its page, how loudly it speaks, and its look at the report.

use super::desk::Desk;
use super::finding::{Certainty, Edit, Finding, Related, Severity};
use super::say;
use crate::course::Course;
use crate::span::Span;

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
    /// Adds what it has to say. Its cost grows linearly with the report.
    pub(super) check: fn(&Desk<'_>, &mut Vec<Finding>),
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

/// What a page names where no document stands behind a rule.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// What a page names where the notation itself makes the rule.
pub const NOTATION: &str = "the notation of this program";

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

/// How loudly a rule speaks in a course; `None` where it is off.
pub fn severity_of(rule: &Rule, course: &Course) -> Option<Severity> {
    course.rules.get(rule.name).map_or(Some(rule.severity), |&level| Severity::of_level(level))
}

impl Rule {
    /// A finding of this rule. The message is one sentence without a full stop; the help says what
    /// to write.
    pub(super) fn at(&self, span: Span, message: impl Into<String>, help: impl Into<String>) -> Finding {
        Finding {
            rule: self.name,
            severity: self.severity,
            message: say::line(message.into()),
            help: say::line(help.into()),
            span,
            related: Vec::new(),
            edits: Vec::new(),
        }
    }
}

impl Finding {
    /// The same finding with another place that belongs to it.
    pub(super) fn beside(mut self, span: Span, message: impl Into<String>) -> Self {
        self.related.push(Related { message: message.into(), span });
        self
    }

    /// The same finding with a change that only one thing can have been meant by.
    pub(super) fn certain(self, span: Span, text: impl Into<String>) -> Self {
        self.edited(span, text, Certainty::Certain)
    }

    /// The same finding with a change that a person has to decide about.
    pub(super) fn suggest(self, span: Span, text: impl Into<String>) -> Self {
        self.edited(span, text, Certainty::Suggestion)
    }

    fn edited(mut self, span: Span, text: impl Into<String>, certainty: Certainty) -> Self {
        self.edits.push(Edit { span, text: text.into(), certainty });
        self
    }
}
