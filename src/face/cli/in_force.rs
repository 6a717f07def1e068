//! `explain --course`: what is in force, and from which file and line each value comes.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::json;

use super::Outcome;
use super::args::PageFormat;
use crate::check::{Severity, rules};
use crate::course::{self, Author, Combine, Course, Coverage, Instrument, Said, Word, of_file, of_front_matter};
use crate::face::courses::{self, Border, Search};
use crate::face::failure::{Attempt, Failure, finding, of_stream};
use crate::face::input;
use crate::face::output::in_force::{self as shown, InForce, Place, Section, Source, Value};
use crate::face::output::text::{self, Pen};
use crate::locate;
use crate::quantity::{Kind, Unit, constants};
use crate::report::{self, NOTATION};
use crate::span::Lines;

/// Shows what holds for a report, or in a folder. Faults of the report's own front matter are findings.
pub(super) fn run(path: &Path, format: PageFormat) -> Attempt<Outcome> {
    let asked = Asked::new(path)?;
    let search = courses::search(&asked.folder)?;
    let mut gathered = Gathered::default();
    for file in search.files.iter().rev() {
        gathered.course = courses::joined(&gathered.course, &file.path, &file.text)?;
        gathered.file(&file.path, &file.text);
    }
    if let Some((name, source)) = &asked.report {
        gathered.report(name, source);
    }
    let course = &gathered.course;
    let faults: Vec<_> = course.faults.iter().map(finding).collect();
    let border = border(&search);
    let sections = gathered.sections();
    let in_force = InForce::new(
        path.display().to_string(),
        search.folder.display().to_string(),
        gathered.sources,
        border,
        sections,
    );
    let mut out = anstream::stdout().lock();
    of_stream(match format {
        PageFormat::Text => in_force.text(&mut out),
        PageFormat::Json => in_force.json(out),
        PageFormat::Markdown => in_force.markdown(&mut out),
    })?;
    if let Some((name, source)) = &asked.report {
        let drawn = Pen::new().findings(name, source, &faults, Severity::Advice);
        of_stream(text::put(&mut anstream::stderr().lock(), &drawn))?;
    }
    Ok(Outcome::of(faults.len()))
}

/// A folder, or a report and its folder.
struct Asked {
    folder: PathBuf,
    /// Its path as given, and its text.
    report: Option<(String, String)>,
}

impl Asked {
    fn new(path: &Path) -> Attempt<Self> {
        let known = fs::metadata(path).map_err(|error| vec![Failure::of_file(path, "read", &error)])?;
        let folder = path.parent().map_or_else(PathBuf::new, Path::to_owned);
        if known.is_dir() {
            return Ok(Self { folder: path.to_owned(), report: None });
        }
        if path.file_name().is_some_and(|name| name == courses::NAME) {
            return Ok(Self { folder, report: None });
        }
        let bytes = fs::read(path).map_err(|error| vec![Failure::of_file(path, "read", &error)])?;
        let name = path.display().to_string();
        let source = input::utf8(bytes, &name).map_err(|failure| vec![failure])?;
        Ok(Self { folder, report: Some((name, source)) })
    }
}

fn border(search: &Search) -> shown::Border {
    let (by, folder) = match &search.border {
        Border::Root(folder) => ("root", Some(folder)),
        Border::Repository(folder) => (".git", Some(folder)),
        Border::FileSystem => ("file system", None),
    };
    shown::Border { by, folder: folder.map(|folder| folder.display().to_string()) }
}

/// The kinds that are known everywhere.
const KNOWN_KINDS: [(Kind, &str); 6] = [
    (Kind::Reading, "how finely a scale can be read"),
    (Kind::Definition, "how well the thing measured is itself defined"),
    (Kind::Instrument, "how well the maker made or calibrated the instrument"),
    (Kind::Reaction, "a person's reaction time when timing by hand"),
    (Kind::Repeat, "the scatter of repeated readings"),
    (Kind::Counting, "the square root of a count"),
];

/// Where things are said: a key alone, or a key and one of its entries.
type Places = BTreeMap<(&'static str, Option<String>), Place>;

/// Where a path leads that is a link.
fn link_target(path: &Path) -> Option<String> {
    let link = fs::symlink_metadata(path).is_ok_and(|known| known.file_type().is_symlink());
    link.then(|| path.canonicalize().ok()).flatten().map(|to| to.display().to_string())
}

/// The course while its files are laid over one another, the farthest first.
#[derive(Default)]
struct Gathered {
    course: Course,
    from: Places,
    /// By what is fixed: `digits`, `rules.no-reason`.
    fixed: BTreeMap<String, Place>,
    /// The nearest first.
    sources: Vec<Source>,
}

impl Gathered {
    fn file(&mut self, path: &Path, text: &str) {
        let name = courses::shown(path);
        let yaml = courses::unmarked(text);
        let (layer, _) = of_file(yaml, NOTATION);
        self.note(&name, text, text.len() - yaml.len(), layer.said(), Author::Course);
        let links_to = link_target(path);
        self.sources.insert(0, Source { path: name, role: "a course file", root: layer.root, links_to });
    }

    fn report(&mut self, name: &str, source: &str) {
        let path = Path::new(name);
        let links_to = link_target(path).map(|to| format!("{to}, but the folder of the link counts"));
        let mut role = "a report, without a key `meniscus` in its front matter";
        if let Some(span) = locate::locate(source).front_matter
            && let Some((layer, _)) = of_front_matter(span.of(source), NOTATION)
        {
            self.note(name, source, span.start, layer.said(), Author::Report);
            self.course = course::of_report(&self.course, span.of(source), span.start, NOTATION);
            role = "the report's front matter";
        }
        self.sources.insert(0, Source { path: name.to_owned(), role, root: false, links_to });
    }

    /// Remembers where a file says what it says. What is fixed a report does not decide.
    fn note(&mut self, path: &str, text: &str, offset: usize, said: Vec<Said>, author: Author) {
        let lines = Lines::new(text);
        for Said { key, entry, span } in said {
            let position = span.map(|span| lines.position(span.start + offset));
            let place = Place {
                path: path.to_owned(),
                line: position.map(|position| position.line),
                column: position.map(|position| position.column),
            };
            if key == "fixed" {
                self.fixed.entry(entry.unwrap_or_default()).or_insert(place);
            } else if author == Author::Course || self.fixing(key, entry.as_deref()).is_none() {
                self.from.insert((key, entry), place);
            }
        }
    }

    fn fixing(&self, key: &str, entry: Option<&str>) -> Option<&Place> {
        let one = entry.and_then(|entry| self.fixed.get(&format!("{key}.{entry}")));
        one.or_else(|| self.fixed.get(key))
    }

    fn value(&self, key: &'static str, entry: Option<&str>, value: serde_json::Value, says: Vec<String>) -> Value {
        let from = self.from.get(&(key, entry.map(str::to_owned))).cloned();
        Value { key, entry: entry.map(str::to_owned), value, says, from, fixed: self.fixing(key, entry).cloned() }
    }

    fn entry(&self, key: &'static str, entry: &str, value: serde_json::Value, says: Vec<String>) -> Value {
        self.value(key, Some(entry), value, says)
    }

    fn sections(&self) -> Vec<Section> {
        let section = |heading, none, values| Section { heading, none, values };
        vec![
            section("Choices", "", self.choices()),
            section("Kinds", "", self.kinds()),
            section("Units of the course", "none besides those that are known everywhere", self.units()),
            section("Constants", "none", self.constants()),
            section("Instruments", "none", self.instruments()),
            section("Expected quantities", "none", self.expected()),
            section("Rules", "", self.rules()),
            section("Words", "", self.words()),
        ]
    }

    fn choices(&self) -> Vec<Value> {
        let course = &self.course;
        let choice = |key, word: &str| self.value(key, None, json!(word), vec![word.to_owned()]);
        let list = |key, list: &[String]| {
            let says = if list.is_empty() { "none".to_owned() } else { list.join(", ") };
            self.value(key, None, json!(list), vec![says])
        };
        let coverage = course.coverage.map(coverage_word);
        let no_coverage = "none: standard uncertainties are shown";
        let mut values = vec![
            choice("combine", course.combine.word()),
            choice("digits", course.digits.word()),
            choice("round", course.round.word()),
            choice("repeat", course.repeat.word()),
            choice("fit", course.fit.word()),
            choice("agree", course.agree.word()),
            choice("rationale", course.rationale.word()),
            choice("decimal", course.decimal.word()),
            list("require", &course.require),
            list("correlations", &course.correlations),
        ];
        if course.combine == Combine::Standard || coverage.is_some() {
            let says = coverage.clone().unwrap_or_else(|| no_coverage.to_owned());
            values.insert(6, self.value("coverage", None, json!(coverage), vec![says]));
        }
        values
    }

    fn kinds(&self) -> Vec<Value> {
        let kind = |(word, kind): (&String, &course::CourseKind)| {
            let like = kind.like.as_ref().map(|like| format!("like {like}"));
            let says: Vec<String> = like.into_iter().chain(kind.says.clone()).collect();
            let says = if says.is_empty() { "a kind of its own".to_owned() } else { says.join(": ") };
            self.entry("kinds", word, json!({"like": kind.like, "says": kind.says}), vec![says])
        };
        let known = KNOWN_KINDS.iter().map(|(kind, says)| {
            let value = json!({"like": null, "says": says});
            self.entry("kinds", kind.word(), value, vec![(*says).to_owned()])
        });
        known.chain(self.course.kinds.iter().map(kind)).collect()
    }

    fn units(&self) -> Vec<Value> {
        let units = (NOTATION.units)(&self.course.units);
        let unit = |(symbol, text): (&String, &String)| {
            let found = (NOTATION.unit)(symbol).and_then(|spelling| units.find(&spelling).ok());
            let size = found.map(|unit| {
                let si = Unit::coherent(unit.dimension);
                let exact = si.exactly(crate::quantity::Exact::ONE, &unit).and_then(crate::quantity::Exact::decimal);
                let number = exact.map_or_else(|| unit.factor().to_string(), |decimal| decimal.to_string());
                (unit.factor(), number, si.to_string())
            });
            let says = match &size {
                Some((_, number, si)) if format!("{number} {si}") != *text => format!("{text} = {number} {si}"),
                _ => text.clone(),
            };
            let si = size.map(|(factor, _, si)| json!({"value": factor, "unit": si}));
            self.entry("units", symbol, json!({"typed": text, "si": si}), vec![says])
        };
        self.course.units.iter().map(unit).collect()
    }

    fn constants(&self) -> Vec<Value> {
        let constant = |symbol: &String| {
            let constant = constants::find(symbol)?;
            let unit = if constant.unit == "1" { String::new() } else { format!(" {}", constant.unit) };
            let uncertainty = match constant.standard_uncertainty() {
                None => "exact".to_owned(),
                Some(_) => format!("standard uncertainty {}{unit}", constant.uncertainty),
            };
            let says = vec![
                format!("{}{unit}, {uncertainty}", constant.value),
                format!("{} ({}; independent of the others)", constant.name, constants::SOURCE),
            ];
            let value = json!({
                "name": constant.name, "value": constant.value, "uncertainty": constant.uncertainty,
                "unit": constant.unit, "exact": constant.exact, "source": constants::SOURCE,
            });
            // All of them are said by one list.
            let list = self.value("constants", None, json!(null), Vec::new());
            Some(Value { entry: Some(symbol.clone()), value, says, ..list })
        };
        self.course.constants.iter().filter_map(constant).collect()
    }

    fn instruments(&self) -> Vec<Value> {
        // What the trials need of the course, which each of them copies.
        let Course { combine, kinds, units, .. } = &self.course;
        let mut trial = Course { combine: *combine, kinds: kinds.clone(), units: units.clone(), ..Course::default() };
        let mut instrument = |(word, instrument): (&String, &Instrument)| {
            trial.instruments = std::iter::once((word.clone(), instrument.clone())).collect();
            let gives = Given::all(word, instrument, &trial);
            let mut says = vec![described(word, instrument)];
            let mut given: Vec<(&str, usize)> = Vec::new();
            for one in &gives {
                match given.last_mut().filter(|(says, _)| *says == one.says) {
                    Some((_, count)) => *count += 1,
                    None => given.push((&one.says, 1)),
                }
            }
            let ends = |count| if count > 1 { ", at each end" } else { "" };
            says.extend(given.iter().map(|&(one, count)| format!("gives a reading: {one}{}", ends(count))));
            if gives.is_empty() {
                says.push("gives a reading nothing".to_owned());
            }
            if instrument.systematic {
                says.push("its instrument errors are the same in all readings taken with it".to_owned());
            }
            let gives: Vec<_> = gives.into_iter().map(|given| given.json).collect();
            let value = json!({
                "name": instrument.name, "division": instrument.division, "read_to": instrument.read_to,
                "ends": instrument.ends, "display": instrument.display, "range": instrument.range,
                "systematic": instrument.systematic, "kinds": instrument.kinds, "gives": gives,
            });
            self.entry("instruments", word, value, says)
        };
        self.course.instruments.iter().map(&mut instrument).collect()
    }

    fn expected(&self) -> Vec<Value> {
        let expected = |(symbol, expected): (&String, &course::Expected)| {
            let required = if expected.required { ", required" } else { "" };
            let says = format!("{}{required}", expected.value.as_deref().unwrap_or("any value"));
            let value = json!({"value": expected.value, "required": expected.required});
            self.entry("expected", symbol, value, vec![says])
        };
        self.course.expected.iter().map(expected).collect()
    }

    fn rules(&self) -> Vec<Value> {
        let rule = |rule: &&crate::check::Rule| {
            let level = self.course.rules.get(rule.name).map_or(rule.severity.word(), |level| level.word());
            self.entry("rules", rule.name, json!(level), vec![level.to_owned()])
        };
        rules().iter().map(rule).collect()
    }

    fn words(&self) -> Vec<Value> {
        let word = |(key, text): &(String, &'static str)| {
            let text = self.course.words.get(key).map_or(*text, String::as_str);
            self.entry("words", key, json!(text), vec![text.to_owned()])
        };
        (NOTATION.words)().iter().map(word).collect()
    }
}

fn coverage_word(coverage: Coverage) -> String {
    match coverage {
        // As it was typed, but for the noise of the division by a hundred.
        Coverage::Level(level) => {
            let percent = crate::quantity::Decimal::of_f64(level * 100.0);
            format!(
                "{} %",
                percent.map_or_else(|| (level * 100.0).to_string(), |decimal| decimal.trimmed().to_string())
            )
        }
        Coverage::Factor(factor) => format!("k {factor}"),
    }
}

/// `wooden rule: one division is 1 mm, read to 1/4 of it, at both ends`.
fn described(word: &str, instrument: &Instrument) -> String {
    let name = instrument.name.as_deref().unwrap_or(word);
    let scale = instrument.division.as_ref().map(|division| {
        let share = instrument.read_to.as_ref().map(|share| format!(", read to {share} of it"));
        let ends = if instrument.ends == Some(2) { ", at its zero and at its far end" } else { "" };
        format!("one division is {division}{}{ends}", share.unwrap_or_default())
    });
    let display = instrument.display.as_ref().map(|step| format!("its display goes by {step}"));
    let range = instrument.range.as_ref().map(|range| format!("reads from {range}"));
    let parts: Vec<String> = [scale, display, range].into_iter().flatten().collect();
    if parts.is_empty() { name.to_owned() } else { format!("{name}: {}", parts.join("; ")) }
}

/// A source of uncertainty that an instrument gives a reading.
struct Given {
    says: String,
    json: serde_json::Value,
}

impl Given {
    /// Found by taking two readings with it, of 0 and of 1 of its unit: what grows between them is relative. So it
    /// is what a report gets, whatever the data sheet says and however.
    fn all(word: &str, instrument: &Instrument, course: &Course) -> Vec<Self> {
        let unit = unit_of(instrument);
        let places = step_places(instrument, course);
        let reading = |digit: char| format!("~{{x = {digit}{places} {unit}; with {word}}}");
        let (zero, one) = (reading('0'), reading('1'));
        let (zero, one) = (report::read(&zero, course), report::read(&one, course));
        let sources = |report: &report::Report<'_>| {
            report.sheet.quantities.first().map(|quantity| quantity.sources.clone()).unwrap_or_default()
        };
        let (zero, one) = (sources(&zero), sources(&one));
        zero.iter().zip(&one).map(|(zero, one)| Self::new(zero, one, (instrument, course.combine), &unit)).collect()
    }

    fn new(
        zero: &crate::evaluate::sheet::Source,
        one: &crate::evaluate::sheet::Source,
        (instrument, combine): (&Instrument, Combine),
        unit: &str,
    ) -> Self {
        let kind = zero.word.as_deref().unwrap_or_else(|| zero.kind.word());
        let relative = one.exact.zip(zero.exact).and_then(|(one, zero)| one.minus(zero)).map(|exact| exact.to_f64());
        let relative = relative.unwrap_or(one.amount - zero.amount);
        let number =
            |number: f64| crate::quantity::Decimal::of_f64(number).map(|decimal| decimal.trimmed().to_string());
        let percent = number(relative * 100.0).filter(|_| relative != 0.0).map(|n| format!("{n} % of the reading"));
        let absolute = number(zero.amount).filter(|_| zero.amount != 0.0).map(|n| format!("{n} {unit}"));
        let parts: Vec<String> = percent.into_iter().chain(absolute.map(|text| text.trim_end().to_owned())).collect();
        let size = if parts.is_empty() { "0".to_owned() } else { parts.join(" + ") };
        let typed = typed(&zero.kind, kind, instrument);
        let shape = if combine == Combine::Standard { format!(" ({})", zero.shape.word()) } else { String::new() };
        let says = if typed == size { size } else { format!("{typed} = {size}") };
        let says = format!("{kind} {says}{shape}");
        let json = json!({
            "kind": kind, "like": zero.kind.word(), "typed": typed, "amount": zero.amount, "unit": unit,
            "relative": relative, "shape": zero.shape.word(), "shared": zero.parts.iter().any(|part| part.shared),
        });
        Self { says, json }
    }
}

/// The data sheet's own words for a kind.
fn typed(kind: &Kind, word: &str, instrument: &Instrument) -> String {
    if let Some(typed) = instrument.kinds.get(word) {
        return typed.clone();
    }
    match (kind, &instrument.read_to, &instrument.division) {
        (Kind::Reading, Some(share), Some(division)) => format!("{share} of {division}"),
        _ => "1 digit".to_owned(),
    }
}

/// The unit that a reading taken with an instrument has; empty of one that gives only shares.
fn unit_of(instrument: &Instrument) -> String {
    let low = instrument.range.as_deref().and_then(|range| range.split(" to ").next());
    let texts = [instrument.division.as_deref(), instrument.display.as_deref(), low].into_iter().flatten();
    let texts = texts.chain(instrument.kinds.values().map(String::as_str));
    let spellings = texts.filter_map(NOTATION.amount).flat_map(|amount| amount.units());
    let mut own = spellings.filter(|spelling| !matches!(spelling.alone(), Some("digit" | "digits" | "%")));
    own.next().map(|spelling| spelling.to_string()).unwrap_or_default()
}

/// The decimal places of a digital display, as it shows them: `.00` of 0.01 V.
fn step_places(instrument: &Instrument, course: &Course) -> String {
    let units = (NOTATION.units)(&course.units);
    let step = instrument.display.as_deref().and_then(NOTATION.amount).and_then(|step| step.size(&units).ok());
    let places =
        step.and_then(|(step, _)| step.decimal()).map_or(0, |decimal| decimal.last_place().min(0).unsigned_abs());
    if places == 0 { String::new() } else { format!(".{}", "0".repeat(places.min(30) as usize)) }
}
