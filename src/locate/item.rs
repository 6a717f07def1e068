//! An item as the search holds it: its bytes, and the text that it begins in.

use super::End;
use super::end::{Ending, Opener};
use super::lines::{line, trim_end};
use super::mask::Extent;
use super::text::{Layout, Reach, Text};
use crate::span::Span;

/// An item and the text that holds its opener.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub(super) extent: Extent,
    pub(super) end: End,
    pub(super) text: Text,
    /// Which of the openers it begins at.
    pub(super) opener: usize,
}

impl Item {
    pub(super) fn new(source: &str, opener: Opener, index: usize, text: Text) -> Self {
        let ending = if text.reach == Reach::Block { opener.across } else { opener.within };
        let ending = if ending.how == End::Closed { ending } else { unclosed(source, opener.at, ending, text.reach) };
        let extent = Extent { span: Span::new(opener.at, ending.offset), quotes: text.quotes };
        Self { extent, end: ending.how, text, opener: index }
    }

    /// Is its mask text from end to end, in one block? It is not where masking has made it part of a link or
    /// a tag, or where a `>` that would be its quote's begins another one.
    pub(super) fn is_text(&self, source: &str, layout: &Layout) -> bool {
        let leaf = layout.text_at(self.extent.span.start).map(|text| text.leaf);
        let holds = |text: &Text, line: Span| line.end <= text.span.end && Some(text.leaf) == leaf;
        let is_text = |line: Span| layout.text_at(line.start).is_some_and(|text| holds(text, line));
        self.extent.lines(source).all(is_text)
    }

    /// What masking it depends on, and how it is told that it has ended.
    pub(super) const fn bounds(&self) -> (Extent, End) {
        (self.extent, self.end)
    }
}

/// An item without its `}` goes to the end of its line at most, and of its cell, but for blanks.
fn unclosed(source: &str, at: usize, ending: Ending, reach: Reach) -> Ending {
    let bytes = source.as_bytes().get(..ending.offset).unwrap_or_default();
    let stop = line(bytes, at).0;
    let rest = bytes.get(at..stop).unwrap_or_default();
    let pipe = if reach == Reach::Cell { pipe(rest) } else { None };
    let (stop, how) = pipe.map_or((stop, ending.how), |length| (at + length, End::Line));
    Ending { offset: trim_end(bytes, at, stop), how }
}

/// The first pipe that no backslash escapes.
fn pipe(text: &[u8]) -> Option<usize> {
    let before = |at: usize| at.checked_sub(1).and_then(|before| text.get(before));
    (0..text.len()).find(|&at| text.get(at) == Some(&b'|') && before(at) != Some(&b'\\'))
}
