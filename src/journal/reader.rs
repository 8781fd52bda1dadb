//! Nodes of YAML into the fields of a table; collects every problem and goes on.

use std::collections::BTreeMap;

use crate::measure::{Dimension, Origin, Quantity, Tolerances, parse};
use crate::problem::{self, Problem, did_you_mean};
use crate::text::{Files, Located, Span};

use super::dates;
use super::fields::{Field, FieldShape};
use super::slot::Slot;
use super::spec::{Content, Spec};
use super::yaml::{Key, Node, Value};

/// Reads nodes by the table of fields; collects every problem and goes on.
pub struct Reader<'a> {
    /// Where places are looked up.
    pub files: &'a Files,
    /// The tolerances of sizes written without one.
    pub tolerances: &'a Tolerances,
    /// What was found wrong.
    pub problems: Vec<Problem>,
}

impl<'a> Reader<'a> {
    /// Begins to read.
    pub fn new(files: &'a Files, tolerances: &'a Tolerances) -> Self {
        Self { files, tolerances, problems: Vec::new() }
    }

    /// Notes an error at a place.
    pub fn error(&mut self, span: Span, message: impl Into<String>) {
        self.tell(Problem::error(self.files.place(span), message));
    }

    fn tell(&mut self, problem: Problem) {
        problem::tell(&mut self.problems, problem);
    }

    /// Whether so much is wrong that nothing more is told.
    pub fn is_full(&self) -> bool {
        self.problems.len() > problem::MOST
    }

    /// Notes a warning at a place.
    pub fn warning(&mut self, span: Span, message: impl Into<String>) {
        self.tell(Problem::warning(self.files.place(span), message));
    }

    /// The entries of a map, each key once; `None` and a problem where it is no map.
    pub fn map<'n>(&mut self, node: &'n Node, what: &str) -> Option<Vec<&'n (Key, Node)>> {
        match &node.value {
            Value::Map(entries) => {
                let mut kept: Vec<&(Key, Node)> = Vec::with_capacity(entries.len());
                let mut first: BTreeMap<&str, Span> = BTreeMap::new();
                for entry in entries {
                    if let Some(first) = first.get(entry.0.text.as_str()) {
                        let place = self.files.place(*first);
                        let problem = Problem::error(
                            self.files.place(entry.0.span),
                            format!("`{}` stands twice: keep one", entry.0.text),
                        );
                        self.tell(problem.and(place, "the first, which is used"));
                    } else {
                        first.insert(&entry.0.text, entry.0.span);
                        kept.push(entry);
                    }
                }
                Some(kept)
            }
            Value::Empty => Some(Vec::new()),
            _ => {
                self.error(
                    node.span,
                    format!("{what} is a map, `key: value` on lines of their own, not {}", node.what()),
                );
                None
            }
        }
    }

    /// Reads a map by tables of fields (an earlier table's field wins), sizes of `origin` by default.
    pub fn spec(&mut self, node: &Node, what: &str, tables: &[&'static [Field]], origin: Origin) -> Spec {
        let mut spec = Spec::default();
        if let Some(entries) = self.map(node, what) {
            self.group("", &entries, what, tables, origin, &mut spec);
        }
        spec
    }

    fn group(
        &mut self,
        prefix: &str,
        entries: &[&(Key, Node)],
        what: &str,
        tables: &[&'static [Field]],
        origin: Origin,
        spec: &mut Spec,
    ) {
        for (key, node) in entries.iter().map(|entry| (&entry.0, &entry.1)) {
            let known = || tables.iter().flat_map(|table| table.iter());
            let Some(field) = known().find(|field| field.name == key.text) else {
                if self.is_full() {
                    continue;
                }
                let near = did_you_mean(&key.text, known().map(|field| field.name));
                let near = if near.is_empty() { format!(": it has {}", listed(known())) } else { near };
                self.error(key.span, format!("`{}` is not a field of {what}{near}", key.text));
                continue;
            };
            let path = if prefix.is_empty() { key.text.clone() } else { format!("{prefix}.{}", key.text) };
            if let Some(content) = self.content(&path, field, node, origin, spec) {
                spec.set(
                    path,
                    Located::new(
                        content,
                        if node.span.start == node.span.end { key.span } else { node.span },
                    ),
                );
            }
        }
    }

    fn content(
        &mut self,
        path: &str,
        field: &Field,
        node: &Node,
        origin: Origin,
        spec: &mut Spec,
    ) -> Option<Content> {
        if node.value == Value::Empty && !matches!(field.shape, FieldShape::Raw(_)) {
            // A key with nothing behind it is a reminder to measure: the same as leaving it out.
            return None;
        }
        match field.shape {
            FieldShape::Raw(_) => Some(Content::Raw(node.clone())),
            FieldShape::Group(fields) => {
                self.inner(path, fields, node, origin, spec);
                None
            }
            FieldShape::WordOr(words, fields) => match &node.value {
                Value::Map(_) => {
                    self.inner(path, fields, node, origin, spec);
                    None
                }
                _ => self.word(path, words, node),
            },
            FieldShape::Items(fields) => self.items(path, fields, node, origin).map(Content::Items),
            FieldShape::Texts => self.texts(node).map(Content::Texts),
            FieldShape::Size(quantity) => self.size(path, quantity, node, origin).map(Content::Size),
            FieldShape::Word(words) => self.word(path, words, node),
            FieldShape::Text => self.scalar(path, node).map(|text| Content::Text(text.to_owned())),
            FieldShape::Flag => self.flag(path, node).map(Content::Flag),
            FieldShape::Date => self.date(path, node).map(Content::Date),
        }
    }

    fn inner(&mut self, path: &str, fields: &'static [Field], node: &Node, origin: Origin, spec: &mut Spec) {
        let what = format!("`{path}`");
        if let Some(entries) = self.map(node, &what) {
            self.group(path, &entries, &what, &[fields], origin, spec);
        }
    }

    fn items(
        &mut self,
        path: &str,
        fields: &'static [Field],
        node: &Node,
        origin: Origin,
    ) -> Option<Vec<Spec>> {
        let Value::List(list) = &node.value else {
            self.error(
                node.span,
                format!("`{path}` is a list, `[{{ ... }}, {{ ... }}]`, not {}", node.what()),
            );
            return None;
        };
        // Of a log there may be many; a part has a few feet and holes, each compared with each.
        let most = if LOGGED.contains(&path) { MOST_LOGGED } else { MOST_ITEMS };
        if most < list.len() {
            let count = list.len();
            let message =
                format!("`{path}` has {count} items, and at most {most} are read: leave the others out");
            self.error(node.span, message);
            return None;
        }
        let what = format!("an item of `{path}`");
        Some(list.iter().map(|item| self.spec(item, &what, &[fields], origin)).collect())
    }

    /// A list of texts, or a single one.
    pub fn texts(&mut self, node: &Node) -> Option<Vec<Located<String>>> {
        match &node.value {
            Value::Text(text) => Some(vec![Located::new(text.clone(), node.span)]),
            Value::Empty => Some(Vec::new()),
            Value::List(list) => {
                let mut out = Vec::new();
                for item in list {
                    match item.text() {
                        Some(text) => out.push(Located::new(text.to_owned(), item.span)),
                        None => self
                            .error(item.span, format!("a word or a text stands here, not {}", item.what())),
                    }
                }
                Some(out)
            }
            Value::Map(_) => {
                self.error(node.span, "a list stands here, `[one, two]`, not a map");
                None
            }
        }
    }

    /// A single value.
    pub fn scalar<'n>(&mut self, path: &str, node: &'n Node) -> Option<&'n str> {
        let text = node.text();
        if text.is_none() {
            self.error(node.span, format!("`{path}` is a single value, not {}", node.what()));
        }
        text
    }

    /// A size of a quantity.
    pub fn size(&mut self, path: &str, quantity: Quantity, node: &Node, origin: Origin) -> Option<Dimension> {
        let text = self.scalar(path, node)?;
        match parse(text, quantity) {
            Ok(literal) => Some(literal.dimension(origin, self.tolerances)),
            Err(fault) => {
                self.error(node.span, format!("`{path}`: {fault}"));
                None
            }
        }
    }

    fn word(&mut self, path: &str, words: &'static [&'static str], node: &Node) -> Option<Content> {
        let text = self.scalar(path, node)?;
        if words.contains(&text) {
            return Some(Content::Text(text.to_owned()));
        }
        let near = did_you_mean(text, words.iter().copied());
        let near = if near.is_empty() { format!(": write {}", one_of(words)) } else { near };
        self.error(node.span, format!("`{path}` cannot be `{text}`{near}"));
        None
    }

    /// yes or no.
    pub fn flag(&mut self, path: &str, node: &Node) -> Option<bool> {
        match self.scalar(path, node)? {
            "yes" | "true" | "on" => Some(true),
            "no" | "false" | "off" => Some(false),
            other => {
                self.error(node.span, format!("`{path}` is yes or no, not `{other}`"));
                None
            }
        }
    }

    /// A date.
    pub fn date(&mut self, path: &str, node: &Node) -> Option<jiff::civil::Date> {
        let text = self.scalar(path, node)?;
        match dates::date(text) {
            Ok(date) => Some(date),
            Err(fault) => {
                self.error(node.span, format!("`{path}`: {fault}"));
                None
            }
        }
    }

    /// The slot of a name, or a problem with the nearest.
    pub(super) fn slot(&mut self, name: &str, span: Span) -> Option<Slot> {
        let slot = Slot::of(name);
        if slot.is_none() {
            let near = did_you_mean(name, Slot::names());
            let near = if near.is_empty() {
                format!(": it is one of {}", Slot::names().collect::<Vec<_>>().join(", "))
            } else {
                near
            };
            self.error(span, format!("`{name}` is not a slot of a build{near}"));
        }
        slot
    }
}

/// Lists of what happened.
const LOGGED: [&str; 3] = ["left", "timing", "pressure"];

/// The most items of what happened in one entry.
const MOST_LOGGED: usize = 5000;

/// The most items of a list of what a part has.
const MOST_ITEMS: usize = 40;

fn listed(fields: impl Iterator<Item = &'static Field>) -> String {
    fields.map(|field| field.name).collect::<Vec<_>>().join(", ")
}

fn one_of(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => format!("`{one}`"),
        [most @ .., last] => {
            format!(
                "{} or `{last}`",
                most.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
            )
        }
    }
}
