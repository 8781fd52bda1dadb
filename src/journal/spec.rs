//! What was written about one part: its fields by path, each with its place.

use std::sync::Arc;

use serde::Serialize;

use crate::measure::Dimension;
use crate::text::{FileId, Located, Span};

use super::yaml::Node;

/// Fields by path (`rehaut.bottom`), in the order of writing. A path stands once.
///
/// Cheap to clone: a part, its unit of the ledger and the watches that it is in share their fields until
/// one of them gets others.
#[derive(Clone, PartialEq, Debug, Default, Serialize)]
pub struct Spec {
    fields: Arc<Vec<(String, Located<Content>)>>,
}

/// What a field holds.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub enum Content {
    /// A size.
    Size(Dimension),
    /// A text or one of the words of the table.
    Text(String),
    /// yes or no.
    Flag(bool),
    /// A date.
    Date(jiff::civil::Date),
    /// A list of groups.
    Items(Vec<Spec>),
    /// A list of texts.
    Texts(Vec<Located<String>>),
    /// Left for code of its own.
    Raw(Node),
}

impl Spec {
    /// What stands at a path.
    pub fn get(&self, path: &str) -> Option<&Located<Content>> {
        self.fields.iter().find(|(name, _)| name == path).map(|(_, content)| content)
    }

    /// The size at a path; `feet.1.radius` is the radius of the first item of `feet`.
    pub fn size(&self, path: &str) -> Option<Located<Dimension>> {
        if let Some(Located { value: Content::Size(size), span }) = self.get(path) {
            return Some(Located::new(*size, *span));
        }
        let (list, rest) = path.split_once('.')?;
        let (number, rest) = rest.split_once('.')?;
        let number: usize = number.parse().ok()?;
        self.items(list)?.get(number.checked_sub(1)?)?.size(rest)
    }

    /// The text or word at a path.
    pub fn text(&self, path: &str) -> Option<&str> {
        match &self.get(path)?.value {
            Content::Text(text) => Some(text),
            _ => None,
        }
    }

    /// The flag at a path.
    pub fn flag(&self, path: &str) -> Option<bool> {
        match self.get(path)?.value {
            Content::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// The date at a path.
    pub fn date(&self, path: &str) -> Option<jiff::civil::Date> {
        match self.get(path)?.value {
            Content::Date(date) => Some(date),
            _ => None,
        }
    }

    /// The list of groups at a path; `Some(&[])` where it was written empty.
    pub fn items(&self, path: &str) -> Option<&[Spec]> {
        match &self.get(path)?.value {
            Content::Items(items) => Some(items),
            _ => None,
        }
    }

    /// The list of texts at a path.
    pub fn texts(&self, path: &str) -> &[Located<String>] {
        match self.get(path).map(|content| &content.value) {
            Some(Content::Texts(texts)) => texts,
            _ => &[],
        }
    }

    /// The node left for code of its own.
    pub fn raw(&self, path: &str) -> Option<&Node> {
        match &self.get(path)?.value {
            Content::Raw(node) => Some(node),
            _ => None,
        }
    }

    /// Where a path was written.
    pub fn span(&self, path: &str) -> Option<Span> {
        self.get(path).map(|content| content.span)
    }

    /// Every field, in the order of writing.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Located<Content>)> {
        self.fields.iter().map(|(path, content)| (path.as_str(), content))
    }

    /// Whether nothing was written.
    pub fn is_empty(&self) -> bool {
        self.fields.is_empty()
    }

    /// Sets a field, in the place of what stood there.
    pub fn set(&mut self, path: String, content: Located<Content>) {
        let fields = Arc::make_mut(&mut self.fields);
        match fields.iter_mut().find(|(name, _)| *name == path) {
            Some((_, old)) => *old = content,
            None => fields.push((path, content)),
        }
    }

    /// Sets a field to what nobody wrote; a field that was written keeps its place.
    pub fn put(&mut self, path: &str, content: Content) {
        let span = self.span(path).unwrap_or(FileId::default().start());
        self.set(path.to_owned(), Located::new(content, span));
    }

    /// Keeps only the fields at these paths.
    pub fn retain(&mut self, keep: impl Fn(&str) -> bool) {
        Arc::make_mut(&mut self.fields).retain(|(path, _)| keep(path));
    }

    /// Takes over every field of `newer`; lists are replaced whole.
    pub fn merge(&mut self, newer: &Spec) {
        if self.is_empty() {
            self.clone_from(newer);
            return;
        }
        for (path, content) in newer.fields.iter() {
            // A word takes the place of a group of the same name and the other way round.
            let head = path.split('.').next().unwrap_or(path);
            if head != path {
                Arc::make_mut(&mut self.fields)
                    .retain(|(name, content)| name != head || matches!(content.value, Content::Items(_)));
            }
            self.set(path.clone(), content.clone());
        }
    }

    /// How many fields there are, those of lists included.
    pub fn weight(&self) -> usize {
        let of = |content: &Located<Content>| match &content.value {
            Content::Items(items) => 1 + items.iter().map(Spec::weight).sum::<usize>(),
            Content::Texts(texts) => 1 + texts.len(),
            _ => 1,
        };
        self.fields.iter().map(|(_, content)| of(content)).sum()
    }

    /// These fields, over those of `older` where both have one.
    #[must_use]
    pub fn over(&self, older: &Spec) -> Spec {
        let mut merged = older.clone();
        merged.merge(self);
        merged
    }
}
