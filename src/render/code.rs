//! Items that stay in a report as their own source: as code spans of Markdown that remain code
//! whatever stands about them, so that no later reading takes them for items again.

use std::collections::BTreeSet;

use pulldown_cmark::{Event, Parser, Tag, TagEnd};

use crate::locate::{Document, Place, Setting};

/// The signs in a report's text that could join with one inside a code span.
#[derive(Debug, Default)]
pub(super) struct Loose {
    /// Lengths of runs of backticks that are text.
    backticks: BTreeSet<usize>,
    dollar: bool,
    angle: bool,
}

impl Loose {
    /// Looks through the text of a report, items masked.
    pub(super) fn of(document: &Document<'_>) -> Self {
        let mut loose = Self::default();
        let masked = document.masked.get(document.start..).unwrap_or("");
        let mut code = 0usize;
        for (event, range) in Parser::new_ext(masked, super::markdown_options()).into_offset_iter() {
            match event {
                Event::Start(Tag::CodeBlock(_) | Tag::HtmlBlock | Tag::MetadataBlock(_)) => code += 1,
                Event::End(TagEnd::CodeBlock | TagEnd::HtmlBlock | TagEnd::MetadataBlock(_)) => code -= 1,
                Event::Text(_) if code == 0 => loose.add(masked.get(range).unwrap_or("")),
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
    fn catches(&self, content: &str) -> bool {
        self.dollar && content.contains('$')
            || self.angle && content.contains(['>', '"', '\''])
            || runs(content).any(|length| self.backticks.contains(&length))
    }
}

/// The source of the item at `place` as code.
pub(super) fn span(document: &Document<'_>, place: &Place<'_>, loose: &Loose) -> String {
    let (content, rest) = content(document, place);
    let source = document.source.as_bytes();
    let beside = [place.span.start.checked_sub(1), Some(place.span.end - rest.len())];
    let touches = beside.into_iter().flatten().any(|at| matches!(source.get(at), Some(b'`' | b'\\')));
    if touches || loose.catches(&content) {
        return format!("<code>{}</code>{rest}", references(&content));
    }
    let taken: BTreeSet<usize> = runs(&content).collect();
    let free = (1..).find(|length| !taken.contains(length) && !loose.backticks.contains(length));
    let fence = "`".repeat(free.unwrap_or(1));
    let blank = if content.ends_with('`') { " " } else { "" };
    // A code span loses one blank at each side, if both are there.
    format!("{fence}{blank}{content}{blank}{fence}{rest}")
}

/// The item's source on one line, and the white space behind it that is none of it.
pub(super) fn content<'d>(document: &'d Document<'_>, place: &Place<'_>) -> (String, &'d str) {
    let raw = place.span.of(document.source);
    let cell = matches!(place.setting, Setting::Cell | Setting::HeadingCell { .. });
    // In a cell the source stays as it is: it is one line, and its `\|` are Markdown's.
    let text = if cell { raw } else { &place.text };
    let trimmed = text.trim_end();
    let rest = raw.get(raw.trim_end().len()..).unwrap_or("");
    let mut lines = trimmed.split(['\n', '\r']).map(str::trim).filter(|line| !line.is_empty());
    let mut content = lines.next().unwrap_or("").to_owned();
    for line in lines {
        content.push(' ');
        content.push_str(line);
    }
    (content, rest)
}

/// Lengths of the runs of backticks.
fn runs(text: &str) -> impl Iterator<Item = usize> {
    text.split(|c| c != '`').map(str::len).filter(|&length| length > 0)
}

/// Every sign as a character reference, which is text in Markdown and in HTML.
fn references(text: &str) -> String {
    let reference = |c: char| match c {
        c if c.is_ascii_punctuation() => format!("&#{};", u32::from(c)),
        c => c.to_string(),
    };
    text.chars().map(reference).collect()
}
