//! What a report cannot do to a page: with `--safe` nothing of its own acts, and what its items show is text in any case.

#![allow(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use html5gum::{Token, Tokenizer};
use meniscus::course::Course;
use meniscus::render::{self, Math, Options};
use meniscus::report;
use proptest::prelude::*;
use pulldown_cmark::{Event, Options as Reading, Parser, Tag, TagEnd};

const MATHS: [Math; 3] = [Math::Plain, Math::Latex, Math::Mathml];

fn html(source: &str, options: &Options) -> String {
    let report = report::read(source, &Course::default());
    render::html(report.view(), options).unwrap()
}

fn safe(math: Math) -> Options {
    Options { safe: true, fragment: true, math, ..Options::default() }
}

fn safe_html(source: &str) -> String {
    html(source, &safe(Math::Plain))
}

fn markdown(source: &str, options: &Options) -> String {
    let report = report::read(source, &Course::default());
    render::markdown(report.view(), options)
}

fn safe_markdown(source: &str) -> String {
    markdown(source, &safe(Math::Plain))
}

/// The elements that Markdown makes and those of the tables beneath.
const ELEMENTS: [&str; 55] = [
    "p",
    "h1",
    "h2",
    "h3",
    "h4",
    "h5",
    "h6",
    "em",
    "strong",
    "del",
    "a",
    "img",
    "code",
    "pre",
    "ul",
    "ol",
    "li",
    "blockquote",
    "hr",
    "br",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "div",
    "sup",
    "span",
    "input",
    "caption",
    "math",
    "mrow",
    "mi",
    "mo",
    "mn",
    "mfrac",
    "msup",
    "msub",
    "msubsup",
    "msqrt",
    "mroot",
    "mspace",
    "mtext",
    "mstyle",
    "svg",
    "path",
    "circle",
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "main",
];

/// Their attributes.
const ATTRIBUTES: [&str; 39] = [
    "href",
    "src",
    "alt",
    "title",
    "id",
    "class",
    "style",
    "start",
    "type",
    "disabled",
    "checked",
    "scope",
    "colspan",
    "role",
    "tabindex",
    "mathvariant",
    "width",
    "lang",
    "dir",
    "stretchy",
    "charset",
    "name",
    "content",
    "aria-label",
    "aria-labelledby",
    "form",
    "lspace",
    "rspace",
    "height",
    "viewbox",
    "d",
    "cx",
    "cy",
    "r",
    "fill",
    "stroke",
    "stroke-width",
    "opacity",
    "aria-hidden",
];

/// What in a page is neither Markdown's nor the program's, or leads where it may not.
fn strange(html: &str) -> Vec<String> {
    let mut found = Vec::new();
    for Ok(token) in Tokenizer::new(html) {
        match token {
            Token::StartTag(tag) => {
                let name = String::from_utf8_lossy(&tag.name).into_owned();
                // The program's own small pictures have a class each.
                let own = || matches!(tag.attributes.get(b"class".as_slice()), Some(class) if [&b"agreement"[..], b"share"].contains(&&class[..]));
                if !ELEMENTS.contains(&name.as_str()) && name != "header" || name == "svg" && !own() {
                    found.push(format!("<{name}>"));
                }
                for (key, value) in &tag.attributes {
                    let key = String::from_utf8_lossy(key).into_owned();
                    let value = String::from_utf8_lossy(value).into_owned();
                    let leads = matches!(key.as_str(), "href" | "src") && runs(&value);
                    let looks = key == "style" && !value.starts_with("text-align: ");
                    if !ATTRIBUTES.contains(&key.as_str()) && key != "aria-describedby" || leads || looks {
                        found.push(format!("<{name} {key}={value}>"));
                    }
                }
            }
            Token::Comment(_) | Token::EndTag(_) | Token::String(_) | Token::Doctype(_) => {}
            Token::Error(_) => {}
        }
    }
    found
}

/// Would a browser run, or read from a disk, what this leads to? Said once more in other words than the program's.
fn runs(destination: &str) -> bool {
    let destination: String = destination.chars().filter(|&c| c > ' ').collect::<String>().to_lowercase();
    ["javascript:", "vbscript:", "file:", "data:text", "data:image/svg"].iter().any(|bad| destination.starts_with(bad))
}

/// The same of Markdown, in every reading: its HTML, and where its links lead.
fn strange_in_markdown(markdown: &str) -> Vec<String> {
    let own = meniscus::locate::options();
    let mut found = Vec::new();
    for reading in
        [own, own - Reading::ENABLE_MATH, Reading::ENABLE_TABLES | Reading::ENABLE_STRIKETHROUGH, Reading::empty()]
    {
        let mut block = String::new();
        for event in Parser::new_ext(markdown, reading) {
            match event {
                Event::Html(html) => block.push_str(&html),
                Event::End(TagEnd::HtmlBlock) => found.push(std::mem::take(&mut block)),
                Event::InlineHtml(html) => found.push(html.to_string()),
                Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) if runs(&dest_url) => {
                    found.push(dest_url.to_string());
                }
                Event::Start(Tag::Heading { attrs, .. }) => {
                    found.extend(attrs.iter().filter(|(key, _)| &**key != "lang").map(|(key, _)| key.to_string()));
                }
                _ => {}
            }
        }
    }
    // Items that could not be read are shown as code, and an empty element keeps two words apart.
    found.retain(|html| {
        !matches!(html.trim(), "<code>" | "</code>" | "<span >" | "</span>") && !html.trim().starts_with("<!--")
    });
    found
}

#[test]
fn what_is_no_item_stays_none() {
    // The item is given up for the link about it; without the link it would be read.
    let source = "[r]: javascript:x\n\">~{e \"](javascript:x) <img onerror=x>\" = 3; exact}\"";
    let once = safe_markdown(source);
    assert!(once.contains(r"\~{e") && safe_markdown(&once) == once, "{once}");
}

#[test]
fn html_of_the_report_is_shown_as_text() {
    for (source, shown, in_markdown) in [
        ("a <b>c</b>\n", "<p>a &lt;b&gt;c&lt;/b&gt;</p>\n", "a \\<b>c\\</b>\n"),
        (
            "<div onclick=\"x\">\n*a*\n</div>\n",
            "<p>&lt;div onclick=\"x\"&gt;\n*a*\n&lt;/div&gt;</p>\n",
            "\\<div onclick=\"x\">\n\\*a\\*\n\\</div>\n",
        ),
        (
            "<script>\nx\n</script>\ny\n",
            "<p>&lt;script&gt;\nx\n&lt;/script&gt;</p>\n<p>y</p>\n",
            "\\<script>\nx\n\\</script>\n\ny\n",
        ),
        ("> <p>\n> b\nc\n", "<blockquote>\n<p>&lt;p&gt;\nb</p>\n</blockquote>\n<p>c</p>\n", "> \\<p>\n> b\n\nc\n"),
        ("- <hr>\n- b\n", "<ul>\n<li>\n<p>&lt;hr&gt;</p>\n</li>\n<li>b</li>\n</ul>\n", "- \\<hr>\n- b\n"),
        ("<!-- note -->\na <!-- b -->\n", "<!-- note -->\n<p>a <!-- b --></p>\n", "<!-- note -->\na <!-- b -->\n"),
        ("<!--> <b> -->\n", "<p>&lt;!--&gt; &lt;b&gt; --&gt;</p>\n", "\\<!--> \\<b> -->\n"),
        (
            "| <i>a |\n|---|\n",
            "<table><thead><tr><th>&lt;i&gt;a</th></tr></thead><tbody>\n</tbody></table>\n",
            "| \\<i>a |\n|---|\n",
        ),
        (
            "`<b>` $a<b$ \\<b>\n",
            "<p><code>&lt;b&gt;</code> <span class=\"math math-inline\">a&lt;b</span> &lt;b&gt;</p>\n",
            "`<b>` $a<b$ \\<b>\n",
        ),
    ] {
        assert_eq!(safe_html(source), shown, "{source}");
        assert_eq!(safe_markdown(source), in_markdown, "{source}");
        assert_eq!(markdown(source, &Options::default()), source, "without the flag nothing changes");
    }
}

#[test]
fn links_that_run_or_reveal_lose_their_destination() {
    for destination in [
        "javascript:alert(1)",
        "JAVASCRIPT:alert(1)",
        "java&#x0A;script:alert(1)",
        "java&Tab;script&colon;alert(1)",
        "&#1;javascript:x",
        "<java\u{1}script:x>",
        "<  javascript:x>",
        "vbscript:x",
        "file:///etc/passwd",
        "data:text/html;base64,PHN2Zz4=",
        "data:image/svg+xml,x",
        "javascript&#58;x",
        "javascript\\:x",
    ] {
        for (source, shown) in [
            (format!("a [b *c*]({destination} 't') d\n"), "a b *c* d\n"),
            (format!("a ![b *c*]({destination}) d\n"), "a b *c* d\n"),
            (format!("a [b][r] [r] d\n\n[r]: {destination}\n"), "a b r d\n\n\n"),
            (format!("a [![b]({destination})](u) d\n"), "a [b](u) d\n"),
        ] {
            assert_eq!(safe_markdown(&source), shown, "{source}");
            let page = safe_html(&source);
            assert!(!page.contains("<img") && (!page.contains("<a ") || page.contains("<a href=\"u\">")), "{page}");
            assert_eq!(page, safe_html(shown), "{source}");
        }
    }
    assert_eq!(safe_markdown("<javascript:x_y>\n"), "javascript:x_y\n");
    assert_eq!(safe_html("<javascript:x_y>\n"), "<p>javascript:x_y</p>\n");
    for kept in ["[a](u) ![b](data:image/png;base64,AA) <https://x.example>\n", "[a][b]\n\n[b]: <c d> 'e'\n"] {
        assert_eq!(safe_markdown(kept), kept);
        assert_eq!(safe_html(kept), html(kept, &Options { fragment: true, ..Options::default() }));
    }
}

#[test]
fn headings_lose_attributes_that_act() {
    let source = "# A {#a .b onclick=x style=y lang=de}\n";
    assert_eq!(safe_html(source), "<h1 id=\"a\" class=\"b\" lang=\"de\">A</h1>\n");
    assert_eq!(safe_markdown(source), "# A {#a .b}\n");
    assert_eq!(safe_markdown("# A {onclick=x}\n"), "# A \n");
    assert_eq!(safe_markdown("# A {#a lang=de}\n"), "# A {#a lang=de}\n");
}

#[test]
fn mathematics_is_no_way_round() {
    let source = "$<script>x</script>$ and $[a](javascript:x)$\n";
    assert_eq!(strange_in_markdown(&safe_markdown(source)), [""; 0]);
}

/// Runs the program with a template, and gives its status, what it wrote and what it said.
fn with_template(template: &str) -> (i32, String, String) {
    let folder = tempfile::TempDir::new().unwrap();
    std::fs::write(folder.path().join("secret.html"), "SECRET").unwrap();
    std::fs::write(folder.path().join("page.html"), template).unwrap();
    std::fs::write(folder.path().join("a.md"), "# A\n").unwrap();
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_meniscus"));
    let run = command.args(["render", "--template", "page.html", "a.md"]).current_dir(folder.path()).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (run.status.code().unwrap(), text(run.stdout), text(run.stderr))
}

#[test]
fn a_template_has_no_files_no_endless_time_and_no_guesses() {
    for (template, said) in [
        // No files, by whatever name.
        ("<p>\n{% include \"secret.html\" %}", "page.html:2: syntax error: unknown statement include"),
        ("{% extends \"secret.html\" %}", "page.html:1: syntax error: unknown statement extends"),
        ("{% import \"secret.html\" as s %}", "page.html:1: syntax error: unknown statement import"),
        ("{% from \"secret.html\" import s %}", "page.html:1: syntax error: unknown statement from"),
        ("{{ open(\"secret.html\") }}", "page.html:1: unknown function"),
        ("{{ \"secret.html\"|load }}", "page.html:1: unknown filter"),
        ("{{ body.__class__ }}", "page.html:1: undefined value"),
        // No endless time, and no endless text.
        (
            "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}",
            "page.html:1: engine ran out of fuel",
        ),
        ("{% for a in range(100000000) %}{% endfor %}", "page.html:1: invalid operation"),
        ("{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}", "page.html:1: "),
        // No guesses.
        ("<title>\n\n{{ titel }}", "page.html:3: undefined value: `titel`"),
        ("{% if titel %}{% endif %}", "page.html:1: undefined value: `titel`"),
        ("{{ title }", "page.html:1: syntax error"),
        ("{% for %}", "page.html:1: syntax error"),
    ] {
        let (status, written, told) = with_template(template);
        assert_eq!((status, written.as_str()), (2, ""), "{template}\n{told}");
        assert!(told.contains(said), "{template}\n{told}");
        assert!(!told.contains("SECRET"), "{told}");
    }
    let (status, written, _) = with_template("<t>{{ title }}</t>{{ body }}");
    assert_eq!((status, written.as_str()), (0, "<t>A</t><h1 id=\"a\">A</h1>\n"));
}

/// Pieces of Markdown, harmless ones and others.
const PIECES: &[&str] = &[
    "a ",
    " ",
    "\n",
    "\n\n",
    "\n> ",
    "\n- ",
    "\n    ",
    "\n# ",
    "\n===\n",
    "\n```\n",
    "`",
    "*",
    "_",
    "$",
    "\\",
    " | ",
    "\n|-|-|\n",
    "<b>",
    "</b>",
    "<script>",
    "</script>",
    "<img src=x onerror=y>",
    "<!--",
    "-->",
    "<!-- a -->",
    "<?",
    "?>",
    "<a href=\"",
    "\">",
    "<",
    ">",
    "<svg/onload=x>",
    "\n<div>\n",
    "\n</div>\n",
    "[",
    "]",
    "](",
    "](javascript:x)",
    "](JaVa&#10;ScRiPt:x \"t\")",
    ")",
    "![",
    "[r]",
    "\n[r]: javascript:x\n",
    "\n[r]: u\n",
    "[^r]",
    "\n[^r]: javascript:x\n",
    "<javascript:x>",
    "<data:text/html,x>",
    " {onclick=x}",
    " {#a}",
    "(",
    "\"",
    "&lt;script&gt;",
    "&#x3c;b>",
    "&",
    "~~",
    "~{d = 3; exact \"<b>\"}",
    "~{d as name}",
    "~{d =}",
    "~{",
    "}",
    "~{e \"](javascript:x) <img onerror=x>\" = 3; exact}",
    "~{e as name}",
    "\u{0}",
    "\t",
    "é",
];

fn reports() -> impl Strategy<Value = String> {
    prop::collection::vec(prop::sample::select(PIECES), 1..16).prop_map(|pieces| pieces.concat())
}

/// What a student could write where text is wanted.
fn hostile() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(
        &[
            "<script>alert(1)</script>",
            "<img src=x onerror=y>",
            "\">",
            "'>",
            "</td></tr></table>",
            "-->",
            "<!--",
            "]]>",
            "<![CDATA[",
            "$",
            "$$",
            "\\input{x}",
            "\\",
            "}",
            "{",
            "{{x}}",
            "{%",
            "`",
            "``",
            "|",
            "*",
            "_",
            "[a](javascript:x)",
            "](u)",
            "![",
            "<javascript:x>",
            "&lt;",
            "&#60;b>",
            "&",
            "#",
            "~{d}",
            "~~",
            "^",
            "%",
            " ",
            "a",
            "\u{202E}",
            "\u{0}",
            "</style>",
            "</title>",
            "</math>",
            "</mi>",
            "\\(",
            "\\]",
        ][..],
    );
    // A quote would end the name.
    prop::collection::vec(pieces, 1..6).prop_map(|pieces| pieces.concat().replace('”', ""))
}

/// A `~{` that Markdown lets be neither text nor code stands where the figures and rationales of other items may come
/// between it and what made it so.
#[test]
fn an_opener_that_was_given_up_stays_literal() {
    let once = safe_markdown("~{d = 3; exact \"<b>\"}`~{\n> }`");
    assert!(once.starts_with("d = 3`\\~{\n"), "{once}");
    assert_eq!(safe_markdown(&once), once);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_safe_report_acts_on_no_page(source in reports()) {
        for math in MATHS {
            let page = html(&source, &safe(math));
            prop_assert_eq!(strange(&page), [""; 0], "{}", page);
        }
        let out = safe_markdown(&source);
        prop_assert_eq!(strange_in_markdown(&out), [""; 0], "{}", out);
    }

    #[test]
    fn what_is_safe_already_stays(source in reports()) {
        // Without its attributes a heading can be none any more.
        let once = safe_markdown(&source.replace("{onclick=x}", ""));
        prop_assume!(!once.contains("<code>") && !once.contains("&#60;") && !once.contains("<span >") && !once.contains("<!--"));
        prop_assert_eq!(safe_markdown(&once), once);
    }

    #[test]
    fn names_reasons_units_and_titles_are_text(name in hostile(), reason in hostile(), title in hostile()) {
        let quoted = serde_json::to_string(&title).unwrap();
        let source = format!(
            "---\ntitle: {quoted}\nauthor: {quoted}\ndate: {quoted}\nlang: {quoted}\nmeniscus: {{instruments: {{rule: {{name: {quoted}, division: 1 mm, read_to: 1/4}}}}}}\n---\n\n\
             A ~{{d “{name}” = 3.1 mm; ± 0.2 mm “{reason}”}}, ~{{e “{reason}” = 4.00 mm; with rule}} and ~{{a “{name}” = d * e as working}}.\n\n\
             # ~{{d as name}}\n\n| ~{{x “{name}” [cm]; ± 0.1 cm “{reason}”}} | ~{{e as name}} |\n|---|---|\n| 2.0 | 1 |\n\n![~{{d as name}}](u)\n\n~{{summary}}\n\n~{{budget of a}}\n",
        );
        for math in MATHS {
            let page = html(&source, &Options { math, ..Options::default() });
            prop_assert_eq!(strange(&page), [""; 0], "{}", page);
            if math == Math::Mathml {
                continue;
            }
            let out = markdown(&source, &Options { math, ..Options::default() });
            let body = &out[out.find("\n---\n").unwrap() + 5..];
            prop_assert_eq!(strange_in_markdown(body), [""; 0], "{}", body);
            for event in Parser::new_ext(body, meniscus::locate::options()) {
                if let Event::InlineMath(tex) | Event::DisplayMath(tex) = event {
                    prop_assert!(math == Math::Latex && !tex.contains("input") && !tex.contains('<'), "{}", tex);
                }
            }
        }
    }
}
