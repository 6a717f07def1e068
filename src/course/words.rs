//! The words of keys that choose one of several.

use super::{Agree, Combine, DecimalSign, Fit, Level, RationalePlace, Repeat};
use crate::quantity::{Figures, Rounding};

/// A choice that a course makes by a word.
pub trait Word: Copy + PartialEq + 'static {
    /// Every choice with its word, the default first.
    const ALL: &'static [(&'static str, Self)];

    /// The choice of that word.
    fn of(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(known, _)| *known == word).map(|&(_, choice)| choice)
    }

    /// Its word.
    fn word(self) -> &'static str {
        Self::ALL.iter().find(|(_, choice)| *choice == self).map_or("", |&(word, _)| word)
    }
}

impl Word for Combine {
    const ALL: &'static [(&'static str, Self)] =
        &[("sum", Self::Sum), ("quadrature", Self::Quadrature), ("standard", Self::Standard)];
}

impl Word for Figures {
    const ALL: &'static [(&'static str, Self)] =
        &[("1", Self::One), ("2", Self::Two), ("leading-one", Self::LeadingOne), ("pdg", Self::Pdg)];
}

impl Word for Rounding {
    const ALL: &'static [(&'static str, Self)] = &[("nearest", Self::Nearest), ("even", Self::Even), ("up", Self::Up)];
}

impl Word for Repeat {
    const ALL: &'static [(&'static str, Self)] = &[
        ("standard-error", Self::StandardError),
        ("standard-deviation", Self::StandardDeviation),
        ("half-range", Self::HalfRange),
    ];
}

impl Word for Fit {
    const ALL: &'static [(&'static str, Self)] = &[
        ("scatter", Self::Scatter),
        ("weighted", Self::Weighted),
        ("both-errors", Self::BothErrors),
        ("extreme-lines", Self::ExtremeLines),
    ];
}

impl Word for Agree {
    const ALL: &'static [(&'static str, Self)] =
        &[("overlap", Self::Overlap), ("two-sigma", Self::TwoSigma), ("normalized-error", Self::NormalizedError)];
}

impl Word for RationalePlace {
    const ALL: &'static [(&'static str, Self)] = &[("beneath", Self::Beneath), ("none", Self::None)];
}

impl Word for DecimalSign {
    const ALL: &'static [(&'static str, Self)] = &[("point", Self::Point), ("comma", Self::Comma)];
}

impl Word for Level {
    const ALL: &'static [(&'static str, Self)] =
        &[("off", Self::Off), ("advice", Self::Advice), ("warning", Self::Warning), ("error", Self::Error)];
}

impl Word for bool {
    const ALL: &'static [(&'static str, Self)] = &[("false", false), ("true", true)];
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first choice of each line of the notation's page is the default.
    #[test]
    fn the_first_word_is_the_default() {
        assert_eq!(Combine::ALL[0].1, Combine::default());
        assert_eq!(Figures::ALL[0].1, Figures::default());
        assert_eq!(Rounding::ALL[0].1, Rounding::default());
        assert_eq!(Repeat::ALL[0].1, Repeat::default());
        assert_eq!(Fit::ALL[0].1, Fit::default());
        assert_eq!(Agree::ALL[0].1, Agree::default());
        assert_eq!(RationalePlace::ALL[0].1, RationalePlace::default());
        assert_eq!(DecimalSign::ALL[0].1, DecimalSign::default());
    }

    #[test]
    fn words_and_choices_name_each_other() {
        assert_eq!(Figures::of("leading-one"), Some(Figures::LeadingOne));
        assert_eq!(Figures::of("3"), None);
        assert_eq!(Combine::Standard.word(), "standard");
    }
}
