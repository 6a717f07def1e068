//! What others than a course put at the top of a report's front matter: its title, its author.

use super::LARGEST;
use super::tree::{self, Node};

/// The texts of keys at the top of YAML, lists of them with commas between; `None` of a key that is not there or holds
/// something else, and of all of them where the YAML cannot be read: to say so is no business of this function's.
#[must_use]
pub fn texts<const N: usize>(yaml: &str, keys: [&str; N]) -> [Option<String>; N] {
    let readable = yaml.len() <= LARGEST && tree::too_deep(yaml).is_none();
    let Some(Ok(Node::Map(map))) = readable.then(|| tree::read(yaml)) else { return keys.map(|_| None) };
    keys.map(|key| {
        let (_, node) = map.iter().find(|(known, _)| known == key)?;
        text(node).map(|text| text.trim().to_owned()).filter(|text| !text.is_empty())
    })
}

fn text(node: &Node) -> Option<String> {
    match node {
        Node::Text(text) => Some(text.clone()),
        Node::List(list) => {
            let texts: Option<Vec<String>> = list.iter().map(text).collect();
            texts.map(|texts| texts.join(", "))
        }
        Node::Nothing | Node::Map(_) | Node::Tagged => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scalars_and_lists_of_them_are_text() {
        let yaml = "title: ' A pot '\nauthor: [Ada, Bo]\ndate: 2026-02-03\nno: {a: 1}\nempty: ''\n";
        let found = texts(yaml, ["title", "author", "date", "no", "empty", "lang"]);
        let found = found.map(Option::unwrap_or_default);
        assert_eq!(found, ["A pot", "Ada, Bo", "2026-02-03", "", "", ""]);
        assert_eq!(texts("title: [broken", ["title"]), [None]);
    }

    #[test]
    fn aliases_cannot_fill_the_memory() {
        let bomb = format!("a: &a [{}]\ntitle: [{}]\n", "1,".repeat(1_000), "*a,".repeat(10_000));
        assert_eq!(texts(&bomb, ["title"]), [None]);
    }
}
