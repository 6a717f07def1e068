//! `explain`: the rules' pages.

use std::io::{self, Write};

use anstyle::Style;

use super::Outcome;
use super::args::Explain;
use crate::check::{GROUPS, Rule, rules};
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::output::word;
use crate::quantity::nearest;

const BOLD: Style = Style::new().bold();

pub(super) fn run(arguments: &Explain) -> Attempt<Outcome> {
    let mut out = anstream::stdout().lock();
    let written = match &arguments.rule {
        None => list(&mut out),
        Some(name) => page(&mut out, find(name)?),
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
        writeln!(out, "{BOLD}{group}{BOLD:#}: {says}")?;
        for rule in members {
            writeln!(out, "  {:widest$}  {:7}  {}", rule.name, word(rule.severity), first_line(rule.page.does))?;
        }
        writeln!(out)?;
    }
    writeln!(out, "`meniscus explain RULE` shows a rule's page.")
}

fn first_line(text: &str) -> &str {
    text.lines().next().unwrap_or("")
}

fn page(out: &mut impl Write, rule: &Rule) -> io::Result<()> {
    let page = rule.page;
    writeln!(out, "{BOLD}{}{BOLD:#} ({}, {})\n", rule.name, word(rule.severity), rule.group)?;
    writeln!(out, "{}", page.does)?;
    section(out, "Why", page.why)?;
    example(out, "Wrong", page.wrong)?;
    example(out, "Right", page.right)?;
    if let Some(edit) = page.edit {
        section(out, "Edit", edit)?;
    }
    section(out, "Source", page.source)
}

fn section(out: &mut impl Write, heading: &str, text: &str) -> io::Result<()> {
    writeln!(out, "\n{BOLD}{heading}{BOLD:#}\n\n{}", text.trim_end())
}

/// Reports stand out from the text about them.
fn example(out: &mut impl Write, heading: &str, report: &str) -> io::Result<()> {
    writeln!(out, "\n{BOLD}{heading}{BOLD:#}\n")?;
    for line in report.trim_end().lines() {
        writeln!(out, "{}", format!("    {line}").trim_end())?;
    }
    Ok(())
}
