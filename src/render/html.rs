//! The report as HTML: what stands in place of items is put into the events of its Markdown, so that
//! nothing is escaped twice or parsed by accident.

use std::collections::VecDeque;
use std::iter::Peekable;

use pulldown_cmark::{CowStr, Event, OffsetIter, Parser, Tag, TagEnd};

use super::anchor::Anchors;
use super::column::{Address, Blank};
use super::hypertext::{Hypertext, bind};
use super::markup::escaped;
use super::piece::Piece;
use super::plan::{Block, Plan};
use super::safe::Filter;
use super::{Math, Options, code, column, words};
use crate::check::Finding;
use crate::locate::{Place, Setting};
use crate::span::Span;

/// The inside of a page.
#[derive(Debug, Default)]
pub(super) struct Body {
    pub(super) html: String,
    /// The text of the first heading.
    pub(super) heading: Option<String>,
    /// Does the report have a heading of the first level?
    pub(super) has_title: bool,
}

/// The whole report. In a fragment nothing but the items differs from what pulldown-cmark makes of the Markdown; on
/// a page headings have anchors, and wide tables are moved within themselves.
pub(super) fn write(plan: &Plan<'_>, options: &Options) -> Body {
    let document = plan.view.document;
    let masked = document.masked.get(document.start..).unwrap_or("");
    let mut anchors = Anchors::of(masked);
    let mut writer = Writer {
        plan,
        written: Hypertext::new(options.math.or(Math::Mathml), anchors.ours()),
        filter: options.safe.then(Filter::default),
        anchors: (!options.fragment).then_some(anchors),
        events: Parser::new_ext(masked, crate::locate::options()).into_offset_iter(),
        blocks: plan.blocks().collect::<VecDeque<_>>().into_iter().peekable(),
        ready: VecDeque::new(),
        leaf: None,
        depth: 0,
        next: 0,
        said: None,
        unsettled: Vec::new(),
        leaf_text: String::new(),
        emptied: false,
        tables: 0,
        blanks: plan.blanks().into_iter().peekable(),
        tables_seen: 0,
        table: None,
        row: 0,
        cell: None,
        body: Body::default(),
    };
    let mut html = String::with_capacity(masked.len() * 2);
    pulldown_cmark::html::push_html(&mut html, &mut writer);
    Body { html, ..writer.body }
}

/// A stream of events, those of the Markdown with the items' in them.
struct Writer<'p, 'r> {
    plan: &'p Plan<'r>,
    /// What is about to become an event.
    written: Hypertext,
    filter: Option<Filter>,
    /// Of a page's headings.
    anchors: Option<Anchors<'r>>,
    events: OffsetIter<'r, pulldown_cmark::DefaultBrokenLinkCallback>,
    blocks: Peekable<std::collections::vec_deque::IntoIter<Block>>,
    ready: VecDeque<Event<'r>>,
    /// Where in `ready` the paragraph or heading begins that is being read.
    leaf: Option<usize>,
    depth: usize,
    /// The first place that is not behind us.
    next: usize,
    /// The last item that was said.
    said: Option<usize>,
    /// Items of this block that stay as they are.
    unsettled: Vec<usize>,
    /// What the paragraph or heading under way says, without mark-up.
    leaf_text: String,
    /// Did an item in it leave nothing behind?
    emptied: bool,
    tables: usize,
    /// The cells that are still to be filled.
    blanks: Peekable<std::vec::IntoIter<Blank>>,
    /// How many of the document's tables have begun, and which of them is being read.
    tables_seen: usize,
    table: Option<usize>,
    /// Its row, and the cell that is being read.
    row: usize,
    cell: Option<Address>,
    body: Body,
}

impl<'r> Iterator for Writer<'_, 'r> {
    type Item = Event<'r>;

    fn next(&mut self) -> Option<Event<'r>> {
        // A paragraph or a heading is let go once it is whole.
        while self.ready.is_empty() || self.leaf.is_some() {
            let Some((event, range)) = self.events.next() else { break };
            let start = self.plan.view.document.start;
            let span = Span::new(range.start + start, range.end + start);
            match &mut self.filter {
                Some(filter) => filter.pass(event).into_iter().for_each(|event| self.event(event, span)),
                None => self.event(event, span),
            }
        }
        self.ready.pop_front()
    }
}

impl<'r> Writer<'_, 'r> {
    fn event(&mut self, event: Event<'r>, span: Span) {
        match event {
            Event::Start(tag) => self.start(tag, span),
            Event::End(tag) => self.end(tag, span),
            Event::Text(text) => self.text(text, span),
            // A line break inside an item.
            Event::SoftBreak | Event::HardBreak if self.inside(span) => {}
            other => {
                self.leaf_text.push_str(bare(&other));
                self.ready.push_back(other);
            }
        }
    }

    fn start(&mut self, tag: Tag<'r>, span: Span) {
        self.depth += 1;
        match &tag {
            Tag::Paragraph | Tag::Heading { .. } => {
                self.leaf = Some(self.ready.len());
                self.leaf_text.clear();
                self.emptied = false;
            }
            Tag::Table(_) => {
                self.begin_table(span);
                self.begin_scrolling();
            }
            // In the heading no cell is filled.
            Tag::TableHead => self.cell = None,
            Tag::TableRow => self.cell = self.table.map(|table| Address { table, row: self.row, column: 0 }),
            _ => {}
        }
        self.ready.push_back(Event::Start(tag));
    }

    fn end(&mut self, tag: TagEnd, span: Span) {
        self.depth = self.depth.saturating_sub(1);
        match tag {
            TagEnd::TableCell => self.end_cell(),
            TagEnd::TableRow => self.row += 1,
            _ => {}
        }
        let start = match tag {
            TagEnd::Paragraph | TagEnd::Heading(_) => self.leaf.take(),
            _ => None,
        };
        match (tag, start) {
            // An item that asks for a table leaves an empty paragraph behind.
            (TagEnd::Paragraph, Some(start)) if self.emptied && self.is_blank(start + 1) => self.ready.truncate(start),
            (TagEnd::Heading(level), Some(start)) => {
                self.heading(start);
                self.body.has_title |= level == pulldown_cmark::HeadingLevel::H1;
                self.ready.push_back(Event::End(tag));
            }
            _ => self.ready.push_back(Event::End(tag)),
        }
        if tag == TagEnd::Table {
            self.end_scrolling();
            self.table = None;
        }
        if self.depth == 0 {
            self.beneath(span.end);
        }
    }

    fn begin_scrolling(&mut self) {
        if self.anchors.is_some() {
            let label = escaped(words::TABLE.of(self.plan.view.course));
            self.html(format!("<div class=\"scroll\" role=\"group\" aria-label=\"{label}\" tabindex=\"0\">\n"));
        }
    }

    fn end_scrolling(&mut self) {
        if self.anchors.is_some() {
            self.html("</div>\n".into());
        }
    }

    fn begin_table(&mut self, span: Span) {
        let known = self.plan.view.document.tables.get(self.tables_seen);
        self.table = known.filter(|table| table.span.start == span.start).map(|_| self.tables_seen);
        self.tables_seen += usize::from(self.table.is_some());
        self.row = 0;
    }

    /// Fills the cell that ends, should it be one of those that are to be.
    fn end_cell(&mut self) {
        let Some(address) = self.cell else { return };
        while self.blanks.next_if(|blank| blank.address < address).is_some() {}
        if let Some(blank) = self.blanks.next_if(|blank| blank.address == address) {
            self.written.pieces(column::filling(self.plan.view, &blank).as_slice());
            self.ready.push_back(Event::InlineHtml(self.written.take().into()));
        }
        self.cell = Some(Address { column: address.column + 1, ..address });
    }

    /// Is there nothing from there on but blanks?
    fn is_blank(&self, start: usize) -> bool {
        let mut events = self.ready.range(start.min(self.ready.len())..);
        let marks = self.ready.len() > start;
        events.all(|event| matches!(event, Event::Text(text) | Event::InlineHtml(text) if text.trim().is_empty()))
            && marks
    }

    /// The heading that begins at `start` gets an anchor.
    fn heading(&mut self, start: usize) {
        let text = std::mem::take(&mut self.leaf_text).trim().to_owned();
        let Some(Event::Start(Tag::Heading { id, .. })) = self.ready.get_mut(start) else { return };
        if let Some(anchors) = self.anchors.as_mut().filter(|_| id.is_none()) {
            *id = Some(CowStr::from(anchors.name(&text)));
        }
        self.body.heading.get_or_insert(text);
    }

    /// Text, with the items in it.
    fn text(&mut self, text: CowStr<'r>, span: Span) {
        let mut at = span.start;
        while let Some(place) = self.place_before(span.end) {
            let item = self.next;
            if place.span.end <= at {
                self.next += 1;
                continue;
            }
            self.plain(Span::new(at, place.span.start));
            if self.said != Some(item) {
                self.said = Some(item);
                self.item(item, place);
            }
            at = place.span.end.min(span.end);
            if place.span.end > span.end {
                break;
            }
            self.next += 1;
        }
        if at == span.start {
            self.leaf_text.push_str(&text);
            self.ready.push_back(Event::Text(text));
        } else {
            self.plain(Span::new(at, span.end));
        }
    }

    fn place_before(&self, end: usize) -> Option<&'r Place<'r>> {
        self.plan.view.document.places.get(self.next).filter(|place| place.span.start < end)
    }

    fn inside(&self, span: Span) -> bool {
        self.place_before(span.end).is_some_and(|place| place.span.contains(span.start))
    }

    fn plain(&mut self, span: Span) {
        if !span.is_empty() {
            let text = span.of(&self.plan.view.document.masked);
            self.leaf_text.push_str(text);
            let rest = match self.ready.back_mut() {
                Some(Event::InlineHtml(html)) if html.ends_with("</math>") => {
                    let mut before = std::mem::replace(html, CowStr::from("")).into_string();
                    let formula = before.rfind("<math");
                    let rest = formula.map_or(text, |formula| bind(&mut before, formula, text));
                    *html = before.into();
                    rest
                }
                _ => text,
            };
            self.ready.push_back(Event::Text(CowStr::from(rest)));
        }
    }

    fn item(&mut self, item: usize, place: &Place<'_>) {
        let said = self.plan.said(item);
        let bare = match &said {
            // Elsewhere nobody asks.
            _ if !matches!(place.setting, Setting::AltText | Setting::Heading) => String::new(),
            Some(pieces) => pieces.iter().map(Piece::bare).collect(),
            None => code::content(self.plan.view.document, place).0,
        };
        self.leaf_text.push_str(&bare);
        self.emptied |= said.as_ref().is_some_and(Vec::is_empty);
        if said.is_none() {
            self.unsettled.push(item);
        }
        self.ready.push_back(match (place.setting, said) {
            (Setting::AltText, _) => Event::Text(bare.into()),
            (_, None) => Event::InlineHtml(self.broken(item, place).into()),
            (_, Some(pieces)) => {
                self.written.pieces(&pieces);
                Event::InlineHtml(self.written.take().into())
            }
        });
    }

    /// The item's own source; what is wrong with it is said beneath the block.
    fn broken(&self, item: usize, place: &Place<'_>) -> String {
        let (content, rest) = code::content(self.plan.view.document, place);
        let note = self.plan.error(item).map(|_| format!(" aria-describedby=\"{}\"", self.note_name(item)));
        format!("<code class=\"unsettled\"{}>{}</code>{}", note.unwrap_or_default(), escaped(&content), escaped(rest))
    }

    /// What belongs beneath the blocks that end before `end`.
    fn beneath(&mut self, end: usize) {
        let places = &self.plan.view.document.places;
        let begins = |block: &Block| places.get(block.items.start).is_some_and(|place| place.span.start < end);
        while let Some(block) = self.blocks.next_if(begins) {
            let wrong = std::mem::take(&mut self.unsettled);
            self.notes(&wrong);
            for graph in self.plan.graphs(&block) {
                self.tables += 1;
                self.written.graph(graph, self.tables);
            }
            for table in self.plan.tables(&block) {
                self.tables += 1;
                self.written.table(table, self.tables);
            }
            let written = self.written.take();
            if !written.is_empty() {
                self.html(written);
            }
        }
    }

    /// What is wrong with items of the block above; with more than one of them, which one it is.
    fn notes(&mut self, items: &[usize]) {
        let found = items.iter().filter_map(|&item| Some((item, self.plan.error(item)?)));
        let several = items.len() > 1;
        let notes: String = found.map(|(item, finding)| self.note(item, finding, several)).collect();
        if !notes.is_empty() {
            self.html(format!("<ul class=\"unsettled\">\n{notes}</ul>\n"));
        }
    }

    fn note(&self, item: usize, finding: &Finding, named: bool) -> String {
        let document = self.plan.view.document;
        let source = document.places.get(item).filter(|_| named).map(|place| code::content(document, place).0);
        let start = source.as_deref().and_then(|source| source.split_whitespace().next());
        let start = start.map(|start| format!("<code>{}</code>: ", escaped(start))).unwrap_or_default();
        let help = if finding.help.is_empty() { String::new() } else { format!("; {}", spoken(&finding.help)) };
        format!("<li id=\"{}\">{start}{}{help}.</li>\n", self.note_name(item), spoken(&finding.message))
    }

    /// What the note on an item is called.
    fn note_name(&self, item: usize) -> String {
        format!("{}{}", self.written.ours.unsettled, item + 1)
    }

    fn html(&mut self, html: String) {
        self.ready.push_back(Event::Html(html.into()));
    }
}

/// The text of an event that is none of [`Event::Text`].
fn bare<'e>(event: &'e Event<'_>) -> &'e str {
    match event {
        Event::Code(text) | Event::InlineMath(text) => text,
        Event::SoftBreak | Event::HardBreak => " ",
        _ => "",
    }
}

/// A message, what stands between backticks in the type of code.
fn spoken(message: &str) -> String {
    let parts = message.split('`').enumerate();
    let open = message.matches('`').count();
    let mark = |(n, part): (usize, &str)| match n % 2 {
        1 if n < open => format!("<code>{}</code>", escaped(part)),
        1 => format!("`{}", escaped(part)),
        _ => escaped(part),
    };
    parts.map(mark).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages() {
        assert_eq!(spoken("write `a<b`, not ` alone"), "write <code>a&lt;b</code>, not ` alone");
    }
}
