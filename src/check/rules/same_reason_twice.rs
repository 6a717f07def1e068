//! `same-reason-twice`: one source, counted twice.

use std::collections::HashMap;

use crate::check::desk::Desk;
use crate::check::paper::clauses;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::parse::ast::Clause;
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "same-reason-twice",
    group: "record",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at the second of two clauses of one reading that give the same kind and the same reason.",
        why: "Two clauses are two sources. What is said twice is counted twice.",
        wrong: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"; reading 0.1 cm \"uneven rim\"} high.\n",
        right: "The pot is ~{h = 14.3 cm; reading 0.1 cm \"uneven rim\"; reading 0.1 cm \"rough foot\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, item) in desk.spelt_items() {
        if !has_kind_twice(clauses(item)) {
            continue;
        }
        let mut said = HashMap::new();
        for clause in clauses(item) {
            let Clause::Source { kind, reason: Some(reason), .. } = &clause.value else { continue };
            let words = words::plain(&reason.value);
            if words.trim().is_empty() {
                continue;
            }
            match said.get(&(kind.value.as_ref(), words.clone())) {
                Some(&first) => {
                    let message = format!(
                        "this {} uncertainty has the same reason as an earlier one, so it counts twice",
                        kind.value
                    );
                    let help = "take one of the two out, or say what makes them two: another end, another edge";
                    found.push(RULE.at(clause.span, message, help).beside(first, "the first one"));
                }
                None => {
                    said.insert((kind.value.as_ref(), words), clause.span);
                }
            }
        }
    }
}

/// Do two clauses that give their reasons name the same kind?
fn has_kind_twice(clauses: &[Spanned<Clause>]) -> bool {
    let mut kinds: Vec<&str> = clauses
        .iter()
        .filter_map(|clause| match &clause.value {
            Clause::Source { kind, reason: Some(_), .. } => Some(kind.value.as_ref()),
            _ => None,
        })
        .collect();
    kinds.sort_unstable();
    kinds.windows(2).any(|pair| pair[0] == pair[1])
}
