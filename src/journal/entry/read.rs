//! Front matter of the log into entries.

use std::collections::BTreeMap;

use jiff::civil::{Date, Time};

use crate::journal::fields::{Field, Kind};
use crate::journal::reader::Reader;
use crate::journal::slot::Slot;
use crate::journal::spec::Spec;
use crate::journal::yaml::{self, Node, Value};
use crate::journal::{dates, front_matter};
use crate::measure::Origin;
use crate::problem::did_you_mean_one_of_many;
use crate::text::{FileId, Located, Span};

use super::fields::{ALTERATIONS, ALTERED, ENTRY, MEASURED, PHOTO};
use super::{Alteration, Entry, Left, ListedPhoto, LoggedReading, PressureTest, Subject};

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
        .filter_map(|name| reader.slot(&name.value, name.span).map(|slot| Located::new(slot, name.span)));
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
                let Some(slot) = self.reader.slot(&key.text, key.span) else { continue };
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
            self.reader.slot(&name.value, name.span).map(|slot| (Located::new(slot, name.span), None))
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
