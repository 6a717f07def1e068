//! What SARIF has words for: texts, and how loud a finding is.

use std::borrow::Cow;

use serde::Serialize;

use crate::check::Severity;

/// A text for people. Braces are doubled, since single ones hold the place of an argument (SARIF 2.1.0, 3.11.5).
#[derive(Debug, Serialize)]
pub(super) struct Message {
    text: String,
}

impl Message {
    pub(super) fn new(text: &str) -> Self {
        Self { text: doubled(text).into_owned() }
    }
}

pub(super) fn doubled(text: &str) -> Cow<'_, str> {
    if text.contains(['{', '}']) { text.replace('{', "{{").replace('}', "}}").into() } else { text.into() }
}

pub(super) const fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Advice => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    }
}
