//! Finding changes by looking the journal through, where the system gives no notices.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::time::SystemTime;

use walkdir::WalkDir;

use crate::journal::folder::{PHOTOS, is_hidden};

/// The folders that a journal is read from.
pub(super) const FOLDERS: [&str; 4] = ["builds", "calibres", "parts", "themes"];

/// What changed since the last batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// Files that were written, made, renamed or deleted; relative to the journal, with `/`.
    pub files: BTreeSet<String>,
    /// Folders came or went, or notices were lost: only looking through all of it tells.
    pub all: bool,
}

/// What tells one state of a file from the next without reading it; `None` for a folder.
type Look = Option<(u64, Option<SystemTime>)>;

/// What the journal looked like.
#[derive(Debug, Default)]
pub(super) struct Seen(BTreeMap<String, Look>);

impl Seen {
    /// Looks through the journal.
    pub(super) fn now(journal: &Path) -> Seen {
        let mut seen = BTreeMap::new();
        let own = journal.join("journal.yaml");
        if let Ok(it) = own.metadata() {
            seen.insert("journal.yaml".to_owned(), Some((it.len(), it.modified().ok())));
        }
        for folder in FOLDERS {
            let top = journal.join(folder);
            let walk = WalkDir::new(&top)
                .into_iter()
                .filter_entry(|entry| !is_hidden(&entry.file_name().to_string_lossy()));
            for entry in walk.flatten() {
                let Ok(below) = entry.path().strip_prefix(journal) else { continue };
                let Ok(it) = entry.metadata() else { continue };
                let path = below.components().map(|part| part.as_os_str().to_string_lossy());
                let path = path.collect::<Vec<_>>().join("/");
                if it.is_dir() {
                    seen.insert(path, None);
                } else if is_read(&path) {
                    seen.insert(path, Some((it.len(), it.modified().ok())));
                }
            }
        }
        Seen(seen)
    }

    /// What is not as it was.
    pub(super) fn since(&self, before: &Seen) -> Change {
        let paths: BTreeSet<&String> = self.0.keys().chain(before.0.keys()).collect();
        let mut change = Change::default();
        for path in paths {
            let (now, then) = (self.0.get(path), before.0.get(path));
            if now == then {
                continue;
            }
            change.all |= now == Some(&None) || then == Some(&None);
            if matches!(now, Some(Some(_))) || matches!(then, Some(Some(_))) {
                change.files.insert(path.clone());
            }
        }
        change
    }
}

/// Whether a file of this path is one that the journal is read from.
pub(super) fn is_read(path: &str) -> bool {
    let ending = path.rsplit_once('.').map(|(_, ending)| ending.to_ascii_lowercase()).unwrap_or_default();
    match path.split('/').next() {
        Some("builds") => ending == "md" || PHOTOS.contains(&ending.as_str()),
        Some("themes") => {
            path.matches('/').count() >= 2
                && !ending.contains('/')
                && path.rsplit('/').next().is_some_and(|name| name.contains('.'))
        }
        _ => matches!(ending.as_str(), "yaml" | "yml"),
    }
}
