//! `unit-spelling`: a unit in a spelling that the SI does not allow, whose meaning is plain.

use crate::check::desk::Desk;
use crate::check::paper::symbol_within;
use crate::check::{Finding, Page, Rule, Severity};
use crate::evaluate::fault::FaultKind;
use crate::parse;
use crate::parse::UnitWriting;
use crate::quantity::UnknownUnit;

pub(super) static RULE: Rule = Rule {
    name: "unit-spelling",
    group: "writing",
    severity: Severity::Error,
    page: &Page {
        does: "Points at a unit whose meaning is plain but whose spelling the SI does not allow: `sec`, `gms`, `m/s/s`, \
               `N m` with a blank, `J/kg*K`, the inch as `in`.",
        why: "Units are symbols, the same in every language. Abbreviations made up on the spot, and products and \
              quotients that can be read in two ways, are circled in every report.",
        wrong: "The gate takes ~{t = 4.62 sec; reaction 0.20 s \"by hand\"}.\n",
        right: "The gate takes ~{t = 4.62 s; reaction 0.20 s \"by hand\"}.\n",
        edit: Some("Writes the unit's symbol, or the product or quotient as the SI writes it."),
        source: "SI Brochure, 9th edition (2019), 5.2 and 5.3",
    },
    check,
};

/// Does this rule speak of that unknown unit?
pub(super) fn speaks_of(unknown: &UnknownUnit) -> bool {
    unknown.plainly_meant().is_some()
}

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    found.extend(desk.context.items.iter().flat_map(|parsed| &parsed.faults).filter_map(|fault| product(desk, fault)));
    for fault in desk.faults() {
        let FaultKind::UnknownUnit(unknown) = &fault.kind else { continue };
        let (symbol, Some(right)) = (&unknown.symbol, unknown.nearest.as_deref()) else { continue };
        if !speaks_of(unknown) || super::course::of_instrument(desk, fault) {
            continue;
        }
        let span = symbol_within(desk.text(fault.span), fault.span, symbol);
        let message =
            format!("`{symbol}` is not how this unit is written, and a unit has one symbol in every language");
        found.push(RULE.at(span, message, format!("write `{right}`")).certain(span, right));
    }
}

/// Products and quotients of units that the SI does not allow.
fn product(desk: &Desk<'_>, fault: &parse::Fault) -> Option<Finding> {
    let text = desk.text(fault.span).trim();
    if let parse::FaultKind::OpenDenominator { right } = &fault.kind {
        let message = format!("`{text}` can be read in two ways: its last factor may belong above or below the slash");
        return Some(
            RULE.at(fault.span, message, format!("write `{right}` if it belongs below")).suggest(fault.span, right),
        );
    }
    if let parse::FaultKind::UnitWriting { how, right, certain } = &fault.kind {
        let finding = RULE.at(fault.span, written(text, *how), format!("write `{right}`"));
        return Some(if *certain { finding.certain(fault.span, right) } else { finding.suggest(fault.span, right) });
    }
    let (message, right) = match &fault.kind {
        parse::FaultKind::BlankProduct { right } => {
            (format!("`{text}` leaves a blank between two units, so they cannot be told from one"), right.as_str())
        }
        parse::FaultKind::TwoSlashes { right } => (
            format!("`{text}` has more than one slash, so what is divided by what depends on the reader"),
            right.as_str(),
        ),
        parse::FaultKind::InchAsKeyword => {
            ("`in` is the word before the unit of a result, so it cannot be the inch".into(), "inch")
        }
        _ => return None,
    };
    Some(RULE.at(fault.span, message, format!("write `{right}`")).certain(fault.span, right))
}

fn written(text: &str, how: UnitWriting) -> String {
    match how {
        UnitWriting::NoCaret => {
            format!("`{text}` has a power without its `^`, so it reads as a number behind the unit")
        }
        UnitWriting::FullStop => {
            format!(
                "`{text}` has a full stop, but a unit's symbol is no abbreviation, and a product of units has a `*`"
            )
        }
        UnitWriting::Split => format!("`{text}` is one unit with a blank inside, which reads as two"),
        UnitWriting::Per => format!("`{text}` has a word in it, and a unit is made of symbols alone"),
    }
}
