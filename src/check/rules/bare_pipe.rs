//! `bare-pipe`: `|` in an item in a table, where `\|` is meant.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::locate::Setting;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "bare-pipe",
    group: "writing",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a `|` inside an item that stands in a table.",
        why: "In a table `|` ends the cell, wherever it stands. Here the item is read as it is meant; an editor's preview or a site that shows \
              the file itself breaks the table at this place.",
        wrong: "| ~{x \"left | right\" [cm]; ± 0.1 cm \"rule\"} |\n|---|\n| 2.1 |\n",
        right: "| ~{x \"left \\| right\" [cm]; ± 0.1 cm \"rule\"} |\n|---|\n| 2.1 |\n",
        edit: Some("Puts a backslash before it."),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for place in &desk.context.document.places {
        if !matches!(place.setting, Setting::Cell | Setting::HeadingCell { .. }) {
            continue;
        }
        let bare: Vec<usize> = bare(desk.text(place.span)).map(|at| place.span.start + at).collect();
        let Some(&first) = bare.first() else { continue };
        let message =
            "a `|` ends the cell to every other reader of Markdown, and so breaks the table in the middle of this item";
        let finding = RULE.at(Span::new(first, first + 1), message, r"write `\|`");
        found.push(bare.into_iter().fold(finding, |finding, at| finding.certain(Span::at(at), "\\")));
    }
}

/// The pipes that no backslash escapes.
fn bare(text: &str) -> impl Iterator<Item = usize> {
    let mut escaped = false;
    text.bytes().enumerate().filter_map(move |(at, byte)| {
        let is_bare = byte == b'|' && !escaped;
        escaped = byte == b'\\' && !escaped;
        is_bare.then_some(at)
    })
}
