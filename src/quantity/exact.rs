//! Exact arithmetic for what an author writes: amounts such as `2 × 1/4 × 1 mm`, unit factors,
//! the sum of a reading's sources. Ratios of whole numbers times a power of ten, as far as 128
//! bits reach; where they do not, the answer is `None` and the caller goes on in doubles.

use super::{Decimal, Rounding, round};

/// `number / over × 10^tens`, in lowest terms, `over` positive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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

    /// `number / over × 10^tens`; for tables of constants, whose denominators are not zero.
    pub const fn new(number: i128, over: i128, tens: i32) -> Self {
        Self { number, over, tens }
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
        Self { number: self.number.abs(), ..self }
    }

    /// The sum.
    pub fn plus(self, other: Self) -> Option<Self> {
        if self.is_zero() || other.is_zero() {
            return Some(if self.is_zero() { other } else { self });
        }
        let tens = self.tens.min(other.tens);
        let a = self.number.checked_mul(power_of_ten(self.tens - tens)?)?.checked_mul(other.over)?;
        let b = other.number.checked_mul(power_of_ten(other.tens - tens)?)?.checked_mul(self.over)?;
        Self { number: a.checked_add(b)?, over: self.over.checked_mul(other.over)?, tens }.reduced()
    }

    /// The difference.
    pub fn minus(self, other: Self) -> Option<Self> {
        self.plus(Self { number: -other.number, ..other })
    }

    /// The product.
    pub fn times(self, other: Self) -> Option<Self> {
        let number = self.number.checked_mul(other.number)?;
        let over = self.over.checked_mul(other.over)?;
        Self { number, over, tens: self.tens.checked_add(other.tens)? }.reduced()
    }

    /// The quotient; `None` by zero too.
    pub fn over(self, other: Self) -> Option<Self> {
        if other.is_zero() {
            return None;
        }
        let sign = other.number.signum();
        self.times(Self { number: other.over * sign, over: other.number.abs(), tens: -other.tens })
    }

    /// The whole power.
    pub fn power(self, exponent: i32) -> Option<Self> {
        let one = (0..exponent.unsigned_abs().min(256)).try_fold(Self::ONE, |product, _| product.times(self))?;
        if exponent < 0 { Self::ONE.over(one) } else { Some(one) }
    }

    /// As a decimal, where it ends: 1/4 is 0.25, 1/3 is `None`.
    pub fn decimal(self) -> Option<Decimal> {
        let (mut over, mut number, mut tens) = (self.over, self.number, self.tens);
        while over % 10 == 0 {
            over /= 10;
            tens -= 1;
        }
        while over != 1 {
            let factor = if over % 2 == 0 {
                5
            } else if over % 5 == 0 {
                2
            } else {
                return None;
            };
            number = number.checked_mul(factor)?;
            over /= 10 / factor;
            tens -= 1;
        }
        Some(Decimal::new(number < 0, number.unsigned_abs(), tens))
    }

    /// Rounded to the decimal place 10^`place`, from the exact value.
    pub fn round(self, place: i32, rounding: Rounding) -> Option<Decimal> {
        if let Some(decimal) = self.decimal() {
            return Some(round::to_place(decimal, place, rounding));
        }
        // A ratio that never ends is never a tie, and no cut at 30 digits can make it one.
        let over = u128::try_from(self.over).ok()?;
        let shift = i32::try_from(37 - self.number.unsigned_abs().checked_ilog10()?).ok()?.max(0);
        let scaled = self.number.unsigned_abs().checked_mul(10u128.checked_pow(shift.unsigned_abs())?)?;
        let sticky = (scaled / over) | u128::from(scaled % over != 0);
        Some(round::to_place(Decimal::new(self.number < 0, sticky, self.tens - shift), place, rounding))
    }

    /// The nearest double, rounded once wherever the ratio ends as a decimal.
    pub fn to_f64(self) -> f64 {
        match self.decimal() {
            Some(decimal) => decimal.to_f64(),
            #[expect(
                clippy::cast_precision_loss,
                reason = "both halves are rounded, then divided: within two units of the last place"
            )]
            None => format!("{}e{}", self.number, self.tens).parse::<f64>().unwrap_or(f64::NAN) / self.over as f64,
        }
    }

    fn reduced(self) -> Option<Self> {
        let Self { mut number, mut over, mut tens } = self;
        if number == 0 {
            return Some(Self::ZERO);
        }
        let common = i128::try_from(gcd(number.unsigned_abs(), over.unsigned_abs())).ok()?;
        (number, over) = (number / common, over / common);
        while number % 10 == 0 {
            number /= 10;
            tens = tens.checked_add(1)?;
        }
        Some(Self { number, over, tens })
    }
}

impl PartialOrd for Exact {
    /// By size; `None` where the difference does not fit in 128 bits.
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.minus(*other).map(|difference| difference.number.cmp(&0))
    }
}

fn power_of_ten(exponent: i32) -> Option<i128> {
    10i128.checked_pow(u32::try_from(exponent).ok()?)
}

const fn gcd(a: u128, b: u128) -> u128 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

#[cfg(test)]
mod tests {
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

    #[test]
    fn what_does_not_fit_says_so() {
        assert_eq!(e("1e200").plus(e("1")), None);
        assert_eq!(Exact::ONE.over(Exact::ZERO), None);
        assert_eq!(e("1e200").times(e("1e-200")), Some(Exact::ONE));
    }
}
