//! The page about the report's body: a minijinja template, the built-in one or the course's.

use std::fmt;

use minijinja::{AutoEscape, Environment, UndefinedBehavior, Value, context};

use super::html::Body;
use super::{Options, View, words};
use crate::course::{self, Course};

const PAGE: &str = include_str!("page.html");
/// Where it has the body.
const BODY: &str = "{{ body }}";
const STYLE: &str = include_str!("page.css");

/// How many steps a template may take: thousands of times what a page needs, and stopped within
/// milliseconds.
const FUEL: u64 = 100_000;

/// What is wrong with a template.
#[derive(Debug)]
pub struct TemplateError {
    message: String,
    line: Option<usize>,
}

impl TemplateError {
    /// The line of the template, counted from 1, where it is known.
    pub const fn line(&self) -> Option<usize> {
        self.line
    }
}

impl fmt::Display for TemplateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for TemplateError {}

/// The body in its page.
pub(super) fn write(view: View<'_>, body: Body, options: &Options) -> Result<String, TemplateError> {
    match options.template.as_deref() {
        Some(template) => filled(Environment::new(), template, view, body, options),
        None => usual(view, body, options),
    }
}

/// The built-in template has no filters, and nothing to fill in behind the body, of which there is one copy in memory.
fn usual(view: View<'_>, mut body: Body, options: &Options) -> Result<String, TemplateError> {
    let (before, after) = PAGE.trim_end().split_once(BODY).unwrap_or((PAGE, ""));
    let mut page = std::mem::take(&mut body.html);
    page.insert_str(0, &filled(Environment::empty(), before, view, body, options)?);
    page.push_str(after);
    Ok(page)
}

fn filled(
    mut environment: Environment<'_>,
    template: &str,
    view: View<'_>,
    body: Body,
    options: &Options,
) -> Result<String, TemplateError> {
    let front = FrontMatter::of(view);
    let untitled = words::UNTITLED.of(view.course);
    let title = front.title.as_deref().or(body.heading.as_deref()).or(options.title.as_deref()).unwrap_or(untitled);
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // The body costs by its length, too.
    environment.set_fuel(Some(FUEL + body.html.len() as u64));
    environment.set_debug(true);
    let context = context! {
        title,
        lang => front.lang.as_deref().unwrap_or_else(|| language(view.course)),
        author => front.author.unwrap_or_default(),
        date => front.date.unwrap_or_default(),
        has_heading => body.has_title,
        style => Value::from_safe_string(STYLE.to_owned()),
        body => Value::from_safe_string(body.html),
    };
    let rendered = environment.template_from_str(template).and_then(|template| template.render(context));
    rendered.map_err(|error| described(&error, template))
}

/// The language of the words that are written into the report, where it is a language tag.
fn language(course: &Course) -> &str {
    Some(words::LANGUAGE.of(course)).filter(|lang| is_tag(lang)).unwrap_or(words::LANGUAGE.text)
}

fn is_tag(lang: &str) -> bool {
    lang.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
}

/// What went wrong, with the words of the template where that is known.
fn described(error: &minijinja::Error, template: &str) -> TemplateError {
    let what = error.detail().map_or_else(|| error.kind().to_string(), |detail| format!("{}: {detail}", error.kind()));
    let marked = error.range().and_then(|range| template.get(range)).filter(|text| !text.trim().is_empty());
    let message = marked.map_or_else(|| what.clone(), |text| format!("{what} (`{text}`)"));
    TemplateError { message, line: error.line() }
}

/// What a page takes from the report's front matter.
#[derive(Default)]
struct FrontMatter {
    title: Option<String>,
    author: Option<String>,
    date: Option<String>,
    lang: Option<String>,
}

impl FrontMatter {
    fn of(view: View<'_>) -> Self {
        let text = view.document.front_matter.map_or("", |span| span.of(view.document.source));
        let [title, author, date, lang] = course::texts(text, ["title", "author", "date", "lang"]);
        Self { title, author, date, lang: lang.filter(|lang| is_tag(lang)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn behind_the_body_nothing_is_filled_in() {
        let (before, after) = PAGE.split_once(BODY).unwrap();
        assert!(!after.contains('{') && before.matches("{% if").count() == before.matches("{% endif").count());
    }
}
