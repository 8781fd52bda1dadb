//! `combine`: whole builds that the free parts of the bin could make.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::{Context as _, bail};
use clap::Args;

use crate::fit::assembly::Assembly;
use crate::fit::bands::range;
use crate::fit::verdict::Band;
use crate::journal::{Slot, names};
use crate::ledger::Ledger;
use crate::measure::{Origin, Quantity, parse};
use crate::pairing::combine::{Combined, HeadlineLimits, PartFilter, Query, combine};
use crate::pairing::spares::{Spare, spares};
use crate::problem::{did_you_mean, has_errors};
use crate::report::{combine as report, text};
use crate::session::Session;

use super::start::write_new;
use super::wanted::slot_of;
use super::{Exit, Format, Streams, Where, journal};

#[derive(Args, Debug)]
pub(super) struct CombineArgs {
    #[command(flatten)]
    place: Where,
    /// A part that must be in it, by id; for a hand its slot may be named: minute=leaf-long
    #[arg(long, value_name = "PART")]
    with: Vec<String>,
    /// A part to leave out, or a slot to leave empty
    #[arg(long, value_name = "PART|SLOT")]
    without: Vec<String>,
    /// Allowed case diameter: ..38 or 36..38.5
    #[arg(long, value_name = "RANGE")]
    diameter: Option<String>,
    /// Allowed thickness over all
    #[arg(long, value_name = "RANGE")]
    thickness: Option<String>,
    /// Allowed length over the lugs
    #[arg(long, value_name = "RANGE")]
    lug_to_lug: Option<String>,
    /// Target water resistance: 3 bar
    #[arg(long, value_name = "PRESSURE")]
    water: Option<String>,
    /// Allow parts to be altered
    #[arg(long)]
    altered: bool,
    /// Leave out combinations with something unmeasured
    #[arg(long)]
    measured_only: bool,
    /// Show every combination, not only the best for each case, dial and movement
    #[arg(long)]
    every: bool,
    /// How many to show, of those that go together and of those with something unmeasured
    #[arg(long, value_name = "N", default_value_t = 10)]
    most: usize,
    /// Write one of them as a new planned build with this name
    #[arg(long, value_name = "NAME")]
    start: Option<String>,
    /// Which one to write, by its number
    #[arg(long, value_name = "N", default_value_t = 1, requires = "start")]
    take: usize,
    /// Output format
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

pub(super) fn run(told: &CombineArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let session = Session::open(&told.place.journal)?;
    let problems = session.problems();
    let spares = spares(session.journal(), session.ledger());
    let mut query = told.query(&session, &spares)?;
    if told.start.is_some() {
        query.most = query.most.max(told.take);
    }
    let water = match &told.water {
        Some(water) => {
            let literal =
                parse(water, Quantity::Pressure).map_err(|fault| anyhow::anyhow!("--water: {fault}"))?;
            Some(literal.dimension(Origin::Stated, &session.journal().settings.tolerances).value)
        }
        None => None,
    };
    if spares.is_empty() {
        bail!(
            "no part is free in {}: see what is in which build with `endshake audit`",
            told.place.journal.display()
        );
    }
    let base = Assembly::empty(session.standards(), water);
    let combined = combine(&base, base.bands(), &spares, &query, &stop());
    match told.format {
        Format::Json => {
            let shown = journal::name(&told.place.journal);
            serde_json::to_writer_pretty(&mut *streams.out, &report::json(&shown, &combined, &problems))?;
            writeln!(streams.out)?;
        }
        Format::Text => write!(streams.out, "{}", report::text(&combined))?,
    }
    for problem in &problems {
        write!(streams.err, "{}", text::problem(problem))?;
    }
    if let Some(name) = &told.start {
        start(told, name, &combined, streams)?;
    }
    Ok(if has_errors(&problems) { Exit::Problems } else { Exit::Good })
}

/// A flag that Ctrl-C sets: the search then ends and tells what it found.
fn stop() -> Arc<AtomicBool> {
    let stop = Arc::new(AtomicBool::new(false));
    let seen = stop.clone();
    // Where a handler is set already, Ctrl-C does what that one does.
    let _ = ctrlc::set_handler(move || seen.store(true, Ordering::Relaxed));
    stop
}

/// Writes a combination as a new planned build.
fn start(
    told: &CombineArgs,
    name: &str,
    combined: &Combined,
    streams: &mut Streams<'_>,
) -> anyhow::Result<()> {
    if let Err(fault) = names::check(name) {
        bail!("the build's name `{name}` {fault}");
    }
    let mut all = combined.goes.iter().chain(&combined.unmeasured);
    let Some(chosen) = told.take.checked_sub(1).and_then(|at| all.nth(at)) else {
        bail!(
            "there is no combination {} to write: {} were found",
            told.take,
            combined.goes.len() + combined.unmeasured.len()
        );
    };
    let folder = told.place.journal.join("builds").join(name);
    if folder.symlink_metadata().is_ok() {
        bail!("{} already exists, and nothing is overwritten: choose another name", folder.display());
    }
    let file = folder.join("build.md");
    write_new(&file, &report::build_md(name, chosen, told.water.as_deref()))
        .with_context(|| format!("cannot start the build {name}"))?;
    writeln!(streams.err, "wrote {}", file.display())?;
    Ok(())
}

impl CombineArgs {
    fn query(&self, session: &Session, spares: &[Spare]) -> anyhow::Result<Query> {
        let mut allowed = PartFilter { altered: self.altered, ..PartFilter::default() };
        for said in &self.with {
            let (slot, id) = match said.split_once('=') {
                Some((slot, id)) => (Some(slot_of(slot)?), id),
                None => (None, said.as_str()),
            };
            let spare = spare_of(id, session, spares)?;
            if let Some(slot) = slot.filter(|slot| slot.kind() != spare.kind.name) {
                bail!("`{id}` is a {}, and {} takes a {}", spare.kind.name, slot.name(), slot.kind());
            }
            allowed.with.push((id.to_owned(), slot));
        }
        for said in &self.without {
            match Slot::of(said) {
                Some(slot) if crate::pairing::combine::NEEDED.contains(&slot) => {
                    bail!("a watch without a {} is not looked for: name a part to leave out", slot.words());
                }
                Some(slot) => allowed.open.push(slot),
                None if session.ledger().units.contains_key(said) => allowed.without.push(said.clone()),
                None => {
                    let known = session.ledger().units.keys().map(String::as_str);
                    let mut known: Vec<&str> = known.collect();
                    known.extend(Slot::ALL.iter().map(|slot| slot.name()));
                    bail!("there is no part and no slot `{said}`{}", did_you_mean(said, known));
                }
            }
        }
        Ok(Query {
            allowed,
            limits: HeadlineLimits {
                diameter: band("--diameter", self.diameter.as_deref())?,
                thickness: band("--thickness", self.thickness.as_deref())?,
                lug_to_lug: band("--lug-to-lug", self.lug_to_lug.as_deref())?,
            },
            most: self.most,
            measured_only: self.measured_only,
            every: self.every,
        })
    }
}

fn spare_of<'s>(id: &str, session: &Session, spares: &'s [Spare]) -> anyhow::Result<&'s Spare> {
    if let Some(spare) = spares.iter().find(|spare| spare.id() == id) {
        return Ok(spare);
    }
    let ledger: &Ledger = session.ledger();
    let Some(unit) = ledger.units.get(id) else {
        let near = did_you_mean(id, spares.iter().map(Spare::id));
        bail!("there is no part `{id}`{near}");
    };
    match unit.stays.iter().find(|stay| stay.to.is_none()) {
        Some(stay) => bail!("`{id}` is not free: the build {} has it", stay.build),
        None => bail!("`{id}` is not free: the log says that it left"),
    }
}

fn band(flag: &str, said: Option<&str>) -> anyhow::Result<Band> {
    match said.map(range) {
        None => Ok(Band::OPEN),
        Some(Ok(band)) => Ok(band),
        Some(Err(_)) => bail!("{flag} takes a range: ..38, 36.. or 36..38.5"),
    }
}
