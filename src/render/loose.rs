//! What of a report's own text could join with what is put into it.

use std::collections::BTreeSet;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::locate::Document;
use crate::span::Span;

/// Signs in a report's text that are waiting for a partner, and where its emphasis begins and ends.
#[derive(Debug, Default)]
pub(super) struct Loose {
    /// Lengths of runs of backticks that are text.
    backticks: BTreeSet<usize>,
    dollar: bool,
    angle: bool,
    opened: BTreeSet<usize>,
    closed: BTreeSet<usize>,
}

impl Loose {
    /// Looks through a report, items masked.
    pub(super) fn of(document: &Document<'_>) -> Self {
        let mut loose = Self::default();
        let masked = document.masked.get(document.start..).unwrap_or("");
        let mut code = 0usize;
        for (event, range) in Parser::new_ext(masked, crate::locate::options()).into_offset_iter() {
            match event {
                Event::Start(Tag::CodeBlock(_) | Tag::HtmlBlock | Tag::MetadataBlock(_)) => code += 1,
                Event::End(TagEnd::CodeBlock | TagEnd::HtmlBlock | TagEnd::MetadataBlock(_)) => code -= 1,
                Event::Text(_) if code == 0 => loose.add(masked.get(range).unwrap_or("")),
                Event::Start(Tag::Emphasis | Tag::Strong | Tag::Strikethrough) => {
                    loose.opened.insert(range.start + document.start);
                    loose.closed.insert(range.end + document.start);
                }
                _ => {}
            }
        }
        loose
    }

    fn add(&mut self, text: &str) {
        self.dollar |= text.contains('$');
        self.angle |= text.contains('<');
        for length in runs(text) {
            // Where a backslash takes the first of them, one less is left.
            self.backticks.extend([length, length - 1]);
        }
    }

    /// Could a sign in `content` end what one in the report's text begins?
    pub(super) fn catches(&self, content: &str) -> bool {
        self.dollar && content.contains('$')
            || self.angle && content.contains(['>', '"', '\''])
            || runs(content).any(|length| self.has_run(length))
    }

    /// Are there so many backticks in a row in the report's text?
    pub(super) fn has_run(&self, length: usize) -> bool {
        self.backticks.contains(&length)
    }

    /// Is the run of so many marks right before the item the opener of one emphasis, and nothing else?
    pub(super) fn opens(&self, item: Span, marks: usize) -> bool {
        let start = item.start.checked_sub(marks);
        start.is_some_and(|start| self.opened.contains(&start)) && !self.closed.contains(&item.start)
    }

    /// Is the run of so many marks right behind the item the closer of one emphasis, and nothing else?
    pub(super) fn closes(&self, item: Span, marks: usize) -> bool {
        self.closed.contains(&(item.end + marks)) && !self.opened.contains(&item.end)
    }
}

/// Lengths of the runs of backticks.
pub(super) fn runs(text: &str) -> impl Iterator<Item = usize> {
    text.split(|c| c != '`').map(str::len).filter(|&length| length > 0)
}

/// A run of marks of emphasis beside an item, and what stands beyond it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Marks {
    /// How many they are; none is none.
    pub(super) count: usize,
    pub(super) beyond: Beyond,
}

/// What stands beyond a run of marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beyond {
    /// A blank, or the end of the line or of the text.
    Blank,
    /// A sign.
    Punctuation,
    /// A letter or a digit, or an item that can become one.
    Word,
}

impl Marks {
    /// Of what goes away from an item, character by character.
    pub(super) fn of(away: impl Iterator<Item = char>) -> Self {
        let mut away = away.peekable();
        let Some(mark) = away.next_if(|c| matches!(c, '*' | '_' | '~')) else {
            return Self { count: 0, beyond: Beyond::Blank };
        };
        let mut count = 1;
        while away.next_if_eq(&mark).is_some() {
            count += 1;
        }
        let beyond = match away.next() {
            None => Beyond::Blank,
            Some(c) if c.is_whitespace() => Beyond::Blank,
            Some(c) if c.is_alphanumeric() || matches!(c, '~' | '}') => Beyond::Word,
            Some(_) => Beyond::Punctuation,
        };
        Self { count, beyond }
    }
}
