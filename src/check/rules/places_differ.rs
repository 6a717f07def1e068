//! `places-differ`: a value and its uncertainty that end at different places.

use crate::check::desk::Desk;
use crate::check::judge::{self, Judged, Judgement};
use crate::check::own::{self, Own};
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{Against, Item};
use crate::quantity::{Decimal, Rounding, round};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "places-differ",
    group: "figures",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a value and the uncertainty typed beside it where one of them has more decimals than the other.",
        why: "The last digit of a value is the one that its uncertainty makes doubtful. Where the two end at different \
              places, one of them claims digits that the other denies.",
        wrong: "The gate's radius is ~{r = 74.318 ± 0.2 cm \"hinge and edge are rounded\"}.\n",
        right: "The gate's radius is ~{r = 74.3 ± 0.2 cm \"hinge and edge are rounded\"}.\n",
        edit: Some(
            "Rounds the value to the place of the uncertainty, or adds the zeros that it needs, as a suggestion.",
        ),
        source: "JCGM 100:2008, 7.2.6: estimates are rounded to be consistent with their uncertainties",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for judged in desk.judged().iter().filter(|judged| judged.judgement == Judgement::PlacesDiffer) {
        found.extend(of_reading(desk, judged));
    }
    for (_, quantity) in desk.sound() {
        if let Some(Own { stated, uncertainty: Some(uncertainty) }) = own::figure(desk, quantity)
            // Either says what to write in place of both figures.
            && !super::stated::speaks_of(desk, quantity)
            && uncertainty.figures() <= judge::MOST_FIGURES
        {
            let finding = of_pair(stated.value.decimal, uncertainty, stated.span);
            // What comes out is rounded once; the typed figure, rounded again, may miss it.
            found.extend(finding.map(|finding| match &quantity.measure {
                Some(measure) => Finding { help: super::calculator_digits::help(desk, stated, measure), ..finding },
                None => finding,
            }));
        }
    }
    for (_, item) in desk.spelt_items() {
        if let Item::Comparison(comparison) = item
            && let Against::Estimate { estimate, .. } = &comparison.right
            && let Some(uncertainty) = own::typed(&estimate.value)
        {
            found.extend(of_pair(estimate.value.value.value.decimal, uncertainty, estimate.span));
        }
    }
}

fn of_reading(desk: &Desk<'_>, judged: &Judged<'_>) -> Option<Finding> {
    let typed = judged.typed?;
    let (value, uncertainty) = (judged.value(), typed.value);
    let span = judged.span(desk);
    if let Some(right) = with_the_power(judged, uncertainty) {
        let help = format!("write `{right}` if both have the same power of ten");
        return Some(RULE.at(span, message(value, uncertainty), help));
    }
    let finding = RULE.at(span, message(value, uncertainty), help(value, uncertainty));
    let finding = if span == judged.number.span { finding.beside(typed.span, "its uncertainty") } else { finding };
    Some(finding.suggest(judged.number.span, say::decimal(matched(value, uncertainty))))
}

/// `1.6e-19 C ± 0.1 C`: the two would end at the same place if the power of ten stood behind both.
fn with_the_power(judged: &Judged<'_>, uncertainty: Decimal) -> Option<String> {
    let power = judged.number.value.power.filter(|power| *power != 0)?;
    let value = judged.value().shifted(power.checked_neg()?);
    let alike = value.last_place() == uncertainty.last_place();
    alike.then(|| format!("({value} ± {uncertainty}) × 10^{power}"))
}

/// Of figures that carry no sources: a stated result, a value from elsewhere.
fn of_pair(value: Decimal, uncertainty: Decimal, span: Span) -> Option<Finding> {
    let differ = value.last_place() != uncertainty.last_place() && !uncertainty.is_zero();
    differ.then(|| RULE.at(span, message(value, uncertainty), help(value, uncertainty)))
}

fn message(value: Decimal, uncertainty: Decimal) -> String {
    let (own, other) = (say::step(value.last_place()), say::step(uncertainty.last_place()));
    if value.last_place() < uncertainty.last_place() {
        format!(
            "the value goes down to {own}, its uncertainty only to {other}, and digits below the doubtful one say nothing"
        )
    } else {
        format!(
            "the uncertainty goes down to {other}, the value only to {own}, so the digit that is in doubt is not recorded"
        )
    }
}

fn help(value: Decimal, uncertainty: Decimal) -> String {
    let both = |v, u| format!("`{} ± {}`", say::decimal(v), say::decimal(u));
    if value.last_place() < uncertainty.last_place() {
        return format!("write {}", both(matched(value, uncertainty), uncertainty));
    }
    let rounded = round::to_place(uncertainty, value.last_place(), Rounding::Up);
    let padded = matched(value, uncertainty);
    format!("write {} if that digit was read, otherwise {}", both(padded, uncertainty), both(value, rounded))
}

/// The value, ending where its uncertainty does.
fn matched(value: Decimal, uncertainty: Decimal) -> Decimal {
    round::to_place(value, uncertainty.last_place(), Rounding::Nearest)
}
