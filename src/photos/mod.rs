//! Photos into derivatives: upright, in sRGB, without metadata, made once and kept.
//!
//! Journals are unknown here. The input is a list of `Source` files, the output one `Photo` or `Fault`
//! for each, in the same order; the derivatives are in the store.
//!
//! **A derivative is a pure function** of the source's bytes and of the recipe (`names::RECIPE`), and
//! is named by the hash of both. So an existing name is a finished result of any earlier run; results
//! do not depend on the number of cores; and the site shows nothing of the source's own name, place
//! or date. A file is written beside its target and renamed, so that a run
//! that is killed leaves no half picture. Only unfinished files are deleted here: the site writer,
//! which has the manifest, finds in `Derived::files` what is in use.
//!
//! **An unchanged source is not read.** What is known of it is in the person's cache folder
//! (`source_cache`), under its path, size and times, or under its content where one of these differs.
//! Losing the cache only costs time, and so does a damaged one; `cache_bounds` deletes old ones.
//!
//! **The memory is a budget.** Every worker reserves what its photo will need (`memory_budget`), worked
//! out from the file's header before a pixel is decoded, and waits until others have given enough back.
//! A photo that needs more than the whole budget is a fault.
//!
//! The way of a photo through the rooms (`pipeline`): `decode` finds the format and gives planes little
//! larger than the largest derivative needs, `metadata` reads orientation and date, `pixels` makes each
//! size from the one before, turns a profile's colours into sRGB and the picture upright, `encode`
//! writes JPEG with nothing but pixels in it, `derivative_store` puts it in its place.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

mod error;

mod photo;

mod sizes;

mod names;

mod memory_budget;

mod derivative_store;

mod cache_bounds;

mod source_cache;

mod metadata;

mod jpeg_zigzag;

mod pixels;

mod decode;

mod encode;

mod pipeline;

pub use derivative_store::is_unfinished;
pub use error::{PhotoError, Unsupported};
pub use photo::{Derivative, Fault, Photo, Source};
pub use sizes::WIDTHS;

use derivative_store::DerivativeStore;
use memory_budget::MemoryBudget;
use pipeline::{Derivation, Pipeline, Workspace};
use source_cache::SourceCache;

/// A budget that suits a machine with 1 GB to spare for nothing but photos, bytes.
pub const BUDGET: u64 = 256 << 20;

/// Where results go and what a run may use.
pub struct Options<'a> {
    /// The folder of derivatives inside the site; made if it is missing.
    pub store: &'a Path,
    /// The file in the person's cache for what is known of sources by size and time; `None` keeps
    /// nothing. Its folder is made if it is missing, and beside it the caches of other stores (files of
    /// the same extension) are deleted where there are too many or they are too old. Where it cannot be
    /// written that only costs time.
    pub cache: Option<&'a Path>,
    /// Make everything again, whatever is known.
    pub fresh: bool,
    /// The most bytes that files and pixels in flight may take, over all cores.
    pub budget: u64,
    /// Called as photos are done.
    pub progress: &'a dyn Progress,
}

/// How far a run is; printing is the caller's.
pub trait Progress: Sync {
    /// `done` of `total` photos are finished; of these, `made` had to be decoded. Called from
    /// several threads, `done` not always in order.
    fn photos(&self, done: usize, total: usize, made: usize);
}

/// Shows nothing.
impl Progress for () {
    fn photos(&self, _: usize, _: usize, _: usize) {}
}

/// What became of the sources.
#[derive(Debug)]
pub struct Derived {
    /// One result a source, in the order of the sources.
    pub photos: Vec<Result<Photo, Fault>>,
    /// The names in the store that these photos use, sorted; all other derivatives there are stale.
    pub files: Vec<String>,
    /// How many sources were read.
    pub read: usize,
    /// How many sources were decoded.
    pub made: usize,
}

/// Derives all sources on all cores.
///
/// # Errors
/// Only for the machine's faults: a store that cannot be written. A faulty source is a [`Fault`].
pub fn derive(sources: &[Source], options: &Options<'_>) -> anyhow::Result<Derived> {
    let cores = thread::available_parallelism().map_or(1, usize::from);
    derive_on(cores, sources, options)
}

fn derive_on(cores: usize, sources: &[Source], options: &Options<'_>) -> anyhow::Result<Derived> {
    let store = DerivativeStore::open(options.store)?;
    let cache = SourceCache::read(options.cache);
    let workers = cores.clamp(1, sources.len().max(1));
    let pipeline = Pipeline {
        store: &store,
        cache: &cache,
        fresh: options.fresh,
        budget: MemoryBudget::new(options.budget, workers),
    };
    let (next, done, made) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    let work = |worker: usize| {
        let mut workspace = Workspace::new(worker);
        let mut results = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(source) = sources.get(index) else { return Ok(results) };
            let result = match pipeline.derive(source, &mut workspace) {
                Ok(result) => result,
                Err(error) => {
                    next.store(sources.len(), Ordering::Relaxed);
                    return Err(error);
                }
            };
            let made = made.fetch_add(usize::from(result.made), Ordering::Relaxed) + usize::from(result.made);
            options.progress.photos(done.fetch_add(1, Ordering::Relaxed) + 1, sources.len(), made);
            results.push((index, result));
        }
    };
    let mut results = thread::scope(|scope| {
        let threads: Vec<_> = (0..workers).map(|worker| scope.spawn(move || work(worker))).collect();
        let mut all = Vec::with_capacity(sources.len());
        for thread in threads {
            let part = thread.join().map_err(|_| anyhow::anyhow!("a photo worker stopped"));
            all.extend(part??);
        }
        anyhow::Ok(all)
    })?;
    results.sort_unstable_by_key(|(index, _)| *index);
    let results: Vec<Derivation> = results.into_iter().map(|(_, result)| result).collect();
    let seen = sources.iter().zip(&results);
    cache.write(seen.filter_map(|(source, result)| {
        Some((source.path.as_path(), result.seen.as_ref()?, &result.outcome))
    }));
    Ok(gather(sources, results))
}

fn gather(sources: &[Source], results: Vec<Derivation>) -> Derived {
    let read = results.iter().filter(|result| result.read).count();
    let made = results.iter().filter(|result| result.made).count();
    let mut files = BTreeSet::new();
    let photos = sources
        .iter()
        .zip(results)
        .map(|(source, result)| match result.outcome {
            Ok(mut photo) => {
                // One that was made for an earlier run, or for the same photo elsewhere.
                if !source.share {
                    photo.share = None;
                }
                files.extend(photo.derivatives.iter().chain(&photo.share).map(|one| one.file.clone()));
                Ok(photo)
            }
            Err(reason) => Err(Fault { name: source.name.clone(), reason }),
        })
        .collect();
    Derived { photos, files: files.into_iter().collect(), read, made }
}
