//! Results of earlier runs, kept in the person's cache folder.
//!
//! One file for each store: the content of each path at a size and times, and the result for each
//! content. The file carries the hash of its own body and of the recipe; where they differ, it is
//! ignored. It only saves time.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use crate::file_stamp::FileStamp;
use crate::photos::cache_bounds;
use crate::photos::error::PhotoError;
use crate::photos::names;
use crate::photos::photo::Photo;
use crate::photos::sizes::{self, Size};

/// A source as it was when it was read.
pub(super) struct Sighting {
    pub(super) stamp: FileStamp,
    /// The name of its content.
    pub(super) content: String,
}

/// The result for a content.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
enum Fate {
    /// Why it gave no photo.
    Fault(PhotoError),
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
    files: BTreeMap<String, (FileStamp, String)>,
    contents: BTreeMap<String, Fate>,
}

/// What an earlier run left.
#[derive(Default)]
pub(super) struct SourceCache {
    file: Option<PathBuf>,
    /// When it was written: a source that changed since, or in the same moment, is read again.
    written: i64,
    table: Table,
}

impl SourceCache {
    /// Reads what `file` holds; nothing where it cannot be read.
    pub(super) fn read(file: Option<&Path>) -> SourceCache {
        let Some(file) = file else { return SourceCache::default() };
        let table = fs::read(file).ok().and_then(|bytes| open(&bytes));
        let written = fs::metadata(file)
            .ok()
            .and_then(|found| FileStamp::of(&found))
            .map_or(0, |stamp| stamp.modified());
        SourceCache { file: Some(file.to_owned()), written, table: table.unwrap_or_default() }
    }

    /// The content of the file at `path`; `None` where its stamp has changed.
    pub(super) fn content(&self, path: &Path, stamp: FileStamp) -> Option<&str> {
        let (seen, content) = self.table.files.get(&key(path)?)?;
        (*seen == stamp && stamp.latest() < self.written).then_some(content.as_str())
    }

    /// The result for `content`.
    pub(super) fn outcome(&self, content: &str) -> Option<Result<Photo, PhotoError>> {
        Some(match self.table.contents.get(content)? {
            Fate::Fault(reason) => Err(reason.clone()),
            Fate::Photo { width, height, taken, placeholder, bytes, share } => {
                let (width, height) = (*width, *height);
                let sizes = sizes::sizes(Size { width, height });
                let derivatives = sizes.into_iter().zip(bytes);
                Ok(Photo {
                    width,
                    height,
                    taken: *taken,
                    derivatives: derivatives
                        .map(|(size, bytes)| names::derivative(content, size, *bytes))
                        .collect(),
                    share: share.map(|(width, height, bytes)| {
                        names::link_preview(content, Size { width, height }, bytes)
                    }),
                    placeholder: placeholder.clone(),
                })
            }
        })
    }

    /// Keeps the results of a run. Other entries stay as long as their file exists; a folder that
    /// cannot be written only costs the next run time.
    pub(super) fn write<'a>(
        &self,
        seen: impl IntoIterator<Item = (&'a Path, &'a Sighting, &'a Result<Photo, PhotoError>)>,
    ) {
        let Some(file) = &self.file else { return };
        let mut table = Table::default();
        for (path, Sighting { stamp, content }, outcome) in seen {
            let Some(key) = key(path) else { continue };
            table.files.insert(key, (*stamp, content.clone()));
            table.contents.insert(content.clone(), fate(outcome));
        }
        for (path, seen) in &self.table.files {
            // One that changed in the moment of writing must not be trusted from now on.
            let certain = seen.0.latest() < self.written;
            if certain && !table.files.contains_key(path) && Path::new(path).exists() {
                table.files.insert(path.clone(), seen.clone());
            }
        }
        let used: BTreeSet<&String> = table.files.values().map(|(_, content)| content).collect();
        let rest = self.table.contents.iter().filter(|(content, _)| used.contains(content));
        let rest: Vec<_> = rest.filter(|(content, _)| !table.contents.contains_key(*content)).collect();
        let rest: Vec<_> = rest.into_iter().map(|(content, fate)| (content.clone(), fate.clone())).collect();
        table.contents.extend(rest);
        let latest = table.files.values().map(|(stamp, _)| stamp.latest()).max().unwrap_or(0);
        let unchanged = table == self.table && latest < self.written;
        let _only_costs_time: io::Result<()> = self.replace(file, unchanged, &table);
    }

    /// Writes `table` in place of `file`; where it is `unchanged` only to show that it is still used.
    fn replace(&self, file: &Path, unchanged: bool, table: &Table) -> io::Result<()> {
        let Some(folder) = file.parent() else { return Ok(()) };
        fs::create_dir_all(folder)?;
        let (mut unfinished, now) = cache_bounds::unfinished(folder)?;
        if unchanged && now - self.written < cache_bounds::RENEWED {
            return Ok(());
        }
        let body = serde_json::to_vec(table)?;
        unfinished.write_all(format!("{}\n", head(&body)).as_bytes())?;
        unfinished.write_all(&body)?;
        unfinished.persist(file)?;
        cache_bounds::enforce(file, now)
    }
}

fn fate(outcome: &Result<Photo, PhotoError>) -> Fate {
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

/// A path as a key; `None` where it is not Unicode: such a source is read every time.
fn key(path: &Path) -> Option<String> {
    std::path::absolute(path).ok()?.to_str().map(str::to_owned)
}

fn head(body: &[u8]) -> String {
    let mut hasher = blake3::Hasher::new_derive_key(names::RECIPE);
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
