//! A build: the front matter and story of its build.md.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::measure::{Dimension, Origin, Quantity};
use crate::problem::Problem;
use crate::text::{FileId, Located, Span};

use super::entry::Entry;
use super::fields::{Field, FieldShape, Kind, PART};
use super::front_matter;
use super::part::kind_at;
use super::reader::Reader;
use super::slot::Slot;
use super::spec::Spec;
use super::yaml::{self, Key, Node, Value};

/// One watch: a folder under builds/.
#[derive(Clone, Debug)]
pub struct Build {
    /// The folder's name.
    pub slug: String,
    /// build.md.
    pub file: FileId,
    /// What the watch is called.
    pub title: String,
    /// How far it is.
    pub state: BuildState,
    /// Where that is written; `None` where it was left out.
    pub state_at: Option<Span>,
    /// The day it was begun, if it was said.
    pub begun: Option<Located<Date>>,
    /// The day it was taken apart, if it was said.
    pub ended: Option<Located<Date>>,
    /// One sentence.
    pub summary: Option<String>,
    /// The photo that stands for it, relative to its folder.
    pub cover: Option<Located<String>>,
    /// What it should reach.
    pub target: Target,
    /// What fills its slots, as the latest state.
    pub slots: BTreeMap<Slot, Filling>,
    /// Where they are written; `None` where build.md names none.
    pub slots_at: Option<Span>,
    /// How the dial is held, if it was said.
    pub dial_held_by: Option<Located<HeldBy>>,
    /// Findings that are accepted: check id (and `about` behind a space), and the reason.
    pub accept: Vec<(Located<String>, String)>,
    /// Not to be published.
    pub hidden: bool,
    /// The story in Markdown.
    pub story: Span,
    /// The log, in the order of dates.
    pub entries: Vec<Entry>,
    /// Every photo of the folder, relative to it, with `/`, in order.
    pub photos: Vec<String>,
}

impl Build {
    /// build.md and the files of the log.
    pub fn files(&self) -> impl Iterator<Item = FileId> + '_ {
        std::iter::once(self.file).chain(self.entries.iter().map(|entry| entry.file))
    }
}

/// What a build should reach.
#[derive(Clone, Debug, Default)]
pub struct Target {
    /// Water resistance, bar.
    pub water: Option<Located<Dimension>>,
    /// Rate: the range value - minus .. value + plus, s/d.
    pub rate: Option<Located<Dimension>>,
}

/// How far a build is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum BuildState {
    /// Nothing is assembled.
    Planned,
    /// Being built.
    OnTheBench,
    /// Done.
    Finished,
    /// Its parts are free again.
    TakenApart,
}

impl BuildState {
    /// All of them.
    pub const ALL: [BuildState; 4] =
        [BuildState::Planned, BuildState::OnTheBench, BuildState::Finished, BuildState::TakenApart];

    /// The words people write.
    pub fn words(self) -> &'static str {
        match self {
            BuildState::Planned => "planned",
            BuildState::OnTheBench => "on the bench",
            BuildState::Finished => "finished",
            BuildState::TakenApart => "taken apart",
        }
    }
}

/// How a dial is held.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize)]
pub enum HeldBy {
    /// Its feet, in the movement.
    Feet,
    /// Tape on the movement.
    Tape,
    /// Glue dots.
    Dots,
    /// A dial ring.
    Ring,
    /// Glue.
    Glue,
}

impl HeldBy {
    const ALL: [HeldBy; 5] = [HeldBy::Feet, HeldBy::Tape, HeldBy::Dots, HeldBy::Ring, HeldBy::Glue];

    /// The way of that word.
    pub fn of(word: &str) -> Option<HeldBy> {
        HeldBy::ALL.into_iter().find(|held| held.word() == word)
    }

    /// The word people write.
    pub fn word(self) -> &'static str {
        match self {
            HeldBy::Feet => "feet",
            HeldBy::Tape => "tape",
            HeldBy::Dots => "dots",
            HeldBy::Ring => "ring",
            HeldBy::Glue => "glue",
        }
    }
}

/// What fills a slot.
#[derive(Clone, Debug)]
pub enum Filling {
    /// `none`: the build has no such part.
    None(Span),
    /// A part of the bin.
    Part(Located<String>),
    /// A part written in the build itself.
    Written {
        /// What it is.
        kind: &'static Kind,
        /// Its fields.
        spec: Spec,
        /// Where it stands.
        span: Span,
    },
}

/// The fields of build.md.
pub const BUILD: &[Field] = &[
    Field { name: "title", shape: FieldShape::Text, doc: "what the watch is called" },
    Field {
        name: "state",
        shape: FieldShape::Word(&["planned", "on the bench", "finished", "taken apart"]),
        doc: "how far it is; planned if left out",
    },
    Field { name: "begun", shape: FieldShape::Date, doc: "the day it was begun" },
    Field { name: "ended", shape: FieldShape::Date, doc: "the day it was taken apart" },
    Field { name: "summary", shape: FieldShape::Text, doc: "one sentence" },
    Field { name: "cover", shape: FieldShape::Text, doc: "the photo that stands for it" },
    Field { name: "target", shape: FieldShape::Group(TARGET), doc: "what it should reach" },
    Field { name: "parts", shape: FieldShape::Raw("slots"), doc: "what fills its slots" },
    Field {
        name: "dial_held_by",
        shape: FieldShape::Word(&["feet", "tape", "dots", "ring", "glue"]),
        doc: "how the dial is held; feet where it has feet",
    },
    Field {
        name: "accept",
        shape: FieldShape::Raw("reasons by check"),
        doc: "findings you accept, each with the reason",
    },
    Field { name: "hidden", shape: FieldShape::Flag, doc: "yes: not published" },
];

const TARGET: &[Field] = &[
    Field {
        name: "water",
        shape: FieldShape::Size(Quantity::Pressure),
        doc: "3 bar, or 30 m by the marking rule",
    },
    Field { name: "rate", shape: FieldShape::Size(Quantity::Rate), doc: "a range, -5..+10 s/d" },
];

/// Reads build.md. Whatever can be read is; a file with no front matter still is a build.
pub fn read(reader: &mut Reader<'_>, file: FileId, slug: &str) -> Build {
    let (parts, problem) = front_matter::split(reader.files, file);
    reader.problems.extend(problem.clone());
    let mut spec = Spec::default();
    match parts.yaml {
        Some(span) => {
            let yaml = reader.files.cut(span).to_owned();
            match yaml::parse(reader.files, file, span.start as usize, &yaml) {
                Ok(node) => spec = reader.spec(&node, "build.md", &[BUILD], Origin::Stated),
                Err(problem) => reader.problems.push(problem),
            }
        }
        None if problem.is_none() => reader.error(
            file.start(),
            "this build.md has no front matter: begin it with `---`, `title: ...`, `state: planned`, `---`",
        ),
        None => {}
    }
    let owned = |path: &str| spec.text(path).map(str::to_owned);
    let dated =
        |path: &str| spec.date(path).zip(spec.span(path)).map(|(date, span)| Located::new(date, span));
    if parts.yaml.is_some() && spec.text("title").is_none() && !spec.is_empty() {
        reader.error(file.start(), "this build has no title: add `title: ` and what the watch is called");
    }
    let state =
        spec.text("state").and_then(|word| BuildState::ALL.into_iter().find(|state| state.words() == word));
    let held = spec.text("dial_held_by").and_then(HeldBy::of);
    let (begun, ended) = (dated("begun"), dated("ended"));
    if let (Some(begun), Some(ended)) = (&begun, &ended)
        && ended.value < begun.value
    {
        let message = format!("this build ended on {}, before it was begun on {}", ended.value, begun.value);
        let begun = reader.files.place(begun.span);
        let problem = Problem::error(reader.files.place(ended.span), message);
        reader.problems.push(problem.and(begun, "it was begun here: correct one of the two"));
    }
    Build {
        slug: slug.to_owned(),
        file,
        // A folder may have any name; a page's title and a terminal get what can be seen of it.
        title: owned("title").unwrap_or_else(|| slug.chars().filter(|c| !c.is_control()).collect()),
        state: state.unwrap_or(BuildState::Planned),
        state_at: spec.span("state"),
        begun,
        ended,
        summary: owned("summary"),
        cover: spec
            .text("cover")
            .zip(spec.span("cover"))
            .map(|(cover, span)| Located::new(cover.to_owned(), span)),
        target: Target { water: spec.size("target.water"), rate: spec.size("target.rate") },
        slots_at: spec.span("parts"),
        slots: spec.raw("parts").map(|node| read_slots(reader, node)).unwrap_or_default(),
        dial_held_by: held.zip(spec.span("dial_held_by")).map(|(held, span)| Located::new(held, span)),
        accept: spec.raw("accept").map(|node| read_accept(reader, node)).unwrap_or_default(),
        hidden: spec.flag("hidden").unwrap_or(false),
        story: parts.text,
        entries: Vec::new(),
        photos: Vec::new(),
    }
}

fn read_slots(reader: &mut Reader<'_>, node: &Node) -> BTreeMap<Slot, Filling> {
    let mut slots = BTreeMap::new();
    let Some(entries) = reader.map(node, "`parts`") else { return slots };
    for (key, node) in entries.into_iter().map(|entry| (&entry.0, &entry.1)) {
        let Some(slot) = reader.slot(&key.text, key.span) else { continue };
        if let Some(filling) = read_filling(reader, key, node, slot) {
            slots.insert(slot, filling);
        }
    }
    slots
}

fn read_filling(reader: &mut Reader<'_>, key: &Key, node: &Node, slot: Slot) -> Option<Filling> {
    match &node.value {
        Value::Empty => None,
        Value::Text(text) if text == "none" => Some(Filling::None(node.span)),
        Value::Text(text) => Some(Filling::Part(Located::new(text.clone(), node.span))),
        Value::Map(entries) => {
            let kind = match entries.iter().find(|(key, _)| key.text == "kind") {
                Some((_, node)) => {
                    let kind = kind_at(reader, node)?;
                    if kind.name != slot.kind() {
                        reader.error(
                            node.span,
                            format!(
                                "the slot `{}` takes a {}, not a {}",
                                slot.name(),
                                slot.kind(),
                                kind.name
                            ),
                        );
                        return None;
                    }
                    kind
                }
                None => Kind::of(slot.kind())?,
            };
            let what = format!("a {}", kind.name.replace('_', " "));
            let origin = entries
                .iter()
                .find(|(key, _)| key.text == "origin")
                .and_then(|(_, node)| Origin::of(node.text()?))
                .unwrap_or(Origin::Stated);
            let spec = reader.spec(node, &what, &[kind.fields, kind.also, PART], origin);
            Some(Filling::Written { kind, spec, span: key.span })
        }
        Value::List(_) => {
            reader.error(
                node.span,
                format!("the slot `{}` takes one part: its id, or `{{ ... }}`", slot.name()),
            );
            None
        }
    }
}

fn read_accept(reader: &mut Reader<'_>, node: &Node) -> Vec<(Located<String>, String)> {
    let mut accept = Vec::new();
    for (key, node) in
        reader.map(node, "`accept`").unwrap_or_default().into_iter().map(|entry| (&entry.0, &entry.1))
    {
        match node.text().map(str::trim).filter(|reason| !reason.is_empty()) {
            Some(reason) => accept.push((Located::new(key.text.clone(), key.span), reason.to_owned())),
            None => reader.error(
                key.span,
                format!("to accept `{}` give the reason: `{}: the look is worth it`", key.text, key.text),
            ),
        }
    }
    accept
}
