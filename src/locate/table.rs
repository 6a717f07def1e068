//! Tables while they are read: only those with something to be located in the heading are kept.

use super::Table;
use super::lines::trim_end;
use crate::span::Span;

/// The tables read so far, and the one that is being read.
#[derive(Debug, Default)]
pub(super) struct Tables {
    pub(super) done: Vec<Table>,
    open: Option<Open>,
}

#[derive(Debug)]
struct Open {
    table: Table,
    in_heading: bool,
    kept: bool,
}

impl Tables {
    pub(super) fn begin(&mut self, span: Span) {
        let table = Table { span, heading: Vec::new(), rows: Vec::new() };
        self.open = Some(Open { table, in_heading: false, kept: false });
    }

    pub(super) fn begin_heading(&mut self) {
        if let Some(open) = &mut self.open {
            open.in_heading = true;
        }
    }

    pub(super) fn begin_row(&mut self) {
        if let Some(open) = self.open.as_mut().filter(|open| open.kept) {
            open.table.rows.push(Vec::new());
        }
    }

    pub(super) fn cell(&mut self, span: Span) {
        if let Some(row) = self.open.as_mut().and_then(Open::row) {
            row.push(span);
        }
    }

    /// The heading's cell that is being read, as table and column; its table is then kept.
    pub(super) fn heading_cell(&mut self) -> Option<(usize, usize)> {
        let open = self.open.as_mut().filter(|open| open.in_heading)?;
        open.kept = true;
        Some((self.done.len(), open.table.heading.len().saturating_sub(1)))
    }

    /// Is a table being read?
    pub(super) fn is_open(&self) -> bool {
        self.open.is_some()
    }

    /// Ends the heading or a row. What Markdown adds for missing cells lies behind the line
    /// ending; here it lies before it, in the row, and there is one for every column.
    pub(super) fn end_row(&mut self, markdown: &str, row: Span) {
        let end = trim_end(markdown.as_bytes(), row.start, row.end);
        let Some(open) = &mut self.open else { return };
        let columns = open.table.heading.len();
        if let Some(cells) = open.row() {
            cells.iter_mut().filter(|cell| cell.start > end).for_each(|cell| *cell = Span::at(end));
            cells.resize(cells.len().max(columns), Span::at(end));
        }
        open.in_heading = false;
    }

    pub(super) fn end(&mut self, markdown: &str) {
        let Some(Open { mut table, kept: true, .. }) = self.open.take() else { return };
        table.span.end = trim_end(markdown.as_bytes(), table.span.start, table.span.end);
        self.done.push(table);
    }
}

impl Open {
    fn row(&mut self) -> Option<&mut Vec<Span>> {
        if self.in_heading { Some(&mut self.table.heading) } else { self.table.rows.last_mut() }
    }
}
