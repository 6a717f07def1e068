//! What of a report's own text could join with what is put into it.

use std::collections::{BTreeMap, BTreeSet};

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
    /// Text that could begin a tag, and brackets that other text could make a link's, in order.
    beginnings: Beginnings,
    /// Where emphasis begins, and where it ends; and the same the other way about.
    opened: BTreeMap<usize, usize>,
    closed: BTreeMap<usize, usize>,
}

/// Places in text, each with the end of the block that holds it.
#[derive(Debug, Default)]
struct Beginnings {
    /// `<` before what a tag's name, a comment or a declaration begins with; `](` and `]:`.
    tails: Vec<(usize, usize)>,
    open: Vec<(usize, usize)>,
    closed: Vec<(usize, usize)>,
    dollars: Vec<(usize, usize)>,
    /// The end of the last block with a bracket that begins a line's text, as that of a link's definition does.
    definition: Option<usize>,
}

/// Is there nothing before it in its line but what begins lists and quotes?
fn begins_text(markdown: &str, at: usize) -> bool {
    // A longer prefix is none that a person writes; a report of brackets is not to be read once for each.
    let before = markdown.get(at.saturating_sub(256)..at).unwrap_or("").rsplit(['\n', '\r']).next().unwrap_or("");
    let is_prefix = |c: char| c.is_whitespace() || c.is_ascii_digit() || ">-+*.)".contains(c);
    before.chars().all(is_prefix) && !before.ends_with(|c: char| !c.is_whitespace() && c != '>')
}

/// The last of `places` before `at`, if the block that holds it goes on to there.
fn last(places: &[(usize, usize)], at: usize) -> Option<usize> {
    let before = places.partition_point(|&(place, _)| place < at);
    let last = before.checked_sub(1).and_then(|last| places.get(last));
    last.filter(|&&(_, end)| at <= end).map(|&(place, _)| place)
}

impl Loose {
    /// Looks through a report, items masked.
    pub(super) fn of(document: &Document<'_>) -> Self {
        let mut loose = Self::default();
        let masked = document.masked.get(document.start..).unwrap_or("");
        let mut code = 0usize;
        let mut block_end = 0;
        for (event, range) in Parser::new_ext(masked, crate::locate::options()).into_offset_iter() {
            let span = Span::new(range.start + document.start, range.end + document.start);
            match event {
                Event::Start(Tag::CodeBlock(_) | Tag::HtmlBlock | Tag::MetadataBlock(_)) => code += 1,
                Event::End(TagEnd::CodeBlock | TagEnd::HtmlBlock | TagEnd::MetadataBlock(_)) => code -= 1,
                Event::Text(_) if code == 0 => loose.add(&document.masked, span, block_end),
                Event::Start(Tag::Emphasis | Tag::Strong | Tag::Strikethrough) => {
                    loose.opened.insert(span.start, span.end);
                    loose.closed.insert(span.end, span.start);
                }
                Event::Start(Tag::Link { .. } | Tag::Image { .. }) => {}
                // A link by its label alone would be another one with a destination, or a definition.
                Event::End(TagEnd::Link | TagEnd::Image)
                    if document.masked.get(span.end..).is_some_and(|after| after.starts_with(['(', ':'])) =>
                {
                    loose.beginnings.tails.push((span.end, block_end));
                }
                Event::Start(_) => block_end = span.end,
                _ => {}
            }
        }
        loose
    }

    fn add(&mut self, markdown: &str, span: Span, block_end: usize) {
        let text = span.of(markdown);
        self.dollar |= text.contains('$');
        self.angle |= text.contains('<');
        for (at, sign) in text.match_indices(['<', '[', ']', '$']) {
            let place = (span.start + at, block_end);
            let after = markdown.as_bytes().get(place.0 + 1);
            match (sign, after) {
                ("<", Some(b'a'..=b'z' | b'A'..=b'Z' | b'/' | b'!' | b'?' | b'%')) | ("]", Some(b'(')) => {
                    self.beginnings.tails.push(place);
                }
                ("]", Some(b':')) if self.beginnings.definition == Some(block_end) => self.beginnings.tails.push(place),
                ("[", _) => {
                    self.beginnings.open.push(place);
                    if begins_text(markdown, place.0) {
                        self.beginnings.definition = Some(block_end);
                    }
                }
                ("]", _) => self.beginnings.closed.push(place),
                ("$", _) => self.beginnings.dollars.push(place),
                _ => {}
            }
        }
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

    /// What could text at `at` become a part of, for what stands before it?
    pub(super) fn begun(&self, at: usize) -> Begun {
        let Beginnings { tails, open, closed, .. } = &self.beginnings;
        let is_open = || last(open, at).is_some_and(|open| last(closed, at).is_none_or(|closed| closed < open));
        match last(tails, at) {
            Some(_) => Begun::Tail,
            None if is_open() => Begun::Name,
            None => Begun::Nothing,
        }
    }

    /// Is there a dollar in the text of its block before `at`?
    pub(super) fn is_behind_dollar(&self, at: usize) -> bool {
        last(&self.beginnings.dollars, at).is_some()
    }

    /// Is the run of so many marks right before the item the opener of one emphasis, and nothing else?
    pub(super) fn opens(&self, markdown: &str, item: Span, marks: usize) -> bool {
        let Some(start) = item.start.checked_sub(marks) else { return false };
        let end = self.opened.get(&start).filter(|_| !self.closed.contains_key(&item.start));
        end.is_some_and(|&end| is_simple(markdown, Span::new(start, end), marks))
    }

    /// Is the run of so many marks right behind the item the closer of one emphasis, and nothing else?
    pub(super) fn closes(&self, markdown: &str, item: Span, marks: usize) -> bool {
        let end = item.end + marks;
        let start = self.closed.get(&end).filter(|_| !self.opened.contains_key(&item.end));
        start.is_some_and(|&start| is_simple(markdown, Span::new(start, end), marks))
    }
}

/// Does the emphasis begin and end with so many marks, one or two, and hold no other? Then no rule about
/// which marks match (CommonMark 0.31.2, 6.2, rules 9 and 10) asks what stands beside them.
fn is_simple(markdown: &str, emphasis: Span, marks: usize) -> bool {
    let text = emphasis.of(markdown);
    let Some(mark) = text.chars().next() else { return false };
    let outside = markdown.get(..emphasis.start).is_some_and(|before| before.ends_with(mark))
        || markdown.get(emphasis.end..).is_some_and(|after| after.starts_with(mark));
    let inner = text.get(marks..text.len().saturating_sub(marks));
    !outside && marks <= 2 && inner.is_some_and(|inner| !inner.contains(mark))
}

/// Lengths of the runs of backticks.
pub(super) fn runs(text: &str) -> impl Iterator<Item = usize> {
    text.split(|c| c != '`').map(str::len).filter(|&length| length > 0)
}

/// What text could become a part of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Begun {
    /// Of nothing but its paragraph.
    Nothing,
    /// Of the name of something: a link's label, a character reference, a task's mark.
    Name,
    /// Of a tag, a comment, a link's destination or title.
    Tail,
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
