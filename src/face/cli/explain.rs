//! `explain`: the rules' pages, and what is in force.

use std::io::{self, Write};

use anstyle::Style;

use super::Outcome;
use super::args::{Explain, PageFormat};
use crate::check::page::{self, capitalised};
use crate::check::{GROUPS, Rule, rules};
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::output::pages;
use crate::quantity::nearest;

const BOLD: Style = Style::new().bold();

pub(super) fn run(arguments: &Explain) -> Attempt<Outcome> {
    if let Some(path) = &arguments.course {
        return super::in_force::run(path, arguments.format);
    }
    let mut out = anstream::stdout().lock();
    let rule = arguments.rule.as_deref().map(find).transpose()?;
    let written = match (arguments.format, rule) {
        (PageFormat::Text, None) => list(&mut out),
        (PageFormat::Text, Some(rule)) => terminal_page(&mut out, rule),
        (PageFormat::Markdown, None) => out.write_all(page::book().as_bytes()),
        (PageFormat::Markdown, Some(rule)) => write!(out, "# {}\n\n{}", rule.name, page::markdown(rule)),
        (PageFormat::Json, None) => pages::write(out, rules()),
        (PageFormat::Json, Some(rule)) => pages::write(out, &[rule]),
    };
    of_stream(written)?;
    Ok(Outcome::Clean)
}

fn find(name: &str) -> Attempt<&'static Rule> {
    rules().iter().copied().find(|rule| rule.name == name).ok_or_else(|| {
        let help = match nearest(name, rules().iter().map(|rule| rule.name)) {
            Some(near) => format!("the nearest is `{near}`"),
            None => "`meniscus explain` lists them all".to_owned(),
        };
        vec![Failure::with_help(format!("there is no rule `{name}`"), help)]
    })
}

fn list(out: &mut impl Write) -> io::Result<()> {
    let widest = rules().iter().map(|rule| rule.name.len()).max().unwrap_or(0);
    for (group, says) in GROUPS {
        let mut members = rules().iter().filter(|rule| rule.group == group).peekable();
        if members.peek().is_none() {
            continue;
        }
        writeln!(out, "{BOLD}{}{BOLD:#}: {says}", capitalised(group))?;
        for rule in members {
            writeln!(out, "  {:widest$}  {:7}  {}", rule.name, rule.severity.word(), brief(rule.page.does))?;
        }
        writeln!(out)?;
    }
    writeln!(out, "`meniscus explain RULE` shows a rule's page.")
}

/// What a rule points at, without what only its page has to say.
fn brief(does: &str) -> &str {
    page::brief(does.strip_prefix("Points at ").unwrap_or(does))
}

fn terminal_page(out: &mut impl Write, rule: &Rule) -> io::Result<()> {
    let page = rule.page;
    writeln!(out, "{BOLD}{}{BOLD:#} ({}, {})\n", rule.name, rule.severity.word(), rule.group)?;
    writeln!(out, "{}", wrapped(page.does))?;
    section(out, "Why", page.why)?;
    example(out, "Wrong", page.wrong)?;
    example(out, "Right", page.right)?;
    if let Some(edit) = page.edit {
        section(out, "Edit", edit)?;
    }
    section(out, "Source", page.source)
}

fn section(out: &mut impl Write, heading: &str, text: &str) -> io::Result<()> {
    writeln!(out, "\n{BOLD}{heading}{BOLD:#}\n\n{}", wrapped(text.trim_end()))
}

/// Lines that are read with ease, broken at blanks.
fn wrapped(text: &str) -> String {
    const WIDTH: usize = 80;
    let mut lines = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let letters = word.chars().count();
        if length > 0 {
            let fits = length + 1 + letters <= WIDTH;
            lines.push(if fits { ' ' } else { '\n' });
            length = if fits { length + 1 } else { 0 };
        }
        lines += word;
        length += letters;
    }
    lines
}

/// Reports stand out from the text about them.
fn example(out: &mut impl Write, heading: &str, report: &str) -> io::Result<()> {
    if report.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{BOLD}{heading}{BOLD:#}\n")?;
    for line in report.trim_end().lines() {
        writeln!(out, "{}", format!("    {line}").trim_end())?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_broken_at_blanks_and_nothing_is_lost() {
        let text = "wax ".repeat(50);
        let broken = wrapped(text.trim());
        assert!(broken.lines().all(|line| line.len() <= 80) && broken.lines().count() == 3, "{broken}");
        assert_eq!(broken.replace('\n', " "), text.trim());
        assert_eq!(wrapped(&"w".repeat(100)), "w".repeat(100));
    }

    #[test]
    fn a_list_shows_the_first_clause() {
        assert_eq!(brief("Points at an item that is never closed: a blank line."), "an item that is never closed");
        assert_eq!(brief("Says it."), "Says it");
    }
}
