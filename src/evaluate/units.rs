//! The units of a course, each worked out from the amount that defines it: `14 lb`, `1/60 Hz`, `2 span`.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::amount::{self, Scale};
use super::fault::FaultKind;
use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::{Exact, Unit, Units};

/// The built-in units and those of a course, each of which may build on those that are known before it,
/// in any order. One that cannot be worked out is left out.
#[must_use]
pub fn of_course(defined: &BTreeMap<String, String>) -> Units {
    let mut units = Units::default();
    let read = defined.iter().filter_map(|(symbol, text)| Some((symbol, parse::amount(text).ok()?)));
    let mut waiting: Vec<(&String, Amount)> = read.collect();
    loop {
        let before = waiting.len();
        waiting.retain(|(symbol, amount)| match usable(amount, &units) {
            Some((number, unit)) => {
                units.add(symbol, number, &unit);
                false
            }
            None => true,
        });
        if waiting.is_empty() || waiting.len() == before {
            return units;
        }
    }
}

/// What an amount comes to in the first unit that it names.
///
/// # Errors
/// Of an amount that has no size of its own (`2 digits`, a bare number, two units multiplied), of units that measure
/// different things, and of one that is not known.
pub fn size(amount: &Amount, units: &Units) -> Result<(Exact, Unit), FaultKind> {
    let unit = match spelled(amount).next() {
        Some(spelling) => units.find(spelling).map_err(FaultKind::UnknownUnit)?,
        None => Unit::one(),
    };
    let unit = Arc::new(unit);
    let scale = Scale { unit: &unit, digit: None, range: None, bare: false };
    let size = amount::size(amount, &scale, &mut |spelling| units.find(spelling).map(Arc::new))?;
    if !size.relative.is_zero() {
        return Err(FaultKind::AmountWithoutSize { why: "it is a share of something else" });
    }
    let long = FaultKind::AmountWithoutSize { why: "it has more digits than can be computed with" };
    Ok((size.absolute.exact().ok_or(long)?, Unit::clone(&unit)))
}

/// The unit of pure numbers, to be pointed at.
pub(super) static ONE: Unit = Unit::ONE;

/// A unit for differences: itself, but for one with a zero point.
pub(super) fn difference(unit: &Arc<Unit>) -> Arc<Unit> {
    if unit.zero.is_none() { Arc::clone(unit) } else { Arc::new(unit.as_difference()) }
}

/// A unit has a size above zero.
fn usable(amount: &Amount, units: &Units) -> Option<(Exact, Unit)> {
    // Looking for the nearest unit of each that is not known yet would cost more than all the rest.
    let known = spelled(amount).all(|spelling| units.knows(spelling));
    known.then(|| size(amount, units).ok()).flatten().filter(|(number, _)| !number.is_zero() && !number.is_negative())
}

fn spelled(amount: &Amount) -> impl Iterator<Item = &crate::quantity::unit::Spelling> {
    amount.steps.iter().filter_map(|step| match step {
        AmountStep::Unit(spelling) => Some(&spelling.value),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::unit::Spelling;

    fn units(defined: &[(&str, &str)]) -> Units {
        of_course(&defined.iter().map(|(symbol, text)| ((*symbol).to_owned(), (*text).to_owned())).collect())
    }

    fn factor(units: &Units, symbol: &str) -> Option<f64> {
        units.find(&Spelling::symbol(symbol)).ok().map(|unit| unit.factor())
    }

    #[test]
    fn a_unit_is_arithmetic_with_numbers_and_units() {
        let known = units(&[
            ("rpm", "1/60 Hz"),
            ("span", "0.2286 m"),
            ("stone", "14 lb"),
            ("reach", "2 × 1/4 span"),
            ("pace", "2 ft + 6 inch"),
            ("load", "3 stone/reach^2"),
        ]);
        for (symbol, size) in [
            ("rpm", 1.0 / 60.0),
            ("span", 0.2286),
            // The pound of 1959 is 0.453 592 37 kg.
            ("stone", 6.350_293_18),
            ("reach", 0.1143),
            ("pace", 0.762),
            ("load", 3.0 * 6.350_293_18 / (0.1143 * 0.1143)),
        ] {
            let found = factor(&known, symbol).unwrap();
            assert!((found / size - 1.0).abs() < 1e-15, "{symbol}: {found}");
        }
    }

    #[test]
    fn what_has_no_size_is_no_unit() {
        let known = units(&[("qa", "2 digits"), ("qb", "1 m + 1 s"), ("qc", "0 m"), ("qd", "2 qz"), ("qe", "-1 m")]);
        for symbol in ["qa", "qb", "qc", "qd", "qe"] {
            assert_eq!(factor(&known, symbol), None, "{symbol}");
        }
        assert_eq!(factor(&units(&[("dozen", "12")]), "dozen"), Some(12.0));
        let size = |text| size(&parse::amount(text).unwrap(), &known);
        assert!(size("2 m × 3 m").is_err());
        assert!(matches!(size("1 m + 1 s"), Err(FaultKind::UnitsDiffer { .. })));
        assert_eq!(size("0.5 %").unwrap().0, Exact::new(5, 1, -1));
    }
}
