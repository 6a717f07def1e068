//! Files written whole or not at all: all of a command's outputs stand beside their places under
//! temporary names before the first is given its own.

use std::collections::BTreeMap;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use tempfile::{NamedTempFile, TempPath};

use super::failure::{Attempt, Failure};

/// Outputs of one command, not yet written.
#[derive(Debug, Default)]
pub(super) struct Outputs {
    files: Vec<(PathBuf, String)>,
    /// Are folders that are not there yet made?
    makes_folders: bool,
}

impl Outputs {
    /// Outputs in a folder, which need not be there yet.
    pub(super) fn in_folders() -> Self {
        Self { makes_folders: true, ..Self::default() }
    }

    /// Adds one.
    pub(super) fn add(&mut self, path: PathBuf, text: String) {
        self.files.push((path, text));
    }

    /// Writes all of them. Where one fails, none has been given its name.
    pub(super) fn write(self) -> Attempt<()> {
        let mut ready = Vec::new();
        for (path, text) in self.files {
            let path = through_links(path);
            if let (true, Some(parent)) = (self.makes_folders, path.parent()) {
                fs::create_dir_all(parent)
                    .map_err(|error| vec![Failure::of_file(parent, "make the folder", &error)])?;
            }
            ready.push(Ready::new(path, &text).map_err(|failure| vec![failure])?);
        }
        let failures: Vec<Failure> = ready.into_iter().filter_map(|one| one.name().err()).collect();
        if failures.is_empty() { Ok(()) } else { Err(failures) }
    }
}

/// Gives a file that was read another text, if it still holds what was read; its permissions and links to it stay.
pub(super) fn replace(path: &Path, read: &str, text: &str) -> Result<(), Failure> {
    let place = through_links(path.to_owned());
    let known = fs::metadata(&place).map_err(|error| Failure::of_file(path, "write", &error))?;
    if !known.is_file() {
        let help = "give it on standard input, and its new text goes to standard output";
        return Err(Failure::with_help(format!("{} is no file, and is never written to", path.display()), help));
    }
    let ready = Ready::new(place, text)?;
    // As late as can be: a change in the moment before the new name is given is lost, any earlier one is not.
    let now = fs::read(path).map_err(|error| Failure::of_file(path, "read again", &error))?;
    if now != read.as_bytes() {
        let message = format!("{} has changed since it was read, and is left as it is now", path.display());
        return Err(Failure::with_help(message, "run the command again"));
    }
    ready.name()
}

/// An output that needs only its name.
enum Ready {
    Renamed(TempPath, PathBuf),
    /// A device or a pipe (`/dev/null`) is written to, never replaced.
    Device(PathBuf, String),
}

impl Ready {
    fn new(path: PathBuf, text: &str) -> Result<Self, Failure> {
        let known = fs::metadata(&path).ok();
        if known.as_ref().is_some_and(fs::Metadata::is_dir) {
            return Err(Failure::new(format!("cannot write {}: it is a folder", path.display())));
        }
        if known.as_ref().is_some_and(|known| !known.is_file()) {
            return Ok(Self::Device(path, text.to_owned()));
        }
        if known.as_ref().is_some_and(|known| known.permissions().readonly()) {
            return Err(Failure::new(format!("cannot write {}: it is read-only", path.display())));
        }
        let failed = |error: std::io::Error| Failure::of_file(&path, "write", &error);
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let mut file = beside(folder).map_err(failed)?;
        file.write_all(text.as_bytes()).map_err(failed)?;
        if let Some(known) = known {
            keep_owner(file.as_file(), &known);
            file.as_file().set_permissions(known.permissions()).map_err(failed)?;
        }
        // Only the name is kept: a class has more reports than a process may have open files.
        Ok(Self::Renamed(file.into_temp_path(), path))
    }

    fn name(self) -> Result<(), Failure> {
        match self {
            Self::Renamed(file, path) => {
                file.persist(&path).map_err(|error| Failure::of_file(&path, "write", &error.error))
            }
            Self::Device(path, text) => {
                fs::write(&path, text).map_err(|error| Failure::of_file(&path, "write", &error))
            }
        }
    }
}

/// A temporary file with the permissions of a new one, which by default only its owner could read.
fn beside(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".meniscus-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// A new file belongs to whoever runs the program. Where that is one who may give files away, it stays whose it was.
#[cfg(unix)]
fn keep_owner(file: &fs::File, known: &fs::Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    let new = file.metadata().map(|new| (new.uid(), new.gid())).ok();
    if new != Some((known.uid(), known.gid())) {
        // Others may not, and write the file all the same.
        let _ = fchown(file, Some(known.uid()), Some(known.gid()));
    }
}

#[cfg(not(unix))]
fn keep_owner(_: &fs::File, _: &fs::Metadata) {}

/// The file that a link leads to: the link stays, what it names is replaced.
fn through_links(path: PathBuf) -> PathBuf {
    let is_link = fs::symlink_metadata(&path).is_ok_and(|known| known.file_type().is_symlink());
    if is_link { path.canonicalize().unwrap_or(path) } else { path }
}

/// What tells a file from all others, whatever path leads to it: a hard link has another path and is the same file.
#[cfg(unix)]
type Identity = (u64, u64);
#[cfg(not(unix))]
type Identity = PathBuf;

#[cfg(unix)]
fn identity(path: &Path) -> Option<Identity> {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(path).ok().filter(fs::Metadata::is_file).map(|known| (known.dev(), known.ino()))
}

#[cfg(not(unix))]
fn identity(path: &Path) -> Option<Identity> {
    path.canonicalize().ok()
}

/// Files that a command reads.
#[derive(Debug)]
pub(super) struct ReadFiles<'a> {
    known: BTreeMap<Identity, &'a Path>,
}

impl<'a> ReadFiles<'a> {
    pub(super) fn new(paths: impl IntoIterator<Item = &'a Path>) -> Self {
        Self { known: paths.into_iter().filter_map(|path| Some((identity(path)?, path))).collect() }
    }

    /// The file read that a path leads to.
    pub(super) fn find(&self, path: &Path) -> Option<&'a Path> {
        self.known.get(&identity(path)?).copied()
    }
}
