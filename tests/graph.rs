//! Graphs as a reader meets them: pictures in pages, pictures beside Markdown, what is said of them, what is refused.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at what it did not expect")]

mod support;

use std::collections::BTreeSet;
use std::fs;

use meniscus::course::Course;
use meniscus::evaluate::sheet::Graph;
use meniscus::evaluate::sheet::View;
use meniscus::parse::ast::Symbol;
use meniscus::render::{self, Options, Pictures};
use meniscus::report::{self, Report};
use proptest::prelude::*;
use regex::Regex;
use roxmltree::{Document, Node};
use support::{findings, meniscus, with_plain_blanks};

const BAND: &str = "\
| ~{x \"extension\" [cm]; ± 0.2 cm \"pointer\"} | ~{F \"load\" [N]; ± 0.15 N \"spring balance\"} |
|---:|---:|
| 2.1 | 0.50 |
| 4.2 | 1.00 |
| - | 1.20 |
| 6.5 | 1.40 |
| 8.3 | 1.90 |

";

fn band(graph: &str) -> String {
    format!("{BAND}~{{graph F against x{graph}}}\n")
}

fn html(source: &str) -> String {
    let report = report::read(source, &Course::default());
    render::html(report.view(), &Options { fragment: true, ..Options::default() }).unwrap()
}

fn beside() -> Options {
    Options { pictures: Pictures::Beside("report".into()), ..Options::default() }
}

/// The files beside a report in Markdown.
fn files(source: &str) -> Vec<String> {
    let report = report::read(source, &Course::default());
    render::pictures(report.view(), &beside()).into_iter().map(|picture| picture.svg).collect()
}

fn graph(report: &Report<'_>) -> Graph {
    let found = report.sheet.views.values().find_map(|view| match view {
        View::Graph(graph) => Some((**graph).clone()),
        _ => None,
    });
    found.expect("no graph")
}

fn elements<'a>(svg: &'a Document<'_>, class: &str) -> Vec<Node<'a, 'a>> {
    svg.descendants().filter(|node| node.attribute("class") == Some(class)).collect()
}

fn rules(report: &str) -> Vec<(String, String)> {
    findings(report).into_iter().map(|finding| (finding.rule, finding.place)).collect()
}

#[test]
fn a_picture_of_two_points() {
    let source = "\
| ~{t [s]; exact \"set\"} | ~{s \"way\" [m]; ± 0.5 m \"tape\"} |
|---|---|
| 1 | 2.0 |
| 3 | 6.0 |

~{graph s against t; line}
";
    insta::assert_snapshot!(files(source)[0]);
}

/// By hand: mean x 5.275 cm, mean F 1.2 N; Σ(x − x̄)² = 21.8875 cm², Σ(x − x̄)(F − F̄) = 4.8 N cm, so 0.2193 N/cm and
/// 0.0432 N. Residuals −0.0037, 0.0358, −0.0686, 0.0366 N: s = √(0.00735/2) = 0.0606 N, of the slope
/// 0.0606/√21.8875 = 0.0130 N/cm, of the intercept 0.0606·√(1/4 + 5.275²/21.8875) = 0.0747 N.
#[test]
fn what_is_said_beneath() {
    let out = with_plain_blanks(&render::markdown(
        report::read(&band("; line; residuals; title \"Load against extension\""), &Course::default()).view(),
        &beside(),
    ));
    let caption = out.lines().last().unwrap();
    assert_eq!(
        caption,
        "**Load against extension.** Line (least squares): slope 0.22 ± 0.01 N/cm, intercept 0.04 ± 0.07 N. Bars: \
         uncertainties, amounts added."
    );
    let image = out.lines().find(|line| line.starts_with("![")).unwrap();
    assert_eq!(
        image,
        "![Load against extension. Points: 4; F from 0.5 N to 1.9 N, x from 2.1 cm to 8.3 cm. Line (least squares): slope \
         0.22 ± 0.01 N/cm, intercept 0.04 ± 0.07 N.](report-graph-1.svg)"
    );
}

#[test]
fn points_bars_and_lines_are_where_they_belong() {
    let source = band("; line; extreme");
    let report = report::read(&source, &Course::default());
    let graph = graph(&report);
    let points: Vec<_> = graph.points.iter().map(|mark| (mark.row, mark.x, mark.y, mark.ux, mark.uy)).collect();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
    for ((row, x, y, ux, uy), (r, a, b)) in
        points.iter().zip([(0, 2.1, 0.5), (1, 4.2, 1.0), (3, 6.5, 1.4), (4, 8.3, 1.9)])
    {
        assert!(*row == r && near(*x, a) && near(*y, b) && near(*ux, 0.2) && near(*uy, 0.15), "{points:?}");
    }
    let line = graph.line.unwrap().line;
    assert!(near(line.slope, 4.8 / 21.8875) && near(line.at(5.275), 1.2), "{line:?}");
    let [steepest, flattest] = graph.extremes.unwrap();
    for line in [steepest, flattest] {
        let through =
            |&(_, x, y, ux, uy): &(usize, f64, f64, f64, f64)| (line.at(x) - y).abs() <= uy + line.slope * ux + 1e-9;
        assert!(points.iter().all(through), "{line:?} misses a bar");
    }
    assert!(steepest.slope > line.slope && line.slope > flattest.slope);
}

/// The band is the uncertainty of the line's height, and that is what the same line has as a formula: with an
/// error that all readings of an instrument share, and by every way of combining.
#[test]
fn the_band_is_what_the_formula_of_the_line_gives() {
    for combine in ["sum", "quadrature", "standard"] {
        let front = format!(
            "---\nmeniscus:\n  combine: {combine}\n  instruments:\n    meter: {{display: 0.01 V, instrument: 2 %, systematic: true}}\n---\n\n"
        );
        let table = "| ~{I [mA]; exact \"set\"} | ~{U [V]; with meter} |\n|---|---|\n| 10 | 1.02 |\n| 20 | 1.96 |\n| 30 | 3.05 |\n| 40 | 3.98 |\n\n";
        let draw = format!("{front}{table}~{{graph U against I; line}}\n");
        let graph = graph(&report::read(&draw, &Course::default()));
        let band = graph.line.unwrap().band;
        for at in [0, 10, 48] {
            let x = graph.samples[at];
            let formula = format!("~{{y = intercept(U against I) + slope(U against I) * {x:e}[mA]}}");
            let source = format!("{front}{table}{formula}\n");
            let report = report::read(&source, &Course::default());
            let y = report.sheet.find(&Symbol::new("y")).unwrap().1.measure.unwrap();
            assert!((band[at] - y.uncertainty).abs() <= 1e-9 * y.uncertainty, "{combine} at {x}: {} {y:?}", band[at]);
        }
    }
}

#[test]
fn lines_through_the_origin_pass_there_on_temperature_scales_too() {
    let source = "\
| ~{T [degC]; ± 0.5 degC \"probe\"} | ~{U [mV]; ± 0.02 mV \"meter\"} |
|---|---|
| 20.0 | 0.81 |
| 50.0 | 2.04 |
| 80.0 | 3.31 |

~{graph T against U; line through 0}
";
    let graph = graph(&report::read(source, &Course::default()));
    let line = graph.line.unwrap().line;
    // Σxy/Σx² of the numbers in °C and mV.
    let slope = (0.81 * 20.0 + 2.04 * 50.0 + 3.31 * 80.0) / (0.81 * 0.81 + 2.04 * 2.04 + 3.31 * 3.31);
    assert!(line.at(0.0).abs() < 1e-9 && (line.slope - slope).abs() < 1e-9, "{line:?}");
    assert!(html(source).contains("Line through the origin (least squares): slope"));
}

#[test]
fn pictures_are_well_formed_and_say_what_they_show() {
    let source = band("; line; extreme; residuals; title \"<b>“Load” & ]]> extension</b>\"");
    let svg = &files(&source)[0];
    let svg = Document::parse(svg).unwrap_or_else(|error| panic!("{error}: {svg}"));
    let root = svg.root_element();
    assert_eq!((root.attribute("role"), root.tag_name().name()), (Some("img"), "svg"));
    let named = root.attribute("aria-labelledby").unwrap().split(' ');
    let texts: Vec<_> = named
        .map(|id| svg.descendants().find(|node| node.attribute("id") == Some(id)).and_then(|n| n.text()).unwrap())
        .collect();
    assert_eq!(texts[0], "<b>“Load” & ]]> extension</b>");
    assert!(texts[1].starts_with("Points: 4; F from 0.5"), "{texts:?}");
    for (class, count) in
        [("graph-line", 3), ("graph-band", 2), ("graph-extreme", 2), ("graph-points", 2), ("graph-bars", 2)]
    {
        assert_eq!(elements(&svg, class).len(), count, "{class}");
    }
    let texts: Vec<String> = elements(&svg, "graph-text")[0]
        .children()
        .filter(Node::is_element)
        .map(|text| text.descendants().filter_map(|node| node.text().filter(|_| node.is_text())).collect())
        .collect();
    for wanted in ["load F / N", "extension x / cm", "residual / N", "steepest and flattest line"] {
        assert!(texts.iter().any(|text| text == wanted), "{wanted}: {texts:?}");
    }
}

#[test]
fn graphs_in_a_page() {
    let source =
        format!("{}\n# Graph 1 title\n\n~{{graph F against x}}\n\nAs ~{{graph x against F}} shows.\n", band("; line"));
    let page = html(&source);
    let ids: Vec<&str> = page.split(" id=\"").skip(1).map(|rest| rest.split('"').next().unwrap()).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len(), "{ids:?}");
    for labels in page.split("labelledby=\"").skip(1).map(|rest| rest.split('"').next().unwrap()) {
        assert!(labels.split(' ').all(|label| ids.contains(&label)), "{labels}");
    }
    assert_eq!(page.matches("<figure class=\"graph\">").count(), 3);
    assert!(!page.contains("<p></p>") && page.contains("<p>As  shows.</p>"));
    // The data, as recorded: a reader of the page without eyes for the picture has the numbers.
    let rows = page.split("<details>").nth(1).unwrap();
    let row = "<tr><th scope=\"row\">4</th><td class=\"number\">6.5\u{a0}±\u{a0}0.2</td><td class=\"number\">1.40\u{a0}±\u{a0}0.15</td></tr>";
    assert!(rows.contains(row), "{rows}");
}

#[test]
fn rendering_markdown_again_changes_nothing() {
    for graph in
        ["", "; line; title \"a | b ~{x} *c* `d` [e](f) <g> $h$\"", "; line through 0; log x; log y; residuals"]
    {
        for place in ["{}", "- {}\n- b", "> a {} b", "| a |\n|---|\n| {} |\n\nend", "# {} #"] {
            let source = format!("{BAND}{}\n", place.replace("{}", &format!("~{{graph F against x{graph}}}")));
            for options in [Options::default(), beside()] {
                let once = render::markdown(report::read(&source, &Course::default()).view(), &options);
                assert!(once.contains("!["), "{once}");
                assert_eq!(render::markdown(report::read(&once, &Course::default()).view(), &options), once);
            }
        }
    }
}

#[test]
fn on_standard_output_a_picture_is_within_the_text() {
    let run = meniscus(&["render", "--to", "markdown"], band("; line").as_bytes());
    let data = Regex::new(r"\]\(data:image/svg\+xml;base64,([A-Za-z0-9+/]+=*)\)").unwrap();
    let found = data.captures(&run.stdout).unwrap_or_else(|| panic!("{run:?}"));
    let svg = String::from_utf8(decoded(&found[1])).unwrap();
    assert!(Document::parse(&svg).is_ok() && svg == files(&band("; line"))[0], "{svg}");
}

fn decoded(text: &str) -> Vec<u8> {
    let value = |c: u8| match c {
        b'A'..=b'Z' => u32::from(c - b'A'),
        b'a'..=b'z' => u32::from(c - b'a') + 26,
        b'0'..=b'9' => u32::from(c - b'0') + 52,
        b'+' => 62,
        _ => 63,
    };
    let letters: Vec<u8> = text.bytes().filter(|&c| c != b'=').collect();
    let mut bytes = Vec::new();
    for chunk in letters.chunks(4) {
        let whole = (0..4).fold(0, |all, n| all << 6 | chunk.get(n).map_or(0, |&c| value(c)));
        bytes.extend((0..chunk.len() - 1).map(|n| u8::try_from(whole >> (16 - 8 * n) & 0xFF).unwrap()));
    }
    bytes
}

#[test]
fn files_stand_beside_the_output() {
    let folder = tempfile::TempDir::new().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    fs::write(path("band.md"), format!("{}\n~{{graph x against F}}\n", band(""))).unwrap();
    let run = meniscus(&["render", &path("band.md"), "--to", "markdown", "-o", &path("the band.md")], b"");
    assert_eq!(run.status, 0, "{run:?}");
    let text = fs::read_to_string(path("the band.md")).unwrap();
    for name in ["the band-graph-1.svg", "the band-graph-2.svg"] {
        assert!(text.contains(&format!("]({})", name.replace(' ', "%20"))), "{text}");
        assert!(Document::parse(&fs::read_to_string(path(name)).unwrap()).is_ok());
    }
    // To a device, beside which nothing can stand; to a page, which has them in itself.
    let before = fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(meniscus(&["render", &path("band.md"), "-o", &path("band.html")], b"").status, 0);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), before + 1);
    if cfg!(unix) {
        assert_eq!(meniscus(&["render", &path("band.md"), "--to", "markdown", "-o", "/dev/null"], b"").status, 0);
    }
}

#[test]
fn what_cannot_be_drawn_is_said_at_its_place() {
    let table =
        "| ~{x [1]; exact \"set\"} | ~{y [1]; exact \"set\"} |\n|---|---|\n| 1 | -2 |\n| 2 | 0 |\n| 3 | 5 |\n\n";
    let other = "| ~{z [1]; exact \"set\"} |\n|---|\n| 1 |\n\n";
    let one = "~{a = 3; exact \"set\"}\n\n";
    let rules = |graph: &str| rules(&format!("{table}{other}{one}{graph}\n"));
    let found = |rule: &str, place: &str| vec![(rule.to_owned(), place.to_owned())];
    assert_eq!(rules("~{graph y against x; line; residuals}"), []);
    assert_eq!(rules("~{graph y against q}"), found("unknown-symbol", "q"));
    assert_eq!(rules("~{graph a against x}"), found("not-a-column", "a"));
    assert_eq!(rules("~{graph y against z}"), found("lengths-differ", "z"));
    assert_eq!(rules("~{graph z against z; line}"), found("too-few-values", "line"));
    assert_eq!(rules("~{graph z against z; residuals}"), found("too-few-values", "residuals"));
    assert_eq!(rules("~{graph y against x; log y}"), found("off-log-axis", "log y"));
    assert_eq!(rules("~{graph y against x; extreme}"), found("no-line", "extreme"));
    let none = "| ~{v [1]; exact \"set\"} |\n|---|\n| -1 |\n\n~{graph v against v; log x}";
    assert_eq!(rules(none), found("too-few-values", "v"));
    let many = "~{graph y against x}\n\n".repeat(101);
    let message = findings(&format!("{table}{many}")).pop().unwrap().message;
    assert_eq!(
        message,
        "a graph past the hundredth of a report cannot be computed in this version, so its place stays empty"
    );
}

#[test]
fn points_off_a_logarithmic_axis_are_left_out_and_said() {
    let source = "\
| ~{n [1]; exact \"counted\"} | ~{U [V]; ± 0.5 V \"meter\"} |
|---|---|
| 1 | 20.0 |
| 2 | 0.4 |
| 3 | -0.2 |
| 4 | 0.0 |

~{graph U against n; log y; line}
";
    let finding = &findings(source)[0];
    assert_eq!(
        finding.message,
        "2 values of `U`, the first in row 3, have no place on a logarithmic axis, so their points are left out of the graph"
    );
    let graph = graph(&report::read(source, &Course::default()));
    assert_eq!((graph.points.len(), graph.off), (2, 2));
    let svg = &files(source)[0];
    let svg = Document::parse(svg).unwrap();
    // Two bars, of which that of 0.4 ± 0.5 V goes on past the end: an arrow, three points joined, in place of its cap.
    let bars = elements(&svg, "graph-bars")[0].attribute("d").unwrap();
    assert_eq!(bars.matches('L').count(), 2, "{bars}");
    assert!(html(source).contains("Points with no place on a logarithmic axis, left out: 2."));
}

/// One, two, ten, a thousand and ten thousand points; the size of a picture has a bound.
#[test]
fn any_number_of_points() {
    for (count, most) in [(1, 5_000), (2, 6_000), (10, 8_000), (1_000, 120_000), (10_000, 120_000), (30_000, 120_000)] {
        let mut source = String::from("| ~{x [cm]; ± 0.1 cm \"r\"} | ~{y [N]; ± 0.5 N \"s\"} |\n|---|---|\n");
        for n in 0..count {
            // Spread without pattern, and one far away.
            let noise = (n * 7919) % 1009;
            source.push_str(&format!("| {n}.0 | {}.0 |\n", if n == 123 { 90_000 } else { n + noise }));
        }
        source.push_str(if count > 1 { "\n~{graph y against x; line}\n" } else { "\n~{graph y against x}\n" });
        let svg = &files(&source)[0];
        assert!(svg.len() < most, "{count} points take {} bytes", svg.len());
        let parsed = Document::parse(svg).unwrap();
        let dots = elements(&parsed, "graph-points")[0].attribute("d").unwrap().matches('M').count();
        assert!(dots == count || count > 1_000 && dots > 300, "{dots} of {count}");
        assert_eq!(html(&source).contains("not all are drawn"), dots < count);
    }
}

#[test]
fn sizes_of_every_kind_are_drawn_within_the_picture() {
    let numbers = ["1e300", "-1e300", "1e-300", "-3", "0", "7", "7.0000000001", "123456789", "0.00012", "2e5"];
    for x in numbers {
        for y in numbers {
            for options in ["", "; log x", "; log y", "; log x; log y"] {
                let rows = [("1", "1"), (x, y), (x, "2")].map(|(x, y)| format!("| {x} | {y} |\n")).concat();
                let source = format!(
                    "| ~{{x [1]; reading 5 % \"r\"}} | ~{{y [1]; reading 5 % \"s\"}} |\n|---|---|\n{rows}\n~{{graph y against x{options}}}\n"
                );
                for svg in files(&source) {
                    assert_within(&svg);
                }
            }
        }
    }
}

/// Every coordinate lies in the picture, and is a number.
fn assert_within(svg: &str) {
    let parsed = Document::parse(svg).unwrap();
    let height: f64 = parsed.root_element().attribute("height").unwrap().parse().unwrap();
    let width: f64 = parsed.root_element().attribute("width").unwrap().parse().unwrap();
    assert!(!svg.contains("NaN") && !svg.contains("inf") && !svg.contains("-0\"") && !svg.contains("99999"), "{svg}");
    let pair = Regex::new(r"[ML](-?[0-9.]+) (-?[0-9.]+)").unwrap();
    for pair in parsed.descendants().filter_map(|node| node.attribute("d")).flat_map(|data| pair.captures_iter(data)) {
        let (x, y): (f64, f64) = (pair[1].parse().unwrap(), pair[2].parse().unwrap());
        assert!((-4.0..=width + 4.0).contains(&x) && (-4.0..=height + 4.0).contains(&y), "{}: {svg}", &pair[0]);
    }
}

/// The picture of the book is that of the example above it: `UPDATE_DOCS=1 cargo test --test graph` draws it anew.
#[test]
fn the_picture_of_the_book_is_that_of_its_example() {
    let page = support::page("book/src/notation.md");
    let example = support::blocks(&page).into_iter().find(|block| block.text.contains("~{graph")).unwrap();
    let wanted = &files(&example.text)[0];
    let path = support::root().join("book/src/graph.svg");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        fs::write(&path, wanted).unwrap();
    }
    assert!(
        fs::read_to_string(&path).unwrap() == *wanted,
        "UPDATE_DOCS=1 cargo test --test graph draws the picture anew"
    );
}

#[test]
fn a_course_has_its_own_words_and_decimal_sign() {
    let front = "---\nmeniscus: {decimal: comma, words: {residual: Abweichung, graph-data: Messwerte, legend-band: Ausgleichsgerade}}\n---\n\n";
    let page = html(&format!("{front}{}", band("; line; residuals")));
    for wanted in [">Abweichung / N<", "<summary>Messwerte</summary>", ">Ausgleichsgerade<", ">0,5<"] {
        assert!(page.contains(wanted), "{wanted}: {page}");
    }
    assert!(!page.contains(">0.5<"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    /// Whatever an author writes is text, in the picture and about it.
    #[test]
    fn pictures_are_well_formed_whatever_they_are_called(title in "[^\"“”„]{0,40}", name in "[a-z<>&'|;:%#\u{1}-\u{8} ]{1,40}") {
        let table = BAND.replace("extension", &name.replace('|', "\\|"));
        let source = format!("{table}~{{graph F against x; line; title \"{}\"}}\n", title.replace(['\n', '\r'], " "));
        for svg in files(&source) {
            prop_assert!(Document::parse(&svg).is_ok(), "{}", svg);
        }
        let once = render::markdown(report::read(&source, &Course::default()).view(), &beside());
        let again = render::markdown(report::read(&once, &Course::default()).view(), &beside());
        prop_assert_eq!(again, once);
    }
}
