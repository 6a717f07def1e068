//! A source of uncertainty: its kind, its amount, the kind of limit that the amount is, the reason.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::Arc;

/// What an uncertainty comes from.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// How finely a scale can be read.
    Reading,
    /// How well the measurand is itself defined (definitional uncertainty, VIM 2.27).
    Definition,
    /// How well the instrument was made or calibrated (instrumental uncertainty, VIM 4.24).
    Instrument,
    /// A person's reaction time when timing by hand.
    Reaction,
    /// The scatter of repeated readings.
    Repeat,
    /// The square root of a count.
    Counting,
    /// A plain `±`, which names no kind.
    Plain,
    /// A kind of the course.
    Named(Arc<str>),
}

impl Kind {
    /// The kinds that every course knows, in the order in which they are listed.
    pub const KNOWN: [Self; 6] =
        [Self::Reading, Self::Definition, Self::Instrument, Self::Reaction, Self::Repeat, Self::Counting];

    /// The word that the notation uses; `±` for a plain one.
    pub fn word(&self) -> &str {
        match self {
            Self::Reading => "reading",
            Self::Definition => "definition",
            Self::Instrument => "instrument",
            Self::Reaction => "reaction",
            Self::Repeat => "repeat",
            Self::Counting => "counting",
            Self::Plain => "±",
            Self::Named(word) => word,
        }
    }

    /// The known kind of that word.
    pub fn known(word: &str) -> Option<Self> {
        Self::known_word(word).map(|(kind, _)| kind)
    }

    /// The known kind of that word, and the word itself.
    pub fn known_word(word: &str) -> Option<(Self, &'static str)> {
        Some(match word {
            "reading" => (Self::Reading, "reading"),
            "definition" => (Self::Definition, "definition"),
            "instrument" => (Self::Instrument, "instrument"),
            "reaction" => (Self::Reaction, "reaction"),
            "repeat" => (Self::Repeat, "repeat"),
            "counting" => (Self::Counting, "counting"),
            _ => return None,
        })
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Some kinds. Nearly all are among those that every course knows, for which a few bits do.
#[derive(Clone, Debug, Default)]
pub struct Kinds {
    known: u8,
    named: BTreeSet<Arc<str>>,
}

impl Kinds {
    /// Takes a kind in; was it missing?
    pub fn insert(&mut self, kind: &Kind) -> bool {
        if let Kind::Named(word) = kind {
            return self.named.insert(Arc::clone(word));
        }
        let missing = !self.contains(kind);
        self.known |= Self::bit(kind);
        missing
    }

    /// Is that kind among them?
    pub fn contains(&self, kind: &Kind) -> bool {
        match kind {
            Kind::Named(word) => self.named.contains(word),
            known => self.known & Self::bit(known) != 0,
        }
    }

    const fn bit(kind: &Kind) -> u8 {
        match kind {
            Kind::Reading => 1,
            Kind::Definition => 1 << 1,
            Kind::Instrument => 1 << 2,
            Kind::Reaction => 1 << 3,
            Kind::Repeat => 1 << 4,
            Kind::Counting => 1 << 5,
            Kind::Plain => 1 << 6,
            Kind::Named(_) => 0,
        }
    }
}

/// What kind of limit an amount is, from which its standard uncertainty follows (JCGM 100:2008, 4.3).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// The amount is a standard uncertainty.
    Normal,
    /// Half-width of a uniform distribution: amount / √3 (4.3.7).
    Rectangular,
    /// Half-width of a triangle: amount / √6 (4.3.9).
    Triangular,
    /// Half-width of an arcsine distribution: amount / √2.
    Arcsine,
    /// Half-width of a symmetric trapezoid, its top `beta` times as wide as its base:
    /// amount × √((1 + β²)/6) (4.3.9).
    Trapezoidal(f64),
    /// An expanded uncertainty: amount / k (4.3.3).
    Expanded(f64),
    /// Half-width of an interval of that level of confidence, a fraction; of the normal
    /// distribution, or of Student's t where degrees of freedom are given (4.3.4).
    Level(f64),
}

impl Shape {
    /// The standard uncertainty per unit of amount. A level is taken of the normal distribution.
    pub fn standard(self) -> f64 {
        match self {
            Self::Normal => 1.0,
            Self::Rectangular => 1.0 / libm::sqrt(3.0),
            Self::Triangular => 1.0 / libm::sqrt(6.0),
            Self::Arcsine => 1.0 / libm::sqrt(2.0),
            Self::Trapezoidal(beta) => libm::sqrt((1.0 + beta * beta) / 6.0),
            Self::Expanded(k) => 1.0 / k,
            Self::Level(p) => 1.0 / normal_factor(p),
        }
    }

    /// The notation's word for it, as `values` writes it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Rectangular => "rectangular",
            Self::Triangular => "triangular",
            Self::Arcsine => "arcsine",
            Self::Trapezoidal(_) => "trapezoidal",
            Self::Expanded(_) => "k",
            Self::Level(_) => "level",
        }
    }
}

/// How many standard deviations a normal distribution's central interval of `level` reaches:
/// bisection on the error function, to the last bit. The three round levels of JCGM 100:2008,
/// table G.2, mean exactly 1, 2 and 3.
fn normal_factor(level: f64) -> f64 {
    let round = [(0.6827, 1.0), (0.9545, 2.0), (0.9973, 3.0)];
    if let Some(&(_, k)) = round.iter().find(|&&(p, _)| libm::fabs(p - level) < 1e-9) {
        return k;
    }
    let (mut low, mut high) = (0.0, 40.0);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        let inside = libm::erf(middle / std::f64::consts::SQRT_2);
        if inside < level { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008, 4.3.4 and table G.1.
    #[test]
    fn levels_of_the_normal_distribution() {
        for (level, factor) in [(0.90, 1.644_854), (0.95, 1.959_964), (0.99, 2.575_829), (0.50, 0.674_490)] {
            assert!((normal_factor(level) - factor).abs() < 5e-7, "{level}");
        }
        assert_eq!(Shape::Level(0.9545).standard(), 0.5);
    }

    #[test]
    fn each_kind_is_taken_in_once() {
        let mut kinds = Kinds::default();
        let named = ["parallax", "zero"].map(|word| Kind::Named(word.into()));
        for kind in Kind::KNOWN.iter().chain([&Kind::Plain]).chain(&named) {
            assert!(!kinds.contains(kind) && kinds.insert(kind), "{kind}");
            assert!(kinds.contains(kind) && !kinds.insert(kind), "{kind}");
        }
    }

    #[test]
    fn every_known_kind_is_found_by_its_word() {
        for kind in Kind::KNOWN {
            assert_eq!(Kind::known(kind.word()), Some(kind));
        }
        assert_eq!(Kind::known("±"), None);
    }
}
