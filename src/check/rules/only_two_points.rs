//! `only-two-points`: a line through as many points as it takes to draw it.

use crate::check::desk::Desk;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};

pub(super) static RULE: Rule = Rule {
    name: "only-two-points",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a line fitted to two points, or to a single one where it has to pass through the origin.",
        why: "Such a line passes through its points whatever they are: it shows neither how far they scatter nor whether the relation is \
              straight. Its uncertainty is that of the two readings alone.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.05 N \"scale\"} |\n|---|---|\n| 2.10 | 0.49 |\n| 4.25 | 0.98 |\n\n\
                The stiffness is ~{k = slope(F against x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.05 N \"scale\"} |\n|---|---|\n| 2.10 | 0.49 |\n| 4.25 | 0.98 |\n| 6.30 | 1.47 |\n\
                | 8.45 | 1.96 |\n\nThe stiffness is ~{k = slope(F against x)}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for drawn in desk.lines() {
        if drawn.line().dof > 0 {
            continue;
        }
        let message = match drawn.line().options.through_origin {
            true => "this line rests on one point and the origin, so no scatter about it can be known",
            false => {
                "this line rests on two points, and passes through both whatever they are: no scatter can be known"
            }
        };
        found.push(RULE.at(
            drawn.span,
            message,
            "take more readings between these and beyond them, six or more in all",
        ));
    }
}
