//! Where items begin, and where each of them would end.
//!
//! What ends an item depends on nothing but the text behind its opener. So one walk from the
//! end of the source to its start knows, at every byte, how an item would end whose text went on there: the
//! cost is linear whatever quotes are left open, and however often.

use memchr::{memmem, memrchr3_iter};

use super::End;
use super::lines::{after_line_end, ends_line, is_blank};

/// A `~{` that no backslash escapes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Opener {
    /// The byte of its `~`.
    pub(super) at: usize,
    /// How its item ends where it may run over lines.
    pub(super) across: Ending,
    /// How its item ends where its line is all it has: in a `#` heading, in a table.
    pub(super) within: Ending,
}

/// How and where an item ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Ending {
    /// One past the `}`; else the byte that ends it.
    pub(super) offset: usize,
    pub(super) how: End,
}

/// The openers of the source from the byte `start` on, in order.
pub(super) fn openers(source: &str, start: usize) -> Vec<Opener> {
    let bytes = source.as_bytes();
    // What stands before all openers ends none of their items.
    let body = bytes.get(start..).unwrap_or_default();
    let Some(first) = memmem::find(body, b"~{").map(|offset| start + offset) else { return Vec::new() };
    let end = bytes.len();
    let mut walk = Walk {
        bytes,
        start,
        across: Ahead::from(Ending { offset: end, how: End::Blank }),
        within: Ahead::from(Ending { offset: end, how: End::Line }),
        found: Vec::new(),
    };
    for offset in steps(bytes.get(first..).unwrap_or_default()) {
        walk.step(first + offset);
    }
    walk.found.reverse();
    walk.found
}

/// The bytes that begin what [`Walk::step`] knows, from the last one to the first.
fn steps(bytes: &[u8]) -> impl Iterator<Item = usize> {
    let mut signs = memrchr3_iter(b'}', b'~', b'"', bytes).peekable();
    let mut others = memrchr3_iter(b'\n', b'\r', 0xE2, bytes).peekable();
    std::iter::from_fn(move || if signs.peek() > others.peek() { signs.next() } else { others.next() })
}

struct Walk<'b> {
    bytes: &'b [u8],
    start: usize,
    across: Ahead,
    within: Ahead,
    found: Vec<Opener>,
}

impl Walk<'_> {
    fn step(&mut self, at: usize) {
        match self.bytes.get(at..).unwrap_or_default() {
            [b'}', ..] => self.stop(Ending { offset: at + 1, how: End::Closed }),
            [b'~', b'{', ..] if !self.escaped(at) => self.opener(at),
            [b'"', ..] => self.both(Ahead::straight),
            // “, ” and „ in UTF-8.
            [0xE2, 0x80, 0x9C, ..] => self.both(Ahead::left),
            [0xE2, 0x80, 0x9D, ..] => self.both(Ahead::right),
            [0xE2, 0x80, 0x9E, ..] => self.both(Ahead::low),
            [b'\n' | b'\r', ..] => self.line_end(at),
            _ => {}
        }
    }

    fn opener(&mut self, at: usize) {
        self.found.push(Opener { at, across: self.across.here, within: self.within.here });
        self.stop(Ending { offset: at, how: End::Opener });
    }

    /// A line ending; of `\r\n` the `\r` stands for both.
    fn line_end(&mut self, at: usize) {
        if at > self.start && self.bytes.get(at - 1..=at) == Some(b"\r\n") {
            return;
        }
        let next = self.bytes.get(after_line_end(self.bytes, at)..).unwrap_or_default();
        if bars(next) {
            self.across = Ahead::from(Ending { offset: at, how: End::Blank });
        }
        self.within = Ahead::from(Ending { offset: at, how: End::Line });
    }

    fn stop(&mut self, ending: Ending) {
        self.both(|ahead| ahead.stop(ending));
    }

    fn both(&mut self, turn: impl Fn(&mut Ahead)) {
        turn(&mut self.across);
        turn(&mut self.within);
    }

    /// Is the byte behind an odd number of backslashes?
    fn escaped(&self, at: usize) -> bool {
        let before = self.bytes.get(self.start..at).unwrap_or_default();
        before.iter().rev().take_while(|&&byte| byte == b'\\').count() % 2 == 1
    }
}

/// How an item would end if its text went on at the byte that the walk stands at.
struct Ahead {
    /// Outside quotes.
    here: Ending,
    /// Behind a quote that is never closed: quotes count for nothing.
    bare: Ending,
    /// Behind the next `"`, the next `”` and the next `“`, where there is one.
    after_straight: Option<Ending>,
    after_right: Option<Ending>,
    after_left: Option<Ending>,
}

impl From<Ending> for Ahead {
    /// Nothing goes further than `limit`.
    fn from(limit: Ending) -> Self {
        Self { here: limit, bare: limit, after_straight: None, after_right: None, after_left: None }
    }
}

impl Ahead {
    fn stop(&mut self, ending: Ending) {
        self.here = ending;
        self.bare = ending;
    }

    /// `"` closes what a `"` opened.
    fn straight(&mut self) {
        let behind = self.here;
        self.here = self.after_straight.unwrap_or(self.bare);
        self.after_straight = Some(behind);
    }

    /// `“` is closed by `”`; itself it closes what `„` opened.
    fn left(&mut self) {
        let behind = self.here;
        self.here = self.after_right.unwrap_or(self.bare);
        self.after_left = Some(behind);
    }

    fn right(&mut self) {
        self.after_right = Some(self.here);
    }

    /// `„` is closed by `“`.
    fn low(&mut self) {
        self.here = self.after_left.unwrap_or(self.bare);
    }
}

/// Does the line that begins here end an item that has not ended before it? A blank line does, of a
/// block quote too. So does a code fence or the row of dashes beneath a table's heading: an
/// item that lacks its `}` is not to turn either into something else.
fn bars(next: &[u8]) -> bool {
    let indent = next.iter().take_while(|&&byte| is_blank(byte) || byte == b'>').count();
    match next.get(indent..).unwrap_or_default() {
        [] | [b'\n' | b'\r', ..] | [b'`', b'`', b'`', ..] | [b'~', b'~', b'~', ..] => true,
        content => delimits(content),
    }
}

/// Is this line a table's delimiter row, with at least one pipe?
fn delimits(line: &[u8]) -> bool {
    let (mut pipe, mut dash) = (false, false);
    for &byte in line.iter().take_while(|&&byte| !ends_line(byte)) {
        match byte {
            b'|' => pipe = true,
            b'-' => dash = true,
            b':' | b' ' | b'\t' => {}
            _ => return false,
        }
    }
    pipe && dash
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the first opener's item holds, over lines and within its own.
    fn first(source: &str) -> [(&str, End); 2] {
        let opener = openers(source, 0)[0];
        [opener.across, opener.within].map(|ending| (&source[opener.at..ending.offset], ending.how))
    }

    fn same(source: &str, text: &str, how: End) {
        assert_eq!(first(source), [(text, how); 2], "{source:?}");
    }

    #[test]
    fn quotes_hold_braces_and_openers() {
        same(r#"a ~{d "x } ~{ y" = 3} b}"#, r#"~{d "x } ~{ y" = 3}"#, End::Closed);
        same("~{d “x } \" y” = 3} }", "~{d “x } \" y” = 3}", End::Closed);
        same("~{d „x } ” y“ = 3} }", "~{d „x } ” y“ = 3}", End::Closed);
        same("~{d „x“ and “}” } }", "~{d „x“ and “}” }", End::Closed);
    }

    #[test]
    fn an_unclosed_quote_counts_for_nothing() {
        same(r#"~{d "x = 3} and on"#, r#"~{d "x = 3}"#, End::Closed);
        same("~{d “x = 3} and ~{e} on", "~{d “x = 3}", End::Closed);
        same("~{d „x = 3 ~{e}", "~{d „x = 3 ", End::Opener);
        same(r#"~{d "x" "y = 3} z"#, r#"~{d "x" "y = 3}"#, End::Closed);
    }

    #[test]
    fn what_ends_an_unclosed_item() {
        same("~{a ~{b}", "~{a ", End::Opener);
        same(r"~{a \~{b}", r"~{a \~{b}", End::Closed);
        assert_eq!(first("~{a\nb} c"), [("~{a\nb}", End::Closed), ("~{a", End::Line)]);
        for barred in ["", " \t", "> ", "```", "~~~", "> | -- |:-", "---|---"] {
            for end in ["\n", "\r\n", "\r"] {
                let source = format!("~{{a{end}{barred}{end}b}}");
                assert_eq!(first(&source), [("~{a", End::Blank), ("~{a", End::Line)], "{source:?}");
            }
        }
        assert_eq!(first("~{a"), [("~{a", End::Blank), ("~{a", End::Line)]);
    }

    #[test]
    fn backslashes_escape_in_odd_numbers() {
        let at = |source: &str| openers(source, 0).iter().map(|opener| opener.at).collect::<Vec<_>>();
        assert_eq!(at(r"~{a} \~{b} \\~{c} \\\~{d} ~~{e}"), [0, 13, 27]);
        assert_eq!(openers(r"\~{a}", 1)[0].at, 1, "what stands before the start does not count");
    }
}
