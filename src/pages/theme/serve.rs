//! The child's side: renders the pages that its parent asks for, under limits that it sets itself before it
//! reads a template.

use std::collections::BTreeMap;
use std::io::{Read, Write};

use super::frames::{Kind, receive, send};
use super::templates::{Sources, Templates};

/// Address space of the child, MB.
pub(super) const MEMORY: u64 = 512;

/// CPU seconds for a page.
pub(super) const SECONDS: u64 = 5;

/// Renders pages until the parent closes the pipe.
pub fn serve(from: &mut impl Read, to: &mut impl Write) -> anyhow::Result<()> {
    limit_memory();
    limit_time();
    let Some((Kind::Theme, theme)) = receive(from)? else { return Ok(()) };
    let (name, own): (String, BTreeMap<String, String>) = serde_json::from_slice(&theme)?;
    let templates = match Templates::new(Sources::new(&name, own)?) {
        Ok(templates) => templates,
        Err(fault) => return Ok(send(to, Kind::Fault, &serde_json::to_vec(&fault)?)?),
    };
    send(to, Kind::Ready, &[])?;
    while let Some((Kind::Job, job)) = receive(from)? {
        limit_time();
        let (template, shown): (String, serde_json::Value) = serde_json::from_slice(&job)?;
        let context = tera::Context::from_serialize(&shown)?;
        drop((job, shown));
        match templates.render(&template, &context) {
            Ok(page) => send(to, Kind::Page, page.as_bytes())?,
            Err(fault) => send(to, Kind::Fault, &serde_json::to_vec(&fault)?)?,
        }
    }
    Ok(())
}

/// Limits memory to [`MEMORY`], and turns core dumps off.
#[cfg(unix)]
fn limit_memory() {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let limit = |resource, most| {
        // Where the system has no such limit, the parent's timeout remains.
        let _ = setrlimit(resource, Rlimit { current: Some(most), maximum: Some(most) });
    };
    limit(Resource::Core, 0);
    #[cfg(not(target_os = "openbsd"))]
    limit(Resource::As, MEMORY << 20);
}

/// Has the system end the process after [`SECONDS`] more of CPU time.
#[cfg(unix)]
fn limit_time() {
    use rustix::process::{Resource, getrlimit, setrlimit};
    use rustix::time::{ClockId, clock_gettime};
    let used = clock_gettime(ClockId::ProcessCPUTime).tv_sec as u64;
    let mut limit = getrlimit(Resource::Cpu);
    limit.current = Some(used + 1 + SECONDS);
    let _ = setrlimit(Resource::Cpu, limit);
}

#[cfg(not(unix))]
fn limit_memory() {}

#[cfg(not(unix))]
fn limit_time() {}
