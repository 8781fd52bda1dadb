//! Arguments, and one file a command.

mod audit;
mod bench;
mod caption;
mod combine;
mod explain;
mod fit;
mod journal;
mod meter;
mod parts;
mod publish;
mod schema;
mod start;
mod theme_pages;
mod wanted;

use std::io::Write;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

pub use start::FILES as STARTED;

/// What the process ends with.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Exit {
    /// The work was done, and nothing speaks against it.
    Good,
    /// `fit`: something fouls and is not accepted.
    Fouls,
    /// A problem of severity error, or misuse.
    Problems,
}

impl Exit {
    /// The exit status.
    pub fn status(self) -> u8 {
        match self {
            Exit::Good => 0,
            Exit::Fouls => 1,
            Exit::Problems => 2,
        }
    }
}

/// A build journal for one-off wristwatches: checks whether the parts go together, keeps the log,
/// and writes a static site of it.
#[derive(Parser, Debug)]
#[command(name = "endshake", version, max_term_width = 100)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// Run the checks and print the findings
    Fit(fit::FitArgs),
    /// Run the checks and write the site
    Publish(publish::PublishArgs),
    /// Live preview while you write
    Bench(bench::BenchArgs),
    /// Show where each part is and was, what it cost, and what is still to be measured
    Audit(audit::AuditArgs),
    /// Print a build's parts and tools as plain text, to paste under a video or a post
    Caption(caption::CaptionArgs),
    /// Import or export parts as CSV
    Parts(parts::PartsArgs),
    /// Create a small journal to start from, with commented fields
    Start(start::StartArgs),
    /// Print JSON Schemas of the journal's files, for editors
    Schema(schema::SchemaArgs),
    /// Show what fits the empty slots of a build: sizes to look for, and parts of the bin
    Wanted(wanted::WantedArgs),
    /// Show which whole builds the free parts of the bin could make, best first
    Combine(combine::CombineArgs),
    /// Explain a check: what it computes, its formula, the advised range and its source
    Explain(explain::ExplainArgs),
    /// Make pages of a theme's own templates, as this program asks of itself
    #[command(hide = true)]
    ThemePages(theme_pages::ThemePagesArgs),
}

/// Which journal.
#[derive(Args, Clone, Debug)]
struct Where {
    /// The journal's folder
    #[arg(long, value_name = "DIR", default_value = ".")]
    journal: PathBuf,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum, Debug)]
enum Format {
    Text,
    Json,
}

/// Where a command writes: findings to `out`, progress and problems to `err`.
pub struct Streams<'a> {
    /// Standard output.
    pub out: &'a mut dyn Write,
    /// Standard error.
    pub err: &'a mut dyn Write,
}

/// Runs one command.
pub fn run(arguments: &Arguments, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    match &arguments.command {
        Command::Fit(command) => fit::run(command, streams),
        Command::Publish(command) => publish::run(command, streams),
        Command::Bench(command) => bench::run(command, streams),
        Command::Audit(command) => audit::run(command, streams),
        Command::Caption(command) => caption::run(command, streams),
        Command::Parts(command) => parts::run(command, streams),
        Command::Start(command) => start::run(command, streams),
        Command::Schema(command) => schema::run(command, streams),
        Command::Wanted(command) => wanted::run(command, streams),
        Command::Combine(command) => combine::run(command, streams),
        Command::Explain(command) => explain::run(command, streams),
        Command::ThemePages(_) => theme_pages::run(),
    }
}
