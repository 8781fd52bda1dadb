//! Reads JPEG at the size that is wanted: baseline, extended and progressive, 8 bits, Huffman.
//!
//! A photo is wanted much smaller than it is stored. So each block of 8 x 8 is drawn in N x N
//! samples, N from 1 to 8, straight into planes that stay luma and differences to the end: half the
//! work of a full decode, a tenth of its memory, and no sample is made that would be averaged away.
//! It is strict: a file that is cut off or makes no sense is a fault, not half a picture.

use crate::photos::exif::{Exif, xmp_orientation};
use crate::photos::make::DAMAGED;
use crate::photos::plan::Size;
use crate::photos::planes::{Decoded, Model, Plane, Shelf};

use bits::Bits;
use marker::{Component, Frame, ScanHeader, Tables, segment};
use progressive::Blocks;
use scan::Drawing;

mod bits;

mod huffman;

mod inverse;

mod marker;

mod progressive;

mod scan;

/// The most scans of one picture: writers use some ten; a file made to keep a reader busy has
/// thousands.
const SCANS: usize = 200;

/// What stops a scan.
enum Broken {
    /// The file ends after this share of the scan, in per cent.
    Cut(usize),
    /// The data makes no sense after this share.
    Damaged(usize),
    Words(String),
}

impl Broken {
    fn words(self) -> String {
        match self {
            Broken::Cut(share) => {
                format!("the file is cut off after {share} % of the picture; copy it again from the camera")
            }
            Broken::Damaged(share) => format!(
                "the file is damaged after {share} % of the picture; copy it again from the camera, or export it anew"
            ),
            Broken::Words(words) => words,
        }
    }
}

/// A JPEG file whose headers are read, up to the frame's.
pub(super) struct Jpeg<'a> {
    file: &'a [u8],
    frame: Frame,
    /// What one tool's marker says about the colours; `None` without the marker.
    adobe: Option<u8>,
    jfif: bool,
    pub(super) exif: Exif,
    pub(super) profile: Option<Vec<u8>>,
}

impl<'a> Jpeg<'a> {
    /// Reads the headers of `file`.
    pub(super) fn open(file: &'a [u8]) -> Result<Jpeg<'a>, String> {
        let (mut adobe, mut jfif, mut profile) = (None, false, Vec::new());
        let (mut exif, mut xmp) = (Exif::default(), None);
        let mut at = 2;
        loop {
            let segment = segment(file, at)
                .ok_or("the file is cut off before the picture begins; copy it again from the camera")?;
            at = segment.end;
            let payload = segment.payload;
            match segment.marker {
                0xE0 => jfif |= payload.starts_with(b"JFIF\0"),
                0xE1 if payload.starts_with(b"Exif\0") => exif = exif.or(Exif::read(payload)),
                0xE1 if payload.starts_with(b"http://ns.adobe.com/xap/") => {
                    xmp = xmp.or(xmp_orientation(payload));
                }
                0xE2 => profile.extend(
                    payload.strip_prefix(b"ICC_PROFILE\0").and_then(|part| part.split_first_chunk::<2>()),
                ),
                0xEE if payload.starts_with(b"Adobe") => adobe = payload.get(11).copied(),
                0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                    let frame = Frame::read(segment.marker, payload)?;
                    // A profile comes in numbered parts, in any order.
                    profile.sort_by_key(|(number, _)| number[0]);
                    let profile: Vec<u8> = profile.into_iter().flat_map(|(_, part)| part).copied().collect();
                    let profile = Some(profile).filter(|profile| !profile.is_empty());
                    let exif = exif.or(Exif { orientation: xmp, taken: None });
                    return Ok(Jpeg { file, frame, adobe, jfif, exif, profile });
                }
                0xD9 | 0xDA => return Err(DAMAGED.into()),
                _ => {}
            }
        }
    }

    /// The size as stored.
    pub(super) fn size(&self) -> Size {
        self.frame.size
    }

    fn model(&self) -> Model {
        let ids: Vec<u8> = self.frame.components.iter().map(|one| one.id).collect();
        match (ids.len(), self.adobe) {
            (1, _) => Model::Grey,
            (3, Some(0)) => Model::Rgb,
            (3, None) if !self.jfif && ids == *b"RGB" => Model::Rgb,
            (3, _) => Model::YCbCr,
            (_, Some(2)) => Model::Ycck,
            _ => Model::Cmyk,
        }
    }

    /// The samples along a side of a component's blocks for a picture of at least `wanted` size.
    fn side(&self, place: usize, component: &Component, wanted: Size) -> usize {
        // The differences are kept at half the size in any case.
        let half = if self.model() == Model::YCbCr && place > 0 { 2.0 } else { 1.0 };
        let wanted = [wanted.width, wanted.height].map(|side| f64::from(side) / half);
        let samples = self.frame.samples(component);
        let enough = |side: &usize| {
            samples.iter().zip(wanted).all(|(samples, wanted)| samples * *side as f64 / 8.0 >= wanted)
        };
        (1..8).find(enough).unwrap_or(8)
    }

    /// The bytes that decoding for `wanted` takes.
    pub(super) fn need(&self, wanted: Size) -> u64 {
        let [across, down] = self.frame.units();
        let parts = self.frame.components.iter().enumerate().map(|(place, one)| {
            let side = self.side(place, one, wanted);
            let blocks = (across * one.across) as u64 * (down * one.down) as u64;
            let held = if self.frame.progressive { Blocks::bytes(blocks, side) } else { 0 };
            blocks * (side * side) as u64 + held
        });
        parts.sum()
    }

    /// Decodes the picture no smaller than `wanted`, where it is that large.
    pub(super) fn decode(&self, wanted: Size, shelf: &mut Shelf) -> Result<Decoded, String> {
        let [across, down] = self.frame.units();
        let components = &self.frame.components;
        let sides: Vec<usize> =
            components.iter().enumerate().map(|(place, one)| self.side(place, one, wanted)).collect();
        let drawings: Vec<Drawing> = sides.iter().map(|side| Drawing::new(*side)).collect();
        let mut planes: Vec<Plane> = components
            .iter()
            .zip(&sides)
            .map(|(one, side)| shelf.take(across * one.across * side, down * one.down * side))
            .collect();
        self.scans(&drawings, &mut planes)?;
        let model = self.model();
        if model == Model::Cmyk && self.adobe.is_some() {
            // With that marker 255 is no ink.
            planes.iter_mut().flat_map(|plane| &mut plane.pixels).for_each(|ink| *ink = 255 - *ink);
        }
        let covered = components
            .iter()
            .zip(sides)
            .map(|(one, side)| self.frame.samples(one).map(|samples| samples * side as f64 / 8.0));
        Ok(Decoded { model, layers: planes.into_iter().zip(covered).collect() })
    }

    fn scans(&self, drawings: &[Drawing], planes: &mut [Plane]) -> Result<(), String> {
        let frame = &self.frame;
        let [across, down] = frame.units();
        let mut blocks: Vec<Blocks> = Vec::new();
        if frame.progressive {
            blocks.extend(frame.components.iter().zip(drawings).map(|(one, drawing)| {
                Blocks::new(across * one.across, down * one.down, drawing.inverse.side)
            }));
        }
        let mut tables = Tables::default();
        let mut seen = vec![false; frame.components.len()];
        let (mut at, mut scans) = (2, 0);
        loop {
            let Some(segment) = segment(self.file, at) else {
                // Some writers leave out the end; what counts is that all is there.
                if !frame.progressive && seen.iter().all(|seen| *seen) {
                    break;
                }
                return Err(
                    "the file is cut off before the picture ends; copy it again from the camera".into()
                );
            };
            at = segment.end;
            match segment.marker {
                0xD9 => break,
                0xDA => {
                    let header = ScanHeader::read(frame, segment.payload).ok_or(DAMAGED)?;
                    scans += 1;
                    if scans > SCANS {
                        return Err(DAMAGED.into());
                    }
                    let mut bits = Bits::new(self.file, at);
                    let result = if frame.progressive {
                        progressive::read(frame, &header, &tables, drawings, &mut blocks, &mut bits)
                    } else {
                        scan::draw(frame, &header, &tables, drawings, planes, &mut bits)
                    };
                    result.map_err(Broken::words)?;
                    header.components.iter().for_each(|(place, ..)| seen[*place] = true);
                    at = bits.position();
                }
                _ => tables.learn(&segment).ok_or(DAMAGED)?,
            }
            if !frame.progressive && seen.iter().all(|seen| *seen) {
                break;
            }
        }
        if !seen.iter().all(|seen| *seen) {
            return Err(DAMAGED.into());
        }
        for (((blocks, drawing), plane), one) in
            blocks.iter().zip(drawings).zip(planes).zip(&frame.components)
        {
            let steps = tables.quantisers[one.quantiser].as_ref().ok_or(DAMAGED)?;
            blocks.draw(drawing, steps, plane);
        }
        Ok(())
    }
}
