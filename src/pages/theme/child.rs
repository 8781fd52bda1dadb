//! The parent's side: child processes of this program that render a theme's own templates.
//!
//! A thread that runs a template can be neither stopped nor bounded; a process can. One child serves each
//! thread that renders, for many pages.

use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::process::{ChildStdin, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::sync::{Mutex, OnceLock, PoisonError};
use std::thread;
use std::time::Duration;

use anyhow::Context as _;
use serde::Serialize;

use super::fault::ThemeFault;
use super::frames::{Kind, Message, receive, send};
use super::serve::{MEMORY, SECONDS};
use super::templates::Sources;

/// The arguments with which the program runs [`super::serve()`]. A test binary refuses them.
pub const ARGUMENTS: [&str; 2] = ["theme-pages", "--stdio"];

/// A child that does not answer within this time is killed. Where the system limits its CPU time, this is for
/// a machine too busy to run it at all.
const LONGEST: Duration = Duration::from_secs(if cfg!(unix) { 120 } else { 15 });

/// The children of one theme.
pub(super) struct Children {
    pub(super) sources: Sources,
    program: PathBuf,
    /// The first message to each child: the theme's name and its own templates.
    theme: Vec<u8>,
    idle: Mutex<Vec<Child>>,
    /// Why the first of them died. After that no page is rendered: each could take as long.
    pub(super) died: OnceLock<ThemeFault>,
}

struct Child {
    process: std::process::Child,
    to: ChildStdin,
    answers: Receiver<Message>,
}

/// Why a child sent no page.
enum Ended {
    Fault(ThemeFault),
    /// The words follow the name of a template.
    Died(String),
}

impl Children {
    /// Starts a first child, which parses the templates of the theme `name`. `program` defaults to this one.
    pub(super) fn start(program: Option<&Path>, name: &str, sources: Sources) -> anyhow::Result<Children> {
        let program = match program {
            Some(program) => program.to_owned(),
            None => std::env::current_exe().context("cannot find this program's file")?,
        };
        let theme = serde_json::to_vec(&(name, &sources.own))?;
        let children = Children { sources, program, theme, idle: Mutex::default(), died: OnceLock::new() };
        let first = children.child()?.map_err(|ended| children.fault(ended, ""))?;
        children.idle().push(first);
        Ok(children)
    }

    /// Renders a page.
    pub(super) fn render(&self, template: &str, shown: &impl Serialize) -> anyhow::Result<String> {
        let job = serde_json::to_vec(&(template, shown))?;
        if let Some(fault) = self.died.get() {
            return Err(fault.clone().into());
        }
        let idle = self.idle().pop();
        let child = match idle {
            Some(child) => Ok(child),
            None => self.child()?,
        };
        let made = child.and_then(|mut child| {
            let page = child.ask(Kind::Job, &job);
            if !matches!(page, Err(Ended::Died(_))) {
                self.idle().push(child);
            }
            page
        });
        let page = made.map_err(|ended| self.fault(ended, template))?;
        Ok(String::from_utf8(page)?)
    }

    /// A new child that has parsed the templates.
    fn child(&self) -> anyhow::Result<Result<Child, Ended>> {
        let mut child = Child::start(&self.program)
            .with_context(|| format!("cannot start {} for the theme's pages", self.program.display()))?;
        Ok(child.ask(Kind::Theme, &self.theme).map(|_| child))
    }

    fn fault(&self, ended: Ended, template: &str) -> ThemeFault {
        match ended {
            Ended::Fault(fault) => fault,
            Ended::Died(what) => self.died.get_or_init(|| self.sources.fault_at(template, what)).clone(),
        }
    }

    fn idle(&self) -> std::sync::MutexGuard<'_, Vec<Child>> {
        self.idle.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Child {
    fn start(program: &Path) -> io::Result<Child> {
        let mut command = Command::new(program);
        command.args(ARGUMENTS).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        let mut process = command.spawn()?;
        let pipes = process.stdin.take().zip(process.stdout.take());
        let (to, mut from) = pipes.ok_or(io::ErrorKind::BrokenPipe)?;
        let (sender, answers) = channel();
        // A pipe has no read with a timeout, but a channel does.
        let read = move || {
            while let Ok(Some(answer)) = receive(&mut from) {
                if sender.send(answer).is_err() {
                    break;
                }
            }
        };
        thread::Builder::new().name("theme".to_owned()).spawn(read)?;
        Ok(Child { process, to, answers })
    }

    /// Its answer to a message.
    fn ask(&mut self, kind: Kind, bytes: &[u8]) -> Result<Vec<u8>, Ended> {
        if send(&mut self.to, kind, bytes).is_err() {
            return Err(self.died());
        }
        match self.answers.recv_timeout(LONGEST) {
            Ok((Kind::Fault, fault)) => Err(match serde_json::from_slice(&fault) {
                Ok(fault) => Ended::Fault(fault),
                Err(_) => self.died(),
            }),
            Ok((_, page)) => Ok(page),
            Err(RecvTimeoutError::Timeout) => Err(Ended::Died(too_long())),
            Err(RecvTimeoutError::Disconnected) => Err(self.died()),
        }
    }

    /// Why it died.
    fn died(&mut self) -> Ended {
        // It is dead already, or its answer makes no sense.
        let _ = self.process.kill();
        let mut said = Vec::new();
        if let Some(stderr) = self.process.stderr.take() {
            let _ = stderr.take(1 << 16).read_to_end(&mut said);
        }
        let status = self.process.wait().ok();
        let said = String::from_utf8_lossy(&said);
        Ended::Died(if status.is_some_and(is_out_of_time) {
            too_long()
        } else if said.contains("memory allocation of") {
            format!("takes more than {MEMORY} MB of memory: look for a text or a list that grows in a loop")
        } else if said.contains("has overflowed its stack") {
            "nests too deeply: look for a list that is put into itself".to_owned()
        } else {
            "crashes the template engine".to_owned()
        })
    }
}

impl Drop for Child {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn too_long() -> String {
    format!("runs for more than {SECONDS} seconds: look for nested loops")
}

#[cfg(unix)]
fn is_out_of_time(status: ExitStatus) -> bool {
    use std::os::unix::process::ExitStatusExt as _;
    status.signal() == Some(rustix::process::Signal::XCPU.as_raw())
}

#[cfg(not(unix))]
fn is_out_of_time(_: ExitStatus) -> bool {
    false
}
