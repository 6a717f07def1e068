//! Ticks at steps of 1, 2 or 5 times a power of ten, their labels exact decimals.

use crate::quantity::{Decimal, Rounding, round};

/// Of a quotient that should be whole: how far the arithmetic of doubles may have left it beside.
const SLACK: f64 = 1e-9;

/// A place on an axis that is marked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tick {
    /// Where, in the numbers of the axis.
    pub(super) at: f64,
    /// What is written there.
    pub(super) label: Label,
}

/// What is written at a tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Label {
    /// A number, with all its places.
    Number(Decimal),
    /// A power of ten.
    Power(i32),
}

/// The marks of an axis, and where it begins and ends: at marks, so that all that is drawn lies between.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scale {
    pub(super) low: f64,
    pub(super) high: f64,
    /// Marks with labels, ascending.
    pub(super) ticks: Vec<Tick>,
    /// Marks between them.
    pub(super) minor: Vec<f64>,
}

/// 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Step {
    count: u8,
    place: i32,
}

impl Step {
    /// The smallest that is no smaller than `least`.
    fn at_least(least: f64) -> Self {
        let place = whole(libm::log10(least).floor());
        let steps = [(1, place), (2, place), (5, place), (1, place + 1), (2, place + 1)];
        let found = steps.into_iter().find(|&(count, place)| multiple(1, count, place).0 >= least * (1.0 - SLACK));
        let (count, place) = found.unwrap_or((1, place + 2));
        Self { count, place }
    }

    /// The next smaller one.
    const fn smaller(self) -> Self {
        match self.count {
            1 => Self { count: 5, place: self.place - 1 },
            2 => Self { count: 1, place: self.place },
            _ => Self { count: 2, place: self.place },
        }
    }

    /// The step between the marks without labels: fifths of 1 and 5, quarters of 2.
    const fn part(self) -> Self {
        match self.count {
            1 => Self { count: 2, place: self.place - 1 },
            2 => Self { count: 5, place: self.place - 1 },
            _ => Self { count: 1, place: self.place },
        }
    }

    fn size(self) -> f64 {
        multiple(1, self.count, self.place).0
    }

    /// The whole multiples from the one at or below `low` to the one at or above `high`.
    fn about(self, low: f64, high: f64) -> (i64, i64) {
        let size = self.size();
        (floor(low / size + SLACK), -floor(-(high / size - SLACK)))
    }

    /// The whole multiples from `low` to `high`.
    fn between(self, low: f64, high: f64) -> impl Iterator<Item = Tick> {
        let size = self.size();
        let (first, last) = (-floor(-(low / size - SLACK)), floor(high / size + SLACK));
        (first..=last).map(move |times| {
            let (at, number) = multiple(times, self.count, self.place);
            Tick { at, label: Label::Number(number) }
        })
    }
}

/// `times` · `count` · 10^`place`, as a double and as a decimal that ends at that place, or at the units.
fn multiple(times: i64, count: u8, place: i32) -> (f64, Decimal) {
    let digits = u128::from(times.unsigned_abs()) * u128::from(count);
    let number = Decimal::new(times < 0, digits, place);
    (number.to_f64(), round::to_place(number, place.min(0), Rounding::Nearest))
}

/// Marks of a linear axis about `low` and `high`, which differ; about so many labels at most, and two at least.
pub(super) fn linear(low: f64, high: f64, most: u8) -> Scale {
    let mut step = Step::at_least((high - low) / f64::from(most.max(1)));
    // Two steps smaller is less than half: then two marks are in any reach.
    for _ in 0..3 {
        step = if step.between(low, high).nth(1).is_none() { step.smaller() } else { step };
    }
    let part = step.part();
    let (first, last) = part.about(low, high);
    let end = |times| multiple(times, part.count, part.place).0;
    let (low, high) = (end(first), end(last));
    let ticks: Vec<Tick> = step.between(low, high).collect();
    let is_tick = |at: f64| ticks.iter().any(|tick| (tick.at - at).abs() < part.size() / 2.0);
    let minor = part.between(low, high).map(|mark| mark.at).filter(|&at| !is_tick(at)).collect();
    Scale { low, high, ticks, minor }
}

/// Marks of a logarithmic axis about 10^`low` and 10^`high`, which differ; all places are given as logarithms.
pub(super) fn logarithmic(low: f64, high: f64, most: u8) -> Scale {
    if high - low >= 2.0 {
        return decades(low, high, most);
    }
    let (first, last) = (floor(low), floor(high));
    let all: Vec<Digit> = (first..=last).flat_map(|power| (1..=9).map(move |digit| Digit::new(digit, power))).collect();
    let start = all.iter().rposition(|mark| mark.at <= low + SLACK).unwrap_or(0);
    let next = Digit::new(1, last + 1);
    let end = all.iter().find(|mark| mark.at >= high - SLACK).unwrap_or(&next).at;
    let inside: Vec<&Digit> = all.iter().chain([&next]).skip(start).filter(|mark| mark.at <= end).collect();
    let labelled = |digits: &[u8]| inside.iter().filter(|mark| digits.contains(&mark.digit)).count();
    if labelled(&[1, 2, 5]) < 3 {
        return narrow(low, high, most);
    }
    // The densest labels that have room; where not even the decades have, as many as tell one place from another.
    let mut sets = [[1, 2, 5].as_slice(), &[1, 3], &[1]].into_iter().filter(|digits| labelled(digits) >= 2);
    let roomy = sets.clone().find(|digits| labelled(digits) <= usize::from(most));
    let digits = roomy.or(sets.next_back()).unwrap_or(&[1, 2, 5]);
    let (main, between): (Vec<&Digit>, Vec<&Digit>) = inside.iter().partition(|mark| digits.contains(&mark.digit));
    Scale {
        low: all.get(start).map_or(low, |mark| mark.at),
        high: end,
        ticks: main.into_iter().map(|mark| Tick { at: mark.at, label: Label::Number(mark.number()) }).collect(),
        minor: between.into_iter().map(|mark| mark.at).collect(),
    }
}

/// A digit times a power of ten, and where it stands on a logarithmic axis.
struct Digit {
    digit: u8,
    power: i64,
    at: f64,
}

impl Digit {
    fn new(digit: u8, power: i64) -> Self {
        Self { digit, power, at: double(power) + libm::log10(f64::from(digit)) }
    }

    /// Each with its own places: 0.5, 1, 2.
    fn number(&self) -> Decimal {
        multiple(1, self.digit, i32::try_from(self.power).unwrap_or(0)).1
    }
}

/// Less than a decade: the marks of a linear axis at their logarithms.
fn narrow(low: f64, high: f64, most: u8) -> Scale {
    let (least, greatest) = (libm::pow(10.0, low), libm::pow(10.0, high));
    let Scale { low, high, ticks, minor } = linear(least, greatest, most);
    // A step below the least value may be at zero, which has no logarithm.
    let place = |at: f64| libm::log10(at.max(least / 2.0));
    let above = |at: &f64| *at >= least / 2.0;
    Scale {
        low: place(low),
        high: place(high),
        ticks: ticks.into_iter().filter(|tick| above(&tick.at)).map(|t| Tick { at: place(t.at), ..t }).collect(),
        minor: minor.into_iter().filter(above).map(place).collect(),
    }
}

/// Whole decades, each so many of them labelled; where each is, their digits are marked.
fn decades(low: f64, high: f64, most: u8) -> Scale {
    let (first, last) = (floor(low + SLACK), -floor(-(high - SLACK)));
    let most = i64::from(most.max(1));
    let stride = (last - first + most - 1) / most;
    let powers = |stride: i64| (first..=last).filter(move |power| power % stride == 0);
    let plain = powers(stride).all(|power| (-3..=4).contains(&power));
    let label = |power: i64| match i32::try_from(power).unwrap_or(0) {
        power if plain => Label::Number(multiple(1, 1, power).1),
        power => Label::Power(power),
    };
    let digits: Vec<f64> =
        (first..last).flat_map(|power| (2..=9).map(move |digit| Digit::new(digit, power).at)).collect();
    let between: Vec<f64> = match stride {
        1 => digits,
        2..=12 => powers(1).filter(|power| power % stride != 0).map(double).collect(),
        _ => Vec::new(),
    };
    let marks = || between.iter().copied().chain([double(first), double(last)]);
    // The axis ends at the outermost marks that are needed.
    let below = marks().filter(|&at| at <= low + SLACK).fold(double(first), f64::max);
    let above = marks().filter(|&at| at >= high - SLACK).fold(double(last), f64::min);
    let is_inside = |at: f64| (below..=above).contains(&at);
    let ticks = powers(stride).map(|power| Tick { at: double(power), label: label(power) });
    Scale {
        low: below,
        high: above,
        ticks: ticks.filter(|tick| is_inside(tick.at)).collect(),
        minor: between.iter().copied().filter(|&at| is_inside(at)).collect(),
    }
}

fn double(power: i64) -> f64 {
    i32::try_from(power).map_or(f64::NAN, f64::from)
}

fn floor(x: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a step has no more than 10^13 multiples on its axis")]
    let floor = x.floor() as i64;
    floor
}

fn whole(x: f64) -> i32 {
    i32::try_from(floor(x)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn labels(scale: &Scale) -> Vec<String> {
        let written = |tick: &Tick| match tick.label {
            Label::Number(number) => number.to_string(),
            Label::Power(power) => format!("10^{power}"),
        };
        scale.ticks.iter().map(written).collect()
    }

    #[test]
    fn linear_axes() {
        let shown = |low, high| {
            let scale = linear(low, high, 6);
            (labels(&scale).join(" "), scale.low, scale.high, scale.minor.len())
        };
        assert_eq!(shown(0.0, 5.05), ("0 1 2 3 4 5".into(), 0.0, 5.2, 21));
        assert_eq!(shown(-0.34, 0.35), ("-0.2 0.0 0.2".into(), -0.35, 0.35, 12));
        assert_eq!(shown(2.0, 2.3), ("2.00 2.05 2.10 2.15 2.20 2.25 2.30".into(), 2.0, 2.3, 24));
        assert_eq!(shown(-980.0, 1020.0), ("-1000 -500 0 500 1000".into(), -1000.0, 1100.0, 17));
    }

    #[test]
    fn logarithmic_axes() {
        let shown = |low: f64, high: f64| labels(&logarithmic(libm::log10(low), libm::log10(high), 6)).join(" ");
        assert_eq!(shown(0.8, 120.0), "1 10 100");
        assert_eq!(shown(0.15, 7.0), "0.1 0.2 0.5 1 2 5");
        assert_eq!(shown(3.0, 5.5), "3.0 3.5 4.0 4.5 5.0 5.5");
        let few = |low: f64, high: f64| labels(&logarithmic(libm::log10(low), libm::log10(high), 4)).join(" ");
        assert_eq!(few(0.15, 7.0), "0.1 0.3 1 3");
        assert_eq!(few(1.5, 90.0), "1 3 10 30");
        assert_eq!(few(1.5, 4.5), "1 2 5");
        assert_eq!(shown(1e-9, 1e9), "10^-9 10^-6 10^-3 10^0 10^3 10^6 10^9");
        assert_eq!(shown(1e-300, 1e300), "10^-300 10^-200 10^-100 10^0 10^100 10^200 10^300");
    }

    proptest! {
        /// 1-2-5 steps; about as many labels as asked for; all that is to be seen between the axis' ends; labels that
        /// say exactly where they stand, each once, all to the same place.
        #[test]
        fn linear_ticks_are_honest(middle in -1000.0..1000.0, reach in 1e-6..1000.0, most in 2_u8..10) {
            let (low, high): (f64, f64) = (middle - reach, middle + reach);
            let scale = linear(low, high, most);
            let step = scale.ticks[1].at - scale.ticks[0].at;
            let mantissa = Decimal::of_f64(round_off(step)).unwrap().trimmed().digits();
            prop_assert!([1, 2, 5].contains(&mantissa), "{step}");
            // Where fewer than two multiples of a step are in reach, the next smaller has five at most; and one at either end.
            prop_assert!(scale.ticks.len() >= 2 && scale.ticks.len() <= usize::from(most).max(5) + 2, "{scale:?}");
            let slack = SLACK * 2.0 * reach;
            prop_assert!(scale.low <= low + slack && scale.high >= high - slack);
            prop_assert!(scale.low > low - step && scale.high < high + step);
            prop_assert!(scale.ticks.iter().all(|tick| tick.at >= scale.low - slack && tick.at <= scale.high + slack));
            let texts = labels(&scale);
            let places = |text: &str| text.split_once('.').map_or(0, |(_, part)| part.len());
            for (text, tick) in texts.iter().zip(&scale.ticks) {
                prop_assert_eq!(text.parse::<f64>().unwrap(), tick.at);
                prop_assert_eq!(places(text), places(&texts[0]));
            }
            prop_assert!(texts.windows(2).all(|pair| pair[0] != pair[1]));
            prop_assert!(scale.minor.windows(2).all(|pair| pair[0] < pair[1]));
        }

        #[test]
        fn logarithmic_ticks_are_honest(low in -300.0..300.0, reach in 0.001..300.0, most in 2_u8..10) {
            let high: f64 = low + reach;
            let scale = logarithmic(low, high, most);
            let slack = 1e-6 * f64::max(reach, 1.0);
            prop_assert!(scale.low <= low + slack && scale.high >= high - slack, "{scale:?}");
            // Below a decade as on a linear axis.
            prop_assert!(scale.ticks.len() >= 2 && scale.ticks.len() <= usize::from(most).max(5) + 2, "{scale:?}");
            prop_assert!(scale.ticks.iter().all(|t| t.at >= scale.low - slack && t.at <= scale.high + slack));
            prop_assert!(scale.ticks.windows(2).all(|pair| pair[0].at < pair[1].at));
            let texts = labels(&scale);
            prop_assert!(texts.windows(2).all(|pair| pair[0] != pair[1]));
        }
    }

    /// A step as the difference of two ticks, without what the subtraction left.
    fn round_off(step: f64) -> f64 {
        round::to_figures(Decimal::of_f64(step).unwrap(), 3, Rounding::Nearest).to_f64()
    }
}
