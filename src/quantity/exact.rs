//! Exact arithmetic for what an author writes: amounts such as `2 × 1/4 × 1 mm`, unit factors,
//! the sum of a reading's sources. Ratios of whole numbers times a power of ten, as far as 128
//! bits reach; where they do not, the answer is `None` and the caller goes on in doubles.

use super::decimal::{EXACT_DOUBLE, EXACT_POWERS, double_of};
use super::{Decimal, Rounding, round};

/// `number / over × 10^tens`, each value in one form only, so that equal values compare equal:
/// in lowest terms, `over` positive and without the factors 2 and 5, `number` not divisible by ten.
/// A value that ends as a decimal therefore has `over` = 1.
///
/// Every source of every reading has one, so that they are laid out as closely as decimals are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(Rust, packed(8))]
pub struct Exact {
    number: i128,
    over: i128,
    tens: i32,
}

impl Exact {
    /// Zero.
    pub const ZERO: Self = Self { number: 0, over: 1, tens: 0 };
    /// One.
    pub const ONE: Self = Self { number: 1, over: 1, tens: 0 };

    /// `number / over × 10^tens`; for tables of constants, whose denominators are positive and whose
    /// lowest terms fit. What does not fit stays as it is, and every operation on it gives `None`.
    pub const fn new(number: i128, over: i128, tens: i32) -> Self {
        let given = Self { number, over, tens };
        match given.reduced() {
            Some(lowest) => lowest,
            None => given,
        }
    }

    /// A whole number.
    pub const fn whole(number: i128) -> Self {
        Self::new(number, 1, 0)
    }

    /// A typed number; `None` past 38 digits' worth of `i128`.
    pub fn of(decimal: Decimal) -> Option<Self> {
        let number = i128::try_from(decimal.digits()).ok()?;
        let sign = if decimal.is_negative() { -1 } else { 1 };
        Self { number: number * sign, over: 1, tens: decimal.last_place() }.reduced()
    }

    /// Is it zero?
    pub const fn is_zero(self) -> bool {
        self.number == 0
    }

    /// Is it below zero?
    pub const fn is_negative(self) -> bool {
        self.number < 0
    }

    /// Without its sign.
    pub const fn abs(self) -> Self {
        Self { number: self.number.saturating_abs(), ..self }
    }

    /// The sum.
    pub fn plus(self, other: Self) -> Option<Self> {
        if self.is_zero() || other.is_zero() {
            return Some(if self.is_zero() { other } else { self });
        }
        let tens = self.tens.min(other.tens);
        let widened = |e: Self| product(e.number, power_of_ten(e.tens.checked_sub(tens)?)?);
        if self.over == 1 && other.over == 1 {
            return Self { number: widened(self)?.checked_add(widened(other)?)?, over: 1, tens }.reduced();
        }
        // Over the least common denominator: thirds added up stay thirds.
        let common = gcd(self.over.unsigned_abs(), other.over.unsigned_abs()).cast_signed();
        let (self_part, other_part) = (self.over.checked_div(common)?, other.over.checked_div(common)?);
        let number = product(widened(self)?, other_part)?.checked_add(product(widened(other)?, self_part)?)?;
        Self { number, over: product(self.over, other_part)?, tens }.reduced()
    }

    /// The difference.
    pub fn minus(self, other: Self) -> Option<Self> {
        self.plus(Self { number: other.number.checked_neg()?, ..other })
    }

    /// The product.
    pub fn times(self, other: Self) -> Option<Self> {
        if self.is_zero() || other == Self::ONE {
            return Some(self);
        }
        if other.is_zero() || self == Self::ONE {
            return Some(other);
        }
        if let (Some(a), Some(b)) = (self.short(), other.short())
            && let Some(number) = a.checked_mul(b)
        {
            return Self::of_short(number, self.tens.checked_add(other.tens)?);
        }
        self.crosswise(other)
    }

    /// The product of two values, of which neither has to be in its one form.
    fn crosswise(self, other: Self) -> Option<Self> {
        // Reduced crosswise first, so that what fits in the end does not overflow on the way.
        let (a, d) = lowest(self.number, other.over)?;
        let (c, b) = lowest(other.number, self.over)?;
        let tens = self.tens.checked_add(other.tens)?;
        Self { number: product(a, c)?, over: product(b, d)?, tens }.reduced()
    }

    /// The quotient; `None` by zero too.
    pub fn over(self, other: Self) -> Option<Self> {
        if other.is_zero() {
            return None;
        }
        if self.is_zero() || other == Self::ONE {
            return Some(self);
        }
        let (number, over) = (other.over.checked_mul(other.number.signum())?, other.number.checked_abs()?);
        self.crosswise(Self { number, over, tens: other.tens.checked_neg()? })
    }

    /// The whole power.
    pub fn power(self, exponent: i32) -> Option<Self> {
        let (mut product, mut square, mut left) = (Self::ONE, self, exponent.unsigned_abs());
        while left > 0 {
            if left % 2 == 1 {
                product = product.times(square)?;
            }
            left /= 2;
            if left > 0 {
                square = square.times(square)?;
            }
        }
        if exponent < 0 { Self::ONE.over(product) } else { Some(product) }
    }

    /// As a decimal, where it ends: 1/4 is 0.25, 1/3 is `None`.
    pub fn decimal(self) -> Option<Decimal> {
        (self.over == 1).then(|| Decimal::new(self.number < 0, self.number.unsigned_abs(), self.tens))
    }

    /// Rounded to the decimal place 10^`place`, from the exact value, once. `None` where the digits
    /// down to that place do not fit.
    pub fn round(self, place: i32, rounding: Rounding) -> Option<Decimal> {
        if let Some(decimal) = self.decimal() {
            return Some(round::to_place(decimal, place, rounding));
        }
        let (number, over) = (self.number.unsigned_abs(), u128::try_from(self.over).ok().filter(|&over| over != 0)?);
        let power = |exponent: i32| 10u128.checked_pow(exponent.unsigned_abs());
        let shift = self.tens.checked_sub(place)?;
        let count = if shift >= 0 {
            round::quotient(number.checked_mul(power(shift)?)?, over, rounding)
        } else if let Some(step) = power(shift).and_then(|p| over.checked_mul(p)) {
            round::quotient(number, step, rounding)
        } else {
            // The step is past 128 bits, the number within 127: less than half a step.
            let tenth = power(shift + 1).and_then(|p| over.checked_mul(p));
            u128::from(rounding == Rounding::Up && tenth.is_some_and(|tenth| number >= tenth))
        };
        Some(Decimal::new(self.number < 0, count, place))
    }

    /// The nearest double: rounded once, but for ratios with denominators past 10^37, which are
    /// within two units of the last place.
    pub fn to_f64(self) -> f64 {
        if self.is_zero() {
            return 0.0;
        }
        match self.decimal() {
            Some(decimal) => decimal.to_f64(),
            None => self.quick_f64().or_else(|| self.long_division()).unwrap_or_else(|| self.rough_f64()),
        }
    }

    /// Where both halves are doubles, their quotient is rounded once (IEEE 754-2019, 5.4.1).
    fn quick_f64(self) -> Option<f64> {
        let power = EXACT_POWERS.get(self.tens.unsigned_abs() as usize)?;
        let number = double_of(self.number.unsigned_abs())?;
        let over = double_of(self.over.unsigned_abs())?;
        let (top, bottom) = if self.tens >= 0 { (number * power, over) } else { (number, over * power) };
        let size = (top < EXACT_DOUBLE && bottom < EXACT_DOUBLE).then(|| top / bottom)?;
        Some(if self.number < 0 { -size } else { size })
    }

    /// Forty significant digits and one more that stands for the rest decide every rounding that
    /// occurs: no two halves of 127 bits come nearer to a tie by chance.
    fn long_division(self) -> Option<f64> {
        let (number, over) = (self.number.unsigned_abs(), self.over.unsigned_abs());
        let mut rest = number.checked_rem(over)?;
        let mut text = format!("{}{}.", if self.number < 0 { "-" } else { "" }, number / over);
        let mut figures = if number < over { 0 } else { 1 };
        while rest != 0 && figures < 40 {
            rest = rest.checked_mul(10)?;
            let digit = rest / over;
            text.push_str(&digit.to_string());
            rest %= over;
            figures += i32::from(digit != 0 || figures > 0);
        }
        text.push(if rest == 0 { '0' } else { '1' });
        format!("{text}e{}", self.tens).parse().ok()
    }

    #[expect(clippy::cast_precision_loss, reason = "both halves are rounded, then divided, as `to_f64` says")]
    fn rough_f64(self) -> f64 {
        let Self { number, over, tens } = self;
        format!("{number}e{tens}").parse::<f64>().unwrap_or(f64::NAN) / over as f64
    }

    /// The number before the power of ten, where it is a whole number of 64 bits, as nearly all are: with those the
    /// processor computes directly.
    const fn short(self) -> Option<i64> {
        if self.over == 1 { narrow(self.number) } else { None }
    }

    /// `number × 10^tens` in its one form.
    const fn of_short(mut number: i64, mut tens: i32) -> Option<Self> {
        if number == 0 {
            return Some(Self::ZERO);
        }
        while number % 10 == 0 {
            number /= 10;
            tens = match tens.checked_add(1) {
                Some(tens) => tens,
                None => return None,
            };
        }
        Some(Self { number: number as i128, over: 1, tens })
    }

    /// The one form of the value; `None` where that does not fit.
    const fn reduced(self) -> Option<Self> {
        if let Some(number) = self.short() {
            return Self::of_short(number, self.tens);
        }
        if self.number == 0 && self.over > 0 {
            return Some(Self::ZERO);
        }
        let Some((mut number, mut over)) = lowest(self.number, self.over) else { return None };
        let mut tens = self.tens;
        // Factors of ten, five and two leave the denominator: 1/4 is 25 × 10^−2.
        loop {
            let (rest, times) = if let Some(tenth) = divided(over, 10) {
                (tenth, 1)
            } else if let Some(fifth) = divided(over, 5) {
                (fifth, 2)
            } else if let Some(half) = divided(over, 2) {
                (half, 5)
            } else {
                break;
            };
            over = rest;
            (number, tens) = match (number.checked_mul(times), tens.checked_sub(1)) {
                (Some(number), Some(tens)) => (number, tens),
                _ => return None,
            };
        }
        let zeros;
        (number, zeros) = without_zeros(number);
        match tens.checked_add_unsigned(zeros) {
            Some(tens) => Some(Self { number, over, tens }),
            None => None,
        }
    }
}

impl PartialOrd for Exact {
    /// By size; `None` where the difference does not fit in 128 bits.
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.minus(*other).map(|Self { number, .. }| number.cmp(&0))
    }
}

fn power_of_ten(exponent: i32) -> Option<i128> {
    const POWERS: [i128; 39] = {
        let mut powers = [1; 39];
        let mut at = 1;
        while at < powers.len() {
            powers[at] = powers[at - 1] * 10;
            at += 1;
        }
        powers
    };
    POWERS.get(usize::try_from(exponent).ok()?).copied()
}

/// The product, where it fits: that of two short numbers always does.
const fn product(a: i128, b: i128) -> Option<i128> {
    match (narrow(a), narrow(b)) {
        (Some(a), Some(b)) => Some(a as i128 * b as i128),
        _ => a.checked_mul(b),
    }
}

/// The same number in half the bits, where it fits.
#[expect(clippy::cast_possible_truncation, reason = "what was cut off is compared with what there was")]
const fn narrow(number: i128) -> Option<i64> {
    if number as i64 as i128 == number { Some(number as i64) } else { None }
}

/// Both divided by what they have in common; `None` unless `over` is positive.
const fn lowest(number: i128, over: i128) -> Option<(i128, i128)> {
    if over <= 0 || number == i128::MIN {
        return None;
    }
    if over == 1 {
        return Some((number, over));
    }
    let common = gcd(number.unsigned_abs(), over.unsigned_abs()).cast_signed();
    Some((number / common, over / common))
}

const fn gcd(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    while b > 1 {
        // Nearly all numbers of a report are short, and short division is many times cheaper.
        (a, b) = match (short(a), short(b)) {
            (Some(short_a), Some(short_b)) => (b, (short_a % short_b) as u128),
            _ => (b, a % b),
        };
    }
    if b == 1 { 1 } else { a }
}

/// A number that is not zero without the zeros at its end, as it is written in tens, and how many these are.
const fn without_zeros(number: i128) -> (i128, u32) {
    let mut rest = number;
    let mut zeros = 0;
    while let Some(tenth) = divided(rest, 10) {
        rest = tenth;
        zeros += 1;
    }
    (rest, zeros)
}

/// The quotient, where it is a whole number.
const fn divided(number: i128, by: i64) -> Option<i128> {
    match narrow(number) {
        Some(number) if number % by == 0 => Some((number / by) as i128),
        None if number % by as i128 == 0 => Some(number / by as i128),
        _ => None,
    }
}

/// The same number in half the bits, where it fits.
#[expect(clippy::cast_possible_truncation, reason = "the upper half was looked at")]
const fn short(number: u128) -> Option<u64> {
    if number >> 64 == 0 { Some(number as u64) } else { None }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn e(text: &str) -> Exact {
        Exact::of(Decimal::read(text).unwrap()).unwrap()
    }

    #[test]
    fn amounts_are_exact() {
        let quarter = Exact::ONE.over(e("4")).unwrap();
        let both_ends = e("2").times(quarter).unwrap().times(e("1")).unwrap();
        assert_eq!(both_ends.decimal().unwrap().to_string(), "0.5");
        let meter = e("0.5").times(e("12.34")).unwrap().over(e("100")).unwrap().plus(e("0.02")).unwrap();
        assert_eq!(meter.decimal().unwrap().to_string(), "0.0817");
    }

    #[test]
    fn a_third_rounds_without_an_end() {
        let third = Exact::ONE.over(e("3")).unwrap();
        assert_eq!(third.decimal(), None);
        assert_eq!(third.round(-3, Rounding::Nearest).unwrap().to_string(), "0.333");
        assert_eq!(third.round(-3, Rounding::Up).unwrap().to_string(), "0.334");
        assert!((third.to_f64() - 1.0 / 3.0).abs() < 1e-16);
        assert_eq!(third.times(e("3")), Some(Exact::ONE));
    }

    /// Some numbers on either side of what 64 bits hold.
    fn any() -> impl Strategy<Value = Exact> {
        let number = prop_oneof![-1000i128..1000, -(1i128 << 66)..1 << 66, (1i128 << 63) - 20..(1 << 63) + 20];
        (number, 1i128..130, -6i32..6).prop_map(|(number, over, tens)| Exact::new(number, over, tens))
    }

    proptest! {
        #[test]
        fn every_value_has_one_form(a in any(), b in any()) {
            if let Some(sum) = a.plus(b) {
                prop_assert_eq!(sum.minus(b), Some(a));
                prop_assert_eq!(b.plus(a), Some(sum));
            }
            if let Some(product) = a.times(b).filter(|_| !b.is_zero()) {
                prop_assert_eq!(product.over(b), Some(a));
                prop_assert_eq!(b.times(a), Some(product));
            }
        }
    }

    #[test]
    fn a_quotient_of_one_is_in_its_one_form() {
        for (over, quotient) in [("4", e("0.25")), ("-8", e("-0.125")), ("10", e("0.1")), ("3", Exact::new(1, 3, 0))] {
            assert_eq!(Exact::ONE.over(e(over)), Some(quotient), "1/{over}");
        }
    }

    #[test]
    fn what_does_not_fit_says_so() {
        assert_eq!(e("1e200").plus(e("1")), None);
        assert_eq!(Exact::ONE.over(Exact::ZERO), None);
        assert_eq!(e("1e200").times(e("1e-200")), Some(Exact::ONE));
    }
}
