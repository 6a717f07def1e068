//! An axis: which values it spans, which power of ten is taken out of its numbers, where a value stands on it.

use super::ticks::{self, Scale};
use crate::evaluate::graph::with_zero;

/// Room beyond the outermost values, as a part of their distance.
const ROOM: f64 = 0.03;

/// Values that differ by less than this part of their size are drawn as equal: their ticks would need more digits
/// than a double has.
const EQUAL: f64 = 1e-9;

/// How far a bar below its value can stretch a logarithmic axis.
const DEEPEST_BAR: f64 = 10.0;

/// Which values an axis has to show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    low: f64,
    high: f64,
}

impl Extent {
    /// Of nothing.
    pub(super) const NONE: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };

    /// With one more value in it.
    pub(super) fn with(self, value: f64) -> Self {
        if value.is_finite() { Self { low: self.low.min(value), high: self.high.max(value) } } else { self }
    }

    /// Does a value lie so near that the axis may as well show it?
    pub(super) fn is_near(self, value: f64, logarithmic: bool) -> bool {
        if logarithmic {
            return value >= self.low / 2.0 && value / 2.0 <= self.high;
        }
        let reach = self.high / 2.0 - self.low / 2.0;
        value / 2.0 >= self.low / 2.0 - reach / 2.0 && value / 2.0 <= self.high / 2.0 + reach / 2.0
    }

    /// With a bar in it; on a logarithmic axis as much of it as has a place there.
    pub(super) fn with_bar(self, value: f64, reach: f64, logarithmic: bool) -> Self {
        let low = if logarithmic { (value - reach).max(value / DEEPEST_BAR) } else { value - reach };
        self.with(low).with(value).with(value + reach)
    }
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    pub(super) logarithmic: bool,
    /// The power of ten that is written with its name, not with each number.
    pub(super) power: i32,
    pub(super) scale: Scale,
}

impl Axis {
    /// A linear axis that begins at zero where that is near.
    pub(super) fn linear(extent: Extent, most: u8) -> Self {
        let (low, high) = with_zero(extent.low, extent.high);
        let power = common_power(low.abs().max(high.abs()));
        let (low, high) = widened(scaled(low, power), scaled(high, power));
        Self { logarithmic: false, power, scale: ticks::linear(low, high, most) }
    }

    /// A linear axis with its zero in the middle.
    pub(super) fn about_zero(reach: f64, most: u8) -> Self {
        let reach = if reach > 0.0 { reach } else { 1.0 };
        let power = common_power(reach);
        let reach = scaled(reach, power) * (1.0 + ROOM);
        Self { logarithmic: false, power, scale: ticks::linear(-reach, reach, most) }
    }

    /// A logarithmic axis; all values are above zero.
    pub(super) fn logarithmic(extent: Extent, most: u8) -> Self {
        let (low, high) = (libm::log10(extent.low), libm::log10(extent.high));
        let room = if high - low > EQUAL { ROOM * (high - low) } else { 0.05 };
        let (low, high) = (low - room, high + room);
        // Decades are written as powers of ten themselves.
        let power = if high - low >= 2.0 { 0 } else { common_power(extent.high) };
        let shift = f64::from(power);
        Self { logarithmic: true, power, scale: ticks::logarithmic(low - shift, high - shift, most) }
    }

    /// Where a value stands: 0 at the axis' beginning, 1 at its end. A logarithmic axis has no place for values of
    /// zero or less.
    pub(super) fn share(&self, value: f64) -> Option<f64> {
        let at = match self.logarithmic {
            true => (value > 0.0).then(|| libm::log10(value) - f64::from(self.power))?,
            false => scaled(value, self.power),
        };
        Some(self.share_of_mark(at)).filter(|share| share.is_finite())
    }

    /// Where one of its own marks stands.
    pub(super) fn share_of_mark(&self, at: f64) -> f64 {
        (at - self.scale.low) / (self.scale.high - self.scale.low)
    }
}

/// A little more than the values need; something where all are equal.
fn widened(low: f64, high: f64) -> (f64, f64) {
    let size = low.abs().max(high.abs());
    if size == 0.0 {
        return (-1.0, 1.0);
    }
    if high - low <= EQUAL * size {
        return (low - size / 10.0, high + size / 10.0);
    }
    let room = ROOM * (high - low);
    let less = if low == 0.0 { 0.0 } else { low - room };
    let more = if high == 0.0 { 0.0 } else { high + room };
    // Room alone carries no axis past zero.
    (if low > 0.0 { less.max(0.0) } else { less }, if high < 0.0 { more.min(0.0) } else { more })
}

/// The power of ten that is taken out of numbers up to that size: a multiple of three, for five digits before the
/// point or zeros behind it; as a rule none.
fn common_power(size: f64) -> i32 {
    let place = libm::log10(size).floor();
    if !place.is_finite() || (-2.0..5.0).contains(&place) {
        return 0;
    }
    #[expect(clippy::cast_possible_truncation, reason = "the logarithm of a double is below 400")]
    let thousands = (place / 3.0).floor() as i32;
    3 * thousands
}

/// `value` / 10^`power`, in two steps where the power itself is no double.
fn scaled(value: f64, power: i32) -> f64 {
    let half = power / 2;
    let ten = |power: i32| libm::pow(10.0, f64::from(power.abs()));
    let by = |value: f64, power: i32| if power < 0 { value * ten(power) } else { value / ten(power) };
    if power.abs() <= 22 { by(value, power) } else { by(by(value, half), power - half) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn extent(low: f64, high: f64) -> Extent {
        Extent::NONE.with(low).with(high)
    }

    #[test]
    fn powers_of_ten_are_taken_out_where_numbers_are_huge_or_tiny() {
        let powers = [0.0, 0.01, 0.0099, 1.0, 99_999.0, 100_000.0, 2e6, 3e-7, 1e300, 1e-300, 5e-324].map(common_power);
        assert_eq!(powers, [0, 0, -3, 0, 0, 3, 6, -9, 300, -300, -324]);
    }

    #[test]
    fn no_size_is_too_large_or_too_small() {
        for (low, high) in [(-1.7e308, 1.7e308), (1e300, 2e300), (5e-324, 1e-322), (-3.0, -3.0), (0.0, 0.0), (7.0, 7.0)]
        {
            let axis = Axis::linear(extent(low, high), 6);
            let shares = [low, high].map(|value| axis.share(value).unwrap());
            assert!(shares.iter().all(|share| (-1e-6..=1.000_001).contains(share)), "{low} {high}: {axis:?}");
            assert!(axis.scale.ticks.len() >= 2, "{low} {high}: {axis:?}");
        }
    }

    #[test]
    fn an_axis_begins_at_zero_where_that_is_near() {
        let ends = |low, high| {
            let scale = Axis::linear(extent(low, high), 6).scale;
            (scale.low, scale.high)
        };
        assert_eq!(ends(0.5, 4.9), (0.0, 5.2));
        assert_eq!(ends(-4.9, -0.5), (-5.2, 0.0));
        assert_eq!(ends(4.0, 4.9).0, 3.95);
        assert_eq!(ends(-1.0, 4.9).0, -1.5);
    }

    #[test]
    fn a_bar_that_reaches_zero_does_not_stretch_a_logarithmic_axis_without_end() {
        let axis = Axis::logarithmic(Extent::NONE.with_bar(2.0, 2.0, true).with_bar(50.0, 1.0, true), 6);
        assert!(axis.share(0.2).unwrap() >= 0.0 && axis.share(0.0).is_none() && axis.share(0.05).unwrap() < 0.0);
    }
}
