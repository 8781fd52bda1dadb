//! Blocks that come in several scans, each time a few coefficients or one more bit of them.
//!
//! All blocks must be held until the last scan. Of each only those coefficients are kept that the
//! wanted size needs, and of the others one bit: whether they are zero, which decides how later
//! scans are to be read. At an eighth of the size that is 10 bytes a block in place of 128.

use super::bits::Bits;
use super::inverse::{Block, NOWHERE};
use super::marker::{Frame, ScanHeader, Tables};
use super::scan::{Drawing, walk};
use super::{Broken, DAMAGED};
use crate::photos::planes::Plane;

/// The blocks of one component.
pub(super) struct Blocks {
    across: usize,
    side: usize,
    /// `side * side` a block, by rows.
    values: Vec<i16>,
    /// A bit a coefficient, in the order of the file: whether it is known not to be zero.
    known: Vec<u64>,
}

impl Blocks {
    /// Room for `across` by `down` blocks that are wanted in `side` samples.
    pub(super) fn new(across: usize, down: usize, side: usize) -> Blocks {
        let blocks = across * down;
        Blocks { across, side, values: vec![0; blocks * side * side], known: vec![0; blocks] }
    }

    /// The bytes that so many blocks take.
    pub(super) fn bytes(blocks: u64, side: usize) -> u64 {
        blocks * (2 * side * side + 8) as u64
    }

    /// Draws all blocks.
    pub(super) fn draw(&self, drawing: &Drawing, steps: &[i32; 64], plane: &mut Plane) {
        let area = self.side * self.side;
        let mut by_place = [0; 64];
        for (step, place) in steps.iter().zip(drawing.places).filter(|(_, place)| *place != NOWHERE) {
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
                drawing.inverse.apply(&block, out, stride);
            }
        }
    }
}

/// Reads a scan into the blocks of its components.
pub(super) fn read(
    frame: &Frame,
    header: &ScanHeader,
    tables: &Tables,
    drawings: &[Drawing],
    blocks: &mut [Blocks],
    bits: &mut Bits<'_>,
) -> Result<(), Broken> {
    let missing = || Broken::Words(DAMAGED.into());
    let ScanHeader { band: [start, end], high, low, .. } = *header;
    let state = std::cell::Cell::new([0i32; 4]);
    // How many blocks from here on end without a further bit for this band.
    let ended = std::cell::Cell::new(0u32);
    let begin = || {
        state.set([0; 4]);
        ended.set(0);
    };
    if start == 0 {
        if high > 0 {
            return walk(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
                let blocks = &mut blocks[header.components[index].0];
                let value = blocks.values.get_mut((y * blocks.across + x) * blocks.side * blocks.side)?;
                *value |= i16::from(bits.bit()) << low;
                Some(())
            });
        }
        let first: Option<Vec<_>> =
            header.components.iter().map(|(_, first, _)| tables.first[*first].as_ref()).collect();
        let first = first.ok_or_else(missing)?;
        return walk(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
            let mut before = state.get();
            before[index] = before[index].wrapping_add(first[index].difference(bits)?);
            state.set(before);
            let blocks = &mut blocks[header.components[index].0];
            let value = blocks.values.get_mut((y * blocks.across + x) * blocks.side * blocks.side)?;
            *value = (before[index] << low) as i16;
            Some(())
        });
    }
    let (place, _, other) = header.components[0];
    let table = tables.other[other].as_ref().ok_or_else(missing)?;
    let places = &drawings[place].places;
    let Blocks { across, side, values, known } = &mut blocks[place];
    let area = *side * *side;
    walk(frame, header, tables.restart, bits, begin, |bits, _, x, y| {
        let index = y * *across + x;
        let mut coefficients = Coefficients {
            values: values.get_mut(index * area..)?.get_mut(..area)?,
            known: known.get_mut(index)?,
            places,
        };
        let left = if high == 0 {
            coefficients.first(bits, table, start, end, low, ended.get())
        } else {
            coefficients.refine(bits, table, start, end, low, ended.get())
        };
        ended.set(left?);
        Some(())
    })
}

struct Coefficients<'a> {
    values: &'a mut [i16],
    known: &'a mut u64,
    places: &'a [u8; 256],
}

impl Coefficients<'_> {
    fn set(&mut self, at: usize, value: i16) {
        *self.known |= u64::from(value != 0) << at;
        if let Some(slot) = self.values.get_mut(usize::from(self.places[at])) {
            *slot = value;
        }
    }

    /// The first scan of a band; gives how many blocks after this one have ended.
    fn first(
        &mut self,
        bits: &mut Bits<'_>,
        table: &super::huffman::Table,
        start: usize,
        end: usize,
        low: u32,
        ended: u32,
    ) -> Option<u32> {
        if ended > 0 {
            return Some(ended - 1);
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
        bits: &mut Bits<'_>,
        table: &super::huffman::Table,
        start: usize,
        end: usize,
        low: u32,
        ended: u32,
    ) -> Option<u32> {
        let mut at = start;
        let mut ended = ended;
        while ended == 0 && at <= end {
            bits.refill();
            let symbol = table.symbol(bits)?;
            let (mut zeros, size) = (u32::from(symbol >> 4), symbol & 15);
            let value = match size {
                0 if zeros < 15 => {
                    ended = (1 << zeros) + bits.take(zeros);
                    break;
                }
                0 => 0,
                1 if bits.bit() => 1 << low,
                1 => -1 << low,
                _ => return None,
            };
            while at <= end {
                if *self.known >> at & 1 == 1 {
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
        if ended == 0 {
            return Some(0);
        }
        while at <= end {
            if *self.known >> at & 1 == 1 {
                self.correct(bits, at, low);
            }
            at += 1;
        }
        Some(ended - 1)
    }

    /// The next bit of a coefficient that is not zero moves it away from zero.
    fn correct(&mut self, bits: &mut Bits<'_>, at: usize, low: u32) {
        if bits.bit()
            && let Some(slot) = self.values.get_mut(usize::from(self.places[at]))
        {
            *slot = slot.wrapping_add(if *slot < 0 { -1 << low } else { 1 << low });
        }
    }
}
