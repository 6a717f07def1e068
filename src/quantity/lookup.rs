//! The units that a report may use, found by what its author typed.

use std::collections::BTreeMap;

use super::unit::{Scale, Spelling, Unit};
use super::{Exact, mistyped, units};

/// The largest power that a symbol may carry. A limit is needed, since `m^100000` has no number that
/// a double could hold; this one is far beyond anything that is measured.
pub const LARGEST_POWER: u32 = 24;

/// The units that a report may use: the built-in ones and those of the course.
#[derive(Clone, Debug, Default)]
pub struct Units {
    own: BTreeMap<String, Unit>,
}

impl Units {
    /// Adds a unit of the course: `symbol` is as large as `number` of `unit`, and is shown as the
    /// course spells it. It goes before a built-in one of that symbol, and takes no prefixes.
    pub fn add(&mut self, symbol: &str, number: Exact, unit: &Unit) {
        let scale = unit.scale.times(Scale::rational(number));
        let own = Unit { shown: Spelling::symbol(symbol), dimension: unit.dimension, scale, zero: None };
        self.own.insert(units::folded(symbol).into_owned(), own);
    }

    /// The unit that was typed. `%` is a unit; `digit` is none.
    ///
    /// # Errors
    /// The first symbol that is not known, and the nearest that is. Also a symbol with a power past
    /// [`LARGEST_POWER`], and a product too large or too small for a double; nothing is near those.
    pub fn find(&self, spelling: &Spelling) -> Result<Unit, UnknownUnit> {
        let usable = |unit: &Unit| unit.factor().is_normal();
        if let Some(unit) = spelling.alone().and_then(|symbol| self.one(symbol)).filter(usable) {
            return Ok(unit);
        }
        // A compound unit takes differences, and so does a power: no zero point comes in.
        let mut whole = Unit::one();
        let over = spelling.over.iter().map(|factor| (factor, 1));
        let under = spelling.under.iter().map(|factor| (factor, -1));
        for ((symbol, exponent), side) in over.chain(under) {
            let found = self.one(symbol).ok_or_else(|| self.unknown(symbol, *exponent, spelling))?;
            let too_large = || UnknownUnit { symbol: format!("{symbol}^{exponent}"), nearest: None };
            if exponent.unsigned_abs() > LARGEST_POWER {
                return Err(too_large());
            }
            let power = exponent * side;
            let dimension = found.dimension.power(power, 1).and_then(|d| whole.dimension.times(d));
            whole.dimension = dimension.ok_or_else(too_large)?;
            whole.scale = whole.scale.times(found.scale.power(power));
            let shown = if side > 0 { &mut whole.shown.over } else { &mut whole.shown.under };
            shown.extend(found.shown.over.into_iter().map(|(shown, _)| (shown, *exponent)));
        }
        let unusable = || UnknownUnit { symbol: spelling.to_string(), nearest: None };
        Some(whole).filter(usable).ok_or_else(unusable)
    }

    /// Is every symbol known? Cheaper than [`find`](Self::find) where the answer is no, since nothing
    /// near is looked for.
    pub fn knows(&self, spelling: &Spelling) -> bool {
        let known = |symbol: &str| self.own.contains_key(symbol) || units::is_known(symbol);
        spelling.over.iter().chain(&spelling.under).all(|(symbol, _)| known(&units::folded(symbol)))
    }

    /// Is that symbol a unit without a course's help?
    pub fn is_built_in(symbol: &str) -> bool {
        units::is_known(&units::folded(symbol))
    }

    /// Can that unknown symbol mean only one unit: `sec`, `Newtons`, `Kg`?
    pub fn is_plain_slip(symbol: &str) -> bool {
        mistyped::is_plain(symbol)
    }

    /// The two units of a product without a sign between: `kg` and `m` of `kgm`.
    pub fn parted(symbol: &str) -> Option<(&str, &str)> {
        mistyped::parted(symbol)
    }

    /// One symbol: the course's own first, then the longest whole symbol, then prefix and unit.
    fn one(&self, symbol: &str) -> Option<Unit> {
        let symbol = units::folded(symbol);
        self.own.get(symbol.as_ref()).cloned().or_else(|| units::find(&symbol))
    }

    fn unknown(&self, symbol: &str, exponent: i32, spelling: &Spelling) -> UnknownUnit {
        let place = mistyped::Place {
            exponent,
            alone: spelling.alone().is_some(),
            only_under: spelling.under.len() == 1 && spelling.under.iter().any(|(under, _)| under == symbol),
        };
        let own = self.own.keys().map(String::as_str);
        UnknownUnit { symbol: symbol.to_owned(), nearest: mistyped::nearest(symbol, place, own) }
    }
}

/// A unit that could not be read, and the nearest known spelling of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownUnit {
    /// The symbol as typed.
    pub symbol: String,
    /// What may take its place, where it stands, as the notation reads it: a symbol (`s` for `sec`),
    /// or a product (`N*m` for `Nm`, `cm^3` for `cc`).
    pub nearest: Option<String>,
}

impl UnknownUnit {
    /// What takes its place where it can mean nothing else.
    pub fn plainly_meant(&self) -> Option<&str> {
        self.nearest.as_deref().filter(|_| Units::is_plain_slip(&self.symbol))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Decimal, Dimension};
    use super::*;

    /// `kg*m/s^2`, `J/(kg*K)`: enough of the notation to write the tests in.
    fn spelling(text: &str) -> Spelling {
        fn factors(text: &str) -> Vec<(String, i32)> {
            let parts = text.trim_matches(['(', ')']).split('*').filter(|part| *part != "1");
            parts.map(|p| p.split_once('^').map_or((p.into(), 1), |(s, n)| (s.into(), n.parse().unwrap()))).collect()
        }
        let (over, under) = text.split_once('/').unwrap_or((text, "1"));
        Spelling { over: factors(over), under: factors(under) }
    }

    fn unit(text: &str) -> Unit {
        Units::default().find(&spelling(text)).unwrap()
    }

    fn number(text: &str) -> Exact {
        Exact::of(Decimal::read(text).unwrap()).unwrap()
    }

    #[test]
    fn spellings_are_written_as_they_are_read() {
        for text in ["m", "kg*m/s^2", "J/(kg*K)", "1/s", "s^-1", "1/(m*s^2)", "1", "µm", "gal_US/min"] {
            assert_eq!(spelling(text).to_string(), text);
        }
        assert_eq!(unit("inch^2").shown.over, [("in".to_owned(), 2)]);
        assert_eq!(unit("lbf/inch^2").to_string(), "lbf/inch^2");
    }

    #[test]
    fn shown_is_the_symbol_of_the_table() {
        for (typed, shown) in [
            ("um", "µm"),
            ("\u{3bc}m", "µm"),
            ("ohm", "Ω"),
            ("kohm", "kΩ"),
            ("M\u{2126}", "MΩ"),
            ("deg", "°"),
            ("degC", "°C"),
            ("mdegC", "m°C"),
            ("\u{212b}", "Å"),
            ("A\u{30a}", "Å"),
            ("m\u{212a}", "mK"),
            ("µ", "µm"),
            ("\u{2103}", "°C"),
            ("ml", "ml"),
            ("mL", "mL"),
            ("uohm*m", "µΩ*m"),
        ] {
            assert_eq!(unit(typed).to_string(), shown, "{typed}");
        }
    }

    #[test]
    fn recorded_numbers_reach_si_with_one_rounding() {
        assert_eq!(unit("mm").to_si(number("12.42")), 0.01242);
        assert_eq!(unit("cm").to_si(number("14.30")), 0.143);
        assert_eq!(unit("km/h").to_si(number("50")), 125.0 / 9.0);
        assert_eq!(unit("g/cm^3").to_si(number("0.96")), 960.0);
        assert_eq!(unit("eV").to_si(number("1")), 1.602176634e-19);
        assert_eq!(unit("%").to_si(number("1.2")), 0.012);
        assert_eq!(unit("deg").to_si(number("180")), std::f64::consts::PI);
        assert_eq!(unit("mm").from_si(0.01242), 12.42);
        assert_eq!(unit("km").from_si(1234.5), 1.2345);
        assert_eq!(unit("nm").from_si(632.8e-9), 632.8);
    }

    #[test]
    fn points_on_temperature_scales() {
        let celsius = unit("°C");
        assert_eq!(celsius.to_si(number("20")), 293.15);
        assert_eq!(celsius.to_si(number("-273.15")), 0.0);
        assert_eq!(celsius.from_si(293.15), 20.0);
        assert_eq!(celsius.from_si(273.4), 0.25);
        assert_eq!(unit("°F").to_si(number("212")), 373.15);
        assert_eq!(unit("°F").from_si(273.15), 32.0);
        assert_eq!(unit("°R").to_si(number("491.67")), 273.15);
        assert_eq!(celsius.as_difference().to_si(number("20")), 20.0);
        assert_eq!(celsius.as_difference().to_string(), "°C");
        // A compound unit takes differences, and so does a power.
        for text in ["J/°C", "°C/min", "°C^2", "1/°C", "K*°C"] {
            assert_eq!(unit(text).zero, None, "{text}");
        }
    }

    #[test]
    fn exact_conversions() {
        let exactly = |to: &str, n: &str, from: &str| unit(to).exactly(number(n), &unit(from));
        assert_eq!(exactly("cm", "1.5", "mm"), Some(number("0.15")));
        assert_eq!(exactly("m/s", "36", "km/h"), Some(number("10")));
        assert_eq!(exactly("°C", "0.5", "K"), Some(number("0.5")));
        assert_eq!(exactly("°", "30", "′"), Some(number("0.5")));
        assert_eq!(exactly("rad", "30", "°"), None);
        assert_eq!(exactly("s", "30", "m"), None);
        let power = |to: &str, from: &str| unit(to).power_of_ten_from(&unit(from));
        assert_eq!(power("cm", "mm"), Some(-1));
        assert_eq!(power("mm^3", "mL"), Some(3));
        assert_eq!(power("Hz", "1/s"), Some(0));
        assert_eq!(power("%", "1"), Some(2));
        assert_eq!(power("inch", "cm"), None);
        assert_eq!(power("K", "°C"), None);
        assert_eq!(power("°C", "°C"), Some(0));
        assert_eq!(power("rad", "°"), None);
    }

    #[test]
    fn coherent_units() {
        let coherent = |text: &str| Unit::coherent(unit(text).dimension).to_string();
        for (typed, shown) in [
            ("kg*m/s^2", "N"),
            ("N*m", "J"),
            ("hp", "W"),
            ("V/A", "Ω"),
            ("A/V", "S"),
            ("G", "T"),
            ("V*s", "Wb"),
            ("Wb/A", "H"),
            ("C/V", "F"),
            ("A*s", "C"),
            ("bar", "Pa"),
            ("eV/C", "V"),
            ("Hz", "1/s"),
            ("Bq", "1/s"),
            ("Gy", "m^2/s^2"),
            ("g/cm^3", "kg/m^3"),
            ("cm/s^2", "m/s^2"),
            ("J/(kg*K)", "m^2/(s^2*K)"),
            ("W/(m*K)", "kg*m/(s^3*K)"),
            ("kg*m^2", "kg*m^2"),
            ("deg", "1"),
            ("K", "K"),
        ] {
            assert_eq!(coherent(typed), shown);
        }
        assert!(Unit::coherent(Dimension::NONE).is_one());
        let root = unit("m").dimension.power(1, 2).unwrap();
        assert_eq!(Unit::coherent(root).to_string(), "m^(1/2)");
        assert_eq!(Unit::coherent(unit("N").dimension).to_si(number("2")), 2.0);
    }

    #[test]
    fn units_of_the_course() {
        let mut units = Units::default();
        units.add("span", number("0.2286"), &unit("m"));
        let span = units.find(&Spelling::symbol("span")).unwrap();
        assert_eq!((span.to_si(number("2")), span.to_string()), (0.4572, "span".into()));
        units.add("half", number("0.5"), &span);
        assert_eq!(units.find(&spelling("half^2")).unwrap().to_si(number("1")), 0.1143 * 0.1143);
        units.add("turn", number("360"), &unit("deg"));
        assert_eq!(units.find(&spelling("turn/min")).unwrap().to_si(number("60")), std::f64::consts::TAU);
        units.add("nothing", number("0"), &unit("m"));
        assert!(units.find(&Spelling::symbol("nothing")).is_err());
        // A symbol that is defined goes before its built-in meaning; prefixes do not attach.
        units.add("R", number("1"), &unit("°C"));
        assert_eq!(units.find(&Spelling::symbol("R")).unwrap().zero, None);
        assert!(units.find(&Spelling::symbol("kspan")).is_err());
        assert_eq!(units.find(&Spelling::symbol("spam")).unwrap_err().nearest.as_deref(), Some("span"));
    }

    #[test]
    fn the_first_unknown_symbol_is_named() {
        let unknown = |text: &str| {
            let unknown = Units::default().find(&spelling(text)).unwrap_err();
            (unknown.symbol, unknown.nearest)
        };
        assert_eq!(unknown("sec"), ("sec".into(), Some("s".into())));
        assert_eq!(unknown("gm/cc"), ("gm".into(), Some("g".into())));
        assert_eq!(unknown("J/kgK"), ("kgK".into(), Some("(kg*K)".into())));
        assert_eq!(unknown("rpm"), ("rpm".into(), None));
        assert_eq!(unknown("in"), ("in".into(), Some("inch".into())));
        assert_eq!(unknown("digit"), ("digit".into(), None));
        assert_eq!(unknown("m^25"), ("m^25".into(), None));
        assert_eq!(unknown("Qm^24"), ("Qm^24".into(), None));
        assert_eq!(unknown("m^2147483647"), ("m^2147483647".into(), None));
        assert_eq!(unknown("m^-2147483648"), ("m^-2147483648".into(), None));
        let empty = Spelling { over: vec![(String::new(), 1)], under: Vec::new() };
        assert!(Units::default().find(&empty).is_err());
        let long = Spelling { over: vec![("m".into(), 24); 3000], under: Vec::new() };
        assert!(Units::default().find(&long).is_err());
    }

    /// Past 128 bits the scale goes on as a double, which is not wrong by more than rounding.
    #[test]
    fn scales_that_outgrow_exact_numbers() {
        let cubed = unit("eV^5");
        let expected = libm::pow(1.602176634e-19, 5.0);
        assert!((cubed.factor() / expected - 1.0).abs() < 1e-14);
        assert_eq!(unit("km^24").to_si(number("1")), 1e72);
    }
}
