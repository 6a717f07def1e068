//! `scales-differ`: a value and its uncertainty in different units or powers of ten.

use crate::check::desk::Desk;
use crate::check::judge::Judgement;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{AmountStep, Item, Number, Reading, Total};
use crate::quantity::{Decimal, Rounding, round};
use crate::span::{Span, Spanned};

pub(super) static RULE: Rule = Rule {
    name: "scales-differ",
    group: "figures",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at an estimate whose `±` is in another unit than its value, or has another power of ten: `14.3 cm ± 1 mm`, \
               `1.2e3 g ± 100 g`.",
        why: "Whether the last digits of the two agree is seen at a glance only where both are on one scale.",
        wrong: "The pot is ~{h = 14.3 cm ± 1 mm \"uneven rim\"} high.\n",
        right: "The pot is ~{h = 14.3 ± 0.1 cm \"uneven rim\"} high.\n",
        edit: Some("Writes both in the unit and the power of ten of the value, where that is exact, as a suggestion."),
        source: "JCGM 100:2008, 7.2.2: in all its forms value and uncertainty share their unit",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for judged in desk.judged().iter().filter(|judged| judged.judgement == Judgement::Right) {
        let Some(Item::Reading(Reading { total: Some(total), unit: Some(unit), .. })) = desk.item(judged.quantity.item)
        else {
            continue;
        };
        let Some((what, end)) = differs(desk, judged.number.value, total, unit.span) else { continue };
        let message = format!("{what}, so that they cannot be held against each other at a glance");
        let span = judged.number.span.to(end);
        let Some(right) = judged.typed.map(|typed| on_one_scale(judged.number.value, typed.value)) else {
            found.push(RULE.at(span, message, "write both in one unit, with one power of ten"));
            continue;
        };
        let right = format!("{right} {}", desk.text(unit.span));
        found.push(RULE.at(span, message, format!("write `{right}`")).suggest(span, right));
    }
}

/// In what they differ, and where the uncertainty ends.
fn differs(desk: &Desk<'_>, value: Number, total: &Spanned<Total>, unit: Span) -> Option<(String, Span)> {
    let (number, end) = match &total.value.amount.steps[..] {
        [AmountStep::Number(number)] => (number, unit.to(number.span)),
        [AmountStep::Number(number), AmountStep::Unit(own)] => {
            let (here, there) = (desk.text(unit), desk.text(own.span));
            if here != there && there != "%" {
                return Some((format!("the value is in {here}, its uncertainty in {there}"), own.span));
            }
            (number, own.span)
        }
        _ => return None,
    };
    let apart = number.value.power != value.power && !number.value.decimal.is_zero();
    apart.then(|| ("the value and its uncertainty have different powers of ten".into(), end))
}

/// Value and uncertainty with one power of ten, zeros that only keep a place left out.
fn on_one_scale(value: Number, uncertainty: Decimal) -> String {
    let power = value.power.unwrap_or(0);
    let place = value.decimal.last_place().max(uncertainty.trimmed().last_place());
    let uncertainty = if place > uncertainty.last_place() {
        round::to_place(uncertainty, place, Rounding::Nearest)
    } else {
        uncertainty
    };
    let pair = format!("{} ± {}", value.decimal.shifted(-power), uncertainty.shifted(-power));
    if power == 0 { pair } else { format!("({pair}) × 10^{power}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_scale_is_that_of_the_value() {
        let decimal = |text: &str| Decimal::read(text).unwrap();
        let value = |text: &str, power| Number { decimal: decimal(text), power };
        assert_eq!(on_one_scale(value("14.3", None), decimal("0.1")), "14.3 ± 0.1");
        assert_eq!(on_one_scale(value("1.2e3", Some(3)), decimal("100")), "(1.2 ± 0.1) × 10^3");
        assert_eq!(on_one_scale(value("2.31e-3", Some(-3)), decimal("0.00005")), "(2.31 ± 0.05) × 10^-3");
    }
}
