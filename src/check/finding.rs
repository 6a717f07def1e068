//! A finding: what a rule says of one place.

use std::mem;

use super::say;
use crate::course::Level;
use crate::span::Span;

/// What a rule says of one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The rule's name.
    pub rule: &'static str,
    /// How loudly it speaks, by the rule or by the course.
    pub severity: Severity,
    /// What is there: one sentence without a full stop.
    pub message: String,
    /// What to write instead, or what to look at.
    pub help: String,
    /// Where.
    pub span: Span,
    /// Other places that belong to it.
    pub related: Vec<Related>,
    /// Changes that put it right, and how certain they are.
    pub edits: Vec<Edit>,
}

/// The most characters of a message or a help: no rule writes half as many of its own, so that only a monstrous
/// symbol or word of the report is ever cut.
const LONGEST: usize = 800;

impl Finding {
    /// Cuts what repeats too much of the report: a finding is for a person.
    pub(super) fn cut_short(&mut self) {
        let related = self.related.iter_mut().map(|related| &mut related.message);
        for text in related.chain([&mut self.message, &mut self.help]) {
            *text = say::shortened(mem::take(text), LONGEST);
        }
    }
}

/// How loudly a finding speaks; in increasing order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth a look.
    Advice,
    /// A marker would deduct.
    Warning,
    /// It cannot be computed, or contradicts itself.
    Error,
}

impl Severity {
    /// How it is written.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Advice => "advice",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }

    /// As a course sets it; `None` where the rule is off.
    pub const fn of_level(level: Level) -> Option<Self> {
        match level {
            Level::Off => None,
            Level::Advice => Some(Self::Advice),
            Level::Warning => Some(Self::Warning),
            Level::Error => Some(Self::Error),
        }
    }
}

/// Another place that belongs to a finding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Related {
    /// What is to be seen there.
    pub message: String,
    /// Where.
    pub span: Span,
}

/// One change of the source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; empty for an insertion.
    pub span: Span,
    /// What stands there afterwards.
    pub text: String,
    /// How certain it is that the author meant this.
    pub certainty: Certainty,
}

/// What the author of the text may rely on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Certainty {
    /// The meaning stays, or there is only one thing that can have been meant: `check --fix` makes it.
    Certain,
    /// Likely; a person has to decide.
    Suggestion,
}
