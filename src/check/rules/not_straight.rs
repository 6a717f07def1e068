//! `not-straight`: points that bend away from the straight line fitted to them.

use crate::check::desk::Desk;
use crate::check::lines::Drawn;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fit::straightness;

pub(super) static RULE: Rule = Rule {
    name: "not-straight",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a line fitted to six points or more that follow no straight line: a parabola describes them better (Mandel's \
               test), or they lie on one side of the line for too long a stretch (runs test). Points about a straight line draw it at most \
               once in a hundred such tables; points whose own uncertainties all reach the line, never.",
        why: "A line through a bend has a slope that depends on where one began and ended. The bend itself may be the finding: a rubber band \
              that gives way, a distance that grows with the square of the time.",
        wrong: "| ~{t [s]; ± 0.01 s \"gates\"} | ~{d [cm]; ± 0.2 cm \"rule\"} |\n|---|---|\n| 1.00 | 10.1 |\n| 1.50 | 22.4 |\n| 2.00 | 40.2 |\n\
                | 2.50 | 62.3 |\n| 3.00 | 90.1 |\n| 3.50 | 122.4 |\n\nThe speed is ~{v = slope(d against t) in cm/s}.\n",
        right: "| ~{t [s]; ± 0.01 s \"gates\"} | ~{d [cm]; ± 0.2 cm \"rule\"} | ~{q [s^2] = t^2} |\n|---|---|---|\n| 1.00 | 10.1 | |\n\
                | 1.50 | 22.4 | |\n| 2.00 | 40.2 | |\n| 2.50 | 62.3 | |\n| 3.00 | 90.1 | |\n| 3.50 | 122.4 | |\n\n\
                The acceleration is ~{a = 2 * slope(d against q) in cm/s^2}.\n",
        edit: None,
        source: "J. Mandel, The Statistical Analysis of Experimental Data, 1964, and ISO 8466-1:1990 (a parabola beside the line); A. Wald, \
                 J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147 (runs); both from memory",
    },
    check,
};

/// The chance of a false alarm of each of the two tests: of both together it is at most their sum.
const LEVEL: f64 = 0.005;

/// Four or five points with few digits lie on a parabola by mere chance of rounding.
const FEWEST: usize = 6;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for drawn in desk.lines() {
        if let Some(how) = bend(drawn) {
            let help = "look at the graph with its residuals: if the relation is a curve, fit what should be straight (`t^2` in \
                        place of `t`, say), or keep to the stretch that is straight and say so";
            found.push(RULE.at(drawn.span, format!("these points follow no straight line: {how}"), help));
        }
    }
}

/// How the points bend, where chance hardly explains it and their own uncertainties do not.
fn bend(drawn: &Drawn<'_>) -> Option<String> {
    let (points, line) = (&drawn.fitted.points, drawn.line());
    let explained = points.iter().all(|point| libm::fabs(line.residual(point)) <= drawn.reach(point));
    if points.len() < FEWEST || explained {
        return None;
    }
    if let Some(curvature) = straightness::curvature(points, line).filter(|curvature| curvature.p < LEVEL) {
        let way = if curvature.quadratic > 0.0 { "steeper" } else { "flatter" };
        return Some(format!("they grow {way} along it, more than their scatter about a parabola would let them"));
    }
    let runs = straightness::runs(points, line).filter(|runs| runs.p < LEVEL)?;
    let expected = say::to_figures(runs.expected, 2);
    Some(format!("they change sides {} times only, where {expected} would be usual", runs.runs - 1))
}
