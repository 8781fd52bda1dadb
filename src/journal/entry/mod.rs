//! An entry: one dated page of a build's log.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime, Time};

use crate::measure::{Origin, Quantity};
use crate::problem::did_you_mean_one_of_many;
use crate::text::{FileId, Files, Located, Span};

use super::build::slot_at;
use super::dates;
use super::fields::{Field, FieldShape, Kind};
use super::front_matter;
use super::slot::Slot;
use super::spec::{Reader, Spec};
use super::yaml::{self, Node, Value};

/// What was done and measured one day.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The file's name without .md.
    pub name: String,
    /// The file.
    pub file: FileId,
    /// The day.
    pub date: Located<Date>,
    /// The time, where the order within a day matters.
    pub time: Option<Time>,
    /// Its heading.
    pub title: Option<String>,
    /// Parts that came that day.
    pub had: Vec<Located<String>>,
    /// Slots that were emptied.
    pub removed: Vec<Located<Slot>>,
    /// Slots that were filled, by which part; `None` takes the part of build.md.
    pub fitted: Vec<(Located<Slot>, Option<Located<String>>)>,
    /// What was measured, by part id or slot.
    pub measured: Vec<(Located<Subject>, Spec)>,
    /// What was altered.
    pub altered: Vec<Alteration>,
    /// Parts that left.
    pub left: Vec<Left>,
    /// Whether the case was opened, if it was said.
    pub opened: Option<Located<bool>>,
    /// Readings of the timing machine.
    pub timing: Vec<LoggedReading>,
    /// Pressure tests.
    pub pressure: Vec<PressureTest>,
    /// Tools that were used.
    pub tools: Vec<String>,
    /// Time at the bench.
    pub minutes: Option<f64>,
    /// Money, in the journal's currency.
    pub spent: Option<f64>,
    /// Photos that the entry lists.
    pub photos: Vec<ListedPhoto>,
    /// The text in Markdown.
    pub text: Span,
}

/// What an entry speaks of: a part by its id, or whatever fills a slot.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Subject {
    /// A part of the bin.
    Part(String),
    /// A slot of the build.
    Slot(Slot),
}

/// A part that was altered.
#[derive(Clone, Debug)]
pub struct Alteration {
    /// What was altered.
    pub part: Located<Subject>,
    /// How, in one of the words of the table.
    pub how: Located<String>,
    /// Its sizes since.
    pub to: Spec,
    /// With what.
    pub by: Option<String>,
    /// The new part's id, where one of a lot was altered.
    pub becomes: Option<Located<String>>,
    /// Where it stands.
    pub span: Span,
}

/// A part that left the bin.
#[derive(Clone, Debug)]
pub struct Left {
    /// Its id.
    pub part: Located<String>,
    /// sold, lost, broken, given, used up.
    pub how: Located<String>,
    /// How many of a lot; one if left out.
    pub count: u32,
}

/// One reading of the timing machine, as written.
#[derive(Clone, PartialEq, Debug)]
pub struct LoggedReading {
    /// When; the entry's date where it was not said.
    pub at: DateTime,
    /// ISO 3158 code.
    pub position: String,
    /// Seconds a day.
    pub rate: f64,
    /// Degrees.
    pub amplitude: Option<f64>,
    /// Half the difference of the two swings, ms.
    pub beat_error: Option<f64>,
    /// How far it was wound, in words: full, half, or hours since full.
    pub wound: Option<String>,
    /// What the machine was set to, degrees; `None`: the calibre's own.
    pub lift_angle: Option<f64>,
    /// Degrees Celsius.
    pub temperature: Option<f64>,
    /// Where it stands.
    pub span: Span,
}

/// One pressure test.
#[derive(Clone, PartialEq, Debug)]
pub struct PressureTest {
    /// Overpressure, bar.
    pub bar: f64,
    /// dry or wet.
    pub method: String,
    /// Whether it held.
    pub held: bool,
    /// Where it stands.
    pub span: Span,
}

/// A photo as an entry lists it.
#[derive(Clone, PartialEq, Debug)]
pub struct ListedPhoto {
    /// Relative to the build's folder.
    pub file: Located<String>,
    /// What it shows, for those who cannot see it.
    pub alt: Option<String>,
    /// What is said below it.
    pub caption: Option<String>,
}

/// The fields of an entry.
pub const ENTRY: &[Field] = &[
    Field { name: "date", shape: FieldShape::Date, doc: "the day" },
    Field { name: "time", shape: FieldShape::Text, doc: "20:00, where the order within a day matters" },
    Field { name: "title", shape: FieldShape::Text, doc: "the heading" },
    Field {
        name: "had",
        shape: FieldShape::Texts,
        doc: "parts that came that day, where the part says no date",
    },
    Field { name: "removed", shape: FieldShape::Texts, doc: "slots that were emptied" },
    Field { name: "fitted", shape: FieldShape::Raw("slots, or slot: part"), doc: "slots that were filled" },
    Field { name: "measured", shape: FieldShape::Raw("part or slot: sizes"), doc: "what was measured" },
    Field { name: "altered", shape: FieldShape::Raw("alterations"), doc: "what was altered" },
    Field { name: "left", shape: FieldShape::Items(LEFT), doc: "parts that left" },
    Field { name: "opened", shape: FieldShape::Flag, doc: "whether the case was opened" },
    Field { name: "timing", shape: FieldShape::Items(TIMING), doc: "readings of the timing machine" },
    Field { name: "pressure", shape: FieldShape::Items(PRESSURE), doc: "pressure tests" },
    Field { name: "tools", shape: FieldShape::Texts, doc: "tools that were used" },
    Field { name: "minutes", shape: FieldShape::Size(Quantity::Number), doc: "time at the bench" },
    Field {
        name: "spent",
        shape: FieldShape::Size(Quantity::Number),
        doc: "money, in the journal's currency",
    },
    Field { name: "photos", shape: FieldShape::Raw("photos"), doc: "photos of that day" },
];

/// The ways of altering a part.
pub const ALTERATIONS: &[&str] = &[
    "turned down",
    "feet cut",
    "bore opened",
    "bore closed",
    "bent",
    "relumed",
    "refinished",
    "drilled",
    "other",
];

/// The fields of an alteration.
pub const ALTERED: &[Field] = &[
    Field { name: "part", shape: FieldShape::Text, doc: "its id, or its slot" },
    Field { name: "how", shape: FieldShape::Word(ALTERATIONS), doc: "what was done" },
    Field { name: "to", shape: FieldShape::Raw("sizes"), doc: "its sizes since" },
    Field { name: "by", shape: FieldShape::Text, doc: "with what" },
    Field { name: "as", shape: FieldShape::Text, doc: "the new part's id, where one of a lot was altered" },
];

/// What may stand beside the sizes of something measured.
pub const MEASURED: &[Field] = &[Field {
    name: "as",
    shape: FieldShape::Text,
    doc: "the new part's id, where one of a lot was measured",
}];

/// The fields of a part that left.
pub const LEFT: &[Field] = &[
    Field { name: "part", shape: FieldShape::Text, doc: "its id" },
    Field {
        name: "how",
        shape: FieldShape::Word(&["sold", "lost", "broken", "given", "used up"]),
        doc: "how it left",
    },
    Field {
        name: "count",
        shape: FieldShape::Size(Quantity::Number),
        doc: "how many of a lot; one if left out",
    },
];

/// The fields of a timing reading.
pub const TIMING: &[Field] = &[
    Field { name: "at", shape: FieldShape::Text, doc: "2026-01-20 20:00" },
    Field {
        name: "position",
        shape: FieldShape::Word(&["CH", "FH", "3H", "6H", "9H", "12H"]),
        doc: "ISO 3158 code",
    },
    Field { name: "rate", shape: FieldShape::Size(Quantity::Rate), doc: "seconds a day" },
    Field { name: "amplitude", shape: FieldShape::Size(Quantity::Turn), doc: "degrees" },
    Field {
        name: "beat_error",
        shape: FieldShape::Size(Quantity::Beat),
        doc: "half the difference of two swings, ms",
    },
    Field { name: "wound", shape: FieldShape::Text, doc: "full, half, or hours since full such as 24 h" },
    Field { name: "lift_angle", shape: FieldShape::Size(Quantity::Turn), doc: "what the machine was set to" },
    Field { name: "temperature", shape: FieldShape::Size(Quantity::Temperature), doc: "degrees Celsius" },
];

/// The fields of a pressure test.
pub const PRESSURE: &[Field] = &[
    Field { name: "bar", shape: FieldShape::Size(Quantity::Pressure), doc: "overpressure" },
    Field { name: "method", shape: FieldShape::Word(&["dry", "wet"]), doc: "in air, or in water" },
    Field { name: "result", shape: FieldShape::Word(&["held", "failed"]), doc: "whether it held" },
];

/// The fields of a photo.
pub const PHOTO: &[Field] = &[
    Field { name: "file", shape: FieldShape::Text, doc: "relative to the build's folder" },
    Field { name: "alt", shape: FieldShape::Text, doc: "what it shows, for those who cannot see it" },
    Field { name: "caption", shape: FieldShape::Text, doc: "what is said below it" },
];

/// Reads an entry; `None` where it has no date to stand at.
///
/// `kinds` says what every part of the bin is.
pub fn read(
    reader: &mut Reader<'_>,
    file: FileId,
    name: &str,
    kinds: &BTreeMap<String, &'static Kind>,
) -> Option<Entry> {
    let (parts, problem) = front_matter::split(reader.files, file);
    let unclosed = problem.is_some();
    reader.problems.extend(problem);
    let Some(span) = parts.yaml else {
        if !unclosed {
            reader.error(
                file.start(),
                "this entry has no front matter: begin it with `---`, `date: 2026-01-17`, `---`",
            );
        }
        return None;
    };
    let yaml = reader.files.cut(span).to_owned();
    let node = match yaml::parse(reader.files, file, span.start as usize, &yaml) {
        Ok(node) => node,
        Err(problem) => {
            reader.problems.push(problem);
            return None;
        }
    };
    let spec = reader.spec(&node, "an entry", &[ENTRY], Origin::Measured);
    let Some(date) = spec.date("date").zip(spec.span("date")).map(|(date, span)| Located::new(date, span))
    else {
        if spec.get("date").is_none() && !has_key(&node, "date") {
            reader.error(file.start(), "this entry has no date: add `date: 2026-01-17` to its front matter");
        }
        return None;
    };
    let time = spec.text("time").zip(spec.span("time")).and_then(|(text, span)| match dates::time(text) {
        Ok(time) => Some(time),
        Err(fault) => {
            reader.error(span, format!("`time`: {fault}"));
            None
        }
    });
    let removed = spec
        .texts("removed")
        .iter()
        .filter_map(|name| slot_at(reader, &name.value, name.span).map(|slot| Located::new(slot, name.span)));
    let removed = removed.collect();
    let mut log = LogReader { reader, kinds };
    Some(Entry {
        name: name.to_owned(),
        file,
        time,
        title: spec.text("title").map(str::to_owned),
        had: spec.texts("had").to_vec(),
        removed,
        fitted: spec.raw("fitted").map(|node| log.fitted(node)).unwrap_or_default(),
        measured: spec.raw("measured").map(|node| log.measured(node)).unwrap_or_default(),
        altered: spec.raw("altered").map(|node| log.altered(node)).unwrap_or_default(),
        left: spec.items("left").unwrap_or_default().iter().filter_map(|item| log.left(item)).collect(),
        opened: spec.flag("opened").zip(spec.span("opened")).map(|(opened, span)| Located::new(opened, span)),
        timing: spec
            .items("timing")
            .unwrap_or_default()
            .iter()
            .filter_map(|row| log.timing(row, date.value))
            .collect(),
        pressure: spec
            .items("pressure")
            .unwrap_or_default()
            .iter()
            .filter_map(|test| log.pressure(test))
            .collect(),
        tools: spec.texts("tools").iter().map(|tool| tool.value.clone()).collect(),
        minutes: spec.size("minutes").map(|size| size.value.value),
        spent: spec.size("spent").map(|size| size.value.value),
        photos: spec.raw("photos").map(|node| log.photos(node)).unwrap_or_default(),
        text: parts.text,
        date,
    })
}

/// The kinds of all parts, those that entries split off with `as:` included.
pub fn with_splits(
    mut kinds: BTreeMap<String, &'static Kind>,
    files: &Files,
    logs: impl Iterator<Item = FileId>,
) -> BTreeMap<String, &'static Kind> {
    let mut splits: Vec<(String, String)> = Vec::new();
    for file in logs {
        // Few entries split anything: only those are read a first time here.
        let (parts, _) = front_matter::split(files, file);
        let Some(span) = parts.yaml.filter(|span| may_split(files.cut(*span))) else { continue };
        if let Ok(node) = yaml::parse(files, file, span.start as usize, files.cut(span)) {
            collect_splits(&node, &mut splits);
        }
    }
    // A part that was split off may be split again: what waits for it is known once it is.
    let mut waiting: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut known = Vec::new();
    for (from, to) in splits {
        match kinds.get(&from).copied().or_else(|| Kind::of(Slot::of(&from)?.kind())) {
            Some(kind) => known.push((to, kind)),
            None => waiting.entry(from).or_default().push(to),
        }
    }
    known.reverse();
    while let Some((id, kind)) = known.pop() {
        if kinds.contains_key(&id) {
            continue;
        }
        known.extend(waiting.remove(&id).into_iter().flatten().map(|to| (to, kind)));
        kinds.insert(id, kind);
    }
    kinds
}

/// Whether a log may give one of a lot an id of its own.
pub(super) fn may_split(text: &str) -> bool {
    text.contains("as:")
}

fn collect_splits(node: &Node, splits: &mut Vec<(String, String)>) {
    let Value::Map(entries) = &node.value else { return };
    let get = |node: &Node, name: &str| match &node.value {
        Value::Map(entries) => entries
            .iter()
            .find(|(key, _)| key.text == name)
            .and_then(|(_, node)| node.text().map(str::to_owned)),
        _ => None,
    };
    for (key, node) in entries {
        match (key.text.as_str(), &node.value) {
            ("altered", Value::List(list)) => {
                splits.extend(list.iter().filter_map(|item| get(item, "part").zip(get(item, "as"))));
            }
            ("measured", Value::Map(subjects)) => {
                splits.extend(
                    subjects.iter().filter_map(|(key, sizes)| Some((key.text.clone(), get(sizes, "as")?))),
                );
            }
            _ => {}
        }
    }
}

fn has_key(node: &Node, name: &str) -> bool {
    matches!(&node.value, Value::Map(entries) if entries.iter().any(|(key, _)| key.text == name))
}

struct LogReader<'r, 'a> {
    reader: &'r mut Reader<'a>,
    kinds: &'r BTreeMap<String, &'static Kind>,
}

impl LogReader<'_, '_> {
    fn fitted(&mut self, node: &Node) -> Vec<(Located<Slot>, Option<Located<String>>)> {
        if let Value::Map(_) = node.value {
            let entries = self.reader.map(node, "`fitted`").unwrap_or_default();
            let mut out = Vec::new();
            for (key, node) in entries.into_iter().map(|entry| (&entry.0, &entry.1)) {
                let Some(slot) = slot_at(self.reader, &key.text, key.span) else { continue };
                let part = match &node.value {
                    Value::Empty => None,
                    _ => match self.reader.scalar(&key.text, node) {
                        Some(part) => Some(Located::new(part.to_owned(), node.span)),
                        None => continue,
                    },
                };
                out.push((Located::new(slot, key.span), part));
            }
            return out;
        }
        let slots = self.reader.texts(node).unwrap_or_default();
        let slots = slots.into_iter().filter_map(|name| {
            slot_at(self.reader, &name.value, name.span).map(|slot| (Located::new(slot, name.span), None))
        });
        slots.collect()
    }

    fn measured(&mut self, node: &Node) -> Vec<(Located<Subject>, Spec)> {
        let mut out = Vec::new();
        let entries = self.reader.map(node, "`measured`").unwrap_or_default();
        for (key, node) in entries.into_iter().map(|entry| (&entry.0, &entry.1)) {
            let Some((subject, kind)) = self.subject(&key.text, key.span) else { continue };
            out.push((Located::new(subject, key.span), self.sizes(node, kind, &[MEASURED])));
        }
        out
    }

    fn sizes(&mut self, node: &Node, kind: &'static Kind, more: &[&'static [Field]]) -> Spec {
        let what = format!("a {}", kind.name.replace('_', " "));
        self.reader.spec(node, &what, &[&[kind.fields, kind.also], more].concat(), Origin::Measured)
    }

    fn altered(&mut self, node: &Node) -> Vec<Alteration> {
        let one = [node.clone()];
        let list: &[Node] = match &node.value {
            Value::List(list) => list,
            Value::Map(_) => &one,
            _ => {
                self.reader
                    .error(node.span, "`altered` is a list: `- part: ...` with `how:` and `to:` below it");
                return Vec::new();
            }
        };
        list.iter().filter_map(|item| self.alteration(item)).collect()
    }

    fn alteration(&mut self, node: &Node) -> Option<Alteration> {
        let spec = self.reader.spec(node, "an alteration", &[ALTERED], Origin::Measured);
        let text = |path: &str| {
            spec.text(path).zip(spec.span(path)).map(|(text, span)| Located::new(text.to_owned(), span))
        };
        let Some(part) = text("part") else {
            self.reader.error(node.span, "an alteration says which part: add `part: ` and its id or slot");
            return None;
        };
        let Some(how) = text("how") else {
            if spec.get("how").is_none() && !has_key(node, "how") {
                let ways = ALTERATIONS.join(", ");
                self.reader.error(node.span, format!("an alteration says how: add `how: `, one of {ways}"));
            }
            return None;
        };
        let (subject, kind) = self.subject(&part.value, part.span)?;
        let to = spec.raw("to").cloned().map(|node| self.sizes(&node, kind, &[])).unwrap_or_default();
        Some(Alteration {
            part: Located::new(subject, part.span),
            how,
            to,
            by: spec.text("by").map(str::to_owned),
            becomes: text("as"),
            span: node.span,
        })
    }

    /// A part of the bin, or a slot; a part that is named like a slot wins, as it was said by name.
    fn subject(&mut self, name: &str, span: Span) -> Option<(Subject, &'static Kind)> {
        if let Some(kind) = self.kinds.get(name) {
            return Some((Subject::Part(name.to_owned()), kind));
        }
        if let Some(slot) = Slot::of(name) {
            return Some((Subject::Slot(slot), Kind::of(slot.kind())?));
        }
        if self.reader.is_full() {
            return None;
        }
        let slots = Slot::ALL.iter().map(|slot| slot.name());
        let known: Vec<&str> = self.kinds.keys().map(String::as_str).chain(slots).collect();
        let near = did_you_mean_one_of_many(name, known.into_iter(), self.reader.problems.len());
        self.reader.error(span, format!("`{name}` is neither a part in parts/ nor a slot{near}"));
        None
    }

    fn left(&mut self, item: &Spec) -> Option<Left> {
        let text = |path: &str| {
            item.text(path).zip(item.span(path)).map(|(text, span)| Located::new(text.to_owned(), span))
        };
        let part = text("part")?;
        let Some(how) = text("how") else {
            self.reader.error(part.span, format!("`{}` left: say how, `how: sold`", part.value));
            return None;
        };
        let count = item.size("count").map_or(1.0, |count| count.value.value);
        Some(Left { part, how, count: count.clamp(1.0, 1e6) as u32 })
    }

    fn timing(&mut self, row: &Spec, day: Date) -> Option<LoggedReading> {
        let span = row.iter().next()?.1.span;
        let (Some(position), Some(rate)) = (row.text("position"), row.size("rate")) else {
            if row.get("position").is_none() || row.get("rate").is_none() {
                self.reader
                    .error(span, "a timing reading has `position:` (CH, FH, 3H, 6H, 9H, 12H) and `rate:`");
            }
            return None;
        };
        let at = match row.text("at").map(dates::moment) {
            Some(Ok(at)) => at,
            Some(Err(fault)) => {
                self.reader.error(row.span("at").unwrap_or(span), format!("`at`: {fault}"));
                return None;
            }
            None => day.to_datetime(Time::midnight()),
        };
        let size = |path: &str| row.size(path).map(|size| size.value.value);
        Some(LoggedReading {
            at,
            position: position.to_owned(),
            rate: rate.value.value,
            amplitude: size("amplitude"),
            beat_error: size("beat_error"),
            wound: row.text("wound").map(str::to_owned),
            lift_angle: size("lift_angle"),
            temperature: size("temperature"),
            span,
        })
    }

    fn pressure(&mut self, test: &Spec) -> Option<PressureTest> {
        let span = test.iter().next()?.1.span;
        let (Some(bar), Some(method), Some(result)) =
            (test.size("bar"), test.text("method"), test.text("result"))
        else {
            self.reader.error(
                span,
                "a pressure test has `bar:`, `method:` (dry or wet) and `result:` (held or failed)",
            );
            return None;
        };
        Some(PressureTest { bar: bar.value.value, method: method.to_owned(), held: result == "held", span })
    }

    fn photos(&mut self, node: &Node) -> Vec<ListedPhoto> {
        let Value::List(list) = &node.value else {
            self.reader.error(node.span, "`photos` is a list: `- { file: 01.jpg, alt: \"...\" }`");
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in list {
            if let Some(file) = item.text() {
                out.push(ListedPhoto {
                    file: Located::new(file.to_owned(), item.span),
                    alt: None,
                    caption: None,
                });
                continue;
            }
            let spec = self.reader.spec(item, "a photo", &[PHOTO], Origin::Measured);
            match spec.text("file").zip(spec.span("file")) {
                Some((file, span)) => out.push(ListedPhoto {
                    file: Located::new(file.to_owned(), span),
                    alt: spec.text("alt").map(str::to_owned),
                    caption: spec.text("caption").map(str::to_owned),
                }),
                None => self.reader.error(item.span, "a photo says which file: add `file: 01.jpg`"),
            }
        }
        out
    }
}
