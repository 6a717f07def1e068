//! The report as Markdown: what stands in place of items is spliced into untouched bytes.

use std::iter::Peekable;
use std::vec::IntoIter;

use super::address;
use super::code;
use super::column::{self, Address, Blank};
use super::escape::{Spot, escape, guarded};
use super::graph::{Ground, Shown};
use super::loose::{Beyond, Loose, Marks};
use super::piece::{Group, Piece, Row, Table};
use super::plan::Plan;
use super::{Math, Pictures, latex, mathml, plain};
use crate::locate::{Place, Setting};
use crate::span::Span;

/// The whole report.
pub(super) fn write(plan: &Plan<'_>, math: Math, pictures: &Pictures) -> String {
    let document = plan.view.document;
    let mut writer = Writer {
        plan,
        math,
        pictures,
        loose: None,
        newline: newline(document.source),
        out: String::with_capacity(document.source.len() * 2),
        code: None,
        written: 0,
        blanks: plan.blanks().into_iter().peekable(),
        filled: None,
    };
    for block in plan.blocks() {
        for item in block.items.clone() {
            let start = document.places.get(item).map_or(0, |place| place.span.start);
            writer.fill_to(start);
            writer.item(item);
        }
        writer.fill_to(block.end);
        let (mut graphs, tables) = (plan.graphs(&block).peekable(), plan.tables(&block));
        if graphs.peek().is_some() || !tables.is_empty() {
            writer.copy_to(block.end);
            graphs.for_each(|graph| writer.graph(&graph));
            tables.iter().for_each(|table| writer.table(table));
            writer.part_from_what_follows();
        }
    }
    writer.copy_to(document.source.len());
    writer.out
}

/// The report's own line ending.
fn newline(source: &str) -> &'static str {
    let first = source.find(['\n', '\r']).and_then(|at| source.get(at..)).unwrap_or("\n");
    if first.starts_with("\r\n") {
        "\r\n"
    } else if first.starts_with('\r') {
        "\r"
    } else {
        "\n"
    }
}

struct Writer<'p, 'r> {
    plan: &'p Plan<'r>,
    math: Math,
    pictures: &'p Pictures,
    /// Looked for when it is first needed.
    loose: Option<Loose>,
    newline: &'static str,
    out: String,
    /// The last code span that was written: where it begins and ends in `out`, and what it holds.
    code: Option<(usize, usize, String)>,
    /// How much of the source has been dealt with.
    written: usize,
    /// The cells that are still to be filled.
    blanks: Peekable<IntoIter<Blank>>,
    /// The last cell that was filled where it was missing.
    filled: Option<Address>,
}

impl Writer<'_, '_> {
    fn source(&self) -> &str {
        self.plan.view.document.source
    }

    /// Writes on. Should backticks meet those that end a code span, the span is written another way.
    fn push(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        if let Some((start, end, content)) = self.code.take()
            && end == self.out.len()
            && text.starts_with('`')
        {
            self.out.truncate(start);
            self.out.push_str(&code::element(&content));
        }
        self.out.push_str(text);
    }

    fn copy_to(&mut self, end: usize) {
        let source = self.plan.view.document.source;
        self.push(source.get(self.written..end).unwrap_or(""));
        self.written = self.written.max(end);
    }

    fn item(&mut self, item: usize) {
        let document = self.plan.view.document;
        let Some(place) = document.places.get(item) else { return };
        self.copy_to(place.span.start);
        match self.plan.said(item) {
            Some(pieces) if pieces.is_empty() => self.nothing(place),
            Some(pieces) => {
                let text = self.pieces(&pieces, self.spot(place));
                let text = self.guarded(place, &text);
                self.push(&text);
            }
            None => self.broken(place),
        }
        self.written = place.span.end;
    }

    /// Fills the cells that begin up to there.
    fn fill_to(&mut self, end: usize) {
        while let Some(blank) = self.blanks.next_if(|blank| blank.span.start <= end) {
            let Some(piece) = column::filling(self.plan.view, &blank) else { continue };
            let text = self.piece(&piece, CELL);
            self.copy_to(blank.span.start);
            match column::stands(self.plan.view, blank.span) {
                true => self.fill(&blank, &text),
                false => self.add(&blank, &text),
            }
        }
    }

    /// Fills a cell. It stays as wide as it was if it can, so that its table stays one to the eye.
    fn fill(&mut self, blank: &Blank, text: &str) {
        let width = blank.span.of(self.source()).chars().count();
        let before = width.saturating_sub(text.chars().count() + 1).max(1);
        self.push(&format!("{:before$}{text} ", ""));
        self.written = self.written.max(blank.span.end);
    }

    /// Adds a cell that is missing at the end of its row, and the empty ones before it that are missing too.
    fn add(&mut self, blank: &Blank, text: &str) {
        // Before an escaped pipe, or behind what was an item, it is not plain where the cell would begin.
        if self.out.ends_with("\\|") {
            return;
        }
        let missing = self.missing_before(blank.address);
        let closed = self.out.ends_with('|');
        self.push(&" |".repeat(missing));
        self.push(&if closed { format!(" {text} |") } else { format!(" | {text}") });
        self.filled = Some(blank.address);
    }

    /// How many cells right before this one are missing as well, and have not been added?
    fn missing_before(&self, address: Address) -> usize {
        let Address { table, row, column } = address;
        let cells = self.plan.view.document.tables.get(table).and_then(|table| table.rows.get(row));
        let cells = cells.and_then(|cells| cells.get(..column)).unwrap_or_default().iter().enumerate();
        let is_missing = |(column, cell): &(usize, &Span)| {
            !column::stands(self.plan.view, **cell) && self.filled != Some(Address { table, row, column: *column })
        };
        cells.rev().take_while(is_missing).count()
    }

    /// An item that asks for a table leaves nothing where it is a paragraph of its own. Elsewhere what it held
    /// apart would join, or begin a line: there a ZERO WIDTH SPACE takes its place.
    fn nothing(&mut self, place: &Place<'_>) {
        let source = self.source();
        let before = source.get(..place.span.start).unwrap_or("").chars().rev();
        let after = source.get(place.span.end..).unwrap_or("").chars();
        if !(self.parts_blocks(before) && self.parts_blocks(after)) {
            self.push("&#8203;");
        }
    }

    /// Comes a blank line, or the report's end, before anything else?
    fn parts_blocks(&self, away: impl Iterator<Item = char>) -> bool {
        let mut lines = 0;
        for c in away {
            if !c.is_whitespace() {
                return false;
            }
            lines += usize::from(self.newline.ends_with(c));
            if lines == 2 {
                return true;
            }
        }
        true
    }

    /// An item that stays as it is, as code, so that it is none when the report is read again.
    fn broken(&mut self, place: &Place<'_>) {
        let document = self.plan.view.document;
        let (content, rest) = code::content_in_markdown(document, place);
        if self.out.ends_with(['`', '\\']) {
            self.push(&code::element(&content));
            self.push(rest);
            return;
        }
        let span = code::span(&content, self.loose());
        let start = self.out.len();
        self.push(&span);
        self.code = Some((start, self.out.len(), content));
        self.push(rest);
    }

    /// Keeps emphasis about the item as it was. Marks beside an item stand beside punctuation, its `~` and
    /// its `}`; beside a letter they can mean something else (CommonMark 0.31.2, 6.2), but for those that
    /// have a blank beyond them, and those that open before the item or close behind it.
    fn guarded(&mut self, place: &Place<'_>, text: &str) -> String {
        let source = self.plan.view.document.source;
        let before = Marks::of(source.get(..place.span.start).unwrap_or("").chars().rev());
        let after = Marks::of(source.get(place.span.end..).unwrap_or("").chars());
        if before.beyond == Beyond::Blank && after.beyond == Beyond::Blank {
            return text.to_owned();
        }
        let loose = self.loose();
        // Of three marks in a row some may belong to one emphasis and some to another.
        let usual = |marks: Marks, is_usual: bool| marks.count <= 2 && is_usual;
        let opens = usual(before, loose.opens(place.span, before.count));
        let closes = usual(after, loose.closes(place.span, after.count));
        let needs = |beyond, usual: bool| beyond == Beyond::Word || beyond == Beyond::Punctuation && !usual;
        guarded(text, needs(before.beyond, opens), needs(after.beyond, closes))
    }

    fn loose(&mut self) -> &Loose {
        let document = self.plan.view.document;
        self.loose.get_or_insert_with(|| Loose::of(document))
    }

    fn spot(&self, place: &Place<'_>) -> Spot {
        match place.setting {
            Setting::HeadingCell { .. } | Setting::Cell => CELL,
            Setting::Heading => Spot { heading: true, ..Spot::default() },
            Setting::Text | Setting::AltText => Spot { line_start: self.begins_line(place), ..Spot::default() },
        }
    }

    /// Is there nothing before the item in its line but what can begin a list or a quote?
    fn begins_line(&self, place: &Place<'_>) -> bool {
        let before = self.source().get(..place.span.start).unwrap_or("");
        // Only as far back as it takes: a line may hold a hundred thousand items.
        let told = before.chars().rev().find_map(|c| match c {
            '\n' | '\r' => Some(true),
            c if c.is_whitespace() || c.is_ascii_digit() || "\u{FEFF}>-+*.)".contains(c) => None,
            _ => Some(false),
        });
        told.unwrap_or(true)
    }

    fn pieces(&self, pieces: &[Piece], spot: Spot) -> String {
        let spot_of = |n| Spot { line_start: spot.line_start && n == 0, ..spot };
        pieces.iter().enumerate().map(|(n, piece)| self.piece(piece, spot_of(n))).collect()
    }

    fn piece(&self, piece: &Piece, spot: Spot) -> String {
        match (piece, self.math) {
            (Piece::Math(math), Math::Latex) => format!("${}$", latex::write(math).trim()),
            (Piece::Math(math), Math::Mathml) => mathml::write(math),
            (Piece::Math(math), Math::Plain | Math::Usual) => escape(&plain::write(math, plain::Blanks::Fixed), spot),
            (Piece::Text(text), _) => escape(text, spot),
            (Piece::Picture(_), _) => String::new(),
        }
    }

    /// A graph as an image, whose alternative text describes it, and its caption.
    fn graph(&mut self, graph: &Shown) {
        let alternative = escape(&format!("{}. {}", graph.title, graph.description), Spot::default());
        let target = match self.pictures.file(graph.number) {
            Some(name) => address::of_file(&name),
            None => address::of_picture(&graph.svg(Ground::File)),
        };
        let heading = graph.heading.as_ref().map(|heading| format!("**{}**", escape(heading, Spot::default())));
        let spot = Spot { line_start: heading.is_none(), ..Spot::default() };
        let caption = Some(self.pieces(&graph.caption, spot)).filter(|caption| !caption.is_empty());
        let caption = heading.into_iter().chain(caption).collect::<Vec<_>>().join(" ");
        let image = format!("![{}]({target})", alternative.trim());
        let beneath = (!caption.is_empty()).then(|| [String::new(), caption]).into_iter().flatten();
        for text in [String::new(), image].into_iter().chain(beneath) {
            self.push(self.newline);
            self.push(&text);
        }
    }

    fn table(&mut self, table: &Table) {
        let title = format!("**{}**", escape(&table.caption, Spot::default()));
        let heading = table.columns.iter().map(|column| escape(&column.heading, CELL));
        let rule = table.columns.iter().map(|column| if column.numeric { "--:" } else { ":--" }.to_owned());
        let mut lines = vec![String::new(), title, String::new(), line(heading), line(rule)];
        for group in &table.groups {
            self.group(group, table.columns.len(), &mut lines);
        }
        for text in lines {
            self.push(self.newline);
            self.push(&text);
        }
    }

    fn group(&self, group: &Group, columns: usize, lines: &mut Vec<String>) {
        if !group.title.is_empty() {
            let title = format!("**{}**", self.pieces(&group.title, CELL));
            lines.push(line([title].into_iter().chain((1..columns).map(|_| String::new()))));
        }
        lines.extend(group.rows.iter().map(|row| self.row(row)));
    }

    fn row(&self, row: &Row) -> String {
        line(row.cells.iter().map(|cell| self.pieces(cell, CELL)))
    }

    /// A line right behind a table would be one of its rows.
    fn part_from_what_follows(&mut self) {
        let rest = self.source().get(self.written..).unwrap_or("");
        let behind = rest.strip_prefix("\r\n").or_else(|| rest.strip_prefix(['\n', '\r'])).unwrap_or(rest);
        let next = behind.split(['\n', '\r']).next().unwrap_or("");
        if !next.trim().is_empty() || behind.len() == rest.len() && !rest.is_empty() {
            self.push(self.newline);
        }
    }
}

const CELL: Spot = Spot { cell: true, heading: false, line_start: false };

fn line(cells: impl Iterator<Item = String>) -> String {
    cells.fold("|".to_owned(), |mut line, cell| {
        line.push(' ');
        line.push_str(&cell);
        line.push_str(if cell.is_empty() { "|" } else { " |" });
        line
    })
}
