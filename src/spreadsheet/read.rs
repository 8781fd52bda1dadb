//! A table into the YAML of parts.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::{self, Write as _};

use crate::journal;
use crate::journal::fields::{FieldShape, KINDS, Kind, PART, find};
use crate::journal::folder::Folder;
use crate::problem::{Severity, did_you_mean};

use super::cell::{plain, scalar};

/// What became of a table.
#[derive(Clone, Debug, Default)]
pub struct Import {
    /// Every row, in order.
    pub rows: Vec<ImportedRow>,
    /// Columns that were not taken over, and why.
    pub left_out: Vec<String>,
    /// The file of parts that the table makes.
    pub yaml: String,
}

/// What became of a row.
#[derive(Clone, Debug, Default)]
pub struct ImportedRow {
    /// Its line in the table.
    pub line: u64,
    /// The part's id; empty where it has none.
    pub id: String,
    /// What it is; empty where that is not known.
    pub kind: String,
    /// How many fields it brings.
    pub fields: usize,
    /// What is wrong with it; where something is, nothing is written.
    pub faults: Vec<String>,
    /// What is doubtful.
    pub doubts: Vec<String>,
}

impl Import {
    /// Whether every row can be written.
    pub fn is_good(&self) -> bool {
        !self.rows.is_empty() && self.rows.iter().all(|row| row.faults.is_empty())
    }
}

/// Reads a table into parts for a journal, whose files are `folder`; `kind` is that of rows which say
/// none. Nothing is written. An error is a table that cannot be read at all.
pub fn read(text: &str, folder: &Folder, kind: Option<&Kind>) -> anyhow::Result<Import> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut table =
        csv::ReaderBuilder::new().delimiter(separator(text)).flexible(true).from_reader(text.as_bytes());
    let mut answer = Import::default();
    let columns: Vec<Option<String>> = table
        .headers()?
        .iter()
        .enumerate()
        .map(|(at, header)| {
            column(plain(header))
                .map_err(|why| answer.left_out.push(format!("column {}: {why}", at + 1)))
                .ok()
        })
        .collect();
    let twice: Vec<&String> = columns.iter().flatten().collect();
    for (at, name) in twice.iter().enumerate() {
        anyhow::ensure!(!twice[..at].contains(name), "two columns are `{name}`: leave one of them out");
    }
    let before = journal::read(folder.clone());
    let mut seen: BTreeSet<String> = BTreeSet::new();
    let mut begins = Vec::new();
    for record in table.records() {
        let record = record?;
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let mut row =
            ImportedRow { line: record.position().map_or(0, csv::Position::line), ..ImportedRow::default() };
        let cells: BTreeMap<&str, &str> = columns
            .iter()
            .zip(record.iter())
            .filter_map(|(column, cell)| Some((column.as_deref()?, plain(cell.trim()))))
            .filter(|(_, cell)| !cell.is_empty())
            .collect();
        if record.len() > columns.len() {
            row.faults.push(format!(
                "has {} cells, and the table has {} columns: quote a cell that holds the separator",
                record.len(),
                columns.len()
            ));
        }
        begins.push(answer.yaml.lines().count() as u32 + 1);
        part(&cells, kind, &mut row, &mut answer.yaml);
        if !row.id.is_empty() && !seen.insert(row.id.clone()) {
            row.faults
                .push(format!("`{}` stands in an earlier row: give every part an id of its own", row.id));
        } else if let Some(known) = before.parts.get(&row.id) {
            let place = before.files.place(known.id.span);
            row.faults.push(format!("`{}` is in the journal already, at {place}", row.id));
        }
        answer.rows.push(row);
    }
    judged(&mut answer, folder.clone(), &begins);
    Ok(answer)
}

/// The name under which the new file is tried out; it sorts behind every other.
const TRIAL: &str = "parts/\u{fffd}.yaml";

/// What the journal's own reader says of the new parts.
fn judged(answer: &mut Import, mut folder: Folder, begins: &[u32]) {
    folder.texts.push((TRIAL.to_owned(), answer.yaml.clone()));
    let read = journal::read(folder);
    for problem in read.problems.iter().filter(|problem| *problem.place.file == *TRIAL) {
        let at = begins.partition_point(|begin| *begin <= problem.place.line).saturating_sub(1);
        let Some(row) = answer.rows.get_mut(at) else { continue };
        let list = if problem.severity == Severity::Error { &mut row.faults } else { &mut row.doubts };
        // What was said of the row already says it better.
        if !row.id.is_empty() || list.is_empty() {
            list.push(problem.message.clone());
        }
    }
}

/// One part as YAML, and what is said of its row.
fn part(cells: &BTreeMap<&str, &str>, default: Option<&Kind>, row: &mut ImportedRow, yaml: &mut String) {
    row.id = match (cells.get("id"), cells.get("name")) {
        (Some(id), _) => (*id).to_owned(),
        (None, Some(name)) => slug(name),
        (None, None) => String::new(),
    };
    row.kind = match (cells.get("kind"), default) {
        (Some(kind), _) => kind.to_lowercase().replace([' ', '-'], "_"),
        (None, Some(kind)) => kind.name.to_owned(),
        (None, None) => String::new(),
    };
    if row.id.is_empty() {
        row.faults.push("needs an id, or a name to make one of".to_owned());
    }
    if row.kind.is_empty() {
        row.faults.push("does not say what kind of part it is: fill in the column `kind`".to_owned());
    }
    if !row.faults.is_empty() && (row.id.is_empty() || row.kind.is_empty()) {
        return;
    }
    let _ = writeln!(yaml, "{}:\n  kind: {}", scalar(&row.id), scalar(&row.kind));
    let mut group = String::new();
    for (path, cell) in cells.iter().filter(|(path, _)| !["id", "kind"].contains(path)) {
        row.fields += 1;
        // Groups are two deep at the most; the map's order keeps each together.
        let (head, rest) = path.rsplit_once('.').unwrap_or(("", path));
        if head != group {
            let known = group.split('.').collect::<Vec<_>>();
            for (depth, name) in head.split('.').enumerate().filter(|(_, name)| !name.is_empty()) {
                if known.get(..=depth) != Some(&head.split('.').collect::<Vec<_>>()[..=depth]) {
                    let _ = writeln!(yaml, "{}{name}:", "  ".repeat(depth + 1));
                }
            }
            head.clone_into(&mut group);
        }
        let depth = if head.is_empty() { 1 } else { head.split('.').count() + 1 };
        let _ = writeln!(yaml, "{}{rest}: {}", "  ".repeat(depth), value(Kind::of(&row.kind), path, cell));
    }
}

/// A cell as YAML: a list in one line as it is, anything else in quotes where it needs them.
fn value(kind: Option<&Kind>, path: &str, cell: &str) -> String {
    let field = find(PART, path).or_else(|| kind?.field(path));
    let list = field.is_some_and(|field| matches!(field.shape, FieldShape::Items(_) | FieldShape::Texts));
    if list && cell.starts_with('[') && cell.ends_with(']') {
        // A break within a cell is no break of the YAML.
        cell.lines().map(str::trim).collect::<Vec<_>>().join(" ")
    } else {
        scalar(cell)
    }
}

/// Why a column is not taken over.
enum ColumnFault {
    NoHeading,
    /// Its heading, and the nearest field in words.
    Unknown {
        heading: String,
        near: String,
    },
}

impl fmt::Display for ColumnFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ColumnFault::NoHeading => f.write_str("has no heading"),
            ColumnFault::Unknown { heading, near } => write!(f, "`{heading}` is not a known column{near}"),
        }
    }
}

/// The field that a column is; what is wrong where it is none.
fn column(header: &str) -> Result<String, ColumnFault> {
    let name = header.trim().to_lowercase();
    let name = name.split([' ', '_']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join("_");
    let known = |path: &str| {
        path == "id" || find(PART, path).is_some() || KINDS.iter().any(|kind| kind.field(path).is_some())
    };
    // `rehaut bottom` may stand for `rehaut.bottom`.
    let dotted = name.match_indices('_').map(|(at, _)| format!("{}.{}", &name[..at], &name[at + 1..]));
    let found = std::iter::once(name.clone()).chain(dotted).find(|path| known(path));
    found.ok_or_else(|| {
        let mut names: Vec<String> = vec!["id".to_owned()];
        names.extend(PART.iter().map(|field| field.name.to_owned()));
        for kind in KINDS {
            names.extend(kind.sizes().into_iter().map(|(path, _)| path));
        }
        let near = did_you_mean(&name, names.iter().map(String::as_str));
        match header.trim() {
            "" => ColumnFault::NoHeading,
            heading => ColumnFault::Unknown { heading: heading.to_owned(), near },
        }
    })
}

/// What separates the cells: what stands most often in the first line, outside of quotes.
fn separator(text: &str) -> u8 {
    let mut inside = false;
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    for letter in text.lines().next().unwrap_or_default().bytes() {
        inside ^= letter == b'"';
        counts.iter_mut().filter(|(known, _)| !inside && *known == letter).for_each(|(_, count)| *count += 1);
    }
    counts.into_iter().rev().max_by_key(|(_, count)| *count).map_or(b',', |(letter, _)| letter)
}

/// An id made of a name: small letters, digits and hyphens.
fn slug(name: &str) -> String {
    let letters = name.to_lowercase();
    let words = letters.split(|letter: char| !letter.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join("-")
}
