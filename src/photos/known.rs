//! What is known of sources, kept in the person's cache folder.
//!
//! One file a store: which content lay at a path when it had this size and these times, and what
//! became of each content. The file carries the hash of its own body and the recipe; when either
//! does not hold, it is as if there were none. Nothing in it is needed: it saves time.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::photos::make;
use crate::photos::plan::{self, Size};
use crate::photos::{Photo, Source};

/// A file's size and times; equal stamps of one path mean an unchanged file.
///
/// The time of the last change of the inode cannot be set by programs that copy or unpack, so a
/// file that was replaced by one of equal size and date is seen too, where the system keeps it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Stamp(u64, i64, i64, u64);

impl Stamp {
    pub(super) fn of(found: &fs::Metadata) -> Stamp {
        let written = found.modified().ok().and_then(|time| time.duration_since(UNIX_EPOCH).ok());
        let written = written.map_or(0, |since| since.as_nanos() as i64);
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            let changed = found.ctime() * 1_000_000_000 + found.ctime_nsec();
            Stamp(found.len(), written, changed, found.ino())
        }
        #[cfg(not(unix))]
        Stamp(found.len(), written, written, 0)
    }

    /// The file's length.
    pub(super) fn bytes(&self) -> u64 {
        self.0
    }

    /// The later of its times, in nanoseconds.
    fn latest(&self) -> i64 {
        self.1.max(self.2)
    }
}

/// What became of a content.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
enum Fate {
    /// Why it gave no photo.
    Fault(String),
    Photo {
        width: u32,
        height: u32,
        taken: Option<DateTime>,
        placeholder: String,
        /// The lengths of the derivatives, narrowest first.
        bytes: Vec<u64>,
        /// The width, height and length of the link preview, where one was made.
        share: Option<(u32, u32, u64)>,
    },
}

#[derive(Default, PartialEq, Serialize, Deserialize)]
struct Table {
    files: BTreeMap<String, (Stamp, String)>,
    contents: BTreeMap<String, Fate>,
}

/// What an earlier run left.
#[derive(Default)]
pub(super) struct Known {
    file: Option<PathBuf>,
    /// When it was written: a source that changed since, or in the same moment, is looked at again.
    written: i64,
    table: Table,
}

/// What became of a source: a photo, or why there is none.
pub(super) type Outcome = Result<Photo, String>;

impl Known {
    /// Reads what `file` holds; nothing where it cannot be read.
    pub(super) fn read(file: Option<&Path>) -> Known {
        let Some(file) = file else { return Known::default() };
        let table = fs::read(file).ok().and_then(|bytes| open(&bytes));
        let written = fs::metadata(file).map_or(0, |found| Stamp::of(&found).1);
        Known { file: Some(file.to_owned()), written, table: table.unwrap_or_default() }
    }

    /// The content that lies at `path`, as far as its stamp tells.
    pub(super) fn content(&self, path: &Path, stamp: Stamp) -> Option<&str> {
        let (seen, content) = self.table.files.get(&key(path)?)?;
        (*seen == stamp && stamp.latest() < self.written).then_some(content.as_str())
    }

    /// What became of `content`.
    pub(super) fn outcome(&self, content: &str) -> Option<Outcome> {
        Some(match self.table.contents.get(content)? {
            Fate::Fault(reason) => Err(reason.clone()),
            Fate::Photo { width, height, taken, placeholder, bytes, share } => {
                let (width, height) = (*width, *height);
                let sizes = plan::sizes(Size { width, height });
                let derivatives = sizes.into_iter().zip(bytes);
                Ok(Photo {
                    width,
                    height,
                    taken: *taken,
                    derivatives: derivatives
                        .map(|(size, bytes)| plan::derivative(content, size, *bytes))
                        .collect(),
                    share: share.map(|(width, height, bytes)| {
                        plan::share_derivative(content, Size { width, height }, bytes)
                    }),
                    placeholder: placeholder.clone(),
                })
            }
        })
    }

    /// Keeps what a run found out. What it did not look at stays, as long as its file is there; a
    /// folder that cannot be written only costs the next run time.
    pub(super) fn write(&self, sources: &[Source], results: &[make::Result]) {
        let Some(file) = &self.file else { return };
        let mut table = Table::default();
        for (source, result) in sources.iter().zip(results) {
            let (Some((stamp, content)), Some(key)) = (&result.seen, key(&source.path)) else { continue };
            table.files.insert(key, (*stamp, content.clone()));
            table.contents.insert(content.clone(), fate(&result.outcome));
        }
        for (path, seen) in &self.table.files {
            if !table.files.contains_key(path) && Path::new(path).exists() {
                table.files.insert(path.clone(), seen.clone());
            }
        }
        let used: BTreeSet<&String> = table.files.values().map(|(_, content)| content).collect();
        let rest = self.table.contents.iter().filter(|(content, _)| used.contains(content));
        let rest: Vec<_> = rest.filter(|(content, _)| !table.contents.contains_key(*content)).collect();
        let rest: Vec<_> = rest.into_iter().map(|(content, fate)| (content.clone(), fate.clone())).collect();
        table.contents.extend(rest);
        let unchanged = table == self.table;
        let moment = table.files.values().map(|(stamp, _)| stamp.latest()).max().unwrap_or(0);
        if unchanged && moment < self.written {
            return;
        }
        let Ok(body) = serde_json::to_vec(&table) else { return };
        let bytes = [format!("{}\n", head(&body)).as_bytes(), &body].concat();
        let Some(folder) = file.parent() else { return };
        let _only_costs_time: anyhow::Result<()> = (|| {
            fs::create_dir_all(folder)?;
            let mut unfinished = tempfile::NamedTempFile::new_in(folder)?;
            std::io::Write::write_all(&mut unfinished, &bytes)?;
            unfinished.persist(file)?;
            Ok(())
        })();
    }
}

fn fate(outcome: &Outcome) -> Fate {
    match outcome {
        Err(reason) => Fate::Fault(reason.clone()),
        Ok(photo) => Fate::Photo {
            width: photo.width,
            height: photo.height,
            taken: photo.taken,
            placeholder: photo.placeholder.clone(),
            bytes: photo.derivatives.iter().map(|one| one.bytes).collect(),
            share: photo.share.as_ref().map(|one| (one.width, one.height, one.bytes)),
        },
    }
}

/// A path as the table has it; `None` for one that is not Unicode, which is then read every time.
fn key(path: &Path) -> Option<String> {
    std::path::absolute(path).ok()?.to_str().map(str::to_owned)
}

fn head(body: &[u8]) -> String {
    let mut hasher = blake3::Hasher::new_derive_key(plan::RECIPE);
    hasher.update(body);
    format!("endshake photos {} {}", env!("CARGO_PKG_VERSION"), hasher.finalize().to_hex())
}

fn open(bytes: &[u8]) -> Option<Table> {
    let end = bytes.iter().position(|byte| *byte == b'\n')?;
    let body = &bytes[end + 1..];
    if bytes[..end] != *head(body).as_bytes() {
        return None;
    }
    serde_json::from_slice(body).ok()
}
