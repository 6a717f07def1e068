//! `cycle`: quantities that are each worked out from the next.

use crate::check::desk::Desk;
use crate::check::{Finding, NOTATION, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Symbol;

pub(super) static RULE: Rule = Rule {
    name: "cycle",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at quantities that are worked out from each other in a circle.",
        why: "Each waits for the other, so none of them ever gets a value.",
        wrong: "The marble's speed is ~{v = s / t}, its way ~{s = v * t} in \
                ~{t = 1.32 s; reaction 0.20 s \"by hand\"}.\n",
        right: "The marble's speed is ~{v = s / t}, its way ~{s = 84.0 cm; reading 0.1 cm \"edge of the track\"} in \
                ~{t = 1.32 s; reaction 0.20 s \"by hand\"}.\n",
        edit: None,
        source: NOTATION,
    },
    check,
};

/// The longest path that is told in full; of a longer one its beginning.
const LONGEST_TOLD: usize = 6;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::Cycle { path, spans } = &fault.kind else { continue };
        let help = "record one of them as a reading, or work it out from quantities that do not depend on it";
        let mut finding = RULE.at(fault.span, told(path), help);
        for (symbol, &span) in path.iter().zip(spans).skip(1).take(LONGEST_TOLD) {
            finding = finding.beside(span, format!("`{symbol}` is defined here"));
        }
        found.push(finding);
    }
}

/// `v` is worked out from `s`, `s` from `v`.
fn told(path: &[Symbol]) -> String {
    let [first, rest @ ..] = path else { return "quantities are worked out from each other in a circle".into() };
    let Some(second) = rest.first() else {
        return format!("`{first}` is worked out from itself, so it never gets a value");
    };
    let mut told = format!("`{first}` is worked out from `{second}`");
    let links = rest.iter().zip(rest.iter().skip(1).chain([first]));
    for (from, to) in links.take(LONGEST_TOLD) {
        told += &format!(", `{from}` from `{to}`");
    }
    let more = rest.len().saturating_sub(LONGEST_TOLD);
    if more > 0 {
        told += &format!(" and so on, through {more} more, back to `{first}`");
    }
    told + ", so none of them ever gets a value"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_is_told_from_end_to_end() {
        let path = |symbols: &[&str]| symbols.iter().map(|s| Symbol::new(s)).collect::<Vec<_>>();
        assert_eq!(told(&path(&["x"])), "`x` is worked out from itself, so it never gets a value");
        assert_eq!(
            told(&path(&["v", "s", "t"])),
            "`v` is worked out from `s`, `s` from `t`, `t` from `v`, so none of them ever gets a value"
        );
        let many: Vec<Symbol> = (0..9_000).map(|n| Symbol::new(&format!("x_{n}"))).collect();
        assert!(told(&many).len() < 300 && told(&many).contains("8993 more"), "{}", told(&many));
    }
}
