//! `fit`: runs the checks and prints the findings.

use std::path::{Path, PathBuf};

use anyhow::bail;
use clap::{Args, ValueEnum};

use crate::fit::solve::{allowed, field, names};
use crate::problem::{did_you_mean, has_errors};
use crate::report::text::{self, Detail};
use crate::report::{FitOutput, json, sarif};
use crate::session::Session;

use super::journal::name;
use super::{Exit, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct FitArgs {
    /// The builds to check, by folder [default: all]
    builds: Vec<String>,
    #[command(flatten)]
    place: Where,
    /// Output format
    #[arg(long, value_enum, default_value = "text")]
    format: FitFormat,
    /// Exit with 1 on tight or unmeasured findings too
    #[arg(long)]
    strict: bool,
    /// Show the range of one dimension (dial.diameter) that clears every check
    #[arg(long, value_name = "DIMENSION")]
    solve: Option<String>,
    /// Print clear findings in full too
    #[arg(long)]
    full: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum, Debug)]
enum FitFormat {
    Text,
    Json,
    Sarif,
}

pub(super) fn run(fit: &FitArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let (root, asked) = fit.asked();
    let session = Session::open(&root)?;
    for slug in &asked {
        if session.journal().build(slug).is_none() {
            let near = did_you_mean(slug, session.journal().builds.iter().map(|build| build.slug.as_str()));
            bail!("there is no build `{slug}` in {}{near}", root.display());
        }
    }
    if let Some(dimension) = &fit.solve {
        return solve(&session, &asked, dimension, streams);
    }
    let shown = name(&root);
    let (journal, ledger) = (session.journal(), session.ledger());
    let reports = session.reports().all();
    let problems = session.problems();
    let builds = journal.builds.iter().zip(reports.into_iter().map(|report| &**report));
    let builds = builds.filter(|(build, _)| asked.is_empty() || asked.contains(&build.slug)).collect();
    let told = FitOutput { name: &shown, journal, ledger, builds, problems: &problems };
    match fit.format {
        FitFormat::Json => {
            serde_json::to_writer_pretty(&mut *streams.out, &json::told(&told))?;
            writeln!(streams.out)?;
        }
        FitFormat::Sarif => {
            serde_json::to_writer_pretty(&mut *streams.out, &sarif::told(&told))?;
            writeln!(streams.out)?;
        }
        FitFormat::Text => {
            let detail = if fit.full { Detail::Full } else { Detail::Usual };
            for (at, text) in text::builds(&told, detail).iter().enumerate() {
                if at > 0 {
                    writeln!(streams.out)?;
                }
                write!(streams.out, "{text}")?;
            }
        }
    }
    for problem in told.problems {
        write!(streams.err, "{}", text::problem(problem))?;
    }
    Ok(match (told.has_errors(), told.counts(fit.strict)) {
        (true, _) => Exit::Problems,
        (false, true) => Exit::Fouls,
        (false, false) => Exit::Good,
    })
}

/// Where a dimension may lie, a build at a time.
fn solve(session: &Session, asked: &[String], name: &str, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    if field(name).is_none() {
        let known: Vec<String> =
            session.journal().builds.iter().flat_map(|build| names(&session.assembly(build))).collect();
        bail!("there is no dimension `{name}`{}", did_you_mean(name, known.iter().map(String::as_str)));
    }
    let builds = session.journal().builds.iter().zip(session.reports().all());
    for (build, report) in builds.filter(|(build, _)| asked.is_empty() || asked.contains(&build.slug)) {
        let watch = session.assembly(build);
        let allowed = allowed(&watch, &report.findings, name);
        write!(streams.out, "{}", text::allowed(build, &allowed))?;
    }
    Ok(if has_errors(&session.problems()) { Exit::Problems } else { Exit::Good })
}

impl FitArgs {
    /// The journal's folder and the builds. `fit content-example` means that journal: a folder with
    /// a journal.yaml, named where no build of that name is.
    fn asked(&self) -> (PathBuf, Vec<String>) {
        if let [only] = &self.builds[..] {
            let here = self.place.journal.as_os_str() == ".";
            let is_build = !only.contains(['/', '\\']) && Path::new("builds").join(only).is_dir();
            if here && !is_build && Path::new(only).join("journal.yaml").is_file() {
                return (PathBuf::from(only), Vec::new());
            }
        }
        (self.place.journal.clone(), self.builds.clone())
    }
}
