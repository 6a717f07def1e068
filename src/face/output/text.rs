//! Findings drawn with their lines, for people.

use std::io::{self, StderrLock, Write};

use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use anstream::adapter::strip_str;
use anstream::{AutoStream, ColorChoice};
use memchr::memchr;

use crate::check::{Finding, Severity};
use crate::span::{Lines, Span};

/// As many findings of one file are drawn; past them no one reads, and a hopeless file would take its time.
const MOST: usize = 200;

/// Lines of one finding that are drawn.
const MOST_LINES: usize = 6;

/// A longer line is cut out about the place.
const LONGEST_LINE: usize = 140;

/// Characters that a cut-out keeps before the place and after its start.
const BEFORE: usize = 40;
const AFTER: usize = 80;

/// Draws findings for standard error.
pub(in crate::face) struct Pen {
    renderer: Renderer,
}

impl Pen {
    /// Coloured where standard error shows colours: a terminal that has them, and no `NO_COLOR`.
    pub(in crate::face) fn new() -> Self {
        let renderer = match AutoStream::choice(&io::stderr()) {
            ColorChoice::Never => Renderer::plain(),
            _ => Renderer::styled(),
        };
        Self { renderer }
    }

    /// Draws the findings of one file that are at least so severe, in one piece: many small writes would cost more
    /// than all the drawing.
    pub(in crate::face) fn findings(&self, path: &str, source: &str, findings: &[Finding], least: Severity) -> String {
        let mut drawn = String::new();
        let loud: Vec<&Finding> = findings.iter().filter(|finding| finding.severity >= least).collect();
        if loud.is_empty() {
            return drawn;
        }
        let page = Page { path, source, lines: Lines::new(source) };
        for finding in loud.iter().take(MOST) {
            put_without_blank_origins(&mut drawn, &self.renderer.render(&[page.group(finding)]));
            drawn.push('\n');
        }
        if loud.len() > MOST {
            let rest = loud.len() - MOST;
            drawn += &format!("{path}: {rest} more findings are not drawn; `--format json` has them all\n\n");
        }
        drawn
    }

    /// Draws a sentence that belongs to no place.
    pub(in crate::face) fn sentence(&self, message: &str, help: Option<&str>) -> String {
        let error = Group::with_title(Level::ERROR.primary_title(message));
        let help = help.map(|help| Group::with_title(Level::HELP.secondary_title(help)));
        self.renderer.render(&std::iter::once(error).chain(help).collect::<Vec<_>>())
    }
}

/// Writes what has been drawn. A stream that shows no colours reads every byte for what would be some; a drawing without
/// anything of the kind is given to standard error itself.
pub(in crate::face) fn put(out: &mut AutoStream<StderrLock<'static>>, drawn: &str) -> io::Result<()> {
    let steers = |byte: u8| byte.is_ascii_control() && !byte.is_ascii_whitespace();
    // To the end without a stop: that goes many bytes at a time.
    let has_steering = || drawn.bytes().fold(false, |found, byte| found | steers(byte));
    if out.current_choice() == ColorChoice::Never && !has_steering() {
        return io::stderr().write_all(drawn.as_bytes());
    }
    out.write_all(drawn.as_bytes())
}

/// A cut line is drawn beneath a place of its own, and the drawing opens it once more with `:::` and nothing behind: such
/// lines are left out.
fn put_without_blank_origins(out: &mut String, drawn: &str) {
    out.reserve(drawn.len() + 1);
    for line in drawn.lines().filter(|line| !is_blank_origin(line)) {
        out.push_str(line);
        out.push('\n');
    }
}

fn is_blank_origin(line: &str) -> bool {
    const SIGN: &str = ":::";
    if memchr(ESCAPE, line.as_bytes()).is_none() {
        return line.trim() == SIGN;
    }
    line.contains(SIGN) && strip_str(line).to_string().trim() == SIGN
}

const ESCAPE: u8 = 0x1B;

/// What all of it came to.
pub(in crate::face) fn summary(
    out: &mut impl Write,
    reports: usize,
    errors: usize,
    warnings: usize,
    advice: usize,
) -> io::Result<()> {
    let counts = [(errors, "error", "errors"), (warnings, "warning", "warnings"), (advice, "advice", "advice")];
    let parts: Vec<String> = counts
        .iter()
        .filter(|(count, ..)| *count > 0)
        .map(|(count, one, many)| format!("{count} {}", if *count == 1 { one } else { many }))
        .collect();
    let found = if parts.is_empty() { "no findings".to_owned() } else { parts.join(", ") };
    let noun = if reports == 1 { "report" } else { "reports" };
    // In one piece: standard error is not buffered.
    out.write_all(format!("{found} in {reports} {noun}\n").as_bytes())
}

/// A file that findings are about.
struct Page<'s> {
    path: &'s str,
    source: &'s str,
    lines: Lines<'s>,
}

impl<'s> Page<'s> {
    fn group<'f>(&'f self, finding: &'f Finding) -> Group<'f> {
        let title = level(finding.severity).primary_title(finding.message.as_str()).id(finding.rule);
        let excerpt = self.excerpt(finding.span);
        let (near, far): (Vec<_>, Vec<_>) = finding.related.iter().partition(|related| excerpt.holds(related.span));
        let near = near.into_iter().map(|related| {
            AnnotationKind::Context.span(excerpt.within(related.span).range()).label(Some(related.message.as_str()))
        });
        let marks: Vec<_> = std::iter::once(AnnotationKind::Primary.span(excerpt.mark.range())).chain(near).collect();
        let mut group = self.drawn(Group::with_title(title), finding.span, excerpt, marks);
        for related in far {
            let excerpt = self.excerpt(related.span);
            let mark = AnnotationKind::Context.span(excerpt.mark.range()).label(Some(related.message.as_str()));
            group = self.drawn(group, related.span, excerpt, vec![mark]);
        }
        if finding.help.is_empty() { group } else { group.element(Level::HELP.message(finding.help.as_str())) }
    }

    fn drawn<'f>(&'f self, group: Group<'f>, span: Span, excerpt: Excerpt, marks: Vec<Annotation<'f>>) -> Group<'f> {
        let snippet = Snippet::source(excerpt.text).line_start(excerpt.line).annotations(marks);
        if !excerpt.is_cut {
            return group.element(snippet.path(self.path));
        }
        // The column of a cut line is not the one that the drawing would count.
        let place = self.lines.position(span.start);
        group.element(Origin::path(self.path).line(place.line).char_column(place.column)).element(snippet)
    }

    /// The lines that hold the place, cut where they are too many or too long to be read.
    fn excerpt(&self, span: Span) -> Excerpt {
        let start = span.start.min(self.source.len());
        let end = span.end.clamp(start, self.source.len());
        let first = self.lines.number(start);
        let last = self.lines.number(end.saturating_sub(1).max(start)).min(first + MOST_LINES - 1);
        let lines = Span::new(self.lines.line(first).start, self.lines.line(last).end);
        if lines.end - lines.start > LONGEST_LINE * (last - first + 1) {
            return self.cut_out(start, end, first);
        }
        let mark = Span::new(start - lines.start, end.min(lines.end).max(start) - lines.start);
        Excerpt { text: lines.of(self.source).to_owned(), mark, line: first, lines, is_cut: false }
    }

    fn cut_out(&self, start: usize, end: usize, line: usize) -> Excerpt {
        let whole = self.lines.line(line);
        let before = Span::new(whole.start, start).of(self.source);
        let after = Span::new(start, whole.end.max(start)).of(self.source);
        let from = before.char_indices().rev().nth(BEFORE - 1).map_or(0, |(at, _)| at);
        let to = after.char_indices().nth(AFTER).map_or(after.len(), |(at, _)| at);
        let (head, tail) = (if from > 0 { "… " } else { "" }, if to < after.len() { " …" } else { "" });
        let mark = head.len() + before.len() - from;
        let text = format!("{head}{}{}{tail}", &before[from..], &after[..to]);
        Excerpt {
            text,
            mark: Span::new(mark, mark + (end - start).min(to)),
            line,
            lines: Span::at(start),
            is_cut: true,
        }
    }
}

/// Some lines of a source, and the place among them.
struct Excerpt {
    text: String,
    mark: Span,
    line: usize,
    /// Where the text stands in the source, if it is not cut.
    lines: Span,
    is_cut: bool,
}

impl Excerpt {
    fn holds(&self, span: Span) -> bool {
        !self.is_cut && self.lines.start <= span.start && span.end <= self.lines.end
    }

    /// A span that it holds, as a part of its text.
    const fn within(&self, span: Span) -> Span {
        Span::new(span.start - self.lines.start, span.end - self.lines.start)
    }
}

fn level(severity: Severity) -> Level<'static> {
    match severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Advice => Level::NOTE.with_name(Some(severity.word())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::Related;

    fn finding(span: Span) -> Finding {
        Finding {
            rule: "places-differ",
            severity: Severity::Warning,
            message: "value and uncertainty end at different places".to_owned(),
            help: "write `14.30 ± 0.15 cm`".to_owned(),
            span,
            related: Vec::new(),
            edits: Vec::new(),
        }
    }

    fn drawn(source: &str, finding: Finding) -> String {
        let pen = Pen { renderer: Renderer::styled() };
        strip_str(&pen.findings("report.md", source, &[finding], Severity::Advice)).to_string()
    }

    #[test]
    fn a_finding_shows_its_line_its_place_and_its_help() {
        let source = "# Block\n\nIt is µ ~{d = 14.3 ± 0.15 cm} wide.\nMore.\n";
        let start = source.find("14.3").unwrap();
        let expected = "\
warning[places-differ]: value and uncertainty end at different places
 --> report.md:3:15
  |
3 | It is µ ~{d = 14.3 ± 0.15 cm} wide.
  |               ^^^^^^^^^^^^^^
  |
  = help: write `14.30 ± 0.15 cm`

";
        assert_eq!(drawn(source, finding(Span::new(start, start + "14.3 ± 0.15 cm".len()))), expected);
    }

    /// Where the mark lies under characters that take no column or two, counted by hand as a terminal counts them.
    #[test]
    fn a_place_is_marked_under_what_a_terminal_shows() {
        for (line, shown, columns) in [
            ("plain 14.3", "plain 14.3", 6),
            ("蜜蝋の長さ 14.3", "蜜蝋の長さ 14.3", 11),
            ("🧪 x 14.3", "🧪 x 14.3", 5),
            ("e\u{301}e\u{301} 14.3", "e\u{301}e\u{301} 14.3", 3),
            ("אורך 14.3", "אורך 14.3", 5),
            ("ｆ 14.3", "ｆ 14.3", 3),
            ("\u{feff}x 14.3", "\u{feff}x 14.3", 2),
            // A tab is drawn as four blanks, whatever column it stands in.
            ("\ta\t14.3", "    a    14.3", 9),
            // What would steer a terminal, or turn its text about, is shown as a sign.
            ("\u{1b}[31m 14.3", "␛[31m 14.3", 6),
            ("\u{202e} 14.3", "\u{fffd} 14.3", 2),
        ] {
            let start = line.find("14.3").unwrap();
            let drawn = drawn(line, finding(Span::new(start, start + 4)));
            let mark = format!("\n1 | {shown}\n  | {}^^^^\n", " ".repeat(columns));
            assert!(drawn.contains(&mark), "{line:?}:\n{drawn}");
            let column = line[..start].chars().count() + 1;
            assert!(drawn.contains(&format!("--> report.md:1:{column}\n")), "{drawn}");
        }
    }

    #[test]
    fn what_belongs_to_it_is_marked_on_the_same_line_or_shown_apart() {
        let source = "~{a = 1 m}\n\n~{a = 2 m} and ~{a}\n";
        let related = [Span::new(2, 3), Span::new(26, 30)].map(|span| Related { message: "here".to_owned(), span });
        let finding = Finding { related: related.to_vec(), ..finding(Span::new(14, 15)) };
        let drawn = drawn(source, finding);
        assert_eq!(drawn.matches("~{a = 2 m}").count(), 1, "{drawn}");
        assert_eq!(drawn.matches("~{a = 1 m}").count(), 1, "{drawn}");
    }

    #[test]
    fn a_long_line_is_cut_out_about_the_place() {
        let source = format!("a\n{}~{{x}}{}\n", "é".repeat(1_000_000), "z".repeat(1_000_000));
        let start = source.find('~').unwrap();
        let drawn = drawn(&source, finding(Span::new(start, start + 4)));
        assert!(drawn.contains("\n --> report.md:2:1000001\n  |\n2 | … "), "{drawn}");
        assert!(drawn.len() < 2_000 && drawn.contains("~{x}"), "{drawn}");
        let mark = drawn.lines().find(|line| line.contains("^^^^")).unwrap();
        let line = drawn.lines().find(|line| line.contains("~{x}")).unwrap();
        let column = |line: &str, what: &str| line[..line.find(what).unwrap()].chars().count();
        assert_eq!(column(mark, "^^^^"), column(line, "~{x}"), "{drawn}");
    }

    #[test]
    fn places_at_the_ends_and_over_lines_are_drawn() {
        for (source, span) in
            [("", Span::at(0)), ("ab", Span::at(2)), ("a\n", Span::at(2)), ("a\r\nb", Span::new(0, 4))]
        {
            assert!(drawn(source, finding(span)).contains("--> report.md:"), "{source:?}");
        }
        let long = format!("~{{{}", "x\n".repeat(50));
        let drawn = drawn(&long, finding(Span::new(0, long.len())));
        assert!(drawn.lines().count() < 20, "{drawn}");
    }
}
