//! The data goes one way: a room names only rooms before it in the order below.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// The rooms in the order the data goes, as the doc of lib.rs tells it. Rooms of one rank do not
/// know each other.
const ORDER: &[&[&str]] = &[
    &["text", "measure"],
    &["problem"],
    &["journal"],
    &["spreadsheet", "timing"],
    &["ledger"],
    &["fit"],
    &["pairing"],
    &["audit"],
    &["caption"],
    &["draw", "photos"],
    &["pages"],
    &["site"],
    &["publish"],
    &["report"],
    &["bench"],
    &["cli"],
];

/// What a lower room may yet use of a higher one, each with its reason.
const EXCEPTIONS: &[(&str, &str)] = &[
    // The nearest known word is a matter of words, not of problems with places.
    ("measure", "problem"),
];

#[test]
fn imports_flow_one_way() {
    let rank: BTreeMap<&str, usize> = ORDER
        .iter()
        .enumerate()
        .flat_map(|(rank, rooms)| rooms.iter().map(move |room| (*room, rank)))
        .collect();
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut seen = 0;
    let mut faults = Vec::new();
    for entry in walkdir::WalkDir::new(&source).sort_by_file_name() {
        let entry = entry.expect("src can be read");
        let path = entry.path();
        if path.extension().is_none_or(|ending| ending != "rs") {
            continue;
        }
        let inside = path.strip_prefix(&source).expect("it lies in src");
        let first = inside.components().next().expect("it has a name").as_os_str().to_string_lossy();
        let room = first.trim_end_matches(".rs").to_owned();
        if matches!(room.as_str(), "lib" | "main") {
            continue;
        }
        let own = *rank.get(room.as_str()).unwrap_or_else(|| panic!("{room} has no place in the order"));
        let text = fs::read_to_string(path).expect("it is text");
        for (number, named) in named_rooms(&text, &rank) {
            seen += 1;
            let allowed = named == room || rank[named.as_str()] < own;
            if !allowed && !EXCEPTIONS.contains(&(room.as_str(), named.as_str())) {
                faults.push(format!(
                    "{}:{number} names `{named}`, which comes after `{room}`",
                    inside.display()
                ));
            }
        }
    }
    assert!(seen > 100, "the test found only {seen} imports: it looks in the wrong place");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The rooms that a source names by `crate::room`, with the line; comments and tests count as well.
fn named_rooms(text: &str, rank: &BTreeMap<&str, usize>) -> Vec<(usize, String)> {
    let mut out = Vec::new();
    for (number, line) in text.lines().enumerate() {
        for rest in line.split("crate::").skip(1) {
            let grouped = rest.strip_prefix('{').map(|rest| rest.split('}').next().unwrap_or(rest));
            let names = grouped.map_or_else(|| vec![rest], |group| group.split(',').collect());
            for name in names {
                let name: String =
                    name.trim().chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
                if rank.contains_key(name.as_str()) {
                    out.push((number + 1, name));
                }
            }
        }
    }
    out
}
