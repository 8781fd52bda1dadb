//! What a finding says: words, with parts and builds that each reader names in its own way.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::journal::Journal;

/// Words, with references to parts and builds among them.
///
/// A terminal names a build by its title, a public page does not name a hidden one: the names come in
/// when it is printed.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Sentence(Vec<Piece>);

#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
enum Piece {
    Words(String),
    /// A part, by its id.
    Part(String),
    /// A build, by its slug.
    Build(String),
}

/// What parts and builds are called for a reader.
pub trait Names {
    /// A part, by its id.
    fn part(&self, id: &str) -> String;
    /// A build, by its slug.
    fn build(&self, slug: &str) -> String;
}

impl Sentence {
    /// Goes on with words.
    #[must_use]
    pub fn words(mut self, words: impl AsRef<str>) -> Sentence {
        self.push(words.as_ref());
        self
    }

    /// Goes on with a part, by its id.
    #[must_use]
    pub fn part(mut self, id: impl Into<String>) -> Sentence {
        self.0.push(Piece::Part(id.into()));
        self
    }

    /// Goes on with a build, by its slug.
    #[must_use]
    pub fn build(mut self, slug: impl Into<String>) -> Sentence {
        self.0.push(Piece::Build(slug.into()));
        self
    }

    /// A part wherever a text has `{part}`.
    pub fn about_part(text: &str, id: &str) -> Sentence {
        let mut texts = text.split("{part}");
        let first = Sentence::from(texts.next().unwrap_or_default());
        texts.fold(first, |sentence, words| sentence.part(id).words(words))
    }

    /// Adds another behind a semicolon.
    pub fn add(&mut self, other: impl Into<Sentence>) {
        let other = other.into();
        if !self.is_empty() && !other.is_empty() {
            self.push("; ");
        }
        for piece in other.0 {
            match piece {
                Piece::Words(words) => self.push(&words),
                named => self.0.push(named),
            }
        }
    }

    /// What stands before the first semicolon.
    #[must_use]
    pub fn first_clause(&self) -> Sentence {
        let mut first = Sentence::default();
        for piece in &self.0 {
            match piece {
                Piece::Words(words) => match words.split_once("; ") {
                    Some((words, _)) => return first.words(words),
                    None => first.push(words),
                },
                named => first.0.push(named.clone()),
            }
        }
        first
    }

    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// In words, for a reader.
    pub fn named(&self, names: &dyn Names) -> String {
        let piece = |piece: &Piece| match piece {
            Piece::Words(words) => words.clone(),
            Piece::Part(id) => names.part(id),
            Piece::Build(slug) => names.build(slug),
        };
        self.0.iter().map(piece).collect()
    }

    fn push(&mut self, words: &str) {
        match self.0.last_mut() {
            Some(Piece::Words(before)) => before.push_str(words),
            _ if words.is_empty() => {}
            _ => self.0.push(Piece::Words(words.to_owned())),
        }
    }
}

impl From<&str> for Sentence {
    fn from(words: &str) -> Sentence {
        Sentence::default().words(words)
    }
}

impl From<String> for Sentence {
    fn from(words: String) -> Sentence {
        Sentence::from(words.as_str())
    }
}

/// Parts by their ids, builds by their slugs.
struct Ids;

impl Names for Ids {
    fn part(&self, id: &str) -> String {
        id.to_owned()
    }

    fn build(&self, slug: &str) -> String {
        slug.to_owned()
    }
}

/// With parts by their ids and builds by their slugs.
impl fmt::Display for Sentence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.named(&Ids))
    }
}

/// For the person whose journal it is: parts by their ids, builds by their titles.
impl Names for Journal {
    fn part(&self, id: &str) -> String {
        id.to_owned()
    }

    fn build(&self, slug: &str) -> String {
        Journal::build(self, slug).map_or(slug, |build| &build.title).to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Public;

    impl Names for Public {
        fn part(&self, _: &str) -> String {
            "the dial".to_owned()
        }

        fn build(&self, _: &str) -> String {
            "a build that is not shown".to_owned()
        }
    }

    #[test]
    fn only_references_are_named_anew() {
        let mut said = Sentence::about_part("turn {part} down", "dial");
        said.add(Sentence::default().part("dial").words(" is in ").build("dial").words(", a dial too"));
        assert_eq!(said.to_string(), "turn dial down; dial is in dial, a dial too");
        assert_eq!(
            said.named(&Public),
            "turn the dial down; the dial is in a build that is not shown, a dial too"
        );
    }

    #[test]
    fn nothing_is_added_to_nothing() {
        let mut said = Sentence::from("");
        said.add("");
        assert!(said.is_empty());
        said.add("one");
        said.add("");
        said.add("two".to_owned());
        assert_eq!(said, Sentence::from("one; two"));
    }
}
