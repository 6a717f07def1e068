//! What an author meant by a unit that is not known: the slips that every pile of reports holds, a
//! unit's full name, products run together, and last the known symbol with the fewest edits.

use std::borrow::Cow;

use super::near;
use super::units::{self, TABLE};

/// Where the unknown symbol stands, which decides what may replace it there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// Its exponent.
    pub(super) exponent: i32,
    /// Is it the whole unit?
    pub(super) alone: bool,
    /// Is it all that stands after the slash, so that no brackets hold it?
    pub(super) only_under: bool,
}

/// Symbols longer than this are near nothing, and comparing them would only cost time.
const LONGEST: usize = 16;

/// What may replace `symbol` in its place; `own` are the course's units.
pub(super) fn nearest<'a>(symbol: &str, place: Place, own: impl Iterator<Item = &'a str>) -> Option<String> {
    if symbol.is_empty() || symbol.chars().count() > LONGEST {
        return None;
    }
    let symbol = look_alikes(symbol);
    if let Some(&(_, meant)) = SLIPS.iter().find(|(slip, _)| *slip == symbol) {
        return fitting(meant, place);
    }
    if units::find(&symbol).is_some() {
        return Some(symbol.into_owned());
    }
    if let Some(meant) = named(&symbol) {
        return fitting(meant, place);
    }
    if let Some(meant) = powered(&symbol).or_else(|| run_together(&symbol)) {
        return fitting(&meant, place);
    }
    let own: Vec<Parts<'_>> = own.map(|symbol| ("", symbol)).collect();
    other_case(&symbol, &own).or_else(|| fewest_edits(&symbol, &own))
}

/// A product or quotient only where it means the same as one factor: with a power behind it, it would not.
fn fitting(meant: &str, place: Place) -> Option<String> {
    if meant.is_empty() {
        return None;
    }
    let (product, quotient) = (meant.contains('*'), meant.contains('/'));
    if (quotient && !place.alone) || (place.exponent != 1 && (quotient || meant.contains('^'))) {
        return None;
    }
    match product && place.only_under {
        true if place.exponent == 1 => Some(format!("({meant})")),
        true => None,
        false => Some(meant.to_owned()),
    }
}

/// Signs that keyboards offer in place of the right ones.
fn look_alikes(symbol: &str) -> Cow<'_, str> {
    const ALIKE: [(char, &str); 2] = [('º', "°"), ('˚', "°")];
    let mut right = units::folded(symbol);
    if right.contains(is_full_width) {
        right = Cow::Owned(right.chars().map(|c| half_width(c).unwrap_or(c)).collect());
    }
    for (wrong, sign) in ALIKE.iter().filter(|_| !symbol.is_ascii()) {
        if right.contains(*wrong) {
            right = Cow::Owned(right.replace(*wrong, sign));
        }
    }
    right
}

fn is_full_width(c: char) -> bool {
    half_width(c).is_some()
}

/// The ASCII character of a full-width one, as East Asian keyboards type them: `ｃ` is `c`.
pub fn half_width(c: char) -> Option<char> {
    let full = u32::from(c);
    (0xFF01..=0xFF5E).contains(&full).then(|| char::from_u32(full - 0xFEE0)).flatten()
}

/// Common slips (common practice, no source), as typed. An empty remedy: nothing is near enough to be
/// offered, since the word has several meanings or is no unit.
const SLIPS: &[(&str, &str)] = &[
    ("gm", "g"),
    ("gms", "g"),
    ("gs", "g"),
    ("mgs", "mg"),
    ("mls", "mL"),
    ("mLs", "mL"),
    ("Cm", "cm"),
    ("gr.", "g"),
    ("Kg", "kg"),
    ("KG", "kg"),
    ("kgs", "kg"),
    ("Kgs", "kg"),
    ("KGS", "kg"),
    ("cms", "cm"),
    ("mms", "mm"),
    ("kms", "km"),
    ("KM", "km"),
    ("CM", "cm"),
    ("MM", "mm"),
    ("mtr", "m"),
    ("mtrs", "m"),
    ("mts", "m"),
    ("in", "inch"),
    ("ins", "inch"),
    ("cc", "cm^3"),
    ("ccm", "cm^3"),
    ("qcm", "cm^2"),
    ("qmm", "mm^2"),
    ("cbm", "m^3"),
    ("kph", "km/h"),
    ("KPH", "km/h"),
    ("kmh", "km/h"),
    ("kmph", "km/h"),
    ("mps", "m/s"),
    ("S.", "s"),
    ("Ltr", "L"),
    ("ltr", "L"),
    ("lt", "L"),
    ("mcg", "µg"),
    ("mmt", "mm"),
    ("lbs", "lb"),
    ("lbm", "lb"),
    ("C°", "°C"),
    ("F°", "°F"),
    ("A°", "Å"),
    ("hz", "Hz"),
    ("HZ", "Hz"),
    ("Ohm", "ohm"),
    ("Ohms", "ohm"),
    ("ev", "eV"),
    ("kw", "kW"),
    ("°K", "K"),
    ("degK", "K"),
    ("oC", "°C"),
    ("deg_C", "degC"),
    ("deg_F", "degF"),
    ("k", "K"),
    ("M", "mol/L"),
    ("mM", "mmol/L"),
    ("amu", "u"),
    ("cal", "cal_th"),
    ("kcal", "kcal_th"),
    ("Cal", "kcal_th"),
    ("Btu", "Btu_IT"),
    ("BTU", "Btu_IT"),
    ("gal", "gal_US"),
    ("pt", "pt_US"),
    ("qt", "qt_US"),
    ("floz", "floz_US"),
    ("torr", "Torr"),
    ("rads", "rad"),
    ("cps", "Hz"),
    ("pct", "%"),
    ("bpm", "min^-1"),
    ("rpm", ""),
    ("ppb", ""),
    ("ppt", ""),
    ("digit", ""),
    ("digits", ""),
    ("range", ""),
];

/// Units by their English names and by abbreviations of them, in the singular and without regard to case.
const NAMES: &[(&str, &str)] = &[
    ("metre", "m"),
    ("meter", "m"),
    ("centimetre", "cm"),
    ("centimeter", "cm"),
    ("millimetre", "mm"),
    ("millimeter", "mm"),
    ("kilometre", "km"),
    ("kilometer", "km"),
    ("micron", "µm"),
    ("inche", "inch"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("yard", "yd"),
    ("mile", "mi"),
    ("kilogram", "kg"),
    ("kilo", "kg"),
    ("gram", "g"),
    ("milligram", "mg"),
    ("tonne", "t"),
    ("ton", "t"),
    ("pound", "lb"),
    ("ounce", "oz"),
    ("second", "s"),
    ("sec", "s"),
    ("millisecond", "ms"),
    ("msec", "ms"),
    ("microsecond", "µs"),
    ("usec", "µs"),
    ("µsec", "µs"),
    ("nsec", "ns"),
    ("minute", "min"),
    ("min.", "min"),
    ("hour", "h"),
    ("hr", "h"),
    ("day", "d"),
    ("week", "wk"),
    ("year", "a"),
    ("yr", "a"),
    ("ampere", "A"),
    ("amp", "A"),
    ("milliamp", "mA"),
    ("mamp", "mA"),
    ("kelvin", "K"),
    ("celsius", "°C"),
    ("celcius", "°C"),
    ("centigrade", "°C"),
    ("fahrenheit", "°F"),
    ("mole", "mol"),
    ("candela", "cd"),
    ("degree", "°"),
    ("radian", "rad"),
    ("hertz", "Hz"),
    ("newton", "N"),
    ("pascal", "Pa"),
    ("joule", "J"),
    ("watt", "W"),
    ("coulomb", "C"),
    ("volt", "V"),
    ("millivolt", "mV"),
    ("farad", "F"),
    ("siemen", "S"),
    ("mho", "S"),
    ("weber", "Wb"),
    ("tesla", "T"),
    ("gauss", "G"),
    ("henry", "H"),
    ("lumen", "lm"),
    ("lux", "lx"),
    ("becquerel", "Bq"),
    ("gray", "Gy"),
    ("sievert", "Sv"),
    ("litre", "L"),
    ("liter", "L"),
    ("lit", "L"),
    ("millilitre", "mL"),
    ("milliliter", "mL"),
    ("decibel", "dB"),
    ("electronvolt", "eV"),
    ("dalton", "Da"),
    ("percent", "%"),
    ("knot", "kn"),
];

/// By its name, or by its symbol with an English plural's s: `ohms`, `mins`.
fn named(symbol: &str) -> Option<&str> {
    let by_name = |name: &str| NAMES.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
    let singular = symbol.strip_suffix(['s', 'S']);
    if let Some(&(_, meant)) = by_name(symbol).or_else(|| singular.and_then(by_name)) {
        return Some(meant);
    }
    // `Pas` is a product as soon as not: only symbols that read as words have a plural.
    let words = || TABLE.iter().flat_map(|row| row.typed).filter(|word| word.len() >= 3);
    let known = singular.filter(|known| units::find(known).is_some() && words().any(|word| known.ends_with(word)));
    known.or_else(|| words().find(|word| singular.is_some_and(|s| word.eq_ignore_ascii_case(s))).copied())
}

/// The prefixes that measurements in a laboratory have, the most frequent first.
const USUAL_PREFIXES: [&str; 10] = ["k", "c", "m", "µ", "u", "M", "n", "G", "d", "h"];

/// A known symbol: its prefix, and the rest. Few of them are ever written out.
type Parts<'a> = (&'a str, &'a str);

/// What an unknown symbol is compared with: whole symbols, then usual prefixes before those that take them.
fn usual_symbols<'a>() -> impl Iterator<Item = Parts<'a>> {
    let all = || TABLE.iter().flat_map(|row| row.typed.iter().map(move |&typed| (row, typed)));
    let prefixed = USUAL_PREFIXES.iter().flat_map(move |&prefix| {
        let shown = if prefix == "u" { "µ" } else { prefix };
        all().filter(move |(row, _)| row.takes(shown)).map(move |(_, typed)| (prefix, typed))
    });
    all().map(|(_, typed)| ("", typed)).chain(prefixed)
}

/// `KG`, `hz`, `Kpa`: the same letters, the one with most of them in the right case, the first of equals.
fn other_case(symbol: &str, own: &[Parts<'_>]) -> Option<String> {
    let same = |part: &str, typed: &str| part.bytes().zip(typed.bytes()).filter(|(a, b)| a == b).count();
    let alike = own.iter().copied().chain(usual_symbols()).filter_map(|(prefix, rest)| {
        let (before, behind) = symbol.split_at_checked(prefix.len())?;
        let alike = before.eq_ignore_ascii_case(prefix) && behind.eq_ignore_ascii_case(rest);
        alike.then(|| (symbol.len() - same(prefix, before) - same(rest, behind), (prefix, rest)))
    });
    alike.min_by_key(|&(wrong, _)| wrong).map(|(_, (prefix, rest))| format!("{prefix}{rest}"))
}

/// `m2`, `cm3`, `kgm2`: a power without its sign.
fn powered(symbol: &str) -> Option<String> {
    let rest = symbol.strip_suffix(['2', '3', '4'])?;
    let power = symbol.strip_prefix(rest)?;
    let base = if units::find(rest).is_some() { rest.to_owned() } else { run_together(rest)? };
    Some(format!("{base}^{power}"))
}

/// Can a symbol that is not known mean only one unit: an abbreviation made up on the spot, or a unit's name?
pub(super) fn is_plain(symbol: &str) -> bool {
    let symbol = look_alikes(symbol);
    let slip = SLIPS.iter().any(|(slip, meant)| *slip == symbol && !meant.is_empty());
    let kilo = || symbol.strip_prefix('K').is_some_and(|rest| units::find(&format!("k{rest}")).is_some());
    !SEVERAL.contains(&symbol.as_ref())
        && (slip || named(&symbol).is_some() || units::find(&symbol).is_some() || kilo())
}

/// Slips and names that have more than one meaning, by trade or country, or none that all agree upon.
const SEVERAL: [&str; 26] = [
    "Cm", "gs", "lt", "M", "mM", "cal", "kcal", "Cal", "Btu", "BTU", "gal", "pt", "qt", "floz", "cps", "bpm", "ton",
    "tons", "pound", "pounds", "ounce", "ounces", "degree", "degrees", "Degree", "Degrees",
];

/// The two units of a product that is written without a sign between: `kg` and `m` of `kgm`.
pub(super) fn parted(symbol: &str) -> Option<(&str, &str)> {
    let product = run_together(symbol)?;
    let (left, _) = product.split_once('*')?;
    symbol.split_at_checked(left.len())
}

/// `Nm`, `kgK`, `VAs`: two units without a sign between. Only usual ones with usual prefixes, or half
/// of all words would be a product of something; and none that begins with a kelvin, since `KPa` is a
/// slip for `kPa`.
fn run_together(symbol: &str) -> Option<String> {
    const USUAL: [&str; 19] =
        ["m", "g", "s", "A", "K", "mol", "N", "J", "W", "V", "C", "Pa", "T", "Ω", "F", "H", "h", "min", "L"];
    let usual = |part: &str| {
        let bare = |rest: &str| USUAL.contains(&rest);
        bare(part) || USUAL_PREFIXES.iter().any(|prefix| part.strip_prefix(prefix).is_some_and(bare))
    };
    let known = |part: &str| units::find(part).filter(|_| usual(part));
    // A letter too many in `mmm` is no product of two lengths.
    let product = |(left, right): &(&str, &str)| {
        known(left).zip(known(right)).is_some_and(|(left, right)| left.dimension != right.dimension)
    };
    let mut splits = symbol.char_indices().map(|(at, _)| symbol.split_at(at)).filter(|&(left, _)| left != "K");
    splits.rfind(product).map(|(left, right)| format!("{left}*{right}"))
}

/// One edit, two from five letters on. Of two letters every other pair is one edit away, which says
/// nothing.
const fn most_edits(letters: usize) -> usize {
    match letters {
        0..=2 => 0,
        3..=4 => 1,
        _ => 2,
    }
}

/// The known symbol or name that is few enough edits away, the earliest of equals.
fn fewest_edits(symbol: &str, own: &[Parts<'_>]) -> Option<String> {
    let typed: Vec<char> = symbol.chars().collect();
    let most = Some(most_edits(typed.len())).filter(|&most| most > 0)?;
    let lower: Vec<char> = symbol.to_ascii_lowercase().chars().collect();
    let symbols = own.iter().copied().chain(usual_symbols());
    let symbols = symbols.filter_map(|parts| Some((edits(&typed, parts, most)?, parts)));
    let names = NAMES.iter().filter_map(|&(name, meant)| Some((edits(&lower, ("", name), most)?, ("", meant))));
    let nearest = symbols.chain(names).min_by_key(|&(count, _)| count);
    nearest.map(|(_, (prefix, rest))| format!("{prefix}{rest}"))
}

/// The distance, where it is at most `most`.
fn edits(typed: &[char], (prefix, rest): Parts<'_>, most: usize) -> Option<usize> {
    let letters = || prefix.chars().chain(rest.chars());
    // Every letter that the other side lacks costs an edit, which rules nearly all words out cheaply.
    let strange = letters().filter(|letter| !typed.contains(letter)).take(most + 1).count();
    if strange > most || typed.len().abs_diff(letters().count()) > most {
        return None;
    }
    let word: Vec<char> = letters().collect();
    Some(near::slips(typed, &word)).filter(|&count| count <= most)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alone(symbol: &str) -> Option<String> {
        nearest(symbol, Place { exponent: 1, alone: true, only_under: false }, std::iter::empty())
    }

    #[test]
    fn slips_of_every_pile_of_reports() {
        for (slip, meant) in [
            ("sec", "s"),
            ("secs", "s"),
            ("Sec", "s"),
            ("gms", "g"),
            ("gm", "g"),
            ("Kg", "kg"),
            ("KG", "kg"),
            ("mtr", "m"),
            ("meters", "m"),
            ("hrs", "h"),
            ("cc", "cm^3"),
            ("kph", "km/h"),
            ("amp", "A"),
            ("amps", "A"),
            ("Ohms", "ohm"),
            ("kohms", "kohm"),
            ("hz", "Hz"),
            ("KHz", "kHz"),
            ("Kpa", "kPa"),
            ("mins", "min"),
            ("ºC", "°C"),
            ("degc", "degC"),
            ("cal", "cal_th"),
            ("gal", "gal_US"),
            ("inches", "inch"),
            ("Nm", "N*m"),
            ("VA", "V*A"),
            ("mAs", "mA*s"),
            ("Pas", "Pa*s"),
            ("m2", "m^2"),
            ("kgm2", "kg*m^2"),
            ("degCC", "degC"),
            ("secnds", "s"),
            ("Jolue", "J"),
        ] {
            assert_eq!(alone(slip).as_deref(), Some(meant), "{slip}");
        }
    }

    #[test]
    fn nothing_is_offered_where_it_would_mislead() {
        for symbol in ["rpm", "ppb", "digits", "xq", "zz", "blurb", "sessions", &"m".repeat(40)] {
            assert_eq!(alone(symbol), None, "{symbol}");
        }
    }

    #[test]
    fn what_is_offered_fits_its_place() {
        let under =
            |symbol, exponent| nearest(symbol, Place { exponent, alone: false, only_under: true }, std::iter::empty());
        assert_eq!(under("kgK", 1).as_deref(), Some("(kg*K)"));
        assert_eq!(under("kgK", 2), None);
        assert_eq!(under("cc", 1).as_deref(), Some("cm^3"));
        assert_eq!(under("cc", 2), None);
        assert_eq!(under("kph", 1), None);
    }

    #[test]
    fn units_of_the_course_are_near_too() {
        let place = Place { exponent: 1, alone: true, only_under: false };
        assert_eq!(nearest("spam", place, ["span"].into_iter()).as_deref(), Some("span"));
    }

    /// Each remedy is itself a unit, and nothing known is listed as a slip.
    #[test]
    fn remedies_are_known_and_slips_are_not() {
        for &(slip, meant) in SLIPS.iter().chain(NAMES) {
            let factors = meant.split(['*', '/']).map(|factor| factor.split('^').next().unwrap());
            assert!(factors.filter(|f| !f.is_empty()).all(|factor| units::find(factor).is_some()), "{meant}");
            assert!(units::find(slip).is_none(), "{slip}");
        }
    }
}
