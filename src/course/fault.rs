//! What can be wrong with a course file or with the key `meniscus` of a report's front matter.

use super::place::{Side, Step, place};
use crate::span::Span;

/// One thing wrong, and where. In a report the rule `course` makes a finding of it; a course file with
/// one cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CourseFault {
    /// The place, in bytes of the text that was read.
    pub span: Span,
    /// What is there: one sentence without a full stop.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

impl CourseFault {
    /// The same fault in a text that holds what was read from its byte `offset` on.
    #[must_use]
    pub fn shifted(self, offset: usize) -> Self {
        Self { span: Span::new(self.span.start + offset, self.span.end + offset), ..self }
    }
}

/// The text that a layer was read from, and where in its tree the layer begins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Ground<'y> {
    pub(super) yaml: &'y str,
    /// Empty in a course file, the key `meniscus` in front matter.
    pub(super) base: &'static [Step<'static>],
}

impl Ground<'_> {
    fn span(self, path: &[Step<'_>], side: Side) -> Span {
        let whole: Vec<Step<'_>> = self.base.iter().chain(path).copied().collect();
        place(self.yaml, &whole, side).unwrap_or_default()
    }
}

/// As many faults as are told one by one. Each costs one more reading of the text.
const MOST: usize = 20;

/// Faults on their way out.
#[derive(Debug)]
pub(super) struct Faults<'y> {
    ground: Ground<'y>,
    told: Vec<CourseFault>,
    untold: usize,
}

impl<'y> Faults<'y> {
    pub(super) const fn new(ground: Ground<'y>) -> Self {
        Self { ground, told: Vec::new(), untold: 0 }
    }

    /// Adds one at the key or the value at the end of `path`.
    pub(super) fn add(&mut self, path: &[Step<'_>], side: Side, message: impl Into<String>, help: impl Into<String>) {
        if self.told.len() < MOST {
            let span = self.ground.span(path, side);
            self.told.push(CourseFault { span, message: message.into(), help: help.into() });
        } else {
            self.untold += 1;
        }
    }

    /// How many there are so far.
    pub(super) fn count(&self) -> usize {
        self.told.len() + self.untold
    }

    /// All of them, in the order of their places.
    pub(super) fn done(mut self) -> Vec<CourseFault> {
        if let (1.., Some(last)) = (self.untold, self.told.last_mut()) {
            last.help = format!("{}; {} more like these are not listed", last.help, self.untold);
        }
        self.told.sort_by_key(|fault| fault.span);
        self.told
    }
}
