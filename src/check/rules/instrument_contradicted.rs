//! `instrument-contradicted`: less than the data sheet says, or more in its name.

use crate::check::data_sheet::{self, Beside};
use crate::check::desk::Desk;
use crate::check::instrument;
use crate::check::say;
use crate::check::words::{self, Phrases};
use crate::check::{COMMON_PRACTICE, Finding, Page, Rule, Severity};
use crate::evaluate::Quantity;
use crate::evaluate::sheet::{Origin, Record, Source};
use crate::parse;
use crate::quantity::{Decimal, Exact, Kind};

pub(super) static RULE: Rule = Rule {
    name: "instrument-contradicted",
    group: "reading",
    severity: Severity::Warning,
    page: &Page {
        does: "Points at a typed `instrument` uncertainty that is smaller than the data sheet of the instrument named beside it says, and \
               at one that is half as large again and gives the data sheet as its reason. One whose reason speaks of a calibration or a \
               comparison is spared.",
        why: "The maker answers for the data sheet. A smaller figure needs a better ground than a feeling.",
        wrong: "---\nmeniscus:\n  instruments:\n    meter: {name: voltmeter, display: 0.01 V, instrument: 0.5 % + 2 digits}\n---\n\n\
                The cell gives ~{U = 12.34 V; with meter; instrument 0.01 V \"last digit\"}.\n",
        right: "---\nmeniscus:\n  instruments:\n    meter: {name: voltmeter, display: 0.01 V, instrument: 0.5 % + 2 digits}\n---\n\n\
                The cell gives ~{U = 12.34 V; with meter}.\n",
        edit: None,
        source: COMMON_PRACTICE,
    },
    check,
};

/// Words of somebody who knows the instrument better than its maker does.
static CALIBRATED: Phrases = Phrases::new(&[
    "calibrated",
    "calibration",
    "calibrate",
    "certificate",
    "compared",
    "comparison",
    "adjusted",
    "checked",
    "zeroed",
]);

/// Words for what the maker says.
static OF_THE_MAKER: Phrases = Phrases::new(&[
    "data sheet",
    "datasheet",
    "data sheets",
    "maker",
    "maker's",
    "makers",
    "manufacturer",
    "manufacturer's",
    "manual",
    "spec",
    "specs",
    "specification",
    "specifications",
    "specified",
]);

/// An amount in the maker's name may be rounded up so far.
const ROUNDED_UP: f64 = 1.5;

fn check(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (_, quantity) in desk.sound() {
        let Origin::Reading(record) = &quantity.origin else { continue };
        let typed = |source: &&Source| source.kind == Kind::Instrument && source.instrument.is_none();
        let Some(source) = quantity.sources.iter().find(typed) else { continue };
        let speaks =
            |phrases: &Phrases| source.reason.as_deref().is_some_and(|said| phrases.are_in(&words::plain(said)));
        let Some(sheet) = said(desk, quantity, record).filter(|_| !speaks(&CALIBRATED)) else { continue };
        let (how, ground) = if source.amount < 0.95 * sheet {
            ("smaller", "how you know it better")
        } else if source.amount > ROUNDED_UP * sheet && speaks(&OF_THE_MAKER) {
            ("larger", "what makes it worse than its maker says")
        } else {
            continue;
        };
        let amount = say::with_unit(&say::number(sheet), &quantity.unit.as_difference());
        let message = format!("this instrument uncertainty is {how} than the {amount} of the instrument's data sheet");
        let help = format!("take the clause out, so that the data sheet counts, or give as the reason {ground}");
        found.push(RULE.at(source.span, message, help));
    }
}

/// What the data sheet of the instrument named in the item says of this reading, in its unit.
fn said(desk: &Desk<'_>, quantity: &Quantity, record: &Record) -> Option<f64> {
    let text = instrument::beside(desk, quantity)?.kinds.get(Kind::Instrument.word())?;
    let number = record.value.value.decimal;
    let digit = record.display.map_or_else(|| Decimal::step(number.last_place()).to_f64(), Exact::to_f64);
    let unit = quantity.unit.as_difference();
    let beside = Beside { unit: &unit, value: number.to_f64(), digit };
    data_sheet::amount(desk, &parse::amount(text).ok()?, &beside)
}
