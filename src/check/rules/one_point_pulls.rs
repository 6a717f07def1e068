//! `one-point-pulls`: a line that one point draws to itself.

use crate::check::desk::Desk;
use crate::check::lines::Drawn;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::coverage;
use crate::evaluate::fit::influence::{Influence, influence};
use crate::evaluate::fit::{self, Point};
use crate::evaluate::statistics::count;

pub(super) static RULE: Rule = Rule {
    name: "one-point-pulls",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a line of six points or more of which one lies farther from the line through the others than chance allows once \
               in a hundred such tables, and farther than its own uncertainty reaches; and at a line whose slope one single point decides. \
               Nothing is ever left out for it.",
        why: "Least squares follow a far point more than ten near ones, so that one slip of the hand can make the slope. Whether it was a \
              slip only you can tell.",
        wrong: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.02 N \"scale\"} |\n|---|---|\n| 2.10 | 0.49 |\n| 4.25 | 0.98 |\n| 6.30 | 1.47 |\n\
                | 8.45 | 1.96 |\n| 10.60 | 2.45 |\n| 12.70 | 3.94 |\n\nThe stiffness is ~{k = slope(F against x)}.\n",
        right: "| ~{x [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.02 N \"scale\"} |\n|---|---|\n| 2.10 | 0.49 |\n| 4.25 | 0.98 |\n| 6.30 | 1.47 |\n\
                | 8.45 | 1.96 |\n| 10.60 | 2.45 |\n| 12.70 | 2.94 |\n\nThe stiffness is ~{k = slope(F against x)}.\n",
        edit: None,
        source: "R. D. Cook, Technometrics 19 (1977) 15; R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982, 2.2 (residual \
                 from the line through the other points, Student's t, its level divided by the number of points); from memory",
    },
    check,
};

/// The chance of a false alarm in a table.
const LEVEL: f64 = 0.01;

/// Three or four points of few digits lie on one line by mere chance of rounding, and every other one then lies far
/// off it.
const FEWEST: usize = 6;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for drawn in desk.lines().iter().filter(|drawn| drawn.fitted.points.len() >= FEWEST) {
        let parts = influence(&drawn.fitted.points, drawn.line());
        let message = alone(drawn, &parts).or_else(|| far(drawn, &parts));
        let help = "look at that row and at your notes again: if something went wrong there, tell it in the text and put a dash \
                    in place of the reading; if not, leave it in, and take more readings near it";
        found.extend(message.map(|message| RULE.at(drawn.span, message, help)));
    }
}

/// All other points stand above one x.
fn alone(drawn: &Drawn<'_>, parts: &[Influence]) -> Option<String> {
    let place = parts.iter().position(Influence::follows)?;
    Some(format!("this slope is decided by the point of row {} alone: all others stand at one x", row(drawn, place)?))
}

/// The point farthest from the line through the others, where it lies too far.
fn far(drawn: &Drawn<'_>, parts: &[Influence]) -> Option<String> {
    let off = |part: &Influence| part.left_out.map_or(0.0, libm::fabs);
    let (place, part) = parts.iter().enumerate().max_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
    let points = &drawn.fitted.points;
    let dof = count(drawn.line().dof.checked_sub(1)?);
    let distance = part.residual / (1.0 - part.leverage);
    let by_chance = count(points.len()) * coverage::two_sided(off(part), dof) >= LEVEL;
    if by_chance || libm::fabs(distance) <= drawn.reach(points.get(place)?) {
        return None;
    }
    let unit = &drawn.y.unit;
    let shown = say::with_unit(&say::to_figures(libm::fabs(distance) / unit.factor(), 2), unit);
    let side = if distance > 0.0 { "above" } else { "below" };
    let moved = moved(drawn, place).map(|moved| format!("; without it the slope would be {moved}")).unwrap_or_default();
    let row = row(drawn, place)?;
    Some(format!(
        "the point of row {row} lies {shown} {side} the line through the others, farther than chance would put it{moved}"
    ))
}

/// The number of a point's row, from 1.
fn row(drawn: &Drawn<'_>, place: usize) -> Option<usize> {
    drawn.fitted.rows.get(place).map(|row| row + 1)
}

/// How the slope would differ without the point: `8.3 % smaller`.
fn moved(drawn: &Drawn<'_>, place: usize) -> Option<String> {
    let points = drawn.fitted.points.iter().enumerate();
    let others: Vec<Point> = points.filter(|&(other, _)| other != place).map(|(_, point)| *point).collect();
    let without = fit::line(&others, drawn.line().options).ok()?.slope;
    let change = 100.0 * (libm::fabs(without) / libm::fabs(drawn.line().slope) - 1.0);
    let way = if change < 0.0 { "smaller" } else { "larger" };
    let turned = without * drawn.line().slope < 0.0;
    (!turned && libm::fabs(change) >= 0.1).then(|| format!("{} % {way}", say::to_figures(libm::fabs(change), 2)))
}
