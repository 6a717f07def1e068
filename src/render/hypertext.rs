//! Pieces, tables and graphs as HTML, written on at the end of one text.

use std::fmt::Write;

use super::anchor::Ours;
use super::markup::push_escaped;
use super::piece::{Column, Group, Piece, Row, Table};
use super::{Math, graph, latex, mathml, picture, plain};

/// What is longer than this is not copied.
const LONG: usize = 1 << 16;

/// HTML that is being written.
#[derive(Debug)]
pub(super) struct Hypertext {
    out: String,
    math: Math,
    /// What tables, notes and graphs are called.
    pub(super) ours: Ours,
    /// Where the formula begins that `out` ends with.
    formula: Option<usize>,
}

impl Hypertext {
    /// Nothing yet; mathematics is going to be written so.
    pub(super) const fn new(math: Math, ours: Ours) -> Self {
        Self { out: String::new(), math, ours, formula: None }
    }

    /// What was written since it was taken last.
    pub(super) fn take(&mut self) -> String {
        self.formula = None;
        if self.out.len() > LONG {
            return std::mem::take(&mut self.out);
        }
        // As long as it is, and the room is kept for what comes next.
        let taken = self.out.as_str().to_owned();
        self.out.clear();
        taken
    }

    fn tags(&mut self, tags: &str) {
        self.formula = None;
        self.out.push_str(tags);
    }

    /// A tag with numbers in it.
    fn tag(&mut self, tag: std::fmt::Arguments<'_>) {
        self.formula = None;
        // Writing to a string never fails.
        let _ = self.out.write_fmt(tag);
    }

    /// Text; marks that close a clause are bound to the formula that they follow.
    fn text(&mut self, text: &str) {
        let rest = match self.formula.take() {
            Some(formula) => bind(&mut self.out, formula, text),
            None => text,
        };
        push_escaped(rest, &mut self.out);
    }

    /// What stands in place of an item, or in a cell.
    pub(super) fn pieces(&mut self, pieces: &[Piece<'_>]) {
        pieces.iter().for_each(|piece| self.piece(piece));
    }

    fn piece(&mut self, piece: &Piece<'_>) {
        match (piece, self.math) {
            (Piece::Text(text), _) => self.text(text),
            (Piece::Picture(picture), _) => self.tags(&picture::html(picture)),
            (Piece::Math(tree), Math::Mathml | Math::Usual) => {
                self.formula = Some(self.out.len());
                mathml::write(tree, &mut self.out);
            }
            // As pulldown-cmark marks the author's own.
            (Piece::Math(tree), Math::Latex) => {
                self.tags("<span class=\"math math-inline\">");
                self.text(latex::write(tree).trim());
                self.tags("</span>");
            }
            (Piece::Math(tree), Math::Plain) => self.text(&plain::write(tree, plain::Blanks::Fixed)),
        }
    }

    /// The picture, its caption, and its data for those who want numbers. `number` is that of the table.
    pub(super) fn graph(&mut self, graph: graph::Shown<'_>, number: usize) {
        self.tags("<figure class=\"graph\">\n");
        self.tags(&graph.svg(graph::Ground::Page { ids: &self.ours.graph }));
        if graph.heading.is_some() || !graph.caption.is_empty() {
            self.tags("<figcaption>");
            if let Some(heading) = &graph.heading {
                self.element("strong", heading);
                self.tags(if graph.caption.is_empty() { "" } else { " " });
            }
            self.pieces(&graph.caption);
            self.tags("</figcaption>\n");
        }
        self.tags("<details>\n");
        self.element("summary", &graph.data.caption);
        self.tags("\n");
        self.table(graph.data, number);
        self.tags("</details>\n</figure>\n");
    }

    fn element(&mut self, name: &str, text: &str) {
        self.tag(format_args!("<{name}>"));
        self.text(text);
        self.tag(format_args!("</{name}>"));
    }

    /// A table that can be moved sideways, with its number.
    pub(super) fn table(&mut self, table: Table<'_>, number: usize) {
        let id = format!("{}{number}", self.ours.rationale);
        self.tag(format_args!(
            "<div class=\"rationale scroll\" role=\"group\" aria-labelledby=\"{id}\" tabindex=\"0\">\n<table>\n\
             <caption id=\"{id}\">"
        ));
        self.text(&table.caption);
        self.tags("</caption>\n<thead>\n<tr>");
        for column in &table.columns {
            self.tags(if column.numeric { "<th scope=\"col\" class=\"number\">" } else { "<th scope=\"col\">" });
            self.text(&column.heading);
            self.tags("</th>");
        }
        self.tags("</tr>\n</thead>\n");
        table.groups.into_iter().for_each(|group| self.group(group, &table.columns));
        self.tags("</table>\n</div>\n");
    }

    fn group(&mut self, group: Group<'_>, columns: &[Column<'_>]) {
        self.tags("<tbody>\n");
        if !group.title.is_empty() {
            let span = columns.len();
            self.tag(format_args!("<tr class=\"quantity\"><th scope=\"rowgroup\" colspan=\"{span}\">"));
            self.pieces(&group.title);
            self.tags("</th></tr>\n");
        }
        group.rows.for_each(|row| self.row(&row, columns));
        self.tags("</tbody>\n");
    }

    fn row(&mut self, row: &Row<'_>, columns: &[Column<'_>]) {
        self.tags(if row.total { "<tr class=\"total\">" } else { "<tr>" });
        for (n, (cell, column)) in row.cells.iter().zip(columns).enumerate() {
            let (begin, end) = match (n, column.numeric) {
                (0, _) => ("<th scope=\"row\">", "</th>"),
                (_, true) => ("<td class=\"number\">", "</td>"),
                (_, false) => ("<td>", "</td>"),
            };
            self.tags(begin);
            self.pieces(cell);
            self.tags(end);
        }
        self.tags("</tr>\n");
    }
}

/// Puts the marks that close a clause behind the formula that they follow, and gives back what is left of the text: a
/// browser may end a line behind `<math>` whatever comes next, and no line begins with a comma. `html` ends with the
/// formula, which begins at `formula`.
pub(super) fn bind<'t>(html: &mut String, formula: usize, text: &'t str) -> &'t str {
    let rest = text.trim_start_matches([',', '.', ';', ':', '!', '?', ')', ']', '"', '”', '’', '“']);
    let (marks, _) = text.split_at(text.len() - rest.len());
    if !marks.is_empty() {
        html.insert_str(formula, "<span class=\"bound\">");
        push_escaped(marks, html);
        html.push_str("</span>");
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Decimal;
    use crate::render::piece::Math as Tree;

    #[test]
    fn closing_marks_stay_with_their_formula() {
        let digit = |digit| Piece::Math(Tree::Digits(Decimal::new(false, digit, 0), crate::course::DecimalSign::Point));
        let [one, two] = ["<math><mn>1</mn></math>", "<math><mn>2</mn></math>"];
        for (pieces, html) in [
            (
                vec![Piece::text("a "), digit(1), Piece::text("), b")],
                format!("a <span class=\"bound\">{one}),</span> b"),
            ),
            (vec![digit(1), digit(2), Piece::text("\"")], format!("{one}<span class=\"bound\">{two}&quot;</span>")),
            (vec![digit(1), Piece::text(" (b)")], format!("{one} (b)")),
            (vec![digit(1), Piece::text(" a"), Piece::text(", b")], format!("{one} a, b")),
        ] {
            let mut out = Hypertext::new(Math::Mathml, crate::render::anchor::Anchors::of("").ours());
            out.pieces(&pieces);
            assert_eq!(out.take(), html);
        }
    }
}
