//! What nobody does on purpose: input changed at random, journals that nobody means well with, runs
//! killed at any moment, other programs at the bench's door. A binary of its own, because it takes its time.

#![allow(clippy::unwrap_used, reason = "where a test finds nothing it must fail at that line")]

#[path = "../common/dice.rs"]
#[allow(dead_code, reason = "the other binary of tests uses the rest")]
mod dice;
mod fuzz;
mod hostile;
mod kill;
#[path = "../common/markup.rs"]
#[allow(dead_code, reason = "the other binary of tests uses the rest")]
mod markup;
mod server;
#[path = "../common/sites.rs"]
#[allow(dead_code, reason = "the other binary of tests uses the rest")]
mod sites;
