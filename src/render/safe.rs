//! What a report may not bring into a page with `--safe`: HTML of its own, and destinations that run or reveal something.

use std::collections::VecDeque;

use pulldown_cmark::{CowStr, Event, Tag, TagEnd};

/// May a link or a picture lead there? As browsers do, control characters and blanks are left aside, wherever they
/// stand, and so is the case of letters (WHATWG URL, the basic URL parser). Character references are resolved already.
pub(super) fn is_allowed(destination: &str) -> bool {
    let bare: String = destination.chars().filter(|c| !c.is_control() && !c.is_whitespace()).collect();
    let Some((scheme, rest)) = bare.split_once(':') else { return true };
    match scheme.to_ascii_lowercase().as_str() {
        "javascript" | "vbscript" | "file" | "blob" | "filesystem" | "view-source" => false,
        "data" => is_picture(&rest.to_ascii_lowercase()),
        _ => true,
    }
}

/// Pictures of dots; drawings (`image/svg+xml`) can hold scripts.
fn is_picture(data: &str) -> bool {
    let kinds = ["image/png", "image/gif", "image/jpeg", "image/webp"];
    let ends = |rest: &str| rest.starts_with([';', ',']);
    kinds.iter().any(|kind| data.strip_prefix(kind).is_some_and(ends))
}

/// Is it a comment that no reader of HTML takes for more than that? It may stay: nothing of it is seen.
pub(super) fn is_comment(html: &str) -> bool {
    let inner = html.trim().strip_prefix("<!--").and_then(|rest| rest.strip_suffix("-->"));
    inner.is_some_and(|inner| !inner.starts_with(['>', '-']) && !inner.ends_with('-') && !inner.contains("--"))
}

/// An attribute of a heading (`# Title {lang=de}`) that says nothing but how its text is to be read.
pub(super) fn is_plain_attribute(name: &str) -> bool {
    matches!(name.to_ascii_lowercase().as_str(), "lang" | "dir" | "title")
}

/// Takes out of a stream of events what is not safe: HTML becomes text, and of links their text stays.
#[derive(Debug, Default)]
pub(super) struct Filter {
    /// Of each link and picture under way: was it let through?
    links: Vec<bool>,
    /// The lines of the block of HTML under way.
    block: Option<String>,
}

impl Filter {
    /// What takes the event's place.
    pub(super) fn pass<'e>(&mut self, event: Event<'e>) -> VecDeque<Event<'e>> {
        match event {
            Event::Start(Tag::HtmlBlock) => {
                self.block = Some(String::new());
                VecDeque::new()
            }
            Event::Html(html) if self.block.is_some() => {
                self.block.get_or_insert_default().push_str(&html);
                VecDeque::new()
            }
            Event::End(TagEnd::HtmlBlock) => block(self.block.take().unwrap_or_default()),
            Event::Html(html) | Event::InlineHtml(html) if !is_comment(&html) => [Event::Text(html)].into(),
            Event::Start(tag) => self.start(tag),
            Event::End(TagEnd::Link | TagEnd::Image) if self.links.pop() == Some(false) => VecDeque::new(),
            other => [other].into(),
        }
    }

    fn start<'e>(&mut self, mut tag: Tag<'e>) -> VecDeque<Event<'e>> {
        match &mut tag {
            Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. } => {
                let allowed = is_allowed(dest_url);
                self.links.push(allowed);
                if !allowed {
                    return VecDeque::new();
                }
            }
            Tag::Heading { attrs, .. } => attrs.retain(|(name, _)| is_plain_attribute(name)),
            _ => {}
        }
        [Event::Start(tag)].into()
    }
}

/// A block of HTML as a paragraph that shows it; a comment as it is.
fn block<'e>(html: String) -> VecDeque<Event<'e>> {
    if is_comment(&html) {
        return [Event::Start(Tag::HtmlBlock), Event::Html(html.into()), Event::End(TagEnd::HtmlBlock)].into();
    }
    let text = CowStr::from(html.trim().to_owned());
    [Event::Start(Tag::Paragraph), Event::Text(text), Event::End(TagEnd::Paragraph)].into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn destinations() {
        for allowed in [
            "",
            "#results",
            "a/b.html",
            "https://example.org/javascript:",
            "mailto:a@b.c",
            "doi:10.1/x",
            "data:image/png;base64,AAAA",
            "DATA:image/JPEG,x",
            "a b:c",
            "?q=javascript:1",
        ] {
            assert!(is_allowed(allowed), "{allowed}");
        }
        for dropped in [
            "javascript:alert(1)",
            "JaVaScRiPt:x",
            " \u{1}javascript:x",
            "java\nscript:x",
            "java\u{0}script\t:x",
            "\u{a0}javascript:x",
            "vbscript:x",
            "file:///etc/passwd",
            "data:text/html,x",
            "data:image/svg+xml,x",
            "data:image/pngx,x",
            "data:,x",
            "view-source:x",
        ] {
            assert!(!is_allowed(dropped), "{dropped:?}");
        }
    }

    #[test]
    fn comments() {
        for comment in ["<!-- a -->", "<!---->", "<!-- meniscus: silence no-reason \"x\" -->\n", "<!--\na\n-->"] {
            assert!(is_comment(comment), "{comment}");
        }
        for more in [
            "<!--> <b> -->",
            "<!---> <b> -->",
            "<!-- a --> b",
            "<!-- a --!> <b> -->",
            "<!-- a",
            "<!-- a --> <!-- b -->",
        ] {
            assert!(!is_comment(more), "{more}");
        }
    }
}
