//! `course`: a mistake in the report's own front matter.

use std::collections::HashSet;

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::{Fault, FaultKind};
use crate::quantity::nearest;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "course",
    group: "course",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a key or a value under `meniscus` in the report's front matter that means nothing there, or that the course \
               does not let a report change; and at front matter that is none, since it does not begin in the first line, is never closed, or has its `meniscus:` misspelt.",
        why: "What is not understood is not done: the report would be read by other rules than its author believes.",
        wrong: "---\nmeniscus:\n  digit: 2\n---\n\nThe pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        right: "---\nmeniscus:\n  digits: 2\n---\n\nThe pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"} high.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in &desk.context.course.faults {
        found.push(RULE.at(fault.span, fault.message.as_str(), fault.help.as_str()));
    }
    if desk.context.course.faults.is_empty() {
        broken_instruments(desk, found);
        found.extend(match desk.context.document.front_matter {
            Some(yaml) => misspelt(desk, yaml),
            None => no_front_matter(desk),
        });
    }
}

/// `Meniscus:`, `meniscus` without its colon.
fn misspelt(desk: &Desk<'_>, yaml: Span) -> Option<Finding> {
    let keys = || {
        let mut start = yaml.start;
        yaml.of(desk.context.document.source).split_inclusive('\n').map(move |line| {
            let key = line.split(':').next().unwrap_or("").trim_end();
            let whole = (
                Span::new(start, start + key.len()),
                key,
                line.get(key.len()..).is_some_and(|rest| rest.starts_with(':')),
            );
            start += line.len();
            whole
        })
    };
    if keys().any(|(_, key, colon)| key == KEY && colon) {
        return None;
    }
    let (span, key, _) = keys().find(|(_, key, _)| key.eq_ignore_ascii_case(KEY) || nearest(key, [KEY]).is_some())?;
    let message = format!("{} is not the key `meniscus:`, so nothing beneath it holds", say::quoted(key));
    Some(RULE.at(span, message, "write `meniscus:`, in small letters, with its colon and without blanks before it"))
}

/// Lines between `---` that would be front matter in the first line, or with a `---` behind them.
fn no_front_matter(desk: &Desk<'_>) -> Option<Finding> {
    let document = desk.context.document;
    let text = document.source.get(document.start..)?;
    let begins = text.len() - text.trim_start().len();
    let mut lines = text.get(begins..)?.lines().map(str::trim_end);
    lines.next().filter(|line| *line == "---")?;
    let block = lines.take_while(|line| !line.is_empty()).take_while(|line| *line != "---");
    block.into_iter().find(|line| line.strip_suffix(':') == Some(KEY))?;
    let at = document.start + begins;
    let span = Span::new(at, at + "---".len());
    Some(if begins == 0 {
        let help = "write a line `---` behind the last of its keys, before the report begins";
        RULE.at(span, "this front matter is never closed, so nothing in it holds", help)
    } else {
        let help = "take out what stands before the `---`, blank lines and blanks too";
        let message = "front matter begins in the first line of a report, and this does not, so nothing in it holds";
        RULE.at(span, message, help).suggest(Span::new(document.start, at), "")
    })
}

/// The key of the front matter that this program reads.
const KEY: &str = "meniscus";

/// Descriptions that could not be read when they were needed. Front matter is read through before, and told where
/// it is wrong; a course that came another way is told where an instrument is used first.
fn broken_instruments(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut said = HashSet::new();
    for fault in desk.faults() {
        let (word, what) = match &fault.kind {
            FaultKind::BrokenInstrument { word, key } => (word.as_str(), format!("a `{key}` that cannot be read")),
            FaultKind::UnknownUnit(unknown) if of_instrument(desk, fault) => {
                (desk.text(fault.span), format!("the unit `{}`, which is not known here", unknown.symbol))
            }
            _ => continue,
        };
        let message = format!("the instrument `{word}` is described with {what}");
        let help = format!("correct it under `instruments`, `{word}`: an amount is a number and a unit, as in `1 mm`");
        if said.insert(message.clone()) {
            found.push(RULE.at(fault.span, message, help));
        }
    }
}

/// Does a fault lie in the description of the instrument that a `with` names, not in the item?
pub(super) fn of_instrument(desk: &Desk<'_>, fault: &Fault) -> bool {
    desk.context.course.instruments.contains_key(desk.text(fault.span))
}
