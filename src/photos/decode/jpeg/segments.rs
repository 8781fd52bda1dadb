//! The segments of a JPEG file: what comes before the pixels and between them.

use super::huffman::HuffmanTable;
use crate::photos::error::{PhotoError, Unsupported};
use crate::photos::sizes::Size;

/// A marker, its payload, and where the file continues after it.
pub(super) struct Segment<'a> {
    pub(super) marker: u8,
    pub(super) payload: &'a [u8],
    pub(super) end: usize,
}

/// The first marker at `at` or after it; `None` where the file ends before its payload does.
pub(super) fn segment(file: &[u8], mut at: usize) -> Option<Segment<'_>> {
    loop {
        at += file.get(at..)?.iter().position(|byte| *byte == 0xFF)?;
        at += file[at..].iter().position(|byte| *byte != 0xFF)?;
        let marker = file[at];
        at += 1;
        match marker {
            // Stuffing, and marks without payload that may be left over from the scan before.
            0x00 | 0x01 | 0xD0..=0xD8 => {}
            0xD9 => return Some(Segment { marker, payload: &[], end: at }),
            _ => {
                let length = usize::from(u16::from_be_bytes(*file.get(at..)?.first_chunk()?));
                let payload = file.get(at + 2..at + length.max(2))?;
                return Some(Segment { marker, payload, end: at + length.max(2) });
            }
        }
    }
}

/// A component of the frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Component {
    pub(super) id: u8,
    /// Its sampling factors: how many blocks it has in an MCU, across and down.
    pub(super) across: usize,
    pub(super) down: usize,
    /// The number of its quantisation table.
    pub(super) quantiser: usize,
}

/// The frame header.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Frame {
    pub(super) progressive: bool,
    pub(super) size: Size,
    pub(super) components: Vec<Component>,
}

impl Frame {
    /// Reads the header behind a start-of-frame `marker`.
    pub(super) fn read(marker: u8, payload: &[u8]) -> Result<Frame, PhotoError> {
        match marker {
            0xC0..=0xC2 => {}
            0xC3 => return Err(Unsupported::LosslessJpeg.into()),
            0xC9..=0xCB => return Err(Unsupported::ArithmeticJpeg.into()),
            _ => return Err(Unsupported::HierarchicalJpeg.into()),
        }
        let (head, rest) = payload.split_first_chunk::<6>().ok_or(PhotoError::Damaged)?;
        if head[0] != 8 {
            return Err(Unsupported::JpegPrecision(head[0]).into());
        }
        let (height, width) =
            (u16::from_be_bytes([head[1], head[2]]), u16::from_be_bytes([head[3], head[4]]));
        let components: Vec<Component> = rest
            .as_chunks::<3>()
            .0
            .iter()
            .take(usize::from(head[5]))
            .map(|[id, sampling, quantiser]| Component {
                id: *id,
                across: usize::from(sampling >> 4),
                down: usize::from(sampling & 15),
                quantiser: usize::from(*quantiser),
            })
            .collect();
        let sound = |one: &Component| {
            (1..=4).contains(&one.across) && (1..=4).contains(&one.down) && one.quantiser < 4
        };
        let blocks: usize = components.iter().map(|one| one.across * one.down).sum();
        if components.len() != usize::from(head[5])
            || !matches!(components.len(), 1 | 3 | 4)
            || !components.iter().all(sound)
            || (components.len() > 1 && blocks > 10)
        {
            return Err(PhotoError::Damaged);
        }
        let size = Size { width: width.into(), height: height.into() };
        Ok(Frame { progressive: marker == 0xC2, size, components })
    }

    /// The most blocks that a component has in an MCU, across and down.
    pub(super) fn largest_factors(&self) -> [usize; 2] {
        let most = |side: fn(&Component) -> usize| self.components.iter().map(side).max().unwrap_or(1);
        [most(|one| one.across), most(|one| one.down)]
    }

    /// How many MCUs the picture has, across and down.
    pub(super) fn mcus(&self) -> [usize; 2] {
        let [across, down] = self.largest_factors();
        [(self.size.width as usize).div_ceil(8 * across), (self.size.height as usize).div_ceil(8 * down)]
    }

    /// How many samples of a component the picture covers, across and down, at full size; the last
    /// one may be covered in part.
    pub(super) fn samples(&self, component: &Component) -> [f64; 2] {
        let [across, down] = self.largest_factors();
        [
            f64::from(self.size.width) * component.across as f64 / across as f64,
            f64::from(self.size.height) * component.down as f64 / down as f64,
        ]
    }

    /// How many blocks a component has where it is alone in a scan, across and down.
    pub(super) fn blocks(&self, component: &Component) -> [usize; 2] {
        let [across, down] = self.largest_factors();
        let side = |pixels: u32, own: usize, most: usize| (pixels as usize * own).div_ceil(most).div_ceil(8);
        [side(self.size.width, component.across, across), side(self.size.height, component.down, down)]
    }
}

/// The tables that a scan may name.
#[derive(Default)]
pub(super) struct Tables {
    /// The steps, in the order of the file.
    pub(super) quantisers: [Option<[i32; 64]>; 4],
    pub(super) dc: [Option<HuffmanTable>; 4],
    pub(super) ac: [Option<HuffmanTable>; 4],
    /// MCUs between restart markers; 0 for none.
    pub(super) restart: usize,
}

impl Tables {
    /// Takes up a segment that defines tables, or leaves it; `None` if it is damaged.
    pub(super) fn read(&mut self, segment: &Segment<'_>) -> Option<()> {
        let mut rest = segment.payload;
        match segment.marker {
            0xDB => {
                while let Some((kind, after)) = rest.split_first() {
                    let wide = usize::from(kind >> 4);
                    let steps = after.get(..64 << wide.min(1))?;
                    let slot = self.quantisers.get_mut(usize::from(kind & 15))?;
                    *slot = Some(std::array::from_fn(|index| match wide {
                        0 => i32::from(steps[index]),
                        _ => i32::from(u16::from_be_bytes([steps[2 * index], steps[2 * index + 1]])),
                    }));
                    rest = &after[steps.len()..];
                }
            }
            0xC4 => {
                while let Some((kind, after)) = rest.split_first() {
                    let (lengths, after) = after.split_first_chunk::<16>()?;
                    let count = lengths.iter().map(|count| usize::from(*count)).sum();
                    let table = HuffmanTable::new(lengths, after.get(..count)?)?;
                    let tables = if kind >> 4 == 0 { &mut self.dc } else { &mut self.ac };
                    *tables.get_mut(usize::from(kind & 15))? = Some(table);
                    rest = &after[count..];
                }
            }
            0xDD => self.restart = usize::from(u16::from_be_bytes(*rest.first_chunk()?)),
            _ => {}
        }
        Some(())
    }
}

/// A scan header: which coefficients of which components follow.
pub(super) struct ScanHeader {
    /// The component's place in the frame, and the numbers of its DC and AC tables.
    pub(super) components: Vec<(usize, usize, usize)>,
    /// The spectral selection: the first and the last coefficient, in the order of the file.
    pub(super) band: [usize; 2],
    /// The successive approximation: the lowest bit known before this scan; 0 for none.
    pub(super) high: u32,
    /// The lowest bit in this scan.
    pub(super) low: u32,
}

impl ScanHeader {
    /// Reads the header of a scan of `frame`; `None` if it is damaged.
    pub(super) fn read(frame: &Frame, payload: &[u8]) -> Option<ScanHeader> {
        let (count, rest) = payload.split_first()?;
        let count = usize::from(*count);
        let named = rest.get(..2 * count)?.as_chunks::<2>().0;
        let components: Option<Vec<_>> = named
            .iter()
            .map(|[id, tables]| {
                let place = frame.components.iter().position(|one| one.id == *id)?;
                Some((place, usize::from(tables >> 4), usize::from(tables & 15)))
            })
            .collect();
        let components = components?;
        let [start, end, bits] = *rest.get(2 * count..)?.first_chunk()?;
        let (band, high, low) = if frame.progressive {
            ([usize::from(start), usize::from(end)], u32::from(bits >> 4), u32::from(bits & 15))
        } else {
            ([0, 63], 0, 0)
        };
        let ordered = components.windows(2).all(|two| two[0].0 < two[1].0);
        let sound = band[0] <= band[1]
            && band[1] < 64
            && low < 14
            && (high == 0 || high == low + 1)
            && (!frame.progressive || (band[0] == 0) == (band[1] == 0))
            && (band[0] == 0 || components.len() == 1)
            && ordered
            && !components.is_empty()
            && components.iter().all(|(_, dc, ac)| *dc < 4 && *ac < 4);
        sound.then_some(ScanHeader { components, band, high, low })
    }
}
