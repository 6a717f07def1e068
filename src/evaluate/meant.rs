//! What a mistyped unit can only mean, where there is one such thing: it is computed with, so that what rests on it
//! can be judged, while the fault stands.

use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::UnknownUnit;
use crate::quantity::unit::Spelling;
use crate::span::Spanned;

/// More mistyped symbols than this in one place are not put right: nobody means anything by them.
pub(super) const MOST: usize = 4;

/// The unit with what a mistyped symbol can only mean in its place.
pub(super) fn unit(spelling: &Spelling, unknown: &UnknownUnit) -> Option<Spelling> {
    let right = parse::unit(unknown.plainly_meant()?.trim_matches(['(', ')'])).ok()?;
    let mut meant = Spelling::default();
    let over = spelling.over.iter().map(|factor| (factor, true));
    let under = spelling.under.iter().map(|factor| (factor, false));
    for ((symbol, power), is_over) in over.chain(under) {
        let mut put = |symbol: &String, power: i32, over: bool| {
            let side = if over { &mut meant.over } else { &mut meant.under };
            side.push((symbol.clone(), power));
        };
        if *symbol != unknown.symbol {
            put(symbol, *power, is_over);
            continue;
        }
        right.over.iter().for_each(|(symbol, own)| put(symbol, own.saturating_mul(*power), is_over));
        right.under.iter().for_each(|(symbol, own)| put(symbol, own.saturating_mul(*power), !is_over));
    }
    (meant != *spelling).then_some(meant)
}

/// The amount with what a mistyped symbol can only mean in its place.
pub(super) fn amount(amount: &Amount, unknown: &UnknownUnit) -> Option<Amount> {
    let mut right = false;
    let steps = amount.steps.iter().map(|step| {
        let AmountStep::Unit(typed) = step else { return step.clone() };
        let meant = unit(&typed.value, unknown);
        right |= meant.is_some();
        meant.map_or_else(|| step.clone(), |meant| AmountStep::Unit(Spanned::new(meant, typed.span)))
    });
    let steps = steps.collect();
    right.then_some(Amount { steps })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Units;

    fn meant(text: &str) -> Option<String> {
        let spelling = parse::unit(text).unwrap();
        let unknown = Units::default().find(&spelling).unwrap_err();
        unit(&spelling, &unknown).map(|unit| unit.to_string())
    }

    #[test]
    fn a_symbol_gives_way_to_the_one_it_can_only_mean() {
        for (typed, right) in [("sec", "s"), ("Kg*m/s^2", "kg*m/s^2"), ("m/sec^2", "m/s^2"), ("g/ccm", "g/cm^3")] {
            assert_eq!(meant(typed).as_deref(), Some(right), "{typed}");
        }
        for typed in ["degrees", "mmm", "Cm"] {
            assert_eq!(meant(typed), None, "{typed}");
        }
    }
}
