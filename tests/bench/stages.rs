//! Where the time goes over a journal, stage by stage, beside what serde-saphyr alone takes to read
//! the same YAML into values with their places.
//!
//! Usage: stages JOURNAL [RUNS]; prints a line a stage: the median of the runs, in milliseconds of
//! the wall and of all processors (counted in hundredths of a second), and at the end `fit` against the bare parser, each run paired with its own.

#![allow(clippy::print_stdout, reason = "what it prints is its result")]
#![allow(clippy::disallowed_methods, reason = "it measures time")]

use std::hint::black_box;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use endshake::audit::{Audit, AuditScope};
use endshake::fit::inspect;
use endshake::fit::standards::Standards;
use endshake::journal::{self, folder, front_matter, yaml};
use endshake::ledger::Ledger;
use endshake::report::{self, FitOutput, text::Detail};
use endshake::text::Files;
use rayon::prelude::*;

fn main() -> anyhow::Result<()> {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    let Some(journal) = arguments.next().map(PathBuf::from) else {
        anyhow::bail!("usage: stages JOURNAL [RUNS]");
    };
    let runs: usize = arguments.next().map_or(Ok(5), |runs| runs.parse())?;
    let mut stages: Vec<(&str, Vec<(Duration, Duration)>)> = Vec::new();
    let mut ratios = Vec::new();
    for _ in 0..runs {
        let mut clock = Clock { last: Instant::now(), worked: worked(), stages: &mut stages };
        let read = folder::read(&journal)?;
        clock.lap("read the folder");
        let texts: Vec<String> = read.texts.iter().map(|(path, text)| yaml_of(path, text)).collect();
        clock.lap("(cut the YAML out)");
        texts.par_iter().for_each(|text| drop(black_box(yaml::parsed(text))));
        let parser = clock.lap("serde-saphyr alone, into spans");
        let journal = journal::read(read);
        let reading = clock.lap("journal::read");
        let ledger = Ledger::of(&journal);
        let replaying = clock.lap("the ledger");
        let standards = Arc::new(Standards::of(&journal).0);
        let reports = inspect::all(&journal, &ledger, &standards);
        let checking = clock.lap("the checks");
        black_box(inspect::problems(&journal, &ledger, &reports));
        let rest = clock.lap("what else is wrong");
        let builds = journal.builds.iter().zip(&reports).collect();
        let told =
            FitOutput { name: "", journal: &journal, ledger: &ledger, builds, problems: &journal.problems };
        black_box(report::text::builds(&told, Detail::Usual));
        let telling = clock.lap("the findings as text");
        let audit = Audit::of(&journal, &ledger, &reports, &AuditScope::default());
        black_box(report::audit::text(&audit));
        clock.lap("the audit");
        let fit = reading + replaying + checking + rest + telling;
        ratios.push(fit.as_secs_f64() / parser.as_secs_f64());
    }
    for (name, times) in stages {
        let median = |mut of: Vec<Duration>| {
            of.sort();
            of[of.len() / 2].as_secs_f64() * 1e3
        };
        let (wall, worked): (Vec<Duration>, Vec<Duration>) = times.into_iter().unzip();
        println!("{:>9.1} ms {:>9.1} ms of processors  {name}", median(wall), median(worked));
    }
    ratios.sort_by(f64::total_cmp);
    println!("fit takes {:.2} times what the parser takes", ratios[ratios.len() / 2]);
    Ok(())
}

struct Clock<'a> {
    last: Instant,
    worked: Duration,
    /// By name: of the wall, of all processors.
    stages: &'a mut Vec<(&'static str, Vec<(Duration, Duration)>)>,
}

impl Clock<'_> {
    fn lap(&mut self, name: &'static str) -> Duration {
        let took = self.last.elapsed();
        let both = (took, worked().saturating_sub(self.worked));
        match self.stages.iter_mut().find(|(known, _)| *known == name) {
            Some((_, times)) => times.push(both),
            None => self.stages.push((name, vec![both])),
        }
        (self.last, self.worked) = (Instant::now(), worked());
        took
    }
}

/// What all threads of this process have worked so far, which a busy machine does not make longer;
/// nothing where the system does not say it as Linux does.
fn worked() -> Duration {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace();
    // Own and the system's time, in ticks of a hundredth of a second.
    Duration::from_millis(
        10 * fields.skip(11).take(2).filter_map(|ticks| ticks.parse::<u64>().ok()).sum::<u64>(),
    )
}

/// What of a file is YAML: all of it, or its front matter.
fn yaml_of(path: &str, text: &str) -> String {
    if !path.ends_with(".md") {
        return text.to_owned();
    }
    let mut files = Files::default();
    let file = files.add(path, text);
    let (parts, _) = front_matter::split(&files, file);
    parts.yaml.map(|span| files.cut(span).to_owned()).unwrap_or_default()
}
