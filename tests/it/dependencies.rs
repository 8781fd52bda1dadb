//! DEVELOPERS.md says of every dependency what it may touch; held against Cargo.toml.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// What a row may say, column by column: disk, network, processes, environment, unsafe code.
const WORDS: [&[&str]; 5] = [
    &["no", "reads", "reads and writes", "at build", "not used"],
    &["no", "loopback", "not used"],
    &["no", "signals", "priority and limits", "not used"],
    &["no", "reads", "at build", "not used"],
    &["none", "some"],
];

fn text(path: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// The names under a heading of Cargo.toml.
fn named(cargo: &str, heading: &str) -> Vec<String> {
    let lines =
        cargo.lines().skip_while(|line| *line != heading).skip(1).take_while(|line| !line.starts_with('['));
    let entries = lines.filter(|line| !line.starts_with('#') && line.contains('='));
    entries
        .map(|line| {
            let package = line.split("package = \"").nth(1).and_then(|rest| rest.split('"').next());
            package.unwrap_or_else(|| line.split('=').next().unwrap().trim()).to_owned()
        })
        .collect()
}

#[test]
fn every_dependency_has_its_row() {
    let (cargo, told) = (text("Cargo.toml"), text("DEVELOPERS.md"));
    let section = told.split("## What each dependency may touch").nth(1).expect("the section is there");
    let section = section.split("\n## ").next().unwrap();
    let mut rows: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in section.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<String> =
            line.trim_matches('|').split('|').map(|cell| cell.trim().to_owned()).collect();
        assert_eq!(cells.len(), 7, "{line}");
        for (cell, words) in cells[1..6].iter().zip(WORDS) {
            assert!(words.contains(&cell.as_str()), "`{cell}` of {line} is none of {words:?}");
        }
        assert!(!cells[6].is_empty(), "{line} says not what it is for");
        for name in cells[0].split(", ") {
            let before = rows.insert(name.trim_matches('`').to_owned(), cells.clone());
            assert!(before.is_none(), "{name} stands twice");
        }
    }
    let mut wanted = named(&cargo, "[dependencies]");
    wanted.extend(named(&cargo, "[dev-dependencies]"));
    assert!(wanted.len() > 30, "{wanted:?}");
    for name in &wanted {
        assert!(rows.contains_key(name), "DEVELOPERS.md has no row for {name}");
    }
    for name in rows.keys() {
        assert!(wanted.contains(name), "{name} has a row in DEVELOPERS.md, and is no dependency");
    }
    // Nothing of ours is unsafe, and nothing of ours may say otherwise.
    assert!(cargo.contains("unsafe_code = \"forbid\""));
}
