//! `bench`: keeps the site up to date while the person writes.

use std::path::PathBuf;
use std::process::{Command, Stdio};

use clap::Args;

use crate::bench;
use crate::publish::Order;

use super::{Exit, Streams};

#[derive(Args, Debug)]
pub(super) struct BenchArgs {
    /// The journal's folder
    #[arg(value_name = "JOURNAL", default_value = ".")]
    journal: PathBuf,
    /// Port to serve on; the next free one if it is taken
    #[arg(long, value_name = "N", default_value_t = bench::PORT)]
    port: u16,
    /// Open the browser
    #[arg(long)]
    open: bool,
}

pub(super) fn run(told: &BenchArgs, streams: &mut Streams<'_>) -> anyhow::Result<Exit> {
    let order = Order { journal: told.journal.clone(), ..Order::default() };
    let begun = |address: &str| {
        if told.open {
            open(address);
        }
    };
    bench::run(&order, told.port, &begun, streams.out)?;
    Ok(Exit::Good)
}

/// Asks the system to show an address; where it cannot, the address stands in the terminal.
fn open(address: &str) {
    let program = if cfg!(target_os = "macos") { "open" } else { "xdg-open" };
    let mut command = Command::new(program);
    command.arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    // It may end at once or live as long as the browser: nobody waits for it.
    let _ = command.spawn();
}
