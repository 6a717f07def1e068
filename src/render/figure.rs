//! The digits of a number with its uncertainty, and how they are set out: signs, powers of ten.

use std::borrow::Cow;

use super::piece::{Math, Sign};
use crate::course::{Course, DecimalSign};
use crate::parse::ast::Number;
use crate::quantity::figures::{self, FIGURES_OF_EXACT};
use crate::quantity::unit::Spelling;
use crate::quantity::{Decimal, Exact, Figures, Rounded, Rounding, round};

/// Digits that are ready to be written. What is held is multiplied by the power of ten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Figure {
    /// The value.
    pub(super) value: Decimal,
    /// Its uncertainty.
    pub(super) uncertainty: Option<Decimal>,
    /// The exponent of ten, where one is written.
    pub(super) power: Option<i32>,
}

/// Figures that a difference may show beyond those of the course.
const MOST_FINER: i32 = 3;

impl Figure {
    /// A computed value with its uncertainty, rounded as the course wants it. `None` where either is no
    /// finite number.
    pub(super) fn computed(value: f64, uncertainty: f64, course: &Course) -> Option<Self> {
        let (value, amount) = (Decimal::of_f64(value)?, Decimal::of_f64(uncertainty)?.abs());
        if amount.is_zero() {
            return Some(Self::exact(value, figures::for_values(course.round)));
        }
        let Rounded { value, uncertainty } = figures::together(value, amount, course.digits, course.round);
        Some(Self { value, uncertainty, power: None }.scaled())
    }

    /// By how much two values differ, rounded as the course wants it; with a few figures more where rounding would hide
    /// whether the difference is `within` so many times its uncertainty.
    pub(super) fn difference(
        value: f64,
        uncertainty: f64,
        (times, within): (f64, bool),
        course: &Course,
    ) -> Option<Self> {
        let (exact, amount) = (Decimal::of_f64(value)?.abs(), Decimal::of_f64(uncertainty)?.abs());
        let told = |value: Decimal, amount: Decimal| (value.to_f64() <= times * amount.to_f64()) == within;
        let rounded = figures::together(exact, amount, course.digits, course.round);
        let plain = Self::computed(value.abs(), uncertainty, course);
        let Some(shown) = rounded.uncertainty.filter(|&shown| told(exact, amount) && !told(rounded.value, shown))
        else {
            return plain;
        };
        let to = |number, finer| round::to_place(number, shown.last_place() - finer, Rounding::Nearest);
        let finer = (1..=MOST_FINER).map(|finer| (to(exact, finer), to(amount, finer)));
        let telling = finer.into_iter().find(|&(value, amount)| told(value, amount));
        telling.map(|(value, amount)| Self { value, uncertainty: Some(amount), power: None }.scaled()).or(plain)
    }

    /// A number with no uncertainty: six figures. Zeros before the point are exact here and may stand.
    pub(super) fn exact(value: Decimal, rounding: Rounding) -> Self {
        let shown = round::to_figures(value, FIGURES_OF_EXACT, rounding).trimmed();
        let written_out = shown == value && shown.last_place() >= 1 && shown.first_place() < 6;
        let plain = Self { value: shown, uncertainty: None, power: None };
        if written_out { Self { value: round::to_place(shown, 0, rounding), ..plain } } else { plain.scaled() }
    }

    /// A number to so many significant figures, zeros at its end included.
    pub(super) fn rough(value: f64, figures: u32) -> Option<Self> {
        let value = round::to_figures(Decimal::of_f64(value)?, figures, Rounding::Nearest);
        let last = value.first_place() + 1 - i32::try_from(figures).ok()?;
        // Whole numbers of up to three figures are no pretence: 120 of 0 to 999 reads better than 1.2 × 10².
        let last = if (1..3).contains(&value.first_place()) { last.min(0) } else { last };
        let value = if value.is_zero() { value } else { round::to_place(value, last, Rounding::Nearest) };
        Some(Self { value, uncertainty: None, power: None }.scaled())
    }

    /// A power of ten where the last place is ten or more, or the number is smaller than a thousandth.
    pub(super) fn scaled(self) -> Self {
        let plain = self.plain();
        let size = plain.uncertainty.map_or(plain.value.abs(), |u| u.max(plain.value.abs()));
        if size.is_zero() || (plain.value.last_place() < 1 && size >= Decimal::step(-3)) {
            return plain;
        }
        plain.with_power(Some(size.first_place()))
    }

    /// The same number with another power of ten written.
    pub(super) fn with_power(self, power: Option<i32>) -> Self {
        let by = self.power.unwrap_or(0) - power.unwrap_or(0);
        Self { value: self.value.shifted(by), uncertainty: self.uncertainty.map(|u| u.shifted(by)), power }
    }

    fn plain(self) -> Self {
        self.with_power(None)
    }

    /// The value alone. Its power of ten stays, so that two mentions of a quantity look alike.
    pub(super) const fn value_alone(self) -> Self {
        Self { uncertainty: None, ..self }
    }

    /// The uncertainty alone, with a power of ten of its own.
    pub(super) fn uncertainty_alone(self) -> Option<Self> {
        let plain = self.plain();
        plain.uncertainty.map(|value| Self { value, uncertainty: None, power: None }.scaled())
    }

    /// Where value less uncertainty and value plus uncertainty lie, the power of ten left out.
    pub(super) fn ends(self) -> Option<(Decimal, Decimal)> {
        let amount = self.uncertainty?;
        let (value, reach) = (Exact::of(self.value)?, Exact::of(amount)?);
        let place = self.value.last_place().min(amount.last_place());
        let end = |number: Option<Exact>| number?.round(place, Rounding::Nearest);
        Some((end(value.minus(reach))?, end(value.plus(reach))?))
    }

    /// `9.7 ± 0.2 m/s²`, `(1.235 ± 0.035) × 10⁶ m`.
    pub(super) fn math<'r>(self, unit: impl Into<Cow<'r, Spelling>>, sign: DecimalSign) -> Math<'r> {
        let mut parts = number(self.value, sign);
        if let Some(uncertainty) = self.uncertainty {
            parts.push(Math::Sign(Sign::PlusMinus));
            push_number(uncertainty, sign, &mut parts);
            if self.power.is_some() {
                parts = vec![Math::Bracket(Box::new(Math::row(parts)))];
            }
        }
        finish(parts, self.power, unit)
    }

    /// `9.7(2) m/s²`; where the uncertainty ends at another place than the value, `24.3(0.05) cm`
    /// (both forms of JCGM 100:2008, 7.2.2).
    pub(super) fn short<'r>(self, unit: &'r Spelling, sign: DecimalSign) -> Math<'r> {
        let mut parts = number(self.value, sign);
        if let Some(uncertainty) = self.uncertainty {
            let same_place = uncertainty.last_place() == self.value.last_place();
            let inner = match same_place {
                true => vec![Math::Digits(Decimal::new(false, uncertainty.digits(), 0), sign)],
                false => number(uncertainty, sign),
            };
            parts.push(Math::Bracket(Box::new(Math::row(inner))));
        }
        finish(parts, self.power, unit)
    }
}

/// A number as a course writes it, its minus apart.
pub(super) fn number<'r>(decimal: Decimal, sign: DecimalSign) -> Vec<Math<'r>> {
    // With room for an uncertainty and a unit.
    let mut parts = Vec::with_capacity(4);
    push_number(decimal, sign, &mut parts);
    parts
}

fn push_number(decimal: Decimal, sign: DecimalSign, parts: &mut Vec<Math<'_>>) {
    if decimal.is_negative() {
        parts.push(Math::Sign(Sign::Negative));
    }
    parts.push(Math::Digits(decimal.abs(), sign));
}

/// Writes the digits of a number that has no sign of its own.
pub(super) fn digits(number: Decimal, sign: DecimalSign, out: &mut String) {
    let start = out.len();
    number.write_to(out);
    if let (DecimalSign::Comma, Some(point)) = (sign, out.get(start..).and_then(|digits| digits.find('.'))) {
        out.replace_range(start + point..=start + point, ",");
    }
}

/// A typed number, its power of ten apart where one was typed.
pub(super) fn typed_parts<'r>(typed: Number, sign: DecimalSign) -> (Vec<Math<'r>>, Option<i32>) {
    (number(typed.decimal.shifted(-typed.power.unwrap_or(0)), sign), typed.power)
}

const TEN: Decimal = Decimal::new(false, 10, 0);

/// Adds the power of ten and the unit.
pub(super) fn finish<'r>(mut parts: Vec<Math<'r>>, power: Option<i32>, unit: impl Into<Cow<'r, Spelling>>) -> Math<'r> {
    if let Some(power) = power {
        let exponent = Math::row(number(Decimal::new(power < 0, power.unsigned_abs().into(), 0), DecimalSign::Point));
        parts.push(Math::Sign(Sign::Cross));
        parts.push(Math::Raised(Box::new(Math::Digits(TEN, DecimalSign::Point)), Box::new(exponent)));
    }
    let unit = unit.into();
    if !(unit.over.is_empty() && unit.under.is_empty()) {
        parts.push(Math::Unit(behind_number(unit)));
    }
    Math::row(parts)
}

/// The unit as it stands behind a number, where `5 1/s` would be read as a fraction: s⁻¹.
pub(super) fn behind_number(unit: Cow<'_, Spelling>) -> Cow<'_, Spelling> {
    if !unit.over.is_empty() {
        return unit;
    }
    let inverse = unit.under.iter().map(|(symbol, exponent)| (symbol.clone(), -exponent));
    Cow::Owned(Spelling { over: inverse.collect(), under: Vec::new() })
}

/// An amount, known exactly or as a double.
#[derive(Clone, Copy, Debug)]
pub(super) enum Size {
    /// Exactly.
    Exact(Exact),
    /// Of a square root, say.
    Near(Decimal),
}

impl Size {
    /// The total of a reading as it is shown: to the place of the last typed digit, or to its own first
    /// figure where nothing would be left of it there.
    pub(super) fn at_place(self, place: i32, rounding: Rounding) -> Option<Decimal> {
        let rounded = match self {
            Self::Exact(exact) => exact.round(place, rounding)?,
            Self::Near(decimal) => round::to_place(decimal, place, rounding),
        };
        if rounded.is_zero() { self.first_figure(rounding) } else { Some(rounded) }
    }

    /// To its own first figure; `None` of nothing.
    pub(super) fn first_figure(self, rounding: Rounding) -> Option<Decimal> {
        let near = self.near().filter(|near| !near.is_zero())?;
        Some(figures::uncertainty(near, Figures::One, rounding))
    }

    /// Is it smaller than one step of the place?
    pub(super) fn is_finer_than(self, place: i32) -> bool {
        self.near().is_some_and(|near| near < Decimal::step(place))
    }

    fn near(self) -> Option<Decimal> {
        match self {
            Self::Exact(exact) => exact.decimal().or_else(|| Decimal::of_f64(exact.to_f64())),
            Self::Near(decimal) => Some(decimal),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::plain::{Blanks, write};

    fn metre() -> Spelling {
        Spelling { over: vec![("m".into(), 1)], under: vec![] }
    }

    fn computed(value: f64, uncertainty: f64, digits: Figures) -> String {
        let course = Course { digits, ..Course::default() };
        let figure = Figure::computed(value, uncertainty, &course).unwrap();
        write(&figure.math(&metre(), DecimalSign::Point), Blanks::Simple)
    }

    #[test]
    fn computed_numbers_end_where_their_uncertainty_ends() {
        use Figures::{One, Two};
        assert_eq!(computed(9.7401, 0.1688, One), "9.7 ± 0.2 m");
        assert_eq!(computed(-9.7401, 0.1688, Two), "−9.74 ± 0.17 m");
        assert_eq!(computed(1_234_567.0, 35_000.0, Two), "(1.235 ± 0.035) × 10⁶ m");
        assert_eq!(computed(0.000_123, 0.000_004, One), "(1.23 ± 0.04) × 10⁻⁴ m");
        assert_eq!(computed(0.0, 0.000_4, One), "(0 ± 4) × 10⁻⁴ m");
        assert_eq!(computed(0.02, 0.3, One), "0.0 ± 0.3 m");
        assert_eq!(computed(12.0, 34.0, One), "(1 ± 3) × 10¹ m");
        assert_eq!(computed(0.5, 0.96, One), "1 ± 1 m");
    }

    #[test]
    fn a_difference_shows_whether_it_is_within_its_uncertainty() {
        let difference = |value, uncertainty, times, within| {
            let figure = Figure::difference(value, uncertainty, (times, within), &Course::default()).unwrap();
            write(&figure.math(&metre(), DecimalSign::Point), Blanks::Simple)
        };
        assert_eq!(difference(-0.26997, 0.26036, 1.0, false), "0.27 ± 0.26 m");
        assert_eq!(difference(0.26036, 0.26997, 1.0, true), "0.3 ± 0.3 m");
        assert_eq!(difference(0.26, 0.249, 1.0, false), "0.3 ± 0.2 m");
        assert_eq!(difference(0.249, 0.251, 1.0, true), "0.2 ± 0.3 m");
        assert_eq!(difference(0.254, 0.2551, 1.0, true), "0.3 ± 0.3 m");
        assert_eq!(difference(1.38, 0.651, 2.0, false), "1.38 ± 0.65 m", "1.4 and twice 0.7");
        assert_eq!(difference(2.51, 1.26, 2.0, true), "2.5 ± 1.3 m", "3 and twice 1");
        assert_eq!(difference(0.3, 0.3, 1.0, true), "0.3 ± 0.3 m");
        assert_eq!(difference(0.2, 0.3, 1.0, false), "0.2 ± 0.3 m", "judged by something else");
        assert_eq!(difference(0.2, 0.0, 1.0, false), "0.2 m");
    }

    #[test]
    fn exact_numbers_have_six_figures() {
        assert_eq!(computed(1.0 / 3.0, 0.0, Figures::One), "0.333333 m");
        assert_eq!(computed(1000.0, 0.0, Figures::One), "1000 m");
        assert_eq!(computed(299_792_458.0, 0.0, Figures::One), "2.99792 × 10⁸ m");
        assert_eq!(computed(0.0, 0.0, Figures::One), "0 m");
        assert_eq!(computed(0.0005, 0.0, Figures::One), "5 × 10⁻⁴ m");
    }

    #[test]
    fn rough_numbers_have_all_their_figures() {
        let rough = |value| {
            let figure = Figure::rough(value, 3).unwrap();
            write(&figure.math(&metre(), DecimalSign::Point), Blanks::Simple)
        };
        assert_eq!([rough(0.84), rough(9.996), rough(120.4)], ["0.840 m", "10.0 m", "120 m"]);
        assert_eq!([rough(0.0), rough(1234.0), rough(4.5e-6)], ["0 m", "1.23 × 10³ m", "4.50 × 10⁻⁶ m"]);
    }

    /// Common practice, no source.
    #[test]
    fn totals_of_readings_end_at_the_typed_place() {
        let total = |amount: &str, place| {
            let exact = Exact::of(Decimal::read(amount).unwrap()).unwrap();
            Size::Exact(exact).at_place(place, Rounding::Nearest).map(|d| d.to_string())
        };
        assert_eq!(total("0.0025", -3).as_deref(), Some("0.003"));
        assert_eq!(total("0.04", -1).as_deref(), Some("0.04"));
        assert_eq!(total("0.05", -1).as_deref(), Some("0.1"));
        assert_eq!(total("1", -1).as_deref(), Some("1.0"));
        assert_eq!(total("0.125", -2).as_deref(), Some("0.13"));
        assert_eq!(total("0", -2), None);
    }

    #[test]
    fn the_short_form_counts_in_last_digits() {
        let figure = |value: &str, uncertainty: &str, power| Figure {
            value: Decimal::read(value).unwrap(),
            uncertainty: Decimal::read(uncertainty),
            power,
        };
        let short = |f: Figure| write(&f.short(&metre(), DecimalSign::Comma), Blanks::Simple);
        assert_eq!(short(figure("9.7", "0.2", None)), "9,7(2) m");
        assert_eq!(short(figure("1.235", "0.035", Some(6))), "1,235(35) × 10⁶ m");
        assert_eq!(short(figure("24.3", "0.05", None)), "24,3(0,05) m");
        assert_eq!(figure("9.7", "0.2", None).ends().map(|(a, b)| format!("{a} {b}")).as_deref(), Some("9.5 9.9"));
    }
}
