//! Items in Markdown: where they are found, how they end, what holds them; and the laws that masking keeps.

use std::ops::Range;

use meniscus::locate::{Document, End, Setting, locate, options};
use proptest::prelude::*;
use pulldown_cmark::{Event, LinkType, Options, Parser, Tag};

fn texts(source: &str) -> Vec<String> {
    locate(source).places.iter().map(|place| place.text.to_string()).collect()
}

fn check(table: &[(&str, &[&str])]) {
    for (source, expected) in table {
        assert_eq!(texts(source), *expected, "{source:?}");
    }
}

#[test]
fn running_text_holds_items() {
    check(&[
        ("The block is ~{l = 12.4 cm} long.", &["~{l = 12.4 cm}"]),
        ("~{a}~{b} ~{c}\n~{d}", &["~{a}", "~{b}", "~{c}", "~{d}"]),
        ("~{}", &["~{}"]),
        ("*~{a}* **b ~{b}** _~{c}_ a*~{d}*b", &["~{a}", "~{b}", "~{c}", "~{d}"]),
        ("*~{v = 2 * a_1 * t_1} and* _x ~{w = a_b} y_", &["~{v = 2 * a_1 * t_1}", "~{w = a_b}"]),
        ("~~~{a}~~ b", &[]),
        ("x ~~~{a}~~ ~~b ~{b}~~ (~{c}~{d})", &["~{a}", "~{b}", "~{c}", "~{d}"]),
        ("[see ~{a}](u) [~{b}][r] ![the ~{c}](u)\n\n[r]: u", &["~{a}", "~{b}", "~{c}"]),
        ("- a ~{a}\n  - ~{b}\n\n1) ~{c}\n\n- [ ] ~{d}\n- [x] e ~{e}", &["~{a}", "~{b}", "~{c}", "~{d}", "~{e}"]),
        ("> ~{a}\n> > ~{b}\n\n> [!NOTE]\n> ~{c}", &["~{a}", "~{b}", "~{c}"]),
        ("Note[^n].\n\n[^n]: With ~{a}.\n    \n    And ~{b}.", &["~{a}", "~{b}"]),
        ("מדדנו ~{ל \"אורך\" = 3 cm} 🧪~{🦀 “דג” }", &["~{ל \"אורך\" = 3 cm}", "~{🦀 “דג” }"]),
        ("a\t~{a\t=\t1}\tb", &["~{a\t=\t1}"]),
        ("a &amp; ~{a \"R&amp;D\"} &lt; ~{b}", &["~{a \"R&amp;D\"}", "~{b}"]),
        ("<b>~{a}</b> <i title=x>~{b}", &["~{a}", "~{b}"]),
        ("~{a \"`\"} b ~{b \"`\"} c ~{c \"`\"} d ~{d}", &["~{a \"`\"}", "~{b \"`\"}", "~{c \"`\"}", "~{d}"]),
        (
            "It cost $5, ~{a \"$3\" = 3} and ~{b \"<\"} or ~{c \"-->\"}.",
            &["~{a \"$3\" = 3}", "~{b \"<\"}", "~{c \"-->\"}"],
        ),
        ("- - -\n~{a}\n***\n~{b}", &["~{a}", "~{b}"]),
    ]);
}

#[test]
fn items_run_over_lines() {
    check(&[
        ("~{d = 3 mm;\nreading 1 mm}", &["~{d = 3 mm;\nreading 1 mm}"]),
        ("~{d = 3 mm;\n- reading 1 mm\n# b\n1. c} e", &["~{d = 3 mm;\n- reading 1 mm\n# b\n1. c}"]),
        ("~{d\n===\n---\n}", &["~{d\n===\n---\n}"]),
        ("> ~{d = 3 mm;\n>  reading 1 mm}", &["~{d = 3 mm;\n   reading 1 mm}"]),
        ("> > ~{d\n> > > b}\nc", &["~{d\n    > b}"]),
        ("> ~{d\nb}", &["~{d\nb}"]),
        ("- > ~{d\n  > \tb}", &["~{d\n     b}"]),
        ("> - ~{d\r\n>   b}", &["~{d\r\n    b}"]),
        ("~{d\n>b}", &["~{d\n>b}"]),
        ("~{d  \nb\\\nc}", &["~{d  \nb\\\nc}"]),
        ("Set ~{a;\nb} text\n===", &["~{a;\nb}"]),
    ]);
}

#[test]
fn headings_hold_items_on_their_line() {
    check(&[
        ("# Speed ~{v}\n## ~{a} ##\n###### b ~{b}", &["~{v}", "~{a}", "~{b}"]),
        ("Speed ~{v}\n===\nb ~{b}\n---", &["~{v}", "~{b}"]),
        ("# Speed ~{v = 3\n m}", &["~{v = 3"]),
        ("#~{v = 3\n m}", &["~{v = 3\n m}"]),
        ("# Speed ~{v} {#speed .x}\n\nSpeed ~{b} {#b}\n===", &["~{v}", "~{b}"]),
        ("# Speed {#~{v}}", &[]),
        ("# {x} ~{v}", &["~{v}"]),
    ]);
}

#[test]
fn tables_hold_items_in_cells() {
    check(&[
        ("| ~{x [cm]} | b |\n|---|---|\n| 1 | ~{y} |", &["~{x [cm]}", "~{y}"]),
        ("~{x \"a \\| b\" [cm]} | b\n-|-\n~{y \"c \\| d\"}|", &["~{x \"a \\| b\" [cm]}", "~{y \"c \\| d\"}"]),
        ("| ~{x \"a | b\" [cm]} | b |\n|---|---|\n| ~{y \"c|d\"} | 2 |", &["~{x \"a | b\" [cm]}", "~{y \"c|d\"}"]),
        ("> | ~{x} | b |\n> |---|---|\n> | 1 | 2 |", &["~{x}"]),
        ("| a |\n|---|\n| ~{x} | ~{y} |", &["~{x}"]),
    ]);
}

#[test]
fn what_is_not_text_holds_none() {
    for source in [
        "`~{a}` ``~{b} ` ~{c}``",
        "```\n~{a}\n```\n\n~~~ x\n~{b}\n~~~\n\n    ~{c}",
        "> ```\n> ~{a}\n\n- \t\t~{b}",
        "<div>\n~{a}\n</div>\n\n<!-- ~{b} -->\n\n<? ~{c} ?>\n\n<pre>\n\n~{d}</pre>",
        "a <b title=\"~{a}\"> <!-- ~{b} --> </b>",
        "$~{a}$ $$x ~{b}$$",
        "[a](~{b}) [a](<~{b}>) [a](u \"~{b}\") ![c](~{b} 'd')",
        "[a]\n\n[a]: ~{b} \"~{c}\"\n[~{d}]: u",
        "<https://x.example/~{a}>",
        "\\~{a} \\\\\\~{b}",
        "---\nx: ~{a}\n---\n",
        "~ {a} ~\\{a} {~a}",
    ] {
        assert_eq!(texts(source), [""; 0], "{source:?}");
    }
}

#[test]
fn code_that_only_items_make_is_text() {
    check(&[
        ("~{a \"`\" = 1} `~{b}` ~{c}", &["~{a \"`\" = 1}", "~{c}"]),
        ("` ~{a \"`\" = 1} ~{b}", &["~{b}"]),
        ("\\\\~{a} \\`~{b}\\`", &["~{a}", "~{b}"]),
    ]);
}

#[test]
fn rules_further_down_are_no_front_matter() {
    check(&[
        ("a\n\n---\n~{b}\n\nc\n\n---\n", &["~{b}"]),
        ("---\n\nx: ~{a}\n\n---\n", &["~{a}"]),
        ("---\nx: ~{a}\n---\n~{b}\n---\n~{c}\n---\n", &["~{b}", "~{c}"]),
    ]);
}

#[test]
fn line_endings_and_marks() {
    for end in ["\n", "\r\n", "\r"] {
        let source =
            format!("\u{FEFF}---{end}t: 1{end}---{end}# ~{{a{end}{end}> ~{{b;{end}> c}}{end}{end}~{{d{end}{end}e}}");
        let document = locate(&source);
        let expected =
            [("~{a".to_owned(), End::Line), (format!("~{{b;{end}  c}}"), End::Closed), ("~{d".to_owned(), End::Blank)];
        let found: Vec<_> = document.places.iter().map(|place| (place.text.to_string(), place.end)).collect();
        assert_eq!(found, expected, "{source:?}");
        assert_eq!(document.front_matter.map(|yaml| yaml.of(&source)), Some(format!("t: 1{end}").as_str()));
        assert!(source[document.start..].starts_with("# "));
        assert!(document.places[0].span.of(&source).starts_with("~{a"), "places are those of the whole source");
    }
    check(&[("# a\r~{b}\r\r```\r~{c}\r```\r~{d}", &["~{b}", "~{d}"]), ("    ~{a}\r\r<b>\r~{b}\r\r~{c}\r", &["~{c}"])]);
    let document = locate("\u{FEFF}~{a}");
    assert_eq!((document.start, document.places[0].span.start), (3, 3));
}

#[test]
fn how_items_end() {
    for (source, text, end) in [
        ("~{a} b", "~{a}", End::Closed),
        ("~{a b", "~{a b", End::Blank),
        ("~{a b  \nc\n\nd}", "~{a b", End::Blank),
        ("> ~{a\n>\n> b}", "~{a", End::Blank),
        ("> ~{a\n\n> b}", "~{a", End::Blank),
        ("- ~{a\n \t\n  b}", "~{a", End::Blank),
        ("~{a ~{b}", "~{a", End::Opener),
        ("- ~{a\n- ~{b}", "~{a", End::Opener),
        ("~{a \\~{b}", "~{a \\~{b}", End::Closed),
        ("# ~{a\nb}", "~{a", End::Line),
        ("# ~{a | b\n", "~{a | b", End::Line),
        ("| ~{a | b |\n|---|---|\n| c | d} |", "~{a", End::Line),
        ("| x | y |\n|---|---|\n| ~{a \\| b | c | ~{d} |", "~{a \\| b", End::Line),
        ("~{a\n```\n{}\n```", "~{a", End::Blank),
        ("~{a \"b} c\" } d", "~{a \"b} c\" }", End::Closed),
        ("~{a \"b} c", "~{a \"b}", End::Closed),
        ("~{a “b} c\" d} “e” ~{f}", "~{a “b} c\" d} “e”", End::Opener),
        ("~{a “b} c", "~{a “b}", End::Closed),
        ("~{a „b} c“ ; d} e", "~{a „b} c“ ; d}", End::Closed),
        ("~{a „b} c” d", "~{a „b}", End::Closed),
        ("~{a \"b ~{c} d", "~{a \"b", End::Opener),
        ("~{a \"b ~{c\" } d", "~{a \"b ~{c\" }", End::Closed),
        ("~{a \"b ~{c \"d\" } e", "~{a \"b", End::Opener),
        ("~{a \"b ~{c}\" } d", "~{a \"b ~{c}\" }", End::Closed),
        ("~{a \"b} c ~{d \"e\" } f", "~{a \"b}", End::Closed),
        ("- ~{a \"b}\n- c ~{d \"e\" } f", "~{a \"b}", End::Closed),
        ("~{", "~{", End::Blank),
    ] {
        let document = locate(source);
        let first = &document.places[0];
        assert_eq!((first.text.as_ref(), first.end), (text, end), "{source:?}");
    }
}

#[test]
fn an_unclosed_item_takes_neither_code_nor_table_with_it() {
    let source = "~{a = 3 mm\n```\nx = {}\n```\n~{b\n| c | d |\n|---|---|\n| ~{e} | } |\n";
    let document = locate(source);
    let found: Vec<_> = document.places.iter().map(|place| (place.text.as_ref(), place.setting)).collect();
    assert_eq!(found, [("~{a = 3 mm", Setting::Text), ("~{b", Setting::Text), ("~{e}", Setting::Cell)]);
    let code =
        Parser::new_ext(&document.masked, options()).filter(|event| matches!(event, Event::Start(Tag::CodeBlock(_))));
    assert_eq!(code.count(), 1);
}

#[test]
fn settings() {
    let source = "~{a} *~{b}*\n\n# ~{c}\n\nd ~{d}\n---\n\n| a | ~{e} | ![~{f}](u) ~{g} |\n|-|-|-|\n| ~{h} | ![~{i}](u) |\n\n- ~{j}\n\n![k ~{k}](u)\n\n| ~{l} |\n|-|\n| 1 |\n";
    let heading = |table, column| Setting::HeadingCell { table, column };
    let found: Vec<_> = locate(source).places.iter().map(|place| place.setting).collect();
    use Setting::{AltText, Cell, Heading, Text};
    let expected = [
        Text,
        Text,
        Heading,
        Heading,
        heading(0, 1),
        AltText,
        heading(0, 2),
        Cell,
        AltText,
        Text,
        AltText,
        heading(1, 0),
    ];
    assert_eq!(found, expected);
}

#[test]
fn tables_with_items_in_the_heading() {
    let source = "| a |\n|---|\n| ~{z} |\n\n> | ~{x [cm]} | ![~{y}](u) | c |\n> |---|:--|--|\n> | 1.0 || `3`\n> | 2.0\n> | \\| | 5 | 6 | 7 |\n\n![~{w}](u) | b\n-|-\n1 | 2\n\n~{v}|\r\n-|\r\n\r\n";
    let document = locate(source);
    let cells =
        |row: &[meniscus::span::Span]| row.iter().map(|cell| cell.of(source).trim()).collect::<Vec<_>>().join("·");
    assert_eq!(document.tables.len(), 2, "those with only an item in a row or an image are none");
    let first = &document.tables[0];
    assert_eq!(cells(&first.heading), "~{x [cm]}·![~{y}](u)·c");
    assert_eq!(first.rows.iter().map(|row| cells(row)).collect::<Vec<_>>(), ["1.0··`3`", "2.0··", "\\|·5·6"]);
    let end_of_row = source.find("2.0").unwrap() + 3;
    assert_eq!(first.rows[1][2].range(), end_of_row..end_of_row, "a missing cell lies at the row's end, in its line");
    assert!(first.span.of(source).ends_with("| 7 |"));
    assert_eq!(document.tables[1].span.of(source), "~{v}|\r\n-|");
    assert!(document.tables[1].rows.is_empty());
}

/// What follows the block of the first item, where rationale would be put in between.
fn beneath(source: &str) -> (&str, &str) {
    let end = locate(source).places[0].block_end;
    source.split_at(end)
}

#[test]
fn blocks_end_outside_whatever_holds_the_item() {
    for (block, rest) in [
        ("a ~{a}\nb", "\n\nc"),
        ("a ~{a}", ""),
        ("a ~{a}", "  \n"),
        ("a ~{a;\nb}", "\r\n\r\nc"),
        ("# ~{a}", "\nb"),
        ("b\n~{a}\n---", "\nc"),
        ("- ~{a}\n- b\n\n  c", "\n\n\nd"),
        ("> > ~{a}\n>\n> b", "\n\nc"),
        ("> - ~{a}\n>   - b", "\n\nc"),
        ("| ~{a} |\n|---|\n| b |", "\n\nc"),
        ("[^1]: ~{a}\n\n    b", "\n\nc"),
        ("~{a}", "\n- b"),
        ("~{a}", "\n```\nb\n```"),
    ] {
        let source = format!("x[^1]\n\n{block}{rest}");
        let (before, after) = beneath(&source);
        assert_eq!((&before[7..], after), (block, rest), "{source:?}");
    }
}

#[test]
fn openers_that_masking_gives_up() {
    for (source, given_up) in [
        ("[x](~{d(a})", 1),
        ("[x](u \"~{d \"y\"}\")", 1),
        ("<b title=\"~{d \"y\"}\">", 1),
        ("# Speed {#~{v}}", 1),
        ("| a |\n|---|\n| b | ~{x} ~{y} |", 2),
        ("[x](~{d}) `~{d}` \\~{d}", 0),
        ("~{d}", 0),
    ] {
        let document = locate(source);
        assert_eq!(document.given_up.len(), given_up, "{source:?}");
        assert!(document.given_up.iter().all(|span| span.of(source) == "~{"), "{source:?}");
        assert_eq!(document.places.len(), usize::from(source == "~{d}"), "{source:?}");
    }
}

#[test]
fn a_report_without_items_is_left_alone() {
    for source in ["", "\u{FEFF}", "# a\n\nb `~{c}`\n", "---\na: 1\n---"] {
        let document = locate(source);
        assert!(document.places.is_empty() && document.given_up.is_empty());
        assert_eq!(document.masked, source);
    }
    assert_eq!(locate("---\na: 1\n---").front_matter.map(|yaml| yaml.range()), Some(4..9));
}

#[test]
fn large_and_deep_input_is_read_on_a_small_stack() {
    let reports = [
        ("~{".repeat(20_000), 20_000),
        ("~{x “ ".repeat(20_000), 20_000),
        ("~{x \"".repeat(20_000), 19_999),
        ("“~{x”\n".repeat(5_000), 5_000),
        ("| ~{x ".repeat(5_000), 5_000),
        (format!("# {}}}", "~{x} ".repeat(20_000)), 20_000),
        (format!("{}~{{x}}", "> ".repeat(5_000)), 1),
        (format!("{}~{{x}}", "- ".repeat(2_000)), 1),
        (format!("{}~{{x}}{}", "[".repeat(20_000), "]".repeat(20_000)), 1),
        (format!("~{{x = {}}}", "(".repeat(100_000)), 1),
    ];
    let small = std::thread::Builder::new().stack_size(2 << 20);
    let counts =
        small.spawn(|| reports.map(|(report, count)| (locate(&report).places.len(), count))).unwrap().join().unwrap();
    for (found, expected) in counts {
        assert_eq!(found, expected);
    }
}

/// Pieces that Markdown reads, and items with and without them.
const PIECES: &[&str] = &[
    "a ",
    " ",
    "\n",
    "\n\n",
    "\r\n",
    "\r",
    "\n> ",
    "> > ",
    "\n- ",
    "\n1. ",
    "\n    ",
    "\t",
    "\n# ",
    " {#x}",
    "\n===\n",
    "\n```\n",
    "`",
    "``",
    "~~",
    "\n~~~\n",
    "$",
    "$$",
    "*",
    "_",
    "**",
    "\\",
    " | ",
    "\n|---|---|\n",
    "\n-|-\n",
    "\n|-|\n",
    "<",
    ">",
    "<b a=\"",
    "<!-- ",
    "-->",
    "\n<div>\n",
    "<http://x/",
    "[",
    "]",
    "](",
    ")",
    "![",
    "[^n]",
    "\n[^n]: ",
    "\n[a]: ",
    "[a]",
    "(",
    "\"",
    "“",
    "”",
    "„",
    "{",
    "}",
    "&amp;",
    "é",
    "🧪",
    "\u{202E}",
    "\n---\n",
    "~{",
    "~{d}",
    "~{d = 3 mm}",
    "~{d \"x\" = 3[m]}",
    "~{x \"a \\| b\"}",
    "~{x \"a | b\"}",
    "~{d \"}\" = `}",
    "~{a;\nb \"c\"}",
    "~{a;\n- b}",
    "~{a;\n> b}",
    "~{a;\r\n\tb}",
    "~{a $}",
    "~{a < b}",
    "~{a](b)}",
    "~{a \"",
    "~{a(b}",
    "\\~{d}",
    "~{d “x” }",
    "~{ü  „ö“}",
];

fn reports() -> impl Strategy<Value = String> {
    prop::collection::vec(prop::sample::select(PIECES), 1..20).prop_map(|pieces| pieces.concat())
}

/// The stretches of a report that are read as text, not as code, HTML, math or a destination.
fn text_of(markdown: &str, start: usize, options: Options) -> Vec<Range<usize>> {
    let (mut found, mut barred) = (Vec::new(), Vec::new());
    for (event, range) in Parser::new_ext(&markdown[start..], options).into_offset_iter() {
        match event {
            Event::Start(tag) => barred.push(matches!(
                tag,
                Tag::CodeBlock(_) | Tag::HtmlBlock | Tag::Link { link_type: LinkType::Autolink | LinkType::Email, .. }
            )),
            Event::End(_) => drop(barred.pop()),
            Event::Text(_) if !barred.contains(&true) => found.push(range.start + start..range.end + start),
            _ => {}
        }
    }
    found
}

fn is_text(texts: &[Range<usize>], at: usize) -> bool {
    texts.iter().any(|text| text.contains(&at))
}

/// Is every byte as it was, but for those of items that end no line? A lone `\r` may be a `\n`.
fn masked_alike(document: &Document<'_>) -> bool {
    let source = document.source.replace("\r\n", "\0\n").replace('\r', "\n").replace('\0', "\r");
    let inside = |at: usize| document.places.iter().any(|place| place.span.contains(at));
    let pairs = source.bytes().zip(document.masked.bytes()).enumerate();
    document.masked.len() == document.source.len()
        && pairs
            .into_iter()
            .all(|(at, (was, is))| was == is || inside(at) && is == b'%' && !matches!(was, b'\n' | b'\r'))
}

/// Openers, by hand: no backslash before them, or an even number.
fn openers(document: &Document<'_>) -> Vec<usize> {
    let body = &document.source[document.start..];
    let escaped = |at: usize| body[..at].len() - body[..at].trim_end_matches('\\').len();
    body.match_indices("~{")
        .map(|(at, _)| at)
        .filter(|&at| escaped(at) % 2 == 0)
        .map(|at| at + document.start)
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn masking_changes_nothing_outside_items(source in reports()) {
        let document = locate(&source);
        prop_assert!(masked_alike(&document), "{:?}", document.masked);
    }

    #[test]
    fn places_are_in_order_and_whole(source in reports()) {
        let document = locate(&source);
        let mut end = document.start;
        for place in &document.places {
            prop_assert!(end <= place.span.start && place.span.end <= place.block_end);
            end = place.span.end;
            let written = place.span.of(&source);
            let whole = written.starts_with("~{") && !written.ends_with([' ', '\t', '\n', '\r']);
            prop_assert!(whole, "{:?}", written);
            prop_assert!(place.end != End::Closed || written.ends_with('}'), "{:?}", written);
            prop_assert_eq!(place.text.len(), written.len());
            for (is, was) in place.text.bytes().zip(written.bytes()) {
                prop_assert!(is == was || is == b' ' && matches!(was, b'>' | b'\t'));
            }
            let line = source[place.block_end..].split(['\n', '\r']).next().unwrap_or("");
            prop_assert!(line.trim().is_empty(), "{:?} follows the block", line);
        }
    }

    #[test]
    fn masks_are_text_and_no_other_opener_is(source in reports()) {
        let document = locate(&source);
        let texts = text_of(&document.masked, document.start, options());
        for place in &document.places {
            for at in place.span.range().filter(|&at| document.masked.as_bytes()[at] == b'%') {
                prop_assert!(is_text(&texts, at), "{} in {:?}", at, document.masked);
            }
        }
        let plain = options() - Options::ENABLE_STRIKETHROUGH - Options::ENABLE_HEADING_ATTRIBUTES;
        let texts = text_of(&document.masked, document.start, plain);
        for at in openers(&document) {
            let known = document.places.iter().any(|place| place.span.contains(at));
            let given_up = document.given_up.iter().any(|span| span.start == at);
            prop_assert!(known || given_up || !is_text(&texts, at), "{} in {:?}", at, document.masked);
        }
    }
}

/// Blocks of our own, of every kind that Markdown has.
const BLOCKS: &[&str] = &[
    "a block of wax",
    "one line\nand another",
    "hard  \nbreak\\\nhere",
    "*gate* and **gate** _x_ __y__ *a **b** c*",
    "2 * 3 * 4 and a_b_c",
    "~~struck~~ ~x~ ~ y",
    "`code` and ``a ` b``",
    "lone ` tick, \\` and \\\\",
    "$x^2$ and $$y$$ for $5",
    "[link](u) [b](<u v> 'title') [c](u \"t\")",
    "[ref][r] [r] [r][] [none] [no][ne]\n\n[r]: u 'title'",
    "[r]: u\n\"and\" more [r]",
    "![alt *b*](u) ![r]\n\n[r]: <u>",
    "[a [b](u) c](v) [](w)",
    "[open and ](u and <b",
    "<b>bold</b> <i class=\"x\" id=y> <br/> a < b > c",
    "<!-- note --> <?php x ?> <![CDATA[y]]> <!X y>",
    "<https://x.example> <me@x.example> <x:y z>",
    "&amp; &#35; &copy; & &x;",
    "note[^n] and [^m]\n\n[^n]: text\n    more",
    "# Heading",
    "## Closed ##\ntext",
    "### Named {#id .class}",
    "# {x} and {y",
    "Set\n===\ntext",
    "Set {#a}\nand {b}\n---",
    "#no heading",
    "---\ntext\n\n***\n___",
    "    indented code\n\ntext",
    "\tcode\n\n\tmore",
    "```x y\nfence\n```\ntext",
    "~~~\nfence\n~~~ a\n~~~\ntext",
    "````\n```\n````",
    "``` a`b\ntext",
    "- one\n- two\n  more\n\n  three\n- four",
    "* a\n  * b\n    1. c\n+ d",
    "1. one\n2. two\n\n   text\n1) other",
    "- [ ] open\n- [x] done\n- [y] none",
    "> quote\n> more\nlazy\n> > deep\n>\n> end",
    "> [!TIP]\n> alert",
    "> - a\n>   b\n> - c",
    "> ```\n> code\n> ```",
    "| a | b |\n|---|:-:|\n| 1 | 2 |\n| 3 |\n| 4 | 5 | 6 |",
    "a | b\n-|-\n`c|d` | e \\| f\n\ntext",
    "| a |\n|--|--|\nno table",
    "text\n| a | b |\n|--|--|\n| *c* | [d](u) |",
    "<div>\nblock\n</div>\n\ntext",
    "<script>\nx\n\ny\n</script>\ntext",
    "<custom-tag>\nblock\n\ntext",
    "text\n<span>\nmore",
    "<!-- block\n\nstill -->\ntext",
    "a\u{A0}b é 🧪 שלום (مرحبا)",
    "(brackets) \"quotes\" 'single' “curly” {braces} 100 %",
    "\\# \\* \\[a](u) \\<b> \\$x$ \\| \\{",
];

/// Each block as it stands and within each container.
fn snippets() -> Vec<String> {
    let within = |first: &str, rest: &str, block: &str| format!("{first}{}", block.replace('\n', &format!("\n{rest}")));
    let wraps = [("", ""), ("> ", "> "), ("- ", "  "), ("1. > ", "   > "), ("[^q]: ", "    "), ("before\n\n", "")];
    let wrapped = wraps.iter().flat_map(|(first, rest)| BLOCKS.iter().map(move |block| within(first, rest, block)));
    let endings = BLOCKS.iter().flat_map(|block| [block.replace('\n', "\r\n"), block.replace('\n', "\r")]);
    wrapped.chain(endings).collect()
}

/// A word of the item's length, with its single blanks: nothing but punctuation to Markdown.
fn bland(item: &str) -> String {
    item.bytes().map(|byte| if byte == b' ' { ' ' } else { '%' }).collect()
}

/// Compares, for an item put in at every place of every snippet, with a word that has no meaning to Markdown:
/// the item is found exactly where the word is text, and masked is the word.
fn agrees_everywhere(item: &str) -> (usize, usize) {
    let (mut inside, mut outside) = (0, 0);
    for snippet in snippets() {
        for (at, _) in snippet.char_indices().chain([(snippet.len(), ' ')]) {
            let (before, after) = snippet.split_at(at);
            let escaped = (before.len() - before.trim_end_matches('\\').len()) % 2 == 1;
            // Behind `~~` the opener's own `~` may make a fence, where Markdown sees code.
            if escaped || before.ends_with("~~") {
                continue;
            }
            let with = format!("{before}{item}{after}");
            let word = format!("{before}{}{after}", bland(item));
            let (document, plain) = (locate(&with), locate(&word));
            let texts = text_of(&plain.masked, plain.start, options());
            let is_word = texts.iter().any(|text| text.start <= at && at + item.len() <= text.end);
            let found = document.places.iter().any(|place| place.span.range() == (at..at + item.len()));
            assert_eq!(found, is_word, "{with:?}");
            assert_eq!(document.masked == plain.masked, found, "{with:?}");
            *(if found { &mut inside } else { &mut outside }) += 1;
        }
    }
    (inside, outside)
}

#[test]
fn plain_items_are_found_where_a_word_is_text() {
    let (inside, outside) = agrees_everywhere("~{d}");
    assert!(inside > 4_000 && outside > 1_000, "{inside} and {outside} places were compared");
}

#[test]
fn items_with_markdown_in_them_are_found_where_a_word_is_text() {
    for item in ["~{d = 3 \\| 4 * 2_ \"a*b*c\" }", "~{t = 3 [s] \"$5 <b> ](x) }\"}"] {
        let (inside, outside) = agrees_everywhere(item);
        assert!(inside > 4_000 && outside > 1_000, "{inside} and {outside} places were compared");
    }
}
