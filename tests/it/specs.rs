//! Specs in Markdown: many small cases in one file, each with what is said of it at its end.
//!
//! A case is a heading (`##`), a few sentences, the journal's files as fenced blocks with their path
//! behind the language, and last a block of an agreed name: what is found, as printed. Files above
//! the first case belong to every case, unless one brings a file of the same path.
//! `UPDATE_EXPECT=1 cargo test` writes the last blocks anew.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use endshake::journal::folder::Folder;
use endshake::journal::{self, Journal};

/// The specs of one kind: a file an id, whose cases end in blocks of one name.
pub(super) struct Specs {
    /// Their folder, below tests/it.
    pub(super) folder: &'static str,
    /// The name of the blocks.
    pub(super) block: &'static str,
    /// All ids; each has a file, and each file an id.
    pub(super) ids: Vec<&'static str>,
}

impl Specs {
    /// Runs every case: fails where something else is found than its block says.
    pub(super) fn hold(&self, found: impl Fn(&str, &Case) -> String) {
        let update = std::env::var_os("UPDATE_EXPECT").is_some();
        let mut wrong = String::new();
        for id in &self.ids {
            let text = self.text(id);
            let (now, faults) = written(id, &text, self.block, |case| found(id, case));
            if update && now != text {
                std::fs::write(self.path(id), now).unwrap();
            } else if !update {
                wrong.push_str(&faults);
            }
        }
        let folder = self.folder;
        assert!(
            wrong.is_empty(),
            "{wrong}\nif that is right: UPDATE_EXPECT=1 cargo test --test it {folder}::"
        );
    }

    /// The cases of a spec, in order.
    pub(super) fn cases(&self, id: &str) -> Vec<Case> {
        cases(&self.text(id), self.block)
    }

    /// Fails where an id stands twice or has no spec, or a spec belongs to no id.
    pub(super) fn are_whole(&self) {
        let mut seen = BTreeSet::new();
        for id in &self.ids {
            assert!(seen.insert(*id), "{id} twice");
            assert!(self.path(id).is_file(), "{id} has no spec");
        }
        let files = std::fs::read_dir(self.path("")).unwrap().map(|file| file.unwrap().path());
        for file in files {
            let id = file.file_stem().unwrap().to_str().unwrap().to_owned();
            assert!(seen.contains(id.as_str()), "{id}.md belongs to nothing in {}", self.folder);
        }
    }

    /// The file of an id; for an empty one, the folder of all.
    fn path(&self, id: &str) -> PathBuf {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it").join(self.folder);
        if id.is_empty() { folder } else { folder.join(format!("{id}.md")) }
    }

    fn text(&self, id: &str) -> String {
        std::fs::read_to_string(self.path(id)).unwrap_or_else(|_| panic!("{id} has no spec"))
    }
}

/// A journal of these files; one that brings no journal.yaml gets one.
pub(super) fn journal_of(files: &BTreeMap<String, String>) -> Journal {
    let mut folder = Folder::default();
    let mut files = files.clone();
    files.entry("journal.yaml".into()).or_insert_with(|| "title: A spec\n".into());
    let builds = files.keys().filter_map(|path| path.strip_prefix("builds/")?.split('/').next());
    folder.builds = builds.map(str::to_owned).collect::<BTreeSet<_>>().into_iter().collect();
    folder.texts = files.into_iter().collect();
    journal::read(folder)
}

/// A case of a spec.
pub(super) struct Case {
    pub(super) title: String,
    pub(super) files: BTreeMap<String, String>,
    expected: Option<String>,
    /// The lines between which the expected text stands; where there is none, where it would.
    lines: (usize, usize),
}

/// The cases of a spec, in order; each ends in a block of this name.
fn cases(text: &str, block: &str) -> Vec<Case> {
    let mut shared = BTreeMap::new();
    let mut cases: Vec<Case> = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if let Some(title) = line.strip_prefix("## ") {
            let files = shared.clone();
            cases.push(Case { title: title.to_owned(), files, expected: None, lines: (at, at) });
        }
        let Some(info) = line.strip_prefix("```") else {
            if let Some(case) = cases.last_mut().filter(|case| case.expected.is_none() && !line.is_empty()) {
                case.lines = (at + 1, at + 1);
            }
            continue;
        };
        let mut inside = String::new();
        let mut end = at + 1;
        for (at, line) in lines.by_ref().take_while(|(_, line)| *line != "```") {
            inside.push_str(line);
            inside.push('\n');
            end = at + 1;
        }
        match (info.split_once(' '), cases.last_mut()) {
            (None, Some(case)) if info == block => {
                case.expected = Some(inside);
                case.lines = (at + 1, end);
            }
            (Some((_, path)), Some(case)) => {
                assert!(case.expected.is_none(), "{}: a file below its findings", case.title);
                case.files.insert(path.to_owned(), inside);
                case.lines = (end + 1, end + 1);
            }
            (Some((_, path)), None) => {
                shared.insert(path.to_owned(), inside);
            }
            (None, _) => panic!("a block says neither a path nor `{block}`: ```{info}"),
        }
    }
    cases
}

/// Runs a spec: its text with what is found now in the last block of each case, and what differs.
fn written(id: &str, text: &str, name: &str, found: impl Fn(&Case) -> String) -> (String, String) {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let mut faults = String::new();
    let all = cases(text, name);
    assert!(!all.is_empty(), "{id}: a spec without a case");
    // From the last, so that the lines of those before it stay where they are.
    for case in all.iter().rev() {
        let found = found(case);
        if case.expected.as_ref() == Some(&found) {
            continue;
        }
        let expected = case.expected.as_deref().unwrap_or("(no such block)\n");
        faults = format!("{id}, {}:\n{expected}found\n{found}\n{faults}", case.title);
        let mut block: Vec<String> = found.lines().map(str::to_owned).collect();
        if case.expected.is_none() {
            block.insert(0, format!("```{name}"));
            block.insert(0, String::new());
            block.push("```".into());
        }
        lines.splice(case.lines.0..case.lines.1, block);
    }
    (lines.join("\n") + "\n", faults)
}
