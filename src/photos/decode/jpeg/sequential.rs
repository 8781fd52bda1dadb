//! Sequential JPEG: each block of a scan once and whole.

use super::bit_reader::BitReader;
use super::component_output::ComponentOutput;
use super::huffman::{END_OF_BLOCK, HuffmanTable};
use super::inverse_dct::Block;
use super::scan::{ScanError, for_each_block};
use super::segments::{Frame, ScanHeader, Tables};
use crate::photos::pixels::plane::Plane;

/// What a scan needs of each of its components.
struct ComponentScan<'a> {
    dc: &'a HuffmanTable,
    ac: &'a HuffmanTable,
    steps: &'a [i32; 64],
    output: &'a ComponentOutput,
    plane: &'a mut Plane,
    /// The DC coefficient of the block before.
    last_dc: i32,
}

/// Decodes a sequential scan into planes.
pub(super) fn decode(
    frame: &Frame,
    header: &ScanHeader,
    tables: &Tables,
    outputs: &[ComponentOutput],
    planes: &mut [Plane],
    bits: &mut BitReader<'_>,
) -> Result<(), ScanError> {
    let mut planes: Vec<Option<&mut Plane>> = planes.iter_mut().map(Some).collect();
    let mut parts = Vec::new();
    for (place, dc, ac) in &header.components {
        let steps = tables.quantisers[frame.components[*place].quantiser].as_ref();
        let (Some(dc), Some(ac), Some(steps), Some(plane)) =
            (tables.dc[*dc].as_ref(), tables.ac[*ac].as_ref(), steps, planes[*place].take())
        else {
            return Err(ScanError::NoTable);
        };
        parts.push(ComponentScan { dc, ac, steps, output: &outputs[*place], plane, last_dc: 0 });
    }
    let parts = std::cell::RefCell::new(parts);
    let begin = || parts.borrow_mut().iter_mut().for_each(|part| part.last_dc = 0);
    let mut block: Block = [0; 128];
    for_each_block(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
        let part = &mut parts.borrow_mut()[index];
        part.block(bits, &mut block, x, y)
    })
}

impl ComponentScan<'_> {
    #[inline(always)]
    fn block(&mut self, reader: &mut BitReader<'_>, block: &mut Block, x: usize, y: usize) -> Option<()> {
        let mut bits = *reader;
        self.last_dc = self.last_dc.wrapping_add(self.dc.dc_difference(&mut bits)?);
        let dc = self.last_dc.wrapping_mul(self.steps[0]);
        let ComponentOutput { inverse, places } = self.output;
        let stride = self.plane.width;
        let out = self.plane.pixels.get_mut((y * stride + x) * inverse.side..)?;
        let (mut zeros, mut value) = self.ac.ac_coefficient(&mut bits)?;
        if zeros == END_OF_BLOCK {
            *reader = bits;
            inverse.apply_dc(dc, out, stride);
            return Some(());
        }
        block[..inverse.side * inverse.side].fill(0);
        block[0] = dc;
        let mut next = 1;
        loop {
            next += zeros;
            let place = usize::from(places[next & 255]);
            block[place & 127] = value.wrapping_mul(self.steps[next & 63]);
            next += 1;
            if next > 63 {
                break;
            }
            (zeros, value) = self.ac.ac_coefficient(&mut bits)?;
        }
        *reader = bits;
        // A run that leads past the block without ending it is no JPEG.
        if 64 < next && next < END_OF_BLOCK {
            return None;
        }
        inverse.apply(block, out, stride);
        Some(())
    }
}
