//! Every example of the notation's page, and every error that it names.

use std::borrow::Cow;

use super::*;

/// An item of a text, as the room above finds it.
pub(super) fn place(text: &str, end: End, setting: Setting) -> Place<'_> {
    Place { span: Span::new(0, text.len()), text: Cow::Borrowed(text), end, setting, block_end: text.len() }
}

fn faults(item: &str) -> Vec<(FaultKind, String)> {
    let text = format!("~{{{item}}}");
    let parsed = parse(&place(&text, End::Closed, Setting::Text));
    parsed.faults.into_iter().map(|fault| (fault.kind, fault.span.of(&text).to_owned())).collect()
}

#[test]
fn a_sound_item_of_every_form_has_no_fault() {
    for item in [
        r#"d "rod diameter" = 12.42 mm; reading 1/4 of 0.5 mm "both jaws seated""#,
        "t = 1.32, 1.28, 1.35, 1.30 s; with stopwatch",
        r#"v "speed" = d / t in cm/s"#,
        "v in km/h as short",
        r#"g against 9.81 ± 0.02 m/s^2 "survey value""#,
        r#"graph F against x; line through 0; title "Load against extension""#,
        "budget of g",
        "rationale",
        "summary",
    ] {
        assert_eq!(faults(item), [], "{item}");
    }
}
