//! Every dimension that the source names is in the table of fields: a typo in a formula or a drawing
//! would else read as a dimension that nobody measured.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use endshake::journal::Slot;
use endshake::journal::fields::{Field, FieldShape, KINDS, PART};

/// The rooms that name dimensions.
const ROOMS: &[&str] = &["fit", "pairing", "audit", "caption", "draw", "pages"];

/// What is handed the name of a dimension, slot first, or of a field within a part.
const ASKING: &[&str] = &[
    "dim", "dim_or", "known", "knows", "value", "word", "items", "count", "flag", "has_any", "size", "texts",
    "figure",
];

#[test]
fn every_dimension_named_is_a_field() {
    let fields = Fields::of_the_table();
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut seen = 0;
    let mut faults = Vec::new();
    for room in ROOMS {
        for entry in walkdir::WalkDir::new(source.join(room)).sort_by_file_name() {
            let entry = entry.expect("src can be read");
            let path = entry.path().strip_prefix(&source).expect("it lies in src");
            // The engine knows no watch.
            if path.starts_with("fit/engine") || path.extension().is_none_or(|ending| ending != "rs") {
                continue;
            }
            let text = fs::read_to_string(entry.path()).expect("it is text");
            // Tests name dimensions of their own.
            let text = text.split("#[cfg(test)]").next().unwrap_or_default();
            for literal in literals(text) {
                let Some(known) = fields.know(&literal) else { continue };
                seen += 1;
                if !known {
                    faults.push(format!("{}: `{}`", path.display(), literal.text));
                }
            }
        }
    }
    assert!(seen > 200, "only {seen} names were found: the test looks in the wrong place");
    assert!(faults.is_empty(), "no such fields:\n{}", faults.join("\n"));
}

#[test]
fn a_typo_is_seen() {
    let fields = Fields::of_the_table();
    let known = |source: &str| literals(source).iter().filter_map(|one| fields.know(one)).collect::<Vec<_>>();
    assert_eq!(known(r#"watch.dim("dial.diameter") - watch.dim("case.rehaut.bottom")"#), [true, true]);
    assert_eq!(known(r#"watch.dim("dial.diametr") - watch.dim("dail.diameter")"#), [false, false]);
    assert_eq!(known(r#"watch.dim(format!("movement.posts.{name}.top"))"#), [true]);
    assert_eq!(known(r#"let name = format!("movement.post.{name}.top");"#), [false]);
    assert_eq!(known(r#"watch.word(&format!("{back}.material"))"#), [true]);
    assert_eq!(known(r#"watch.word(&format!("{back}.matter"))"#), [false]);
    assert_eq!(known(r#"part.spec.size("rehaut.bottom"), spec.size("rehaut.bottum")"#), [true, false]);
    assert!(known(r#"folder.join("journal.yaml"), say("the dial. It"), "dial.md""#).is_empty());
}

/// A text between quotes, and what it is handed to.
struct Literal {
    /// The function before its bracket; empty where there is none.
    to: String,
    text: String,
}

/// The paths of all fields: below their slots, and by themselves.
struct Fields {
    by_slot: BTreeSet<String>,
    within_part: BTreeSet<String>,
}

impl Fields {
    fn of_the_table() -> Fields {
        let mut fields = Fields { by_slot: BTreeSet::new(), within_part: BTreeSet::new() };
        for kind in KINDS {
            let mut paths = Vec::new();
            for group in [kind.fields, kind.also, PART] {
                collect("", group, &mut paths);
            }
            for slot in Slot::ALL.iter().filter(|slot| slot.kind() == kind.name) {
                fields.by_slot.extend(paths.iter().map(|path| format!("{}.{path}", slot.name())));
            }
            // Within a group or a list a field is asked for by its own name.
            let own = paths.iter().filter_map(|path| path.rsplit('.').next()).map(str::to_owned);
            fields.within_part.extend(own.collect::<Vec<String>>());
            fields.within_part.extend(paths);
        }
        fields
    }

    /// Whether a text that names a dimension names one of the table; `None` where it names none.
    fn know(&self, literal: &Literal) -> Option<bool> {
        let Literal { to, text } = literal;
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || "_.{}".contains(c);
        if text.is_empty() || !text.chars().all(plain) || text.starts_with('.') || text.ends_with('.') {
            return None;
        }
        if text == "wrist" || text.starts_with("timing.") {
            return Some(true);
        }
        let asked = ASKING.contains(&to.as_str());
        let first = text.split('.').next().unwrap_or_default();
        let path =
            text.contains('.') && (Slot::of(first).is_some() || first.contains('{') || to == "format!");
        if !asked && !path {
            return None;
        }
        if [".html", ".css", ".js", ".md", ".yaml", ".xml", ".svg"].iter().any(|end| text.ends_with(end)) {
            return None;
        }
        // Without a word of its own a pattern says nothing.
        if !pieces(text).iter().any(|piece| piece.chars().any(char::is_alphabetic)) {
            return None;
        }
        Some(self.by_slot.iter().chain(&self.within_part).any(|path| fits(&pieces(text), path)))
    }
}

fn collect(prefix: &str, fields: &[Field], out: &mut Vec<String>) {
    for field in fields {
        let path = format!("{prefix}{}", field.name);
        match field.shape {
            FieldShape::Group(inner) | FieldShape::WordOr(_, inner) => {
                collect(&format!("{path}."), inner, out);
            }
            FieldShape::Items(inner) => collect(&format!("{path}.1."), inner, out),
            _ => {}
        }
        out.push(path);
    }
}

/// The plain pieces of a pattern between its braces.
fn pieces(pattern: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let mut rest = pattern;
    while let Some((piece, after)) = rest.split_once('{') {
        out.push(piece);
        rest = after.split_once('}').map_or("", |(_, after)| after);
    }
    out.push(rest);
    out
}

/// Whether a path is the pieces with something between each two.
fn fits(pieces: &[&str], path: &str) -> bool {
    let Some(rest) = path.strip_prefix(pieces[0]) else { return false };
    match pieces {
        [_] => rest.is_empty(),
        [_, tail] => rest.len() > tail.len() && rest.ends_with(tail),
        [_, more @ ..] => {
            let starts = rest.char_indices().skip(1).map(|(at, _)| at);
            starts.filter(|&at| rest[at..].starts_with(more[0])).any(|at| fits(more, &rest[at..]))
        }
        [] => true,
    }
}

/// The texts between quotes on each line, comments left out.
fn literals(source: &str) -> Vec<Literal> {
    let mut out = Vec::new();
    for line in source.lines().filter(|line| !line.trim_start().starts_with("//")) {
        let mut rest = line;
        while let Some((before, after)) = rest.split_once('"') {
            let Some((text, after)) = after.split_once('"') else { break };
            let before = before.trim_end_matches(['&', '(']);
            let to = before.rsplit(|c: char| !(c.is_ascii_alphanumeric() || "_!".contains(c))).next();
            out.push(Literal { to: to.unwrap_or_default().to_owned(), text: text.to_owned() });
            rest = after;
        }
    }
    out
}
