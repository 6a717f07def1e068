//! Markdown with `--safe`: the source is rewritten where it holds HTML, a destination that is not allowed, or a heading's
//! attribute that could do something; everything else stays byte for byte.

use std::ops::Range;

use pulldown_cmark::{CowStr, Event, LinkType, Options, Parser, Tag, TagEnd};

use super::escape::{Spot, escape};
use super::safe::{is_allowed, is_comment, is_plain_attribute};
use crate::locate::Document;
use crate::span::{self, Span};

/// What is to be written in place of some bytes of the report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Edit {
    pub(super) span: Span,
    pub(super) text: String,
}

/// The edits that make a report safe, in order and apart from one another and from its items. They hold for this
/// program's reading of it and for those of plainer renderers: what is mathematics here is HTML to one that knows no dollars.
pub(super) fn edits(document: &Document<'_>) -> Vec<Edit> {
    let edits = found(&document.masked, document.start);
    let is_settled = edits.is_empty()
        || are_apart(document, &edits) && found(&applied(&document.masked, &edits), document.start).is_empty();
    kept_literal(document, if is_settled { edits } else { last_resort(document) })
}

/// What is no item in this reading, in code or given up for the Markdown about it, could be one once that is rewritten
/// or the items are figures and rationales: it becomes what it is now, a literal `~{`.
fn kept_literal(document: &Document<'_>, mut edits: Vec<Edit>) -> Vec<Edit> {
    let mut literal: Vec<usize> = document.given_up.iter().map(|opener| opener.start).collect();
    if !edits.is_empty() && document.masked.contains("~{") {
        let rewritten = applied(&document.masked, &edits);
        let rewritten = crate::locate::locate(&rewritten);
        let mut found: Vec<usize> = rewritten.places.iter().map(|place| place.span.start).collect();
        found.extend(rewritten.given_up.iter().map(|span| span.start));
        found.sort_unstable();
        literal.extend(before(&found, &edits));
        literal.sort_unstable();
        literal.dedup();
    }
    let edit_at =
        |at: usize| edits.partition_point(|edit| edit.span.start < at).checked_sub(1).and_then(|n| edits.get(n));
    literal.retain(|&at| edit_at(at).is_none_or(|edit| edit.span.end <= at));
    edits.extend(literal.into_iter().map(|at| Edit { span: Span::at(at), text: "\\".into() }));
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    edits
}

/// Where the places of a rewritten text were, in order, before the edits; those in the text of an edit were nowhere.
fn before(places: &[usize], edits: &[Edit]) -> Vec<usize> {
    let (mut old, mut new, mut edits) = (0, 0, edits.iter().peekable());
    let mut were = Vec::new();
    for &place in places {
        while let Some(edit) = edits.next_if(|edit| new + (edit.span.start - old) + edit.text.len() <= place) {
            new += edit.span.start - old + edit.text.len();
            old = edit.span.end;
        }
        let at = old + (place - new);
        let is_kept = edits.peek().is_none_or(|edit| at < edit.span.start);
        were.extend((place >= new && is_kept).then_some(at));
    }
    were
}

fn are_apart(document: &Document<'_>, edits: &[Edit]) -> bool {
    let misses_items = |edit: &Edit| {
        let next = document.places.partition_point(|place| place.span.end <= edit.span.start);
        document.places.get(next).is_none_or(|place| edit.span.end <= place.span.start)
    };
    edits.iter().all(misses_items) && edits.windows(2).all(|pair| pair[0].span.end <= pair[1].span.start)
}

fn applied(text: &str, edits: &[Edit]) -> String {
    span::spliced(text, edits.iter().map(|edit| (edit.span, edit.text.as_str())))
}

/// Where rewriting makes something new that is not safe (a second definition of a link's label takes the place of the
/// first one, say), every sign that could begin a tag, a link or attributes is made harmless.
fn last_resort(document: &Document<'_>) -> Vec<Edit> {
    let mut places = document.places.iter().peekable();
    let body = document.source.get(document.start..).unwrap_or("");
    let signs = body.match_indices(['<', '[', '{']).map(|(at, sign)| (at + document.start, sign));
    let outside = signs.filter(|&(at, _)| {
        while places.next_if(|place| place.span.end <= at).is_some() {}
        !places.peek().is_some_and(|place| place.span.contains(at))
    });
    let reference = |sign: &str| match sign {
        "<" => "&#60;",
        "[" => "&#91;",
        _ => "&#123;",
    };
    outside.map(|(at, sign)| Edit { span: Span::new(at, at + 1), text: reference(sign).to_owned() }).collect()
}

/// What is not safe in any reading.
fn found(markdown: &str, start: usize) -> Vec<Edit> {
    let own = crate::locate::options();
    let readings = [own, own - Options::ENABLE_MATH, Options::empty()];
    let mut edits: Vec<Edit> = readings.iter().flat_map(|&options| found_by(markdown, start, options)).collect();
    edits.sort_by_key(|edit| (edit.span.start, edit.span.end));
    edits.dedup();
    // A footnote that was set apart is no definition of a link any more.
    let apart: Vec<usize> = edits.iter().filter(|edit| edit.span.is_empty()).map(|edit| edit.span.start).collect();
    let next = |start: usize| apart.get(apart.partition_point(|&at| at <= start)).copied();
    edits.retain(|edit| next(edit.span.start).is_none_or(|at| edit.span.end <= at));
    edits
}

/// What one reading finds that is not safe.
fn found_by(markdown: &str, start: usize, options: Options) -> Vec<Edit> {
    let body = markdown.get(start..).unwrap_or("");
    let events = Parser::new_ext(body, options).into_offset_iter();
    let mut walk = Walk { markdown, edits: Vec::new(), links: Vec::new(), block: Vec::new(), in_heading: false };
    for (_, definition) in events.reference_definitions().iter() {
        if !is_allowed(&definition.dest) {
            walk.edit(moved(definition.span.clone(), start), String::new());
        }
    }
    for (event, range) in events {
        walk.event(event, moved(range, start));
    }
    walk.edits
}

const fn moved(range: Range<usize>, by: usize) -> Span {
    Span::new(range.start + by, range.end + by)
}

/// How much of a footnote is looked at: footnotes in footnotes would each be read to the end of all.
const LONGEST_FOOTNOTE: usize = 2_000;

fn beginning(text: &str) -> &str {
    let end = (0..=LONGEST_FOOTNOTE.min(text.len())).rev().find(|&end| text.is_char_boundary(end));
    text.get(..end.unwrap_or(0)).unwrap_or(text)
}

struct Walk<'m> {
    markdown: &'m str,
    edits: Vec<Edit>,
    /// The links and pictures under way.
    links: Vec<Link>,
    /// The lines of the block of HTML under way.
    block: Vec<(Span, String)>,
    in_heading: bool,
}

struct Link {
    span: Span,
    is_allowed: bool,
    /// Is its text its destination, between `<` and `>`?
    is_destination: bool,
    /// Where its text begins, and where what is known of it ends.
    inner: Span,
}

impl Walk<'_> {
    fn edit(&mut self, span: Span, text: String) {
        self.edits.push(Edit { span, text });
    }

    fn event(&mut self, event: Event<'_>, span: Span) {
        // What ends a link is none of its text, but of that of the link about it.
        let ended = matches!(event, Event::End(TagEnd::Link | TagEnd::Image)).then(|| self.links.pop()).flatten();
        if let Some(link) = self.links.last_mut() {
            link.inner.end = link.inner.end.max(span.end);
        }
        match event {
            Event::Start(tag) => self.start(&tag, span),
            Event::End(TagEnd::HtmlBlock) => self.end_block(span),
            Event::End(TagEnd::Heading(_)) => self.in_heading = false,
            Event::End(TagEnd::Link | TagEnd::Image) => {
                if let Some(link) = ended.filter(|link| !link.is_allowed) {
                    self.drop_link(&link);
                }
            }
            Event::Html(html) => self.block.push((span, html.into_string())),
            Event::InlineHtml(html) if !is_comment(&html) => {
                let spot = Spot { heading: self.in_heading, line_start: true, ..Spot::default() };
                self.edit(span, escape(&html, spot));
            }
            _ => {}
        }
    }

    fn start(&mut self, tag: &Tag<'_>, span: Span) {
        match tag {
            Tag::Link { dest_url, link_type, .. } => self.begin_link(span, dest_url, *link_type, 1),
            Tag::Image { dest_url, link_type, .. } => self.begin_link(span, dest_url, *link_type, 2),
            Tag::HtmlBlock => self.block.clear(),
            Tag::FootnoteDefinition(_) => self.footnote(span),
            Tag::Heading { id, classes, attrs, .. } => {
                self.in_heading = true;
                if attrs.iter().any(|(name, _)| !is_plain_attribute(name)) {
                    self.rename(span, id.as_ref(), classes);
                }
            }
            _ => {}
        }
    }

    /// A renderer without footnotes takes one for the definition of a link. One that is too long to be looked at is
    /// left out as such a definition.
    fn footnote(&mut self, span: Span) {
        let text = beginning(span.of(self.markdown));
        let Some(label) = text.find("]:").map(|at| at + "]:".len()) else { return };
        let link = format!("[x]:{}", text.get(label..).unwrap_or(""));
        let parser = Parser::new(&link);
        if parser.reference_definitions().iter().any(|(_, definition)| !is_allowed(&definition.dest)) {
            self.edit(Span::at(span.start + label), " &#8203;".to_owned());
        }
    }

    fn begin_link(&mut self, span: Span, destination: &str, link_type: LinkType, opener: usize) {
        let is_destination = matches!(link_type, LinkType::Autolink | LinkType::Email);
        let inner = Span::at(span.start + opener);
        self.links.push(Link { span, is_allowed: is_allowed(destination), is_destination, inner });
    }

    fn drop_link(&mut self, link: &Link) {
        let Link { span, inner, is_destination, .. } = *link;
        if is_destination {
            let text = span.of(self.markdown).trim_matches(['<', '>']);
            return self.edit(span, escape(text, Spot { line_start: true, ..Spot::default() }));
        }
        let rest = Span::new(inner.end, span.end).of(self.markdown);
        let close = inner.end + rest.find(']').unwrap_or(rest.len());
        self.edit(Span::new(span.start, inner.start), String::new());
        self.edit(Span::new(close, span.end), String::new());
    }

    /// A heading's attributes, but for its name and its classes, are left out.
    fn rename(&mut self, heading: Span, id: Option<&CowStr<'_>>, classes: &[CowStr<'_>]) {
        let text = heading.of(self.markdown);
        let Some((open, close)) = text.rfind('{').and_then(|open| Some((open, text.rfind('}')?))) else { return };
        let words = id.iter().map(|id| format!("#{id}")).chain(classes.iter().map(|class| format!(".{class}")));
        let words: Vec<String> = words.collect();
        let kept = if words.is_empty() { String::new() } else { format!("{{{}}}", words.join(" ")) };
        self.edit(Span::new(heading.start + open, heading.start + close + 1), kept);
    }

    /// A block of HTML becomes a paragraph that shows it.
    fn end_block(&mut self, span: Span) {
        let lines = std::mem::take(&mut self.block);
        let whole: String = lines.iter().map(|(_, html)| html.as_str()).collect();
        if is_comment(&whole) {
            return;
        }
        for (line, html) in lines.iter().filter(|(_, html)| !html.trim().is_empty()) {
            let text = line.of(self.markdown);
            let content = Span::new(line.start, line.start + text.trim_end().len());
            self.edit(content, escape(html.trim(), Spot { line_start: true, ..Spot::default() }));
        }
        self.part_from_what_follows(span.end);
    }

    /// A line of text right beneath would be of the same paragraph, one of `=` would make a heading of it.
    fn part_from_what_follows(&mut self, end: usize) {
        let at_line = self.markdown.get(..end).is_some_and(|before| before.ends_with('\n'));
        let next = self.markdown.get(end..).and_then(|rest| rest.lines().next()).unwrap_or("");
        let quotes = next.len() - next.trim_start_matches([' ', '\t', '>']).len();
        let (prefix, content) = next.split_at(quotes);
        let begins_itself =
            content.starts_with(['-', '*', '+', '#']) || content.starts_with(|c: char| c.is_ascii_digit());
        if at_line && !content.is_empty() && !begins_itself {
            self.edit(Span::at(end), format!("{}\n", prefix.trim_end()));
        }
    }
}
