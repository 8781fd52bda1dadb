//! The child's side: makes the pages that the program which started it asks for, within bounds that it sets
//! itself before it reads a template.

use std::collections::BTreeMap;
use std::io::{Read, Write};

use super::frames::{Kind, receive, send};
use super::templates::{Sources, Templates};

/// Memory that the templates of a theme may take, MB.
pub(super) const MEMORY: u64 = 512;

/// Seconds of a processor that a page may take.
pub(super) const SECONDS: u64 = 5;

/// Makes pages until nobody asks for more.
pub fn serve(from: &mut impl Read, to: &mut impl Write) -> anyhow::Result<()> {
    bound_memory();
    bound_time();
    let Some((Kind::Theme, theme)) = receive(from)? else { return Ok(()) };
    let (name, own): (String, BTreeMap<String, String>) = serde_json::from_slice(&theme)?;
    let templates = match Templates::new(Sources::new(&name, own)?) {
        Ok(templates) => templates,
        Err(fault) => return Ok(send(to, Kind::Fault, &serde_json::to_vec(&fault)?)?),
    };
    send(to, Kind::Ready, &[])?;
    while let Some((Kind::Job, job)) = receive(from)? {
        bound_time();
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

/// Has the system refuse what is beyond [`MEMORY`], and leave no image of a process that fails so.
#[cfg(unix)]
fn bound_memory() {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let bound = |resource, most| {
        // Where the system has no such bound, the parent's on time is left.
        let _ = setrlimit(resource, Rlimit { current: Some(most), maximum: Some(most) });
    };
    bound(Resource::Core, 0);
    #[cfg(not(target_os = "openbsd"))]
    bound(Resource::As, MEMORY << 20);
}

/// Has the system end the process after [`SECONDS`] more of a processor.
#[cfg(unix)]
fn bound_time() {
    use rustix::process::{Resource, getrlimit, setrlimit};
    use rustix::time::{ClockId, clock_gettime};
    let used = clock_gettime(ClockId::ProcessCPUTime).tv_sec as u64;
    let mut bound = getrlimit(Resource::Cpu);
    bound.current = Some(used + 1 + SECONDS);
    let _ = setrlimit(Resource::Cpu, bound);
}

#[cfg(not(unix))]
fn bound_memory() {}

#[cfg(not(unix))]
fn bound_time() {}
