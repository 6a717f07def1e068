//! `outside-domain`: the square root of a negative number.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::fault::{FaultKind, Undefined};

pub(super) static RULE: Rule = Rule {
    name: "outside-domain",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a division by zero, a root or a logarithm of a negative number, the arcsine of more than one, and \
               other steps that have no real value.",
        why: "The result does not exist. Mostly a sign is wrong, or two symbols are swapped.",
        wrong: "Marks at ~{a = 12.0 cm; reading 0.1 cm \"edge\"} and ~{b = 31.5 cm; reading 0.1 cm \"edge\"}; \
                ~{y = sqrt(a - b)}.\n",
        right: "Marks at ~{a = 12.0 cm; reading 0.1 cm \"edge\"} and ~{b = 31.5 cm; reading 0.1 cm \"edge\"}; \
                ~{y = sqrt(b - a)}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::OutsideDomain { what, argument } = fault.kind else { continue };
        let (message, help) = worded(what, argument);
        found.push(RULE.at(fault.span, message, help));
    }
}

fn worded(what: Undefined, argument: f64) -> (String, String) {
    let number = say::number(argument);
    let (message, help) = match what {
        Undefined::Division => (
            "what stands below the slash is zero, and nothing can be divided by zero".into(),
            "look for two quantities that cancel, or a reading that should not be zero",
        ),
        Undefined::Power => (
            format!("the base {number} has no real power with this exponent"),
            "a base below zero takes whole exponents, zero takes positive ones: look for a wrong sign",
        ),
        Undefined::Function(function) => (of_function(function, &number), in_domain(function)),
        Undefined::Overflow => (
            "this step gives a number too large to compute with".into(),
            "look for a wrong power of ten, or an exponent that should be small",
        ),
    };
    (message, help.into())
}

fn of_function(function: &str, number: &str) -> String {
    format!("`{function}` has no real value at {number}, so there is no result")
}

fn in_domain(function: &str) -> &'static str {
    match function {
        "sqrt" => "give it something that is not negative: look for a wrong sign or two symbols swapped",
        "ln" | "log10" => "give it something greater than zero: look for a wrong sign or a fraction upside down",
        "asin" | "acos" => "give it something from -1 to 1: look for a fraction upside down",
        "atan2" => "give it two numbers of which at least one is not zero",
        "mean" | "sum" | "sd" | "sem" | "first" | "last" | "row" | "slope" | "intercept" | "wmean" => {
            "give it enough values to work with: see the function's page in the notation"
        }
        _ => "look for a wrong sign, a wrong unit or two symbols swapped",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_help_says_where_the_function_is_defined() {
        let (message, help) = worded(Undefined::Function("asin"), 1.502_31);
        assert_eq!(message, "`asin` has no real value at 1.5, so there is no result");
        assert!(help.contains("from -1 to 1"));
        assert!(worded(Undefined::Division, 0.0).0.contains("below the slash"));
    }
}
