//! From what nom gives to faults at their places, and how one broken part leaves the others whole.

use std::cell::{Cell, RefCell};

use nom::IResult;
use nom::error::{ErrorKind, ParseError};

use super::character::{closer, closes_at, is_blank, is_prime, starts};
use super::{Fault, FaultKind};
use crate::span::{Span, Spanned};

/// The most brackets, calls and exponents inside one another. nom has no limit of its own, and 128
/// levels of this grammar need a fraction of the smallest stack that a thread is given.
pub(super) const DEEPEST: usize = 128;

/// The most faults kept of one item. Nobody reads the fifty-first, and an item of a million
/// semicolons has to cost no more than its length.
pub(super) const MOST_FAULTS: usize = 50;

/// The longest piece of an item that a message repeats, in characters.
const LONGEST_FOUND: usize = 24;

/// Why a parser stopped. A place is the length of what was left there: it needs neither a counting
/// input type nor a place that every parser would have to hand on.
#[derive(Debug)]
pub(super) struct Wrong {
    /// How much of the part was left where the fault begins.
    left: usize,
    /// What is wrong there. A form that merely does not begin there says nothing: another is tried, and
    /// that happens at nearly every word, so it has to cost nothing.
    what: Option<Box<What>>,
}

#[derive(Debug)]
struct What {
    /// How many bytes are wrong.
    length: usize,
    kind: FaultKind,
}

/// What every parser of this room gives.
pub(super) type Out<'s, T> = IResult<&'s str, T, Wrong>;

impl ParseError<&str> for Wrong {
    fn from_error_kind(i: &str, _: ErrorKind) -> Self {
        Self { left: i.len(), what: None }
    }

    fn append(_: &str, _: ErrorKind, other: Self) -> Self {
        other
    }
}

/// Something else was wanted at `i`; the decision is taken, so that no other form is tried.
pub(super) fn expected<'s, T>(i: &'s str, wanted: &[&'static str]) -> Out<'s, T> {
    let found = found(i);
    fail(i, &i[found.len()..], FaultKind::Expected { wanted: wanted.to_vec(), found: shortened(found) })
}

/// What stands from `from` to `to` is wrong for good.
pub(super) fn fail<'s, T>(from: &'s str, to: &'s str, kind: FaultKind) -> Out<'s, T> {
    let length = from.len().saturating_sub(to.len());
    Err(nom::Err::Failure(Wrong { left: from.len(), what: Some(Box::new(What { length, kind })) }))
}

/// The form does not begin here; another may be tried.
pub(super) fn absent<'s, T>(i: &'s str) -> Out<'s, T> {
    Err(nom::Err::Error(Wrong::from_error_kind(i, ErrorKind::Alt)))
}

/// The word, the number or the one character that begins `i`; nothing where a blank does.
fn found(i: &str) -> &str {
    if starts(i, is_blank) {
        return "";
    }
    let end = i.find(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.') || is_prime(c)));
    match end.unwrap_or(i.len()) {
        0 => &i[..i.chars().next().map_or(0, char::len_utf8)],
        end => &i[..end],
    }
}

fn shortened(found: &str) -> String {
    match found.char_indices().nth(LONGEST_FOUND) {
        Some((end, _)) => format!("{}…", &found[..end]),
        None => found.to_owned(),
    }
}

/// One part of an item, its head or one clause, while it is read.
#[derive(Debug)]
pub(super) struct Part {
    /// Where the part ends in the report.
    end: usize,
    /// Does it stand in a table, where `\|` in prose is a `|`?
    pub(super) in_table: bool,
    /// Where the item's `}` ends, where it has one: the closer of `x_{max}` is taken for it.
    pub(super) closer: Option<usize>,
    depth: Cell<usize>,
    faults: RefCell<Vec<Fault>>,
}

impl Part {
    pub(super) fn new(end: usize, in_table: bool, closer: Option<usize>) -> Self {
        Self { end, in_table, closer, depth: Cell::new(0), faults: RefCell::default() }
    }

    /// Where the rest `i` begins in the report.
    #[inline]
    pub(super) fn offset(&self, i: &str) -> usize {
        self.end.saturating_sub(i.len())
    }

    /// From where the rest was `from` to where it was `to`.
    #[inline]
    pub(super) fn span(&self, from: &str, to: &str) -> Span {
        Span::new(self.offset(from), self.offset(to))
    }

    /// `value`, read from where the rest was `from` to where it was `to`.
    pub(super) fn at<T>(&self, value: T, from: &str, to: &str) -> Spanned<T> {
        Spanned::new(value, self.span(from, to))
    }

    /// Records what is wrong and can be read past.
    pub(super) fn note(&self, span: Span, kind: FaultKind) {
        let mut faults = self.faults.borrow_mut();
        if faults.len() < MOST_FAULTS {
            faults.push(Fault { span, kind });
        }
    }

    /// How many faults there are; [`Part::forget`] goes back to that.
    pub(super) fn noted(&self) -> usize {
        self.faults.borrow().len()
    }

    /// Another form is tried: what was noted on the way to this one goes.
    pub(super) fn forget(&self, noted: usize) {
        self.faults.borrow_mut().truncate(noted);
    }

    /// Runs a parser one level deeper, or fails at `i` for good.
    pub(super) fn deeper<'s, T>(&self, i: &'s str, parser: impl FnOnce(&'s str) -> Out<'s, T>) -> Out<'s, T> {
        let depth = self.depth.get();
        if depth >= DEEPEST {
            let next = &i[i.chars().next().map_or(0, char::len_utf8)..];
            return fail(i, next, FaultKind::TooDeep { most: DEEPEST });
        }
        self.depth.set(depth + 1);
        let out = parser(i);
        self.depth.set(depth);
        out
    }

    /// How many levels may still be opened.
    pub(super) fn levels_left(&self) -> usize {
        DEEPEST - self.depth.get()
    }

    /// What a parser that has to read the whole part gave, with everything that is wrong with it.
    pub(super) fn finish<T>(self, out: Out<'_, T>) -> (Option<T>, Vec<Fault>) {
        let mut faults = self.faults.into_inner();
        let sound = faults.iter().all(|fault| fault.kind.is_plain());
        let value = match out {
            Ok(("", value)) => sound.then_some(value),
            Ok((rest, _)) => {
                faults.extend(expected::<()>(rest, &["nothing more"]).err().map(|e| fault(self.end, e)));
                None
            }
            Err(error) => {
                faults.push(fault(self.end, error));
                None
            }
        };
        (value, faults)
    }
}

fn fault(end: usize, error: nom::Err<Wrong>) -> Fault {
    match error {
        nom::Err::Error(wrong) | nom::Err::Failure(wrong) => {
            let start = end.saturating_sub(wrong.left);
            let nothing = || What { length: 0, kind: FaultKind::Expected { wanted: Vec::new(), found: String::new() } };
            let what = wrong.what.map_or_else(nothing, |what| *what);
            Fault { span: Span::new(start, start + what.length), kind: what.kind }
        }
        // Only streaming parsers ask for more, and this room has none.
        nom::Err::Incomplete(_) => Fault { span: Span::at(end), kind: FaultKind::Empty },
    }
}

/// The parts of an item, cut at each `;` outside quotes. A quote without its closer is an ordinary
/// character here; whoever reads its part says so.
#[derive(Clone)]
pub(super) struct Parts<'s> {
    inner: &'s str,
    /// Where the next part begins; `None` behind the last.
    from: Option<usize>,
    /// Where no closer of that kind follows one place, none follows a later one: it is not looked for
    /// again, or a text of openers would cost the square of its length.
    exhausted: [Option<char>; 3],
}

pub(super) const fn parts(inner: &str) -> Parts<'_> {
    Parts { inner, from: Some(0), exhausted: [None; 3] }
}

impl Iterator for Parts<'_> {
    type Item = Span;

    fn next(&mut self) -> Option<Span> {
        let from = self.from?;
        let mut at = from;
        while let Some((here, c)) = cut_or_quote(self.inner, at) {
            at = here + c.len_utf8();
            match closer(c) {
                None => {
                    self.from = Some(at);
                    return Some(Span::new(from, here));
                }
                Some(closer) => at = self.behind(closer, at),
            }
        }
        self.from = None;
        Some(Span::new(from, self.inner.len()))
    }
}

impl Parts<'_> {
    /// Where a quote that is open from `at` on is closed; `at`, where it never is.
    fn behind(&mut self, closer: char, at: usize) -> usize {
        if self.exhausted.contains(&Some(closer)) {
            return at;
        }
        match closes_at(closer, &self.inner[at..]) {
            Some(length) => at + length + closer.len_utf8(),
            None => {
                self.exhausted.rotate_right(1);
                self.exhausted[0] = Some(closer);
                at
            }
        }
    }
}

/// The next `;` or opener of a quote from `at` on.
fn cut_or_quote(inner: &str, at: usize) -> Option<(usize, char)> {
    /// The first byte of the typographic openers, and of much else.
    const TYPOGRAPHIC: u8 = 0xE2;
    let mut from = at;
    while let Some(next) = memchr::memchr3(b';', b'"', TYPOGRAPHIC, &inner.as_bytes()[from..]) {
        let here = from + next;
        let c = inner[here..].chars().next()?;
        if matches!(c, ';' | '"' | '“' | '„') {
            return Some((here, c));
        }
        from = here + c.len_utf8();
    }
    None
}
