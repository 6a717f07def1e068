//! The report as it is handed in: its items, and what is so wrong with them that their figures say nothing.

use std::cell::{OnceCell, RefCell};
use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use memchr::memmem;

use super::uses;
use crate::course::Course;
use crate::evaluate::fault::{Doing, Fault, FaultKind};
use crate::evaluate::sheet::Origin;
use crate::evaluate::{Quantity, QuantityId, Sheet};
use crate::locate::{Document, End};
use crate::parse::ast::{AmountStep, Clause, Item, Symbol};
use crate::parse::{self, Parsed};
use crate::quantity::unit::Spelling;
use crate::quantity::{Exact, Unit};
use crate::span::{Span, Spanned};

/// A report as it was read and worked out: all that a rule may look at.
#[derive(Clone, Copy, Debug)]
pub struct Context<'r> {
    /// The source, and where its items stand.
    pub document: &'r Document<'r>,
    /// What each item says.
    pub items: &'r [Parsed],
    /// What the quantities come to.
    pub sheet: &'r Sheet,
    /// The rules in force.
    pub course: &'r Course,
}

/// The report and what is known of its items.
pub(super) struct Paper<'r> {
    pub(super) context: Context<'r>,
    /// For each item: what is so wrong with it that its figures say nothing.
    health: Vec<Health>,
    /// Symbols whose own item could not be read: to call them unknown would say the same thing twice.
    begun: HashSet<&'r Symbol>,
    /// What [`Paper::described`] has read so far.
    described: RefCell<HashMap<&'r str, Option<Described>>>,
    /// Of each item: does it work its quantity out of something that could not be read whole? Empty where none is.
    shaken: OnceCell<Vec<bool>>,
}

/// A number and its unit, as a course describes an instrument with them.
pub(super) type Described = (Exact, Rc<Unit>);

/// What is so wrong with an item that other findings about it would only repeat it.
#[derive(Clone, Copy, Debug, Default)]
struct Health {
    /// Its writing: of an item without an end, the last part was not read.
    misspelt: bool,
    /// Its writing, so that a part of it was not read at all.
    garbled: bool,
    /// What was worked out from it.
    unsound: bool,
    /// A source that does not count: an instrument, an amount.
    incomplete: bool,
    /// Cells that do not count.
    gaps: bool,
    /// A unit that nobody knows: amounts beside it then differ from it in kind.
    unit_unknown: bool,
    /// Whether a unit or a quantity was meant.
    ambiguous: bool,
}

impl<'r> Paper<'r> {
    /// Looks the report through; linear in its length.
    pub(super) fn new(context: Context<'r>) -> Self {
        let unclosed = |item: usize| context.document.places.get(item).is_some_and(|place| place.end != End::Closed);
        let misspelt = |(item, parsed): (usize, &Parsed)| unclosed(item) || parsed.faults.iter().any(spoils);
        let garbled = |(item, parsed): (usize, &Parsed)| {
            unclosed(item) || parsed.faults.iter().any(|fault| spoils(fault) && !fault.kind.is_plain())
        };
        let items = context.items.iter().enumerate();
        let written = |item| Health { misspelt: misspelt(item), garbled: garbled(item), ..Health::default() };
        let mut health: Vec<Health> = items.map(written).collect();
        for fault in &context.sheet.faults {
            if let Some(of_item) = health.get_mut(fault.item) {
                of_item.unsound |= unsettles(&fault.kind);
                of_item.incomplete |= leaves_out(&fault.kind);
                of_item.gaps |= matches!(fault.kind, FaultKind::NoNumberInCell);
                of_item.unit_unknown |= matches!(fault.kind, FaultKind::UnknownUnit(_));
                of_item.ambiguous |= matches!(fault.kind, FaultKind::UnitOrSymbol { .. });
            }
        }
        let unread = context.items.iter().filter(|parsed| parsed.item.is_none());
        let begun =
            unread.filter_map(|parsed| Some(&parsed.defines.as_ref().or(parsed.begins.as_ref())?.value)).collect();
        Self { context, health, begun, described: RefCell::default(), shaken: OnceCell::new() }
    }

    /// The text that stands at `span`.
    pub(super) fn text(&self, span: Span) -> &'r str {
        span.of(self.context.document.source)
    }

    /// The report's first byte.
    pub(super) const fn start(&self) -> Span {
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
        self.context.sheet.quantities.iter().enumerate().filter(|(_, quantity)| self.is_sound(quantity))
    }

    /// Has no other rule said already of a quantity that it cannot be relied upon?
    pub(super) fn is_sound(&self, quantity: &Quantity) -> bool {
        let whole = self.health.get(quantity.item).is_none_or(|health| !health.garbled && !health.unsound);
        whole && !self.shaken().get(quantity.item).is_some_and(|shaken| *shaken)
    }

    /// Of each item: does it work its quantity out of something of which a part could not be read? Its figures then
    /// differ from the author's for that reason alone.
    fn shaken(&self) -> &[bool] {
        self.shaken.get_or_init(|| {
            let quantities = &self.context.sheet.quantities;
            let having = |has: fn(&Health) -> bool| -> Vec<QuantityId> {
                let items = |&id: &QuantityId| self.health.get(quantities[id].item).is_some_and(has);
                (0..quantities.len()).filter(items).collect()
            };
            let (parts, gaps) = (having(|health| health.garbled || health.incomplete), having(|health| health.gaps));
            if parts.is_empty() && gaps.is_empty() {
                return Vec::new();
            }
            let users = uses::users(self.context.sheet);
            let behind = |these: Vec<QuantityId>| {
                uses::closure(these.iter().flat_map(|&id| users[id].iter().copied()).collect(), &users)
            };
            // The other rows of a table are whole.
            let of_all_rows = |id: &QuantityId| !matches!(quantities[*id].origin, Origin::Column(_));
            let mut shaken = vec![false; self.health.len()];
            for id in behind(parts).into_iter().chain(behind(gaps).into_iter().filter(of_all_rows)) {
                if let Some(of_item) = shaken.get_mut(quantities[id].item) {
                    *of_item = true;
                }
            }
            shaken
        })
    }

    /// Is a part of what that item records left out of what is computed?
    pub(super) fn is_incomplete(&self, item: usize) -> bool {
        self.health.get(item).is_some_and(|health| health.garbled || health.incomplete || health.gaps)
    }

    /// Does that text stand anywhere around the items?
    pub(super) fn holds(&self, text: &str) -> bool {
        memmem::find(self.context.document.masked.as_bytes(), text.as_bytes()).is_some()
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

    /// The unit of that spelling, the course's among them.
    pub(super) fn unit(&self, spelling: &Spelling) -> Option<Unit> {
        self.context.sheet.units.find(spelling).ok()
    }

    /// One number with a unit in the words of the course, read once however many readings it is held against; `None`
    /// where it is anything else.
    pub(super) fn described(&self, text: &'r str) -> Option<Described> {
        self.described.borrow_mut().entry(text).or_insert_with(|| self.read(text)).clone()
    }

    fn read(&self, text: &str) -> Option<Described> {
        let amount = parse::amount(text).ok()?;
        let [AmountStep::Number(number), AmountStep::Unit(unit)] = &amount.steps[..] else { return None };
        Some((Exact::of(number.value.decimal)?, Rc::new(self.unit(&unit.value)?)))
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
    !matches!(fault.kind, parse::FaultKind::NoBlankBeforeUnit | parse::FaultKind::Empty)
}

/// Does a fault make a quantity's sources or value unreliable? Some are remarks on good figures, and a unit that can
/// mean only one is computed with.
fn unsettles(kind: &FaultKind) -> bool {
    match kind {
        FaultKind::UnknownUnit(unknown) => unknown.plainly_meant().is_none(),
        FaultKind::UnitOrSymbol { .. }
        | FaultKind::PointMultiplied
        | FaultKind::PointsAdded
        | FaultKind::NothingLeftOut
        | FaultKind::DefinedTwice { .. }
        | FaultKind::MissingReading
        | FaultKind::NoNumberInCell => false,
        _ => true,
    }
}

/// Does a fault keep a source out of all that is computed? A unit that can mean only one is computed with.
fn leaves_out(kind: &FaultKind) -> bool {
    match kind {
        FaultKind::UnknownUnit(unknown) => unknown.plainly_meant().is_none(),
        FaultKind::UnknownInstrument { .. }
        | FaultKind::AmountWithoutSize { .. }
        | FaultKind::UnitsDiffer { doing: Doing::Amount, .. } => true,
        _ => false,
    }
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
