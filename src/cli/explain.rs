//! `explain`: what a check computes, and where its band comes from.

use anyhow::bail;
use clap::Args;

use crate::fit::bands::Bands;
use crate::fit::checks;
use crate::problem::did_you_mean;
use crate::report::explain;

use crate::session::Session;

use super::{Exit, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct ExplainArgs {
    /// The check [default: a list of all]
    check: Option<String>,
    #[command(flatten)]
    place: Where,
}

pub(super) fn run(explain: &ExplainArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    // The bands are the journal's where there is one, for it may have changed them.
    let bands = match explain.place.journal.join("journal.yaml").is_file() {
        true => Session::open(&explain.place.journal)?.standards().bands().clone(),
        false => Bands::built_in(),
    };
    let Some(id) = &explain.check else {
        for check in checks::ALL {
            write!(streams.out, "{}", explain::line(check))?;
        }
        return Ok(Exit::Good);
    };
    let Some(check) = checks::of(id) else {
        let near = did_you_mean(id, checks::ALL.iter().map(|check| check.id));
        bail!("there is no check `{id}`{near} (`endshake explain` lists them)");
    };
    write!(streams.out, "{}", explain::page(check, &bands))?;
    Ok(Exit::Good)
}
