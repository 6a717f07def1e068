//! Course files: found in a report's folder and the folders above it, read once each.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::rc::Rc;

use super::failure::{Attempt, Failure};
use crate::course::{Author, Course, CourseFault, merge, of_file};
use crate::report::NOTATION;

/// The name of a course file.
const NAME: &str = "meniscus.yaml";

/// What ends the search besides a course file that says `root: true`.
const REPOSITORY: &str = ".git";

/// The courses of the folders that have been asked for.
#[derive(Default)]
pub(super) struct Courses {
    known: BTreeMap<PathBuf, Rc<Course>>,
    files: Vec<PathBuf>,
}

impl Courses {
    /// The course that holds in a folder.
    pub(super) fn of(&mut self, folder: &Path) -> Attempt<Rc<Course>> {
        let folder = whole(folder);
        let mut course = Rc::new(Course::default());
        let mut below: Vec<(&Path, Option<String>)> = Vec::new();
        for here in folder.ancestors() {
            if let Some(known) = self.known.get(here) {
                course = Rc::clone(known);
                break;
            }
            let text = self.read(&here.join(NAME))?;
            let last = text.as_deref().is_some_and(ends_search) || here.join(REPOSITORY).exists();
            below.push((here, text));
            if last {
                break;
            }
        }
        for (here, text) in below.into_iter().rev() {
            if let Some(text) = text {
                course = Rc::new(joined(&course, &here.join(NAME), text)?);
            }
            self.known.insert(here.to_owned(), Rc::clone(&course));
        }
        Ok(course)
    }

    /// The course files that were read.
    pub(super) fn files(&self) -> &[PathBuf] {
        &self.files
    }

    fn read(&mut self, path: &Path) -> Attempt<Option<String>> {
        let bytes = match fs::read(path) {
            Ok(bytes) => bytes,
            Err(error) if matches!(error.kind(), io::ErrorKind::NotFound | io::ErrorKind::NotADirectory) => {
                return Ok(None);
            }
            Err(error) => return Err(vec![Failure::of_file(path, "read the course file", &error)]),
        };
        self.files.push(path.to_owned());
        super::input::utf8(bytes, &path.display().to_string()).map(Some).map_err(|failure| vec![failure])
    }
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

fn joined(above: &Course, path: &Path, text: String) -> Attempt<Course> {
    let mut course = above.clone();
    let yaml = unmarked(&text);
    let (layer, mut faults) = of_file(yaml, NOTATION);
    faults.extend(merge(&mut course, layer, Author::Course, NOTATION));
    if faults.is_empty() {
        return Ok(course);
    }
    let mark = text.len() - yaml.len();
    let mut faults: Vec<CourseFault> = faults.into_iter().map(|fault| fault.shifted(mark)).collect();
    faults.sort_by_key(|fault| fault.span);
    Err(vec![Failure::Course { path: shown(path), source: text, faults }])
}

/// Without a byte-order mark.
fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// Seen from the working folder where the file lies in it.
fn shown(path: &Path) -> String {
    let here = std::env::current_dir().and_then(|here| here.canonicalize());
    let near = here.ok().and_then(|here| path.strip_prefix(here).ok().map(Path::to_owned));
    near.as_deref().unwrap_or(path).display().to_string()
}
