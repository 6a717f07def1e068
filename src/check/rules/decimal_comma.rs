//! `decimal-comma`: `12,4` where a decimal point is wanted.

use crate::check::desk::Desk;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse;

pub(super) static RULE: Rule = Rule {
    name: "decimal-comma",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a number with a decimal comma inside an item.",
        why: "Inside an item a comma parts the values of a repeated reading, so `12,4` could be one number or two. \
              What the finished page shows is another matter: a course sets that with `decimal: comma`.",
        wrong: "The clay pot is ~{h = 14,3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Writes the decimal point, where the comma can be nothing else."),
        source: "ISO 80000-1:2009, 7.3.2, allows both signs; the notation of this program takes the point",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults().filter(|fault| fault.kind == FaultKind::NoNumberInCell) {
        let text = desk.text(fault.span);
        if let Some(right) = in_cell(text) {
            let message = format!("`{text}` has a comma inside, and the notation's decimal sign is the point");
            found.push(RULE.at(fault.span, message, format!("write `{right}`")).certain(fault.span, right));
        }
    }
    for fault in desk.context.items.iter().flat_map(|parsed| &parsed.faults) {
        let parse::FaultKind::DecimalComma { right } = &fault.kind else { continue };
        let message = format!(
            "`{}` has a comma inside, and in an item a comma parts the values of a list",
            desk.text(fault.span).trim()
        );
        found.push(match right {
            Some(right) => RULE.at(fault.span, message, format!("write `{right}`")).certain(fault.span, right),
            None => {
                let help = "write a point as the decimal sign, or a blank behind the comma if these are two values";
                RULE.at(fault.span, message, help)
            }
        });
    }
}

/// A cell holds one value, so that a comma in it can part nothing; three digits behind it may be thousands.
pub(super) fn in_cell(text: &str) -> Option<String> {
    let right = text.replace(',', ".");
    let places = text.split(|c: char| !(c.is_ascii_digit() || c == ',')).filter_map(|number| number.split_once(','));
    let decimal = places.clone().all(|(whole, rest)| !whole.is_empty() && !rest.is_empty() && rest.len() != 3);
    let plain = |c: char| c.is_ascii_digit() || matches!(c, ',' | '-' | '−' | '±' | ' ');
    (places.count() > 0 && decimal && text.chars().all(plain)).then_some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_has_one_comma_or_none() {
        assert_eq!(in_cell("50,00").as_deref(), Some("50.00"));
        assert_eq!(in_cell("−2,1 ± 0,1").as_deref(), Some("−2.1 ± 0.1"));
        for other in ["1,200", "slipped", "2,1 cm", "5", "1,2,3", ",5"] {
            assert_eq!(in_cell(other), None, "{other}");
        }
    }
}
