//! Which digits of a value and of its uncertainty are reported.

use super::{Decimal, Rounding, round};

/// How many figures a reported uncertainty has.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Figures {
    /// One.
    #[default]
    One,
    /// Two (at most two as a rule: JCGM 100:2008, 7.2.6).
    Two,
    /// Two where the first of them is a 1, else one.
    LeadingOne,
    /// Two for three leading digits 100 to 354, one for 355 to 949, and 1000 with two kept for 950
    /// to 999 (Particle Data Group, Review of Particle Physics, Introduction, 5.3).
    Pdg,
}

/// Significant figures of a computed number that is exact, or whose uncertainty is not known.
pub const FIGURES_OF_EXACT: u32 = 6;

/// A value and its uncertainty, ending at the same place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rounded {
    /// The value.
    pub value: Decimal,
    /// The uncertainty; `None` of an exact value.
    pub uncertainty: Option<Decimal>,
}

/// The uncertainty as it is reported, its last place the one that the value has to end at. Figures
/// are counted after rounding: 0.96 to one figure is 1.
pub fn uncertainty(amount: Decimal, figures: Figures, rounding: Rounding) -> Decimal {
    let wanted = match figures {
        Figures::One => 1,
        Figures::Two => 2,
        Figures::LeadingOne => leading_one(amount, rounding),
        Figures::Pdg => match leading_three(amount) {
            // Up to 1000, of which two figures are kept: 10 in units of the first place.
            950..=999 => return Decimal::new(amount.is_negative(), 10, three_figures(amount).first_place()),
            355..=949 => 1,
            _ => 2,
        },
    };
    let amount = padded(amount, wanted);
    round::to_figures(amount, wanted, rounding)
}

/// Value and uncertainty together, each rounded once. A value is always rounded to the nearer
/// multiple: `up` is for uncertainties.
pub fn together(value: Decimal, amount: Decimal, figures: Figures, rounding: Rounding) -> Rounded {
    if amount.is_zero() {
        return Rounded {
            value: round::to_figures(value, FIGURES_OF_EXACT, for_values(rounding)).trimmed(),
            uncertainty: None,
        };
    }
    let uncertainty = uncertainty(amount, figures, rounding);
    Rounded {
        value: round::to_place(value, uncertainty.last_place(), for_values(rounding)),
        uncertainty: Some(uncertainty),
    }
}

/// The rule for a value, where an uncertainty follows `rounding`.
pub const fn for_values(rounding: Rounding) -> Rounding {
    match rounding {
        Rounding::Up => Rounding::Nearest,
        other => other,
    }
}

/// Decided at two figures: 0.196 is 0.20 there, begins with a 2 and so has one.
fn leading_one(amount: Decimal, rounding: Rounding) -> u32 {
    let two = round::to_figures(amount, 2, rounding);
    1 + u32::from(leading_digits(two, 1) == 1)
}

/// The three digits that the rule of the Particle Data Group looks at: those of the uncertainty rounded
/// to three figures, so that there is nothing between 354 and 355.
fn leading_three(amount: Decimal) -> u128 {
    leading_digits(three_figures(amount), 3)
}

fn three_figures(amount: Decimal) -> Decimal {
    round::to_figures(amount, 3, Rounding::Nearest)
}

/// The first `count` digits as a whole number, missing ones taken as zeros.
fn leading_digits(number: Decimal, count: u32) -> u128 {
    let digits = number.digits();
    match number.figures() {
        n if n >= count => digits / 10u128.pow(n - count),
        n => digits * 10u128.pow(count - n),
    }
}

/// 0.2 to two figures is 0.20: an amount with fewer digits than wanted is exact, and zeros follow it.
fn padded(amount: Decimal, figures: u32) -> Decimal {
    let missing = figures.saturating_sub(amount.figures());
    if amount.is_zero() || missing == 0 {
        return amount;
    }
    round::to_place(amount, amount.last_place() - i32::try_from(missing).unwrap_or(0), Rounding::Nearest)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(amount: &str, figures: Figures, rounding: Rounding) -> String {
        uncertainty(Decimal::read(amount).unwrap(), figures, rounding).to_string()
    }

    #[test]
    fn figures_are_counted_after_rounding() {
        use Figures::{LeadingOne, One, Two};
        let nearest = |a, f| shown(a, f, Rounding::Nearest);
        assert_eq!(nearest("0.96", One), "1");
        assert_eq!(nearest("0.94", One), "0.9");
        assert_eq!(nearest("0.0996", Two), "0.10");
        assert_eq!(nearest("0.2", Two), "0.20");
        assert_eq!(nearest("0.196", LeadingOne), "0.2");
        assert_eq!(nearest("0.0996", LeadingOne), "0.10");
        assert_eq!(nearest("0.14", LeadingOne), "0.14");
    }

    /// Review of Particle Physics, Introduction, 5.3; between the whole numbers the rounded one decides.
    #[test]
    fn nine_hundred_and_fifty_goes_up_to_a_thousand() {
        let shown = |a| shown(a, Figures::Pdg, Rounding::Nearest);
        assert_eq!(shown("0.00950"), "0.010");
        assert_eq!(shown("0.9496"), "1.0");
        assert_eq!(shown("0.9494"), "0.9");
        assert_eq!(shown("0.9996"), "1.0");
        assert_eq!(shown("0.35449"), "0.35");
        assert_eq!(shown("0.3545"), "0.4");
        assert_eq!(shown("0.96"), "1.0");
        assert_eq!(shown("99"), "100");
        assert_eq!(shown("2"), "2.0");
    }

    #[test]
    fn up_lets_go_what_is_under_a_tenth_of_a_step() {
        assert_eq!(shown("10.47", Figures::Two, Rounding::Up), "11");
        assert_eq!(shown("28.05", Figures::Two, Rounding::Up), "28");
        assert_eq!(shown("28.1", Figures::Two, Rounding::Up), "29");
        assert_eq!(shown("0.0101", Figures::One, Rounding::Up), "0.01");
    }

    #[test]
    fn an_exact_value_has_six_figures_and_no_idle_zeros() {
        let exact =
            |v| together(Decimal::read(v).unwrap(), Decimal::ZERO, Figures::One, Rounding::Nearest).value.to_string();
        assert_eq!(exact("0.333333333333"), "0.333333");
        assert_eq!(exact("12.000"), "12");
    }
}
