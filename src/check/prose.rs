//! The report around its items, as Markdown reads it: words, code spans, comments and the blocks behind
//! them. Only a report that holds something worth looking for is read for it.

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::locate::{self, Document};
use crate::span::Span;

/// What stands around the items.
#[derive(Debug, Default)]
pub(super) struct Prose {
    /// Running text, piece by piece, items masked; not the cells of tables whose columns are quantities.
    pub(super) words: Vec<Span>,
    /// Code spans with their backticks.
    pub(super) code: Vec<Span>,
    /// HTML comments, each with the block that comes next.
    pub(super) comments: Vec<(Span, Span)>,
    /// What is shown and not read.
    pub(super) unread: Vec<Unread>,
}

/// What a page shows and Markdown does not read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unread {
    /// Mathematics with its dollars.
    Math(Span),
    /// A piece of a block of HTML without comments, scripts and what shows its text as it is typed.
    Html(Span),
}

impl Unread {
    pub(super) const fn span(self) -> Span {
        match self {
            Self::Math(span) | Self::Html(span) => span,
        }
    }
}

/// Reads the masked report once.
pub(super) fn read(document: &Document<'_>) -> Prose {
    let text = document.masked.get(document.start..).unwrap_or("");
    let mut reader = Reader::default();
    for (event, range) in Parser::new_ext(text, locate::options()).into_offset_iter() {
        let span = Span::new(range.start + document.start, range.end + document.start);
        reader.event(&event, span, &document.masked);
    }
    let mut prose = reader.prose;
    let tables = &document.tables;
    let holds = |words: &Span| {
        let next = tables.partition_point(|table| table.span.start <= words.start);
        next.checked_sub(1).and_then(|last| tables.get(last)).is_some_and(|table| words.start < table.span.end)
    };
    prose.words.retain(|words| !holds(words));
    prose
}

#[derive(Default)]
struct Reader {
    prose: Prose,
    /// How many containers are open.
    depth: usize,
    /// Inside a code block or a metadata block, whose text is none of ours.
    verbatim: bool,
    /// Comments that wait for the next block, the first one's number, and how deep they stand.
    waiting: Option<(usize, usize)>,
}

impl Reader {
    fn event(&mut self, event: &Event<'_>, span: Span, source: &str) {
        match event {
            Event::Start(tag) => self.start(tag, span, source),
            Event::End(end) => {
                self.depth = self.depth.saturating_sub(1);
                self.verbatim &= !matches!(end, TagEnd::CodeBlock | TagEnd::MetadataBlock(_));
            }
            Event::Text(_) if !self.verbatim => self.prose.words.push(span),
            Event::Code(_) => self.prose.code.push(span),
            Event::InlineMath(_) | Event::DisplayMath(_) => self.prose.unread.push(Unread::Math(span)),
            _ => {}
        }
    }

    fn start(&mut self, tag: &Tag<'_>, span: Span, source: &str) {
        if is_block(tag) {
            self.settle(span, matches!(tag, Tag::HtmlBlock));
        }
        if matches!(tag, Tag::HtmlBlock) {
            self.comments(span, source);
        }
        self.verbatim |= matches!(tag, Tag::CodeBlock(_) | Tag::MetadataBlock(_));
        self.depth += 1;
    }

    /// The block that comments have waited for; another comment is not one.
    fn settle(&mut self, block: Span, html: bool) {
        let Some((first, depth)) = self.waiting else { return };
        if html || self.depth > depth {
            return;
        }
        for (_, next) in &mut self.prose.comments[first..] {
            *next = block;
        }
        self.waiting = None;
    }

    fn comments(&mut self, block: Span, source: &str) {
        let (text, first) = (block.of(source), self.prose.comments.len());
        let is_shown = !VERBATIM.iter().any(|tag| text.contains(tag));
        let mut shown = |from: usize, to: usize| {
            let piece = Unread::Html(Span::new(block.start + from, block.start + to));
            self.prose.unread.extend(is_shown.then_some(piece));
        };
        let mut at = 0;
        while let Some(open) = text[at..].find("<!--").map(|open| at + open) {
            let Some(close) = text[open..].find("-->") else { break };
            shown(at, open);
            at = open + close + "-->".len();
            let comment = Span::new(block.start + open, block.start + at);
            self.prose.comments.push((comment, Span::at(block.end)));
        }
        shown(at, text.len());
        if self.prose.comments.len() > first {
            self.waiting.get_or_insert((first, self.depth));
        }
    }
}

/// What is in a block with one of these is not what the page shows, or is meant to be shown as it is typed.
const VERBATIM: [&str; 6] = ["<script", "<style", "<pre", "<code", "<textarea", "<template"];

/// Blocks, as opposed to emphasis and links inside them.
const fn is_block(tag: &Tag<'_>) -> bool {
    matches!(
        tag,
        Tag::Paragraph
            | Tag::Heading { .. }
            | Tag::BlockQuote(_)
            | Tag::CodeBlock(_)
            | Tag::HtmlBlock
            | Tag::List(_)
            | Tag::Item
            | Tag::Table(_)
            | Tag::FootnoteDefinition(_)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_know_the_block_behind_them() {
        let source =
            "<!-- a -->\n<!-- b -->\n\nFirst *block*.\n\n- x\n\n  <!-- c -->\n\n  second\n\n`code` <!-- d --> end\n";
        let document = locate::locate(source);
        let prose = read(&document);
        let shown: Vec<_> = prose.comments.iter().map(|(c, next)| (c.of(source), next.of(source).trim())).collect();
        assert_eq!(
            shown,
            [("<!-- a -->", "First *block*."), ("<!-- b -->", "First *block*."), ("<!-- c -->", "second")]
        );
        assert_eq!(prose.code.iter().map(|span| span.of(source)).collect::<Vec<_>>(), ["`code`"]);
    }

    #[test]
    fn text_in_code_is_no_prose() {
        let source = "---\na: 1 ± 2\n---\n\n    1 ± 2\n\n```\n1 ± 2\n```\n\nIt is 3 ± 4 `5 ± 6` $7 ± 8$.\n";
        let document = locate::locate(source);
        let words: String = read(&document).words.iter().map(|span| span.of(source)).collect();
        assert_eq!(words, "It is 3 ± 4  .");
    }
}
