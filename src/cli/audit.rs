//! `audit`: where each part is and was, what it cost, what is still to be measured.

use std::path::PathBuf;

use anyhow::bail;
use clap::Args;
use jiff::civil::Date;

use crate::audit::{self, AuditScope};
use crate::journal::Kind;
use crate::journal::fields::KINDS;
use crate::problem::{did_you_mean, has_errors};
use crate::report;
use crate::session::Session;

use super::journal::name;
use super::{Exit, Format, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct AuditArgs {
    /// The journal's folder, the same as --journal
    #[arg(value_name = "JOURNAL")]
    folder: Option<PathBuf>,
    #[command(flatten)]
    place: Where,
    /// Only parts of this kind; repeatable
    #[arg(long, value_name = "KIND")]
    kind: Vec<String>,
    /// As it was at the end of this day, such as 2026-01-17
    #[arg(long, value_name = "DATE")]
    on: Option<Date>,
    /// Output format
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

pub(super) fn run(asked: &AuditArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let mut scope = AuditScope { on: asked.on, ..AuditScope::default() };
    for kind in &asked.kind {
        let name = kind.trim().replace([' ', '-'], "_");
        if Kind::of(&name).is_none() {
            let known = KINDS.iter().map(|kind| kind.name);
            let near = did_you_mean(&name, known.clone());
            let near = if near.is_empty() {
                format!(": it is one of {}", known.collect::<Vec<_>>().join(", "))
            } else {
                near
            };
            bail!("`{name}` is not a kind of part{near}");
        }
        scope.kinds.insert(name);
    }
    let root = asked.folder.as_ref().unwrap_or(&asked.place.journal);
    let session = Session::open(root)?;
    let problems = session.problems();
    let audit = audit::Audit::of(
        session.journal(),
        session.ledger(),
        session.reports().all().into_iter().map(|report| &**report),
        &scope,
    );
    match asked.format {
        Format::Text => write!(streams.out, "{}", report::audit::text(&audit))?,
        Format::Json => {
            let told = report::audit::json(&audit, &name(root), &problems);
            serde_json::to_writer_pretty(&mut *streams.out, &told)?;
            writeln!(streams.out)?;
        }
    }
    for problem in &problems {
        write!(streams.err, "{}", report::text::problem(problem))?;
    }
    Ok(if has_errors(&problems) { Exit::Problems } else { Exit::Good })
}
