//! Where an item may stand. pulldown-cmark is the only judge of what is code, math, raw HTML, a
//! table, a destination; an item's bytes are masked so that Markdown reads none of them.

use std::borrow::Cow;

use crate::span::Span;

/// One item's place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place<'s> {
    /// From the `~` of its opener to its closer, or to where it was given up.
    pub span: Span,
    /// The bytes of `span`, one for one, with what belongs to Markdown (a block quote's `>` and
    /// indents on continuation lines) turned into blanks. Line breaks stand.
    pub text: Cow<'s, str>,
    /// How it ends.
    pub end: End,
    /// Where it stands.
    pub setting: Setting,
    /// The end of the outermost block that holds it, before that block's line ending: rationale
    /// goes beneath.
    pub block_end: usize,
}

/// How an item ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// At its `}`.
    Closed,
    /// A blank line, or the end of the text, came first.
    Blank,
    /// The next unquoted `~{` came first.
    Opener,
    /// The line's end came first, in a heading or a table row.
    Line,
}

/// What holds an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// Running text: paragraphs, lists, quotes, footnotes.
    Text,
    /// A heading.
    Heading,
    /// A table's heading cell.
    HeadingCell {
        /// Which of [`Document::tables`].
        table: usize,
        /// Which column, from 0.
        column: usize,
    },
    /// Another cell of a table.
    Cell,
    /// An image's alternative text.
    AltText,
}

/// A table with an item in its heading row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// The whole table.
    pub span: Span,
    /// The heading's cells, without their pipes.
    pub heading: Vec<Span>,
    /// The rows' cells, without their pipes; a missing one is empty.
    pub rows: Vec<Vec<Span>>,
}

/// A report and what is to be found in it.
#[derive(Debug)]
pub struct Document<'s> {
    /// The report, untouched.
    pub source: &'s str,
    /// A byte-order mark's length, 0 or 3: Markdown starts behind it.
    pub start: usize,
    /// The items, in order; they do not overlap.
    pub places: Vec<Place<'s>>,
    /// The source with every item masked, byte for byte.
    pub masked: Cow<'s, str>,
    /// The YAML between the `---` lines of the front matter.
    pub front_matter: Option<Span>,
    /// Tables with an item in their heading.
    pub tables: Vec<Table>,
    /// Openers that were given up, because Markdown let them be neither text nor code.
    pub given_up: Vec<Span>,
}

/// Finds the items of a report. Linear in its length but for a bounded number of parses.
pub fn locate(source: &str) -> Document<'_> {
    Document {
        source,
        start: 0,
        places: Vec::new(),
        masked: Cow::Borrowed(source),
        front_matter: None,
        tables: Vec::new(),
        given_up: Vec::new(),
    }
}
