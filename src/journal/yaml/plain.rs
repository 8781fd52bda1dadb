//! Plain documents, straight from the parser's events.
//!
//! Nearly every file of a journal has keys, lists and scalars in it and nothing else. serde's way through
//! [`super::Tree`] makes the same nodes of them at twice the cost: it guesses at numbers that are read as
//! they were written, and hands each place on as a map. What has more in it, an anchor, a tag, a merge or a
//! fault, is left to that way, which knows the rules, the limits and the words.

use granit_parser::{Event, Parser, ScalarStyle, Span as Run, StrInput};

use super::{Cutter, Node, Value};

/// Levels of lists and maps within each other that are read: each is a call in a call.
pub(super) const DEEPEST: usize = 32;
const MOST_EVENTS: usize = 100_000;

/// Reads a document; `None` where it is not plain.
pub(super) fn read(cutter: &mut Cutter<'_>) -> Option<Node> {
    let mut events = Events { parser: Parser::new_from_str(cutter.yaml), left: MOST_EVENTS };
    let (Event::StreamStart, _) = events.next()? else { return None };
    let (Event::DocumentStart(_, None), _) = events.next()? else { return None };
    let first = events.next()?;
    let node = events.node(first, cutter, 0)?;
    let (Event::DocumentEnd, _) = events.next()? else { return None };
    let (Event::StreamEnd, _) = events.next()? else { return None };
    Some(node)
}

struct Events<'a> {
    parser: Parser<'a, StrInput<'a>>,
    left: usize,
}

impl<'a> Events<'a> {
    fn next(&mut self) -> Option<(Event<'a>, Run)> {
        self.left = self.left.checked_sub(1)?;
        self.parser.next()?.ok()
    }

    fn node(
        &mut self,
        (event, run): (Event<'a>, Run),
        cutter: &mut Cutter<'_>,
        depth: usize,
    ) -> Option<Node> {
        let span = cutter.placed(run.start.byte_offset(), run.end.byte_offset());
        let value = match event {
            Event::Scalar(text, style, 0, None) => match (&*text, style) {
                ("" | "~" | "null" | "Null" | "NULL", ScalarStyle::Plain) => Value::Empty,
                _ => cutter.text(text.into_owned(), span),
            },
            Event::SequenceStart(_, 0, None) if depth < DEEPEST => {
                let mut list = Vec::new();
                loop {
                    match self.next()? {
                        (Event::SequenceEnd, _) => break Value::List(list),
                        item => list.push(self.node(item, cutter, depth + 1)?),
                    }
                }
            }
            Event::MappingStart(_, 0, None) if depth < DEEPEST => {
                let mut map = Vec::new();
                loop {
                    match self.next()? {
                        (Event::MappingEnd, _) => break Value::Map(map),
                        (Event::Scalar(text, ..), _) if text == "<<" => return None,
                        key @ (Event::Scalar(..), _) => {
                            let key = self.node(key, cutter, depth + 1)?;
                            let value = self.next()?;
                            map.push((cutter.key(key), self.node(value, cutter, depth + 1)?));
                        }
                        _ => return None,
                    }
                }
            }
            _ => return None,
        };
        Some(Node { value, span })
    }
}
