//! `parts`: a bin out of a spreadsheet, or into one.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};
use clap::Args;

use crate::journal::fields::KINDS;
use crate::journal::{self, Kind, folder};
use crate::problem::did_you_mean;
use crate::spreadsheet::{self, Import};

use super::start::write_new;
use super::{Exit, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct PartsArgs {
    /// Read parts from a CSV file and report on each row; writes nothing by itself
    #[arg(long, value_name = "FILE.csv", required_unless_present = "to", conflicts_with = "to")]
    from: Option<PathBuf>,
    /// With --from: write the parts to this new YAML file if every row is good
    #[arg(long, value_name = "FILE.yaml", requires = "from")]
    into: Option<PathBuf>,
    /// With --from: kind for rows that name none
    #[arg(long, value_name = "KIND", requires = "from")]
    kind: Option<String>,
    /// Write the parts of the journal into a new CSV file; `-` prints it
    #[arg(long, value_name = "FILE.csv")]
    to: Option<PathBuf>,
    #[command(flatten)]
    place: Where,
}

pub(super) fn run(asked: &PartsArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    match (&asked.from, &asked.to) {
        (Some(from), _) => take_in(asked, from, streams),
        (None, Some(to)) => give_out(asked, to, streams),
        (None, None) => bail!("say --from FILE.csv or --to FILE.csv"),
    }
}

fn take_in(asked: &PartsArgs, from: &Path, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let kind = asked.kind.as_deref().map(kind).transpose()?;
    let bytes = fs::read(from).with_context(|| format!("cannot read {}", from.display()))?;
    let text = String::from_utf8(bytes)
        .with_context(|| format!("{} is not UTF-8: save it as CSV in UTF-8", from.display()))?;
    let folder = folder::read(&asked.place.journal)?;
    let answer = spreadsheet::read(&text, &folder, kind).with_context(|| from.display().to_string())?;
    write!(streams.out, "{}", told(&answer))?;
    if !answer.is_good() {
        writeln!(streams.err, "nothing was written: fix the marked rows in the spreadsheet")?;
        return Ok(Exit::Problems);
    }
    match &asked.into {
        Some(into) => {
            write_new(into, &answer.yaml)?;
            writeln!(streams.out, "wrote {}", into.display())?;
        }
        None => {
            writeln!(
                streams.out,
                "nothing was written yet: add --into parts/NAME.yaml to write these parts"
            )?;
        }
    }
    Ok(Exit::Good)
}

fn give_out(asked: &PartsArgs, to: &Path, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let journal = journal::read(folder::read(&asked.place.journal)?);
    let table = spreadsheet::write(&journal)?;
    if to == Path::new("-") {
        write!(streams.out, "{table}")?;
    } else {
        write_new(to, &table)?;
        writeln!(streams.out, "wrote {} parts into {}", journal.parts.len(), to.display())?;
    }
    let mut outcome = Exit::Good;
    for problem in journal.problems.iter().filter(|problem| problem.place.file.starts_with("parts/")) {
        write!(streams.err, "{}", crate::report::text::problem(problem))?;
        if problem.severity == crate::problem::Severity::Error {
            outcome = Exit::Problems;
        }
    }
    Ok(outcome)
}

fn kind(name: &str) -> anyhow::Result<&'static Kind> {
    let name = name.trim().replace([' ', '-'], "_");
    match Kind::of(&name) {
        Some(kind) => Ok(kind),
        None => {
            bail!("`{name}` is not a kind of part{}", did_you_mean(&name, KINDS.iter().map(|kind| kind.name)))
        }
    }
}

/// A line a row, and what was left out.
fn told(answer: &Import) -> String {
    let mut out = String::new();
    for left in &answer.left_out {
        out.push_str(&format!("{left}; ignored\n"));
    }
    for row in &answer.rows {
        let id = if row.id.is_empty() { "?" } else { &row.id };
        let word = if row.faults.is_empty() { "good" } else { "BAD " };
        let fields = if row.fields == 1 { "field" } else { "fields" };
        out.push_str(&format!(
            "line {:<4} {word}  {id}: {} with {} {fields}\n",
            row.line, row.kind, row.fields
        ));
        for fault in row.faults.iter().chain(&row.doubts) {
            out.push_str(&format!("           {fault}\n"));
        }
    }
    let bad = answer.rows.iter().filter(|row| !row.faults.is_empty()).count();
    let rows = answer.rows.len();
    let noun = if rows == 1 { "row" } else { "rows" };
    out.push_str(&format!("{rows} {noun}, {bad} with errors\n"));
    out
}
