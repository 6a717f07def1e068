//! YAML that cannot be read: where, and which of the usual slips it is.

use super::CourseFault;
use crate::span::Span;

/// What the YAML reader stumbled over, at its place.
pub(super) fn fault(yaml: &str, error: &serde_yaml::Error) -> CourseFault {
    let said = error.to_string();
    let offset = error.location().map_or(0, |location| location.index()).min(yaml.len());
    if let Some(offset) = tab_before(yaml, offset) {
        return CourseFault {
            span: Span::new(offset, offset + 1),
            message: "this is not YAML: a tab stands where a line is indented".to_owned(),
            help: "indent with blanks, the same number for all keys of a group".to_owned(),
        };
    }
    if said.contains("more than one document") {
        let offset = second_document(yaml).unwrap_or(0);
        return CourseFault {
            span: Span::new(offset, offset + yaml.get(offset..).map_or(0, |rest| rest.len().min(3))),
            message: "a second YAML document begins here, and a course has one".to_owned(),
            help: "take the line out, or put what follows into a file of its own".to_owned(),
        };
    }
    // The reader's own account of the place counts from the YAML's start, not the report's.
    let what = said.split(" at line ").next().unwrap_or("").split(" at position ").next().unwrap_or("");
    let begun = what.contains("expected ':'").then(|| begun_at(yaml, &said)).flatten();
    CourseFault {
        span: begun.unwrap_or(Span::at(offset)),
        message: format!("this is not YAML: {what}"),
        help: "indent with blanks, the same for all keys of a group, and put a text that holds `: ` or ` #` or \
               begins with a sign in double quotes"
            .to_owned(),
    }
}

/// A tab in the indentation of the line that was being read.
fn tab_before(yaml: &str, offset: usize) -> Option<usize> {
    let start = yaml.get(..offset)?.rfind('\n').map_or(0, |end| end + 1);
    let line = yaml.get(start..)?.lines().next()?;
    let indent = line.len() - line.trim_start_matches([' ', '\t']).len();
    line.get(..indent)?.find('\t').map(|tab| start + tab)
}

/// Where something begins again after it had begun: a `---` behind more than remarks.
fn second_document(yaml: &str) -> Option<usize> {
    let (mut at, mut begun) = (0, false);
    for line in yaml.split_inclusive('\n') {
        let says = line.trim_end();
        let marks = says == "---" || says.starts_with("--- ");
        if marks && begun {
            return Some(at);
        }
        begun |= marks || !(says.is_empty() || says.starts_with(['#', '%']));
        at += line.len();
    }
    None
}

/// The line in which a key began that never got its `:`. The reader tells it last, as line and column.
fn begun_at(yaml: &str, said: &str) -> Option<Span> {
    let (_, place) = said.rsplit_once(" at line ")?;
    let line: usize = place.split_whitespace().next()?.parse().ok()?;
    let start = yaml.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len).sum::<usize>();
    let text = yaml.get(start..)?.lines().next()?;
    let indent = text.len() - text.trim_start().len();
    Some(Span::new(start + indent, start + text.trim_end().len()))
}
