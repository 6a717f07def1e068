//! `render`: reports with every item expanded.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::args::{Format, Math, Render};
use super::{Desk, Outcome, Tally};
use crate::check::Severity;
use crate::face::failure::{Attempt, Failure, of_stream};
use crate::face::input::{Input, Wanted, utf8};
use crate::face::output::text::{self, Pen};
use crate::face::write::{Outputs, ReadFiles};
use crate::render::{self, Options, Pictures};
use crate::report::Report;

pub(super) fn run(arguments: &Render) -> Attempt<Outcome> {
    let sources = &arguments.sources;
    let output = arguments.output.as_deref().filter(|output| output.as_os_str() != "-");
    let wanted = Wanted { paths: &sources.paths, treated_as: sources.treated_as.as_deref(), left_out: output };
    let target = Target::of(&wanted, output)?;
    let options = options(arguments)?;
    let desk = Desk::new(&wanted)?;
    let places = target.places(&desk.inputs, arguments.to)?;
    refuse_own_inputs(&places, &desk, arguments.template.as_deref())?;
    let mut tally = Tally::default();
    let mut outputs = target.outputs();
    let (mut printed, mut pictures) = (String::new(), Vec::new());
    let mut told = anstream::stderr().lock();
    let pen = Pen::new();
    let make = |input: &Input, report: Report<'_>| {
        let made = Made::of(&report, input, target.place(input, arguments.to), &options, arguments);
        let drawn = pen.findings(&input.shown, &input.source, &report.findings, Severity::Warning);
        let tally = Tally::of(&report);
        desk.let_go(report);
        (made, drawn, tally)
    };
    desk.each(make, |_, _, (made, drawn, found)| {
        tally.add(found);
        let Made { place, page, pictures: beside } = made?;
        for (place, svg) in beside {
            pictures.push(place.clone());
            outputs.add(place, svg);
        }
        match place {
            Some(place) => outputs.add(place, page),
            None => printed = page,
        }
        of_stream(text::put(&mut told, &drawn))
    })?;
    refuse_own_inputs(&pictures, &desk, arguments.template.as_deref())?;
    outputs.write()?;
    of_stream(io::stdout().lock().write_all(printed.as_bytes()))?;
    Ok(Outcome::of(tally.errors))
}

/// What is written of one report.
struct Made {
    /// Where to; `None` where it is printed.
    place: Option<PathBuf>,
    page: String,
    /// The graphs that go beside it.
    pictures: Vec<(PathBuf, String)>,
}

impl Made {
    fn of(
        report: &Report<'_>,
        input: &Input,
        place: Option<PathBuf>,
        options: &Options,
        arguments: &Render,
    ) -> Attempt<Self> {
        let options = Options {
            title: input.below.file_stem().map(|name| name.to_string_lossy().into_owned()),
            pictures: place.as_deref().map_or(Pictures::Within, |place| arguments.to.pictures(place)),
            ..options.clone()
        };
        let page = page(report, &options, arguments)?;
        let pictures = place.as_deref().map_or_else(Vec::new, |place| {
            let beside = render::pictures(report.view(), &options).into_iter();
            beside.map(|picture| (place.with_file_name(picture.name), picture.svg)).collect()
        });
        Ok(Self { place, page, pictures })
    }
}

fn page(report: &Report<'_>, options: &Options, arguments: &Render) -> Attempt<String> {
    match arguments.to {
        Format::Markdown => Ok(render::markdown(report.view(), options)),
        Format::Html => render::html(report.view(), options).map_err(|error| {
            let file = arguments.template.as_deref().unwrap_or(Path::new("the template"));
            let line = error.line().map(|line| format!(":{line}")).unwrap_or_default();
            vec![Failure::new(format!("{}{line}: {error}", file.display()))]
        }),
    }
}

impl Format {
    /// Where the graphs of what is written to a place go: beside it, in Markdown. Beside a device nothing stands.
    fn pictures(self, place: &Path) -> Pictures {
        let is_device = fs::metadata(place).is_ok_and(|known| !known.is_file());
        match place.file_stem() {
            Some(stem) if self == Self::Markdown && !is_device => Pictures::Beside(stem.to_string_lossy().into_owned()),
            _ => Pictures::Within,
        }
    }
}

fn options(arguments: &Render) -> Attempt<Options> {
    let is_page = arguments.to == Format::Html;
    if !is_page && (arguments.fragment || arguments.template.is_some()) {
        let flag = if arguments.fragment { "--fragment" } else { "--template" };
        return Err(vec![Failure::new(format!("{flag} is for --to html"))]);
    }
    let math = match arguments.math {
        None => render::Math::Usual,
        Some(Math::Mathml) => render::Math::Mathml,
        Some(Math::Latex) => render::Math::Latex,
        Some(Math::Plain) => render::Math::Plain,
    };
    let template = arguments.template.as_deref().map(template).transpose()?;
    Ok(Options { math, fragment: arguments.fragment, template, safe: arguments.safe, ..Options::default() })
}

fn template(path: &Path) -> Attempt<String> {
    let bytes = fs::read(path).map_err(|error| vec![Failure::of_file(path, "read", &error)])?;
    utf8(bytes, &path.display().to_string()).map_err(|failure| vec![failure])
}

/// Where the pages go.
enum Target<'a> {
    Printed,
    File(&'a Path),
    Folder(&'a Path),
}

impl<'a> Target<'a> {
    fn of(wanted: &Wanted<'_>, output: Option<&'a Path>) -> Attempt<Self> {
        match output {
            None if wanted.is_single() => Ok(Self::Printed),
            None => {
                let help = "give the folder to write them to: -o FOLDER";
                Err(vec![Failure::with_help("a folder or several reports cannot all go to standard output", help)])
            }
            Some(path) if path.is_dir() || names_folder(path) => Ok(Self::Folder(path)),
            Some(path) if wanted.is_single() => Ok(Self::File(path)),
            Some(path) if path.exists() => {
                let message = format!("{} is a file, and a folder or several reports go to a folder", path.display());
                Err(vec![Failure::new(message)])
            }
            Some(path) => Ok(Self::Folder(path)),
        }
    }

    fn outputs(&self) -> Outputs {
        match *self {
            Self::Folder(_) => Outputs::in_folders(),
            Self::Printed | Self::File(_) => Outputs::default(),
        }
    }

    /// A place for each input, in their order; none where they are printed.
    fn places(&self, inputs: &[Input], format: Format) -> Attempt<Vec<PathBuf>> {
        let places: Vec<PathBuf> = inputs.iter().filter_map(|input| self.place(input, format)).collect();
        let failures = twice(&places, inputs);
        if failures.is_empty() { Ok(places) } else { Err(failures) }
    }

    /// The place for one; none where it is printed.
    fn place(&self, input: &Input, format: Format) -> Option<PathBuf> {
        match *self {
            Self::Printed => None,
            Self::File(path) => Some(path.to_owned()),
            Self::Folder(folder) => Some(place_in(folder, input, format)),
        }
    }
}

/// `-o site/` means a folder, whether it is there or not.
fn names_folder(path: &Path) -> bool {
    path.as_os_str().to_string_lossy().ends_with(std::path::is_separator)
}

fn place_in(folder: &Path, input: &Input, format: Format) -> PathBuf {
    let name = if input.below.as_os_str() == "-" { Path::new("report") } else { &input.below };
    folder.join(name).with_extension(format.ending())
}

/// Two reports that would be written to one place.
fn twice(places: &[PathBuf], inputs: &[Input]) -> Vec<Failure> {
    let mut first = BTreeMap::new();
    let mut failures = Vec::new();
    for (place, input) in places.iter().zip(inputs) {
        if let Some(other) = first.insert(place, input) {
            let message = format!("{} and {} would both be written to {}", other.shown, input.shown, place.display());
            failures.push(Failure::with_help(message, "render them one by one, each to a place of its own"));
        }
    }
    failures
}

/// An output may never be an input: of this run or, as a course file or a template, of the next.
fn refuse_own_inputs(places: &[PathBuf], desk: &Desk, template: Option<&Path>) -> Attempt<()> {
    let read = desk.inputs.iter().filter_map(|input| input.file.as_deref());
    let known = ReadFiles::new(read.chain(desk.course_files.iter().map(PathBuf::as_path)).chain(template));
    let failures: Vec<Failure> = places
        .iter()
        .filter_map(|place| {
            let input = known.find(place)?;
            let message = format!("{} is read and cannot be written as well", input.display());
            Some(Failure::with_help(message, "choose another place with -o"))
        })
        .collect();
    if failures.is_empty() { Ok(()) } else { Err(failures) }
}
