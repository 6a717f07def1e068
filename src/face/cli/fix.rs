//! `check --fix` and `check --diff`: the changes that are certain, made or shown.

use std::collections::BTreeSet;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use super::args::Check;
use crate::check::fix::{MOST_ROUNDS, Settled, Unsettled, is_certain, settle};
use crate::course::Course;
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::input::Input;
use crate::face::output::diff;
use crate::face::write::{ReadFiles, replace};
use crate::report::{self, Report};

/// What is done about changes that are certain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    /// They are left to the author.
    Left,
    /// They are shown.
    Shown,
    /// They are made.
    Made,
}

/// Puts reports right.
pub(super) struct Mender {
    way: Way,
    quiet: bool,
    course_files: Vec<PathBuf>,
    /// What was written in this run, behind all links: another path may lead there too.
    done: BTreeSet<PathBuf>,
}

impl Mender {
    /// What the arguments ask for; a refusal where two things would go to standard output.
    pub(super) fn new(arguments: &Check, inputs: &[Input], course_files: &[PathBuf]) -> Attempt<Self> {
        let way = match (arguments.diff, arguments.fix) {
            (true, _) => Way::Shown,
            (false, true) => Way::Made,
            (false, false) => Way::Left,
        };
        let is_data = arguments.format.is_data() && !arguments.quiet;
        let help = "take --format text or short, which go to standard error";
        if way == Way::Shown && is_data {
            return Err(vec![Failure::with_help("a diff and such findings cannot both go to standard output", help)]);
        }
        if way == Way::Made && is_data && inputs.iter().any(|input| input.file.is_none()) {
            let message = "a report from standard input and such findings cannot both go to standard output";
            return Err(vec![Failure::with_help(message, help)]);
        }
        Ok(Self { way, quiet: arguments.quiet, course_files: course_files.to_owned(), done: BTreeSet::new() })
    }

    /// Makes or shows the changes of one report. Gives its text where that has been changed: what is to be said of the
    /// report is then to be said of that.
    pub(super) fn mend(
        &mut self,
        input: &Input,
        report: &Report<'_>,
        course: &Course,
        told: &mut impl Write,
    ) -> Attempt<Option<String>> {
        if self.way == Way::Left {
            return Ok(None);
        }
        let settled = self.settled(input, report, course);
        match (self.way, &input.file, settled) {
            (Way::Shown, _, settled) => self.show(input, settled?),
            (_, None, settled) => passed_on(input, settled),
            (_, Some(file), settled) => self.write(file, input, settled?, told),
        }
    }

    fn settled(&self, input: &Input, report: &Report<'_>, course: &Course) -> Attempt<Option<Settled>> {
        if !report.findings.iter().any(is_certain) {
            return Ok(None);
        }
        let own = input.file.as_deref().and_then(|file| self.course_file(file));
        if let Some(file) = own {
            let message = format!("{} is read as a course file, and is left as it is", file.display());
            return Err(vec![Failure::new(message)]);
        }
        settle(&input.source, report.findings.clone(), |text| report::read(text, course).findings)
            .map_err(|unsettled| vec![failure(input, &unsettled)])
    }

    fn course_file<'a>(&self, file: &'a Path) -> Option<&'a Path> {
        let known = ReadFiles::new(self.course_files.iter().map(PathBuf::as_path));
        known.find(file).map(|_| file)
    }

    fn show(&mut self, input: &Input, settled: Option<Settled>) -> Attempt<Option<String>> {
        let Some(Settled { text, changes, .. }) = settled else { return Ok(None) };
        if input.file.as_deref().is_some_and(|file| !self.done.insert(behind_links(file))) {
            return Ok(None);
        }
        let coloured = anstream::AutoStream::choice(&io::stdout()) != anstream::ColorChoice::Never;
        let drawn = |old: &str, new: &str| diff::unified(&input.shown, old, new, &changes, coloured);
        of_stream(if coloured || io::stdout().is_terminal() {
            anstream::stdout().lock().write_all(drawn(&tame(&input.source), &tame(&text)).as_bytes())
        } else {
            // The bytes as they are: a stream that takes colours out would take out more than colours.
            io::stdout().lock().write_all(drawn(&input.source, &text).as_bytes())
        })?;
        // Nothing was changed: what is to be said is still to be said of the report as it is.
        Ok(None)
    }

    fn write(
        &mut self,
        file: &Path,
        input: &Input,
        settled: Option<Settled>,
        told: &mut impl Write,
    ) -> Attempt<Option<String>> {
        let Some(Settled { text, made, .. }) = settled else { return Ok(None) };
        let behind = behind_links(file);
        if !self.done.contains(&behind) {
            replace(file, &input.source, &text).map_err(|failure| vec![failure])?;
            self.done.insert(behind);
            if !self.quiet {
                let noun = if made == 1 { "change" } else { "changes" };
                of_stream(writeln!(told, "{}: {made} {noun} made", input.shown))?;
            }
        }
        Ok(Some(text))
    }
}

/// A report from standard input goes on to standard output in any case: an editor puts what comes in place of what
/// it gave.
fn passed_on(input: &Input, settled: Attempt<Option<Settled>>) -> Attempt<Option<String>> {
    let (text, result) = match settled {
        Ok(settled) => (settled.map(|settled| settled.text), Ok(())),
        Err(failures) => (None, Err(failures)),
    };
    let whole = text.as_deref().unwrap_or(&input.source);
    of_stream(io::stdout().lock().write_all(whole.as_bytes()))?;
    result.map(|()| text)
}

fn failure(input: &Input, unsettled: &Unsettled) -> Failure {
    let rules = unsettled.rules.iter().map(|rule| format!("`{rule}`")).collect::<Vec<_>>().join(", ");
    let message = format!(
        "{}: after {MOST_ROUNDS} rounds of changes {rules} still asks for more, so the report is left as it is",
        input.shown
    );
    Failure::with_help(message, "make the changes by hand; this is a fault of the program")
}

/// Without what would steer a terminal, byte for byte.
fn tame(text: &str) -> String {
    let steers = |c: &char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    text.chars().map(|c| if steers(&c) { "?".repeat(c.len_utf8()) } else { c.to_string() }).collect()
}

fn behind_links(file: &Path) -> PathBuf {
    file.canonicalize().unwrap_or_else(|_| file.to_owned())
}
