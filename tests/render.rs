//! What a reader sees: whole small reports as Markdown and as HTML, and what holds for all of them.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use meniscus::course::Course;
use meniscus::render::{self, Math, Options};
use meniscus::report;
use proptest::prelude::*;
use pulldown_cmark::{Event, Parser};

const ALL: [Math; 3] = [Math::Plain, Math::Latex, Math::Mathml];

fn markdown(source: &str, math: Math) -> String {
    let report = report::read(source, &Course::default());
    render::markdown(report.view(), &Options { math, ..Options::default() })
}

fn plain(source: &str) -> String {
    markdown(source, Math::Plain)
}

/// Without tables beneath.
fn bare(source: &str) -> String {
    let front = "---\nmeniscus: {rationale: none}\n---\n\n";
    plain(&format!("{front}{source}")).split_off(front.len())
}

fn html(source: &str) -> String {
    let report = report::read(source, &Course::default());
    render::html(report.view(), &Options { fragment: true, ..Options::default() }).unwrap()
}

fn page(source: &str, options: &Options) -> Result<String, render::TemplateError> {
    let report = report::read(source, &Course::default());
    render::html(report.view(), options)
}

const MARBLE: &str = "\
# A marble on a grooved track

The marble rolls ~{d \"distance\" = 80.0 cm; reading 2 × 1/2 mm \"both marks\"; definition 3 mm \"where it passes\"}
in ~{t \"time\" = 1.32, 1.28, 1.35, 1.30 s; reaction 0.1 s \"by hand\"}.

> Its speed is ~{v \"speed\" = d / t in m/s}, known to ~{v as relative}.

~{v as working}, **~{v as short}**; ~{v against 0.6 ± 0.1 m/s \"a guess\"}.
";

#[test]
fn a_report_in_markdown() {
    insta::assert_snapshot!(plain(MARBLE));
}

#[test]
fn a_report_in_markdown_with_latex() {
    insta::assert_snapshot!(markdown(MARBLE, Math::Latex));
}

const BAND: &str = "\
| ~{x \"extension\" [cm]; ± 0.05 cm \"rule\"} | ~{F [N]; ± 0.02 N \"scale\"} | ~{k \"stiffness\" [N/m] = F / x} | note |
|---:|---:|---:|---|
| 2.10 | 0.49 |  | a |
| 4.25 | 0.98 | 23.1 | b |
| -    | 1.47 |  | c |
| 6.30 ± 0.10 | 1.47 |  | d |
";

/// By hand: 0.49 N / 2.10 cm = 23.33 N/m, its uncertainty 23.33 (0.02/0.49 + 0.05/2.10) = 1.51; 1.47 / 6.30 the
/// same value, with 0.02/1.47 + 0.10/6.30 of it, 0.69.
#[test]
fn a_table_of_readings_in_markdown() {
    let expected = "\
| extension x / cm | F / N, ± 0.02 | stiffness k / (N/m) | note |
|---:|---:|---:|---|
| 2.10 | 0.49 | 23 ± 2 | a |
| 4.25 | 0.98 | 23.1 | b |
| -    | 1.47 |  | c |
| 6.30 ± 0.10 | 1.47 | 23.3 ± 0.7 | d |
";
    let without_fixed_blanks = bare(BAND).replace(['\u{a0}', '\u{202f}'], " ");
    assert_eq!(without_fixed_blanks, expected);
    let once = plain(BAND);
    assert_eq!(plain(&once), once, "rendering again changes nothing");
}

#[test]
fn a_table_of_readings_in_html() {
    let html = html(BAND);
    assert!(html.contains("extension <math>") && html.contains("note</th>"), "{html}");
    assert_eq!(html.matches("<mo>±</mo>").count(), 3, "the heading's and two filled cells: {html}");
    // A cell that is missing at its row's end is filled as well.
    let short = self::html("| ~{n; exact} | ~{q = n^2} |\n|--|--|\n| 3 |\n");
    assert!(short.contains("<td>3</td><td><math><mn>9</mn></math></td>"), "{short}");
}

/// Of every kind of column one, rows that are short of cells, one that states its own uncertainty first.
const COLUMNS: &str = "\
---
meniscus:
  instruments:
    rule: {name: wooden rule, division: 1 mm, read_to: 1/4, ends: 2}
---

| ~{x \"extension\" [cm]; with rule; definition 0.5 % \"soft\"} | ~{t [s]; repeat \"spread\"; reaction 0.1 s \"hand\"} | ~{N \"clicks\" [1]; counting} | ~{e [m]; exact \"given\"} | ~{f [N]} | ~{k [1/s] = N / t} | ~{j = x / e} |
|--|--|--|--|--|--|--|
| 2.0 ± 0.1 | 1.32 | 100 | 1 | 1.0 ± 0.1 |               | |
| 4.00 | 1.28 | 121 | 2 | 2.0 ± 0.1 |
| 5.00 | 1.28 | 144 | 2 | 3.0 ± 0.2
| 6.00 | 1.28 | 169 | 2 | 4.0 ± 0.1 ||
| –    | 1.30 | 160 | 2 | 4.0 ± 0.1 | 122 | |

> | ~{y [cm]; ± 0.15 cm \"both ends\"} | ~{z = y / 2} | ~{w [mm] = y / 2} |
> |--|--|--|
> | 14.30
> | 14.10 |

~{X = mean(x) in cm}, ~{K = sum(k)}, ~{b = slope(N against t)}, ~{y as name} in ~{y}.
";

#[test]
fn columns_of_every_kind_in_markdown() {
    let once = plain(COLUMNS);
    assert_eq!(plain(&once), once, "rendering again changes nothing");
    insta::assert_snapshot!(simple(&once));
}

#[test]
fn columns_of_every_kind_in_html() {
    let report = report::read(COLUMNS, &Course::default());
    let options = Options { fragment: true, math: Math::Plain, ..Options::default() };
    let html = render::html(report.view(), &options).unwrap();
    let author = html.lines().filter(|line| line.starts_with("<tr><td") || line.starts_with("<table><thead"));
    insta::assert_snapshot!(simple(&author.collect::<Vec<_>>().join("\n")));
}

/// A reading's uncertainty ends where its digits do; where it is not shown alike in all rows, it is left out.
#[test]
fn a_heading_has_the_uncertainty_that_its_rows_share() {
    let heading = |clauses: &str, rows: &[&str]| {
        let rows: String = rows.iter().map(|row| format!("| {row} |\n")).collect();
        let out = simple(&bare(&format!("| ~{{x [cm]{clauses}}} |\n|--|\n{rows}")));
        out.lines().next().unwrap_or_default().to_owned()
    };
    for (clauses, rows, shown) in [
        ("; ± 0.15 cm", &["14.30", "2.05"][..], "| x / cm, ± 0.15 |"),
        ("; ± 0.05 cm", &["14.3", "2.1"], "| x / cm, ± 0.05 |"),
        ("; ± 0.5 mm", &["14.30", "", "2.05"], "| x / cm, ± 0.05 |"),
        ("; ± 0.15 cm", &["14.30", "2.1"], "| x / cm |"),
        ("; ± 0.15 cm", &["14.30", "2.05 ± 0.20"], "| x / cm |"),
        ("; ± 1 %", &["14.30", "2.05"], "| x / cm |"),
        ("; ± 1 %", &["2.00", "2.05"], "| x / cm, ± 0.02 |"),
        ("", &["14.30"], "| x / cm |"),
    ] {
        assert_eq!(heading(clauses, rows), shown, "{clauses} {rows:?}");
    }
}

/// It stays as it is, and nothing is put into its cells.
#[test]
fn a_column_with_an_error_stays_as_code() {
    for item in ["~{z = y / 0}", "~{z [s] = y}", "~{z = y * q}"] {
        let source = format!("| ~{{y [cm]; ± 0.1 cm}} | {item} |\n|--|--|\n| 1.0 | |\n| 2.0 |\n");
        let expected = format!("| y / cm, ± 0.1 | `{item}` |\n|--|--|\n| 1.0 | |\n| 2.0 |\n");
        assert_eq!(simple(&bare(&source)), expected);
    }
}

/// A filled cell stays as wide as it was, where there is room in it; the cells that a row is short of are added.
#[test]
fn cells_are_filled_in_place() {
    let table = "| ~{n; exact} | ~{p = 2 * n} | m | ~{q = n^2} |\n|--|--|--|--|\n";
    for (row, shown) in [
        ("| 3 |          | a |  |", "| 3 |        6 | a | 9 |"),
        ("| 3 || a ||", "| 3 | 6 | a | 9 |"),
        ("| 3 |", "| 3 | 6 | | 9 |"),
        ("3", "3 | 6 | | 9"),
        ("3 | | a", "3 | 6 | a | 9"),
        ("| 3 | 6 | a |  \t", "| 3 | 6 | a | 9 |  \t"),
        ("| 3 | 6.0 | a\\|", "| 3 | 6.0 | a\\|"),
        ("| 3 | – | a | x", "| 3 | – | a | x"),
    ] {
        let out = simple(&bare(&format!("{table}{row}\n")));
        let wanted = out.lines().last();
        assert_eq!(wanted, Some(shown), "{row:?}");
    }
}

#[test]
fn a_report_in_html() {
    insta::assert_snapshot!(html(MARBLE));
}

/// Shown digits of a reading, by the rules of the notation's page. Common practice, no source.
#[test]
fn readings_are_shown_as_recorded() {
    for (item, shown) in [
        ("L = 48.5 cm; reading 0.5 cm \"a\"; definition 0.5 cm \"b\"", "L = 48.5 ± 1.0 cm"),
        ("U = 1.835 V; instrument 0.0025 V \"c\"", "U = 1.835 ± 0.003 V"),
        ("e = 1.602e-19 C; ± 0.004e-19 C \"d\"", "e = (1.602 ± 0.004) × 10⁻¹⁹ C"),
        ("m = 14.30 ± 0.15 g", "m = 14.30 ± 0.15 g"),
        ("m = 14.30(15) g", "m = 14.30 ± 0.15 g"),
        ("T = -3.5 degC; reading 0.5 degC \"e\"", "T = −3.5 ± 0.5 °C"),
        ("α = 30.0 deg; reading 0.5 deg \"f\"", "α = 30.0 ± 0.5°"),
        ("n = 12; exact \"counted\"", "n = 12"),
        ("N = 1283; counting", "N = 1283 ± 36"),
        ("l = 240 mm; reading 2 mm \"g\"", "l = 240 ± 2 mm"),
    ] {
        assert_eq!(simple(&bare(&format!("x ~{{{item}}}\n"))), format!("x {shown}\n"), "{item}");
    }
}

#[test]
fn mentions_in_every_style_and_in_other_units() {
    let source = |mention: &str| {
        format!(
            "~{{L \"length\" = 12.40 cm; reading 0.05 cm \"a\"}} ~{{A = L^2 in cm^2}} ~{{n = 12; exact \"c\"}}\n\n{mention}\n"
        )
    };
    for (mention, shown) in [
        ("~{L}", "12.40 ± 0.05 cm"),
        ("~{L in mm}", "124.0 ± 0.5 mm"),
        ("~{L in um}", "(1.240 ± 0.005) × 10⁵ µm"),
        ("~{L in inch}", "4.88 ± 0.02 in"),
        ("~{L as full}", "L = 12.40 ± 0.05 cm"),
        ("~{L as short}", "12.40(5) cm"),
        ("~{L as value}", "12.40 cm"),
        ("~{L as uncertainty}", "0.05 cm"),
        ("~{L as relative}", "0.40 %"),
        ("~{L as interval}", "12.35 cm to 12.45 cm"),
        ("~{L as name}", "length"),
        ("~{A as name}", "A"),
        ("~{A}", "154 ± 1 cm²"),
        ("~{A in m^2}", "0.0154 ± 0.0001 m²"),
        ("~{A in mm^2}", "(1.54 ± 0.01) × 10⁴ mm²"),
        ("~{A as working}", "A = L² = (12.40 cm)² = 154 ± 1 cm²"),
        ("~{n as uncertainty}", "exact"),
        (
            "~{L against 12.5 cm}",
            "12.40 ± 0.05 cm against 12.5 cm: they differ by 0.10 ± 0.05 cm (0.80 %), more than their uncertainties allow",
        ),
        (
            "~{L against 124 ± 1 mm \"drawing\"}",
            "12.40 ± 0.05 cm against 124 ± 1 mm (drawing): they differ by 0.0 ± 0.2 cm and agree within their uncertainties",
        ),
    ] {
        let out = simple(&bare(&source(mention)));
        assert_eq!(out.lines().last().unwrap(), shown, "{mention}");
    }
}

/// No-break blanks as blanks.
fn simple(text: &str) -> String {
    text.replace(['\u{A0}', '\u{202F}'], " ")
}

/// Two values whose difference and uncertainty round alike, an instrument's two shared errors, a limit that is one
/// source, constants that nobody uses.
#[test]
fn what_a_table_and_a_comparison_leave_open_is_told() {
    let apart = "~{a = 1.2467 m; ± 0.2007 m \"tape\"} ~{b = 1.5166 m; ± 0.0597 m \"tape\"} ~{a against b}\n";
    let out = simple(&bare(apart));
    assert!(out.contains("differ by 0.27 ± 0.26 m"), "{out}");

    let meter = "---\nmeniscus:\n  constants: [c, h]\n  instruments:\n    \
                 meter: {name: meter, display: 0.01 V, instrument: 0.5 % + 2 digits, systematic: true}\n---\n\
                 ~{U = 11.84 V; with meter}, ~{P = 2 * U}, ~{l = 650 nm; ± 10 nm \"label\"}, ~{f = c / l in THz}\n\n~{summary}\n";
    let out = simple(&plain(meter));
    assert!(
        out.contains("| instrument (meter), one error in all its readings, in proportion to them | 0.118 V | 74.7 % |"),
        "{out}"
    );
    assert!(out.contains("| instrument (meter), one error in all its readings | 0.0400 V | 25.3 % |"), "{out}");
    let summary = out.split("Summary").nth(1).unwrap();
    assert!(summary.contains("| c | speed of light in vacuum |") && !summary.contains("Planck"), "{summary}");

    let limit = "---\nmeniscus: {combine: standard}\n---\n~{p = 98.2 %; instrument 0.6 % trapezoidal 0.5 \"label\"}\n\n\
                 ~{q = 98.2 %; instrument 0.6 % normal \"label\"}\n";
    let out = simple(&plain(limit));
    // 0.6 % · √((1 + 0.5²) / 6), JCGM 100:2008, 4.3.9 note 2.
    assert_eq!(out.matches("combined standard uncertainty").count(), 1, "{out}");
    assert!(out.contains("| combined standard uncertainty | 0.274 % | |"), "{out}");
}

#[test]
fn a_course_decides_signs_words_and_digits() {
    let source = "---\nmeniscus:\n  decimal: comma\n  digits: 2\n  rationale: none\n  words: {interval: \"von {low} bis {high}\"}\n---\n\
                  ~{L = 12.40 cm; reading 0.05 cm \"a\"} ~{A = L^2 in cm^2} ~{A as interval}\n";
    let out = simple(&plain(source));
    assert_eq!(out.lines().last().unwrap(), "L = 12,40 ± 0,05 cm A = 153,8 ± 1,2 cm² von 152,6 cm² bis 155,0 cm²");
}

#[test]
fn rationale_stands_beneath_the_outermost_block_and_apart_from_what_follows() {
    let item = "~{L = 12.4 cm; reading 0.1 cm \"a\"}";
    let beneath = |source: &str| plain(source).replace("L = 12.4\u{A0}±\u{A0}0.1\u{202F}cm", "L");
    let table = "**Rationale**\n\n| Source of uncertainty | Amount | Reason |\n| :-- | --: | :-- |\n| **L** | | |\n| reading | 0.1\u{202F}cm | a |";
    for (before, after) in [
        (format!("{item}\n"), format!("L\n\n{table}\n")),
        (item.to_owned(), format!("L\n\n{table}")),
        (format!("# {item}\nText"), format!("# L\n\n{table}\n\nText")),
        (format!("- a\n  > {item}\n- b\n\nText"), format!("- a\n  > L\n- b\n\n{table}\n\nText")),
        (format!("{item}\r\n\r\nb"), format!("L\n\n{table}\n\nb").replace('\n', "\r\n")),
    ] {
        assert_eq!(beneath(&before), after);
    }
    let collected = format!("{item}\n\n# A\n\n~{{rationale}}\n\nend\n");
    assert_eq!(beneath(&collected), format!("L\n\n# A\n\n\n\n{table}\n\nend\n"));
}

#[test]
fn a_broken_item_stays_as_code_and_the_rest_is_rendered() {
    for (source, expected) in [
        ("a ~{L = } b ~{n = 3; exact \"x\"}\n", "a `~{L = }` b n = 3\n"),
        ("a ~{L = `} b\n", "a ``~{L = `}`` b\n"),
        ("| a |\n|---|\n| ~{L = \\| } |\n", "| a |\n|---|\n| `~{L = \\| }` |\n"),
        ("> a ~{L =\n> 3 + } b\n", "> a `~{L = 3 + }` b\n"),
        ("a ~{L = 3\n\nb\n", "a `~{L = 3`\n\nb\n"),
        // Backticks of their own would join with those about them.
        ("~{L = }` b\n", "<code>&#126;&#123;L &#61; &#125;</code>` b\n"),
        ("~{L = }~{M = } b\n", "`~{L = }`<code>&#126;&#123;M &#61; &#125;</code> b\n"),
        ("a ` b ~{L = } c\n", "a ` b ``~{L = }`` c\n"),
        // The backtick behind the last `|` would make a heading of two cells of a line that is none.
        ("~{ | \n|-|-|\n", "<code>&#126;&#123; &#124;</code> \n|-|-|\n"),
        // The `{` in code would begin the heading's attributes.
        ("# ~{~{n = 3; exact \"x\"}}\n", "# <code>&#126;&#123;</code>n = 3}\n"),
        ("~{~{n = 3; exact \"x\"}}\n===\n", "<code>&#126;&#123;</code>n = 3}\n===\n"),
        ("~{ | \r|-|-|\r", "<code>&#126;&#123; &#124;</code> \r|-|-|\r"),
    ] {
        assert_eq!(bare(source), expected, "{source}");
        assert_eq!(bare(&bare(source)), bare(source), "{source}");
    }
}

#[test]
fn emphasis_about_an_item_is_kept() {
    let out = bare("**Length:**~{n = 3; exact \"x\"}\n");
    assert_eq!(out, "**Length:**&#110; = 3\n");
    assert!(events(&out).contains("Start(Strong)"));
    assert_eq!(bare("**~{n = 3; exact \"x\"}**.\n"), "**n = 3**.\n");
}

#[test]
fn in_html_what_is_wrong_is_said_beneath() {
    let out = html("a ~{L = 3 cm; readng 1 mm \"<x>\"} b\n");
    assert!(out.contains(
        "a <code class=\"unsettled\" aria-describedby=\"unsettled-1\">~{L = 3 cm; readng 1 mm &quot;&lt;x&gt;&quot;}</code> b"
    ));
    assert!(out.contains("<ul class=\"unsettled\">\n<li id=\"unsettled-1\">"), "{out}");
}

#[test]
fn alternative_text_is_plain() {
    let out = html("![~{n = 3; exact \"x\"} balls](p.png)\n");
    assert!(out.contains("<img src=\"p.png\" alt=\"n = 3 balls\" />"), "{out}");
}

#[test]
fn headings_of_a_page_have_anchors_of_their_own() {
    let source = "# One ~{n = 3; exact \"x\"}\n\n## Two\n\n## Two\n\n## Given {#two}\n\n## Rationale 1\n\na[^note]\n\n## Note\n\n[^note]: b\n";
    let page = page(source, &Options::default()).unwrap();
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let expected = ["one-n-3", "rationale-1", "two-2", "two-3", "two", "rationale-1-2", "note-2", "note"];
    assert_eq!(ids, expected, "what the author named keeps its name, wherever it stands");
    assert!(html(source).contains("<h2>Two</h2>"), "a fragment's headings are pulldown-cmark's");
}

#[test]
fn no_anchor_of_ours_is_one_of_the_authors() {
    let source = "# A {#graph.1.title}\n\n## B {#rationale-1}\n\n## C {#unsettled-3}\n\n~{L = 3 cm; readng 1 mm \"x\"}\n\n\
                  | ~{x [cm]; ± 0.1 cm \"rule\"} | ~{y [N]; ± 0.1 N \"scale\"} |\n|--|--|\n| 1.0 | 2.0 |\n| 2.0 | 4.1 |\n| 3.0 | 5.9 |\n\n\
                  ~{graph y against x; line}\n";
    for options in [Options::default(), Options { fragment: true, ..Options::default() }] {
        let page = page(source, &options).unwrap();
        let mut ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        for named in ["graph.1.title", "graph..1.title", "rationale-1", "rationale--1", "unsettled-3"] {
            assert!(ids.contains(&named), "{named} is not among {ids:?}");
        }
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), all, "{ids:?}");
        let mut asked =
            ["aria-labelledby=\"", "aria-describedby=\""].into_iter().flat_map(|name| page.split(name).skip(1));
        assert!(asked.all(|rest| rest.split('"').next().unwrap().split(' ').all(|id| ids.contains(&id))));
    }
}

#[test]
fn a_page_has_a_title_and_a_language() {
    let front = "---\ntitle: \"Wax <1>\"\nlang: de\nauthor: [A. B., C. D.]\ndate: 3 May\n---\n\nText\n";
    let out = page(front, &Options::default()).unwrap();
    assert!(out.starts_with("<!DOCTYPE html>\n<html lang=\"de\">\n"));
    assert!(out.contains("<title>Wax &lt;1&gt;</title>") && out.contains("<h1>Wax &lt;1&gt;</h1>"), "{out}");
    assert!(out.contains("<p class=\"byline\">A. B., C. D., 3 May</p>"));
    let out = page("# Heading\n", &Options { title: Some("file".into()), ..Options::default() }).unwrap();
    assert!(out.contains("<title>Heading</title>") && !out.contains("<header>"));
    let out = page("Text\n", &Options { title: Some("file".into()), ..Options::default() }).unwrap();
    assert!(out.contains("<title>file</title>"));
}

#[test]
fn a_page_asks_nobody_for_anything() {
    let out = page(MARBLE, &Options::default()).unwrap();
    for sign in ["http:", "https:", "src=", "@import", "url(", "<script", "<link"] {
        assert!(!out.contains(sign), "{sign}");
    }
}

#[test]
fn a_template_of_the_course_is_filled_in_or_refused_with_its_line() {
    let with = |template: &str| page("# T\n", &Options { template: Some(template.into()), ..Options::default() });
    assert_eq!(with("<t>{{ title }}</t>{{ body }}").unwrap(), "<t>T</t><h1 id=\"t\">T</h1>\n");
    let error = with("a\n{{ titel }}").unwrap_err();
    assert_eq!(error.line(), Some(2));
    assert!(error.to_string().contains("titel"), "{error}");
    assert!(with("{% for i in range(100000) %}{% for j in range(100000) %}{% endfor %}{% endfor %}").is_err());
    assert!(with("{% include 'x' %}").is_err());
}

fn events(markdown: &str) -> String {
    let events = Parser::new_ext(markdown, meniscus::locate::options());
    events.map(|event| format!("{event:?} ")).collect()
}

/// The text that a reader of the Markdown sees.
fn text(markdown: &str) -> String {
    let shown = Parser::new_ext(markdown, meniscus::locate::options()).map(|event| match event {
        Event::Text(text) | Event::Code(text) => text.to_string(),
        Event::SoftBreak | Event::HardBreak => " ".into(),
        Event::End(_) => "\n".into(),
        Event::InlineHtml(html) | Event::Html(html) => format!("[HTML {html}]"),
        Event::InlineMath(math) | Event::DisplayMath(math) => format!("[MATH {math}]"),
        _ => String::new(),
    });
    shown.collect()
}

/// Pieces of Markdown and of the notation, right and wrong, to be put side by side in any order.
const PIECES: [&str; 47] = [
    "\n\n| ~{n [1]; exact \"set\"} | ~{m [1]; exact \"set\"} |\n|---|---|\n| 1 | 2 |\n| 3 | 5 |\n\n",
    "~{graph m against n; line; title \"[a](b) ~{c} `\"}",
    "~{a = 3 m; reading 0.1 m \"x\"}",
    "~{b \"the *b*\" = a / 2[s]}",
    "~{a}",
    "~{a as working}",
    "~{b in km/h as full}",
    "~{a against 3.2 m \"a_b_ | c\"}",
    "~{c = 3.00(4) kg \"`d`\"}",
    "~{q = `}",
    "~{q = \"$ }",
    "~{ }",
    "~{q = 1 m; \"<a href='\" }",
    "~{q = 1 m",
    "~{rationale}",
    "~{summary}",
    "~{budget of b}",
    "~{|x}",
    " ",
    "\n",
    "\n\n",
    "\r\n",
    "text",
    "`",
    "``",
    "*",
    "**",
    "_",
    "$",
    "$x$",
    "<",
    "<b>",
    "[",
    "](u)",
    "\n- ",
    "\n> ",
    "\n# ",
    "\n\n    code\n\n",
    "\n\n| ~{t [s]} | b |\n|---|---|\n| 1 | ",
    "\n\n| ~{x [m]; ± 0.1 m} | ~{y [m] = 2 * x} | ~{z = x / 3} |\n|---|---|---|\n| 1.0 | ",
    "\n\n~{x [m]; ± 0.1 m} | ~{y [m] = 2 * x} | ~{z = x / 3}\n---|---|---\n1.0",
    " |\n| 2.0 | ",
    "||",
    "\n3.0",
    " |\n",
    "\\",
    "\n```\n",
];

fn any_markdown() -> impl Strategy<Value = String> {
    prop::collection::vec(prop::sample::select(&PIECES[..]), 0..24).prop_map(|pieces| pieces.concat())
}

/// Marks of emphasis and what may stand about them.
const MARKS: [&str; 11] = ["~{n}", "~{n}", "~{n as name}", "*", "**", "_", "~~", "a", " ", ".", "("];

/// The emphasis in a Markdown text.
fn emphasis(markdown: &str) -> Vec<String> {
    let events = Parser::new_ext(markdown, meniscus::locate::options());
    let is_emphasis = |event: &Event<'_>| {
        let text = format!("{event:?}");
        ["Emphasis", "Strong", "Strikethrough"].iter().any(|kind| text.contains(kind))
    };
    events.filter(is_emphasis).map(|event| format!("{event:?}")).collect()
}

/// Characters that Markdown or HTML reads somewhere.
const NASTY: &str = "[a-c1-3 *_`\\[\\]<>&~$|#!{}()\\\\.+=:/'%^-]{1,10}";

/// WCAG 2.2, 1.4.3 (level AA): text has a contrast of 4.5 at least; relative luminance as defined there.
#[test]
fn text_stands_out_in_light_in_the_dark_and_on_paper() {
    let page = page("# A page\n", &Options::default()).unwrap();
    let palettes: Vec<&str> = page.split(":root {").skip(1).map(|rest| rest.split('}').next().unwrap()).collect();
    assert_eq!(palettes.len(), 3, "light, dark, print");
    for palette in palettes {
        let colour = |name: &str| {
            let hex = palette.split(&format!("--{name}: #")).nth(1).unwrap().split(';').next().unwrap().trim();
            let wide = if hex.len() == 3 { hex.chars().flat_map(|c| [c, c]).collect() } else { hex.to_owned() };
            luminance(u32::from_str_radix(&wide, 16).unwrap())
        };
        let pairs = [("ink", "paper"), ("ink", "wash"), ("quiet", "paper"), ("quiet", "wash"), ("link", "paper")];
        for (text, ground) in pairs.into_iter().chain([("slip", "paper"), ("slip", "slip-wash"), ("ink", "slip-wash")])
        {
            let (a, b) = (colour(text), colour(ground));
            let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
            assert!(contrast >= 4.5, "{text} on {ground}: {contrast:.2} in {palette}");
        }
        // Of lines, 3 at least (1.4.11).
        for line in ["graph-line", "graph-extreme"] {
            let (a, b) = (colour(line), colour("paper"));
            assert!((a.max(b) + 0.05) / (a.min(b) + 0.05) >= 3.0, "{line} in {palette}");
        }
    }
}

fn luminance(rgb: u32) -> f64 {
    let part = |shift: u32| {
        let c = f64::from(rgb >> shift & 0xFF) / 255.0;
        if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
    };
    0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn rendering_twice_changes_nothing(source in any_markdown()) {
        // An opener that Markdown let be neither text nor code is a finding, and no item this time.
        prop_assume!(meniscus::locate::locate(&source).given_up.is_empty());
        for math in ALL {
            let once = markdown(&source, math);
            prop_assert_eq!(&markdown(&once, math), &once, "{:?}", math);
        }
    }

    #[test]
    fn bytes_outside_items_are_kept(source in any_markdown()) {
        let report = report::read(&source, &Course::default());
        let out = render::markdown(report.view(), &Options::default());
        let places = &report.document.places;
        // Empty cells may be filled.
        let cells = report.document.tables.iter().flat_map(|table| table.rows.iter().flatten());
        let empty = cells.filter(|cell| cell.of(&source).trim().is_empty()).copied();
        let mut changed: Vec<_> = places.iter().map(|place| place.span).chain(empty).collect();
        changed.sort();
        let starts = changed.iter().map(|span| span.start).chain([source.len()]);
        let ends = [0].into_iter().chain(changed.iter().map(|span| span.end));
        let mut rest = out.as_str();
        for (start, end) in ends.zip(starts) {
            // Tables stand between two parts of what is between two items.
            let block = places.iter().map(|place| place.block_end).find(|at| (start..=end).contains(at)).unwrap_or(start);
            for part in [&source[start..block], &source[block..end]] {
                let found = rest.find(part);
                prop_assert!(found.is_some() && (start > 0 || found == Some(0)), "{:?} is lost in {:?}", part, out);
                rest = &rest[found.unwrap_or(0) + part.len()..];
            }
        }
    }

    #[test]
    fn emphasis_is_that_of_the_source(pieces in prop::collection::vec(prop::sample::select(&MARKS[..]), 1..10)) {
        let source = format!("~{{n = 3; exact \"x\"}}\n\na {}\n", pieces.concat());
        let report = report::read(&source, &Course::default());
        prop_assert_eq!(emphasis(&bare(&source)), emphasis(&report.document.masked), "{:?}", bare(&source));
    }

    #[test]
    fn what_an_author_writes_is_text(name in NASTY, around in 0usize..7) {
        let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
        prop_assume!(!name.is_empty());
        let item = "~{x as name}";
        let place = [
            format!("a {item} b"),
            format!("{item} b"),
            format!("a {item}"),
            format!("# {item}"),
            format!("- {item}"),
            format!("| h |\n|---|\n| {item} |"),
            format!("**{item}**"),
        ];
        let source = format!("~{{x \"{name}\" = 1; exact \"e\"}}\n\n{}\n", place[around]);
        let out = bare(&source);
        let shown = text(&out);
        prop_assert!(shown.lines().any(|line| line.trim_start_matches("a ").trim_end_matches(" b") == name
            || line.contains(&name)), "{:?} became {:?}: {:?}", name, out, shown);
        prop_assert!(!shown.contains("[HTML") && !shown.contains("[MATH"), "{:?}", shown);
        let html = html(&source);
        let escaped = name.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        prop_assert!(html.contains(&escaped), "{:?} is not in {:?}", escaped, html);
    }

    #[test]
    fn html_is_made_of_anything(source in any_markdown()) {
        let out = html(&source);
        prop_assert_eq!(out.matches("<table>").count(), out.matches("</table>").count());
        prop_assert!(!out.contains("%%%%"), "a mask was left: {}", out);
    }
}
