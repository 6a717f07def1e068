//! Which bytes of a report are text, as pulldown-cmark reads it.

use pulldown_cmark::{Event, LinkType, Options, Parser, Tag, TagEnd};

use super::lines::trim_end;
use super::table::Tables;
use super::{Setting, Table, heading};
use crate::span::Span;

/// How a report is read when it is rendered.
///
/// Front matter is none of it (see [`Document::start`](super::Document::start)): to pulldown-cmark any two lines `---`
/// further down would be front matter too, and what stands between them would be lost.
pub fn options() -> Options {
    Options::ENABLE_TABLES
        | Options::ENABLE_FOOTNOTES
        | Options::ENABLE_STRIKETHROUGH
        | Options::ENABLE_TASKLISTS
        | Options::ENABLE_MATH
        | Options::ENABLE_GFM
        | Options::ENABLE_HEADING_ATTRIBUTES
}

/// How it is read while items are located: without the extensions that give `~` and `{` a meaning of their
/// own. Neither moves a block, code, math, a link or HTML; [`heading::attributes`] stands for one.
fn locating() -> Options {
    options() - Options::ENABLE_STRIKETHROUGH - Options::ENABLE_HEADING_ATTRIBUTES
}

/// A stretch of text in which something is to be located.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Text {
    pub(super) span: Span,
    /// The innermost block that holds it; in a table, the row.
    pub(super) leaf: Span,
    /// The end of the outermost.
    pub(super) block_end: usize,
    /// How many block quotes hold it.
    pub(super) quotes: usize,
    /// How far an item may go that begins in it.
    pub(super) reach: Reach,
    pub(super) setting: Setting,
}

/// What an item cannot leave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    /// Running text; a blank line ends it.
    Block,
    /// A `#` heading's line.
    Line,
    /// A table row's line; an item without a `}` ends with its cell.
    Cell,
}

/// What one reading of a report gave.
#[derive(Debug, Default)]
pub(super) struct Layout {
    /// The texts that hold a mark, in order.
    pub(super) texts: Vec<Text>,
    /// Text that could be the start of a link, a tag, a title, were it followed by other bytes; in order.
    pub(super) loose: Vec<usize>,
    /// Tables with a mark in the heading.
    pub(super) tables: Vec<Table>,
    /// Marks in cells for which the table has no column: Markdown drops them.
    pub(super) dropped: Vec<usize>,
}

impl Layout {
    /// The text that holds the byte `at`, which is a mark.
    pub(super) fn text_at(&self, at: usize) -> Option<&Text> {
        let first = self.texts.partition_point(|text| text.span.end <= at);
        self.texts.get(first).filter(|text| text.span.contains(at))
    }
}

/// Reads `markdown` from the byte `start` on. `marks`, in order, are the bytes of which is to be known whether
/// they are text.
pub(super) fn survey(markdown: &str, start: usize, marks: &[usize]) -> Layout {
    let mut walk = Walk::new(markdown, marks);
    let body = Span::new(start, markdown.len()).of(markdown);
    for (event, range) in Parser::new_ext(body, locating()).into_offset_iter() {
        let span = Span::new(range.start + start, range.end + start);
        match event {
            Event::Start(tag) => walk.open(&tag, span),
            Event::End(tag) => walk.close(tag, span),
            Event::Text(_) => walk.text(span),
            Event::Rule => walk.fresh = true,
            _ => walk.fresh = false,
        }
    }
    walk.layout.tables = walk.tables.done;
    walk.layout
}

struct Walk<'m> {
    markdown: &'m str,
    marks: std::iter::Peekable<std::iter::Copied<std::slice::Iter<'m, usize>>>,
    layout: Layout,
    tables: Tables,
    /// The blocks that are open, the outermost first.
    blocks: Vec<Span>,
    block_end: usize,
    /// The links that are open: is it one whose text is its destination?
    links: Vec<bool>,
    heading: Option<Heading>,
    cell_end: usize,
    quotes: usize,
    images: usize,
    /// How many open tags make their text something else: code, HTML, a destination.
    barred: usize,
    /// Does text that comes now begin a block?
    fresh: bool,
}

#[derive(Clone, Copy)]
struct Heading {
    has_signs: bool,
    /// Where its text ends at the latest.
    end: usize,
}

impl<'m> Walk<'m> {
    fn new(markdown: &'m str, marks: &'m [usize]) -> Self {
        Self {
            markdown,
            marks: marks.iter().copied().peekable(),
            layout: Layout { texts: Vec::with_capacity(marks.len()), ..Layout::default() },
            tables: Tables::default(),
            blocks: Vec::new(),
            block_end: 0,
            links: Vec::new(),
            heading: None,
            cell_end: 0,
            quotes: 0,
            images: 0,
            barred: 0,
            fresh: true,
        }
    }

    fn open(&mut self, tag: &Tag<'_>, span: Span) {
        match tag {
            Tag::Link { link_type, .. } => self.open_link(*link_type),
            Tag::Image { .. } => self.images += 1,
            Tag::TableCell => {
                self.tables.cell(span);
                self.cell_end = span.end;
            }
            tag if is_inline(&tag.to_end()) => {}
            tag => self.open_block(tag, span),
        }
        self.fresh = !is_inline(&tag.to_end());
    }

    fn open_link(&mut self, link_type: LinkType) {
        let is_destination = matches!(link_type, LinkType::Autolink | LinkType::Email);
        self.links.push(is_destination);
        self.barred += usize::from(is_destination);
    }

    fn open_block(&mut self, tag: &Tag<'_>, span: Span) {
        if self.blocks.is_empty() {
            self.block_end = trim_end(self.markdown.as_bytes(), span.start, span.end);
        }
        self.blocks.push(span);
        match tag {
            Tag::BlockQuote(_) => self.quotes += 1,
            Tag::CodeBlock(_) | Tag::HtmlBlock | Tag::MetadataBlock(_) => self.barred += 1,
            Tag::Heading { .. } => self.heading = Some(Heading::new(self.markdown, span)),
            Tag::Table(_) => self.tables.begin(span),
            Tag::TableHead => self.begin_row(span, Tables::begin_heading),
            Tag::TableRow => self.begin_row(span, Tables::begin_row),
            _ => {}
        }
    }

    fn begin_row(&mut self, row: Span, begin: impl Fn(&mut Tables)) {
        begin(&mut self.tables);
        self.cell_end = row.start;
    }

    fn close(&mut self, tag: TagEnd, span: Span) {
        match tag {
            TagEnd::Link => self.barred -= usize::from(self.links.pop().unwrap_or(false)),
            TagEnd::Image => self.images -= 1,
            TagEnd::TableCell => {}
            tag if is_inline(&tag) => {}
            tag => self.close_block(tag, span),
        }
        self.fresh = !is_inline(&tag);
    }

    fn close_block(&mut self, tag: TagEnd, span: Span) {
        self.blocks.pop();
        match tag {
            TagEnd::BlockQuote(_) => self.quotes -= 1,
            TagEnd::CodeBlock | TagEnd::HtmlBlock | TagEnd::MetadataBlock(_) => self.barred -= 1,
            TagEnd::Heading(_) => self.heading = None,
            TagEnd::Table => self.tables.end(self.markdown),
            TagEnd::TableHead | TagEnd::TableRow => {
                self.tables.end_row(self.markdown, span);
                self.drop_rest_of_row(span);
            }
            _ => {}
        }
    }

    fn drop_rest_of_row(&mut self, row: Span) {
        while let Some(mark) = self.marks.next_if(|&mark| mark < row.end) {
            if mark >= self.cell_end {
                self.layout.dropped.push(mark);
            }
        }
    }

    fn text(&mut self, mut span: Span) {
        if let Some(heading) = self.heading {
            span.end = span.end.min(heading.end);
        }
        if self.barred == 0 {
            self.note_loose(span);
            self.keep(span);
        }
        self.fresh = false;
    }

    fn note_loose(&mut self, span: Span) {
        let bytes = self.markdown.as_bytes();
        let behind_bracket = span.start > 0 && bytes.get(span.start - 1) == Some(&b']');
        let loose = match bytes.get(span.start) {
            Some(b'<' | b'[' | b']' | b'!' | b'$') => true,
            Some(b'"' | b'\'' | b'(') if self.fresh => true,
            _ => behind_bracket,
        };
        if loose {
            self.layout.loose.push(span.start);
        }
    }

    /// Keeps the text if it holds a mark.
    fn keep(&mut self, span: Span) {
        while self.marks.next_if(|&mark| mark < span.start).is_some() {}
        if self.marks.peek().is_none_or(|&mark| mark >= span.end) {
            return;
        }
        while self.marks.next_if(|&mark| mark < span.end).is_some() {}
        let text = Text {
            span,
            leaf: self.blocks.last().copied().unwrap_or(span),
            block_end: self.block_end,
            quotes: self.quotes,
            reach: self.reach(),
            setting: self.setting(),
        };
        self.layout.texts.push(text);
    }

    fn reach(&self) -> Reach {
        match self.heading {
            _ if self.tables.is_open() => Reach::Cell,
            Some(Heading { has_signs: true, .. }) => Reach::Line,
            _ => Reach::Block,
        }
    }

    fn setting(&mut self) -> Setting {
        if self.images > 0 {
            return Setting::AltText;
        }
        match self.tables.heading_cell() {
            Some((table, column)) => Setting::HeadingCell { table, column },
            None if self.tables.is_open() => Setting::Cell,
            None if self.heading.is_some() => Setting::Heading,
            None => Setting::Text,
        }
    }
}

impl Heading {
    fn new(markdown: &str, span: Span) -> Self {
        let attributes = heading::attributes(markdown, span);
        Self {
            has_signs: heading::has_signs(markdown, span),
            end: attributes.map_or(span.end, |attributes| attributes.start),
        }
    }
}

const fn is_inline(tag: &TagEnd) -> bool {
    matches!(
        tag,
        TagEnd::Emphasis
            | TagEnd::Strong
            | TagEnd::Strikethrough
            | TagEnd::Superscript
            | TagEnd::Subscript
            | TagEnd::Link
            | TagEnd::Image
    )
}
