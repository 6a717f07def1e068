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
    let mut signs = memrchr3_iter(b'}', b'{', b'"', bytes).peekable();
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
            [b'}', ..] => self.both(|ahead| ahead.stop(Ending { offset: at + 1, how: End::Closed }, Brace::Closer)),
            [b'{', ..] => self.brace(at),
            [b'"', behind @ ..] => {
                let opens =
                    behind.first().is_some_and(|&next| !(next.is_ascii_whitespace() || b";}=[),".contains(&next)));
                self.both(|ahead| ahead.straight(opens));
            }
            // “, ” and „ in UTF-8.
            [0xE2, 0x80, 0x9C, ..] => self.both(Ahead::left),
            [0xE2, 0x80, 0x9D, ..] => self.both(Ahead::right),
            [0xE2, 0x80, 0x9E, ..] => self.both(Ahead::low),
            [b'\n' | b'\r', ..] => self.line_end(at),
            _ => {}
        }
    }

    fn brace(&mut self, brace: usize) {
        let before = brace.checked_sub(1).filter(|&at| at >= self.start && self.bytes.get(at) == Some(&b'~'));
        let Some(at) = before.filter(|&at| !self.escaped(at)) else {
            return self.both(|ahead| ahead.pass(Brace::Plain));
        };
        self.found.push(Opener { at, across: self.across.here, within: self.within.here });
        self.both(|ahead| ahead.stop(Ending { offset: at, how: End::Opener }, Brace::Opener));
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
    straight: Option<Behind>,
    right: Option<Behind>,
    left: Option<Behind>,
}

/// What stands behind a quote's closer, and what between here and there.
#[derive(Clone, Copy)]
struct Behind {
    ending: Ending,
    /// Is it more likely to be closing what is opened between here and there, or to be an opener itself?
    of_another: bool,
    /// How many `}` end nothing that begins from here on.
    ends: usize,
    /// Does an item begin?
    begins: bool,
    /// And not end?
    goes_on: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Brace {
    /// That of a `~{`.
    Opener,
    Plain,
    Closer,
}

impl Behind {
    const fn new(ending: Ending, of_another: bool) -> Self {
        Self { ending, of_another, ends: 0, begins: false, goes_on: false }
    }

    fn pass(&mut self, brace: Brace) {
        match brace {
            Brace::Closer => self.ends += 1,
            Brace::Opener | Brace::Plain => {
                self.begins |= brace == Brace::Opener;
                self.goes_on |= brace == Brace::Opener && self.ends == 0;
                self.ends = self.ends.saturating_sub(1);
            }
        }
    }

    /// How an item ends whose quote this closer ends. Prose may speak of items, `"as ~{d}"`, even of `"~{"`. But where another
    /// item begins in it whose quote the closer seems to be, the quote here is never closed.
    fn closing(closer: Option<Self>) -> Option<Ending> {
        let another = |behind: &Self| behind.goes_on || behind.begins && behind.ends > 0;
        closer.filter(|behind| !(behind.of_another && another(behind))).map(|behind| behind.ending)
    }

    const fn is_of_another(closer: &mut Option<Self>) {
        if let Some(closer) = closer {
            closer.of_another = true;
        }
    }
}

impl From<Ending> for Ahead {
    /// Nothing goes further than `limit`.
    fn from(limit: Ending) -> Self {
        Self { here: limit, bare: limit, straight: None, right: None, left: None }
    }
}

impl Ahead {
    fn stop(&mut self, ending: Ending, brace: Brace) {
        self.here = ending;
        self.bare = ending;
        self.pass(brace);
    }

    fn pass(&mut self, brace: Brace) {
        for closer in [&mut self.straight, &mut self.right, &mut self.left].into_iter().flatten() {
            closer.pass(brace);
        }
    }

    /// `"` closes what a `"` opened. With text right behind it, it looks like an opener.
    fn straight(&mut self, opens: bool) {
        let behind = self.here;
        self.here = Behind::closing(self.straight).unwrap_or(self.bare);
        self.straight = Some(Behind::new(behind, opens));
    }

    /// `“` is closed by `”`; itself it closes what `„` opened.
    fn left(&mut self) {
        let behind = self.here;
        self.here = Behind::closing(self.right).unwrap_or(self.bare);
        Behind::is_of_another(&mut self.right);
        self.left = Some(Behind::new(behind, false));
    }

    fn right(&mut self) {
        self.right = Some(Behind::new(self.here, false));
    }

    /// `„` is closed by `“`.
    fn low(&mut self) {
        self.here = Behind::closing(self.left).unwrap_or(self.bare);
        Behind::is_of_another(&mut self.left);
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
    fn quotes_hold_braces_and_items() {
        same(r#"a ~{d "x } y" = 3} b}"#, r#"~{d "x } y" = 3}"#, End::Closed);
        same(r#"a ~{d "{x} as ~{ y} and ~{z}" = 3} b}"#, r#"~{d "{x} as ~{ y} and ~{z}" = 3}"#, End::Closed);
        same(r#"a ~{d "x } ~{ y" = 3} b}"#, r#"~{d "x } ~{ y" = 3}"#, End::Closed);
        same("~{d “x } ~{ y” = 3} }", "~{d “x } ~{ y” = 3}", End::Closed);
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
    fn a_quote_that_would_be_closed_by_the_next_items_own_is_never_closed() {
        same(r#"~{a = 1; b 2 "x} and ~{c "y" = 3; d 4 "z"}"#, r#"~{a = 1; b 2 "x}"#, End::Closed);
        same(r#"~{a = 1; b 2 x"} and ~{c "y" = 3}"#, r#"~{a = 1; b 2 x"}"#, End::Closed);
        same(r#"~{a = 1; b 2 "x and ~{c "y" = 3}"#, r#"~{a = 1; b 2 "x and "#, End::Opener);
        same(r#"~{a = 1; b 2 "x}, so ~{a} is "it""#, r#"~{a = 1; b 2 "x}"#, End::Closed);
        same("~{a = 1; b 2 “x} and ~{c “y” = 3}", "~{a = 1; b 2 “x}", End::Closed);
        same("~{a = 1; b 2 „x} and ~{c „y“ = 3}", "~{a = 1; b 2 „x}", End::Closed);
        let list = "- ~{a = 1; b 2 \"x}\n- ~{c = 3; b 2 \"y\"}";
        assert_eq!(first(list), [("~{a = 1; b 2 \"x}", End::Closed); 2]);
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
