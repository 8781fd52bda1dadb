//! Journals that nobody means well with: each is answered in words with a place, in bounded time and
//! memory, and the rest of it is published all the same.
//!
//! A row says what is laid into a small good journal and what the answer is. Every row is run by
//! both commands that read everything, in a process of its own with a limit on its address space.
//! The whole table with its answers and the memory that each took is printed by
//!
//! ```text
//! cargo test --test attacks hostile::table -- --ignored --nocapture
//! ```

mod figures;
mod folders;
mod names;
mod texts;
mod themes;
mod wide;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// No answer takes this long, on however slow a machine, s.
const LONGEST: u64 = 180;

/// How `timeout` ends where it had to end what it ran.
const TIMED_OUT: i32 = 124;

/// Address space that a run may ask for, KiB: threads and what the allocator sets aside included.
const ADDRESSES: u64 = 3 << 20;

/// One thing laid into a journal, and its answer.
pub(crate) struct Row {
    name: &'static str,
    lay: Box<dyn Fn(&Path)>,
    /// What is said of it: all of these stand in one line of the problems.
    answers: Vec<&'static str>,
    status: i32,
    /// Whether the good build is published; where it is not, an earlier site stays as it was.
    published: bool,
    /// Paths of the site and what their text holds.
    shows: Vec<(&'static str, &'static str)>,
}

impl Row {
    /// A row that ends with an error, while the rest is published.
    fn bad(name: &'static str, lay: impl Fn(&Path) + 'static, answers: &[&'static str]) -> Row {
        let (answers, lay) = (answers.to_vec(), Box::new(lay));
        Row { name, lay, answers, status: 2, published: true, shows: Vec::new() }
    }

    /// A row at which nothing is wrong.
    fn fine(name: &'static str, lay: impl Fn(&Path) + 'static) -> Row {
        Row { status: 0, ..Row::bad(name, lay, &[]) }
    }

    /// A row of which something is told that is no error.
    fn told(name: &'static str, lay: impl Fn(&Path) + 'static, answers: &[&'static str]) -> Row {
        Row { status: 0, ..Row::bad(name, lay, answers) }
    }

    /// A row that nothing is published of.
    fn refused(name: &'static str, lay: impl Fn(&Path) + 'static, answers: &[&'static str]) -> Row {
        Row { published: false, ..Row::bad(name, lay, answers) }
    }

    fn shows(mut self, path: &'static str, text: &'static str) -> Row {
        self.shows.push((path, text));
        self
    }
}

/// A file of the journal, its folders made.
fn write(journal: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let place = journal.join(path);
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, bytes).unwrap();
}

/// An entry of the bad build beside a build.md that is good.
fn entry(journal: &Path, bytes: impl AsRef<[u8]>) {
    write(journal, "builds/bad/build.md", "---\ntitle: Bad\nstate: planned\n---\nStory.\n");
    write(journal, "builds/bad/day.md", bytes);
}

fn good(journal: &Path) {
    write(journal, "journal.yaml", "title: Hostile\naddress: https://hostile.example/\n");
    write(
        journal,
        "parts/good.yaml",
        "good-strap: { kind: strap, name: A good strap, width: 20 }\ngood-crown: { kind: crown, diameter: 6 }\n",
    );
    write(
        journal,
        "builds/good/build.md",
        "---\ntitle: A good watch\nstate: finished\nbegun: 2026-01-01\nparts: { strap: good-strap, crown: good-crown }\n---\nGood.\n",
    );
    write(
        journal,
        "builds/good/2026-01-02-day.md",
        "---\ndate: 2026-01-02\ntitle: A good day\n---\nAll good.\n",
    );
}

/// What a run said and how it ended.
struct Ended {
    status: Option<i32>,
    out: String,
    err: String,
}

/// Runs the program on a journal within its limits; `before` stands before the program's name.
fn run(before: &[&str], arguments: &[&str], dir: &Path) -> Ended {
    let limited = format!("ulimit -v {ADDRESSES}; exec timeout {LONGEST} \"$@\"");
    let mut command = Command::new("sh");
    command.args(["-c", &limited, "sh"]).args(before).arg(env!("CARGO_BIN_EXE_endshake")).args(arguments);
    command.env("XDG_CACHE_HOME", dir.join("cache")).env("RAYON_NUM_THREADS", "2").current_dir(dir);
    let done = command.stdin(Stdio::null()).output().unwrap();
    assert_ne!(done.status.code(), Some(TIMED_OUT), "{arguments:?} does not end");
    let text = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
    Ended { status: done.status.code(), out: text(done.stdout), err: text(done.stderr) }
}

/// What lies in a folder: files with their content, links with their targets, the rest by its name.
fn tree(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut out = BTreeMap::new();
    for entry in walkdir::WalkDir::new(dir).into_iter().flatten() {
        let path = entry.path().strip_prefix(dir).unwrap().to_string_lossy().into_owned();
        let kind = entry.file_type();
        let content = if kind.is_file() {
            // Large ones by their length: nothing of them is to be written either.
            let length = entry.metadata().unwrap().len();
            if length > 1 << 20 { length.to_string().into_bytes() } else { fs::read(entry.path()).unwrap() }
        } else if kind.is_symlink() {
            fs::read_link(entry.path()).unwrap().into_os_string().into_encoded_bytes()
        } else {
            Vec::new()
        };
        out.insert(path, content);
    }
    out
}

/// Runs a row, and asserts its answer; gives back what was said of it.
fn hold(row: &Row) -> String {
    let dir = tempfile::tempdir().unwrap();
    let journal = dir.path().join("journal");
    good(&journal);
    let publish = ["publish", "journal", "--to", "site"];
    if !row.published {
        assert_eq!(run(&[], &publish, dir.path()).status, Some(0), "{}", row.name);
    }
    let earlier = tree(&dir.path().join("site"));
    (row.lay)(&journal);
    let before = tree(&journal);

    let done = run(&[], &publish, dir.path());
    let said = &done.err;
    let name = row.name;
    assert_eq!(done.status, Some(row.status), "{name}: {said:.4000}");
    assert!(!said.contains("panicked") && !said.contains("RUST_BACKTRACE"), "{name}: {said:.4000}");
    let line = said.lines().find(|line| row.answers.iter().all(|answer| line.contains(answer)));
    assert!(row.answers.is_empty() || line.is_some(), "{name}: {:?} is not in\n{said:.4000}", row.answers);
    assert!(said.len() < 1 << 20, "{name}: {} bytes are said", said.len());
    let raw = said.chars().chain(done.out.chars()).find(|c| c.is_control() && !matches!(c, '\n' | '\t'));
    assert_eq!(raw, None, "{name}: the terminal is told what to do");
    let site = dir.path().join("site");
    if row.published {
        let page = fs::read_to_string(site.join("builds/good.html")).unwrap();
        assert!(
            page.contains("A good watch") && page.contains("A good strap"),
            "{name}: the rest is not published"
        );
        assert!(site.join("builds/good/2026-01-02-day.html").is_file(), "{name}");
    } else {
        assert!(tree(&site) == earlier, "{name}: the earlier site did not stay");
    }
    // What lies beside the journal is no matter of its site, whatever leads there.
    let beside = tree(&site)
        .into_iter()
        .find(|(path, bytes)| path.contains("secret") || String::from_utf8_lossy(bytes).contains("secret"));
    assert_eq!(beside.map(|(path, _)| path), None, "{name}: it is published");
    for (path, text) in &row.shows {
        let page =
            fs::read_to_string(site.join(path)).unwrap_or_else(|fault| panic!("{name}: {path}: {fault}"));
        assert!(page.contains(text), "{name}: {path} does not show {text}");
    }
    assert!(tree(&journal) == before, "{name}: the journal was changed");

    let checked = run(&[], &["fit", "--journal", "journal", "--format", "json"], dir.path());
    assert!(
        [Some(0), Some(1), Some(2)].contains(&checked.status),
        "{name}: fit {:?} {:.4000}",
        checked.status,
        checked.err
    );
    assert!(!checked.err.contains("panicked"), "{name}: {:.4000}", checked.err);
    if !checked.out.is_empty() {
        serde_json::from_str::<serde_json::Value>(&checked.out).unwrap();
    }
    assert!(tree(&journal) == before, "{name}: the journal was changed");
    let first =
        said.lines().find(|line| line.contains("error") || line.contains("warning")).unwrap_or_default();
    line.filter(|_| !row.answers.is_empty()).unwrap_or(first).to_owned()
}

/// Runs every row, and fails with all that did not hold.
fn hold_all(rows: &[Row]) {
    let failed: Vec<&str> = rows
        .iter()
        .filter(|row| std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| hold(row))).is_err())
        .map(|row| row.name)
        .collect();
    assert!(failed.is_empty(), "{failed:#?}");
}

fn every() -> Vec<Row> {
    [texts::rows(), figures::rows(), names::rows(), folders::rows(), wide::rows(), themes::rows()]
        .into_iter()
        .flatten()
        .collect()
}

#[test]
#[ignore = "prints the table: input, answer, memory"]
#[expect(clippy::print_stdout, reason = "the table is what it is run for")]
fn table() {
    let peak = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bench/peak.py");
    println!("| input | status | answer | peak memory, MB |\n| --- | --- | --- | --- |");
    let rows = every();
    for row in &rows {
        let answer = hold(row);
        let dir = tempfile::tempdir().unwrap();
        let journal = dir.path().join("journal");
        good(&journal);
        (row.lay)(&journal);
        let publish = ["publish", "journal", "--to", "site"];
        let done = run(&["python3", peak.to_str().unwrap()], &publish, dir.path());
        let kib = done.err.lines().rev().find_map(|line| line.strip_prefix("peak-kb ")?.parse::<u64>().ok());
        let short: String = answer.chars().take(240).collect();
        let more = if short.len() < answer.len() { "…" } else { "" };
        println!("| {} | {} | {short}{more} | {} |", row.name, row.status, kib.unwrap_or(0) / 1024);
    }
}
