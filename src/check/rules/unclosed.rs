//! `unclosed`: an item without its `}`.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::locate::{End, Place};
use crate::parse::{Fault, FaultKind};
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
    let places = desk.context.document.places.iter().zip(desk.context.items);
    for (place, parsed) in places.filter(|(place, _)| place.end != End::Closed) {
        let opener = Span::new(place.span.start, place.span.start + "~{".len());
        let message = format!("this item has no closing `}}` {}, so its end is anybody's guess", before(place.end));
        let finding = RULE.at(opener, message, "write `}` where the item ends");
        found.push(with_closer(finding, place, &parsed.faults));
    }
}

/// Where the closer belongs: at the end of an item that could be read whole, else before the first
/// thing that does not belong to it.
fn with_closer(finding: Finding, place: &Place<'_>, faults: &[Fault]) -> Finding {
    let end = place.span.start + place.text.trim_end().len();
    match faults.first() {
        None => finding.certain(Span::at(end), "}"),
        Some(Fault { span, kind: FaultKind::Expected { .. } | FaultKind::SideBySide }) => {
            let read = place.text.get(..span.start.saturating_sub(place.span.start)).unwrap_or("");
            let stop = place.span.start + read.trim_end().len();
            if read.trim_end().len() <= "~{".len() { finding } else { finding.suggest(Span::at(stop), "}") }
        }
        Some(_) => finding,
    }
}

const fn before(end: End) -> &'static str {
    match end {
        End::Blank => "before the paragraph ends",
        End::Opener => "before the next `~{`",
        End::Line => "before the end of its line, and an item in a heading or a table row cannot go on in the next",
        End::Closed => "",
    }
}
