//! `strongly-curved`: a formula that bends within the uncertainty.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::trial::Trial;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::parse::ast::{Binary, Step};

pub(super) static RULE: Rule = Rule {
    name: "strongly-curved",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a result whose formula, worked out at the ends of a quantity's interval, differs from the straight line through its \
               value by more than a quarter of the result's uncertainty; where the slope is zero, by anything.",
        why: "The uncertainty is computed from the slope at one point. Where the curve bends that much, the interval is lopsided and the \
              figure is not honest to its last digit.",
        wrong: "The lens: ~{u = 52.0 mm; reading 9.0 mm \"the image is blurred\"}, focus at ~{f = 30.0 mm; reading 0.5 mm \"label\"}: \
                ~{v = 1 / (1 / f - 1 / u)}.\n",
        right: "The lens: ~{u = 82.0 mm; reading 1.0 mm \"the image is blurred\"}, focus at ~{f = 30.0 mm; reading 0.5 mm \"label\"}: \
                ~{v = 1 / (1 / f - 1 / u)}.\n",
        edit: None,
        source: "JCGM 100:2008, 5.1.2, note: where a function is not linear over the uncertainty, higher terms matter; the quarter is \
                 common practice, no source",
    },
    check,
};

/// What the roundings of a sum may come to, as a share of its largest term.
const NOISE: f64 = 1e-12;

/// How many times the whole uncertainty one quantity's effect may be, bends and all, where nothing cancels.
const CANCELLED: f64 = 4.0;

/// The share of the uncertainty from which the bend is worth telling.
const SHARE: f64 = 0.25;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for trial in desk.trials() {
        let Some((_, quantity)) = desk.context.sheet.defined_by(trial.item) else { continue };
        let Some(measure) = quantity.measure else { continue };
        let Some((symbol, bent)) = most_bent(trial).filter(|(_, bent)| *bent > SHARE * measure.uncertainty) else {
            continue;
        };
        // A pole or the end of a domain within reach is told by rules of its own, and bends everything.
        if !super::doubtful_divisor::doubtful(trial).is_empty()
            || !super::domain_within_reach::leaving(trial).is_empty()
        {
            continue;
        }
        // Quantities that rest on the same readings cancel in the result; moved one by one, they do not.
        let noise = NOISE * libm::fabs(trial.value());
        if trial.steepest > CANCELLED * measure.uncertainty + noise {
            continue;
        }
        if measure.uncertainty == 0.0 {
            if bent > NOISE * largest_term(trial) {
                found.push(flat(quantity, symbol, bent));
            }
            continue;
        }
        let share = say::to_figures(100.0 * bent / measure.uncertainty, 2);
        let own = &quantity.symbol;
        let message = format!(
            "`{own}` changes more when `{symbol}` is off to one side than to the other, so one `±` for both is wrong by {share} % of itself"
        );
        let help = format!(
            "measure `{symbol}` better, or work `{own}` out at both ends of `{symbol}` and give that range in words"
        );
        found.push(RULE.at(quantity.span, message, help));
    }
}

/// At a peak, a trough or a zero of an even power: the slope is zero there, and with it the uncertainty.
fn flat(quantity: &Quantity, symbol: &str, bent: f64) -> Finding {
    let own = &quantity.symbol;
    let off = say::with_unit(&say::to_figures(bent / quantity.unit.factor(), 2), &quantity.unit.as_difference());
    let message = format!(
        "`{own}` has its turning point where `{symbol}` is, so its uncertainty comes out as zero, though it may be off by {off}"
    );
    let help = format!("work `{own}` out at both ends of `{symbol}`, and give that range in words");
    RULE.at(quantity.span, message, help)
}

/// The largest term of the formula's sums, in SI: their roundings bend a straight line by shares of it.
fn largest_term(trial: &Trial<'_>) -> f64 {
    let sums = trial.with_given().filter_map(|(step, given)| match step {
        Step::Binary(Binary::Add | Binary::Subtract) => Some(given),
        _ => None,
    });
    sums.flatten().map(|&term| trial.interval(term).0).fold(0.0, |most: f64, term| most.max(libm::fabs(term)))
}

fn most_bent<'t>(trial: &'t Trial<'_>) -> Option<(&'t str, f64)> {
    let bent = trial.bent.iter().map(|(symbol, bent)| (symbol.as_str(), *bent));
    bent.max_by(|a, b| a.1.total_cmp(&b.1))
}
