//! `data/units.yaml`: every unit, prefix and collision of the file against the program's table.

use meniscus::quantity::unit::Spelling;
use meniscus::quantity::{BASE, Decimal, Dimension, Exact, Unit, Units};
use serde_yaml::Value;

use crate::{cases, list, text};

/// What the file calls otherwise than the notation does, by the file's name of the unit, and why.
const SPELT_OTHERWISE: [(&str, &str); 9] = [
    ("inch", "inch"),              // `in` is a keyword of the notation
    ("nautical mile", "nmi"),      // M and NM are listed beside it; both read as something else
    ("watt hour", "W*h"),          // a blank is no product
    ("gauss", "G"),                // Gs is a gigasecond
    ("rad (absorbed dose)", "rd"), // rad is the angle
    ("gallon (US)", "gal_US"),     // a country is a subscript
    ("gallon (UK)", "gal_UK"),
    ("pint (US)", "pt_US"),
    ("fluid ounce (US)", "floz_US"),
];

/// Not known on purpose: an angular velocity to some, a frequency to others. A course may define it.
const UNKNOWN: &str = "revolution per minute";

fn find(typed: &str) -> Unit {
    known(typed).unwrap_or_else(|| panic!("{typed} is not known"))
}

fn known(typed: &str) -> Option<Unit> {
    let spelling = meniscus::parse::unit(typed).unwrap_or_else(|fault| panic!("{typed} is not read: {fault:?}"));
    Units::default().find(&spelling).ok()
}

/// One symbol, looked up as it is: the grammar has no say in whether it is a unit.
fn symbol(typed: &str) -> Option<Unit> {
    Units::default().find(&Spelling::symbol(typed)).ok()
}

/// A unit of the column `unit`: `one` and what is said behind it is the pure number.
fn coherent(column: &str) -> Unit {
    let unit = if column.starts_with("one") { Unit::one() } else { find(column) };
    assert_eq!(unit.scale.ratio, Exact::ONE, "{column} is coherent");
    unit
}

fn exact(digits: &str) -> Option<Exact> {
    Exact::of(Decimal::read(digits)?)
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-15 * b.abs()
}

#[test]
fn base_units() {
    let file = cases("units.yaml");
    let listed: Vec<String> = list(&file["base_units"]["units"]).iter().map(|unit| text(&unit["symbol"])).collect();
    assert_eq!(listed, BASE);
    for (place, base) in BASE.iter().enumerate() {
        let mut exponents = [0; 7];
        exponents[place] = 1;
        let unit = find(base);
        assert_eq!((unit.dimension, unit.scale.ratio), (Dimension::new(exponents), Exact::ONE), "{base}");
    }
}

#[test]
fn named_derived_units() {
    let file = cases("units.yaml");
    let units = list(&file["named_derived_units"]["units"]);
    for listed in units {
        let unit = find(&text(&listed["symbol"]));
        let mut exponents = [0; 7];
        if let Some(powers) = listed["in_base_units"].as_mapping() {
            for (base, power) in powers {
                let place = BASE.iter().position(|known| *known == text(base)).unwrap();
                exponents[place] = text(power).parse().unwrap();
            }
        }
        assert_eq!((unit.dimension, unit.scale.ratio), (Dimension::new(exponents), Exact::ONE), "{listed:?}");
        assert_eq!(unit.scale.irrational, 1.0);
        assert_eq!(unit.zero, listed.get("offset_of_zero_in_K").and_then(|zero| exact(&text(zero))), "{listed:?}");
        usual(&text(&listed["usual"]), &unit);
    }
    assert_eq!((units.len(), text(&file["named_derived_units"]["count"])), (22, "22".to_owned()));
}

/// The usual expression in other units: `N*m`, `cd*sr`, `m/m`.
fn usual(expression: &str, unit: &Unit) {
    let other = find(expression.split(' ').next().unwrap());
    assert_eq!((other.dimension, other.scale.ratio), (unit.dimension, unit.scale.ratio), "{expression}");
}

#[test]
fn prefixes() {
    let file = cases("units.yaml");
    let prefixes = list(&file["prefixes"]["prefixes"]);
    for listed in prefixes {
        let (prefix, power) = (text(&listed["symbol"]), text(&listed["power_of_ten"]));
        let expected = Exact::new(1, 1, power.parse().unwrap());
        for unit in ["m", "Pa", "Hz", "mol", "eV"] {
            let prefixed = find(&format!("{prefix}{unit}"));
            assert_eq!(prefixed.exactly(Exact::ONE, &find(unit)).and_then(|n| n.times(expected)), Some(Exact::ONE));
            assert_eq!(find(unit).exactly(Exact::ONE, &prefixed), Some(expected), "{prefix}{unit}");
        }
    }
    assert_eq!((prefixes.len(), text(&file["prefixes"]["count"])), (24, "24".to_owned()));
    // The file's note: three spellings of micro, two of the ohm and of the ångström.
    for (one, other) in [("\u{3bc}m", "\u{b5}m"), ("um", "\u{b5}m"), ("\u{3a9}", "\u{2126}"), ("\u{c5}", "\u{212b}")] {
        assert_eq!(find(one), find(other));
    }
}

#[test]
fn accepted_with_the_si() {
    let file = cases("units.yaml");
    let units = list(&file["accepted_with_the_SI"]);
    units.iter().for_each(sized);
    // The gram stands under this heading too.
    assert_eq!(units.len(), 15);
    // Other symbols: the litre has two; quotes are never arc units, and `as` is the attosecond.
    assert_eq!(find("l").scale, find("L").scale);
    assert_eq!((symbol("'"), symbol("\"")), (None, None));
    assert_eq!(find("s").exactly(Exact::ONE, &symbol("as").unwrap()), Some(Exact::new(1, 1, -18)));
}

#[test]
fn others() {
    let file = cases("units.yaml");
    let (mut ran, mut unknown) = (0, 0);
    for listed in list(&file["others"]) {
        if text(&listed["name"]) == UNKNOWN {
            assert_eq!((symbol("rpm"), symbol("r")), (None, None));
            unknown += 1;
        } else {
            sized(listed);
            ran += 1;
        }
    }
    assert_eq!((ran, unknown), (59, 1));
}

/// Factor, dimension, zero point and prefixes of one entry.
fn sized(listed: &Value) {
    let name = text(&listed["name"]);
    let other = SPELT_OTHERWISE.iter().find(|(known, _)| *known == name);
    let typed = other.map_or_else(|| text(&listed["symbol"]), |(_, typed)| (*typed).to_owned());
    let (unit, base) = (find(&typed), coherent(&text(&listed["unit"])));
    assert_eq!(unit.dimension, base.dimension, "{name}");
    factor(&name, &unit, &base, &text(&listed["factor"]), listed["exact"].as_bool().unwrap());
    if name == "degree Fahrenheit" {
        // T/K = (t/°F + 459.67) × 5/9, and the note's other form of it.
        assert_eq!(unit.zero, exact("459.67").and_then(|zero| zero.times(Exact::new(5, 9, 0))));
        assert_eq!(unit.to_si(Exact::whole(32)), 273.15);
    } else {
        assert_eq!(unit.zero, None, "{name}");
    }
    if let Some(allowed) = listed.get("prefixes_allowed") {
        takes_prefixes(&typed, &unit, allowed.as_bool().unwrap());
    }
}

/// Decimals that are complete and ratios have to be met exactly, the rest to 1e-15 or, where the file
/// gives fewer digits, to half a unit of the last one.
fn factor(name: &str, unit: &Unit, base: &Unit, published: &str, complete: bool) {
    match exact(published) {
        Some(number) if complete => assert_eq!(base.exactly(Exact::ONE, unit), Some(number), "{name}"),
        Some(number) => {
            let half = 0.5 * Decimal::step(Decimal::read(published).unwrap().last_place()).to_f64();
            let off = (unit.factor() - number.to_f64()).abs();
            assert!(off <= half.max(1e-15 * number.to_f64()), "{name}: {}", unit.factor());
        }
        None => {
            let expected = expression(published);
            assert!(close(unit.factor(), expected), "{name}: {} and {expected}", unit.factor());
            let ratio = published.split_once('/').and_then(|(a, b)| exact(a)?.over(exact(b)?));
            if let Some(ratio) = ratio {
                assert_eq!(base.exactly(Exact::ONE, unit), Some(ratio), "{name}");
            }
        }
    }
}

/// `pi/180`, `1852/3600`, `ln(10)/2 Np`.
fn expression(published: &str) -> f64 {
    let term = |word: &str| match word {
        "pi" => std::f64::consts::PI,
        "ln(10)" => std::f64::consts::LN_10,
        digits => digits.parse().unwrap_or_else(|_| panic!("no factor: {published}")),
    };
    let (over, under) = published.trim_end_matches(" Np").split_once('/').unwrap();
    term(over) / term(under)
}

/// Prefix and symbol together that are another unit's whole symbol, which goes first.
const WHOLE: [&str; 5] = ["cd", "rd", "yd", "ft", "at"];

fn takes_prefixes(typed: &str, unit: &Unit, allowed: bool) {
    for listed in list(&cases("units.yaml")["prefixes"]["prefixes"]) {
        let prefixed = format!("{}{typed}", text(&listed["symbol"]));
        let power = Exact::new(1, 1, text(&listed["power_of_ten"]).parse().unwrap());
        match symbol(&prefixed) {
            Some(found) if allowed => assert_eq!(unit.exactly(Exact::ONE, &found), Some(power), "{prefixed}"),
            None => assert!(!allowed, "{prefixed}"),
            Some(_) => assert!(WHOLE.contains(&prefixed.as_str()), "{prefixed}"),
        }
    }
}

/// The exact ratios that the file's notes name behind its rounded decimals.
#[test]
fn ratios_behind_rounded_decimals() {
    for (unit, number, other) in [
        ("slug", "1", "lbf*s^2/ft"),
        ("psi", "1", "lbf/inch^2"),
        ("hp", "550", "ft*lbf/s"),
        ("gal_US", "231", "inch^3"),
        ("acre", "43560", "ft^2"),
        ("ly", "299792458", "m*a/s"),
        ("Btu_IT", "251.9957611111111111", "cal_IT"),
    ] {
        let (unit, other) = (find(unit), find(other));
        let ratio = other.exactly(Exact::ONE, &unit).unwrap();
        assert!(close(ratio.to_f64(), number.parse().unwrap()), "{unit}: {}", ratio.to_f64());
    }
    assert!(close(find("Torr").factor(), 101_325.0 / 760.0));
    assert!(close(find("pc").factor(), 648_000.0 / std::f64::consts::PI * 149_597_870_700.0));
    assert!(close(find("Oe").factor(), 1000.0 / (4.0 * std::f64::consts::PI)));
}

/// The units that are not in the file: what they are is said here, from the same documents.
#[test]
fn beside_the_file() {
    for (typed, number, unit) in [
        ("u", "1", "Da"),                  // SI Brochure, table 8: another symbol of the dalton
        ("kWh", "3.6e6", "J"),             // as energy meters print it (common practice, no source)
        ("mAh", "3.6", "C"),               // as cells print it (common practice, no source)
        ("pt_UK", "0.00056826125", "m^3"), // an eighth of the gallon (from memory)
        ("qt_UK", "0.0011365225", "m^3"),  // a quarter of it
        ("floz_UK", "28.4130625", "mL"),   // a hundred and sixtieth of it
        ("qt_US", "0.25", "gal_US"),
        ("cmH2O", "98.0665", "Pa"),
        ("mmH2O", "9.80665", "Pa"),
        ("‰", "0.001", "m/m"), // ISO 80000-1 (from memory)
    ] {
        assert_eq!(find(unit).exactly(Exact::ONE, &find(typed)), exact(number), "{typed}");
    }
}

/// A symbol, and as what it is read: `number` of `unit`, or nothing.
type Reading = (&'static str, Option<(&'static str, &'static str)>);

const fn is(symbol: &'static str, number: &'static str, unit: &'static str) -> Reading {
    (symbol, Some((number, unit)))
}

const fn is_none(symbol: &'static str) -> Reading {
    (symbol, None)
}

/// What was decided about each paragraph of `collisions_to_decide`, by its first words.
const DECIDED: [(&str, &[Reading]); 5] = [
    (
        "min: minute",
        &[
            is("min", "60", "s"),
            is("d", "86400", "s"),
            is("dm", "0.1", "m"),
            is("h", "3600", "s"),
            is("hm", "100", "m"),
            is("T", "1", "Wb/m^2"),
            is("Tm", "1e12", "m"),
            is("m", "1", "m"),
            is("mm", "0.001", "m"),
            is("G", "1e-4", "T"),
            is("Gm", "1e9", "m"),
            is("P", "0.1", "Pa*s"),
            is("Pm", "1e15", "m"),
            is("R", "2.58e-4", "C/kg"),
            is("Rm", "1e27", "m"),
            is("a", "31557600", "s"),
            is("am", "1e-18", "m"),
            is_none("c"),
            is("cm", "0.01", "m"),
        ],
    ),
    (
        "Pa is pascal",
        &[
            is("Pa", "1", "N/m^2"),
            is("cd", "1", "lm/sr"),
            is("mol", "1", "kat*s"),
            is("mm", "0.001", "m"),
            is("min", "60", "s"),
            is("ft", "0.3048", "m"),
            is("nm", "1e-9", "m"),
            is("Gy", "1", "J/kg"),
            is("Gal", "0.01", "m/s^2"),
            is("kat", "1", "mol/s"),
            is("at", "98066.5", "Pa"),
            is("dB", "0.1", "B"),
            is_none("cal"),
            is("cal_th", "4.184", "J"),
            is_none("pt"),
            is("PS", "735.49875", "W"),
            is("Gs", "1e9", "s"),
        ],
    ),
    (
        "Longest whole symbol",
        &[is("mmHg", "133.322387415", "Pa"), is("yd", "0.9144", "m"), is_none("mmin"), is_none("kt")],
    ),
    ("kg takes no further", &[is_none("kkg"), is_none("mkg"), is_none("µkg"), is("m°C", "0.001", "K")]),
    ("ms is millisecond", &[is("ms", "0.001", "s")]),
];

#[test]
fn collisions() {
    let file = cases("units.yaml");
    let paragraphs = list(&file["collisions_to_decide"]);
    assert_eq!(paragraphs.len(), DECIDED.len());
    for (paragraph, (first_words, readings)) in paragraphs.iter().zip(DECIDED) {
        assert!(text(paragraph).starts_with(first_words), "{paragraph:?}");
        for (typed, meaning) in readings {
            let Some((number, unit)) = meaning else {
                assert_eq!(symbol(typed), None, "{typed}");
                continue;
            };
            assert_eq!(find(unit).exactly(Exact::ONE, &symbol(typed).unwrap()), exact(number), "{typed}");
        }
    }
    // Metre second is a product, and says so.
    assert_eq!(find("m*s").dimension, Dimension::new([1, 0, 1, 0, 0, 0, 0]));
    assert!(meniscus::parse::unit("m s").is_err());
}
