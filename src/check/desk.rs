//! The report as it lies before the marker: what several rules ask of it, found out once.

use std::cell::OnceCell;
use std::collections::HashSet;

use super::Context;
use super::displayed::{self, Displayed};
use super::prose::{self, Prose};
use super::trial::{self, Trial};
use crate::evaluate::fault::{Fault, FaultKind};
use crate::evaluate::sheet::Origin;
use crate::evaluate::{Quantity, QuantityId};
use crate::locate::End;
use crate::parse::ast::{Clause, Item, Symbol};
use crate::parse::{self, Parsed};
use crate::quantity::Unit;
use crate::quantity::unit::Spelling;
use crate::span::{Span, Spanned};

/// The report and what is known of its items.
pub(super) struct Desk<'r> {
    pub(super) context: Context<'r>,
    /// For each item: what is so wrong with it that its figures say nothing.
    health: Vec<Health>,
    /// Symbols whose own item could not be read: to call them unknown would say the same thing twice.
    begun: HashSet<&'r Symbol>,
    prose: OnceCell<Prose>,
    trials: OnceCell<Vec<Trial<'r>>>,
    /// Found by [`super::bare`].
    pub(super) bare: OnceCell<HashSet<usize>>,
    displayed: OnceCell<Vec<Displayed<'r>>>,
}

/// What is so wrong with an item that other findings about it would only repeat it.
#[derive(Clone, Copy, Debug, Default)]
struct Health {
    /// Its writing: of an item without an end, the last part was not read.
    misspelt: bool,
    /// What was worked out from it.
    unsound: bool,
    /// A unit that nobody knows: amounts beside it then differ from it in kind.
    unit_unknown: bool,
    /// Whether a unit or a quantity was meant.
    ambiguous: bool,
}

impl<'r> Desk<'r> {
    /// Lays the report out; linear in its length.
    pub(super) fn new(context: Context<'r>) -> Self {
        let unclosed = |item: usize| context.document.places.get(item).is_some_and(|place| place.end != End::Closed);
        let misspelt = |(item, parsed): (usize, &Parsed)| unclosed(item) || parsed.faults.iter().any(spoils);
        let items = context.items.iter().enumerate().map(misspelt);
        let mut health: Vec<Health> = items.map(|misspelt| Health { misspelt, ..Health::default() }).collect();
        for fault in &context.sheet.faults {
            if let Some(of_item) = health.get_mut(fault.item) {
                of_item.unsound |= unsettles(&fault.kind);
                of_item.unit_unknown |= matches!(fault.kind, FaultKind::UnknownUnit(_));
                of_item.ambiguous |= matches!(fault.kind, FaultKind::UnitOrSymbol { .. });
            }
        }
        let unread = context.items.iter().filter(|parsed| parsed.item.is_none());
        let begun = unread.filter_map(|parsed| Some(&parsed.defines.as_ref()?.value)).collect();
        Self {
            context,
            health,
            begun,
            prose: OnceCell::new(),
            trials: OnceCell::new(),
            bare: OnceCell::new(),
            displayed: OnceCell::new(),
        }
    }

    /// The text that stands at `span`.
    pub(super) fn text(&self, span: Span) -> &'r str {
        span.of(self.context.document.source)
    }

    /// The report's first byte.
    pub(super) fn start(&self) -> Span {
        Span::at(self.context.document.start)
    }

    /// A place without the blanks about it; all of it where it holds nothing else.
    pub(super) fn trimmed(&self, span: Span) -> Span {
        let text = self.text(span);
        let start = span.start + (text.len() - text.trim_start().len());
        let trimmed = Span::new(start, start + text.trim().len());
        if trimmed.is_empty() { span } else { trimmed }
    }

    /// What each item says, with its number.
    pub(super) fn items(&self) -> impl Iterator<Item = (usize, &'r Item)> {
        self.context.items.iter().enumerate().filter_map(|(number, parsed)| Some((number, parsed.item.as_ref()?)))
    }

    /// The items whose writing is without fault.
    pub(super) fn spelt_items(&self) -> impl Iterator<Item = (usize, &'r Item)> {
        self.items().filter(|&(number, _)| !self.misspelt(number))
    }

    /// The quantities about which no other rule has said already that they cannot be relied upon.
    pub(super) fn sound(&self) -> impl Iterator<Item = (QuantityId, &'r Quantity)> {
        let whole = |health: &Health| !health.misspelt && !health.unsound;
        self.context
            .sheet
            .quantities
            .iter()
            .enumerate()
            .filter(move |(_, quantity)| self.health.get(quantity.item).is_none_or(whole))
    }

    /// What the evaluation found wrong.
    pub(super) fn faults(&self) -> impl Iterator<Item = &'r Fault> {
        self.context.sheet.faults.iter()
    }

    /// Is the writing of that item at fault?
    pub(super) fn misspelt(&self, item: usize) -> bool {
        self.health.get(item).is_some_and(|health| health.misspelt)
    }

    /// Is a unit in that item unknown?
    pub(super) fn unit_unknown(&self, item: usize) -> bool {
        self.health.get(item).is_some_and(|health| health.unit_unknown)
    }

    /// Is it open whether that item's unit is one, or a quantity?
    pub(super) fn ambiguous(&self, item: usize) -> bool {
        self.health.get(item).is_some_and(|health| health.ambiguous)
    }

    /// Does an item that could not be read set out to define that symbol?
    pub(super) fn begun(&self, symbol: &Symbol) -> bool {
        self.begun.contains(symbol)
    }

    /// What stands around the items; read when it is first asked for.
    pub(super) fn prose(&self) -> &Prose {
        self.prose.get_or_init(|| prose::read(self.context.document))
    }

    /// Every formula that could be tried; tried when they are first asked for.
    pub(super) fn trials(&self) -> &[Trial<'r>] {
        self.trials.get_or_init(|| trial::results(self).collect())
    }

    /// All readings from a display whose step is a decimal in their unit.
    pub(super) fn displayed(&self) -> &[Displayed<'r>] {
        self.displayed.get_or_init(|| displayed::readings(self))
    }

    /// The unit of that spelling, the course's among them.
    pub(super) fn unit(&self, spelling: &Spelling) -> Option<Unit> {
        self.context.sheet.units.find(spelling).ok()
    }

    /// What the item at that place says.
    pub(super) fn item(&self, number: usize) -> Option<&'r Item> {
        self.context.items.get(number)?.item.as_ref()
    }
}

/// Was it recorded, not worked out?
pub(super) fn is_recorded(quantity: &Quantity) -> bool {
    match &quantity.origin {
        Origin::Reading(_) | Origin::Repeated(_) => true,
        Origin::Column(column) => !column.result,
        Origin::Result { .. } | Origin::Constant(_) | Origin::Unread => false,
    }
}

/// Does nothing say how well it is known?
pub(super) fn is_without_uncertainty(quantity: &Quantity) -> bool {
    quantity.sources.is_empty() && !quantity.exact
}

/// The clauses of an item that can have some.
pub(super) fn clauses(item: &Item) -> &[Spanned<Clause>] {
    match item {
        Item::Reading(reading) => &reading.clauses,
        Item::Result(derived) => &derived.clauses,
        Item::Column(column) => &column.clauses,
        _ => &[],
    }
}

/// Does a fault of writing leave something out of what was read? Some are only bad manners.
const fn spoils(fault: &parse::Fault) -> bool {
    !matches!(fault.kind, parse::FaultKind::NoBlankBeforeUnit)
}

/// Does a fault make a quantity's sources or value unreliable? Some are remarks on good figures.
const fn unsettles(kind: &FaultKind) -> bool {
    !matches!(
        kind,
        FaultKind::UnitOrSymbol { .. }
            | FaultKind::PointMultiplied
            | FaultKind::PointsAdded
            | FaultKind::NothingLeftOut
            | FaultKind::DefinedTwice { .. }
            | FaultKind::MissingReading
    )
}

/// The place of one symbol inside a unit; the whole unit where it does not stand there as such.
pub(super) fn symbol_within(text: &str, whole: Span, symbol: &str) -> Span {
    let standing = text.match_indices(symbol).find(|&(at, _)| {
        let joins = |c: Option<char>| c.is_some_and(|c| c.is_alphabetic() || c == '_');
        !joins(text[..at].chars().next_back()) && !joins(text[at + symbol.len()..].chars().next())
    });
    standing.map_or(whole, |(at, _)| Span::new(whole.start + at, whole.start + at + symbol.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_symbol_is_found_inside_its_unit() {
        let whole = Span::new(10, 18);
        assert_eq!(symbol_within("kg/sm*m", whole, "sm"), Span::new(13, 15));
        assert_eq!(symbol_within("kg/sm*m", whole, "m"), Span::new(16, 17));
        assert_eq!(symbol_within("kg", whole, "g"), whole);
    }
}
