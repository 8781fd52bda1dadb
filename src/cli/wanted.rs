//! `wanted`: what would go into the open slots of a build.

use anyhow::bail;
use clap::Args;

use crate::journal::Slot;
use crate::pairing::spares::spares;
use crate::pairing::wanted::{Effort, wanted};
use crate::problem::{did_you_mean, has_errors};
use crate::report::{text, wanted as report};
use crate::session::Session;

use super::journal::name;
use super::{Exit, Format, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct WantedArgs {
    /// The build, by folder
    build: String,
    #[command(flatten)]
    place: Where,
    /// Only this slot; for a filled one, what else would fit
    #[arg(long, value_name = "SLOT")]
    slot: Option<String>,
    /// Output format
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

pub(super) fn run(asked: &WantedArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let slot = asked.slot.as_deref().map(slot_of).transpose()?;
    let root = &asked.place.journal;
    let session = Session::open(root)?;
    let problems = session.problems();
    let Some(build) = session.journal().build(&asked.build) else {
        let near =
            did_you_mean(&asked.build, session.journal().builds.iter().map(|build| build.slug.as_str()));
        bail!("there is no build `{}` in {}{near}", asked.build, root.display());
    };
    let watch = session.assembly(build);
    let spares = spares(session.journal(), session.ledger());
    let vacancies = wanted(&watch, watch.bands(), &spares, slot, Effort::Altering);
    match asked.format {
        Format::Json => {
            let shown = name(root);
            let told = report::json(&shown, build, &vacancies, &problems);
            serde_json::to_writer_pretty(&mut *streams.out, &told)?;
            writeln!(streams.out)?;
        }
        Format::Text => write!(streams.out, "{}", report::text(build, &vacancies))?,
    }
    for problem in &problems {
        write!(streams.err, "{}", text::problem(problem))?;
    }
    Ok(if has_errors(&problems) { Exit::Problems } else { Exit::Good })
}

/// The slot of a name, or the nearest known one in the error.
pub(super) fn slot_of(name: &str) -> anyhow::Result<Slot> {
    let Some(slot) = Slot::of(name) else {
        bail!("there is no slot `{name}`{}", did_you_mean(name, Slot::names()));
    };
    Ok(slot)
}
