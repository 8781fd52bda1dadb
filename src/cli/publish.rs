//! `publish`: runs the checks and writes the site.

use std::path::PathBuf;

use clap::Args;

use crate::problem::Severity;
use crate::publish::{Order, publish};
use crate::report::text;

use super::meter::Meter;
use super::{Exit, Streams};

#[derive(Args, Debug)]
pub(super) struct PublishArgs {
    /// The journal's folder
    #[arg(value_name = "JOURNAL", default_value = ".")]
    journal: PathBuf,
    /// Where the site goes [default: site/ in the journal]
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Only this watch's site, to send or hand over with it
    #[arg(long, value_name = "BUILD")]
    only: Option<String>,
    /// Rebuild every photo and every page
    #[arg(long)]
    fresh: bool,
}

pub(super) fn run(told: &PublishArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let order = Order {
        journal: told.journal.clone(),
        to: told.to.clone(),
        only: told.only.clone(),
        fresh: told.fresh,
        program: None,
    };
    let meter = Meter::new();
    let published = publish(&order, &meter);
    meter.end();
    let published = published?;
    for problem in &published.problems {
        write!(streams.err, "{}", text::problem(problem))?;
    }
    let changed = match published.written.written {
        0 => "nothing had changed".to_owned(),
        1 => "1 file written".to_owned(),
        number => format!("{number} files written"),
    };
    writeln!(streams.out, "{} pages; {changed}", published.pages)?;
    for left in &published.written.left {
        writeln!(
            streams.out,
            "{left} was changed by hand and is no longer part of the site: it was left alone"
        )?;
    }
    writeln!(streams.out, "open {} in a browser", published.start.display())?;
    let failed = published.problems.iter().any(|problem| problem.severity == Severity::Error);
    Ok(if failed { Exit::Problems } else { Exit::Good })
}
