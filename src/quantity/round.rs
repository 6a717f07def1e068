//! The only place that rounds. Exact, in decimals, once.

use super::Decimal;

/// What to do with a number between two multiples of a step.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearer one; half away from zero (ISO 80000-1:2009, annex B, rule B).
    #[default]
    Nearest,
    /// To the nearer one; half to the even multiple (rule A).
    Even,
    /// Away from zero, but what is under a tenth of a step is let go: JCGM 100:2008, 7.2.6, calls
    /// 28.05 rounded up to 29 against common sense. For uncertainties only.
    Up,
}

/// `number` rounded to a whole multiple of 10^`place`; its last place is then `place`. A number that
/// would need more digits than there is room for to be written out to that place comes back unchanged.
pub fn to_place(number: Decimal, place: i32, rounding: Rounding) -> Decimal {
    let (wanted, has) = (place, number.last_place());
    if has >= wanted {
        return widened(number, wanted);
    }
    let drop = wanted.abs_diff(has);
    // More digits dropped than there are: nothing of the number reaches the place, nor half of it.
    let Some(step) = 10u128.checked_pow(drop) else {
        let up = rounding == Rounding::Up && !number.is_zero() && number.first_place() >= place.saturating_sub(1);
        return Decimal::new(number.is_negative(), u128::from(up), place);
    };
    let count = quotient(number.digits(), step, rounding);
    Decimal::new(number.is_negative(), count, place)
}

/// `number` rounded to a whole multiple of `step` (0.05 say), written to the step's last place.
/// `None` where the step is not positive or the digits of both do not fit together.
pub fn to_multiple(number: Decimal, step: Decimal, rounding: Rounding) -> Option<Decimal> {
    if step.is_zero() || step.is_negative() {
        return None;
    }
    let low = number.last_place().min(step.last_place());
    let whole = |d: Decimal| d.digits().checked_mul(10u128.checked_pow(d.last_place().abs_diff(low))?);
    let count = quotient(whole(number)?, whole(step)?, rounding);
    Some(Decimal::new(number.is_negative(), count.checked_mul(step.digits())?, step.last_place()))
}

/// `number` rounded to `figures` significant ones; of zero, and where it has fewer, as it is.
pub fn to_figures(number: Decimal, figures: u32, rounding: Rounding) -> Decimal {
    let keep = i32::try_from(figures.max(1)).unwrap_or(i32::MAX);
    if number.is_zero() || number.figures() <= figures {
        return number;
    }
    let place = number.first_place() - keep + 1;
    let rounded = to_place(number, place, rounding);
    // 9.96 to two figures is 10, not 10.0: the figures are counted after rounding. What was carried
    // over is a zero, so that this second cut changes no value.
    if rounded.figures() > figures { to_place(rounded, place + 1, Rounding::Nearest) } else { rounded }
}

/// The same number written down to a finer last place, where its digits allow that.
fn widened(number: Decimal, place: i32) -> Decimal {
    let factor = 10u128.checked_pow(number.last_place().abs_diff(place));
    match factor.and_then(|f| number.digits().checked_mul(f)) {
        Some(digits) => Decimal::new(number.is_negative(), digits, place),
        None => number,
    }
}

/// `digits / step` as a whole number; `step` is not zero.
pub(super) fn quotient(digits: u128, step: u128, rounding: Rounding) -> u128 {
    let (count, rest) = (digits / step, digits % step);
    // `rest < step`, so neither side of a comparison can overflow where it is written as a difference.
    let (half, tie) = (rest >= step - rest, rest == step - rest);
    let up = match rounding {
        Rounding::Nearest => half,
        Rounding::Even => half && !(tie && count % 2 == 0),
        Rounding::Up => rest != 0 && rest >= step.div_ceil(10),
    };
    count + u128::from(up)
}
