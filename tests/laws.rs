//! Laws that hold for every number and unit: rounding against long arithmetic on written digits, which shares
//! nothing with the code under test; reading and writing; arithmetic; conversion there and back.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

use meniscus::quantity::unit::Spelling;
use meniscus::quantity::{Decimal, Exact, Figures, Rounding, Unit, Units, figures, round};
use proptest::prelude::*;

const RULES: [Rounding; 3] = [Rounding::Nearest, Rounding::Even, Rounding::Up];

/// Digits, the place of the last one, a place to round to: ties, carries and zeros are frequent.
fn cases() -> impl Strategy<Value = (bool, String, i32, i32)> {
    let digits =
        prop_oneof!["[0-9]{1,12}", "[1-9][09]{0,9}5", "9{1,8}[05]0{0,6}", "[1-9][0-9]{0,36}", "0{0,3}[1-9]0{0,8}"];
    (any::<bool>(), digits, -30..30i32, -8..30i32)
        .prop_map(|(negative, digits, last, up)| (negative, digits, last, last.saturating_add(up)))
}

/// Rounds as one does on paper: digits left of the place, digits right of it, a carry by hand.
fn on_paper(digits: &str, last: i32, place: i32, rule: Rounding) -> String {
    let dropped = usize::try_from(place - last).unwrap_or(0);
    let padded = format!("{digits:0>width$}", width = dropped + 1);
    let (kept, rest) = padded.split_at(padded.len() - dropped);
    let mut kept: Vec<u8> = kept.bytes().map(|b| b - b'0').collect();
    let first = rest.bytes().next().map_or(0, |b| b - b'0');
    let more = rest.bytes().skip(1).any(|b| b != b'0');
    let even = kept.last().is_none_or(|d| matches!(d, 0 | 2 | 4 | 6 | 8));
    let up = match rule {
        Rounding::Nearest => first >= 5,
        Rounding::Even => first > 5 || (first == 5 && (more || !even)),
        Rounding::Up => first >= 1,
    };
    if up {
        let carried = kept.iter().rev().take_while(|&&d| d == 9).count();
        let whole = kept.len();
        kept[whole - carried..].fill(0);
        match whole.checked_sub(carried + 1) {
            Some(at) => kept[at] += 1,
            None => kept.insert(0, 1),
        }
    }
    kept.extend(std::iter::repeat_n(0, usize::try_from(last - place).unwrap_or(0)));
    let written: String = kept.iter().map(|&d| char::from(d + b'0')).collect();
    let written = written.trim_start_matches('0');
    if written.is_empty() { "0".to_owned() } else { written.to_owned() }
}

fn decimal(negative: bool, digits: &str, last: i32) -> Decimal {
    Decimal::new(negative, digits.parse().unwrap(), last)
}

/// Small ratios, so that sums and products of a few fit.
fn ratio() -> impl Strategy<Value = Exact> {
    (-9_999..9_999i128, 1..720i128, -4..4i32).prop_map(|(n, d, tens)| Exact::new(n, d, tens))
}

/// A symbol of the table, with a prefix where it is SI.
fn symbol() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "m", "mm", "km", "µm", "kg", "g", "mg", "s", "ms", "min", "h", "A", "mA", "K", "mol", "N", "kN", "J", "eV",
        "MeV", "Pa", "hPa", "bar", "mmHg", "psi", "Torr", "L", "mL", "inch", "ft", "lb", "oz", "kn", "mph", "°", "′",
        "gon", "rad", "dB", "pc", "Oe", "%", "ppm", "Da", "au", "slug", "hp", "°R", "gal_US",
    ])
}

fn unit() -> impl Strategy<Value = Unit> {
    let factor = || (symbol(), 1..4i32).prop_map(|(symbol, power)| (symbol.to_owned(), power));
    let factors = |least| prop::collection::vec(factor(), least..3usize);
    (factors(1), factors(0)).prop_map(|(over, under)| Units::default().find(&Spelling { over, under }).unwrap())
}

proptest! {
    #[test]
    fn rounding_is_that_of_written_digits((negative, digits, last, place) in cases()) {
        let number = decimal(negative, &digits, last);
        for rule in RULES {
            let rounded = round::to_place(number, place, rule);
            let expected = on_paper(&digits, last, place, rule);
            // Where 38 digits do not reach down to the place, the number stays as it is.
            if last - place + i32::try_from(digits.len()).unwrap() <= 38 {
                prop_assert_eq!(rounded.digits().to_string(), &expected[..], "{:?}", rule);
                prop_assert_eq!(rounded.last_place(), place);
                prop_assert_eq!(rounded.is_negative(), negative && expected != "0");
                let exact = Exact::of(number).unwrap().round(place, rule).unwrap();
                prop_assert_eq!((exact, exact.last_place()), (rounded, place));
            } else {
                prop_assert_eq!(rounded, number);
            }
        }
    }

    /// Multiples of any step: a multiple it is, none is nearer, and ties go where the rule says.
    #[test]
    fn multiples_are_the_nearest(n in -10_000_000..10_000_000i128, a in -4..3i32, s in 1..500i128, b in -4..3i32) {
        let (number, step) = (Decimal::new(n < 0, n.unsigned_abs(), a), Decimal::new(false, s.unsigned_abs(), b));
        let whole = |d: Decimal| {
            let size = i128::try_from(d.digits()).unwrap() * 10i128.pow(u32::try_from(d.last_place() + 4).unwrap());
            if d.is_negative() { -size } else { size }
        };
        let (given, by) = (whole(number), whole(step));
        for rule in [Rounding::Nearest, Rounding::Even] {
            let rounded = round::to_multiple(number, step, rule).unwrap();
            prop_assert_eq!(rounded.last_place(), step.last_place());
            let got = whole(rounded);
            prop_assert_eq!(got % by, 0);
            let off = (given - got).abs() * 2;
            prop_assert!(off <= by);
            if off == by {
                let right = if rule == Rounding::Nearest { got.abs() > given.abs() } else { got / by % 2 == 0 };
                prop_assert!(right);
            }
        }
    }

    /// Significant figures are counted after rounding, and the value is the one rounded once.
    #[test]
    fn figures_are_as_many_as_asked((negative, digits, last, _) in cases(), figures in 1..9u32) {
        let number = decimal(negative, &digits, last);
        for rule in RULES {
            let rounded = round::to_figures(number, figures, rule);
            prop_assert!(rounded.figures() <= figures.max(1) || number.is_zero());
            if number.figures() > figures && !number.is_zero() {
                let place = number.first_place() - i32::try_from(figures).unwrap() + 1;
                prop_assert_eq!(rounded, round::to_place(number, place, rule));
                prop_assert_eq!(rounded.figures(), figures);
            }
        }
    }

    /// Value and uncertainty end at one place; an uncertainty is never shown as nothing.
    #[test]
    fn both_end_at_one_place(v in 0..1_000_000_000u64, place in -12..6i32, u in 1..1_000_000u64, down in -12..6i32) {
        let (value, amount) = (Decimal::new(false, v.into(), place), Decimal::new(false, u.into(), down));
        for rule in RULES {
            for wanted in [Figures::One, Figures::Two, Figures::LeadingOne, Figures::Pdg] {
                let shown = figures::together(value, amount, wanted, rule);
                let uncertainty = shown.uncertainty.unwrap();
                prop_assert_eq!(shown.value.last_place(), uncertainty.last_place());
                prop_assert!(!uncertainty.is_zero() && uncertainty.figures() <= 2);
            }
        }
    }

    #[test]
    fn decimals_are_read_as_they_are_written((negative, digits, last, _) in cases()) {
        let number = decimal(negative, &digits, last);
        // Written out, a number may have more zeros before its point than may be typed.
        if last + i32::try_from(digits.len()).unwrap() <= 38 {
            let again = Decimal::read(&number.to_string()).unwrap();
            prop_assert_eq!(again, number);
            if last <= 0 {
                prop_assert_eq!((again.digits(), again.last_place()), (number.digits(), last));
            }
        }
        let again = Decimal::read(&format!("{number:e}")).unwrap();
        prop_assert_eq!((again.digits(), again.last_place(), again.is_negative()), (number.digits(), last, number.is_negative()));
    }

    /// The standard library reads decimals to the nearest double.
    #[test]
    fn doubles_are_the_nearest((negative, digits, last, _) in cases(), far in -300..300i32) {
        for last in [last, far] {
            let number = decimal(negative, &digits, last);
            let expected: f64 = format!("{}{}e{last}", if negative { "-" } else { "" }, digits).parse().unwrap();
            prop_assert_eq!(number.to_f64(), expected);
            prop_assert_eq!(Exact::of(number).unwrap().to_f64(), expected);
        }
    }

    /// A ratio against its first hundred digits and a digit for the rest.
    #[test]
    fn ratios_to_the_nearest_double(n in 1..i64::MAX, d in 1..i64::MAX, tens in -40..40i32) {
        let mut text = format!("{}.", n / d);
        let (mut rest, d) = (u128::from((n % d).unsigned_abs()), u128::from(d.unsigned_abs()));
        for _ in 0..100 {
            text.push_str(&(rest * 10 / d).to_string());
            rest = rest * 10 % d;
        }
        text.push(if rest == 0 { '0' } else { '1' });
        let expected: f64 = format!("{text}e{tens}").parse().unwrap();
        if let Some(ratio) = Exact::new(n.into(), d.cast_signed(), tens).times(Exact::ONE) {
            prop_assert_eq!(ratio.to_f64(), expected);
        }
    }

    /// Fifteen digits of a computed number come back from its double.
    #[test]
    fn computed_numbers_keep_fifteen_digits(n in 1..999_999_999_999_999u64, last in -60..60i32) {
        let number = Decimal::new(false, n.into(), last);
        prop_assert_eq!(Decimal::of_f64(number.to_f64()), Some(number));
    }

    #[test]
    fn order_is_that_of_exact_differences((n1, d1, l1, _) in cases(), (n2, d2, l2, _) in cases()) {
        let (a, b) = (decimal(n1, &d1, l1), decimal(n2, &d2, l2));
        if let Some(order) = Exact::of(a).unwrap().partial_cmp(&Exact::of(b).unwrap()) {
            prop_assert_eq!(a.cmp(&b), order);
        }
        prop_assert_eq!(a.cmp(&b), b.cmp(&a).reverse());
    }

    #[test]
    fn exact_numbers_are_a_field(a in ratio(), b in ratio(), c in ratio()) {
        let ((sum, product), (minus, over)) = ((Exact::plus, Exact::times), (Exact::minus, Exact::over));
        prop_assert_eq!(sum(a, b), sum(b, a));
        prop_assert_eq!(product(a, b), product(b, a));
        prop_assert_eq!(sum(sum(a, b).unwrap(), c), sum(a, sum(b, c).unwrap()));
        prop_assert_eq!(product(product(a, b).unwrap(), c), product(a, product(b, c).unwrap()));
        prop_assert_eq!(product(a, sum(b, c).unwrap()), sum(product(a, b).unwrap(), product(a, c).unwrap()));
        prop_assert_eq!(minus(sum(a, b).unwrap(), b), Some(a));
        prop_assert_eq!(minus(a, a), Some(Exact::ZERO));
        if b.is_zero() {
            prop_assert_eq!(over(a, b), None);
        } else {
            prop_assert_eq!(over(a, b).and_then(|q| product(q, b)), Some(a));
        }
        prop_assert_eq!(a.power(3), product(a, product(a, a).unwrap()));
    }

    /// One form for one value, however it was come by.
    #[test]
    fn equal_ratios_are_equal(n in -9_999..9_999i128, d in 1..999i128, by in 1..2_000i128, tens in -5..5i32) {
        let plain = Exact::new(n, d, tens);
        prop_assert_eq!(Exact::new(n * by, d * by, tens), plain);
        prop_assert_eq!(Exact::new(n * 1000, d, tens - 3), plain);
        prop_assert_eq!(Exact::new(n, d * 100, tens + 2), plain);
        prop_assert_eq!(Exact::whole(n).over(Exact::whole(d)).unwrap().times(Exact::new(1, 1, tens)), Some(plain));
    }

    /// Rounding a ratio, judged by whole numbers alone.
    #[test]
    fn ratios_round_by_their_exact_value(n in -99_999..99_999i128, d in 1..999i128, place in -9..2i32) {
        let scale = 10i128.pow(u32::try_from(place + 9).unwrap());
        let (top, step) = (n.abs() * 1_000_000_000, d * scale);
        for rule in RULES {
            let rounded = Exact::new(n, d, 0).round(place, rule).unwrap();
            let count = i128::try_from(rounded.digits()).unwrap();
            let (floor, rest) = (top / step, top % step);
            let expected = floor + match rule {
                Rounding::Nearest => i128::from(rest * 2 >= step),
                Rounding::Even => i128::from(rest * 2 > step || (rest * 2 == step && floor % 2 == 1)),
                Rounding::Up => i128::from(rest * 10 >= step),
            };
            prop_assert_eq!((count, rounded.last_place()), (expected, place), "{:?}", rule);
        }
    }

    /// What does not fit gives `None`: never a panic, never a wrong number.
    #[test]
    fn the_largest_numbers_do_not_panic(
        a in any::<i128>(), b in any::<i128>(), c in any::<i128>(), d in any::<i128>(),
        s in any::<i32>(), t in any::<i32>(), place in any::<i32>(),
    ) {
        let (x, y) = (Exact::new(a, b, s), Exact::new(c, d, t));
        let results = [x.plus(y), x.minus(y), x.times(y), x.over(y), x.power(t), Some(x.abs())];
        for result in results.into_iter().flatten().chain([x, y]) {
            for rule in RULES {
                let _ = result.round(place, rule);
            }
            let _ = (result.decimal().map(|d| d.first_place()), result.partial_cmp(&x));
        }
        prop_assert!(x.partial_cmp(&x).is_none_or(std::cmp::Ordering::is_eq));
    }

    /// There and back, in doubles and exactly; and the way round through another unit.
    #[test]
    fn conversion_there_and_back(unit in unit(), n in 1..9_999_999u64, last in -9..4i32) {
        let number = Exact::of(Decimal::new(false, n.into(), last)).unwrap();
        let back = unit.from_si(unit.to_si(number));
        prop_assert!((back / number.to_f64() - 1.0).abs() < 4.0 * f64::EPSILON, "{} {}", back, unit);
        let coherent = Unit::coherent(unit.dimension);
        prop_assert_eq!(coherent.dimension, unit.dimension);
        if let Some(there) = coherent.exactly(number, &unit) {
            prop_assert_eq!(there.to_f64(), unit.to_si(number));
            prop_assert!(unit.exactly(there, &coherent).is_none_or(|again| again == number));
        }
        if let Some(power) = coherent.power_of_ten_from(&unit) {
            prop_assert_eq!(coherent.exactly(number, &unit), number.times(Exact::new(1, 1, power)));
        }
    }

    /// A point keeps its digits to a millionth of a kelvin and far beyond.
    #[test]
    fn points_there_and_back(n in -27_315..500_000i64, scale in prop::sample::select(vec!["°C", "°F", "m°C"])) {
        let unit = Units::default().find(&Spelling::symbol(scale)).unwrap();
        let number = Exact::new(n.into(), 1, -2);
        let back = unit.from_si(unit.to_si(number));
        prop_assert!((back - number.to_f64()).abs() < 2e-9, "{}", back);
        // Hundredths are exactly what they were wherever fifteen digits hold them.
        if scale == "°C" {
            prop_assert_eq!(back, number.to_f64());
        }
    }
}
