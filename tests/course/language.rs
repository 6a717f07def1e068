//! A course in another language: is every word that is written into a report behind a key, and is the sample in a second
//! language complete?

use std::collections::BTreeSet;

use meniscus::check::Severity;
use meniscus::course::Course;
use meniscus::quantity::constants::CONSTANTS;
use meniscus::render::{self, Math, Options, words};
use meniscus::report::{self, NOTATION};
use regex::Regex;

use crate::course;
use crate::support::page;

/// Reports that make the program write all it can write. Their authors write in Cyrillic: a Latin word that is left in
/// the output is the program's.
fn reports() -> Vec<String> {
    let many = |n: usize, text: &dyn Fn(usize) -> String| (0..n).map(text).collect::<Vec<_>>();
    let letter = |n: usize| char::from_u32(u32::from('а') + u32::try_from(n).unwrap()).unwrap();
    let sources = many(14, &|n| format!("~{{{l} = 1.0 m; ± 0.1 m \"так\"}}", l = letter(n)));
    let sum = many(14, &|n| letter(n).to_string()).join(" + ");
    let long = vec!["L"; 120].join(" + ");
    let values = many(30, &|n| format!("1.{:02}", 10 + n)).join(", ");
    let rows = many(600, &|n| format!("| {}.{} |", n % 7, n % 10)).join("\n");
    let instruments = "---\nmeniscus:\n  instruments:\n    ж: {name: жук, display: 0.01 V, range: 0 V to 20 V, instrument: 0.5 % of range + 2 digits + 1 digit}\n    н: {name: но, division: 1 mm, read_to: 1/4, ends: 2}\n  constants: [G, h]\n---\n";
    let points = "| ~{x [m]; ± 0.1 m \"так\"} | ~{y \"имя\" [m]; ± 0.1 m \"так\"} |\n|--|--|\n| 0.0 | 0.1 |\n| 1.0 | 1.1 |\n| 2.0 | 1.9 |\n| 3.0 | 3.1 |\n\n";
    let fitted =
        |fit| format!("---\nmeniscus: {{fit: {fit}}}\n---\n\n{points}~{{graph y against x; line; residuals}}\n");
    let crowd = "| 1.0 | 1.0 |\n".repeat(1200);
    vec![
        format!("{points}~{{graph y against x; line through 0; extreme}} ~{{graph y against x; log x}}\n"),
        format!("| ~{{x [m]; ± 0.1 m \"так\"}} | ~{{y [m]; ± 0.1 m \"так\"}} |\n|--|--|\n{crowd}\n~{{graph y against x}}\n"),
        "| ~{x [m]; exact \"так\"} | ~{y [m]; exact \"так\"} |\n|--|--|\n| 1.0 | 2.0 |\n| 2.0 | 4.0 |\n| 3.0 | 6.0 |\n\n\
         ~{graph y against x; line; extreme}\n"
            .to_owned(),
        "---\nmeniscus: {agree: two-sigma}\n---\n\n~{L = 1.0 m; ± 0.1 m \"так\"} ~{l = 1.25 m; ± 0.10 m \"так\"} ~{L against l}\n".to_owned(),
        fitted("weighted"),
        fitted("both-errors"),
        fitted("extreme-lines"),
        format!(
            "{instruments}~{{L = 12.5 mm; with н; definition 1/2 of 2 mm \"край\"; reaction 0 \"нет\"; instrument 0.1 mm \"лист\"}},\n\
             ~{{U = 3.00 V; with ж}}, ~{{n = 100; counting}}, ~{{g = 3 m; exact \"дано\"}}, ~{{q = 3.0 m}}, ~{{o = 0.0 m; ± 0.1 m \"так\"}}, ~{{o as relative}},\n\
             ~{{w = 3.0 ± 0.1 m; reading 0.1 m normal \"так\"; definition 0 \"так\"}}.\n\n\
             ~{{t = 1.32, 1.28, 1.35, 1.90 s; reading 0.01 s \"так\"; without 1.90 \"сбой\"}} ~{{v = {values} s; reading 0.01 s \"так\"}}\n\n\
             ~{{a = L - L}} ~{{b = 2 * L; stated 25.0 mm}} ~{{c = {long}}} ~{{d = L / 5[mm] + G * h / 1[J*s*N*m^2/kg^2]}}\n\n\
             ~{{b as interval}} ~{{a as relative}} ~{{g as uncertainty}} ~{{b as working}} ~{{c as working}} ~{{G as name}}\n\n\
             ~{{L against 12.6 ± 0.5 mm}} ~{{L against 99 ± 1 mm}} ~{{L against L}}\n\n~{{budget of b}}\n\n~{{summary}}\n"
        ),
        format!("{}\n\n~{{S = {sum}}}\n", sources.join(" ")),
        format!("| ~{{x [m]; ± 0.1 m \"так\"}} |\n|--|\n{rows}\n\n~{{s = sum(x)}} ~{{r = s * s}}\n"),
        "| ~{x [m]; reading 0.1 m \"так\"; repeat} | ~{y [m]} | ~{z [m]} |\n|--|--|--|\n| 1.0 | 2.1 ± 0.1 | 1.0 |\n| 2.0 | 3.9 ± 0.1 | 2.0 |\n| 3.0 | 6.2 ± 0.1 | 3.0 |\n\n\
         ~{k = slope(y against x)} ~{i = intercept(y against x)} ~{m = mean(x)} ~{f = sum(x) + sd(x) + sem(x) + first(x) + last(x) + row(x, 2)}\n\
         ~{c = count(x) * 1[m]} ~{u = 1.0 m; ± 0.1 m \"так\"} ~{v = 2.0 m; ± 0.1 m \"так\"} ~{e = mean(u, v)}\n\n\
         ~{k as working} ~{i as working} ~{f as working} ~{c as working} ~{m as working} ~{e as working}\n"
            .to_owned(),
        "~{x = 3.0 m; reading 0.1 m triangular \"так\"; definition 0.1 m arcsine \"так\"; instrument 0.1 m trapezoidal 0.5 \"так\"; reaction 0.1 m k 2 \"так\"}\n\
         ~{y = 3.0 m; reading 0.1 m level 95 % \"так\"; definition 0.1 m \"так\"; instrument 0.1 m normal \"так\"} ~{z = x + y}\n"
            .to_owned(),
        format!("---\nmeniscus:\n  instruments:\n    ж: {{name: жук, display: 0.01 V, instrument: 0.5 % + 2 digits, systematic: true}}\n---\n\
                 ~{{U = 3.00 V; with ж}}, ~{{J = 2.00 V; with ж}}, ~{{q = 2 * U - J}}.\n\n~{{budget of q}}\n\n{}\n", line("")),
        expanded("95 %"),
        expanded("k 2"),
        line("weighted"),
        line("both-errors"),
        line("extreme-lines"),
        "| ~{x [m]; ± 0.1 m \"так\"} | ~{y [m]; ± 0.1 m \"так\"} |\n|--|--|\n| 1.0 | 2.1 |\n| 2.0 | 3.9 |\n\n~{k = slope(y against x)}\n\n\
         ~{u = 1.0 m; ± 0.1 m \"так\"} ~{v = 2.0 m; ± 0.1 m \"так\"} ~{w = wmean(u, v)} ~{w as working} ~{s = 1.0, 1.0 m; reading 0.1 m \"так\"}\n\n~{summary}\n"
            .to_owned(),
    ]
}

/// Readings that are tied, means that are, and results with expanded uncertainties, row by row too.
fn expanded(coverage: &str) -> String {
    format!(
        "---\nmeniscus:\n  combine: standard\n  coverage: {coverage}\n  correlations: [correlated а б 0.8 \"так\"]\n---\n\n\
         ~{{а = 1.0 m; ± 0.1 m dof 5 \"так\"; reading 0.1 m \"так\"}} ~{{б = 2.0 m; ± 0.1 m \"так\"}} ~{{в = а + б}}\n\n\
         | ~{{x [m]; repeat}} | ~{{y [m]; repeat}} | ~{{z [m] = 2 * x}} |\n|--|--|--|\n| 1.0 | 2.0 | |\n| 1.1 | 2.3 | |\n| 1.3 | 2.2 | |\n\n\
         ~{{г = mean(x) + mean(y)}}\n"
    )
}

/// A line and one through the origin, by the given method.
fn line(fit: &str) -> String {
    let head = if fit.is_empty() { String::new() } else { format!("---\nmeniscus: {{fit: {fit}}}\n---\n") };
    let bars = "; ± 0.3 m \"так\"";
    format!(
        "{head}| ~{{x [m]{bars}}} | ~{{y [m]{bars}}} |\n|--|--|\n| 1.0 | 2.1 |\n| 2.0 | 3.9 |\n| 3.0 | 6.2 |\n| 4.0 | 8.0 |\n\n\
         ~{{k = slope(y against x)}} ~{{p = slope(y against x through 0)}} ~{{p as working}}\n"
    )
}

/// Every word replaced by a mark that no author writes, its parts kept.
fn marked(combine: &str, repeat: &str) -> Course {
    let mut course = course(&[&format!("combine: {combine}\nrepeat: {repeat}\n")]);
    for (n, (key, text)) in (NOTATION.words)().into_iter().enumerate() {
        let parts: Vec<&str> = text.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect();
        let parts: String = parts.iter().map(|part| format!(" {{{part}}}")).collect();
        course.words.insert(key, format!("{}{parts}", mark(n)));
    }
    course.words.insert("language".to_owned(), "ru".to_owned());
    course
}

/// The number, with a letter about it that keeps 1 and 12 apart.
fn mark(n: usize) -> String {
    format!("Ж{n}Щ")
}

/// All that a reader of the output sees, every way of writing it.
fn shown(course: &Course) -> Vec<String> {
    let mut all = Vec::new();
    for text in reports() {
        let report = report::read(&text, course);
        // What is not settled stands there as its source, in which the notation's own words are.
        let broken: Vec<_> = report.findings.iter().filter(|finding| finding.severity == Severity::Error).collect();
        assert!(broken.is_empty(), "{text}: {broken:?}");
        for math in [Math::Plain, Math::Latex, Math::Mathml] {
            let options = Options { math, ..Options::default() };
            all.push(without_tags(&render::markdown(report.view(), &options)));
            all.push(without_tags(&render::html(report.view(), &options).unwrap()));
        }
    }
    all
}

/// The texts between tags, and those attributes that are read aloud.
fn without_tags(html: &str) -> String {
    let html = Regex::new(r"(?s)<style.*?</style>").unwrap().replace_all(html, "");
    let spoken = Regex::new(r#"(?:aria-label|alt|title|lang)="([^"]*)""#).unwrap();
    let spoken: String = spoken.captures_iter(&html).map(|found| format!(" {} ", &found[1])).collect();
    let text = Regex::new(r"(?s)<[a-zA-Z/!][^>]*>").unwrap().replace_all(&html, " ").into_owned();
    // Of an item that is not settled its findings are told, which stay English.
    format!("{text} {spoken}")
}

/// Latin words that are no program's: units, functions of mathematics, LaTeX.
const NO_WORDS: &[&str] =
    &["mathrm", "text", "pm", "times", "cdot", "left", "right", "sqrt", "frac", "alpha", "operatorname", "quad"];

#[test]
fn no_word_of_a_report_is_without_its_key() {
    let word = Regex::new(r"[A-Za-z]{3,}").unwrap();
    let entity = Regex::new(r"&[a-z]+;|&#[0-9]+;|\\[a-zA-Z]+|!\[|\]\([^)]*\)").unwrap();
    for (combine, repeat) in
        [("sum", "standard-error"), ("quadrature", "half-range"), ("standard", "standard-deviation")]
    {
        for text in shown(&marked(combine, repeat)) {
            let body = text.split_once("\n---\n").map_or(text.as_str(), |(_, body)| body);
            let body = entity.replace_all(body, " ");
            let left: BTreeSet<&str> = word.find_iter(&body).map(|found| found.as_str()).collect();
            let left: Vec<&&str> = left.iter().filter(|word| !NO_WORDS.contains(word)).collect();
            assert!(left.is_empty(), "not behind a key of `words` ({combine}): {left:?}\n{body}");
        }
    }
}

/// A key that nothing writes is not tested here: whoever adds one adds a report above that shows it.
#[test]
fn every_key_of_the_words_is_written_by_some_report() {
    let mut written = String::new();
    for (combine, repeat) in
        [("sum", "standard-error"), ("quadrature", "half-range"), ("standard", "standard-deviation")]
    {
        written.extend(shown(&marked(combine, repeat)));
    }
    let keys = (NOTATION.words)().into_iter().map(|(key, _)| key).enumerate();
    let lacking: Vec<String> = keys
        .filter(|(n, key)| !(written.contains(&mark(*n)) || key.starts_with("constant-") || key == "language"))
        .map(|(_, key)| key)
        .collect();
    assert!(lacking.is_empty(), "words that no report of this test shows: {lacking:?}");
}

/// The sample in German: no word is lacking, none is the English one but for those that are the same in German.
#[test]
fn the_course_in_a_second_language_lacks_no_word() {
    let course = course(&[&page("samples/klasse/meniscus.yaml")]);
    let lacking: Vec<String> =
        (NOTATION.words)().into_iter().map(|(key, _)| key).filter(|key| !course.words.contains_key(key)).collect();
    assert!(lacking.is_empty(), "samples/klasse/meniscus.yaml lacks {lacking:?}");
    const SAME: [&str; 2] = ["name", "expanded"];
    let same: Vec<&str> = words::ALL
        .iter()
        .filter(|word| course.words[word.key] == word.text && !word.text.starts_with('{') && !SAME.contains(&word.key))
        .map(|word| word.key)
        .collect();
    assert!(same.is_empty(), "still in English: {same:?}");
    for (key, text) in (NOTATION.words)() {
        let parts = |text: &str| -> BTreeSet<String> {
            text.split('{').skip(1).filter_map(|rest| Some(rest.split_once('}')?.0.to_owned())).collect()
        };
        assert_eq!(parts(&course.words[&key]), parts(text), "{key} lacks a part");
    }
    assert_eq!(course.words.len(), words::ALL.len() + CONSTANTS.len());
}

/// The sample's report, in the words and with the decimal sign of its course.
#[test]
fn the_report_of_the_course_in_a_second_language_is_complete() {
    let run = crate::support::meniscus(&["check", "samples/klasse"], b"");
    assert_eq!((run.status, run.stderr.trim()), (0, "no findings in 1 report"));
    let run = crate::support::meniscus(&["render", "samples/klasse/bericht.md"], b"");
    assert_eq!(run.status, 0);
    assert!(run.stdout.contains("<html lang=\"de\">"));
    let run = crate::support::meniscus(&["render", "samples/klasse/bericht.md", "--to", "markdown"], b"");
    let again = ["render", "-", "--as", "samples/klasse/bericht.md", "--to", "markdown"];
    assert_eq!(crate::support::meniscus(&again, run.stdout.as_bytes()).stdout, run.stdout);
    let shown = crate::support::with_plain_blanks(&run.stdout);
    // D by hand: F/N = 0.49229 n; Sxx = 40.018 cm², Sxn = 20.00 cm, so that D = 0.49229 × 20.00 / 40.018 N/cm = 24.60 N/m.
    for wanted in [
        "D = 24,6 ± 0,3 N/m",
        "**Begründung**",
        "| Summe der Beträge |",
        "1/4 von 1 mm = 0,025 cm",
        "Normfallbeschleunigung",
    ] {
        assert!(shown.contains(wanted), "{wanted} is not in\n{shown}");
    }
    let english: Vec<&str> =
        words::ALL.iter().map(|word| word.text).filter(|text| text.len() > 6 && !text.contains('{')).collect();
    let left: Vec<&&str> = english.iter().filter(|text| shown.contains(**text)).collect();
    assert!(left.is_empty(), "{left:?}");
}
