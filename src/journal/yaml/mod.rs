//! YAML into a tree whose every key and value knows its place.
//!
//! A scalar is kept as it was written: `1.50` stays `1.50`, and the table of fields decides what it
//! means. A derived serde type would have rounded it, and would lose the places inside tagged enums.

mod plain;
mod tree;

use serde::Serialize;
use serde_yaml::Spanned;
use serde_yaml::options::{DuplicateKeyPolicy, NonFiniteFloatPolicy};

use crate::problem::Problem;
use crate::text::{FileId, Files, Place, Span};

use tree::Tree;

/// A value of the tree and its place.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Node {
    /// What stands there.
    pub value: Value,
    /// Where.
    pub span: Span,
}

/// What stands at a place.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub enum Value {
    /// Nothing, `~` or `null`.
    Empty,
    /// A scalar as written, quotes taken off.
    Text(String),
    /// A sequence.
    List(Vec<Node>),
    /// A mapping, in the order of writing; a key may stand twice.
    Map(Vec<(Key, Node)>),
}

/// A key of a mapping.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub struct Key {
    /// As written, quotes taken off.
    pub text: String,
    /// Where.
    pub span: Span,
}

impl Node {
    /// The scalar, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    /// What stands there, for a message.
    pub fn what(&self) -> &'static str {
        match &self.value {
            Value::Empty => "nothing",
            Value::Text(_) => "a single value",
            Value::List(_) => "a list",
            Value::Map(_) => "a map",
        }
    }
}

/// Larger texts are no journals; reading them would only cost memory.
pub const MOST_BYTES: usize = 4 << 20;

/// Reads the YAML that begins at byte `start` of a file.
///
/// Parsing stops at the first fault of grammar; the fault's place is in the whole file.
pub fn parse(files: &Files, file: FileId, start: usize, yaml: &str) -> Result<Node, Problem> {
    let at = |offset: usize| {
        files.place(Span { file, start: (start + offset) as u32, end: (start + offset) as u32 })
    };
    if yaml.len() > MOST_BYTES {
        let megabytes = yaml.len() >> 20;
        return Err(Problem::error(
            at(0),
            format!("{megabytes} MB of YAML are more than a journal holds: split the file"),
        ));
    }
    if yaml.trim().is_empty() {
        let span = Span { file, start: start as u32, end: start as u32 };
        return Ok(Node { value: Value::Empty, span });
    }
    let mut cutter = Cutter { yaml, file, start, unseen: None };
    let node = match plain::read(&mut cutter) {
        Some(node) => node,
        None => {
            cutter.unseen = None;
            let tree = parsed(yaml).map_err(|fault| {
                let place = fault
                    .location()
                    .map_or_else(|| at(0), |location| shifted(&at(0), location.line(), location.column()));
                Problem::error(place, words(&fault.without_snippet().to_string()))
            })?;
            cutter.node(tree.0)
        }
    };
    match cutter.unseen {
        Some((span, c)) => Err(Problem::error(
            files.place(span),
            format!("a text has the invisible character U+{:04X} in it: write it without", c as u32),
        )),
        None => Ok(node),
    }
}

/// What the parser alone makes of a text: each value and key with its place, scalars not cut yet.
pub struct Parsed(Spanned<Tree>);

/// serde-saphyr's part of [`parse`], for what is not plain; all of that is measured beside it.
pub fn parsed(yaml: &str) -> Result<Parsed, serde_yaml::Error> {
    let options = serde_yaml::options! {
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        // What is no figure is told where its field is read, like any other word.
        non_finite_float_policy: NonFiniteFloatPolicy::PassThrough,
        with_snippet: false,
        budget: serde_yaml::budget! { max_depth: plain::DEEPEST },
    };
    serde_yaml::from_str_with_options(yaml, options).map(Parsed)
}

/// Controls have no business in a text, and make a terminal do what the text says.
fn unseen(text: &str) -> Option<char> {
    text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t'))
}

/// Line and column within the YAML, carried to the whole file it is a part of.
fn shifted(origin: &Place, line: u64, column: u64) -> Place {
    let line = u32::try_from(line).unwrap_or(u32::MAX);
    let column = u32::try_from(column).unwrap_or(u32::MAX);
    let column = if line == 1 { origin.column + column.saturating_sub(1) } else { column };
    Place { file: origin.file.clone(), line: origin.line + line.saturating_sub(1), column }
}

/// What is said of an alias, `*a`, without its anchor, `&a`.
pub(super) const UNKNOWN_MARK: &str =
    "`*` repeats here what no `&` of the same name has marked before: write it out";

/// The parser's words, with a way out where the cause is known.
fn words(said: &str) -> String {
    let said = said.trim_start_matches("error: ");
    let said = match said.split_once(": ") {
        Some((place, rest)) if place.starts_with("line ") => rest,
        _ => said,
    };
    let line = said.lines().next().unwrap_or_default().trim();
    if line.contains("tab") {
        return "a tab stands where spaces must: indent with spaces".into();
    }
    if line.contains("mapping values are not allowed") {
        return "a second `:` stands in this line: put the text into quotes, or begin a new line".into();
    }
    if line.contains("multiple YAML documents") {
        return "a second document begins here: take this line out, one file holds one".into();
    }
    if line.contains("unknown anchor") {
        return UNKNOWN_MARK.to_owned();
    }
    if line.contains("alias")
        || line.contains("budget")
        || line.contains("recursion")
        || line.contains("depth")
    {
        return format!("this YAML is nested or repeated beyond what a journal needs ({line})");
    }
    format!("this is not YAML: {line}")
}

struct Cutter<'a> {
    yaml: &'a str,
    file: FileId,
    start: usize,
    /// The first text with a control in it.
    unseen: Option<(Span, char)>,
}

impl Cutter<'_> {
    fn node(&mut self, tree: Spanned<Tree>) -> Node {
        let defined = tree.defined.span();
        let start = defined.byte_offset().map(|offset| offset as usize);
        let end = start.zip(defined.byte_len()).map(|(start, len)| start + len as usize);
        let span = self.placed(start, end);
        let value = match tree.value {
            Tree::Empty => Value::Empty,
            Tree::Scalar(Some(text)) => self.text(text, span),
            Tree::Scalar(None) => Value::Text(self.cut(span).trim().to_owned()),
            Tree::List(list) => Value::List(list.into_iter().map(|item| self.node(item)).collect()),
            Tree::Map(map) => Value::Map(
                map.into_iter()
                    .map(|(key, value)| {
                        let key = self.node(key);
                        (self.key(key), self.node(value))
                    })
                    .collect(),
            ),
        };
        Node { value, span }
    }

    fn text(&mut self, text: String, span: Span) -> Value {
        if let (None, Some(c)) = (self.unseen, unseen(&text)) {
            self.unseen = Some((span, c));
        }
        Value::Text(text)
    }

    fn key(&self, node: Node) -> Key {
        let text = match node.value {
            Value::Text(text) => text,
            _ => self.cut(node.span).to_owned(),
        };
        Key { text, span: node.span }
    }

    /// The place in the whole file of what the parser found between two bytes of the YAML.
    fn placed(&self, start: Option<usize>, end: Option<usize>) -> Span {
        let start = start.unwrap_or(0).min(self.yaml.len());
        let end = end.unwrap_or(start).clamp(start, self.yaml.len());
        Span { file: self.file, start: (self.start + start) as u32, end: (self.start + end) as u32 }
    }

    fn cut(&self, span: Span) -> &str {
        self.yaml.get(span.start as usize - self.start..span.end as usize - self.start).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;
    use proptest::sample::select;

    use super::*;

    fn read(text: &str) -> (Files, Result<Node, Problem>) {
        let mut files = Files::default();
        let file = files.add("x.yaml", text);
        let node = parse(&files, file, 0, text);
        (files, node)
    }

    fn leaves(files: &Files, node: &Node, out: &mut Vec<String>) {
        match &node.value {
            Value::Empty => out.push(format!("{} -", files.place(node.span))),
            Value::Text(text) => out.push(format!("{} {text}", files.place(node.span))),
            Value::List(list) => list.iter().for_each(|item| leaves(files, item, out)),
            Value::Map(map) => map.iter().for_each(|(_, value)| leaves(files, value, out)),
        }
    }

    #[test]
    fn scalars_stay_as_written_and_know_their_place() {
        let (files, node) =
            read("# é\na: { fits: 1.50, t: 12.5''' }\nb: [+6, 'it''s', ~28.5, 2026-01-10]\nc:\nd: 0x10\n");
        let mut out = Vec::new();
        leaves(&files, &node.expect("this is YAML"), &mut out);
        assert_eq!(
            out,
            [
                "x.yaml:2:12 1.50",
                "x.yaml:2:21 12.5'''",
                "x.yaml:3:5 +6",
                "x.yaml:3:9 it's",
                "x.yaml:3:18 ~28.5",
                "x.yaml:3:25 2026-01-10",
                "x.yaml:4:2 -",
                "x.yaml:5:4 0x10"
            ]
        );
    }

    /// A tree, and the first character that does not belong in it.
    type Made = (Node, Option<(Span, char)>);

    /// What serde-saphyr makes of a text, and what comes of the events alone, each with the first text that
    /// has a control in it.
    fn both_ways(text: &str) -> [Option<Made>; 2] {
        let cutter = || Cutter { yaml: text, file: FileId::default(), start: 0, unseen: None };
        let (mut of_tree, mut of_events) = (cutter(), cutter());
        let tree = parsed(text).ok().map(|tree| of_tree.node(tree.0));
        let events = plain::read(&mut of_events);
        [tree.map(|node| (node, of_tree.unseen)), events.map(|node| (node, of_events.unseen))]
    }

    #[test]
    fn the_sheets_are_plain() {
        let [tree, events] = both_ways(crate::journal::BUILT_IN_SHEETS);
        assert!(tree.is_some() && tree == events);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3000))]
        #[test]
        fn both_ways_make_the_same_nodes(pieces in vec(select(PIECES), 1..14)) {
            let text = pieces.concat();
            let [tree, events] = both_ways(&text);
            prop_assert!(events.is_none() || events == tree, "{text:?}: {events:?} for {tree:?}");
        }
    }

    /// Of these much of YAML can be put together, and much that is none.
    const PIECES: &[&str] = &[
        "a",
        "b: ",
        "c:",
        ": ",
        "- ",
        "? ",
        "{ ",
        " }",
        "[",
        "]",
        ", ",
        " ",
        "\n",
        "\n  ",
        "\n    ",
        "\n- ",
        "\na: ",
        "\nb:",
        "'x'",
        "\"y\\n\"",
        "\"",
        "'",
        "~",
        "null",
        "yes",
        "1.50",
        "+6",
        "-0",
        "007",
        "0x1F",
        "0o7",
        "1e999",
        ".nan",
        "1_000",
        "2026-01-10",
        "12.5'''",
        " # c",
        "|\n  t\n",
        ">-\n  t\n  u\n",
        "<<: ",
        "\"<<\": ",
        "&a ",
        "*a",
        "!!str ",
        "!!int ",
        "! ",
        "é",
        " ±0.02",
        "\u{7}",
        "\u{feff}",
        "\u{85}",
        "\t",
        "\r\n",
        "---\n",
        "...\n",
        "%YAML 1.2\n",
        "@",
        "`",
        "%",
    ];

    #[test]
    fn faults_of_grammar_have_a_place() {
        for (text, place, words) in [
            ("a: 1\nb: c: d\n", "x.yaml:2:", "second `:`"),
            ("a:\n\tb: 1\n", "x.yaml:2:", "spaces"),
            ("a: [1, 2\nb: 3\n", "x.yaml:2:", "not YAML"),
            ("a: &x [*x]\n", "x.yaml:1:", ""),
        ] {
            let problem = read(text).1.expect_err(text);
            assert!(problem.place.to_string().starts_with(place), "{text}: {}", problem.place);
            assert!(problem.message.contains(words), "{text}: {}", problem.message);
        }
    }

    #[test]
    fn nesting_and_bombs_are_refused() {
        let deep = "[".repeat(10_000) + &"]".repeat(10_000);
        assert!(read(&deep).1.is_err());
        let mut bomb = String::from("a: &a [x, x, x, x, x, x, x, x, x]\n");
        for pair in ('a'..'k').zip('b'..'l') {
            let (last, next) = pair;
            let items = vec![format!("*{last}"); 9].join(", ");
            bomb.push_str(&format!("{next}: &{next} [{items}]\n"));
        }
        assert!(read(&bomb).1.is_err());
    }
}
