//! The child process that makes a theme's pages: what it is asked comes in by standard input.

use clap::Args;

use crate::pages::theme;

use super::Exit;

#[derive(Args, Debug)]
pub(super) struct ThemePagesArgs {
    /// Talk over standard input and output
    #[arg(long, required = true)]
    stdio: bool,
}

pub(super) fn run() -> anyhow::Result<Exit> {
    // Not the streams of the other commands, which are for text.
    theme::serve(&mut std::io::stdin().lock(), &mut std::io::stdout().lock())?;
    Ok(Exit::Good)
}
