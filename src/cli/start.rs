//! `start`: a small journal to start from, which already passes its checks.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, bail};
use clap::Args;

use super::{Exit, Streams};

#[derive(Args, Debug)]
pub(super) struct StartArgs {
    /// The folder of the new journal
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

/// What a new journal holds, every field with a comment.
pub const FILES: [(&str, &str); 5] = [
    ("journal.yaml", include_str!("start/journal.yaml")),
    ("calibres/my-27.yaml", include_str!("start/calibre.yaml")),
    ("parts/parts.yaml", include_str!("start/parts.yaml")),
    ("builds/first-watch/build.md", include_str!("start/build.md")),
    ("builds/first-watch/parts-measured.md", include_str!("start/entry.md")),
];

pub(super) fn run(start: &StartArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let root = &start.folder;
    // Checked before anything is written, so that a refusal leaves nothing behind.
    for (path, _) in FILES {
        if root.join(path).symlink_metadata().is_ok() {
            bail!(
                "{} already exists, and nothing is overwritten: name a new folder",
                root.join(path).display()
            );
        }
    }
    if root.join("builds").is_dir() || root.join("parts").is_dir() {
        bail!("{} already holds a journal: name a new folder", root.display());
    }
    for (path, text) in FILES {
        write_new(&root.join(path), text)?;
        writeln!(streams.out, "wrote {}", root.join(path).display())?;
    }
    let shown = root.display();
    writeln!(streams.out, "\nNext:\n  endshake fit {shown}\n  endshake publish {shown}")?;
    Ok(Exit::Good)
}

/// Writes a file that must not be there yet.
pub(super) fn write_new(path: &Path, text: &str) -> anyhow::Result<()> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).with_context(|| format!("cannot make the folder {}", folder.display()))?;
    }
    let shown = || format!("cannot write {}", path.display());
    let mut file = match fs::OpenOptions::new().write(true).create_new(true).open(path) {
        Err(fault) if fault.kind() == std::io::ErrorKind::AlreadyExists => {
            bail!("{} already exists, and nothing is overwritten: name a new file", path.display())
        }
        file => file.with_context(shown)?,
    };
    file.write_all(text.as_bytes()).with_context(shown)
}
