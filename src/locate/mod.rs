//! Where an item may stand. pulldown-cmark is the only judge of what is code, math, raw HTML, a
//! table, a destination; an item's bytes are masked so that Markdown reads none of them.

mod calm;
mod end;
mod front_matter;
mod heading;
mod item;
mod lines;
mod mask;
mod search;
mod table;
mod text;

pub use text::options;

use std::borrow::Cow;

use crate::span::Span;
use item::Item;
use search::Care;

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
    /// A blank line, or the end of the text, came first; or a code fence, or a table's delimiter row.
    Blank,
    /// The next unquoted `~{` came first.
    Opener,
    /// The line's end came first, in a heading or a table row; or the cell's.
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
    /// The rows' cells, without their pipes, as many as the heading has; a missing one is empty, at the row's end.
    pub rows: Vec<Vec<Span>>,
}

/// A report and what is to be found in it.
#[derive(Debug)]
pub struct Document<'s> {
    /// The report, untouched.
    pub source: &'s str,
    /// Where Markdown starts: behind a byte-order mark and the front matter. Read [`masked`](Self::masked) from
    /// this byte on, with [`options()`].
    pub start: usize,
    /// The items, in order; they do not overlap.
    pub places: Vec<Place<'s>>,
    /// What Markdown is to read: the source with every item masked, byte for byte; and with `\n` for a lone `\r`.
    pub masked: Cow<'s, str>,
    /// The YAML between the `---` lines at the very start.
    pub front_matter: Option<Span>,
    /// Tables with an item in their heading.
    pub tables: Vec<Table>,
    /// Openers that were given up. As Markdown stands, they are seen as text, but their items, masked, would
    /// become part of a link, a tag or a heading's attributes; or they stand in a cell for which the table has no column.
    pub given_up: Vec<Span>,
}

/// Finds the items of a report. Linear in its length: one reading by pulldown-cmark where nothing in an item could
/// mean something to Markdown, two otherwise, and no more than a fixed number at worst.
pub fn locate(source: &str) -> Document<'_> {
    let mark = if source.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
    let front_matter = front_matter::find(source, mark);
    let start = front_matter.map_or(mark, |found| found.end);
    let plain = lines::with_line_feeds(source);
    let found = search::search(&plain, start, Care::Enough);
    let mut document = Document {
        source,
        start,
        places: found.items.iter().map(|item| place(source, item)).collect(),
        masked: found.masked.map_or(plain, Cow::Owned),
        front_matter: front_matter.map(|found| found.yaml),
        tables: Vec::new(),
        given_up: found.given_up,
    };
    document.keep_tables(found.tables);
    document
}

const BYTE_ORDER_MARK: char = '\u{FEFF}';

fn place<'s>(source: &'s str, item: &Item) -> Place<'s> {
    Place {
        span: item.extent.span,
        text: item.extent.text(source),
        end: item.end,
        setting: item.text.setting,
        block_end: item.text.block_end,
    }
}

impl Document<'_> {
    /// Keeps those of `tables` that have an item in the heading; the heading cells count them anew.
    fn keep_tables(&mut self, tables: Vec<Table>) {
        let mut tables = tables.into_iter().enumerate();
        let mut last = None;
        for place in &mut self.places {
            let Setting::HeadingCell { table, .. } = &mut place.setting else { continue };
            if last != Some(*table) {
                last = Some(*table);
                self.tables.extend(tables.find(|(index, _)| index == table).map(|(_, kept)| kept));
            }
            *table = self.tables.len().saturating_sub(1);
        }
    }
}
