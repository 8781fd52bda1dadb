//! A part and its history as bytes that are the same where all of it is: values, words and places.
//!
//! Places are told by path, line and column: the number of a file changes when another one comes.

use std::fmt::Write as _;

use crate::journal::part::From;
use crate::journal::yaml::{Node, Value};
use crate::journal::{Content, Part, Source, Spec};
use crate::ledger::{Altered, Change, Gone, Stay, Unit, When};
use crate::text::{Files, Located, Span};

/// What is to be digested of a unit, and of the part of the bin that it is.
pub(super) fn written(files: &Files, unit: &Unit, part: Option<&Part>) -> String {
    let mut ink = Ink { files, out: String::with_capacity(1024) };
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
    for Gone { when, how, count } in gone {
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
    out: String,
}

impl Ink<'_> {
    fn say(&mut self, what: &dyn std::fmt::Display) {
        let _ = writeln!(self.out, "{what}");
    }

    fn span(&mut self, span: Span) {
        let place = self.files.place(span);
        let _ =
            writeln!(self.out, "@{} {} {} {}", place.file, place.line, place.column, span.end - span.start);
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
            Some(Source::Donor(donor)) => self.say(&format_args!("donor {:?}", donor.value)),
            other => self.say(&format_args!("{other:?}")),
        }
    }

    fn spec(&mut self, spec: &Spec) {
        for (path, Located { value, span }) in spec.iter() {
            self.say(&path);
            self.content(value);
            self.span(*span);
        }
        self.say(&"end");
    }

    fn content(&mut self, content: &Content) {
        match content {
            Content::Items(items) => {
                self.say(&items.len());
                items.iter().for_each(|item| self.spec(item));
            }
            Content::Texts(texts) => {
                self.say(&texts.len());
                for text in texts {
                    self.say(&format_args!("{:?}", text.value));
                    self.span(text.span);
                }
            }
            Content::Raw(node) => self.node(node),
            Content::Size(_) | Content::Text(_) | Content::Flag(_) | Content::Date(_) => {
                self.say(&format_args!("{content:?}"));
            }
        }
    }

    fn node(&mut self, node: &Node) {
        match &node.value {
            Value::Empty => self.say(&"nothing"),
            Value::Text(text) => self.say(&format_args!("{text:?}")),
            Value::List(nodes) => {
                self.say(&nodes.len());
                nodes.iter().for_each(|node| self.node(node));
            }
            Value::Map(entries) => {
                self.say(&entries.len());
                for (key, node) in entries {
                    self.say(&format_args!("{:?}", key.text));
                    self.node(node);
                }
            }
        }
        self.span(node.span);
    }
}
