//! The commands as a person runs them, inside of this process.

use std::path::{Path, PathBuf};

use clap::Parser as _;
use endshake::cli::{Arguments, Outcome, Streams, run};

/// The example journal.
pub(super) const EXAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/content-example");

/// What a command printed on both streams, without colours, and how it ended.
pub(super) struct Told {
    pub(super) out: String,
    pub(super) err: String,
    pub(super) outcome: Outcome,
}

/// Runs a command; its first word is that of the command.
pub(super) fn told(arguments: &[&str]) -> anyhow::Result<Told> {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let arguments = Arguments::try_parse_from(std::iter::once(&"endshake").chain(arguments))?;
    let outcome = run(&arguments, &mut Streams { out: &mut out, err: &mut err })?;
    Ok(Told { out: plain(&out), err: plain(&err), outcome })
}

/// Runs a command on the example.
pub(super) fn on_example(arguments: &[&str]) -> anyhow::Result<Told> {
    told(&[arguments, &["--journal", EXAMPLE]].concat())
}

/// Text without the colours that a terminal would show.
fn plain(bytes: &[u8]) -> String {
    String::from_utf8(anstream::adapter::strip_bytes(bytes).into_vec()).unwrap()
}

/// The files of a folder, by their path in it, in order.
pub(super) fn files_of(folder: &Path) -> Vec<PathBuf> {
    let walk = walkdir::WalkDir::new(folder).sort_by_file_name();
    let files = walk.into_iter().map(Result::unwrap).filter(|entry| entry.file_type().is_file());
    files.map(|entry| entry.path().strip_prefix(folder).unwrap().to_owned()).collect()
}
