//! Progressive JPEG: blocks that come in several scans, each time a few coefficients or one more bit of them.
//!
//! All blocks are kept until the last scan. Of each only those coefficients are kept that the
//! wanted size needs, and of the others one bit: whether they are zero, which decides how later
//! scans are to be read. At an eighth of the size that is 10 bytes a block in place of 128.

use super::bit_reader::BitReader;
use super::component_output::ComponentOutput;
use super::huffman::HuffmanTable;
use super::inverse_dct::{Block, DISCARDED};
use super::scan::{ScanError, for_each_block};
use super::segments::{Frame, ScanHeader, Tables};
use crate::photos::pixels::plane::Plane;

/// The blocks of one component.
pub(super) struct CoefficientBuffer {
    across: usize,
    side: usize,
    /// `side * side` a block, by rows.
    values: Vec<i16>,
    /// A bit a coefficient, in the order of the file: whether it is known not to be zero.
    nonzero: Vec<u64>,
}

impl CoefficientBuffer {
    /// Room for `across` by `down` blocks that are wanted in `side` samples.
    pub(super) fn new(across: usize, down: usize, side: usize) -> CoefficientBuffer {
        let blocks = across * down;
        CoefficientBuffer { across, side, values: vec![0; blocks * side * side], nonzero: vec![0; blocks] }
    }

    /// The bytes that so many blocks take.
    pub(super) fn bytes(blocks: u64, side: usize) -> u64 {
        blocks * (2 * side * side + 8) as u64
    }

    /// Transforms all blocks into samples of `plane`.
    pub(super) fn render(&self, output: &ComponentOutput, steps: &[i32; 64], plane: &mut Plane) {
        let area = self.side * self.side;
        let mut by_place = [0; 64];
        for (step, place) in steps.iter().zip(output.places).filter(|(_, place)| *place != DISCARDED) {
            by_place[usize::from(place)] = *step;
        }
        let mut block: Block = [0; 128];
        for (index, values) in self.values.chunks_exact(area).enumerate() {
            for ((slot, value), step) in block.iter_mut().zip(values).zip(by_place) {
                *slot = i32::from(*value) * step;
            }
            let (x, y) = (index % self.across, index / self.across);
            let stride = plane.width;
            if let Some(out) = plane.pixels.get_mut((y * stride + x) * self.side..) {
                output.inverse.apply(&block, out, stride);
            }
        }
    }
}

/// Reads a scan into the blocks of its components.
pub(super) fn decode(
    frame: &Frame,
    header: &ScanHeader,
    tables: &Tables,
    outputs: &[ComponentOutput],
    blocks: &mut [CoefficientBuffer],
    bits: &mut BitReader<'_>,
) -> Result<(), ScanError> {
    let ScanHeader { band: [start, end], high, low, .. } = *header;
    let last_dc = std::cell::Cell::new([0i32; 4]);
    // The end-of-band run: how many blocks from here on have no further bit for this band.
    let eob_run = std::cell::Cell::new(0u32);
    let begin = || {
        last_dc.set([0; 4]);
        eob_run.set(0);
    };
    if start == 0 {
        if high > 0 {
            return for_each_block(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
                let blocks = &mut blocks[header.components[index].0];
                let value = blocks.values.get_mut((y * blocks.across + x) * blocks.side * blocks.side)?;
                *value |= i16::from(bits.bit()) << low;
                Some(())
            });
        }
        let dc: Option<Vec<_>> = header.components.iter().map(|(_, dc, _)| tables.dc[*dc].as_ref()).collect();
        let dc = dc.ok_or(ScanError::NoTable)?;
        return for_each_block(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
            let mut before = last_dc.get();
            before[index] = before[index].wrapping_add(dc[index].dc_difference(bits)?);
            last_dc.set(before);
            let blocks = &mut blocks[header.components[index].0];
            let value = blocks.values.get_mut((y * blocks.across + x) * blocks.side * blocks.side)?;
            *value = (before[index] << low) as i16;
            Some(())
        });
    }
    let (place, _, ac) = header.components[0];
    let table = tables.ac[ac].as_ref().ok_or(ScanError::NoTable)?;
    let places = &outputs[place].places;
    let CoefficientBuffer { across, side, values, nonzero } = &mut blocks[place];
    let area = *side * *side;
    for_each_block(frame, header, tables.restart, bits, begin, |bits, _, x, y| {
        let index = y * *across + x;
        let mut coefficients = Coefficients {
            values: values.get_mut(index * area..)?.get_mut(..area)?,
            nonzero: nonzero.get_mut(index)?,
            places,
        };
        let left = if high == 0 {
            coefficients.first(bits, table, start, end, low, eob_run.get())
        } else {
            coefficients.refine(bits, table, start, end, low, eob_run.get())
        };
        eob_run.set(left?);
        Some(())
    })
}

struct Coefficients<'a> {
    values: &'a mut [i16],
    nonzero: &'a mut u64,
    places: &'a [u8; 256],
}

impl Coefficients<'_> {
    fn set(&mut self, at: usize, value: i16) {
        *self.nonzero |= u64::from(value != 0) << at;
        if let Some(slot) = self.values.get_mut(usize::from(self.places[at])) {
            *slot = value;
        }
    }

    /// The first scan of a band; gives how many blocks after this one have ended.
    fn first(
        &mut self,
        bits: &mut BitReader<'_>,
        table: &HuffmanTable,
        start: usize,
        end: usize,
        low: u32,
        eob_run: u32,
    ) -> Option<u32> {
        if eob_run > 0 {
            return Some(eob_run - 1);
        }
        let mut at = start;
        while at <= end {
            bits.refill();
            let symbol = table.symbol(bits)?;
            let (run, size) = (usize::from(symbol >> 4), u32::from(symbol & 15));
            if size == 0 {
                if run < 15 {
                    return Some((1 << run) + bits.take(run as u32) - 1);
                }
                at += 16;
                continue;
            }
            at += run;
            let value = bits.extended(size);
            if at > end {
                return None;
            }
            self.set(at, (value << low) as i16);
            at += 1;
        }
        Some(0)
    }

    /// One more bit of a band (annex G.1.2.3 of ITU-T T.81).
    fn refine(
        &mut self,
        bits: &mut BitReader<'_>,
        table: &HuffmanTable,
        start: usize,
        end: usize,
        low: u32,
        eob_run: u32,
    ) -> Option<u32> {
        let mut at = start;
        let mut eob_run = eob_run;
        while eob_run == 0 && at <= end {
            bits.refill();
            let symbol = table.symbol(bits)?;
            let (mut zeros, size) = (u32::from(symbol >> 4), symbol & 15);
            let value = match size {
                0 if zeros < 15 => {
                    eob_run = (1 << zeros) + bits.take(zeros);
                    break;
                }
                0 => 0,
                1 if bits.bit() => 1 << low,
                1 => -1 << low,
                _ => return None,
            };
            while at <= end {
                if *self.nonzero >> at & 1 == 1 {
                    self.correct(bits, at, low);
                } else if zeros == 0 {
                    break;
                } else {
                    zeros -= 1;
                }
                at += 1;
            }
            if value != 0 {
                if at > end {
                    return None;
                }
                self.set(at, value);
            }
            at += 1;
        }
        if eob_run == 0 {
            return Some(0);
        }
        while at <= end {
            if *self.nonzero >> at & 1 == 1 {
                self.correct(bits, at, low);
            }
            at += 1;
        }
        Some(eob_run - 1)
    }

    /// The next bit of a coefficient that is not zero moves it away from zero.
    fn correct(&mut self, bits: &mut BitReader<'_>, at: usize, low: u32) {
        if bits.bit()
            && let Some(slot) = self.values.get_mut(usize::from(self.places[at]))
        {
            *slot = slot.wrapping_add(if *slot < 0 { -1 << low } else { 1 << low });
        }
    }
}
