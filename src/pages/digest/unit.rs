//! A part and its history as bytes that are the same where all of it is: values, words and places.
//!
//! Places are told by path, line and column: the number of a file changes when another one comes.

use std::io::Write as _;

use crate::journal::part::From;
use crate::journal::yaml::{Node, Value};
use crate::journal::{Content, Part, PartSource, Spec};
use crate::ledger::{Altered, Change, Departure, Stay, Unit, When};
use crate::measure::Dimension;
use crate::text::{Files, Located, Span};

/// What is to be digested of a unit, and of the part of the bin that it is.
pub(super) fn written(files: &Files, unit: &Unit, part: Option<&Part>) -> Vec<u8> {
    let mut ink = Ink { files, out: Vec::with_capacity(2048) };
    // What it holds beside these follows from its stays.
    let Unit { id, name, kind, came, span, had, split_from, split, count, changes, stays, gone, .. } = unit;
    ink.say(&format_args!("{id:?} {name:?} {} {split_from:?} {count:?}", kind.name));
    ink.spec(came);
    ink.span(*span);
    for when in [had, split] {
        ink.say(&format_args!("{}", when.is_some()));
        when.iter().for_each(|when| ink.when(*when));
    }
    for Change { when, build, entry, sizes, altered } in changes {
        ink.when(*when);
        ink.say(&format_args!("changed {build:?} {entry:?}"));
        ink.spec(sizes);
        if let Some(Altered { how, by }) = altered {
            ink.say(&format_args!("altered {how:?} {by:?}"));
        }
    }
    for Stay { build, slot, from, to, span, planned } in stays {
        ink.say(&format_args!("stay {build:?} {} {from:?} {to:?} {planned}", slot.name()));
        ink.span(*span);
    }
    for Departure { when, how, count } in gone {
        ink.when(*when);
        ink.say(&format_args!("gone {how:?} {count}"));
    }
    if let Some(part) = part {
        ink.part(part);
    }
    ink.out
}

struct Ink<'a> {
    files: &'a Files,
    out: Vec<u8>,
}

impl Ink<'_> {
    fn say(&mut self, what: &dyn std::fmt::Display) {
        let _ = writeln!(self.out, "{what}");
    }

    fn number(&mut self, number: usize) {
        self.out.extend_from_slice(&(number as u64).to_le_bytes());
    }

    fn text(&mut self, text: &str) {
        self.number(text.len());
        self.out.extend_from_slice(text.as_bytes());
    }

    fn size(&mut self, size: &Dimension) {
        let Dimension { value, plus, minus, origin, quantity, converted } = size;
        for figure in [value, plus, minus] {
            self.out.extend_from_slice(&figure.to_bits().to_le_bytes());
        }
        self.text(origin.word());
        self.say(&format_args!("{quantity:?} {converted}"));
    }

    fn span(&mut self, span: Span) {
        let (line, column) = self.files.line_and_column(span);
        self.text(self.files.path(span.file));
        [line, column, span.end - span.start].into_iter().for_each(|number| self.number(number as usize));
    }

    fn when(&mut self, when: When) {
        self.say(&when.at);
        self.span(when.span);
    }

    fn part(&mut self, part: &Part) {
        // What it came with is what the unit came with.
        let Part { id, kind, spec: _, own, like, origin, from, count } = part;
        self.say(&format_args!("{:?} {} {origin:?}", id.value, kind.name));
        self.say(&format_args!("{:?} {:?}", own.text("name"), like.as_ref().map(|like| &like.value)));
        self.say(&format_args!("{:?}", count.as_ref().map(|count| count.value)));
        let From { source, date, price } = from;
        self.say(&format_args!("{:?} {price:?}", date.as_ref().map(|date| date.value)));
        match source {
            Some(PartSource::Donor(donor)) => self.say(&format_args!("donor {:?}", donor.value)),
            other => self.say(&format_args!("{other:?}")),
        }
    }

    fn spec(&mut self, spec: &Spec) {
        self.number(spec.iter().count());
        for (path, Located { value, span }) in spec.iter() {
            self.text(path);
            self.content(value);
            self.span(*span);
        }
    }

    fn content(&mut self, content: &Content) {
        self.out.push(match content {
            Content::Size(_) => b's',
            Content::Text(_) => b't',
            Content::Flag(_) => b'f',
            Content::Date(_) => b'd',
            Content::Items(_) => b'i',
            Content::Texts(_) => b'l',
            Content::Raw(_) => b'r',
        });
        match content {
            Content::Items(items) => {
                self.number(items.len());
                items.iter().for_each(|item| self.spec(item));
            }
            Content::Texts(texts) => {
                self.number(texts.len());
                for text in texts {
                    self.text(&text.value);
                    self.span(text.span);
                }
            }
            Content::Raw(node) => self.node(node),
            Content::Size(size) => self.size(size),
            Content::Text(text) => self.text(text),
            Content::Flag(_) | Content::Date(_) => self.say(&format_args!("{content:?}")),
        }
    }

    fn node(&mut self, node: &Node) {
        match &node.value {
            Value::Empty => self.say(&"nothing"),
            Value::Text(text) => {
                self.say(&"text");
                self.text(text);
            }
            Value::List(nodes) => {
                self.say(&"list");
                self.number(nodes.len());
                nodes.iter().for_each(|node| self.node(node));
            }
            Value::Map(entries) => {
                self.say(&"map");
                self.number(entries.len());
                for (key, node) in entries {
                    self.text(&key.text);
                    self.node(node);
                }
            }
        }
        self.span(node.span);
    }
}
