//! What the command line offers: nothing that is not there.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Measurements, their uncertainties and the reasons for them, in a Markdown lab report.
#[derive(Debug, Parser)]
#[command(name = "meniscus", version, propagate_version = false)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Write a report with every item expanded
    Render(Render),
    /// Say what a marker would circle
    Check(Check),
    /// Give every quantity of a report as data
    Values(Values),
    /// Say what a rule wants and why, or what is in force
    Explain(Explain),
}

/// Where reports come from.
#[derive(Args, Debug)]
pub(super) struct Sources {
    /// Reports, folders (every *.md below) or - for standard input, which is also read where nothing is given
    #[arg(value_name = "PATH")]
    pub(super) paths: Vec<PathBuf>,
    /// Treat standard input as this file: its name is shown, and its folder finds the course file
    #[arg(long = "as", value_name = "PATH")]
    pub(super) treated_as: Option<PathBuf>,
}

#[derive(Args, Debug)]
pub(super) struct Render {
    #[command(flatten)]
    pub(super) sources: Sources,
    /// The file to write, or the folder for a folder or several reports; standard output where it is left out
    #[arg(short, long, value_name = "OUT")]
    pub(super) output: Option<PathBuf>,
    /// What to write
    #[arg(long, value_enum, default_value_t = Format::Html)]
    pub(super) to: Format,
    /// HTML without the page about it
    #[arg(long, conflicts_with = "template")]
    pub(super) fragment: bool,
    /// How formulas are written [default: mathml in HTML, plain in Markdown]
    #[arg(long, value_enum)]
    pub(super) math: Option<Math>,
    /// Let nothing of the report act on a page: its HTML is shown as text, links that run or reveal something are dropped
    #[arg(long)]
    pub(super) safe: bool,
    /// A template for the page
    #[arg(long, value_name = "FILE")]
    pub(super) template: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// A complete page, or with --fragment what stands in its body
    Html,
    /// Markdown, its bytes outside items unchanged; graphs go to files beside it, or on standard output into the text
    Markdown,
}

impl Format {
    /// The ending of a file's name.
    pub(super) const fn ending(self) -> &'static str {
        match self {
            Self::Html => "html",
            Self::Markdown => "md",
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Math {
    Mathml,
    Latex,
    Plain,
}

#[derive(Args, Debug)]
pub(super) struct Check {
    #[command(flatten)]
    pub(super) sources: Sources,
    /// How findings are written: text and short go to standard error, json and sarif to standard output
    #[arg(long, value_enum, default_value_t = FindingsFormat::Text)]
    pub(super) format: FindingsFormat,
    /// Say nothing of the findings: the exit status alone says it
    #[arg(short, long)]
    pub(super) quiet: bool,
    /// Make the changes that are certain, in the reports themselves; findings are those that are left. A report from
    /// standard input goes to standard output
    #[arg(long)]
    pub(super) fix: bool,
    /// Show the changes that --fix would make, as a unified diff on standard output, and make none
    #[arg(long)]
    pub(super) diff: bool,
    /// Let warnings count as errors
    #[arg(long)]
    pub(super) strict: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum FindingsFormat {
    /// With the line, the place marked, and help
    Text,
    /// One line each: PATH:LINE:COLUMN: SEVERITY: MESSAGE [RULE]
    Short,
    /// One JSON object for all
    Json,
    /// The Static Analysis Results Interchange Format, version 2.1.0, for build servers and viewers
    Sarif,
}

impl FindingsFormat {
    /// Does it go to standard output?
    pub(super) const fn is_data(self) -> bool {
        matches!(self, Self::Json | Self::Sarif)
    }
}

#[derive(Args, Debug)]
pub(super) struct Values {
    #[command(flatten)]
    pub(super) sources: Sources,
    /// How quantities are written
    #[arg(long, value_enum, default_value_t = ValuesFormat::Json)]
    pub(super) format: ValuesFormat,
    /// Add how strongly the quantities of a report are correlated, each with all others (JSON only)
    #[arg(long)]
    pub(super) correlations: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum ValuesFormat {
    /// One JSON object, sources of uncertainty and all
    Json,
    /// A line for each quantity (RFC 4180)
    Csv,
}

#[derive(Args, Debug)]
pub(super) struct Explain {
    /// A rule's name; all rules are listed where it is left out
    #[arg(value_name = "RULE")]
    pub(super) rule: Option<String>,
    /// Say what is in force for a report or in a folder [default: the current one], and from which file and line each
    /// value comes
    #[arg(long, value_name = "PATH", num_args = 0..=1, default_missing_value = ".", conflicts_with = "rule")]
    pub(super) course: Option<PathBuf>,
    /// How the page, or the list, is written
    #[arg(long, value_enum, default_value_t = PageFormat::Text)]
    pub(super) format: PageFormat,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum PageFormat {
    /// For reading in a terminal
    Text,
    /// One JSON object
    Json,
    /// Markdown: all pages where no rule is named
    Markdown,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        Arguments::command().debug_assert();
    }
}
