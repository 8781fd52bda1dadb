//! Derives the photos named on the command line into a store, for `photos.py` to measure.
//!
//! Usage: photos STORE CACHE|- PHOTO...; prints each derivative's source, width and file, and on
//! standard error what was read and made and what was at fault.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "what it prints is its result")]

use std::path::{Path, PathBuf};

use endshake::photos::{BUDGET, Options, Source, derive};

fn main() -> anyhow::Result<()> {
    let mut arguments =
        std::env::args_os().skip(1).filter(|argument| argument != "--bench").map(PathBuf::from);
    let (Some(store), Some(cache)) = (arguments.next(), arguments.next()) else {
        anyhow::bail!("usage: photos STORE CACHE|- PHOTO...");
    };
    let sources: Vec<Source> =
        arguments.map(|path| Source { name: path.display().to_string(), path, share: false }).collect();
    let cache = (cache != Path::new("-")).then_some(cache.as_path());
    let options = Options { store: &store, cache, fresh: false, budget: BUDGET, progress: &() };
    let derived = derive(&sources, &options)?;
    eprintln!("{} photos, {} read, {} made", sources.len(), derived.read, derived.made);
    for (source, photo) in sources.iter().zip(&derived.photos) {
        match photo {
            Ok(photo) => {
                for one in &photo.derivatives {
                    println!("{}\t{}\t{}", source.name, one.width, one.file);
                }
            }
            Err(fault) => eprintln!("{}: {}", fault.name, fault.reason),
        }
    }
    Ok(())
}
