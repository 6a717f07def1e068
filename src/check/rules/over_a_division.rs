//! `over-a-division`: an eye that cannot tell one mark from the next.

use crate::check::desk::Desk;
use crate::check::instrument;
use crate::check::say;
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::Source;
use crate::quantity::Kind;

pub(super) static RULE: Rule = Rule {
    name: "over-a-division",
    group: "reading",
    severity: Severity::Advice,
    page: &Page {
        does: "Points at a typed reading uncertainty that is larger than a division of the instrument named beside it, once for \
               each end that is read.",
        why: "Which mark is the nearer one can always be told. If the place itself is blurred, that is the definition of what was \
              measured, and the clause should say so.",
        wrong: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 143.0 mm; with rule; reading 2 mm \"the rim is wavy\"} high.\n",
        right: "---\nmeniscus:\n  instruments:\n    rule: {name: wooden rule, division: 1 mm, read_to: 1/4}\n---\n\n\
                The pot is ~{h = 143.0 mm; with rule; definition 2 mm \"the rim is wavy\"} high.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let typed = |source: &&Source| source.kind == Kind::Reading && source.instrument.is_none();
        let Some(source) = quantity.sources.iter().find(typed) else { continue };
        let Some((division, ends)) = division(desk, quantity) else { continue };
        if source.amount > division * ends * (1.0 + 1e-9) {
            let unit = quantity.unit.as_difference();
            let division = say::with_unit(&say::number(division), &unit);
            let message = format!("this reading uncertainty is larger than a division of the instrument, {division}");
            let help = "if the thing itself is blurred or uneven, write `definition` instead of `reading`; else write the share of a division";
            found.push(RULE.at(source.span, message, help));
        }
    }
}

/// The division of the instrument named in the item, in the unit of its reading, and how many ends are read.
fn division(desk: &Desk<'_>, quantity: &Quantity) -> Option<(f64, f64)> {
    let instrument = instrument::beside(desk, quantity)?;
    let division = instrument::in_unit(desk, quantity, instrument.division.as_deref()?)?;
    Some((division.to_f64(), f64::from(instrument.ends.unwrap_or(1).clamp(1, 2))))
}
