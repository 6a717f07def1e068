//! The search: read the source, take the text's openers for items, mask them, and read it again until the
//! reading no longer changes what is an item. The reading alone judges; each one costs a parse.

use super::Table;
use super::calm::all_calm;
use super::end::{Opener, openers};
use super::item::Item;
use super::mask::mask;
use super::text::{Layout, survey};
use crate::span::Span;

/// After so many readings no new items are taken, and blocks whose items still change have none: each
/// reading halves what items hide from one another at least, so these hold hundreds of them.
const TAKING: usize = 8;

/// After so many, a report has no items.
const READINGS: usize = 12;

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) items: Vec<Item>,
    /// The source with the items masked, where there are any.
    pub(super) masked: Option<String>,
    pub(super) tables: Vec<Table>,
    pub(super) given_up: Vec<Span>,
}

/// Is one reading enough where nothing is active?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Care {
    /// One reading, where certainly a second would change nothing.
    Enough,
    /// Always a second one.
    #[cfg(test)]
    Always,
}

/// Finds the items of `source` from the byte `start` on. Its lines end at `\n` or `\r\n` alone.
pub(super) fn search(source: &str, start: usize, care: Care) -> Found {
    let openers = openers(source, start);
    if openers.is_empty() {
        return Found::default();
    }
    let barred = vec![false; openers.len()];
    Search { source, start, openers, barred, items: Vec::new(), masked: None }.run(care)
}

struct Search<'s> {
    source: &'s str,
    start: usize,
    openers: Vec<Opener>,
    /// Of each opener: was it masked, and the mask no text?
    barred: Vec<bool>,
    items: Vec<Item>,
    /// The source with `items` masked, where there are any.
    masked: Option<String>,
}

impl Search<'_> {
    fn run(mut self, care: Care) -> Found {
        for reading in 0..READINGS {
            let layout = survey(self.masked(), self.start, &self.marks());
            let mut items = self.take(&layout, reading < TAKING);
            if reading == TAKING - 1 {
                self.give_up_blocks(&mut items);
            }
            let settled = items.iter().map(Item::bounds).eq(self.items.iter().map(Item::bounds));
            self.items = items;
            if !settled {
                self.masked = self.mask();
            }
            let first = reading == 0 && care == Care::Enough;
            if settled || first && all_calm(self.source, self.masked(), &self.items, &layout) {
                return self.found(layout);
            }
        }
        self.surrender()
    }

    /// The bytes of which is to be known whether they are text: openers, and the lines that items go on in.
    fn marks(&self) -> Vec<usize> {
        let mut marks: Vec<usize> = self.openers.iter().map(|opener| opener.at).collect();
        let lines = self.items.iter().flat_map(|item| item.extent.lines(self.source).skip(1));
        marks.extend(lines.map(|line| line.start));
        marks.sort_unstable();
        marks
    }

    fn mask(&self) -> Option<String> {
        (!self.items.is_empty()).then(|| mask(self.source, self.items.iter().map(|item| item.extent)))
    }

    fn masked(&self) -> &str {
        self.masked.as_deref().unwrap_or(self.source)
    }

    /// The items of a reading: the openers that are text, not barred, and in no item before them.
    fn take(&mut self, layout: &Layout, new_ones: bool) -> Vec<Item> {
        let mut items: Vec<Item> = Vec::with_capacity(self.items.len());
        let mut known = self.items.iter().peekable();
        let (mut end, mut settled) = (self.start, true);
        for ((index, opener), barred) in self.openers.iter().enumerate().zip(&mut self.barred) {
            let known = known.next_if(|item| item.opener == index);
            if opener.at < end || *barred || known.is_none() && !new_ones {
                continue;
            }
            let refuted = known.filter(|item| !item.is_text(self.source, layout));
            // What is new before an item may have put it into code, and once masked will let it go.
            *barred = refuted.is_some() && settled;
            let text = layout.text_at(opener.at).filter(|_| refuted.is_none());
            let found = text.map(|text| Item::new(self.source, *opener, index, *text));
            let Some(item) = found.or(refuted.copied().filter(|_| !settled)) else { continue };
            settled &= known.is_some_and(|known| known.bounds() == item.bounds());
            end = item.extent.span.end;
            items.push(item);
        }
        items
    }

    /// Bars the items of every block in which one came, went or changed.
    fn give_up_blocks(&mut self, items: &mut Vec<Item>) {
        let mut blocks: Vec<usize> = changed(items, &self.items).chain(changed(&self.items, items)).collect();
        blocks.sort_unstable();
        let is_given_up = |item: &Item| blocks.binary_search(&item.text.leaf.start).is_ok();
        for item in items.iter().filter(|item| is_given_up(item)) {
            self.barred[item.opener] = true;
        }
        items.retain(|item| !is_given_up(item));
    }

    fn found(self, layout: Layout) -> Found {
        let given_up = self.given_up(&layout);
        Found { items: self.items, masked: self.masked, tables: layout.tables, given_up }
    }

    /// The openers that are in no item although they will be seen as text, or not at all.
    fn given_up(&self, layout: &Layout) -> Vec<Span> {
        let mut items = self.items.iter().peekable();
        let outside = self.openers.iter().filter(|opener| {
            while items.next_if(|item| item.extent.span.end <= opener.at).is_some() {}
            !items.peek().is_some_and(|item| item.extent.span.contains(opener.at))
        });
        let lost = |at: usize| layout.text_at(at).is_some() || layout.dropped.binary_search(&at).is_ok();
        outside.filter(|opener| lost(opener.at)).map(|opener| Span::new(opener.at, opener.at + 2)).collect()
    }

    fn surrender(mut self) -> Found {
        self.items.clear();
        self.masked = None;
        let layout = survey(self.source, self.start, &self.marks());
        self.found(layout)
    }
}

/// The blocks of those `items` that are not among `others`, by their starts.
fn changed<'i>(items: &'i [Item], others: &'i [Item]) -> impl Iterator<Item = usize> {
    let is_among = |item: &Item| {
        let found = others.binary_search_by_key(&item.opener, |other| other.opener);
        found.ok().and_then(|index| others.get(index)).is_some_and(|other| other.bounds() == item.bounds())
    };
    items.iter().filter(move |item| !is_among(item)).map(|item| item.text.leaf.start)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Pieces that Markdown reads, and items with and without them.
    const PIECES: &[&str] = &[
        "a",
        " ",
        " ",
        "\n",
        "\n",
        "\n\n",
        "\r\n",
        "> ",
        "- ",
        "1. ",
        "    ",
        "\t",
        "# ",
        "\n===\n",
        "\n---\n",
        "```",
        "`",
        "``",
        "~~",
        "~~~",
        "$",
        "$$",
        "*",
        "_",
        "**",
        "\\",
        "|",
        " | ",
        "\n|---|---|\n",
        "\n-|-\n",
        "\\|",
        "<",
        ">",
        "<b ",
        "<b a=\"",
        "<!-- ",
        "-->",
        "<div>",
        "<http://x/",
        "[",
        "]",
        "](",
        ")",
        "][",
        "![",
        "[^",
        "[^n]",
        "\n[^n]: ",
        "\n[a]: ",
        "\n[a]: u\n",
        "[a]",
        "]: u",
        "(",
        "\"",
        "'",
        "“",
        "”",
        "„",
        "{",
        "}",
        "{#",
        "&amp;",
        "&",
        "é",
        "🧪",
        "~{",
        "~{d}",
        "~{d = 3 mm}",
        "~{d \"x\" = 3[m]}",
        "~{d \"(x)\"}",
        "~{x [m]; with rule}",
        "~{x \"a \\| b\"}",
        "~{x \"a | b\"}",
        "~{d \"}\" = `}",
        "~{a;\nb \"c\"}",
        "~{a;\n- b \"c\"}",
        "~{a;\n> b}",
        "~{a\n# b}",
        "~{a $}",
        "~{a < b}",
        "~{a](b)}",
        "~{a \"",
        "~{a)",
        "~{a(b}",
        "~{a [a]}",
        "\\~{d}",
        "~{d “x” }",
        "x \"y\" ",
        "[a](u \"",
    ];

    fn reports() -> impl Strategy<Value = String> {
        prop::collection::vec(prop::sample::select(PIECES), 1..14).prop_map(|pieces| pieces.concat())
    }

    /// All that leaves the search, as text.
    fn outcome(source: &str, care: Care) -> String {
        let found = search(source, 0, care);
        let shown = |item: &Item| (item.extent, item.end, item.text.setting, item.text.block_end);
        let items: Vec<_> = found.items.iter().map(shown).collect();
        format!("{:?} {items:?} {:?} {:?}", found.masked, found.tables, found.given_up)
    }

    /// What the openers of the found items are followed by.
    fn first_letters(source: &str) -> Vec<&str> {
        search(source, 0, Care::Enough).items.iter().map(|item| &source[item.extent.span.start + 2..][..1]).collect()
    }

    #[test]
    fn items_that_hide_one_another_are_all_found() {
        for active in ["`", "$", "<b", "\"$x\"", "](", "\n- "] {
            let item = |letter: &str| format!("~{{{letter} {active}}} and ");
            let report = ["a", "b", "c", "d", "e", "f", "g", "h", "i"].map(item).concat();
            assert_eq!(first_letters(&report).concat(), "abcdefghi", "{report}");
        }
    }

    #[test]
    fn code_that_an_item_interrupts_hides_what_follows() {
        assert_eq!(first_letters("~{a `} ` ~{b} ` ~{c}"), ["a", "c"]);
        assert_eq!(first_letters("` ~{a `} ~{b}"), ["b"]);
    }

    #[test]
    fn one_wild_block_costs_no_other_its_items() {
        let wild = "~{a `} ".repeat(5_000);
        let report = format!("~{{b}}\n\n{wild}\n\n~{{c}} `~{{d}}`\n");
        assert_eq!(first_letters(&report), ["b", "c"]);
        assert_eq!(search(&report, 0, Care::Enough).given_up.len(), 2_500, "the others are seen as code");
    }

    proptest! {
        #[test]
        fn one_reading_gives_what_two_give(source in reports()) {
            prop_assert_eq!(outcome(&source, Care::Enough), outcome(&source, Care::Always));
        }
    }
}
