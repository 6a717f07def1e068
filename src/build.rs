//! How the program is linked.

use std::path::Path;
use std::process::Command;
use std::{env, fs, io};

/// On Linux with glibc the program is linked to a fixed address, and with the
/// C library inside, wherever its archive is installed.
///
/// An editor starts the program on every save, and a report of a few pages is
/// read in less time than a program with shared libraries takes to start: its
/// loader opens and maps three of them, looks their symbols up, and puts right
/// 13 000 pointers in constant tables (names of entities, pages of rules,
/// dispatch tables of traits). Of all this nothing is left here, and the check
/// of such a report takes three quarters of the time.
///
/// What a random address of the code would guard against, overwritten pointers,
/// the language rules out: no line of the package is `unsafe`. Stack and heap
/// stay at random addresses. The package asks nothing of the C library that
/// glibc does by loading something else: no names of hosts or users, no locales.
fn main() {
    println!("cargo::rerun-if-changed=src/build.rs");
    println!("cargo::rerun-if-env-changed=RUSTC_LINKER");
    let variable = |name: &str| env::var(name).unwrap_or_default();
    let target = |part: &str| variable(&format!("CARGO_CFG_TARGET_{part}"));
    let fixed =
        target("OS") == "linux" && target("ENV") == "gnu" && ["x86_64", "aarch64"].contains(&target("ARCH").as_str());
    // Whoever asks the compiler for a static program has what follows already.
    if !fixed || target("FEATURE").split(',').any(|feature| feature == "crt-static") {
        return;
    }
    println!("cargo::rustc-link-arg-bins=-no-pie");
    // The archives of this machine are not those of another, nor of a linker that somebody chose.
    if variable("HOST") != variable("TARGET") || env::var_os("RUSTC_LINKER").is_some() {
        return;
    }
    let libraries = Path::new(&variable("OUT_DIR")).join("libraries");
    if let Some(archives) = archives()
        && stand_in(&libraries, &archives).is_ok()
    {
        println!("cargo::rustc-link-arg-bins=-static");
        println!("cargo::rustc-link-arg-bins=-L{}", libraries.display());
    }
}

/// The archives that stand for the libraries of [`ASKED`]; nothing where one of
/// them is not installed.
fn archives() -> Option<Vec<String>> {
    ["c", "m", "rt", "pthread", "util", "dl", "gcc_eh", "gcc"].iter().map(|library| archive(library)).collect()
}

/// Where the C compiler has the archive of a library, if it has it.
fn archive(library: &str) -> Option<String> {
    let asked = Command::new("cc").arg(format!("-print-file-name=lib{library}.a")).output().ok()?;
    let path = String::from_utf8(asked.stdout).ok()?;
    // A name comes back as it went where there is no such file.
    Path::new(path.trim()).is_absolute().then(|| path.trim().to_owned())
}

/// The shared libraries that the standard library asks for.
const ASKED: [&str; 7] = ["c", "m", "rt", "pthread", "gcc_s", "util", "dl"];

/// Fills a folder with linker scripts under the names of the shared libraries:
/// the first names all archives, for they need one another, the others nothing.
///
/// `crt-static` would say the same, but the flag holds for a whole build, where
/// macros that the compiler loads cannot be static.
fn stand_in(folder: &Path, archives: &[String]) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    for library in ASKED {
        let script = if library == ASKED[0] {
            format!("GROUP({})\n", archives.join(" "))
        } else {
            String::from("/* in libc.so */\n")
        };
        fs::write(folder.join(format!("lib{library}.so")), script)?;
    }
    Ok(())
}
