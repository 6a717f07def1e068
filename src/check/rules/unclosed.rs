//! `unclosed`: an item without its `}`.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::locate::{End, Place};
use crate::parse::{self, Fault, FaultKind};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "unclosed",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at an item that is never closed: a blank line, the next `~{`, or the end of a heading \
               or of a table row comes before its `}`.",
        why: "Without the closer nobody can tell where the measurement ends and the prose goes on.",
        wrong: "The rod is ~{d = 12.42 mm; reading 0.02 mm \"both jaws seated\"\n\nIt is of brass.\n",
        right: "The rod is ~{d = 12.42 mm; reading 0.02 mm \"both jaws seated\"}\n\nIt is of brass.\n",
        edit: Some(
            "Puts the `}` at the end of the item, where all that stands before it can be read; where prose \
             follows, before the first word that cannot belong to the item, as a suggestion.",
        ),
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for place in desk.context.document.places.iter().filter(|place| place.end != End::Closed) {
        let opener = Span::new(place.span.start, place.span.start + "~{".len());
        let message = format!("this item is not closed {}, so nobody can tell where it ends", before(place.end));
        found.push(with_closer(RULE.at(opener, message, "write `}` where the item ends"), place));
    }
}

/// Where the closer belongs: at the end of an item that can be read whole, else before the first
/// thing that does not belong to it.
fn with_closer(finding: Finding, place: &Place<'_>) -> Finding {
    let inner = place.text.trim_end();
    let whole = Place {
        span: Span::new(place.span.start, place.span.start + inner.len() + "}".len()),
        text: format!("{inner}}}").into(),
        end: End::Closed,
        ..*place
    };
    let end = |length: usize| Span::at(place.span.start + length);
    match parse::parse(&whole).faults.first() {
        None => finding.certain(end(inner.len()), "}"),
        Some(Fault { span, kind: FaultKind::Expected { .. } | FaultKind::SideBySide }) => {
            let read = inner.get(..span.start.saturating_sub(place.span.start)).unwrap_or("").trim_end();
            if read.len() <= "~{".len() { finding } else { finding.suggest(end(read.len()), "}") }
        }
        Some(_) => finding,
    }
}

const fn before(end: End) -> &'static str {
    match end {
        End::Blank => "before the paragraph ends",
        End::Opener => "before the next `~{`",
        End::Line => "before its line ends, and in a heading or a table row no item goes on in the next line",
        End::Closed => "",
    }
}
