//! One text of a course: can it be read, are its units known, can its size be?

use super::fault::Faults;
use super::notation::{Amount, Notation, Size, Sizeless};
use super::place::{Side, Step};
use super::reader::brief;
use crate::quantity::unit::Spelling;
use crate::quantity::{Dimension, Exact, Units};

/// The units of a data sheet that are none elsewhere: steps of a display.
const DIGITS: [&str; 2] = ["digit", "digits"];

/// What a text has to be.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// One step of a scale or a display.
    Size,
    /// What a data sheet gives for a kind.
    Amount,
    Share,
    Range,
    Estimate,
    /// The size of a unit of the course.
    Unit,
}

impl Form {
    const fn right(self) -> (&'static str, &'static str) {
        match self {
            Self::Size => ("an amount", "write a number and its unit: `0.5 mm`"),
            Self::Amount => ("an amount", "write how much, with no shape behind it: `0.5 mm`, `0.5 % + 2 digits`"),
            Self::Share => ("a share of a division", "write `1/10` or `1/4`"),
            Self::Range => ("a range", "write both ends, each with its unit: `0 V to 20 V`"),
            Self::Estimate => ("an estimate", "write it as a reading is written: `9.81 ± 0.02 m/s^2`"),
            Self::Unit => ("the size of a unit", "write a number and a known unit: `0.2286 m`, `1/60 Hz`"),
        }
    }
}

/// What a text says.
pub(super) struct ReadText {
    /// A range has two of them, an estimate none.
    amounts: Vec<Box<dyn Amount>>,
    units: Vec<Spelling>,
}

/// Judges texts, and tells what is wrong with them.
pub(super) struct Judge<'f, 'y> {
    pub(super) faults: &'f mut Faults<'y>,
    pub(super) notation: Notation,
}

impl Judge<'_, '_> {
    /// Sees that a text is of its form, and its units known.
    pub(super) fn text(&mut self, path: &[Step<'_>], text: &str, form: Form, units: &Units) -> Option<ReadText> {
        let Some(read) = self.read(text, form) else {
            let (what, help) = form.right();
            self.faults.add(path, Side::Value, format!("`{}` is not {what}", brief(text)), help);
            return None;
        };
        let digits = form == Form::Amount;
        let is_known = |unit: &Spelling| (digits && is_digit(unit)) || !self.unknown(path, unit, units);
        read.units.iter().all(is_known).then_some(read)
    }

    /// What a text says, if it is of its form.
    pub(super) fn read(&self, text: &str, form: Form) -> Option<ReadText> {
        let amount = self.notation.amount;
        let amounts = match form {
            Form::Size | Form::Amount | Form::Unit | Form::Share => vec![amount(text)?],
            Form::Range => {
                let (low, high) = text.split_once(" to ")?;
                vec![amount(low)?, amount(high)?]
            }
            Form::Estimate => Vec::new(),
        };
        let units = match form {
            Form::Estimate => (self.notation.estimate)(text)?,
            _ => amounts.iter().flat_map(|amount| amount.units()).collect(),
        };
        (form != Form::Share || units.is_empty()).then_some(ReadText { amounts, units })
    }

    /// Says so where a unit is not known.
    fn unknown(&mut self, path: &[Step<'_>], spelling: &Spelling, units: &Units) -> bool {
        let Err(unknown) = units.find(spelling) else { return false };
        let help = match unknown.nearest {
            Some(near) => format!("write `{near}`"),
            None => "write a known unit, or define this one under `units`".to_owned(),
        };
        self.faults.add(path, Side::Value, format!("`{}` is no known unit", brief(&unknown.symbol)), help);
        true
    }

    /// Sees that what a text says has a size that can be.
    pub(super) fn is_possible(
        &mut self,
        path: &[Step<'_>],
        text: &str,
        (form, read): (Form, &ReadText),
        units: &Units,
    ) -> bool {
        let told = match (form, read.amounts.as_slice()) {
            (Form::Size | Form::Unit, [amount]) => unless_above_zero(amount.size(units), text),
            (Form::Share, [amount]) => amount.size(units).ok().and_then(|(share, _)| unless_share(share, text)),
            (Form::Range, [low, high]) => unless_rising(low.size(units), high.size(units), text),
            (Form::Amount, [amount]) => {
                amount.size(units).ok().filter(|(size, _)| size.is_negative()).map(|_| below_zero(text))
            }
            _ => None,
        };
        let possible = told.is_none();
        if let Some((message, help)) = told {
            self.faults.add(path, Side::Value, message, help);
        }
        possible
    }

    /// Sees that what a text says measures what those before it do.
    pub(super) fn measures_alike(
        &mut self,
        path: &[Step<'_>],
        (form, read): (Form, ReadText),
        units: &Units,
        measured: &mut Option<(Dimension, Spelling)>,
    ) {
        // Of an amount a per cent is a share, whatever is measured.
        let own = read
            .units
            .into_iter()
            .filter(|spelling| !is_digit(spelling) && (form != Form::Amount || spelling.alone() != Some("%")));
        for spelling in own {
            let Ok(unit) = units.find(&spelling) else { continue };
            match measured {
                None => *measured = Some((unit.dimension, spelling)),
                Some((dimension, before)) if *dimension != unit.dimension => {
                    let message = format!("`{spelling}` does not measure what `{before}` measures");
                    let help = "give all of an instrument's amounts in units of what it measures";
                    return self.faults.add(path, Side::Value, message, help);
                }
                Some(_) => {}
            }
        }
    }
}

fn is_digit(spelling: &Spelling) -> bool {
    spelling.alone().is_some_and(|symbol| DIGITS.contains(&symbol))
}

/// A message and what to write instead.
type Told = (String, &'static str);

fn unless_above_zero(size: Size, text: &str) -> Option<Told> {
    let text = brief(text);
    match size {
        Ok((size, _)) if size.is_zero() || size.is_negative() => {
            Some((format!("`{text}` is not above zero"), "write a size above zero, with its unit"))
        }
        Ok(_) => None,
        Err(Sizeless::UnitsDiffer) => Some((
            format!("the units in `{text}` do not measure the same thing"),
            "add only what can be added; a product of units is one unit, as in `6 m*kg`",
        )),
        Err(Sizeless::Because(why)) => Some((
            format!("`{text}` has no size of its own: {why}"),
            "write numbers and one unit; a product of units is one unit, as in `6 m*kg`",
        )),
    }
}

fn unless_share(share: Exact, text: &str) -> Option<Told> {
    let over_one = Exact::ONE.minus(share).is_none_or(Exact::is_negative);
    (share.is_zero() || share.is_negative() || over_one).then(|| {
        (format!("`{}` is no share of a division", brief(text)), "write a share above zero and up to 1: `1/4`")
    })
}

fn unless_rising(low: Size, high: Size, text: &str) -> Option<Told> {
    let (Ok((low, low_unit)), Ok((high, high_unit))) = (low, high) else {
        let help = "write both ends, each a number and its unit: `0 V to 20 V`";
        return Some((format!("`{}` is not a range", brief(text)), help));
    };
    let falls = low_unit.to_si(low) >= high_unit.to_si(high);
    (low_unit.dimension == high_unit.dimension && falls)
        .then(|| (format!("the range `{}` does not rise", brief(text)), "write the lower end first"))
}

fn below_zero(text: &str) -> Told {
    (format!("`{}` is below zero", brief(text)), "write how far a reading can be off, without a sign")
}
