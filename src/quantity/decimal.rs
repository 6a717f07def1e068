//! Numbers as they were typed: every digit kept, the place of the last one known.

use std::cmp::Ordering;
use std::fmt;

/// The most digits that a typed number may have: what a `u128` holds for certain. No measurement
/// has half as many.
pub const MOST_DIGITS: usize = 38;

/// The largest power of ten, in size, that a typed number may reach: past it no double follows.
pub const LARGEST_EXPONENT: i32 = 400;

/// Up to here every whole number is a double (IEEE 754-2019, table 3.5: 53 bits).
pub(super) const EXACT_DOUBLE: f64 = 9_007_199_254_740_992.0;

/// The powers of ten that are doubles: 5^22 still has fewer than 53 bits.
pub(super) const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// The doubles nearest to the powers of ten from 10^−8 to 10^14.
const FIRST_PLACES: [f64; 23] = [
    1e-8, 1e-7, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2, 1e-1, 1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12,
    1e13, 1e14,
];

/// A whole number as a double, where it is one by its size.
#[expect(clippy::cast_precision_loss, reason = "up to 2^53 none is lost")]
pub(super) fn double_of(whole: u128) -> Option<f64> {
    // Numbers of 64 bits are converted by the processor, those of 128 by a long way round.
    let short = i64::try_from(whole).ok()?;
    (short <= 1 << 53).then_some(short as f64)
}

/// `±digits × 10^exponent`. Trailing zeros are digits like any other, so `1.50` and `1.5` differ
/// in their last place and are still equal as numbers.
///
/// Numbers are what a report has most of, and a `u128` on its own would have each take a third more.
#[derive(Clone, Copy, Debug)]
#[repr(Rust, packed(8))]
pub struct Decimal {
    digits: u128,
    exponent: i32,
    negative: bool,
}

impl Decimal {
    /// Nothing, to the place of the units.
    pub const ZERO: Self = Self { negative: false, digits: 0, exponent: 0 };

    /// `±digits × 10^exponent`; zero has no sign.
    pub const fn new(negative: bool, digits: u128, exponent: i32) -> Self {
        Self { negative: negative && digits != 0, digits, exponent }
    }

    /// One unit of the decimal place `exponent`: `step(-2)` is 0.01.
    pub const fn step(exponent: i32) -> Self {
        Self::new(false, 1, exponent)
    }

    /// Reads `12.40`, `.5`, `1.602e-19`; a leading `-` or `−` too.
    /// `None` for anything else, for more than [`MOST_DIGITS`] digits (leading zeros aside) and
    /// for exponents beyond [`LARGEST_EXPONENT`].
    pub fn read(text: &str) -> Option<Self> {
        let (negative, text) = match text.strip_prefix(['-', '−']) {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let mantissa = Mantissa::read(text)?;
        let power = match text[mantissa.length..].strip_prefix(['e', 'E']) {
            Some(power) => power.replace('−', "-").parse::<i32>().ok()?,
            None if mantissa.length == text.len() => 0,
            None => return None,
        };
        let exponent = power.checked_sub(mantissa.places)?;
        let reach = i64::from(exponent).abs().max(i64::from(power).abs());
        (reach <= i64::from(LARGEST_EXPONENT)).then(|| Self::new(negative, mantissa.digits, exponent))
    }

    /// A computed number, to the fifteen significant digits that every double carries through a
    /// decimal unchanged (IEEE 754-2019, 5.12.2; `f64::DIGITS`). What stands behind them is the
    /// noise of binary arithmetic: 1.4 + 0.85 is 2.25 for a reader, and has to round as 2.25 does.
    /// `None` where `x` is infinite or no number.
    pub fn of_f64(x: f64) -> Option<Self> {
        if !x.is_finite() {
            return None;
        }
        // A double that stands for a power of ten and lies below it rounds to it, from either place.
        let places = 23 - FIRST_PLACES.partition_point(|&power| power <= x.abs());
        let number = Self::nearest(x, places).or_else(|| Self::read(&format!("{x:.14e}")))?;
        Some(number.trimmed())
    }

    /// A number to so many decimal places, half to even; for what is drawn, not for what is reported. `None` where `x`
    /// is infinite, no number, or has more digits than a decimal.
    pub fn of_f64_to(x: f64, places: usize) -> Option<Self> {
        Self::nearest(x, places).or_else(|| Self::read(&format!("{x:.places$}")))
    }

    /// What the formatting of doubles gives to so many places, where whole numbers of 128 bits hold all of it: from
    /// 10^−8 to below 10^15, where nearly all numbers lie. The double is `mantissa × 2^−down`.
    fn nearest(x: f64, places: usize) -> Option<Self> {
        if !(1e-8..1e15).contains(&x.abs()) || places >= EXACT_POWERS.len() {
            return None;
        }
        let bits = x.abs().to_bits();
        let scaled = u128::from(bits & ((1 << 52) - 1) | 1 << 52) * 10u128.pow(u32::try_from(places).ok()?);
        let down = 1075 - (bits >> 52);
        let (whole, rest, half) = (scaled >> down, scaled & ((1 << down) - 1), 1 << (down - 1));
        let up = rest > half || rest == half && whole % 2 == 1;
        Some(Self::new(x < 0.0, whole + u128::from(up), -i32::try_from(places).ok()?))
    }

    /// The same number without trailing zeros.
    pub fn trimmed(self) -> Self {
        let (mut digits, mut exponent) = (self.digits, self.exponent);
        if digits == 0 {
            return Self { exponent: 0, ..self };
        }
        // Division of 128 bits is slow, and few numbers need them.
        while digits > u128::from(u64::MAX) && digits % 10 == 0 {
            digits /= 10;
            exponent += 1;
        }
        let Ok(mut small) = u64::try_from(digits) else { return Self { digits, exponent, ..self } };
        while small % 10 == 0 {
            small /= 10;
            exponent += 1;
        }
        Self { digits: small.into(), exponent, ..self }
    }

    /// Is it below zero?
    pub const fn is_negative(self) -> bool {
        self.negative
    }

    /// Is it zero?
    pub const fn is_zero(self) -> bool {
        self.digits == 0
    }

    /// The digits as a whole number: 1240 of `12.40`.
    pub const fn digits(self) -> u128 {
        self.digits
    }

    /// The place of the last digit, as a power of ten: −2 of `12.40`, 1 of `1.24e3`.
    pub const fn last_place(self) -> i32 {
        self.exponent
    }

    /// The place of the first significant digit: 1 of `12.40`. Of zero it is the last place.
    pub fn first_place(self) -> i32 {
        self.exponent.saturating_add_unsigned(self.digits.checked_ilog10().unwrap_or(0))
    }

    /// How many significant digits it has; zero counts as one.
    pub fn figures(self) -> u32 {
        self.digits.checked_ilog10().unwrap_or(0) + 1
    }

    /// The number without its sign.
    pub const fn abs(self) -> Self {
        Self { negative: false, ..self }
    }

    /// The number times 10^`power`: the digits stay, their places move.
    pub const fn shifted(self, power: i32) -> Self {
        Self { exponent: self.exponent.saturating_add(power), ..self }
    }

    /// Writes it as it is displayed, at the end of `out`.
    pub fn write_to(self, out: &mut String) {
        if self.negative {
            out.push('-');
        }
        let mut room = [0; 20];
        let digits = match u64::try_from(self.digits) {
            Ok(digits) => written(digits, &mut room),
            Err(_) => &self.digits().to_string(),
        };
        let places = self.exponent.unsigned_abs() as usize;
        match digits.len().checked_sub(places) {
            _ if self.exponent >= 0 => {
                out.push_str(digits);
                out.extend(std::iter::repeat_n('0', if self.digits == 0 { 0 } else { places }));
            }
            None | Some(0) => {
                out.push_str("0.");
                out.extend(std::iter::repeat_n('0', places - digits.len()));
                out.push_str(digits);
            }
            Some(whole) => {
                let (whole, part) = digits.split_at(whole);
                out.push_str(whole);
                out.push('.');
                out.push_str(part);
            }
        }
    }

    /// The nearest double.
    pub fn to_f64(self) -> f64 {
        // Decimal text is the one way to a double that always rounds once; where digits and power are
        // doubles themselves, one product or quotient of them does too, and nearly all numbers are such.
        self.quick_f64().unwrap_or_else(|| format!("{self:e}").parse().unwrap_or(f64::NAN))
    }

    fn quick_f64(self) -> Option<f64> {
        let power = EXACT_POWERS.get(self.exponent.unsigned_abs() as usize)?;
        let digits = double_of(self.digits)?;
        let size = if self.exponent < 0 { digits / power } else { digits * power };
        Some(if self.negative { -size } else { size })
    }
}

/// What stands before a power of ten.
#[derive(Default)]
struct Mantissa {
    digits: u128,
    /// How many digits stand behind the point.
    places: i32,
    /// How many bytes there are.
    length: usize,
}

impl Mantissa {
    /// The digits at the start of a text, a point before, among or behind them. `None` where there is no
    /// digit, and for more than [`MOST_DIGITS`], leading zeros aside.
    fn read(text: &str) -> Option<Self> {
        let mut read = Self::default();
        let (mut significant, mut point) = (0, None);
        for b in text.bytes() {
            match b {
                b'0'..=b'9' => {
                    significant += usize::from(significant > 0 || b != b'0');
                    if significant > MOST_DIGITS {
                        return None;
                    }
                    read.digits = read.digits * 10 + u128::from(b - b'0');
                }
                b'.' if point.is_none() => point = Some(read.length),
                _ => break,
            }
            read.length += 1;
        }
        let places = point.map_or(0, |point| read.length - point - 1);
        read.places = i32::try_from(places).ok()?;
        (read.length > usize::from(point.is_some())).then_some(read)
    }
}

impl PartialEq for Decimal {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Decimal {}

impl PartialOrd for Decimal {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Decimal {
    fn cmp(&self, other: &Self) -> Ordering {
        let signed = |d: &Self| match (d.is_zero(), d.negative) {
            (true, _) => 0,
            (false, true) => -1,
            (false, false) => 1,
        };
        let by_sign = signed(self).cmp(&signed(other));
        if by_sign.is_ne() || self.is_zero() {
            return by_sign;
        }
        let by_size = self.first_place().cmp(&other.first_place()).then_with(|| {
            // With equal first places the exponents differ by no more than the digits do.
            let (a, b) = (self.trimmed(), other.trimmed());
            let low = a.exponent.min(b.exponent);
            // What does not fit when written out to the other's last place has 39 digits and is the larger.
            let widened = |d: Self| 10u128.checked_pow(d.exponent.abs_diff(low)).and_then(|p| d.digits.checked_mul(p));
            let size = |d: Self| widened(d).map_or((1, 0), |digits| (0, digits));
            size(a).cmp(&size(b))
        });
        if self.negative { by_size.reverse() } else { by_size }
    }
}

/// Plain positional writing with an ASCII point and a hyphen for minus; `{:e}` writes
/// `digits e exponent`, which any reader of decimals takes.
impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut text = String::new();
        self.write_to(&mut text);
        f.write_str(&text)
    }
}

/// The digits of a whole number, at the end of a room that holds those of the largest.
fn written(number: u64, room: &mut [u8; 20]) -> &str {
    let (mut rest, mut length) = (number, 0);
    for place in room.iter_mut().rev() {
        *place = b"0123456789"[(rest % 10) as usize];
        rest /= 10;
        length += 1;
        if rest == 0 {
            break;
        }
    }
    std::str::from_utf8(&room[room.len() - length..]).unwrap_or("")
}

impl fmt::LowerExp for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}e{}", if self.negative { "-" } else { "" }, self.digits(), self.last_place())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reading_keeps_every_digit_and_its_place() {
        let read = |s: &str| Decimal::read(s).map(|d| (d.to_string(), d.last_place(), d.figures()));
        assert_eq!(read("12.40"), Some(("12.40".into(), -2, 4)));
        assert_eq!(read("1.50e3"), Some(("1500".into(), 1, 3)));
        assert_eq!(read("−0.0712"), Some(("-0.0712".into(), -4, 3)));
        assert_eq!(read(".5"), Some(("0.5".into(), -1, 1)));
        assert_eq!(read("0.00"), Some(("0.00".into(), -2, 1)));
        assert_eq!(read("6.62607015e-34").map(|r| r.2), Some(9));
        for wrong in ["", ".", "-", "1.2.3", "1e", "1,5", "0x1", "1e999999999999", "1e-401"] {
            assert_eq!(read(wrong), None, "{wrong}");
        }
        assert_eq!(read(&"7".repeat(39)), None);
    }

    #[test]
    fn order_is_that_of_the_numbers() {
        let d = |s: &str| Decimal::read(s).unwrap();
        assert_eq!(d("1.50"), d("1.5"));
        assert_eq!(d("0"), d("0.00"));
        assert!(d("-2") < d("-1.9") && d("-1") < d("0") && d("0.09") < d("0.1") && d("9.99") < d("10"));
        assert!(d("1e300") > d("99999999999999999999"));
    }

    proptest::proptest! {
        #[test]
        fn the_quick_way_from_a_double_is_that_of_its_formatting(x in proptest::num::f64::ANY, power in -10i32..17) {
            let near = x.signum() * (1.0 + x.abs().fract()) * libm::pow(10.0, f64::from(power));
            let whole = (x.abs() % 1e6).trunc() / 8.0;
            for x in [x, near, near.next_up(), whole, libm::pow(10.0, f64::from(power)).next_down()] {
                let slow = Decimal::read(&format!("{x:.14e}")).map(|d| d.trimmed());
                let shown = |d: Option<Decimal>| d.map(|d| (format!("{d:e}"), d.to_string()));
                proptest::prop_assert_eq!(shown(Decimal::of_f64(x)), shown(slow));
                let (quick, slow) = (Decimal::of_f64_to(x, 2), Decimal::read(&format!("{x:.2}")));
                proptest::prop_assert_eq!(shown(quick), shown(slow));
            }
        }

        #[test]
        fn what_is_written_is_read_again(digits: u128, small: u64, negative: bool, exponent in -60i32..60) {
            for digits in [digits >> 2, small.into()] {
                let number = Decimal::new(negative, digits, exponent);
                let again = Decimal::read(&number.to_string());
                proptest::prop_assert!(again.is_none_or(|again| again == number && again.last_place() == exponent.min(0)));
            }
        }
    }

    #[test]
    fn powers_of_ten_and_ties_are_rounded_once() {
        let shown = |x: f64| Decimal::of_f64(x).map(|d| d.to_string()).unwrap_or_default();
        for power in -12..18 {
            let x: f64 = format!("1e{power}").parse().unwrap();
            for x in [x, x.next_up(), x.next_down(), -x] {
                assert_eq!(shown(x), Decimal::read(&format!("{x:.14e}")).unwrap().trimmed().to_string(), "{x:e}");
            }
        }
        // Halves of the fifteenth digit, which doubles of this size hold: to even.
        assert_eq!([shown(100000000000000.5), shown(100000000000001.5)], ["100000000000000", "100000000000002"]);
    }

    #[test]
    fn a_computed_number_keeps_fifteen_digits_and_no_binary_noise() {
        assert_eq!(Decimal::of_f64(1.4 + 0.85).unwrap().to_string(), "2.25");
        assert_eq!(Decimal::of_f64(0.1 + 0.2).unwrap().to_string(), "0.3");
        assert_eq!(Decimal::of_f64(0.0).unwrap().to_string(), "0");
        assert_eq!(Decimal::of_f64(f64::NAN), None);
        assert_eq!(Decimal::of_f64(f64::MIN_POSITIVE).unwrap().to_f64(), 2.22507385850720e-308);
    }
}
