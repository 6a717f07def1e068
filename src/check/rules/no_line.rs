//! `no-line`: points through which the course's method can lay no line.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::evaluate::fit::NoLine;
use crate::quantity::Unit;

pub(super) static RULE: Rule = Rule {
    name: "no-line",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a slope or an intercept of points that determine no straight line: all of them above one x, a point \
               without the uncertainty that would be its weight, bars that no one line passes through.",
        why: "A slope is rise over run: with no run there is none. A weight of one over no uncertainty is no number.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.1 N \"scale\"} |\n|---|---|\n| 2.10 | 0.5 |\n| 2.10 | 0.7 |\n| 2.10 | 0.9 |\n\n\
                The stiffness is ~{k = slope(F against x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.1 N \"scale\"} |\n|---|---|\n| 2.10 | 0.5 |\n| 3.05 | 0.7 |\n| 4.15 | 0.9 |\n\n\
                The stiffness is ~{k = slope(F against x)}.\n",
        edit: None,
        source: "D. York et al., Am. J. Phys. 72, 367 (2004), for errors in both coordinates (from memory); else common practice, no source",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NoLine { why, unit } = &fault.kind else { continue };
        let (message, help) = words(*why, unit);
        found.push(RULE.at(fault.span, message, help));
    }
}

/// What is wrong with the points, and what to do about it; rows are counted from 1.
fn words(why: NoLine, unit: &Unit) -> (String, &'static str) {
    match why {
        NoLine::TooFewPoints { points } => {
            (format!("a line needs two points, but there are {points}"), "fill the cells that are empty")
        }
        NoLine::NotFinite { row } => (
            format!("a coordinate of row {} is too large to be computed with", row + 1),
            "look for a wrong power of ten in that row",
        ),
        NoLine::EqualX => (
            "all points stand above the same x, so that no slope follows from them".into(),
            "look whether the two columns are the right way round: `slope(y against x)`",
        ),
        NoLine::NoUncertainty { row } => (
            format!("the point of row {} has no uncertainty, and so no weight in this fit", row + 1),
            "give the heading its uncertainty, or let the course set `fit: scatter`",
        ),
        NoLine::AnySlope => (
            "the bars in x are so wide that a line of any slope passes through all of them".into(),
            "take readings that lie further apart",
        ),
        NoLine::NoneThroughAll { miss, rows } => {
            let which = against(rows.map(|row| row + 1));
            let miss = say::with_unit(&say::to_figures(miss, 2), unit);
            (
                format!(
                    "no straight line passes through all error bars, {which} standing most against one: each would have to be longer by \
                     {miss} at both ends"
                ),
                "look at these readings again, or let the course set another `fit`",
            )
        }
        NoLine::NotSettled => (
            "the errors leave the slope open, and the fit does not settle".into(),
            "take readings that lie further apart",
        ),
        NoLine::OutOfRange => (
            "slope or intercept is too large to be computed with".into(),
            "look for a wrong power of ten in one of the columns",
        ),
    }
}

/// The bars that leave no room, the first of them alone on its side.
fn against([alone, one, other]: [usize; 3]) -> String {
    match (alone == one || alone == other, one == other) {
        (false, false) => format!(
            "that of row {alone} and, on the other side, those of rows {} and {}",
            one.min(other),
            one.max(other)
        ),
        (true, true) => format!("that of row {alone}"),
        _ => {
            let far = if one == alone { other } else { one };
            format!("those of rows {} and {}", alone.min(far), alone.max(far))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reason_has_its_words() {
        let (message, help) = words(NoLine::NoUncertainty { row: 2 }, &Unit::ONE);
        assert_eq!(message, "the point of row 3 has no uncertainty, and so no weight in this fit");
        assert!(help.contains("fit: scatter"));
        let none = |rows| words(NoLine::NoneThroughAll { miss: 0.1, rows }, &Unit::ONE).0;
        assert!(none([0, 4, 0]).contains("bars, those of rows 1 and 5 standing"), "{}", none([0, 4, 0]));
        let three = none([2, 4, 0]);
        assert!(three.contains("that of row 3 and, on the other side, those of rows 1 and 5"), "{three}");
        assert!(three.contains("by 0.1 "), "{three}");
    }
}
