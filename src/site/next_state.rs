//! The next state of a site, as a round has it and as the switch reads it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::OpenOptions;
use std::io::Write;

/// What a file is to the site; it decides when the file is moved in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileRole {
    /// A file whose name holds its content's hash: photo, style, script, font. Moved in first, in
    /// the order put: what a style names is put before the style.
    Asset,
    /// A page. All pages that it links to are there when it is.
    Page,
    /// A file of a fixed name that scripts and other programs load: search index, feed, sitemap.
    Data,
}

/// What a round did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Files that are new or have new bytes.
    pub written: usize,
    /// Files that were right already; nothing was written to them.
    pub unchanged: usize,
    /// Files that the site no longer has.
    pub deleted: usize,
    /// Files that the site no longer has, but that someone changed since they were written: they
    /// were left where they are, and are no longer counted as ours.
    pub left: Vec<String>,
}

#[derive(Debug, Default)]
pub(super) struct NextState {
    pub(super) files: BTreeMap<String, Planned>,
    /// Each path by its folded form, to catch two that some file system takes for one.
    pub(super) folded: BTreeMap<String, String>,
    /// Folders below the site's that were found to be folders and no links.
    pub(super) folders: BTreeSet<String>,
    /// What stands where we want to write and is not ours.
    pub(super) strange: BTreeSet<String>,
    pub(super) claimed: BTreeSet<String>,
    pub(super) waiting: usize,
}

/// One file of the next state.
#[derive(Clone, Debug)]
pub(super) struct Planned {
    pub(super) kind: FileRole,
    /// `None` for a file that stands for its own content.
    pub(super) hash: Option<String>,
    /// Number of the waiting file, in the order put; `None` where the file stands already.
    pub(super) waiting: Option<usize>,
    pub(super) is_new: bool,
    /// Pages that a new page links to.
    pub(super) links: Vec<String>,
}

pub(super) fn write_new(place: &std::path::Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(place)?;
    file.write_all(bytes)
}
