//! Reads HEIC, a row of tiles at a time: phones store a photo as some fifty tiles of 512 x 512.

use heifer::color::{ColorParams, frame_to_rgba_into};
use heifer::heifer_hevc_dec::decoder::{DecodeOptions, decode_picture};
use heifer::heifer_isobmff::boxes::{ColorInfo, Property};
use heifer::heifer_isobmff::{HeifFile, ItemId};
use moxcms::ColorProfile;

use super::box_filter::BoxFilter;
use super::decoder::{Decode, Header, Opened};
use crate::photos::error::{PhotoError, Unsupported};
use crate::photos::metadata::{Exif, Orientation};
use crate::photos::pixels::image::DecodedImage;
use crate::photos::pixels::plane::PlanePool;
use crate::photos::sizes::Size;

/// A HEIC file whose header is read.
struct Heic<'a> {
    file: HeifFile<'a>,
    /// Row by row; a picture in one piece is one tile.
    tiles: Vec<ItemId>,
    across: usize,
    tile: Size,
    /// Left, top, and what is shown of the tiles put together, before it is turned.
    corner: [usize; 2],
    size: Size,
    orientation: Orientation,
    profile: Option<Vec<u8>>,
}

/// Reads the header of `file`.
pub(super) fn open(file: &[u8]) -> Opened<'_> {
    let heic = Heic::open(file)?;
    // The orientation of its EXIF says nothing: the format has its own.
    let exif = heic.file.exif(heic.file.primary_id).ok().flatten();
    let header = Header {
        stored: heic.size,
        orientation: heic.orientation,
        taken: exif.and_then(|block| Exif::read(&block).taken),
        profile: heic.profile.clone(),
    };
    Ok((header, Box::new(heic)))
}

impl<'a> Heic<'a> {
    /// Reads the header of `bytes`.
    fn open(bytes: &'a [u8]) -> Result<Heic<'a>, PhotoError> {
        let file = HeifFile::parse(bytes).map_err(|error| damaged(&error))?;
        let id = file.primary_id;
        let kind = file.item(id).map_err(|error| damaged(&error))?.item_type.0;
        let (tiles, across, full) = match &kind {
            b"hvc1" => (vec![id], 1, None),
            b"grid" => {
                let grid = file.grid(id).map_err(|error| damaged(&error))?;
                let tiles = file.referenced_items(id, b"dimg").to_vec();
                let full = Size { width: grid.output_width, height: grid.output_height };
                if tiles.len() != usize::from(grid.rows) * usize::from(grid.columns) {
                    return Err(PhotoError::Damaged);
                }
                (tiles, usize::from(grid.columns), Some(full))
            }
            b"av01" => return Err(Unsupported::Avif.into()),
            other => return Err(Unsupported::HeicItem(String::from_utf8_lossy(other).into_owned()).into()),
        };
        let mut tile = None;
        for one in &tiles {
            let size = file.image_size(*one).ok().flatten().ok_or(PhotoError::Damaged)?;
            let plain = file.item(*one).is_ok_and(|item| item.item_type.0 == *b"hvc1");
            if !plain || tile.is_some_and(|tile| tile != size) {
                return Err(Unsupported::HeicTiles.into());
            }
            tile = Some(size);
        }
        let tile = tile.map(|(width, height)| Size { width, height }).ok_or(PhotoError::Damaged)?;
        let full = full.unwrap_or(tile);
        let mut heic = Heic {
            across,
            tile,
            corner: [0, 0],
            size: full,
            orientation: Orientation::default(),
            profile: file.icc_profile(id).ok().flatten().map(<[u8]>::to_vec),
            tiles,
            file,
        };
        heic.read_properties(id)?;
        let covered = [tile.width as usize * across, tile.height as usize * (heic.tiles.len() / across)];
        let shown = [heic.corner[0] + heic.size.width as usize, heic.corner[1] + heic.size.height as usize];
        let whole = heic.tile.pixels() > 0 && shown[0] <= covered[0] && shown[1] <= covered[1];
        if whole { Ok(heic) } else { Err(PhotoError::Damaged) }
    }

    /// What is to be done with the pixels: cut, turned, mirrored, taken as which colours.
    fn read_properties(&mut self, id: ItemId) -> Result<(), PhotoError> {
        let own = self.file.item_properties(id).map_err(|error| damaged(&error))?;
        let tile = self.file.item_properties(self.tiles[0]).map_err(|error| damaged(&error))?;
        let mut colours = None;
        for property in own {
            match *property {
                Property::CleanAperture { width, height, horiz_offset, vert_offset } => {
                    let cut = [
                        cut(self.size.width, width, horiz_offset),
                        cut(self.size.height, height, vert_offset),
                    ];
                    let [Some((left, width)), Some((top, height))] = cut else {
                        return Err(PhotoError::Damaged);
                    };
                    (self.corner, self.size) =
                        ([left, top], Size { width: width as u32, height: height as u32 });
                }
                Property::Rotation(quarters) => {
                    for _ in 0..quarters & 3 {
                        let Orientation { transpose, mirror, flip } = self.orientation;
                        self.orientation = Orientation { transpose: !transpose, mirror: flip, flip: !mirror };
                    }
                }
                Property::Mirror(true) => self.orientation.flip ^= true,
                Property::Mirror(false) => self.orientation.mirror ^= true,
                Property::Color(ColorInfo::Nclx { primaries, transfer, .. }) => {
                    colours = Some((primaries, transfer));
                }
                _ => {}
            }
        }
        for property in tile {
            if let Property::Color(ColorInfo::Nclx { primaries, transfer, .. }) = *property {
                colours = colours.or(Some((primaries, transfer)));
            }
        }
        // Code points of ITU-T H.273.
        if let Some((_, 16 | 18)) = colours {
            return Err(Unsupported::HighDynamicRange.into());
        }
        if self.profile.is_none() {
            let profile = match colours {
                Some((9, _)) => Some(ColorProfile::new_bt2020()),
                Some((12, _)) => Some(ColorProfile::new_display_p3()),
                _ => None,
            };
            self.profile = profile.and_then(|profile| profile.encode().ok());
        }
        Ok(())
    }

    fn tile(&self, id: ItemId, lines: &mut [&mut [u8]]) -> Result<(), PhotoError> {
        let stream = self.file.hevc_bitstream(id).map_err(|error| damaged(&error))?;
        // A stream may code a little more than the file says, in blocks of at most 64 x 64, and may claim
        // far more.
        let padded = |side: u32| u64::from(side.next_multiple_of(64));
        let most = padded(self.tile.width) * padded(self.tile.height);
        let options = DecodeOptions { max_pixels: most, ..DecodeOptions::default() };
        let frame = decode_picture(&stream, options).map_err(|error| damaged(&error))?;
        if frame.widths[0] < self.tile.width || frame.heights[0] < self.tile.height {
            return Err(PhotoError::Damaged);
        }
        let said = |id| {
            let properties = self.file.item_properties(id).ok()?;
            properties.into_iter().find_map(|property| match *property {
                Property::Color(ColorInfo::Nclx { matrix, full_range, .. }) => {
                    Some(ColorParams { matrix, full_range })
                }
                _ => None,
            })
        };
        let colours = said(id).unwrap_or_else(|| ColorParams::from_frame(&frame));
        frame_to_rgba_into(&frame, colours, lines, self.tile.width as usize, self.tile.height as usize);
        Ok(())
    }
}

impl Decode for Heic<'_> {
    /// A row of tiles as colours, one tile as the decoder
    /// holds it, in 16 bits a sample.
    fn memory(&self, wanted: Size) -> u64 {
        let fine = self.file.hevc_config(self.tiles[0]).ok().flatten();
        let samples = if fine.is_some_and(|config| config.chroma_format < 2) { 4 } else { 8 };
        let row = 4 * self.tile.pixels() * self.across as u64;
        row + samples * self.tile.pixels() + (4 << 20) + BoxFilter::memory(self.size, wanted)
    }

    fn decode(&self, wanted: Size, _: &mut PlanePool) -> Result<DecodedImage, PhotoError> {
        let (wide, high) = (self.tile.width as usize, self.tile.height as usize);
        let mut filter = BoxFilter::new(self.size, wanted, 4);
        let mut row = vec![0; 4 * wide * self.across * high];
        let stride = 4 * wide * self.across;
        for (tiles, top) in self.tiles.chunks(self.across).zip((0..).step_by(high)) {
            let first = self.corner[1].saturating_sub(top);
            let end = (self.corner[1] + self.size.height as usize).saturating_sub(top).min(high);
            if first >= end {
                continue;
            }
            for (tile, x) in tiles.iter().zip(0..) {
                let mut lines: Vec<&mut [u8]> =
                    row.chunks_mut(stride).filter_map(|line| line.chunks_mut(4 * wide).nth(x)).collect();
                self.tile(*tile, &mut lines)?;
            }
            for line in row.chunks(stride).take(end).skip(first) {
                let left = 4 * self.corner[0];
                filter.push(&line[left..left + 4 * self.size.width as usize]);
            }
        }
        filter.finish().ok_or(PhotoError::Damaged)
    }
}

/// Where a side of `full` length is cut, and what is left of it: its length and the distance of its
/// middle from the old one come as fractions.
fn cut(full: u32, (length, of): (u32, u32), (offset, by): (i32, u32)) -> Option<(usize, usize)> {
    if of == 0 || by == 0 {
        return None;
    }
    let length = f64::from(length) / f64::from(of);
    let first = f64::from(offset) / f64::from(by) + (f64::from(full) - length) / 2.0;
    let (first, length) = (first.round().max(0.0) as usize, length.round() as usize);
    (length > 0 && first + length <= full as usize).then_some((first, length))
}

fn damaged(error: &dyn std::fmt::Display) -> PhotoError {
    PhotoError::DamagedHeic(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of ISO/IEC 14496-12 in its sense: offsets are from the middle.
    #[test]
    fn a_clean_aperture_is_measured_from_the_middle() {
        assert_eq!(cut(100, (80, 1), (0, 1)), Some((10, 80)));
        assert_eq!(cut(100, (80, 1), (-10, 1)), Some((0, 80)));
        assert_eq!(cut(101, (101, 1), (0, 1)), Some((0, 101)));
        assert_eq!(cut(100, (80, 0), (0, 1)), None);
        assert_eq!(cut(100, (120, 1), (0, 1)), None);
    }
}
