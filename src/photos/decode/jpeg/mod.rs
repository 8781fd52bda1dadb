//! Reads JPEG at the size that is wanted: baseline, extended and progressive, 8 bits, Huffman.
//!
//! A photo is wanted much smaller than it is stored. So each block of 8 x 8 is drawn in N x N
//! samples, N from 1 to 8, straight into planes that stay luma and differences to the end: half the
//! work of a full decode, a tenth of its memory, and no sample is made that would be averaged away.
//! It is strict: a file that is cut off or contradicts itself is a fault, not half a picture.

mod bit_reader;

mod huffman;

mod inverse_dct;

mod segments;

mod component_output;

mod scan;

mod sequential;

mod progressive;

use crate::photos::error::PhotoError;
use crate::photos::metadata::{Exif, Orientation, xmp_orientation};
use crate::photos::pixels::image::{ColourModel, DecodedImage};
use crate::photos::pixels::plane::{Plane, PlanePool};
use crate::photos::sizes::Size;

use super::decoder::{Decode, Header, Opened};
use bit_reader::BitReader;
use component_output::ComponentOutput;
use progressive::CoefficientBuffer;
use segments::{Component, Frame, ScanHeader, Tables, segment};

/// The most scans of one picture: writers use some ten; a file made to keep a reader busy has
/// thousands.
const SCANS: usize = 200;

/// A JPEG file whose headers are read, up to the frame's.
struct Jpeg<'a> {
    file: &'a [u8],
    frame: Frame,
    /// The colour transform of the Adobe marker; `None` without the marker.
    adobe: Option<u8>,
    jfif: bool,
}

/// Reads the headers of `file`, up to the frame's.
pub(super) fn open(file: &[u8]) -> Opened<'_> {
    let (mut adobe, mut jfif, mut profile) = (None, false, Vec::new());
    let (mut exif, mut xmp) = (Exif::default(), None);
    let mut at = 2;
    loop {
        let segment = segment(file, at).ok_or(PhotoError::CutOffBeforePicture)?;
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
                let exif = exif.or(Exif { orientation: xmp, taken: None });
                let header = Header {
                    stored: frame.size,
                    orientation: Orientation::of(exif.orientation.unwrap_or(1)),
                    taken: exif.taken,
                    profile: Some(profile).filter(|profile| !profile.is_empty()),
                };
                return Ok((header, Box::new(Jpeg { file, frame, adobe, jfif })));
            }
            0xD9 | 0xDA => return Err(PhotoError::Damaged),
            _ => {}
        }
    }
}

impl Jpeg<'_> {
    fn model(&self) -> ColourModel {
        let ids: Vec<u8> = self.frame.components.iter().map(|one| one.id).collect();
        match (ids.len(), self.adobe) {
            (1, _) => ColourModel::Grey,
            (3, Some(0)) => ColourModel::Rgb,
            (3, None) if !self.jfif && ids == *b"RGB" => ColourModel::Rgb,
            (3, _) => ColourModel::YCbCr,
            (_, Some(2)) => ColourModel::Ycck,
            _ => ColourModel::Cmyk,
        }
    }

    /// The samples along a side of a component's blocks for a picture of at least `wanted` size.
    fn side(&self, place: usize, component: &Component, wanted: Size) -> usize {
        // The differences are kept at half the size in any case.
        let half = if self.model() == ColourModel::YCbCr && place > 0 { 2.0 } else { 1.0 };
        let wanted = [wanted.width, wanted.height].map(|side| f64::from(side) / half);
        let samples = self.frame.samples(component);
        let enough = |side: &usize| {
            samples.iter().zip(wanted).all(|(samples, wanted)| samples * *side as f64 / 8.0 >= wanted)
        };
        (1..8).find(enough).unwrap_or(8)
    }

    fn scans(&self, outputs: &[ComponentOutput], planes: &mut [Plane]) -> Result<(), PhotoError> {
        let frame = &self.frame;
        let [across, down] = frame.mcus();
        let mut blocks: Vec<CoefficientBuffer> = Vec::new();
        if frame.progressive {
            blocks.extend(frame.components.iter().zip(outputs).map(|(one, output)| {
                CoefficientBuffer::new(across * one.across, down * one.down, output.inverse.side)
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
                return Err(PhotoError::CutOffBetweenScans);
            };
            at = segment.end;
            match segment.marker {
                0xD9 => break,
                0xDA => {
                    let header = ScanHeader::read(frame, segment.payload).ok_or(PhotoError::Damaged)?;
                    scans += 1;
                    if scans > SCANS {
                        return Err(PhotoError::Damaged);
                    }
                    let mut bits = BitReader::new(self.file, at);
                    if frame.progressive {
                        progressive::decode(frame, &header, &tables, outputs, &mut blocks, &mut bits)?;
                    } else {
                        sequential::decode(frame, &header, &tables, outputs, planes, &mut bits)?;
                    }
                    header.components.iter().for_each(|(place, ..)| seen[*place] = true);
                    at = bits.position();
                }
                _ => tables.read(&segment).ok_or(PhotoError::Damaged)?,
            }
            if !frame.progressive && seen.iter().all(|seen| *seen) {
                break;
            }
        }
        if !seen.iter().all(|seen| *seen) {
            return Err(PhotoError::Damaged);
        }
        for (((blocks, output), plane), one) in blocks.iter().zip(outputs).zip(planes).zip(&frame.components)
        {
            let steps = tables.quantisers[one.quantiser].as_ref().ok_or(PhotoError::Damaged)?;
            blocks.render(output, steps, plane);
        }
        Ok(())
    }
}

impl Decode for Jpeg<'_> {
    fn memory(&self, wanted: Size) -> u64 {
        let [across, down] = self.frame.mcus();
        let parts = self.frame.components.iter().enumerate().map(|(place, one)| {
            let side = self.side(place, one, wanted);
            let blocks = (across * one.across) as u64 * (down * one.down) as u64;
            let held = if self.frame.progressive { CoefficientBuffer::bytes(blocks, side) } else { 0 };
            blocks * (side * side) as u64 + held
        });
        parts.sum()
    }

    fn decode(&self, wanted: Size, pool: &mut PlanePool) -> Result<DecodedImage, PhotoError> {
        let [across, down] = self.frame.mcus();
        let components = &self.frame.components;
        let sides: Vec<usize> =
            components.iter().enumerate().map(|(place, one)| self.side(place, one, wanted)).collect();
        let outputs: Vec<ComponentOutput> = sides.iter().map(|side| ComponentOutput::new(*side)).collect();
        let mut planes: Vec<Plane> = components
            .iter()
            .zip(&sides)
            .map(|(one, side)| pool.take(across * one.across * side, down * one.down * side))
            .collect();
        self.scans(&outputs, &mut planes)?;
        let model = self.model();
        if model == ColourModel::Cmyk && self.adobe.is_some() {
            // With that marker 255 is no ink.
            planes.iter_mut().flat_map(|plane| &mut plane.pixels).for_each(|ink| *ink = 255 - *ink);
        }
        let covered = components
            .iter()
            .zip(sides)
            .map(|(one, side)| self.frame.samples(one).map(|samples| samples * side as f64 / 8.0));
        Ok(DecodedImage { model, layers: planes.into_iter().zip(covered).collect() })
    }
}
