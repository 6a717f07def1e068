//! The reports that a command was given: files, folders, standard input.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use super::failure::{Attempt, Failure};

/// A report as it was read.
#[derive(Debug)]
pub(super) struct Input {
    /// Its path as given; `-` for standard input without `--as`.
    pub(super) shown: String,
    /// The file it was read from; `None` of standard input.
    pub(super) file: Option<PathBuf>,
    /// The folder whose course holds.
    pub(super) folder: PathBuf,
    /// Where it lies below the folder that was given; its name where it was given itself.
    pub(super) below: PathBuf,
    /// Its text, byte-order mark and all.
    pub(super) source: String,
}

/// What was asked for, before anything is read.
#[derive(Debug)]
pub(super) struct Wanted<'a> {
    /// The arguments.
    pub(super) paths: &'a [PathBuf],
    /// What standard input is to be treated as.
    pub(super) treated_as: Option<&'a Path>,
    /// A folder that is being written, and therefore not walked.
    pub(super) left_out: Option<&'a Path>,
}

impl Wanted<'_> {
    /// Is it exactly one report, and no folder?
    pub(super) fn is_single(&self) -> bool {
        match self.paths {
            [] => true,
            [path] => is_standard_input(path) || !path.is_dir(),
            _ => false,
        }
    }

    /// Reads all of them, or says of all that could not be read why.
    pub(super) fn read(&self) -> Attempt<Vec<Input>> {
        let standard = [PathBuf::from("-")];
        let paths = if self.paths.is_empty() { &standard[..] } else { self.paths };
        if self.treated_as.is_some() && !paths.iter().any(|path| is_standard_input(path)) {
            let help = "give it where the report comes from standard input, or leave it out";
            return Err(vec![Failure::with_help("--as is for standard input, and no report comes from there", help)]);
        }
        let mut inputs = Vec::new();
        let mut failures = Vec::new();
        for source in self.sources(paths, &mut failures) {
            match source.read() {
                Ok(input) => inputs.push(input),
                Err(failure) => failures.push(failure),
            }
        }
        if failures.is_empty() { Ok(inputs) } else { Err(failures) }
    }

    /// Each file once, in the order of the arguments, those of a folder by their names.
    fn sources(&self, paths: &[PathBuf], failures: &mut Vec<Failure>) -> Vec<Source> {
        let mut seen = BTreeSet::new();
        let mut sources = Vec::new();
        for path in paths {
            let found = if is_standard_input(path) {
                vec![Source::Standard(self.treated_as.map(Path::to_owned))]
            } else if path.is_dir() {
                self.walk(path, failures)
            } else {
                let below = path.file_name().map_or_else(|| path.clone(), PathBuf::from);
                vec![Source::File { path: path.clone(), below }]
            };
            sources.extend(found.into_iter().filter(|source| seen.insert(source.path())));
        }
        sources
    }

    fn walk(&self, folder: &Path, failures: &mut Vec<Failure>) -> Vec<Source> {
        let left_out = self.left_out.and_then(|folder| folder.canonicalize().ok());
        let mut walk = ignore::WalkBuilder::new(folder);
        walk.require_git(false).sort_by_file_name(Ord::cmp);
        walk.filter_entry(move |entry| {
            let is_folder = entry.file_type().is_some_and(|kind| kind.is_dir());
            // The folder itself may be written into: its files are then refused one by one.
            !(is_folder && entry.depth() > 0 && left_out.is_some() && entry.path().canonicalize().ok() == left_out)
        });
        let mut found = Vec::new();
        let here = Path::new(".");
        for entry in walk.build() {
            match entry {
                Ok(entry) if is_report(&entry) => {
                    let path = entry.into_path();
                    let below = path.strip_prefix(folder).map_or_else(|_| path.clone(), Path::to_owned);
                    let path = if folder == here { below.clone() } else { path };
                    found.push(Source::File { path, below });
                }
                Ok(_) => {}
                Err(error) => failures.push(Failure::new(format!("cannot read the folder: {error}"))),
            }
        }
        if found.is_empty() {
            let _ = writeln!(io::stderr(), "no reports below {}", folder.display());
        }
        found
    }
}

fn is_standard_input(path: &Path) -> bool {
    path.as_os_str() == "-"
}

fn is_report(entry: &ignore::DirEntry) -> bool {
    let is_file = entry.file_type().is_some_and(|kind| kind.is_file());
    is_file && entry.path().extension().is_some_and(|extension| extension.eq_ignore_ascii_case("md"))
}

enum Source {
    Standard(Option<PathBuf>),
    File { path: PathBuf, below: PathBuf },
}

impl Source {
    fn path(&self) -> PathBuf {
        match self {
            Self::Standard(treated_as) => treated_as.clone().unwrap_or_else(|| PathBuf::from("-")),
            Self::File { path, .. } => path.clone(),
        }
    }

    fn read(self) -> Result<Input, Failure> {
        let shown = self.path().display().to_string();
        let folder = self.path().parent().map_or_else(PathBuf::new, Path::to_owned);
        let (bytes, file, below) = match self {
            Self::Standard(treated_as) => (standard_input()?, None, treated_as.unwrap_or_else(|| PathBuf::from("-"))),
            Self::File { path, below } => {
                let bytes = fs::read(&path).map_err(|error| Failure::of_file(&path, "read", &error))?;
                (bytes, Some(path), below)
            }
        };
        let below = if file.is_none() { below.file_name().map_or(below.clone(), PathBuf::from) } else { below };
        Ok(Input { source: utf8(bytes, &shown)?, shown, file, folder, below })
    }
}

fn standard_input() -> Result<Vec<u8>, Failure> {
    let mut input = io::stdin().lock();
    if input.is_terminal() {
        let _ = writeln!(io::stderr(), "reading a report from standard input; Ctrl-D ends it");
    }
    let mut bytes = Vec::new();
    match input.read_to_end(&mut bytes) {
        Ok(_) => Ok(bytes),
        Err(error) => Err(Failure::new(format!("cannot read standard input: {error}"))),
    }
}

/// The bytes as text, or where they stop being UTF-8.
pub(super) fn utf8(bytes: Vec<u8>, shown: &str) -> Result<String, Failure> {
    String::from_utf8(bytes).map_err(|error| {
        let bytes = error.as_bytes();
        let offset = error.utf8_error().valid_up_to();
        let wrong = bytes.get(offset).copied().unwrap_or_default();
        let (line, column) = place_of(bytes.get(..offset).unwrap_or_default());
        let message = format!(
            "{shown}:{line}:{column}: not UTF-8: the byte 0x{wrong:02X} at offset {offset} (bytes from 0) begins no character"
        );
        let help = match bytes {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => "this looks like UTF-16: save the file as UTF-8",
            _ => "save the file as UTF-8",
        };
        Failure::with_help(message, help)
    })
}

/// Line and column, from 1, of what follows `before`, which is UTF-8.
fn place_of(before: &[u8]) -> (usize, usize) {
    let text = String::from_utf8_lossy(before);
    let position = crate::span::Lines::new(&text).position(text.len());
    (position.line, position.column)
}
