//! Parts of the bin, and the sheets of movements.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use serde::Serialize;

use crate::measure::Origin;
use crate::problem::{self, Problem, did_you_mean, did_you_mean_one_of_many};
use crate::text::{FileId, Files, Located};

use super::fields::{self, Kind};
use super::names;
use super::reader::Reader;
use super::spec::Spec;
use super::yaml::{self, Key, Node, Value};

/// One physical thing, or a counted lot of equal ones.
#[derive(Clone, Debug, Serialize)]
pub struct Part {
    /// Unique in the journal.
    pub id: Located<String>,
    /// What it is.
    pub kind: &'static Kind,
    /// Its fields as it came: those of `like`, and its own over them.
    pub spec: Spec,
    /// The fields written for it, without those of `like`.
    pub own: Spec,
    /// The part whose sizes it takes over.
    pub like: Option<Located<String>>,
    /// How its sizes are known where they do not say themselves.
    pub origin: Origin,
    /// Where it came from.
    pub from: From,
    /// How many there are, for a lot.
    pub count: Option<Located<u32>>,
}

/// Where a part came from, when, and what it cost.
#[derive(Clone, Debug, Default, Serialize)]
pub struct From {
    /// How it came, if it was said.
    pub source: Option<PartSource>,
    /// The day it came, if it was said.
    pub date: Option<Located<Date>>,
    /// In the journal's currency.
    pub price: Option<f64>,
}

/// How a part came.
#[derive(Clone, PartialEq, Debug, Serialize)]
pub enum PartSource {
    /// Taken from a donor, by its id.
    Donor(Located<String>),
    /// Bought, and where.
    Bought(String),
    /// Made, and by whom.
    Made(String),
    /// Given, and by whom.
    Given(String),
}

impl Part {
    /// What it is called on the pages; its id where it has no name.
    pub fn name(&self) -> &str {
        self.own.text("name").unwrap_or(&self.id.value)
    }
}

/// The dimensions of a movement, shared by all of its calibre.
#[derive(Clone, Debug, Serialize)]
pub struct CalibreSheet {
    /// Unique in the journal; one of the person's takes the place of a built-in one.
    pub id: Located<String>,
    /// Its fields, over those of the sheet it is like.
    pub spec: Spec,
    /// The sheet it builds on.
    pub like: Option<Located<String>>,
    /// Whether it came with the program.
    pub built_in: bool,
}

/// Reads the parts of one file. A fault of grammar costs only the part that it stands in.
pub fn read_parts(reader: &mut Reader<'_>, file: FileId) -> Vec<Part> {
    let entries = top_level(reader, file, "parts");
    entries.into_iter().filter_map(|(key, node)| read_part(reader, &key, &node)).collect()
}

/// Reads the sheets of one file.
pub fn read_sheets(reader: &mut Reader<'_>, file: FileId, built_in: bool) -> Vec<CalibreSheet> {
    let entries = top_level(reader, file, "calibre sheets");
    let mut sheets = Vec::new();
    for (key, node) in entries {
        check_name(reader, &key, "sheet");
        let what = format!("the calibre sheet `{}`", key.text);
        let origin = default_origin(&node);
        let spec = reader.spec(&node, &what, &[fields::SHEET], origin);
        let like = located_text(&spec, "like");
        sheets.push(CalibreSheet { id: Located::new(key.text, key.span), spec, like, built_in });
    }
    sheets
}

/// Reads one part, from its own node.
fn read_part(reader: &mut Reader<'_>, key: &Key, node: &Node) -> Option<Part> {
    check_name(reader, key, "part");
    let what = format!("the part `{}`", key.text);
    let Value::Map(entries) = &node.value else {
        reader.error(key.span, format!("{what} needs fields: begin with `kind: dial`, or what it is"));
        return None;
    };
    let kind = read_kind(reader, key, entries)?;
    let origin = default_origin(node);
    let what = format!("a {}", kind.name.replace('_', " "));
    let own = reader.spec(node, &what, &[kind.fields, kind.also, fields::PART], origin);
    let count = own.size("count").and_then(|count| {
        let whole = count.value.value;
        if whole.fract() == 0.0 && (1.0..=1e6).contains(&whole) {
            return Some(Located::new(whole as u32, count.span));
        }
        reader.error(count.span, "`count` is how many there are, a whole number from 1");
        None
    });
    Some(Part {
        id: Located::new(key.text.clone(), key.span),
        kind,
        like: located_text(&own, "like"),
        from: read_from(reader, &own),
        spec: own.clone(),
        own,
        origin,
        count,
    })
}

fn read_kind(reader: &mut Reader<'_>, key: &Key, entries: &[(Key, Node)]) -> Option<&'static Kind> {
    let Some((_, node)) = entries.iter().find(|(key, _)| key.text == "kind") else {
        reader.error(
            key.span,
            format!("the part `{}` does not say what it is: add `kind:`, one of {}", key.text, kinds()),
        );
        return None;
    };
    kind_at(reader, node)
}

/// The kind that a node names.
pub(super) fn kind_at(reader: &mut Reader<'_>, node: &Node) -> Option<&'static Kind> {
    let word = reader.scalar("kind", node)?.to_owned();
    let kind = Kind::of(&word);
    if kind.is_none() {
        let near = did_you_mean(&word, fields::KINDS.iter().map(|kind| kind.name));
        let near = if near.is_empty() { format!(": it is one of {}", kinds()) } else { near };
        reader.error(node.span, format!("`{word}` is not a kind of part{near}"));
    }
    kind
}

fn kinds() -> String {
    fields::KINDS.iter().map(|kind| kind.name).collect::<Vec<_>>().join(", ")
}

fn read_from(reader: &mut Reader<'_>, own: &Spec) -> From {
    let ways = ["donor", "bought", "made", "given"];
    let said: Vec<&str> = ways.into_iter().filter(|way| own.text(&format!("from.{way}")).is_some()).collect();
    if let [first, second, ..] = said[..]
        && let Some(span) = own.span(&format!("from.{second}"))
    {
        reader.error(span, format!("a part came one way: keep `{first}` or `{second}`"));
    }
    let source = said.first().and_then(|way| {
        let path = format!("from.{way}");
        let text = own.text(&path)?.to_owned();
        Some(match *way {
            "donor" => PartSource::Donor(Located::new(text, own.span(&path)?)),
            "bought" => PartSource::Bought(text),
            "made" => PartSource::Made(text),
            _ => PartSource::Given(text),
        })
    });
    let date = own.date("from.date").zip(own.span("from.date")).map(|(date, span)| Located::new(date, span));
    From { source, date, price: own.size("from.price").map(|price| price.value.value) }
}

/// What is said of one thing alone, and never taken over with its sizes.
const OF_ONE: [&str; 6] = ["name", "from", "count", "note", "serial", "serviced"];

/// So many fields are taken over by `like` in one journal; each costs memory, and thousands of parts like
/// one with a long list could ask for all that there is.
const MOST_TAKEN_OVER: usize = 300_000;

/// Takes over the fields of `like`, for parts and sheets alike; unknown ids and cycles are problems.
///
/// What is like no other may be missing in the answer: its fields are those written for it.
pub(super) fn resolve_likes<'a>(
    files: &Files,
    problems: &mut Vec<Problem>,
    what: &str,
    own: &BTreeMap<&'a str, (&'a Spec, Option<&'a Located<String>>)>,
) -> BTreeMap<String, Spec> {
    let mut done: BTreeMap<String, Spec> = BTreeMap::new();
    let mut told = Vec::new();
    let mut taken_over = 0;
    for id in own.keys() {
        if own[id].1.is_none() || done.contains_key(*id) {
            continue;
        }
        let chain = likes(files, &mut told, what, own, &done, id);
        // From the end of the chain on, so that each part finds the one it is like.
        let mut spec =
            chain.last().and_then(|last| own[last].1).and_then(|like| done.get(&like.value)).cloned();
        for other in chain.iter().rev() {
            let mut next = spec.take().unwrap_or_default();
            next.retain(|path| !OF_ONE.contains(&path.split('.').next().unwrap_or(path)));
            taken_over += next.weight();
            if MOST_TAKEN_OVER < taken_over {
                if let Some(like) = own[other].1 {
                    let message = format!(
                        "by `like` more than {MOST_TAKEN_OVER} fields are taken over in this journal: write the fields that matter at the parts themselves"
                    );
                    problem::tell(&mut told, Problem::error(files.place(like.span), message));
                }
                next = Spec::default();
            }
            next.merge(own[other].0);
            done.insert((*other).to_owned(), next.clone());
            spec = Some(next);
        }
    }
    problems.append(&mut told);
    done
}

/// A part, the one that it is like, and so on, as far as they are not done; a circle is told.
fn likes<'a>(
    files: &Files,
    problems: &mut Vec<Problem>,
    what: &str,
    own: &BTreeMap<&'a str, (&'a Spec, Option<&'a Located<String>>)>,
    done: &BTreeMap<String, Spec>,
    id: &'a str,
) -> Vec<&'a str> {
    let mut chain: Vec<&str> = vec![id];
    let mut seen = BTreeSet::from([id]);
    while let Some(like) = own[chain[chain.len() - 1]].1 {
        let next = like.value.as_str();
        if !own.contains_key(next) {
            if problems.len() < problem::MOST {
                let near = did_you_mean_one_of_many(next, own.keys().copied(), problems.len());
                let message = format!("there is no {what} `{next}`{near}");
                problem::tell(problems, Problem::error(files.place(like.span), message));
            }
            break;
        }
        if done.contains_key(next) {
            break;
        }
        if !seen.insert(next) {
            let start = chain.iter().position(|known| *known == next).unwrap_or(0);
            let round = chain[start..].join("` is like `");
            let message =
                format!("`like` goes in a circle: `{round}` is like `{next}`: write one of them out");
            problem::tell(problems, Problem::error(files.place(like.span), message));
            break;
        }
        chain.push(next);
    }
    chain
}

/// The entries of a file that is a map from ids; on a fault of grammar each entry is read for itself.
fn top_level(reader: &mut Reader<'_>, file: FileId, what: &str) -> Vec<(Key, Node)> {
    let text = reader.files.text(file).to_owned();
    let start = if text.starts_with('\u{feff}') { 3 } else { 0 };
    match yaml::parse(reader.files, file, start, &text[start..]) {
        Ok(node) => entries(reader, node, what),
        Err(problem) => {
            let blocks = blocks(&text, start);
            if blocks.len() < 2 {
                reader.problems.push(problem);
                return Vec::new();
            }
            let mut out = Vec::new();
            let mut whole = Some(problem);
            for (from, to) in blocks {
                match yaml::parse(reader.files, file, from, &text[from..to]) {
                    Ok(node) => out.extend(entries(reader, node, what)),
                    // What it repeats may stand in another entry: the fault is that of the whole.
                    Err(problem) if problem.message == yaml::UNKNOWN_MARK => {
                        reader.problems.extend(whole.take());
                    }
                    Err(problem) => problem::tell(&mut reader.problems, problem),
                }
            }
            out
        }
    }
}

fn entries(reader: &mut Reader<'_>, node: Node, what: &str) -> Vec<(Key, Node)> {
    match node.value {
        Value::Map(entries) => entries,
        Value::Empty => Vec::new(),
        _ => {
            reader.error(
                node.span,
                format!("a file of {what} is a map: an id, a colon, then the fields indented below it"),
            );
            Vec::new()
        }
    }
}

/// Where the top-level entries of a YAML text begin and end.
fn blocks(text: &str, start: usize) -> Vec<(usize, usize)> {
    let mut starts = Vec::new();
    let mut at = start;
    for line in text[start..].split_inclusive('\n') {
        let first = line.chars().next().unwrap_or('\n');
        if !first.is_whitespace() && !matches!(first, '#' | '}' | ']' | '-') {
            starts.push(at);
        }
        at += line.len();
    }
    let ends = starts.iter().skip(1).copied().chain([text.len()]);
    starts.iter().copied().zip(ends).collect()
}

fn check_name(reader: &mut Reader<'_>, key: &Key, what: &str) {
    if let Err(fault) = names::check(&key.text) {
        reader.error(key.span, format!("the {what}'s id `{}` {fault}", key.text.escape_debug()));
    }
}

fn default_origin(node: &Node) -> Origin {
    let Value::Map(entries) = &node.value else { return Origin::Stated };
    entries
        .iter()
        .find(|(key, _)| key.text == "origin")
        .and_then(|(_, node)| Origin::of(node.text()?))
        .unwrap_or(Origin::Stated)
}

fn located_text(spec: &Spec, path: &str) -> Option<Located<String>> {
    Some(Located::new(spec.text(path)?.to_owned(), spec.span(path)?))
}
