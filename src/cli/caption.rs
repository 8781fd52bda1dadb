//! `caption`: the parts and tools of a build as plain text.

use anyhow::bail;
use clap::Args;

use crate::caption::{Caption as Lines, Prices};
use crate::problem::{did_you_mean, has_errors};
use crate::report::text;
use crate::session::Session;

use super::{Exit, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct CaptionArgs {
    /// The build, by folder
    build: String,
    #[command(flatten)]
    place: Where,
    /// Longest text in characters; the least important lines go first
    #[arg(long, value_name = "N")]
    length: Option<usize>,
    /// Include what the parts cost
    #[arg(long)]
    prices: bool,
}

pub(super) fn run(asked: &CaptionArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let session = Session::open(&asked.place.journal)?;
    let read = session.journal();
    let Some(build) = read.build(&asked.build) else {
        let near = did_you_mean(&asked.build, read.builds.iter().map(|build| build.slug.as_str()));
        bail!("there is no build `{}` in {}{near}", asked.build, asked.place.journal.display());
    };
    let prices = if asked.prices { Prices::Told } else { Prices::Private };
    let caption = Lines::of(read, session.ledger(), build, prices);
    let told = match asked.length {
        None => caption.text(),
        Some(most) => match caption.within(most) {
            Some(text) => text,
            None => bail!("the title alone is longer than {most} characters: allow more with --length"),
        },
    };
    writeln!(streams.out, "{told}")?;
    for problem in &read.problems {
        write!(streams.err, "{}", text::problem(problem))?;
    }
    Ok(if has_errors(&read.problems) { Exit::Problems } else { Exit::Good })
}
