//! `unknown-unit`: a unit that neither the SI nor the course knows.

use crate::check::desk::Desk;
use crate::check::paper::symbol_within;
use crate::check::say;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse::ast::Symbol;
use crate::quantity::UnknownUnit;
use crate::span::Span;

pub(super) static RULE: Rule = Rule {
    name: "unknown-unit",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a unit symbol that is not known, and at the nearest one that is.",
        why: "A number in an unknown unit measures nothing: it can be neither computed with nor compared.",
        wrong: "The clay pot is ~{h = 14.3 cmm; reading 0.1 cmm \"its rim is level\"} high.\n",
        right: "The clay pot is ~{h = 14.3 cm; reading 0.1 cm \"its rim is level\"} high.\n",
        edit: Some("Writes the nearest known unit, as a suggestion."),
        source: "SI Brochure, 9th edition (2019), tables 2, 4, 7 and 8",
    },
    check,
};

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for fault in desk.faults() {
        let FaultKind::UnknownUnit(unknown) = &fault.kind else { continue };
        if super::unit_spelling::speaks_of(unknown) || super::course::of_instrument(desk, fault) {
            continue;
        }
        let span = symbol_within(desk.text(fault.span), fault.span, &unknown.symbol);
        let quantity = desk.context.sheet.find(&Symbol::new(&unknown.symbol)).map(|(_, quantity)| quantity.span);
        found.push(match quantity {
            Some(defined) => product(desk, span, unknown, defined),
            None => worded(span, unknown),
        });
    }
}

/// `3 h` where `h` is no unit but a quantity: a product without its sign.
fn product(desk: &Desk<'_>, span: Span, UnknownUnit { symbol, .. }: &UnknownUnit, defined: Span) -> Finding {
    let message = format!("`{symbol}` is no unit but a quantity of this report, and a product needs its sign");
    let touching = span.start.checked_sub(1).is_some_and(|before| desk.text(Span::new(before, span.start)) != " ");
    let help = format!("write `* {symbol}` if the quantity is meant, or the unit's symbol");
    let finding = RULE.at(span, message, help).beside(defined, format!("`{symbol}` is defined here"));
    finding.suggest(Span::at(span.start), if touching { " * " } else { "* " })
}

fn worded(span: Span, UnknownUnit { symbol, nearest }: &UnknownUnit) -> Finding {
    let symbol = say::quoted(symbol);
    let message = format!("{symbol} is not a unit known here, so the number before it cannot be computed with");
    if matches!(symbol.as_str(), "`division`" | "`divisions`" | "`div`") {
        return RULE.at(span, message, "write how large a division is, as in `1/2 of 1 mm`");
    }
    let otherwise = format!("or define {symbol} under `units` in the front matter");
    match nearest {
        // The molar and the metre are one slip of the shift key apart.
        Some(nearest) if symbol == "`M`" => {
            let help = format!("write `m` for the metre, `{nearest}` for the molar, {otherwise}");
            RULE.at(span, message, help)
        }
        Some(nearest) => {
            let help = format!("write `{nearest}` if that is the unit meant, {otherwise}");
            RULE.at(span, message, help).suggest(span, nearest.as_str())
        }
        None => RULE.at(span, message, format!("write the unit's international symbol, {otherwise}")),
    }
}
