//! Items that stay in a report as their own source: as code spans of Markdown that remain code
//! whatever stands about them, so that no later reading takes them for items again.

use std::borrow::Cow;
use std::collections::BTreeSet;

use super::loose::{Loose, runs};
use crate::locate::{Document, Place, Setting};

/// The source of an item as code: between backticks, or where those would join with others, as `<code>`.
pub(super) fn span(content: &str, loose: &Loose) -> String {
    if loose.catches(content) {
        return element(content);
    }
    let taken: BTreeSet<usize> = runs(content).collect();
    let free = (1..).find(|length| !taken.contains(length) && !loose.has_run(*length));
    let fence = "`".repeat(free.unwrap_or(1));
    // A code span loses one blank at each side, if both are there.
    let blank = if content.ends_with('`') { " " } else { "" };
    format!("{fence}{blank}{content}{blank}{fence}")
}

/// The same where no backtick may stand.
pub(super) fn element(content: &str) -> String {
    format!("<code>{}</code>", references(content))
}

/// The item's source on one line, and the white space behind it that is none of it.
pub(super) fn content<'d>(document: &'d Document<'_>, place: &Place<'_>) -> (String, &'d str) {
    let raw = place.span.of(document.source);
    let text = if in_cell(place) { Cow::Owned(raw.replace("\\|", "|")) } else { Cow::Borrowed(&*place.text) };
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

/// The same for Markdown: in a cell a `|` needs a backslash, be it in code.
pub(super) fn content_in_markdown<'d>(document: &'d Document<'_>, place: &Place<'_>) -> (String, &'d str) {
    let (content, rest) = content(document, place);
    (if in_cell(place) { content.replace('|', "\\|") } else { content }, rest)
}

pub(super) const fn in_cell(place: &Place<'_>) -> bool {
    matches!(place.setting, Setting::Cell | Setting::HeadingCell { .. })
}

/// Every sign as a character reference, which is text in Markdown and in HTML.
fn references(text: &str) -> String {
    let reference = |c: char| match c {
        c if c.is_ascii_punctuation() => format!("&#{};", u32::from(c)),
        c => c.to_string(),
    };
    text.chars().map(reference).collect()
}
