//! `fit`: runs the checks and prints the findings.

use std::path::{Path, PathBuf};

use anyhow::bail;
use clap::{Args, ValueEnum};

use crate::fit::solve::{allowed, field, names};
use crate::problem::{did_you_mean, has_errors};
use crate::report::text::{self, Detail};
use crate::report::{FitOutput, json, sarif};

use super::journal::{Checked, check, name};
use super::{Exit, Streams, Where};

#[derive(Args, Debug)]
pub(super) struct FitArgs {
    /// The builds to check, by folder; all of them if none is named
    builds: Vec<String>,
    #[command(flatten)]
    place: Where,
    /// How to print the findings
    #[arg(long, value_enum, default_value = "text")]
    format: FitFormat,
    /// Let tight and unmeasured findings count as well
    #[arg(long)]
    strict: bool,
    /// Print instead where this dimension (dial.diameter) may lie for every check to be clear
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
    let checked = check(&root)?;
    for slug in &asked {
        if checked.journal.build(slug).is_none() {
            let near = did_you_mean(slug, checked.journal.builds.iter().map(|build| build.slug.as_str()));
            bail!("there is no build `{slug}` in {}{near}", root.display());
        }
    }
    if let Some(dimension) = &fit.solve {
        return solve(&checked, &asked, dimension, streams);
    }
    let shown = name(&root);
    let Checked { journal, ledger, reports, problems, .. } = &checked;
    let builds = journal.builds.iter().zip(reports);
    let builds = builds.filter(|(build, _)| asked.is_empty() || asked.contains(&build.slug)).collect();
    let told = FitOutput { name: &shown, journal, ledger, builds, problems };
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
fn solve(checked: &Checked, asked: &[String], name: &str, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    if field(name).is_none() {
        let known: Vec<String> =
            checked.journal.builds.iter().flat_map(|build| names(&checked.assembly(build))).collect();
        bail!("there is no dimension `{name}`{}", did_you_mean(name, known.iter().map(String::as_str)));
    }
    let builds = checked.journal.builds.iter().zip(&checked.reports);
    for (build, report) in builds.filter(|(build, _)| asked.is_empty() || asked.contains(&build.slug)) {
        let watch = checked.assembly(build);
        let allowed = allowed(&watch, &report.findings, name);
        write!(streams.out, "{}", text::allowed(build, &allowed))?;
    }
    Ok(if has_errors(&checked.problems) { Exit::Problems } else { Exit::Good })
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
