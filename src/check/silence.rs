//! `<!-- meniscus: silence RULE "reason" -->`: what a report's author asks not to be told of the next block.

use super::desk::Desk;
use super::finding::Finding;
use super::rule::{Rule, severity_of};
use super::rules::{rule, silence_unread, silenced_in_vain};
use crate::span::Span;

/// What a comment has to hold before it is looked at.
const BEGINS: &str = "<!-- meniscus:";

/// A comment that silences a rule.
struct Silence {
    rule: &'static Rule,
    comment: Span,
    block: Span,
}

/// Takes out what is silenced; says which silences silence nothing, and which cannot be read.
pub(super) fn apply(desk: &Desk<'_>, findings: &mut Vec<Finding>) {
    if !desk.holds(BEGINS) {
        return;
    }
    let (mut silences, mut unread) = (Vec::new(), Vec::new());
    for &(comment, block) in &desk.prose().comments {
        let text = comment.of(&desk.context.document.masked);
        let Some(asked) = text.strip_prefix(BEGINS).and_then(|rest| rest.strip_suffix("-->")) else { continue };
        match read(asked) {
            Ok(rule) => silences.push(Silence { rule, comment, block }),
            Err(why) => unread.push(silence_unread::RULE.at(comment, why.message(), why.help())),
        }
    }
    silence(desk, findings, &silences);
    add(desk, &silence_unread::RULE, unread, findings);
}

/// Takes out what lies in a silence's block and is of its rule.
fn silence(desk: &Desk<'_>, findings: &mut Vec<Finding>, silences: &[Silence]) {
    findings.sort_by_key(|finding| finding.span.start);
    let mut silenced = vec![false; findings.len()];
    let mut in_vain = Vec::new();
    for Silence { rule, comment, block } in silences {
        let first = findings.partition_point(|finding| finding.span.start < block.start);
        let within = findings.iter().enumerate().skip(first).take_while(|(_, finding)| finding.span.start < block.end);
        let own: Vec<usize> =
            within.filter(|(_, finding)| finding.rule == rule.name).map(|(number, _)| number).collect();
        if own.is_empty() && severity_of(rule, desk.context.course).is_some() {
            in_vain.push(silenced_in_vain::worded(rule.name, *comment));
        }
        own.into_iter().for_each(|number| silenced[number] = true);
    }
    let mut numbers = silenced.iter();
    findings.retain(|_| numbers.next() != Some(&true));
    add(desk, &silenced_in_vain::RULE, in_vain, findings);
}

/// Adds findings of a rule as loudly as the course has it.
fn add(desk: &Desk<'_>, rule: &Rule, new: Vec<Finding>, findings: &mut Vec<Finding>) {
    if let Some(severity) = severity_of(rule, desk.context.course) {
        findings.extend(new.into_iter().map(|finding| Finding { severity, ..finding }));
    }
}

/// Why a comment cannot be read.
enum Unread {
    /// It does not say `silence`.
    Unknown,
    /// It names no rule.
    Rule(String),
    /// It gives no reason.
    Reason,
}

impl Unread {
    fn message(&self) -> String {
        match self {
            Self::Unknown => "this comment speaks to the program, but not in words that it knows".into(),
            Self::Rule(word) => format!("`{word}` is no rule, so nothing is silenced"),
            Self::Reason => "this silence gives no reason, so nothing is silenced".into(),
        }
    }

    const fn help(&self) -> &'static str {
        match self {
            Self::Unknown => "write `<!-- meniscus: silence RULE \"reason\" -->` before the block that it is about",
            Self::Rule(_) => "write the name that stands in brackets before the message which is to be silenced",
            Self::Reason => "add in quotes, behind the rule, why the finding does not hold here",
        }
    }
}

/// ` silence no-reason "the course gives it" `.
fn read(asked: &str) -> Result<&'static Rule, Unread> {
    let rest = asked.trim().strip_prefix("silence").ok_or(Unread::Unknown)?.trim_start();
    let (word, reason) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let rule = rule(word).ok_or_else(|| Unread::Rule(word.into()))?;
    let quoted = reason.trim().trim_start_matches(['"', '“', '„']).trim_end_matches(['"', '”', '“']);
    let in_quotes = quoted.len() < reason.trim().len();
    if in_quotes && !quoted.trim().is_empty() { Ok(rule) } else { Err(Unread::Reason) }
}
