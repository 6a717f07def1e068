//! Data sheets of a course's instruments, read once and turned into what a reading takes from them.

use std::collections::HashMap;
use std::sync::Arc;

use super::fault::FaultKind;
use crate::course::{Course, Instrument};
use crate::parse;
use crate::parse::ast::{Amount, AmountStep};
use crate::quantity::Kind;

/// An instrument, its data sheet read.
#[derive(Clone, Debug, Default)]
pub(super) struct Sheet {
    /// What it is called in a report.
    pub(super) name: Arc<str>,
    /// The sources that it brings into a reading, in the order of the known kinds, then by word.
    pub(super) sources: Vec<(Kind, Arc<Amount>)>,
    /// The step of its display.
    pub(super) display: Option<Amount>,
    /// Lower and upper end.
    pub(super) range: Option<(Amount, Amount)>,
    /// Are its instrument errors the same in all readings taken with it?
    pub(super) systematic: bool,
}

/// The instruments of a course, each read when it is first asked for.
#[derive(Debug, Default)]
pub(super) struct Instruments {
    read: HashMap<String, Result<Arc<Sheet>, FaultKind>>,
}

impl Instruments {
    /// The instrument of that word; `None` where the course has none.
    pub(super) fn find(&mut self, word: &str, course: &Course) -> Option<Result<Arc<Sheet>, FaultKind>> {
        if let Some(sheet) = self.read.get(word) {
            return Some(sheet.clone());
        }
        let sheet = sheet(word, course.instruments.get(word)?, course).map(Arc::new);
        self.read.insert(word.to_owned(), sheet.clone());
        Some(sheet)
    }
}

fn sheet(word: &str, instrument: &Instrument, course: &Course) -> Result<Sheet, FaultKind> {
    let read = |key: &str, text: &str| {
        parse::amount(text).map_err(|_| FaultKind::BrokenInstrument { word: word.to_owned(), key: key.to_owned() })
    };
    let optional = |key: &str, text: &Option<String>| text.as_deref().map(|text| read(key, text)).transpose();
    let display = optional("display", &instrument.display)?;
    let mut sources = Vec::new();
    if let (Some(division), Some(share)) = (&instrument.division, &instrument.read_to) {
        let one_end = Arc::new(share_of(read("read_to", share)?, read("division", division)?));
        let ends = instrument.ends.unwrap_or(1).clamp(1, 2);
        sources.extend((0..ends).map(|_| (Kind::Reading, Arc::clone(&one_end))));
    }
    // What the data sheet says of a kind outright, also by the course's own word for it, takes the place of what
    // follows from the scale.
    let says = |wanted: &Kind| instrument.kinds.keys().any(|word| course.kind(word).as_ref() == Some(wanted));
    if says(&Kind::Reading) {
        sources.clear();
    }
    if display.is_some() && !says(&Kind::Instrument) {
        sources.push((Kind::Instrument, Arc::new(read("display", "1 digit")?)));
    }
    for (kind, text) in &instrument.kinds {
        let known = Kind::known(kind).unwrap_or_else(|| Kind::Named(kind.as_str().into()));
        sources.push((known, Arc::new(read(kind, text)?)));
    }
    sources.sort_by(|(a, _), (b, _)| a.cmp(b));
    let range = match instrument.range.as_deref() {
        Some(text) => {
            let broken = || FaultKind::BrokenInstrument { word: word.to_owned(), key: "range".into() };
            let (low, high) = text.split_once(" to ").ok_or_else(broken)?;
            Some((read("range", low)?, read("range", high)?))
        }
        None => None,
    };
    let name = instrument.name.as_deref().unwrap_or(word).into();
    Ok(Sheet { name, sources, display, range, systematic: instrument.systematic })
}

/// `1/4 of 1 mm`.
fn share_of(mut share: Amount, division: Amount) -> Amount {
    share.steps.extend(division.steps);
    share.steps.push(AmountStep::Of);
    share
}
