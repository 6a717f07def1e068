//! `argument-with-unit`: the logarithm of a length.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::quantity::{Dimension, Unit};

pub(super) static RULE: Rule = Rule {
    name: "argument-with-unit",
    group: "formulas",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a function or an exponent that is given something with a unit and can only take a pure number.",
        why: "The logarithm of two metres has no meaning: it would be another number for 200 centimetres.",
        wrong: "The rubber band carries ~{F = 2.40 N; reading 0.05 N \"the pointer trembles\"}; ~{y = ln(F)}.\n",
        right: "The rubber band carries ~{F = 2.40 N; reading 0.05 N \"the pointer trembles\"}; ~{y = ln(F / 1[N])}.\n",
        edit: None,
        source: "SI Brochure, 9th edition (2019), 5.4.7 and 2.3.3: arguments of such functions have the unit one",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::NotANumber { function, dimension } = fault.kind else { continue };
        if desk.rests_on_bare(fault.item) {
            continue;
        }
        let (message, help) = worded(function, dimension);
        found.push(RULE.at(fault.span, message, help));
    }
}

fn worded(function: &str, dimension: Dimension) -> (String, String) {
    let given = say::quantity_in(dimension);
    let unit = say::spelling(&Unit::coherent(dimension).shown);
    match function {
        "^" => (
            format!("the exponent here is {given}, but only a pure number can be one"),
            format!("divide it by a quantity of its own kind, as in `x^(a / 1[{unit}])`"),
        ),
        "sin" | "cos" | "tan" => (
            format!("`{function}` is given {given}, but it takes an angle or a pure number"),
            format!("give it an angle, as in `{function}(theta)` with `theta` recorded in `deg` or `rad`"),
        ),
        _ => (
            format!("`{function}` is given {given}, but it takes only a pure number"),
            format!("divide by a quantity of its own kind first, as in `{function}(x / 1[{unit}])`"),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_help_shows_the_form() {
        let (message, help) = worded("sin", Dimension::new([1, 0, 0, 0, 0, 0, 0]));
        assert_eq!(message, "`sin` is given a quantity in m, but it takes an angle or a pure number");
        assert!(help.starts_with("give it an angle"));
    }
}
