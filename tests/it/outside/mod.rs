//! What published tables, worked examples and reference libraries say, against what we compute.
//!
//! One module a topic; the values are in tests/vectors, each with its source and how it was seen.
//! The table of all comparisons is printed when the test ends, captured output or not.

use std::fmt::Write as _;
use std::io::Write as _;

use serde_json::Value;

mod iso286;
mod physics;
mod stacks;
mod statistics;
mod timing;
mod units;

#[test]
fn published_values_agree() {
    let mut table = Table::default();
    iso286::compare(&mut table);
    statistics::compare(&mut table);
    stacks::compare(&mut table);
    timing::compare(&mut table);
    physics::compare(&mut table);
    units::compare(&mut table);
    table.finish();
}

/// The vectors of a file in tests/vectors, in their order.
fn vectors(file: &str) -> Vec<Value> {
    let path = format!("{}/tests/vectors/{file}.json", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let file: Value = serde_json::from_str(&text).unwrap_or_else(|error| panic!("{path}: {error}"));
    file["vectors"].as_array().expect("a list of vectors").clone()
}

/// A number of a vector, by its keys.
fn number(vector: &Value, keys: &[&str]) -> f64 {
    let found = keys.iter().fold(vector, |value, key| &value[*key]);
    found.as_f64().unwrap_or_else(|| panic!("{}: no number {keys:?}", vector["id"]))
}

/// The tolerance that a vector carries: its published digits.
fn within(vector: &Value) -> Within {
    match vector["tolerance"]["rel"].as_f64() {
        Some(share) => Within::Relative(share),
        None => Within::Absolute(number(vector, &["tolerance", "abs"])),
    }
}

/// How far ours may lie from theirs.
#[derive(Clone, Copy)]
enum Within {
    /// In the value's own unit: the published digits.
    Absolute(f64),
    /// As a share of the published value.
    Relative(f64),
}

/// Source by source, what was compared.
#[derive(Default)]
struct Table {
    rows: Vec<Row>,
    faults: Vec<String>,
}

struct Row {
    source: String,
    compared: usize,
    worst: Option<Difference>,
}

struct Difference {
    id: String,
    ours: f64,
    theirs: f64,
    allowed: f64,
}

impl Difference {
    fn size(&self) -> f64 {
        (self.ours - self.theirs).abs()
    }

    /// The difference in shares of what is allowed; 0 for agreement to the last bit.
    fn share(&self) -> f64 {
        if self.size() == 0.0 { 0.0 } else { self.size() / self.allowed }
    }
}

impl Table {
    fn value(&mut self, source: &str, id: &str, ours: f64, theirs: f64, within: Within) {
        let allowed = match within {
            Within::Absolute(allowed) => allowed,
            Within::Relative(share) => share * theirs.abs(),
        };
        let difference = Difference { id: id.to_owned(), ours, theirs, allowed };
        if difference.size() > allowed || difference.size().is_nan() {
            self.faults.push(format!("{source}: {id}: ours {ours}, theirs {theirs}, allowed {allowed:e}"));
        }
        let row = self.row(source);
        row.compared += 1;
        if row.worst.as_ref().is_none_or(|worst| worst.share() < difference.share()) {
            row.worst = Some(difference);
        }
    }

    /// A word (pass or fail, clearance or transition), which agrees or does not.
    fn word(&mut self, source: &str, id: &str, ours: &str, theirs: &str) {
        self.row(source).compared += 1;
        if ours != theirs {
            self.faults.push(format!("{source}: {id}: ours {ours}, theirs {theirs}"));
        }
    }

    fn row(&mut self, source: &str) -> &mut Row {
        let index = self.rows.iter().position(|row| row.source == source).unwrap_or_else(|| {
            self.rows.push(Row { source: source.to_owned(), compared: 0, worst: None });
            self.rows.len() - 1
        });
        &mut self.rows[index]
    }

    fn finish(self) {
        let width = self.rows.iter().map(|row| row.source.chars().count()).max().unwrap_or(0);
        let mut text = format!("\n{:width$}  compared  largest difference (allowed) at\n", "outside source");
        for row in &self.rows {
            let worst = match &row.worst {
                Some(worst) if worst.size() > 0.0 => {
                    format!("{:.1e} ({:.1e}) at {}", worst.size(), worst.allowed, worst.id)
                }
                Some(_) => "none to the last bit".to_owned(),
                None => "none: words".to_owned(),
            };
            let _ = writeln!(text, "{:width$}  {:8}  {worst}", row.source, row.compared);
        }
        let total: usize = self.rows.iter().map(|row| row.compared).sum();
        let _ = writeln!(text, "{:width$}  {total:8}", "all");
        // Past libtest's capture, which only takes what the print macros write.
        let _ = std::io::stderr().write_all(text.as_bytes());
        assert!(self.faults.is_empty(), "{} differ:\n{}", self.faults.len(), self.faults.join("\n"));
    }
}
