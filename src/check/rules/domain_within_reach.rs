//! `domain-within-reach`: a root of something that may be negative.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::trial::Trial;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{Function, Step};

pub(super) static RULE: Rule = Rule {
    name: "domain-within-reach",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a root, a logarithm, an arcsine or an arccosine of something whose value is allowed but whose interval \
               reaches beyond what is.",
        why: "For part of the interval the result does not exist, so the uncertainty computed from the slope is not honest there.",
        wrong: "The lens is off by ~{x = 0.4 mm; reading 0.5 mm \"thick mark\"}: ~{y = sqrt(x)}, and ~{z = 2 * y} with it.\n",
        right: "The lens is off by ~{x = 4.4 mm; reading 0.5 mm \"thick mark\"}: ~{y = sqrt(x)}, and ~{z = 2 * y} with it.\n",
        edit: None,
        source: "JCGM 100:2008, 5.1.2, note: where a function is not linear over the uncertainty, higher terms matter",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for trial in desk.trials() {
        for (argument, function, limit) in leaving(trial) {
            let (span, function) = (trial.span(argument), function.word());
            let argument = say::quoted(desk.text(span));
            let message = format!("the interval of {argument} reaches {limit}, where `{function}` has no value");
            let help = "measure it better, or give the range of the result from the ends that are allowed, in words";
            found.push(RULE.at(span, message, help));
        }
    }
}

/// The arguments whose interval leaves the domain of their function.
pub(super) fn leaving(trial: &Trial<'_>) -> Vec<(usize, Function, &'static str)> {
    let left = trial.with_given().filter_map(|(step, given)| match (step, given) {
        (Step::Call(function, 1), &[argument]) => {
            let limit = limit_within(*function, trial.interval(argument))?;
            Some((argument, *function, limit))
        }
        _ => None,
    });
    left.collect()
}

/// The limit that is passed within the uncertainty, where the value itself is allowed.
fn limit_within(function: Function, (value, uncertainty): (f64, f64)) -> Option<&'static str> {
    let (low, high) = (value - uncertainty, value + uncertainty);
    match function {
        Function::Sqrt if value > 0.0 && low < 0.0 => Some("below zero"),
        Function::Ln | Function::Log10 if value > 0.0 && low <= 0.0 => Some("zero or less"),
        Function::Asin | Function::Acos if libm::fabs(value) < 1.0 && (low < -1.0 || high > 1.0) => Some("beyond 1"),
        _ => None,
    }
}
