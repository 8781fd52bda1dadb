//! The commands as a person runs them, inside of this process or as one of their own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus};
use std::sync::mpsc::channel;
use std::thread;
use std::time::Duration;

use clap::Parser as _;
use endshake::cli::{Arguments, Exit, Streams, run};

/// The example journal.
pub(super) const EXAMPLE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/content-example");

/// The program.
pub(super) const PROGRAM: &str = env!("CARGO_BIN_EXE_endshake");

/// What a command printed on both streams, without colours, and how it ended.
pub(super) struct Told {
    pub(super) out: String,
    pub(super) err: String,
    pub(super) outcome: Exit,
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

/// A folder in which the program runs, with a cache of its own; the journal stands in `journal`.
pub(super) struct Place(pub(super) tempfile::TempDir);

impl Place {
    pub(super) fn empty() -> Place {
        Place(tempfile::tempdir().unwrap())
    }

    pub(super) fn journal(&self) -> PathBuf {
        self.0.path().join("journal")
    }

    /// A file of the folder, its own folders made.
    pub(super) fn write(&self, path: &str, text: &str) {
        let place = self.0.path().join(path);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, text).unwrap();
    }

    /// A process that finds the program under `PROGRAM`.
    pub(super) fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command.current_dir(self.0.path()).env("PROGRAM", PROGRAM);
        command.env("XDG_CACHE_HOME", self.0.path().join("cache"));
        command
    }

    /// The program's end, and what it said on both streams.
    pub(super) fn run(&self, arguments: &[&str]) -> (Option<i32>, String) {
        let done = self.command(PROGRAM).args(arguments).output().unwrap();
        let told = String::from_utf8_lossy(&done.stdout) + String::from_utf8_lossy(&done.stderr);
        assert!(!told.contains("panicked"), "{arguments:?}: {told}");
        (done.status.code(), told.into_owned())
    }
}

/// Only what hangs takes so long.
pub(crate) const PATIENCE: Duration = Duration::from_secs(60);

/// Sends a process a signal, such as `TERM`, and waits until it has ended.
///
/// `INT`, which is Ctrl-C, is for programs that catch it: a shell that starts the tests in the background
/// has them ignore it, and all that they start.
pub(super) fn end(child: &mut Child, signal: &str) -> ExitStatus {
    let sent = Command::new("kill").args([&format!("-{signal}"), &child.id().to_string()]).status();
    assert!(sent.unwrap().success());
    let (id, (ended, end)) = (child.id().to_string(), channel());
    thread::scope(|scope| {
        scope.spawn(move || ended.send(child.wait().unwrap()));
        end.recv_timeout(PATIENCE).unwrap_or_else(|_| {
            let _ = Command::new("kill").args(["-KILL", &id]).status();
            panic!("{signal} did not end it");
        })
    })
}
