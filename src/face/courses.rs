//! Course files: found in a report's folder and the folders above it, read once each.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use super::failure::{Attempt, Failure};
use crate::course::{Author, Course, CourseFault, LARGEST, merge, of_file};
use crate::report::NOTATION;

/// The name of a course file.
pub(super) const NAME: &str = "meniscus.yaml";

/// What ends the search besides a course file that says `root: true`.
const REPOSITORY: &str = ".git";

/// The courses of the folders that have been asked for.
#[derive(Default)]
pub(super) struct Courses {
    known: BTreeMap<PathBuf, Arc<Course>>,
    files: Vec<PathBuf>,
}

impl Courses {
    /// The course that holds in a folder.
    pub(super) fn of(&mut self, folder: &Path) -> Attempt<Arc<Course>> {
        let folder = whole(folder);
        let mut course = Arc::new(Course::default());
        let mut below: Vec<(&Path, Option<String>)> = Vec::new();
        for here in folder.ancestors() {
            if let Some(known) = self.known.get(here) {
                course = Arc::clone(known);
                break;
            }
            let (text, border) = look(here)?;
            below.push((here, text));
            if border.is_some() {
                break;
            }
        }
        for (here, text) in below.into_iter().rev() {
            if let Some(text) = text {
                let path = here.join(NAME);
                course = Arc::new(joined(&course, &path, &text)?);
                self.files.push(path);
            }
            self.known.insert(here.to_owned(), Arc::clone(&course));
        }
        Ok(course)
    }

    /// The course files that were read.
    pub(super) fn files(&self) -> &[PathBuf] {
        &self.files
    }
}

/// A course file that was found.
pub(super) struct CourseFile {
    /// Where it lies, from the root on.
    pub(super) path: PathBuf,
    /// Its text, byte-order mark and all.
    pub(super) text: String,
}

/// Where the search upwards ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Border {
    /// In a folder whose course file says `root: true`.
    Root(PathBuf),
    /// In a folder with a `.git`.
    Repository(PathBuf),
    /// At the file system's root.
    FileSystem,
}

/// What was found from a folder upwards.
pub(super) struct Search {
    /// The folder, from the root on, links resolved.
    pub(super) folder: PathBuf,
    /// The course files, the nearest first.
    pub(super) files: Vec<CourseFile>,
    /// Where the search ended.
    pub(super) border: Border,
}

/// The course files that hold in a folder.
pub(super) fn search(folder: &Path) -> Attempt<Search> {
    let folder = whole(folder);
    let mut files = Vec::new();
    let mut border = Border::FileSystem;
    for here in folder.ancestors() {
        let (text, end) = look(here)?;
        files.extend(text.map(|text| CourseFile { path: here.join(NAME), text }));
        if let Some(end) = end {
            border = end;
            break;
        }
    }
    Ok(Search { folder, files, border })
}

/// A folder's course file, and whether the search ends here.
fn look(here: &Path) -> Attempt<(Option<String>, Option<Border>)> {
    let text = read(&here.join(NAME))?;
    let border = if text.as_deref().is_some_and(ends_search) {
        Some(Border::Root(here.to_owned()))
    } else if here.join(REPOSITORY).exists() {
        Some(Border::Repository(here.to_owned()))
    } else {
        None
    };
    Ok((text, border))
}

fn read(path: &Path) -> Attempt<Option<String>> {
    let failed = |error: &io::Error| vec![Failure::of_file(Path::new(&shown(path)), "read the course file", error)];
    let known = match fs::metadata(path) {
        Ok(known) => known,
        Err(error) if matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => {
            if fs::symlink_metadata(path).is_err() {
                return Ok(None);
            }
            let message = format!("cannot read the course file {}: it is a link that leads nowhere", shown(path));
            return Err(vec![Failure::new(message)]);
        }
        Err(error) => return Err(failed(&error)),
    };
    if !known.is_file() {
        return Err(vec![Failure::new(format!("cannot read the course file {}: it is no file", shown(path)))]);
    }
    // More than can be used need not be read: what is cut off is refused by its length.
    let most = LARGEST + 8;
    let mut bytes = Vec::new();
    let opened = fs::File::open(path).and_then(|file| file.take(most as u64).read_to_end(&mut bytes));
    opened.map_err(|error| failed(&error))?;
    if bytes.len() == most {
        let help = format!("keep it under {LARGEST} bytes");
        let message = format!("the course file {} is too large: {} bytes", shown(path), known.len());
        return Err(vec![Failure::with_help(message, help)]);
    }
    super::input::utf8(bytes, &shown(path)).map(Some).map_err(|failure| vec![failure])
}

/// The folder from the root on, through links and `..`; where it does not exist (`--as`), by its words.
fn whole(folder: &Path) -> PathBuf {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    if let Ok(real) = folder.canonicalize() {
        return real;
    }
    let mut plain = PathBuf::new();
    for component in std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned()).components() {
        match component {
            Component::ParentDir => {
                plain.pop();
            }
            Component::CurDir => {}
            other => plain.push(other),
        }
    }
    plain
}

/// Does the file say `root: true`? It is read again in full when its turn comes.
fn ends_search(text: &str) -> bool {
    text.contains("root") && of_file(unmarked(text), NOTATION).0.root
}

/// What a file says laid over the course of those above it.
pub(super) fn joined(above: &Course, path: &Path, text: &str) -> Attempt<Course> {
    let mut course = above.clone();
    let yaml = unmarked(text);
    let (layer, mut faults) = of_file(yaml, NOTATION);
    faults.extend(merge(&mut course, layer, Author::Course, NOTATION));
    if faults.is_empty() {
        return Ok(course);
    }
    let mark = text.len() - yaml.len();
    let mut faults: Vec<CourseFault> = faults.into_iter().map(|fault| fault.shifted(mark)).collect();
    faults.sort_by_key(|fault| fault.span);
    Err(vec![Failure::Course { path: shown(path), source: text.to_owned(), faults }])
}

/// Without a byte-order mark.
pub(super) fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// Seen from the working folder where the file lies in it.
pub(super) fn shown(path: &Path) -> String {
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    let near = here.ok().and_then(|here| path.strip_prefix(here).ok().map(Path::to_owned));
    near.as_deref().unwrap_or(path).display().to_string()
}
