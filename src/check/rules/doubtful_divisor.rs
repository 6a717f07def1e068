//! `doubtful-divisor`: a division by something that may well be zero.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::trial::Trial;
use crate::check::typed;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{Binary, Step};
use crate::quantity::Unit;

pub(super) static RULE: Rule = Rule {
    name: "doubtful-divisor",
    group: "formulas",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a division by something whose uncertainty is as large as its value, or larger.",
        why: "If the divisor may be zero, the quotient may be anything, and the uncertainty computed from the slope is far too \
              small.",
        wrong: "The band grows by ~{x = 1.0 mm; reading 1.0 mm \"it swings\"} under ~{F = 2.40 N; reading 0.05 N \"trembling\"}: \
                ~{k = F / x}.\n",
        right: "The band grows by ~{x = 41.0 mm; reading 1.0 mm \"it swings\"} under ~{F = 2.40 N; reading 0.05 N \"trembling\"}: \
                ~{k = F / x}.\n",
        edit: None,
        source: "JCGM 100:2008, 5.1.2, note: where a function is not linear over the uncertainty, higher terms matter",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for trial in desk.trials() {
        let divisors = doubtful(trial);
        if divisors.is_empty() {
            continue;
        }
        let units = typed::of_steps(desk, trial.steps);
        for divisor in divisors {
            let span = trial.span(divisor);
            let message = format!(
                "{} may be zero within its uncertainty ({}), and a quotient by it may be anything",
                say::quoted(desk.text(span)),
                figures(trial, divisor, units.get(divisor).and_then(Option::as_ref))
            );
            let help = "measure it better (of a difference, take readings that lie farther apart), or use a formula that does not divide by it";
            found.push(RULE.at(span, message, help));
        }
    }
}

/// What a step comes to, in the author's own units where they are plain.
fn figures(trial: &Trial<'_>, step: usize, unit: Option<&Unit>) -> String {
    let (value, spread) = trial.interval(step);
    let in_unit = |factor: f64| format!("{} ± {}", say::number(value / factor), say::number(spread / factor));
    match unit {
        // Only a difference of temperatures divides in their own unit.
        Some(unit) if unit.zero.is_some() => say::with_unit(&in_unit(1.0), &Unit::coherent(unit.dimension)),
        Some(unit) => say::with_unit(&in_unit(unit.factor()), unit),
        None => format!("{} in SI units", in_unit(1.0)),
    }
}

/// The steps that are divided by and may be zero.
pub(super) fn doubtful(trial: &Trial<'_>) -> Vec<usize> {
    let divisors = trial.with_given().filter_map(|(step, given)| match (step, given) {
        (Step::Binary(Binary::Divide), &[_, divisor]) => Some(divisor),
        _ => None,
    });
    let may_be_zero = |divisor: &usize| {
        let (value, spread) = trial.interval(*divisor);
        let size = libm::fabs(value);
        size > 0.0 && spread >= size * (1.0 - 1e-9)
    };
    divisors.filter(may_be_zero).collect()
}
