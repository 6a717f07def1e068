//! The report as Markdown: what stands in place of items is spliced into untouched bytes.

use std::iter::Peekable;
use std::vec::IntoIter;

use super::address;
use super::code;
use super::column::{self, Address, Blank};
use super::defuse::{self, Edit};
use super::escape::{Edge, Spot, escape, guarded, unread};
use super::graph::{Ground, Shown};
use super::loose::{Begun, Beyond, Loose, Marks};
use super::piece::{Group, Piece, Row, Table};
use super::plan::Plan;
use super::{Math, Options, Pictures, latex, mathml, plain};
use crate::locate::{Place, Setting};
use crate::span::Span;

/// The whole report.
pub(super) fn write(plan: &Plan<'_>, options: &Options) -> String {
    let document = plan.view.document;
    let mut writer = Writer {
        plan,
        math: options.math.or(Math::Plain),
        edits: if options.safe { defuse::edits(document) } else { Vec::new() }.into_iter().peekable(),
        pictures: &options.pictures,
        has_brackets: document.masked.contains(['<', '[']),
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
            tables.into_iter().for_each(|table| writer.table(table));
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
    /// What is written in place of bytes outside items.
    edits: Peekable<IntoIter<Edit>>,
    pictures: &'p Pictures,
    /// Is there a bracket in the report of which text could become a part?
    has_brackets: bool,
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
        let lies_before = |edit: &Edit| edit.span.start < end || edit.span.end == end;
        while let Some(edit) = self.edits.next_if(lies_before) {
            self.copy_bytes_to(edit.span.start);
            self.push(&edit.text);
            self.written = self.written.max(edit.span.end);
        }
        self.copy_bytes_to(end);
    }

    fn copy_bytes_to(&mut self, end: usize) {
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
                let text = self.shown(place, &pieces);
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
            let text = written(&piece, self.math, CELL);
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
        if self.out.ends_with(['`', '\\'])
            || content.contains('|') && self.heads_a_table(place)
            || self.begins_attributes(place)
        {
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

    /// Could a `|` more make the item's line the heading of a table, though it is none now? A backtick behind the last
    /// `|` is one cell more.
    fn heads_a_table(&self, place: &Place<'_>) -> bool {
        let behind = self.source().get(place.span.end..).unwrap_or("");
        let next = behind.split(['\n', '\r']).skip(1).find(|line| !line.is_empty());
        !code::in_cell(place)
            && next.is_some_and(|line| line.contains('-') && line.trim().chars().all(|c| "|-:> \t".contains(c)))
    }

    /// Would a `{` in the item's place begin a heading's attributes, which the last `}` of the heading ends?
    fn begins_attributes(&self, place: &Place<'_>) -> bool {
        let behind = self.source().get(place.span.end..place.block_end).unwrap_or("");
        let underlined = |c: char| c.is_whitespace() || c == '=' || c == '-';
        place.setting == Setting::Heading && behind.trim_end_matches(underlined).ends_with('}')
    }

    /// What stands in place of the item; what stands about it is kept as it was.
    fn shown(&mut self, place: &Place<'_>, pieces: &[Piece]) -> String {
        let spot = self.spot(place);
        let begun = self.begun(place);
        if begun != Begun::Nothing {
            let text = self.pieces(pieces, Math::Plain, spot);
            let text = guarded(&unread(&text), Edge::Any, self.edges(place).1);
            let breaks = begun == Begun::Tail && place.setting != Setting::AltText;
            return if breaks { apart(&text) } else { text };
        }
        let math = self.math_at(place);
        let text = self.pieces(pieces, math, spot);
        let (start, end) = self.edges(place);
        let start = if spot.line_start && self.makes_a_mark(place, &text) { Edge::Any } else { start };
        guarded(&text, start, end)
    }

    /// Would what is shown at a line's start, together with what touches it, begin a list, be a rule or their like?
    fn makes_a_mark(&self, place: &Place<'_>, text: &str) -> bool {
        let marks = |c: char| c.is_ascii_digit() || c.is_ascii_punctuation();
        let source = self.source();
        let touches = source.get(..place.span.start).is_some_and(|before| before.ends_with(marks))
            || source.get(place.span.end..).is_some_and(|after| after.starts_with(marks));
        touches && text.chars().all(marks) && !text.starts_with('$')
    }

    /// What text before the item could the item's become a part of: of a tag, a link, a character reference?
    fn begun(&mut self, place: &Place<'_>) -> Begun {
        let document = self.plan.view.document;
        let before = document.source.get(..place.span.start).unwrap_or("");
        let word = before.bytes().rev().take(32).find(|byte| !byte.is_ascii_alphanumeric() && *byte != b'#');
        let known = self.has_brackets.then(|| self.loose().begun(place.span.start));
        match known {
            Some(begun) if begun != Begun::Nothing => begun,
            _ if word == Some(b'&') => Begun::Name,
            _ => Begun::Nothing,
        }
    }

    /// How mathematics is written in place of this item. Dollars need room about them, and none before them that is
    /// text; and alternative text has no mathematics.
    fn math_at(&mut self, place: &Place<'_>) -> Math {
        let joins = |c: char| c.is_alphanumeric() || c == '$';
        let after = self.source().get(place.span.end..).unwrap_or("");
        let crowded = self.out.ends_with(joins) || after.starts_with(joins);
        match (self.math, place.setting) {
            (_, Setting::AltText) => Math::Plain,
            (Math::Latex, _) if crowded || self.loose().is_behind_dollar(place.span.start) => Math::Plain,
            (math, _) => math,
        }
    }

    /// Marks of emphasis beside an item stand beside punctuation, its `~` and its `}`; beside a letter they can
    /// mean something else (CommonMark 0.31.2, 6.2), but for those that have a blank beyond them, and those
    /// that open before the item or close behind it.
    fn edges(&mut self, place: &Place<'_>) -> (Edge, Edge) {
        let source = self.plan.view.document.source;
        let masked = &self.plan.view.document.masked;
        let before = Marks::of(source.get(..place.span.start).unwrap_or("").chars().rev());
        let after = Marks::of(source.get(place.span.end..).unwrap_or("").chars());
        if before.beyond == Beyond::Blank && after.beyond == Beyond::Blank {
            return (Edge::Bare, Edge::Bare);
        }
        let loose = self.loose();
        let opens = loose.opens(masked, place.span, before.count);
        let closes = loose.closes(masked, place.span, after.count);
        let needs = |beyond, usual: bool| beyond == Beyond::Word || beyond == Beyond::Punctuation && !usual;
        (Edge::of(needs(before.beyond, opens)), Edge::of(needs(after.beyond, closes)))
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
            c if c.is_whitespace() || c.is_ascii_digit() || "\u{FEFF}>-+*.)#=_~:".contains(c) => None,
            _ => Some(false),
        });
        told.unwrap_or(true)
    }

    fn pieces(&self, pieces: &[Piece], math: Math, spot: Spot) -> String {
        let spot_of = |n| Spot { line_start: spot.line_start && n == 0, ..spot };
        pieces.iter().enumerate().map(|(n, piece)| written(piece, math, spot_of(n))).collect()
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
        let caption = Some(self.pieces(&graph.caption, self.math, spot)).filter(|caption| !caption.is_empty());
        let caption = heading.into_iter().chain(caption).collect::<Vec<_>>().join(" ");
        let image = format!("![{}]({target})", alternative.trim());
        let beneath = (!caption.is_empty()).then(|| [String::new(), caption]).into_iter().flatten();
        for text in [String::new(), image].into_iter().chain(beneath) {
            self.push(self.newline);
            self.push(&text);
        }
    }

    fn table(&mut self, table: Table<'_>) {
        let title = format!("**{}**", escape(&table.caption, Spot::default()));
        let heading = table.columns.iter().map(|column| escape(&column.heading, CELL));
        let rule = table.columns.iter().map(|column| if column.numeric { "--:" } else { ":--" }.to_owned());
        let mut lines = vec![String::new(), title, String::new(), line(heading), line(rule)];
        for group in table.groups {
            self.group(group, table.columns.len(), &mut lines);
        }
        for text in lines {
            self.push(self.newline);
            self.push(&text);
        }
    }

    fn group(&self, group: Group<'_>, columns: usize, lines: &mut Vec<String>) {
        if !group.title.is_empty() {
            let title = format!("**{}**", self.pieces(&group.title, self.math, CELL));
            lines.push(line([title].into_iter().chain((1..columns).map(|_| String::new()))));
        }
        lines.extend(group.rows.map(|row| self.row(&row)));
    }

    fn row(&self, row: &Row) -> String {
        line(row.cells.iter().map(|cell| self.pieces(cell, self.math, CELL)))
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

/// A destination or a value may hold references, but no blank: where the text has none, an empty element has.
fn apart(text: &str) -> String {
    if text.contains(' ') { text.to_owned() } else { format!("<span ></span>{text}") }
}

fn written(piece: &Piece, math: Math, spot: Spot) -> String {
    match (piece, math) {
        (Piece::Math(tree), Math::Latex) => format!("${}$", latex::write(tree).trim()),
        (Piece::Math(tree), Math::Mathml) => {
            let mut out = String::new();
            mathml::write(tree, &mut out);
            out
        }
        (Piece::Math(tree), Math::Plain | Math::Usual) => escape(&plain::write(tree, plain::Blanks::Fixed), spot),
        (Piece::Text(text), _) => escape(text, spot),
        (Piece::Picture(_), _) => String::new(),
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
