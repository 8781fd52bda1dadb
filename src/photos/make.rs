//! One photo: from what is known, or from its bytes.

use std::fs;
use std::io;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::photos::colour::Conversion;
use crate::photos::encode::Encoder;
use crate::photos::exif::Orientation;
use crate::photos::gate::{Gate, KEEP, Share};
use crate::photos::known::{Known, Outcome, Stamp};
use crate::photos::plan::{self, Size};
use crate::photos::planes::{Decoded, Picture, Shelf};
use crate::photos::resize::{Scaler, turn};
use crate::photos::source::Opened;
use crate::photos::store::Store;
use crate::photos::{Photo, Source, placeholder};

/// What all workers share.
pub(super) struct Run<'a> {
    pub(super) store: &'a Store,
    pub(super) known: &'a Known,
    pub(super) fresh: bool,
    pub(super) gate: Gate,
}

/// What became of one source.
pub(super) struct Result {
    pub(super) outcome: Outcome,
    /// What to remember it by; `None` where it could not be read or changed meanwhile.
    pub(super) seen: Option<(Stamp, String)>,
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
    shelf: Shelf,
    scaler: Scaler,
    encoder: Encoder,
}

impl Workspace {
    pub(super) fn new(worker: usize) -> Workspace {
        Workspace { worker, ..Workspace::default() }
    }

    /// Lets go of buffers that a large photo blew up.
    fn tidy(&mut self) {
        let buffers = self.file.capacity() + self.encoded.capacity() + self.encoder.kept();
        let kept = buffers + self.scaler.kept() + self.shelf.kept();
        if kept as u64 > KEEP {
            *self = Workspace::new(self.worker);
        }
    }
}

impl Run<'_> {
    /// Derives one source.
    ///
    /// # Errors
    /// Where the store cannot be written.
    pub(super) fn derive(&self, source: &Source, work: &mut Workspace) -> anyhow::Result<Result> {
        let fault = |reason: String| Result { outcome: Err(reason), seen: None, read: false, made: false };
        let stamp = match fs::metadata(&source.path) {
            Ok(found) if found.is_file() => Stamp::of(&found),
            Ok(_) => return Ok(fault("not a file".into())),
            Err(error) => return Ok(fault(unreadable(&error))),
        };
        if !self.fresh
            && let Some(content) = self.known.content(&source.path, stamp)
            && let Some(outcome) = self.finished(content, source.share)
        {
            let seen = Some((stamp, content.to_owned()));
            return Ok(Result { outcome, seen, read: false, made: false });
        }
        let result = self.read(source, stamp, work);
        work.tidy();
        result
    }

    /// What became of `content`, if all of it is still in the store.
    fn finished(&self, content: &str, share: bool) -> Option<Outcome> {
        let mut outcome = self.known.outcome(content)?;
        if let Ok(photo) = &mut outcome {
            if share && photo.share.is_none() {
                return None;
            }
            let whole = |one: &crate::photos::Derivative| self.store.holds(&one.file, one.bytes);
            if !photo.derivatives.iter().all(whole) || photo.share.as_ref().is_some_and(|one| !whole(one)) {
                return None;
            }
        }
        Some(outcome)
    }

    fn read(&self, source: &Source, stamp: Stamp, work: &mut Workspace) -> anyhow::Result<Result> {
        let mut need = stamp.bytes();
        loop {
            let mut result = Result { outcome: Err(String::new()), seen: None, read: true, made: false };
            let Some(mut share) = self.gate.take(need) else {
                result.outcome = Err(too_large(need, self.gate.total()));
                return Ok(result);
            };
            if let Err(error) = fill(&mut work.file, source) {
                result.outcome = Err(unreadable(&error));
                return Ok(result);
            }
            let content = plan::content(&work.file);
            if fs::metadata(&source.path).is_ok_and(|found| Stamp::of(&found) == stamp) {
                result.seen = Some((stamp, content.clone()));
            }
            if !self.fresh
                && let Some(outcome) = self.finished(&content, source.share)
            {
                result.outcome = outcome;
                return Ok(result);
            }
            let file = std::mem::take(&mut work.file);
            let made = self.make(&file, &content, source.share, &mut share, work);
            work.file = file;
            match made? {
                // With another budget it may do, so this is not remembered.
                Made::Needs(bytes) if bytes > self.gate.total() => {
                    result.seen = None;
                    result.outcome = Err(too_large(bytes, self.gate.total()));
                    return Ok(result);
                }
                // Others hold what is missing. Whoever waits must hold nothing.
                Made::Needs(bytes) => {
                    need = bytes;
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
        share: &mut Share<'_>,
        work: &mut Workspace,
    ) -> anyhow::Result<Made> {
        // The decoders are careful, but a fault in one must not take the other photos with it.
        let guarded = catch_unwind(AssertUnwindSafe(|| {
            let opened = Opened::new(file)?;
            let need = file.len() as u64 + opened.need();
            if !share.grow(need) {
                return Ok(Err(need));
            }
            let decoded = opened.decode(&mut work.shelf)?;
            Ok(Ok((opened, decoded)))
        }));
        let (opened, decoded) = match guarded.unwrap_or_else(|_| Err(DAMAGED.into())) {
            Ok(Ok(both)) => both,
            Ok(Err(need)) => return Ok(Made::Needs(need)),
            Err(reason) => return Ok(Made::Fault(reason)),
        };
        let largest = work.largest(&decoded, opened.wanted(), opened.profile(), opened.orientation())?;
        work.shelf.put(decoded.layers.into_iter().map(|(plane, _)| plane));
        let photo = self.write(largest, content, opened.upright(), wants_share, work)?;
        Ok(Made::Photo(Box::new(Photo { taken: opened.taken(), ..photo })))
    }

    /// Writes every size of the photo, each made from the one before.
    fn write(
        &self,
        largest: Picture,
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
            let (part, size) = plan::share(largest.size());
            let shown = work.scaler.picture(&largest, part, size, &mut work.shelf)?;
            work.encoder.encode(&shown, &mut work.encoded);
            work.shelf.put(shown.into_planes());
            let derivative = plan::share_derivative(content, size, work.encoded.len() as u64);
            self.store.write(&derivative.file, &work.encoded, work.worker)?;
            photo.share = Some(derivative);
        }
        let mut picture = largest;
        for size in plan::sizes(upright).into_iter().rev() {
            if picture.size() != size {
                let whole = [0.0, 0.0, picture.luma.width as f64, picture.luma.height as f64];
                let smaller = work.scaler.picture(&picture, whole, size, &mut work.shelf)?;
                work.shelf.put(std::mem::replace(&mut picture, smaller).into_planes());
            }
            work.encoder.encode(&picture, &mut work.encoded);
            let derivative = plan::derivative(content, size, work.encoded.len() as u64);
            self.store.write(&derivative.file, &work.encoded, work.worker)?;
            photo.derivatives.push(derivative);
        }
        photo.derivatives.reverse();
        photo.placeholder = placeholder::uri(&picture, &mut work.scaler, &mut work.shelf)?;
        work.shelf.put(picture.into_planes());
        Ok(photo)
    }
}

enum Made {
    Photo(Box<Photo>),
    Fault(String),
    /// Not yet: so many bytes are needed for it.
    Needs(u64),
}

impl Workspace {
    /// The largest derivative of a decoded picture: resized as it is stored, which is when it is
    /// largest, then brought into sRGB and turned upright, when that costs least.
    fn largest(
        &mut self,
        decoded: &Decoded,
        stored: Size,
        profile: Option<&[u8]>,
        orientation: Orientation,
    ) -> anyhow::Result<Picture> {
        let conversion = Conversion::new(decoded.model, profile);
        let (wide, high) = (stored.width as usize, stored.height as usize);
        let mut planes = Vec::new();
        for (index, (layer, [width, height])) in decoded.layers.iter().enumerate() {
            let half = conversion.is_direct() && index > 0;
            let [wide, high] = if half { [wide.div_ceil(2), high.div_ceil(2)] } else { [wide, high] };
            let mut plane = self.shelf.take(wide, high);
            self.scaler.plane(layer, [0.0, 0.0, *width, *height], &mut plane, &mut self.shelf)?;
            planes.push(plane);
        }
        if !conversion.is_direct() {
            let mut picture = Picture { luma: self.shelf.take(wide, high), chroma: None };
            picture.chroma = Some([0, 1].map(|_| self.shelf.take(wide.div_ceil(2), high.div_ceil(2))));
            conversion.apply(&planes, &mut picture);
            self.shelf.put(planes.drain(..));
            planes.extend(picture.into_planes());
        }
        if orientation != Orientation::default() {
            for plane in &mut planes {
                let mut upright = self.shelf.take(plane.width, plane.height);
                turn(plane, orientation, &mut upright);
                self.shelf.put([std::mem::replace(plane, upright)]);
            }
        }
        let mut planes = planes.into_iter();
        let luma = planes.next().unwrap_or_default();
        Ok(Picture { luma, chroma: planes.next().zip(planes.next()).map(|(blue, red)| [blue, red]) })
    }
}

/// What a file is called that makes no sense to its decoder.
pub(super) const DAMAGED: &str = "the file is damaged; copy it again from the camera, or export it anew";

fn fill(buffer: &mut Vec<u8>, source: &Source) -> io::Result<()> {
    buffer.clear();
    fs::File::open(&source.path)?.read_to_end(buffer).map(|_| ())
}

fn unreadable(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".into(),
        io::ErrorKind::PermissionDenied => "the file may not be read: allow it (chmod u+r)".into(),
        _ => format!("the file cannot be read: {error}"),
    }
}

fn too_large(need: u64, total: u64) -> String {
    let megabytes = |bytes: u64| bytes.div_ceil(1 << 20);
    format!(
        "it would take {} MB to work on this picture, and {} MB are allowed: make it smaller first",
        megabytes(need),
        megabytes(total)
    )
}
