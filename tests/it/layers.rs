//! The data goes one way. The modules of `src/lib.rs` stand in its order, each with a line that says what
//! it does; this file holds that a module names only modules above it, that no files import each other in
//! a circle, and that DEVELOPERS.md has the map which those lines make.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

const BEGIN: &str =
    "<!-- rooms: written from src/lib.rs by UPDATE_EXPECT=1 cargo test --test it layers -->\n";
const END: &str = "<!-- end of rooms -->\n";

/// A module of the crate and its line.
struct Room {
    name: String,
    does: String,
    begin: String,
}

/// A source file: its module path, and the text without comments and tests.
struct Source {
    module: Vec<String>,
    path: String,
    text: String,
    is_room: bool,
}

#[test]
fn a_module_names_only_modules_above_it() {
    let rooms = rooms();
    let rank: BTreeMap<&str, usize> =
        rooms.iter().enumerate().map(|(rank, room)| (room.name.as_str(), rank)).collect();
    let mut seen = 0;
    let mut faults = Vec::new();
    for source in sources() {
        let own = &source.module[0];
        let rank_of = |room: &str| rank.get(room).copied();
        let at = rank_of(own).unwrap_or_else(|| panic!("src/lib.rs names no `{own}`"));
        for path in paths(&source.text).into_iter().filter(|path| path[0] == "crate") {
            let Some(named) = path.get(1).and_then(|room| rank_of(room)) else { continue };
            seen += 1;
            if named > at {
                faults.push(format!("{} names `{}`, which stands below `{own}`", source.path, path[1]));
            }
        }
    }
    assert!(seen > 100, "the test found only {seen} imports: it looks in the wrong place");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let sources = sources();
    let modules: BTreeMap<&[String], usize> =
        sources.iter().enumerate().map(|(at, source)| (source.module.as_slice(), at)).collect();
    let exports: Vec<BTreeMap<String, Vec<String>>> =
        sources.iter().map(|source| reexports(&source.text)).collect();
    let mut imports: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); sources.len()];
    for (at, source) in sources.iter().enumerate() {
        for path in paths(&source.text) {
            let Some(to) = resolve(&source.module, &path, &modules, &exports) else { continue };
            // A room's own file names its parts to put the room together.
            let inside = sources[to].module.starts_with(&source.module);
            if to != at && !inside {
                imports[at].insert(to);
            }
        }
    }
    let count: usize = imports.iter().map(BTreeSet::len).sum();
    assert!(count > 500, "the test found only {count} imports between files: it looks in the wrong place");
    let circles = circles(&imports);
    let told = |circle: &Vec<usize>| {
        let mut lines = String::new();
        for at in circle {
            let to: Vec<&str> = imports[*at]
                .iter()
                .filter(|to| circle.contains(to))
                .map(|to| sources[*to].path.as_str())
                .collect();
            let _ = writeln!(lines, "  {} -> {}", sources[*at].path, to.join(", "));
        }
        lines
    };
    let told: Vec<String> = circles.iter().map(told).collect();
    assert!(told.is_empty(), "files import each other in circles:\n{}", told.join("\n"));
}

#[test]
fn developers_have_the_map() {
    let path = root().join("DEVELOPERS.md");
    let text = fs::read_to_string(&path).expect("DEVELOPERS.md is there");
    let (before, rest) = text.split_once(BEGIN).expect("the map begins with its marker");
    let (map, after) = rest.split_once(END).expect("the map ends with its marker");
    let wanted = map_of(&rooms());
    if std::env::var_os("UPDATE_EXPECT").is_some() {
        fs::write(&path, format!("{before}{BEGIN}{wanted}{END}{after}")).expect("DEVELOPERS.md is written");
    } else {
        assert!(
            map == wanted,
            "the map of DEVELOPERS.md is not that of src/lib.rs: UPDATE_EXPECT=1 writes it"
        );
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The modules of `src/lib.rs` in their order.
fn rooms() -> Vec<Room> {
    let text = fs::read_to_string(root().join("src/lib.rs")).expect("src/lib.rs is there");
    let mut rooms = Vec::new();
    let mut doc = String::new();
    for line in text.lines() {
        if let Some(words) = line.strip_prefix("/// ") {
            doc.push_str(if doc.is_empty() { "" } else { " " });
            doc.push_str(words);
        } else if let Some(name) = line.strip_prefix("pub mod ").and_then(|rest| rest.strip_suffix(';')) {
            let (does, begin) = doc
                .split_once(" Begin with ")
                .unwrap_or_else(|| panic!("src/lib.rs does not say where to begin in `{name}`"));
            rooms.push(Room {
                name: name.to_owned(),
                does: does.trim_end_matches('.').to_owned(),
                begin: begin.trim_end_matches('.').to_owned(),
            });
            doc.clear();
        }
    }
    assert!(rooms.len() > 10, "src/lib.rs lists its modules by lines `pub mod name;`");
    rooms
}

fn map_of(rooms: &[Room]) -> String {
    let names: Vec<&str> = rooms.iter().map(|room| room.name.as_str()).collect();
    let mut out = format!("\n    {}\n\n", names.join(" -> "));
    out.push_str(
        "A module names only modules before it in that line, and no files import each other in a circle; ",
    );
    out.push_str("`tests/it/layers.rs` reads the source and fails otherwise.\n\n");
    out.push_str("| room | what it does | where to begin |\n| --- | --- | --- |\n");
    for room in rooms {
        let file = root().join(format!("src/{}.rs", room.name)).is_file();
        let ending = if file { ".rs" } else { "/" };
        let _ = writeln!(out, "| `{}{ending}` | {} | {} |", room.name, room.does, room.begin);
    }
    out.push('\n');
    out
}

/// Every source file but the crate's own and the binary's.
fn sources() -> Vec<Source> {
    let base = root().join("src");
    let mut sources = Vec::new();
    for entry in walkdir::WalkDir::new(&base).sort_by_file_name() {
        let entry = entry.expect("src can be read");
        let path = entry.path();
        if path.extension().is_none_or(|ending| ending != "rs") {
            continue;
        }
        let inside = path.strip_prefix(&base).expect("it lies in src");
        let mut module: Vec<String> =
            inside.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
        let last = module.pop().expect("it has a name");
        let is_room = last == "mod.rs" || path.with_extension("").is_dir();
        if last != "mod.rs" {
            module.push(last.trim_end_matches(".rs").to_owned());
        }
        if module == ["lib"] || module == ["main"] {
            continue;
        }
        let text = code(&fs::read_to_string(path).expect("it is text"));
        sources.push(Source { module, path: inside.display().to_string(), text, is_room });
    }
    assert!(sources.iter().any(|source| source.is_room));
    sources
}

/// A source without comments, and without what is only compiled for tests at its end.
fn code(text: &str) -> String {
    let text = text.split("\n#[cfg(test)]\nmod tests {").next().unwrap_or(text);
    let lines = text.lines().map(|line| match line.split_once("//") {
        Some((code, _)) if code.matches('"').count() % 2 == 0 => code,
        _ => line,
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// Every path of a source that begins with `crate`, `self` or `super`; a group in braces gives one for each
/// of its members.
fn paths(text: &str) -> Vec<Vec<String>> {
    let mut out = Vec::new();
    for start in ["crate::", "super::", "self::"] {
        for (at, _) in text.match_indices(start) {
            let before = text[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | ':')) {
                continue;
            }
            follow(&text[at..], &mut Vec::new(), &mut out);
        }
    }
    out
}

/// Reads a path, or a tree of them, from the beginning of a text; answers what follows it.
fn follow<'t>(mut text: &'t str, prefix: &mut Vec<String>, out: &mut Vec<Vec<String>>) -> &'t str {
    let depth = prefix.len();
    loop {
        text = text.trim_start();
        if let Some(mut group) = text.strip_prefix('{') {
            loop {
                group = follow(group, prefix, out).trim_start();
                match group.strip_prefix(',') {
                    Some(rest) if !rest.trim_start().starts_with('}') => group = rest,
                    Some(rest) => group = rest.trim_start(),
                    None => break,
                }
                if group.starts_with('}') {
                    break;
                }
            }
            prefix.truncate(depth);
            return group.strip_prefix('}').unwrap_or(group);
        }
        let name: String = text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
        text = &text[name.len()..];
        if name.is_empty() {
            text = text.strip_prefix('*').unwrap_or(text);
            break;
        }
        if name != "self" || prefix.is_empty() {
            prefix.push(name);
        }
        match text.strip_prefix("::") {
            Some(rest) => text = rest,
            None => break,
        }
    }
    if let Some(rest) = text.strip_prefix(" as ") {
        text = rest.trim_start_matches(|c: char| c.is_alphanumeric() || c == '_');
    }
    out.push(prefix.clone());
    prefix.truncate(depth);
    text
}

/// What a file hands on of other modules, `pub use child::{Name}`, by name.
fn reexports(text: &str) -> BTreeMap<String, Vec<String>> {
    let mut out = BTreeMap::new();
    for (at, found) in text.match_indices("use ") {
        let line = text[..at].rsplit('\n').next().unwrap_or_default();
        if !line.trim_start().starts_with("pub") {
            continue;
        }
        let mut paths = Vec::new();
        follow(&text[at + found.len()..], &mut Vec::new(), &mut paths);
        for path in paths {
            if let Some(name) = path.last().cloned() {
                out.insert(name, path);
            }
        }
    }
    out
}

/// The file that holds what a path names.
fn resolve(
    module: &[String],
    path: &[String],
    modules: &BTreeMap<&[String], usize>,
    exports: &[BTreeMap<String, Vec<String>>],
) -> Option<usize> {
    let mut here: Vec<String> = module.to_vec();
    let mut rest = path;
    match rest[0].as_str() {
        "crate" => here.clear(),
        "self" => {}
        _ => {
            while rest.first().is_some_and(|step| step == "super") {
                here.pop();
                rest = &rest[1..];
            }
        }
    }
    if matches!(path[0].as_str(), "crate" | "self") {
        rest = &rest[1..];
    }
    for _ in 0..8 {
        while let Some(step) = rest.first() {
            let mut deeper = here.clone();
            deeper.push(step.clone());
            if !modules.contains_key(deeper.as_slice()) {
                break;
            }
            here = deeper;
            rest = &rest[1..];
        }
        let at = *modules.get(here.as_slice())?;
        let handed = rest.first().and_then(|name| exports[at].get(name));
        let Some(handed) = handed.filter(|handed| handed.as_slice() != rest) else { return Some(at) };
        if matches!(handed[0].as_str(), "crate" | "self" | "super") {
            return resolve(&here, handed, modules, exports);
        }
        rest = handed;
    }
    None
}

/// Groups of files of which each reaches every other.
fn circles(imports: &[BTreeSet<usize>]) -> Vec<Vec<usize>> {
    let reach: Vec<BTreeSet<usize>> = (0..imports.len())
        .map(|from| {
            let mut seen = BTreeSet::new();
            let mut next: Vec<usize> = imports[from].iter().copied().collect();
            while let Some(at) = next.pop() {
                if seen.insert(at) {
                    next.extend(&imports[at]);
                }
            }
            seen
        })
        .collect();
    let mut out = Vec::new();
    for from in 0..imports.len() {
        if reach[from].contains(&from) {
            let circle: Vec<usize> =
                reach[from].iter().copied().filter(|to| reach[*to].contains(&from)).collect();
            if circle[0] == from {
                out.push(circle);
            }
        }
    }
    out
}

#[test]
fn paths_are_read_with_their_groups() {
    let text = "use crate::a::{self, b::{C, D as E}, f};\nlet x = super::super::g::h(crate::i::J);";
    let read: Vec<String> = paths(text).iter().map(|path| path.join("::")).collect();
    assert_eq!(
        read,
        ["crate::a", "crate::a::b::C", "crate::a::b::D", "crate::a::f", "crate::i::J", "super::super::g::h"]
    );
    assert!(Path::new(&root()).join("src").is_dir());
}
