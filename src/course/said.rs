//! What a file speaks of: where, for whoever asks from which file a value comes, and what is to be checked once it is part
//! of the course.

use super::Layer;
use super::place::{Side, Step, place};
use crate::span::Span;

/// One thing that a layer says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// The key.
    pub key: &'static str,
    /// The entry, where the key holds several that are merged one by one; of `fixed` what is fixed.
    pub entry: Option<String>,
    /// Where its key stands, in bytes of the text that was read; of `fixed` where it is listed. `None` where looking
    /// for it would take too long.
    pub span: Option<Span>,
}

/// How many bytes may be read in search of places: each place costs one more reading of the text.
const MOST_BYTES: usize = 32 << 20;

impl Layer<'_> {
    /// Everything that it says and that could be understood, in the order of the notation's page.
    #[must_use]
    pub fn said(&self) -> Vec<Said> {
        let mut said: Vec<Said> = self.choices().chain(self.entries()).chain(self.fixes()).collect();
        if said.len().saturating_mul(self.ground.yaml.len()) <= MOST_BYTES {
            let mut nth = 0;
            for one in &mut said {
                one.span = match (one.key, &one.entry) {
                    ("fixed", _) => {
                        nth += 1;
                        self.place(&[Step::Key("fixed"), Step::Nth(nth - 1)], Side::Value)
                    }
                    (key, Some(entry)) => self.place(&[Step::Key(key), Step::Key(entry)], Side::Key),
                    (key, None) => self.place(&[Step::Key(key)], Side::Key),
                };
            }
        }
        said
    }

    fn place(&self, path: &[Step<'_>], side: Side) -> Option<Span> {
        let whole: Vec<Step<'_>> = self.ground.base.iter().chain(path).copied().collect();
        place(self.ground.yaml, &whole, side)
    }

    fn choices(&self) -> impl Iterator<Item = Said> {
        let said = [
            ("combine", self.combine.is_some()),
            ("digits", self.digits.is_some()),
            ("round", self.round.is_some()),
            ("repeat", self.repeat.is_some()),
            ("fit", self.fit.is_some()),
            ("agree", self.agree.is_some()),
            ("coverage", self.coverage.is_some()),
            ("rationale", self.rationale.is_some()),
            ("require", self.require.is_some()),
            ("decimal", self.decimal.is_some()),
            ("constants", self.constants.is_some()),
            ("correlations", self.correlations.is_some()),
            ("root", self.root),
        ];
        said.into_iter().filter(|&(_, there)| there).map(|(key, _)| Said { key, entry: None, span: None })
    }

    fn entries(&self) -> impl Iterator<Item = Said> {
        let of = |key: &'static str, words: Vec<&String>| {
            let entries: Vec<Said> = words.into_iter().map(|word| Said::entry(key, word)).collect();
            entries
        };
        [
            of("kinds", self.kinds.keys().collect()),
            of("units", self.units.keys().collect()),
            of("instruments", self.instruments.keys().collect()),
            of("expected", self.expected.keys().collect()),
            of("rules", self.rules.keys().collect()),
            of("words", self.words.keys().collect()),
        ]
        .into_iter()
        .flatten()
    }

    fn fixes(&self) -> impl Iterator<Item = Said> {
        self.fixed.iter().map(|what| Said::entry("fixed", what))
    }
}

impl Said {
    fn entry(key: &'static str, word: &str) -> Self {
        Self { key, entry: Some(word.to_owned()), span: None }
    }
}

/// What a layer speaks of, to be checked once it is part of the course.
pub(super) struct Own {
    pub(super) kinds: Vec<String>,
    pub(super) units: Vec<String>,
    pub(super) instruments: Vec<String>,
    pub(super) expected: Vec<String>,
    pub(super) fixed: Vec<String>,
    pub(super) require: bool,
    pub(super) constants: bool,
    pub(super) correlations: bool,
}

impl Own {
    pub(super) fn of(layer: &Layer<'_>) -> Self {
        Self {
            kinds: layer.kinds.keys().cloned().collect(),
            units: layer.units.keys().cloned().collect(),
            instruments: layer.instruments.keys().cloned().collect(),
            expected: layer.expected.keys().cloned().collect(),
            fixed: layer.fixed.clone(),
            require: layer.require.is_some(),
            constants: layer.constants.is_some(),
            correlations: layer.correlations.is_some(),
        }
    }
}
