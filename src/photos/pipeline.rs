//! One photo: from what is known, or from its bytes.

use std::fs;
use std::io;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::file_stamp::FileStamp;
use crate::photos::decode::{Header, SourceImage};
use crate::photos::derivative_store::DerivativeStore;
use crate::photos::encode::{JpegEncoder, placeholder};
use crate::photos::error::PhotoError;
use crate::photos::memory_budget::{MemoryBudget, RETAINED, Reservation};
use crate::photos::metadata::Orientation;
use crate::photos::names;
use crate::photos::photo::{Derivative, Photo, Source};
use crate::photos::pixels::colour_conversion::Conversion;
use crate::photos::pixels::image::{DecodedImage, YCbCrImage};
use crate::photos::pixels::plane::PlanePool;
use crate::photos::pixels::resize::Scaler;
use crate::photos::pixels::upright::turn;
use crate::photos::sizes::{self, Size};
use crate::photos::source_cache::{Sighting, SourceCache};

/// What all workers share.
pub(super) struct Pipeline<'a> {
    pub(super) store: &'a DerivativeStore,
    pub(super) cache: &'a SourceCache,
    pub(super) fresh: bool,
    pub(super) budget: MemoryBudget,
}

/// What became of one source.
pub(super) struct Derivation {
    pub(super) outcome: Result<Photo, PhotoError>,
    /// What to remember it by; `None` where it could not be read or changed meanwhile.
    pub(super) seen: Option<Sighting>,
    /// Whether the file was read.
    pub(super) read: bool,
    /// Whether its pixels were decoded.
    pub(super) made: bool,
}

/// A worker's buffers, kept from photo to photo: making them anew costs more than resizing does.
#[derive(Default)]
pub(super) struct Workspace {
    worker: usize,
    file: Vec<u8>,
    encoded: Vec<u8>,
    pool: PlanePool,
    scaler: Scaler,
    encoder: JpegEncoder,
}

impl Workspace {
    pub(super) fn new(worker: usize) -> Workspace {
        Workspace { worker, ..Workspace::default() }
    }

    /// Lets go of buffers that a large photo blew up.
    fn tidy(&mut self) {
        let buffers = self.file.capacity() + self.encoded.capacity() + self.encoder.retained();
        let retained = buffers + self.scaler.retained() + self.pool.retained();
        if retained as u64 > RETAINED {
            *self = Workspace::new(self.worker);
        }
    }
}

impl Pipeline<'_> {
    /// Derives one source.
    ///
    /// # Errors
    /// Where the store cannot be written.
    pub(super) fn derive(&self, source: &Source, work: &mut Workspace) -> anyhow::Result<Derivation> {
        let fault = |reason| Derivation { outcome: Err(reason), seen: None, read: false, made: false };
        let found = match fs::metadata(&source.path) {
            Ok(found) if found.is_file() => found,
            Ok(_) => return Ok(fault(PhotoError::NotAFile)),
            Err(error) => return Ok(fault(unreadable(&error))),
        };
        let stamp = FileStamp::of(&found);
        if !self.fresh
            && let Some(stamp) = stamp
            && let Some(content) = self.cache.content(&source.path, stamp)
            && let Some(outcome) = self.finished(content, source.share)
        {
            let seen = Some(Sighting { stamp, content: content.to_owned() });
            return Ok(Derivation { outcome, seen, read: false, made: false });
        }
        let result = self.read(source, found.len(), stamp, work);
        work.tidy();
        result
    }

    /// What became of `content`, if all of it is still in the store.
    fn finished(&self, content: &str, share: bool) -> Option<Result<Photo, PhotoError>> {
        let mut outcome = self.cache.outcome(content)?;
        if let Ok(photo) = &mut outcome {
            if share && photo.share.is_none() {
                return None;
            }
            let whole = |one: &Derivative| self.store.holds(&one.file, one.bytes);
            if !photo.derivatives.iter().all(whole) || photo.share.as_ref().is_some_and(|one| !whole(one)) {
                return None;
            }
        }
        Some(outcome)
    }

    /// Reads the source, of `length` bytes, and derives it where its content is not known.
    fn read(
        &self,
        source: &Source,
        length: u64,
        stamp: Option<FileStamp>,
        work: &mut Workspace,
    ) -> anyhow::Result<Derivation> {
        let allowed = self.budget.total();
        let mut needed = length;
        loop {
            let unknown = Err(PhotoError::OverBudget { needed, allowed });
            let mut result = Derivation { outcome: unknown, seen: None, read: true, made: false };
            let Some(mut reservation) = self.budget.reserve(needed) else { return Ok(result) };
            if let Err(error) = fill(&mut work.file, source) {
                result.outcome = Err(unreadable(&error));
                return Ok(result);
            }
            let content = names::content(&work.file);
            let after = fs::metadata(&source.path).ok().and_then(|found| FileStamp::of(&found));
            result.seen = stamp
                .filter(|stamp| after == Some(*stamp))
                .map(|stamp| Sighting { stamp, content: content.clone() });
            if !self.fresh
                && let Some(outcome) = self.finished(&content, source.share)
            {
                result.outcome = outcome;
                return Ok(result);
            }
            let file = std::mem::take(&mut work.file);
            let made = self.make(&file, &content, source.share, &mut reservation, work);
            work.file = file;
            match made? {
                // With another budget it may do, so this is not remembered.
                Made::Needs(bytes) if bytes > allowed => {
                    result.seen = None;
                    result.outcome = Err(PhotoError::OverBudget { needed: bytes, allowed });
                    return Ok(result);
                }
                // Others hold what is missing. Whoever waits must hold nothing.
                Made::Needs(bytes) => {
                    needed = bytes;
                    work.file = Vec::new();
                }
                Made::Fault(reason) => {
                    result.outcome = Err(reason);
                    return Ok(result);
                }
                Made::Photo(photo) => {
                    result.outcome = Ok(*photo);
                    result.made = true;
                    return Ok(result);
                }
            }
        }
    }

    fn make(
        &self,
        file: &[u8],
        content: &str,
        wants_share: bool,
        reservation: &mut Reservation<'_>,
        work: &mut Workspace,
    ) -> anyhow::Result<Made> {
        // The decoders are careful, but a fault in one must not take the other photos with it.
        let guarded = catch_unwind(AssertUnwindSafe(|| {
            let image = SourceImage::open(file)?;
            let need = file.len() as u64 + image.memory();
            if !reservation.grow(need) {
                return Ok(Err(need));
            }
            let decoded = image.decode(&mut work.pool)?;
            Ok(Ok((image, decoded)))
        }));
        let (image, decoded) = match guarded.unwrap_or(Err(PhotoError::Damaged)) {
            Ok(Ok(both)) => both,
            Ok(Err(need)) => return Ok(Made::Needs(need)),
            Err(reason) => return Ok(Made::Fault(reason)),
        };
        let largest = work.largest(&decoded, image.wanted(), &image.header)?;
        work.pool.give_back(decoded.layers.into_iter().map(|(plane, _)| plane));
        let photo = self.write(largest, content, image.upright(), wants_share, work)?;
        Ok(Made::Photo(Box::new(Photo { taken: image.header.taken, ..photo })))
    }

    /// Writes every size of the photo, each made from the one before.
    fn write(
        &self,
        largest: YCbCrImage,
        content: &str,
        upright: Size,
        wants_share: bool,
        work: &mut Workspace,
    ) -> anyhow::Result<Photo> {
        let mut photo = Photo {
            width: upright.width,
            height: upright.height,
            taken: None,
            derivatives: Vec::new(),
            share: None,
            placeholder: String::new(),
        };
        if wants_share {
            let (part, size) = sizes::link_preview(largest.size());
            let shown = work.scaler.picture(&largest, part, size, &mut work.pool)?;
            work.encoder.encode(&shown, &mut work.encoded);
            work.pool.give_back(shown.into_planes());
            let derivative = names::link_preview(content, size, work.encoded.len() as u64);
            self.store.write(&derivative.file, &work.encoded, work.worker)?;
            photo.share = Some(derivative);
        }
        let mut picture = largest;
        for size in sizes::sizes(upright).into_iter().rev() {
            if picture.size() != size {
                let whole = [0.0, 0.0, picture.luma.width as f64, picture.luma.height as f64];
                let smaller = work.scaler.picture(&picture, whole, size, &mut work.pool)?;
                work.pool.give_back(std::mem::replace(&mut picture, smaller).into_planes());
            }
            work.encoder.encode(&picture, &mut work.encoded);
            let derivative = names::derivative(content, size, work.encoded.len() as u64);
            self.store.write(&derivative.file, &work.encoded, work.worker)?;
            photo.derivatives.push(derivative);
        }
        photo.derivatives.reverse();
        photo.placeholder = placeholder(&picture, &mut work.scaler, &mut work.pool)?;
        work.pool.give_back(picture.into_planes());
        Ok(photo)
    }
}

enum Made {
    Photo(Box<Photo>),
    Fault(PhotoError),
    /// Not yet: so many bytes are needed for it.
    Needs(u64),
}

impl Workspace {
    /// The largest derivative of a decoded picture: resized as it is stored, which is when it is
    /// largest, then brought into sRGB and turned upright, when that costs least.
    fn largest(
        &mut self,
        decoded: &DecodedImage,
        stored: Size,
        header: &Header,
    ) -> anyhow::Result<YCbCrImage> {
        let conversion = Conversion::new(decoded.model, header.profile.as_deref());
        let (wide, high) = (stored.width as usize, stored.height as usize);
        let mut planes = Vec::new();
        for (index, (layer, [width, height])) in decoded.layers.iter().enumerate() {
            let half = conversion.is_direct() && index > 0;
            let [wide, high] = if half { [wide.div_ceil(2), high.div_ceil(2)] } else { [wide, high] };
            let mut plane = self.pool.take(wide, high);
            self.scaler.plane(layer, [0.0, 0.0, *width, *height], &mut plane, &mut self.pool)?;
            planes.push(plane);
        }
        if !conversion.is_direct() {
            let mut picture = YCbCrImage { luma: self.pool.take(wide, high), chroma: None };
            picture.chroma = Some([0, 1].map(|_| self.pool.take(wide.div_ceil(2), high.div_ceil(2))));
            conversion.apply(&planes, &mut picture);
            self.pool.give_back(planes.drain(..));
            planes.extend(picture.into_planes());
        }
        if header.orientation != Orientation::default() {
            for plane in &mut planes {
                let mut upright = self.pool.take(plane.width, plane.height);
                turn(plane, header.orientation, &mut upright);
                self.pool.give_back([std::mem::replace(plane, upright)]);
            }
        }
        let mut planes = planes.into_iter();
        let luma = planes.next().unwrap_or_default();
        Ok(YCbCrImage { luma, chroma: planes.next().zip(planes.next()).map(|(blue, red)| [blue, red]) })
    }
}

fn fill(buffer: &mut Vec<u8>, source: &Source) -> io::Result<()> {
    buffer.clear();
    fs::File::open(&source.path)?.read_to_end(buffer).map(|_| ())
}

fn unreadable(error: &io::Error) -> PhotoError {
    match error.kind() {
        io::ErrorKind::NotFound => PhotoError::Missing,
        io::ErrorKind::PermissionDenied => PhotoError::Forbidden,
        _ => PhotoError::Io(error.to_string()),
    }
}
