//! `rough-number`: a typed number that is rougher than the measurement.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::sheet::Measure;
use crate::parse::ast::{Binary, Function, Item, Number, Step};
use crate::quantity::Decimal;
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "rough-number",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a decimal number typed into a product, a quotient, a power or a root whose own last digit is more doubtful than the whole \
               result. Whole numbers are exact, and so are halves, quarters and eighths without a unit.",
        why: "A number of two figures is known to some per cent, and the result cannot be better. Its roughness is not in the \
              uncertainty that is shown.",
        wrong: "The load of ~{m = 100.2 g; instrument 0.1 g \"data sheet\"} pulls with ~{F = m * 9.8[m/s^2]}.\n",
        right: "The load of ~{m = 100.2 g; instrument 0.1 g \"data sheet\"} pulls with ~{F = m * 9.814[m/s^2]}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (item, content) in desk.spelt_items() {
        let Item::Result(derived) = content else { continue };
        let steps = &derived.formula.steps;
        let measure = desk.context.sheet.defined_by(item).and_then(|(_, quantity)| quantity.measure);
        let Some(relative) = measure.and_then(relative) else { continue };
        let Some(powers) = powers(steps) else { continue };
        for (step, power) in steps.iter().zip(powers) {
            let weight = weight(step).map(|weight| weight * power).filter(|weight| *weight > relative);
            found.extend(weight.map(|weight| worded(desk, step, weight, relative)));
        }
    }
}

/// Of each step: the power, without its sign, by which it enters the whole; `None` of a formula that does more than
/// multiply, divide, and take fixed powers and roots. Exponents enter by none.
fn powers(steps: &[Spanned<Step>]) -> Option<Vec<f64>> {
    let mut powers = vec![0.0; steps.len()];
    // From the last step on, what comes next is what the open steps were given, the last of it first.
    let mut open = vec![1.0];
    for (number, step) in steps.iter().enumerate().rev() {
        let power = open.pop()?;
        powers[number] = power;
        match &step.value {
            Step::Number(..) | Step::Symbol(_) | Step::Pi => {}
            Step::Negate => open.push(power),
            Step::Binary(Binary::Multiply | Binary::Divide) => open.extend([power, power]),
            Step::Binary(Binary::Power) => {
                let Step::Number(exponent, None) = &steps.get(number.checked_sub(1)?)?.value else { return None };
                open.extend([power * libm::fabs(exponent.decimal.to_f64()), 0.0]);
            }
            Step::Call(Function::Sqrt, 1) => open.push(power / 2.0),
            Step::Call(Function::Cbrt, 1) => open.push(power / 3.0),
            Step::Binary(Binary::Add | Binary::Subtract) | Step::Call(..) => return None,
        }
    }
    Some(powers)
}

fn worded(desk: &Desk<'_>, step: &Spanned<Step>, weight: f64, relative: f64) -> Finding {
    let per_cent = |share: f64| say::to_figures(100.0 * share, 2);
    let message = format!(
        "{} makes the result doubtful by {} % by its last digit alone, which is rougher than the {} % of what was measured",
        say::quoted(desk.text(step.span)),
        per_cent(weight),
        per_cent(relative)
    );
    RULE.at(step.span, message, "write it with one or two more digits, or record it as a quantity with its uncertainty")
}

fn relative(measure: Measure) -> Option<f64> {
    let share = measure.uncertainty / libm::fabs(measure.value);
    (share.is_finite() && share > 0.0 && !measure.point).then_some(share)
}

/// Half a unit of a decimal number's last place, as a share of it.
fn weight(step: &Spanned<Step>) -> Option<f64> {
    let Step::Number(Number { decimal, .. }, unit) = &step.value else { return None };
    let simple = unit.is_none() && (8.0 * decimal.to_f64()).fract() == 0.0;
    let whole = decimal.last_place() >= 0;
    (!simple && !whole && !decimal.is_zero())
        .then(|| 0.5 * Decimal::step(decimal.last_place()).to_f64() / libm::fabs(decimal.to_f64()))
}
