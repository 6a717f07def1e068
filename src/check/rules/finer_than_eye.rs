//! `finer-than-eye`: a tenth of a millimetre, read by eye.

use crate::check::desk::Desk;
use crate::check::words;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::{Dimension, Kind};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "finer-than-eye",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a reading uncertainty that is a smaller share of a division than an eye can settle: under a tenth of any \
               division, or a tenth of a millimetre or less on a rule. It keeps silent where an instrument of the course is named.",
        why: "Between marks as close as millimetres most people can settle a quarter, between wide ones a tenth. A smaller claim \
              is a wish.",
        wrong: "The block is ~{l = 62.4 mm; reading 2 × 1/10 of 1 mm \"wooden rule, both ends\"} long.\n",
        right: "The block is ~{l = 62.4 mm; reading 2 × 1/4 of 1 mm \"wooden rule, both ends\"} long.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// Scales with help for the eye.
const HELPED: [&str; 11] = [
    "vernier",
    "caliper",
    "calipers",
    "micrometer",
    "dial",
    "gauge",
    "digital",
    "magnifier",
    "lens",
    "microscope",
    "cathetometer",
];

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for told in words::told(desk) {
        if words::say(&told.words, &HELPED) {
            continue;
        }
        let ruled = words::say(&told.words, &super::one_end_only::RULES) && is_length(told.quantity);
        for source in told.quantity.sources.iter().filter(|source| source.kind == Kind::Reading && source.amount != 0.0)
        {
            let Some(written) = &source.written else { continue };
            let millimetres = source.amount * told.quantity.unit.factor() * 1_000.0;
            if let Some(share) = share(written)
                .filter(|share| *share < 0.0999 || *share < 0.1001 && ruled && is_fine(written, millimetres))
            {
                found.push(too_fine(source.span, &format!("1/{} of a division", libm::round(1.0 / share))));
            } else if share(written).is_none() && ruled && millimetres < 0.1001 {
                found.push(too_fine(source.span, "a tenth of a millimetre or less"));
            }
        }
    }
}

fn too_fine(span: Span, what: &str) -> Finding {
    let message = format!("this claims to have read {what} by eye, which an eye can hardly settle");
    let help = "write 1/4 of a division where marks are as close as millimetres, 1/10 where they are wide apart";
    RULE.at(span, message, help)
}

fn is_length(quantity: &Quantity) -> bool {
    quantity.measure.is_some_and(|measure| measure.dimension == Dimension::new([1, 0, 0, 0, 0, 0, 0]))
}

/// Is the division behind the share as close as millimetres? A share of a wide one leaves more.
fn is_fine(written: &Amount, millimetres: f64) -> bool {
    let doubled = matches!(written.steps.first(), Some(AmountStep::Number(n)) if n.value.decimal.to_f64() == 2.0);
    millimetres <= if doubled { 0.2001 } else { 0.1001 }
}

/// The share of a division that an amount is written as: 0.1 of `1/10 of 1 mm`, of `2 × 1/10 mm` too.
fn share(amount: &Amount) -> Option<f64> {
    amount.steps.windows(3).find_map(|steps| match steps {
        [AmountStep::Number(over), AmountStep::Number(under), AmountStep::Over] => {
            let (over, under) = (over.value.decimal.to_f64(), under.value.decimal.to_f64());
            (over > 0.0 && under > over).then(|| over / under)
        }
        _ => None,
    })
}
