//! The table of units, in the order of its sources, and how a symbol is looked up in it. All of it is
//! worked out by the compiler: the program's start costs nothing, a lookup a handful of comparisons.
//!
//! Symbols that mean two things, and what they mean here:
//!
//! | typed | is | and not, since the longest whole symbol goes first |
//! |---|---|---|
//! | `min` | minute | milli-inch |
//! | `d`, `h`, `m`, `T`, `G`, `P`, `R`, `a` | day, hour, metre, tesla, gauss, poise, roentgen, year | the prefixes, which stand before a unit only |
//! | `Pa` | pascal | peta-year |
//! | `cd`, `ft`, `ha`, `at` | candela, foot, hectare, technical atmosphere | centi-day, femto-tonne, hecto-year, atto-tonne |
//! | `PS` | metric horsepower | petasiemens |
//! | `Gs` | gigasecond: SI before CGS | gauss |
//! | `kn`, `au`, `pc`, `yd` | knot, astronomical unit, parsec, yard | kilo-, atto-, pico-, yocto- |
//! | `rad` | radian: the SI one wins | 0.01 Gy, which is `rd` |
//! | `u` | atomic mass unit; before a unit, micro | micron |
//! | `nm`, `ms`, `as` | nanometre, millisecond, attosecond | products, which need a sign between |
//!
//! Not known on purpose: `cal`, `Btu`, `gal`, `pt` and their like without saying which one; `rpm`,
//! which is an angular velocity to some and a frequency to others; `ppb`, whose billion is either of
//! two (SI Brochure, 9th edition, 5.4.7); `kgg`, `kkg`: the kilogram takes no second prefix.

use std::borrow::Cow;

use super::dimensions::*;
use super::unit::{Scale, Spelling, Unit};
use super::{Dimension, Exact};

/// Which prefixes a unit takes.
#[derive(Clone, Copy, Debug)]
pub(super) enum Prefixes {
    /// None.
    No,
    /// All of the SI.
    All,
    /// Of a unit outside the SI: those that the trade puts before it. Any more would turn slips into
    /// known units, `kP` for `kPa` say.
    Only(&'static [&'static str]),
}

/// One unit of the table.
#[derive(Debug)]
pub(super) struct Row {
    /// How it is shown.
    shown: &'static str,
    /// How it may be typed; the first one is suggested.
    pub(super) typed: &'static [&'static str],
    size: Scale,
    dimension: Dimension,
    pub(super) prefixes: Prefixes,
    zero: Option<Exact>,
}

/// A prefix as it is shown, its other spelling, its power of ten.
#[derive(Debug)]
pub(super) struct Prefix {
    pub(super) shown: &'static str,
    power: i32,
}

/// SI Brochure, 9th edition (2019), table 7, with resolution 3 of the 27th CGPM (2022). `da` stands
/// before `d`, so that a decametre is not looked for as a deci-am. `u` is ASCII's micro sign.
const PREFIXES: [(&str, Prefix); 25] = [
    prefix("Q", 30),
    prefix("R", 27),
    prefix("Y", 24),
    prefix("Z", 21),
    prefix("E", 18),
    prefix("P", 15),
    prefix("T", 12),
    prefix("G", 9),
    prefix("M", 6),
    prefix("k", 3),
    prefix("h", 2),
    prefix("da", 1),
    prefix("d", -1),
    prefix("c", -2),
    prefix("m", -3),
    prefix("µ", -6),
    ("u", Prefix { shown: "µ", power: -6 }),
    prefix("n", -9),
    prefix("p", -12),
    prefix("f", -15),
    prefix("a", -18),
    prefix("z", -21),
    prefix("y", -24),
    prefix("r", -27),
    prefix("q", -30),
];

const fn prefix(shown: &'static str, power: i32) -> (&'static str, Prefix) {
    (shown, Prefix { shown, power })
}

/// A coherent SI unit, which takes all prefixes.
const fn si(typed: &'static [&'static str], dimension: Dimension) -> Row {
    row(typed, Exact::ONE, dimension).prefixed(Prefixes::All)
}

/// A unit without prefixes, shown as its first spelling.
const fn row(typed: &'static [&'static str], size: Exact, dimension: Dimension) -> Row {
    Row { shown: typed[0], typed, size: Scale::rational(size), dimension, prefixes: Prefixes::No, zero: None }
}

/// `digits × 10^tens`.
const fn dec(digits: i128, tens: i32) -> Exact {
    Exact::new(digits, 1, tens)
}

impl Row {
    const fn prefixed(mut self, prefixes: Prefixes) -> Self {
        self.prefixes = prefixes;
        self
    }

    const fn only(self, prefixes: &'static [&'static str]) -> Self {
        self.prefixed(Prefixes::Only(prefixes))
    }

    const fn times(mut self, irrational: f64) -> Self {
        self.size.irrational = irrational;
        self
    }

    const fn shown_as(mut self, shown: &'static str) -> Self {
        self.shown = shown;
        self
    }

    /// Its scale's zero, in kelvin.
    const fn zero(mut self, zero: Exact) -> Self {
        self.zero = Some(zero);
        self
    }
}

use std::f64::consts::{FRAC_1_PI, LN_10, PI};

const ALL: Prefixes = Prefixes::All;

#[rustfmt::skip]
pub(super) const TABLE: &[Row] = &[
    // SI Brochure, 9th edition (2019), table 2. The gram stands for the kilogram: prefixes attach to it
    // (section 3), so that `kg` needs no row and takes no further prefix.
    si(&["m"], LENGTH),
    row(&["g"], dec(1, -3), MASS).prefixed(ALL),
    si(&["s"], TIME),
    si(&["A"], CURRENT),
    si(&["K"], TEMPERATURE),
    si(&["mol"], AMOUNT),
    si(&["cd"], INTENSITY),

    // Table 4. Angles are pure numbers. `ohm`, `degC`: ASCII spellings of the notation.
    si(&["rad"], NUMBER),
    si(&["sr"], NUMBER),
    si(&["Hz"], FREQUENCY),
    si(&["N"], FORCE),
    si(&["Pa"], PRESSURE),
    si(&["J"], ENERGY),
    si(&["W"], POWER),
    si(&["C"], CHARGE),
    si(&["V"], VOLTAGE),
    si(&["F"], CAPACITANCE),
    si(&["Ω", "ohm"], RESISTANCE),
    si(&["S"], CONDUCTANCE),
    si(&["Wb"], FLUX),
    si(&["T"], FLUX_DENSITY),
    si(&["H"], INDUCTANCE),
    si(&["°C", "degC"], TEMPERATURE).zero(dec(27315, -2)),
    si(&["lm"], INTENSITY),
    si(&["lx"], ILLUMINANCE),
    si(&["Bq"], FREQUENCY),
    si(&["Gy"], DOSE),
    si(&["Sv"], DOSE),
    si(&["kat"], CATALYTIC),

    // Table 8, units accepted for use with the SI; prefixes as the BIPM's SI Reference Point allows
    // them. `′` and `″` are the only signs for arc units; `arcmin` and `arcsec` their ASCII spellings.
    row(&["min"], dec(60, 0), TIME),
    row(&["h"], dec(3600, 0), TIME),
    row(&["d"], dec(86400, 0), TIME),
    row(&["au"], dec(149_597_870_700, 0), LENGTH),
    row(&["°", "deg"], Exact::new(1, 180, 0), NUMBER).times(PI),
    row(&["′", "arcmin"], Exact::new(1, 10_800, 0), NUMBER).times(PI),
    row(&["″", "arcsec"], Exact::new(1, 648_000, 0), NUMBER).times(PI),
    row(&["ha"], dec(1, 4), AREA),
    row(&["L"], dec(1, -3), VOLUME).prefixed(ALL),
    row(&["l"], dec(1, -3), VOLUME).prefixed(ALL),
    row(&["t"], dec(1000, 0), MASS),
    // CODATA 2022; the dalton's other symbol is u (table 8, note on the dalton).
    row(&["Da"], dec(166_053_906_892, -38), MASS).prefixed(ALL),
    row(&["u"], dec(166_053_906_892, -38), MASS).only(&["k", "M", "m", "µ"]),
    row(&["eV"], dec(1_602_176_634, -28), ENERGY).prefixed(ALL),
    // ISO 80000-3: 1 Np = 1, 1 B = (ln 10)/2 Np, of field quantities (from memory).
    row(&["Np"], Exact::ONE, NUMBER),
    row(&["B"], Exact::new(1, 2, 0), NUMBER).times(LN_10).prefixed(ALL),

    // NIST SP 811 (2008), appendix B.8, from memory; the exact factors follow from the yard and the
    // pound of 1959. `in` is a keyword of the notation, so that the inch is typed `inch`.
    row(&["inch"], dec(254, -4), LENGTH).shown_as("in"),
    row(&["ft"], dec(3048, -4), LENGTH),
    row(&["yd"], dec(9144, -4), LENGTH),
    row(&["mi"], dec(1_609_344, -3), LENGTH),
    row(&["nmi"], dec(1852, 0), LENGTH),
    row(&["mil"], dec(254, -7), LENGTH),
    row(&["lb"], dec(45_359_237, -8), MASS),
    row(&["oz"], dec(28_349_523_125, -12), MASS),
    row(&["gr"], dec(6_479_891, -11), MASS),
    // lbf·s²/ft.
    row(&["slug"], Exact::new(44_482_216_152_605, 3048, -9), MASS),
    row(&["lbf"], dec(44_482_216_152_605, -13), FORCE),
    // Standard acceleration of gravity: 3rd CGPM (1901).
    row(&["kgf"], dec(980_665, -5), FORCE),
    row(&["dyn"], dec(1, -5), FORCE),
    row(&["erg"], dec(1, -7), ENERGY),
    // lbf/in².
    row(&["psi"], Exact::new(44_482_216_152_605, 64_516, -5), PRESSURE),
    // 10th CGPM (1954), resolution 4.
    row(&["atm"], dec(101_325, 0), PRESSURE),
    row(&["at"], dec(980_665, -1), PRESSURE),
    // SI Brochure, 8th edition, table 8 (from memory).
    row(&["bar"], dec(1, 5), PRESSURE).prefixed(ALL),
    row(&["Torr"], Exact::new(101_325, 760, 0), PRESSURE).only(&["m", "µ"]),
    row(&["mmHg"], dec(133_322_387_415, -9), PRESSURE),
    row(&["inHg"], dec(3_386_388_640_341, -9), PRESSURE),
    row(&["mH2O"], dec(980_665, -2), PRESSURE),
    row(&["cmH2O"], dec(980_665, -4), PRESSURE),
    row(&["mmH2O"], dec(980_665, -5), PRESSURE),
    // There are two calories and as many Btu: none goes without its name.
    row(&["cal_th"], dec(4184, -3), ENERGY).only(&["k"]),
    row(&["cal_IT"], dec(41_868, -4), ENERGY).only(&["k"]),
    row(&["Btu_IT"], dec(105_505_585_262, -8), ENERGY),
    // As energy meters and cells print them: a product written as one symbol by the trade alone.
    row(&["Wh"], dec(3600, 0), ENERGY).only(&["k", "M", "G", "T", "m"]),
    row(&["Ah"], dec(3600, 0), CHARGE).only(&["m", "k"]),
    // 550 ft·lbf/s; 75 kgf·m/s.
    row(&["hp"], dec(74_569_987_158_227_022, -14), POWER),
    row(&["PS"], dec(73_549_875, -5), POWER),
    // SI Brochure, 8th edition, table 8 (from memory).
    row(&["Å", "angstrom"], dec(1, -10), LENGTH),
    row(&["b"], dec(1, -28), AREA).only(&["k", "m", "µ", "n", "p", "f"]),
    // The micron is shown by its present name.
    row(&["µ"], dec(1, -6), LENGTH).shown_as("µm"),
    row(&["fermi"], dec(1, -15), LENGTH),
    // IAU: Julian year times c; IAU 2015 resolution B2: 648 000/π au.
    row(&["ly"], dec(9_460_730_472_580_800, 0), LENGTH).only(&["k", "M", "G"]),
    row(&["pc"], dec(648_000 * 149_597_870_700, 0), LENGTH).times(FRAC_1_PI).only(&["k", "M", "G", "m"]),
    // CGS units: each corresponds to that many SI units.
    row(&["G"], dec(1, -4), FLUX_DENSITY).only(&["k", "m", "µ", "n"]),
    row(&["Mx"], dec(1, -8), FLUX),
    row(&["Oe"], dec(250, 0), FIELD_STRENGTH).times(FRAC_1_PI).only(&["k", "m"]),
    row(&["P"], dec(1, -1), VISCOSITY).only(&["c", "m", "µ"]),
    row(&["St"], dec(1, -4), DIFFUSIVITY).only(&["c"]),
    row(&["Gal"], dec(1, -2), ACCELERATION).only(&["m", "µ"]),
    row(&["Ci"], dec(37, 9), FREQUENCY).only(&["M", "k", "m", "µ", "n", "p"]),
    row(&["R"], dec(258, -6), EXPOSURE).only(&["m", "µ"]),
    row(&["rd"], dec(1, -2), DOSE).only(&["m"]),
    row(&["rem"], dec(1, -2), DOSE).only(&["m", "µ"]),
    // Measures of volume that differ between countries carry the country. US: 231 in³ the gallon.
    row(&["gal_US"], dec(3_785_411_784, -12), VOLUME),
    row(&["qt_US"], dec(946_352_946, -12), VOLUME),
    row(&["pt_US"], dec(473_176_473, -12), VOLUME),
    row(&["floz_US"], dec(295_735_295_625, -16), VOLUME),
    // UK: the gallon is 4.54609 L, of 4 quarts, 8 pints, 160 fluid ounces (Weights and Measures Act
    // 1985, schedule 1, from memory).
    row(&["gal_UK"], dec(454_609, -8), VOLUME),
    row(&["qt_UK"], dec(11_365_225, -10), VOLUME),
    row(&["pt_UK"], dec(56_826_125, -11), VOLUME),
    row(&["floz_UK"], dec(284_130_625, -13), VOLUME),
    row(&["acre"], dec(40_468_564_224, -7), AREA),
    row(&["kn"], Exact::new(1852, 3600, 0), SPEED),
    row(&["mph"], dec(44_704, -5), SPEED),
    // ISO 80000-3 (from memory).
    row(&["gon"], Exact::new(1, 200, 0), NUMBER).times(PI),
    // T/K = (t/°F + 459.67) × 5/9; the Rankine scale begins at absolute zero, so that it needs no point.
    row(&["°F", "degF"], Exact::new(5, 9, 0), TEMPERATURE).zero(Exact::new(45_967 * 5, 9, -2)),
    row(&["°R", "degR"], Exact::new(5, 9, 0), TEMPERATURE),
    // SI Brochure, 9th edition, 5.4.7; the per mille sign likewise (ISO 80000-1, from memory).
    row(&["%"], dec(1, -2), NUMBER),
    row(&["‰"], dec(1, -3), NUMBER),
    row(&["ppm"], dec(1, -6), NUMBER),
    // IAU: 365.25 d.
    row(&["a"], dec(31_557_600, 0), TIME).only(&["k", "M", "G"]),
    row(&["wk"], dec(604_800, 0), TIME),
];

/// Every spelling of the table, in byte order.
static INDEX: [(&str, &Row); count(TABLE)] = sorted(TABLE);

/// The unit of a symbol without exponent: the longest whole symbol first, then prefix and unit.
/// `symbol` is [`folded`].
pub(super) fn find(symbol: &str) -> Option<Unit> {
    let (prefix, row) = looked_up(symbol)?;
    let scale = scale(prefix, row)?;
    let shown = prefix.map_or_else(|| row.shown.to_owned(), |prefix| [prefix.shown, row.shown].concat());
    let shown = Spelling { over: vec![(shown, 1)], under: Vec::new() };
    Some(Unit { shown, dimension: row.dimension, scale, zero: row.zero })
}

/// Would [`find`] give a unit?
pub(super) fn is_known(symbol: &str) -> bool {
    looked_up(symbol).is_some_and(|(prefix, row)| scale(prefix, row).is_some())
}

fn looked_up(symbol: &str) -> Option<(Option<&'static Prefix>, &'static Row)> {
    let whole = whole(symbol).map(|row| (None, row));
    whole.or_else(|| prefixed(symbol).map(|(prefix, row)| (Some(prefix), row)))
}

fn scale(prefix: Option<&Prefix>, row: &Row) -> Option<Scale> {
    let Some(prefix) = prefix else { return Some(row.size) };
    let ratio = row.size.ratio.times(Exact::new(1, 1, prefix.power))?;
    Some(Scale { ratio, ..row.size })
}

/// The row of a whole symbol.
fn whole(symbol: &str) -> Option<&'static Row> {
    let at = INDEX.binary_search_by(|(typed, _)| (*typed).cmp(symbol)).ok()?;
    INDEX.get(at).map(|&(_, row)| row)
}

fn prefixed(symbol: &str) -> Option<(&'static Prefix, &'static Row)> {
    const ALL_OF_THEM: &[(&str, Prefix)] = &PREFIXES;
    ALL_OF_THEM.iter().find_map(|(typed, prefix)| {
        let row = whole(symbol.strip_prefix(typed).filter(|rest| !rest.is_empty())?)?;
        row.takes(prefix.shown).then_some((prefix, row))
    })
}

impl Row {
    /// May this prefix stand before it?
    pub(super) fn takes(&self, prefix: &str) -> bool {
        match self.prefixes {
            Prefixes::No => false,
            Prefixes::All => true,
            Prefixes::Only(few) => few.contains(&prefix),
        }
    }
}

/// The one spelling of those that Unicode has twice: the micro sign for the Greek letter, the Greek
/// letter for the ohm sign, letters for the ångström and kelvin signs, two signs for one of degrees.
pub(super) fn folded(symbol: &str) -> Cow<'_, str> {
    const TWINS: [(&str, &str); 7] = [
        ("\u{3bc}", "\u{b5}"),
        ("\u{2126}", "\u{3a9}"),
        ("\u{212b}", "\u{c5}"),
        ("A\u{30a}", "\u{c5}"),
        ("\u{212a}", "K"),
        ("\u{2103}", "°C"),
        ("\u{2109}", "°F"),
    ];
    let mut folded = Cow::Borrowed(symbol);
    if !symbol.is_ascii() {
        for (twin, one) in TWINS {
            if folded.contains(twin) {
                folded = Cow::Owned(folded.replace(twin, one));
            }
        }
    }
    folded
}

const fn count(rows: &[Row]) -> usize {
    let (mut spellings, mut row) = (0, 0);
    while row < rows.len() {
        spellings += rows[row].typed.len();
        row += 1;
    }
    spellings
}

/// By insertion, since the compiler runs it: once, on a few score of spellings.
const fn sorted<const N: usize>(rows: &'static [Row]) -> [(&'static str, &'static Row); N] {
    let mut index = [("", &rows[0]); N];
    let (mut filled, mut row) = (0, 0);
    while row < rows.len() {
        let mut spelling = 0;
        while spelling < rows[row].typed.len() {
            let typed = rows[row].typed[spelling];
            let mut at = filled;
            while at > 0 && comes_before(typed.as_bytes(), index[at - 1].0.as_bytes()) {
                index[at] = index[at - 1];
                at -= 1;
            }
            index[at] = (typed, &rows[row]);
            (filled, spelling) = (filled + 1, spelling + 1);
        }
        row += 1;
    }
    index
}

const fn comes_before(a: &[u8], b: &[u8]) -> bool {
    let mut at = 0;
    while at < a.len() && at < b.len() {
        if a[at] != b[at] {
            return a[at] < b[at];
        }
        at += 1;
    }
    a.len() < b.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_stands_once_and_in_order() {
        for pair in INDEX.windows(2) {
            assert!(pair[0].0 < pair[1].0, "{} {}", pair[0].0, pair[1].0);
        }
    }

    #[test]
    fn every_spelling_is_found_folded_and_shown() {
        for &(typed, row) in &INDEX {
            assert_eq!(folded(typed), typed);
            let unit = find(typed).unwrap();
            assert_eq!(unit.shown, Spelling::symbol(row.shown), "{typed}");
            assert_eq!(unit.dimension, row.dimension);
            // What is shown is read again as the same unit, the inch through its spelling in the notation.
            let again = find(&unit.to_string()).unwrap();
            assert_eq!((again.scale.ratio, again.zero), (unit.scale.ratio, unit.zero), "{typed}");
        }
    }

    /// A prefixed unit is what its spelling says, unless the whole of it is another unit's symbol.
    #[test]
    fn prefixes_multiply() {
        for &(typed, row) in INDEX.iter().filter(|(_, row)| matches!(row.prefixes, Prefixes::All)) {
            for (before, prefix) in &PREFIXES {
                let symbol = format!("{before}{typed}");
                let unit = find(&symbol).unwrap();
                if whole(&symbol).is_none() {
                    let expected = row.size.ratio.times(Exact::new(1, 1, prefix.power)).unwrap();
                    assert_eq!((unit.scale.ratio, unit.dimension), (expected, row.dimension), "{symbol}");
                }
            }
        }
    }

    #[test]
    fn what_no_unit_is() {
        for symbol in
            ["", "k", "c", "kkg", "µkg", "mmin", "kt", "dd", "kh", "m°", "kft", "kP", "mcal", "cal", "rpm", "in", "M"]
        {
            assert!(find(symbol).is_none(), "{symbol}");
        }
    }
}
