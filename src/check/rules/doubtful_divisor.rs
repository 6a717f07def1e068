//! `doubtful-divisor`: a division by something that may well be zero.

use crate::check::desk::Desk;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::parse::ast::{Binary, Item, Step};
use crate::span::Spanned;

pub(super) static RULE: Rule = Rule {
    name: "doubtful-divisor",
    group: "formulas",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a division by a quantity whose uncertainty is as large as its value, or larger.",
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
    for (_, item) in desk.spelt_items() {
        let Item::Result(derived) = item else { continue };
        for steps in derived.formula.steps.windows(2) {
            let [Spanned { value: Step::Symbol(symbol), span }, Spanned { value: Step::Binary(Binary::Divide), .. }] =
                steps
            else {
                continue;
            };
            let Some((_, quantity)) = desk.context.sheet.find(symbol) else { continue };
            let Some(measure) = quantity.measure.filter(|measure| !measure.point && measure.value != 0.0) else {
                continue;
            };
            if measure.uncertainty < libm::fabs(measure.value) * (1.0 - 1e-9) {
                continue;
            }
            let unit = quantity.unit.as_difference();
            let in_unit = |x: f64| say::number(x / unit.factor());
            let both = format!("{} ± {}", in_unit(measure.value), in_unit(measure.uncertainty));
            let message =
                format!("`{symbol}` is {}, so it may be zero, and this divides by it", say::with_unit(&both, &unit));
            found.push(RULE.at(*span, message, "measure it better, or turn the formula so that it is not divided by"));
        }
    }
}
