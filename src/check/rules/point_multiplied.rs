//! `point-multiplied`: a temperature in degrees Celsius, multiplied.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;

pub(super) static RULE: Rule = Rule {
    name: "point-multiplied",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a temperature on the Celsius or Fahrenheit scale that is multiplied or divided, or at a sum of two; they were taken in \
               kelvin.",
        why: "Twice 20 °C is not 40 °C: the zero of the scale is a choice. Gas laws want the kelvin, heat wants a difference.",
        wrong: "The pot is at ~{T = 58.5 degC; reading 0.5 degC \"alcohol thermometer\"}; ~{y = 2 * T}.\n",
        right: "The pot is at ~{T = 331.7 K; reading 0.5 K \"alcohol thermometer\"}; ~{y = 2 * T}.\n",
        edit: None,
        source: "SI Brochure, 9th edition (2019), 2.3.1: the Celsius temperature is a difference from 273.15 K",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::PointMultiplied) {
        let message =
            "a temperature in °C or °F is multiplied here, whose zero was chosen freely, so it was taken in kelvin";
        let help =
            "if it is warming or cooling that counts, write the difference of two readings; otherwise record it in K";
        found.push(RULE.at(fault.span, message, help));
    }
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::PointsAdded) {
        let message = "this multiple or sum of temperatures in °C or °F is neither one nor a difference of two, and their zero was chosen \
                       freely, so they were taken in kelvin";
        let help = "for a mean write `mean(a, b)` or divide the sum by its number, for a change write a difference; otherwise record them in K";
        found.push(RULE.at(fault.span, message, help));
    }
}
