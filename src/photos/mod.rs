//! Photos into derivatives: upright, in sRGB, without metadata, made once and kept.
//!
//! The room knows nothing of journals. A list of `Source` files goes in, and for each of them, in
//! the same order, a `Photo` or a `Fault` comes out; the derivatives lie in the store.
//!
//! **A derivative is a pure function** of the source's bytes and of the recipe (`plan::RECIPE`), and
//! is named by the hash of both. So an existing name is a finished result, whoever made it and
//! whenever; results do not depend on the number of cores; and nothing of the source's own name,
//! place or date shows in the site. A file is written beside its target and renamed, so that a run
//! that is killed leaves no half picture. The room deletes nothing but its own unfinished files: the
//! site writer, which holds the manifest, is told by `Derived::files` what is in use.
//!
//! **An unchanged source is not read.** What is known of it lies in the person's cache folder
//! (`known`), found by its path, size and times, and by its content where one of these differs.
//! A cache that is lost, foreign or damaged only costs time.
//!
//! **The memory is a budget.** Every worker asks a `gate` for what its photo will need, worked out
//! from the file's header before a pixel is decoded, and waits until others have given enough back.
//! A photo that needs more than the whole budget is a fault.
//!
//! The way of a photo, by module: `source` tells the format by the first bytes, `exif` finds
//! orientation and date, the decoders (`jpeg`, `png`, `heic`, `raster`) give `planes` little larger than
//! the largest derivative needs, `resize` makes each size from the one before, `colour` turns a profile's colours into sRGB,
//! `encode` writes JPEG with nothing but pixels in it, `store` puts it in its place.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use jiff::civil::DateTime;

use known::Known;

mod plan;

mod source;

mod exif;

mod planes;

mod jpeg;

mod png;

mod heic;

mod raster;

mod resize;

mod colour;

mod encode;

mod placeholder;

mod gate;

mod known;

mod store;

mod make;

pub use plan::WIDTHS;
pub use store::is_unfinished;

/// A budget that suits a machine with 1 GB to spare for nothing but photos, bytes.
pub const BUDGET: u64 = 256 << 20;

/// A photo as the person keeps it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// The name that a person knows it by, for faults: relative to the journal.
    pub name: String,
    /// Where the file lies.
    pub path: PathBuf,
    /// Whether a picture for link previews is wanted of it.
    pub share: bool,
}

/// Where results go and what a run may use.
pub struct Options<'a> {
    /// The folder of derivatives inside the site; made if it is missing.
    pub store: &'a Path,
    /// The file in the person's cache for what is known of sources by size and time; `None` keeps
    /// nothing. Its folder is made if it is missing; where it cannot be written that only costs time.
    pub known: Option<&'a Path>,
    /// Make everything again, whatever is known.
    pub fresh: bool,
    /// The most bytes that files and pixels in flight may take, over all cores.
    pub budget: u64,
    /// Told as photos are done.
    pub progress: &'a dyn Progress,
}

/// Told how far a run is; printing is the caller's.
pub trait Progress: Sync {
    /// `done` of `total` photos are looked at; of these, `made` had to be decoded. Called from
    /// several threads, `done` not always in order.
    fn photos(&self, done: usize, total: usize, made: usize);
}

/// No one is told.
impl Progress for () {
    fn photos(&self, _: usize, _: usize, _: usize) {}
}

/// What the pages need of a photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Photo {
    /// The source's width, upright, in pixels; with the height the aspect ratio of all derivatives.
    pub width: u32,
    /// The source's height, upright, in pixels.
    pub height: u32,
    /// When it was taken by the camera's clock; `None` where the file does not say.
    pub taken: Option<DateTime>,
    /// The same picture in several widths, narrowest first; at least one, none wider than the source.
    pub derivatives: Vec<Derivative>,
    /// A picture for link previews, where one was wanted.
    pub share: Option<Derivative>,
    /// A data: URI of a picture of a few pixels in the photo's colours, to be shown until it is there.
    pub placeholder: String,
}

/// A file in the store.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Derivative {
    /// The file's name in the store.
    pub file: String,
    /// In pixels.
    pub width: u32,
    /// In pixels.
    pub height: u32,
    /// The file's length.
    pub bytes: u64,
    /// What the file holds.
    pub format: Format,
}

/// A derivative's format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Baseline JPEG.
    Jpeg,
}

impl Format {
    /// The media type, for a page's `type` attribute.
    pub fn mime(self) -> &'static str {
        match self {
            Format::Jpeg => "image/jpeg",
        }
    }
}

/// A source that gave no photo.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The source's name.
    pub name: String,
    /// What is wrong and what to do, in the person's words.
    pub reason: String,
}

/// What became of the sources.
#[derive(Debug)]
pub struct Derived {
    /// One result a source, in the order of the sources.
    pub photos: Vec<Result<Photo, Fault>>,
    /// The names in the store that these photos use, sorted; whatever else of ours lies there is stale.
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
    let store = store::Store::open(options.store)?;
    let known = Known::read(options.known);
    let workers = cores.clamp(1, sources.len().max(1));
    let run = make::Run {
        store: &store,
        known: &known,
        fresh: options.fresh,
        gate: gate::Gate::new(options.budget, workers),
    };
    let (next, done, made) = (AtomicUsize::new(0), AtomicUsize::new(0), AtomicUsize::new(0));
    let work = |worker: usize| {
        let mut bench = make::Workspace::new(worker);
        let mut results = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(source) = sources.get(index) else { return Ok(results) };
            let result = match run.derive(source, &mut bench) {
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
    let results: Vec<make::Result> = results.into_iter().map(|(_, result)| result).collect();
    if options.known.is_some() {
        known.write(sources, &results);
    }
    Ok(gather(sources, results))
}

fn gather(sources: &[Source], results: Vec<make::Result>) -> Derived {
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
