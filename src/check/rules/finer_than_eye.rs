//! `finer-than-eye`: a tenth of a millimetre, read by eye.

use crate::check::desk::Desk;
use crate::check::instrument;
use crate::check::words::{self, Phrases, Told};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Source;
use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::{Dimension, Kind};
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "finer-than-eye",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a reading uncertainty that is a smaller share of a division than an eye can settle: under a tenth of any \
               division, or a tenth of a millimetre or less on a rule. Beside an instrument of the course it is the instrument's \
               `read_to` that counts.",
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
static HELPED: Phrases = Phrases::new(&[
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
]);

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    found.extend(desk.sound().filter_map(|(_, quantity)| below_course(desk, quantity)));
    for told in words::told(desk) {
        let by_eye = |source: &&Source| source.kind == Kind::Reading && source.amount != 0.0;
        let mut fine = told.quantity.sources.iter().filter(by_eye).filter_map(|source| claim(source, &told)).peekable();
        if fine.peek().is_none() {
            continue;
        }
        let words = told.words();
        let ruled = super::one_end_only::RULES.are_in(&words);
        if !HELPED.are_in(&words) {
            found.extend(fine.filter(|claim| claim.anywhere || ruled).map(worded));
        }
    }
}

/// A reading uncertainty that is smaller than the share of a division that the course says the eye can settle
/// on the instrument named beside it.
fn below_course(desk: &Desk<'_>, quantity: &Quantity) -> Option<Finding> {
    let typed = |source: &&Source| source.kind == Kind::Reading && source.instrument.is_none() && source.amount != 0.0;
    let source = quantity.sources.iter().find(typed)?;
    let instrument = instrument::beside(desk, quantity)?;
    let division = instrument::in_unit(desk, quantity, instrument.division.as_deref()?)?.to_f64();
    let read_to = instrument.read_to.as_deref()?;
    let share = parse::amount(read_to).ok().and_then(|amount| share(&amount))?;
    if source.amount >= division * share * (1.0 - 1e-9) {
        return None;
    }
    let message =
        format!("this is less than {read_to} of a division, which is what the course says an eye can settle there");
    let help = "take the clause out, so that the instrument's own counts, or say what helped the eye";
    let helped = source.reason.as_deref().is_some_and(|reason| HELPED.are_in(&words::plain(reason)));
    (!helped).then(|| RULE.at(source.span, message, help))
}

/// A reading uncertainty that may be finer than an eye can settle.
struct Claim {
    span: Span,
    what: String,
    /// Is it too fine on any scale, not only on a rule?
    anywhere: bool,
}

/// What a source claims of the eye, where that is a tenth or less.
fn claim(source: &Source, told: &Told<'_>) -> Option<Claim> {
    let written = source.written.as_ref()?;
    let millimetres = source.amount * told.quantity.unit.factor() * 1_000.0;
    let tenth = told.is(LENGTH) && is_fine(written, millimetres);
    let span = source.span;
    match share(written) {
        Some(share) if share < 0.0999 || share < 0.1001 && tenth => {
            let what = format!("1/{} of a division", libm::round(1.0 / share));
            Some(Claim { span, what, anywhere: share < 0.0999 })
        }
        None if tenth => Some(Claim { span, what: "a tenth of a millimetre or less".into(), anywhere: false }),
        _ => None,
    }
}

const LENGTH: Dimension = Dimension::new([1, 0, 0, 0, 0, 0, 0]);

fn worded(claim: Claim) -> Finding {
    let message = format!("this claims to have read {} by eye, which an eye can hardly settle", claim.what);
    let help = "write 1/4 of a division where marks are as close as millimetres, 1/10 where they are wide apart";
    RULE.at(claim.span, message, help)
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
