//! `degrees-as-radians`: sin(30).

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Origin;
use crate::parse::ast::{Binary, Function, Item, Step};
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "degrees-as-radians",
    group: "formulas",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a sine, cosine or tangent of a typed number without a unit that is larger than a full turn in radians, \
               and at a whole number without a unit added to an angle in degrees.",
        why: "A pure number is an angle in radians. `sin(30)` is the sine of nearly five turns, and looks like that of 30°.",
        wrong: "The track is ~{l = 84.0 cm; reading 0.1 cm \"edge\"} long: ~{y = l * sin(30)}.\n",
        right: "The track is ~{l = 84.0 cm; reading 0.1 cm \"edge\"} long: ~{y = l * sin(30[deg])}.\n",
        edit: Some("Adds the degree as the unit, as a suggestion."),
        source: COMMON_PRACTICE,
    },
    check,
};

/// A full turn, and a little for those who rounded it.
const TURN: f64 = 6.3;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, item) in desk.spelt_items() {
        let Item::Result(derived) = item else { continue };
        for steps in derived.formula.steps.windows(2) {
            let [argument, Spanned { value: Step::Call(function, 1), .. }] = steps else { continue };
            if matches!(function, Function::Sin | Function::Cos | Function::Tan) {
                found.extend(suspicious(desk, argument).map(|angle| worded(desk, *function, argument.span, angle)));
            }
        }
        found.extend(derived.formula.steps.windows(3).filter_map(|steps| added(desk, steps)));
    }
}

/// `theta + 5`, where `theta` was recorded in degrees: five radians would be added.
fn added(desk: &Desk<'_>, steps: &[Spanned<Step>]) -> Option<Finding> {
    let [left, right, Spanned { value: Step::Binary(Binary::Add | Binary::Subtract), .. }] = steps else { return None };
    let (number, symbol) = match (&left.value, &right.value) {
        (Step::Symbol(symbol), Step::Number(_, None)) => (right, symbol),
        (Step::Number(_, None), Step::Symbol(symbol)) => (left, symbol),
        _ => return None,
    };
    let Step::Number(typed, _) = &number.value else { return None };
    // Nobody adds a whole number of radians to an angle.
    let whole = typed.decimal.last_place() >= 0 && !typed.decimal.is_zero();
    let unit = &desk.context.sheet.find(symbol)?.1.unit;
    let degrees = unit.dimension.is_none() && libm::fabs(unit.factor() - std::f64::consts::PI / 180.0) < 1e-9;
    let there = desk.text(number.span).trim();
    let message = format!("`{there}` has no unit, so it stands for radians, and is added to an angle in degrees");
    let finding = || {
        RULE.at(number.span, message, format!("write `{there}[deg]` if it is in degrees"))
            .suggest(Span::at(number.span.end), "[deg]")
    };
    (whole && degrees).then(finding)
}

struct Angle {
    /// Where the degree belongs, if it belongs there.
    unit: Option<Span>,
}

fn suspicious(desk: &Desk<'_>, argument: &Spanned<Step>) -> Option<Angle> {
    match &argument.value {
        Step::Number(number, None) if libm::fabs(number.decimal.to_f64()) > TURN => {
            Some(Angle { unit: Some(Span::at(argument.span.end)) })
        }
        Step::Symbol(symbol) => {
            let (_, quantity) = desk.context.sheet.find(symbol)?;
            let typed = !matches!(quantity.origin, Origin::Result { .. }) && quantity.unit.is_one();
            (typed && libm::fabs(quantity.measure?.value) > TURN).then_some(Angle { unit: None })
        }
        _ => None,
    }
}

fn worded(desk: &Desk<'_>, function: Function, span: Span, angle: Angle) -> Finding {
    let argument = say::quoted(desk.text(span));
    let message = format!(
        "{argument} has no unit, so `{}` takes it in radians, which makes more than a full turn",
        function.word()
    );
    match angle.unit {
        Some(place) => {
            let help = format!("write `{}[deg]` if it is in degrees", desk.text(span).trim());
            RULE.at(span, message, help).suggest(place, "[deg]")
        }
        None => RULE.at(span, message, "record it with the unit `deg` if it is in degrees"),
    }
}
