//! The blocks of a scan, each once and whole: sequential JPEG.

use super::bits::Bits;
use super::huffman::{END, Table};
use super::inverse::{Block, Inverse};
use super::marker::{Frame, ScanHeader, Tables, places};
use super::{Broken, DAMAGED};
use crate::photos::planes::Plane;

/// How a component's blocks become samples.
pub(super) struct Drawing {
    pub(super) inverse: Inverse,
    /// Where the n-th coefficient goes in a block.
    pub(super) places: [u8; 256],
}

impl Drawing {
    pub(super) fn new(side: usize) -> Drawing {
        Drawing { inverse: Inverse::new(side), places: places(side) }
    }
}

/// Walks over a scan's blocks in the order of the file. `visit` gets the place of the component in
/// the scan and the block's column and row, and says `None` where the data makes no sense. `begin` is
/// called at the start and after each restart marker.
pub(super) fn walk(
    frame: &Frame,
    header: &ScanHeader,
    restart: usize,
    bits: &mut Bits<'_>,
    mut begin: impl FnMut(),
    mut visit: impl FnMut(&mut Bits<'_>, usize, usize, usize) -> Option<()>,
) -> Result<(), Broken> {
    let alone = match header.components[..] {
        [(place, ..)] => Some(frame.blocks(&frame.components[place])),
        _ => None,
    };
    let [across, down] = alone.unwrap_or(frame.units());
    let (mut left, mut number) = (restart, 0);
    begin();
    for row in 0..down {
        let broken = |bits: &Bits<'_>| {
            let share = 100 * row / down;
            if bits.at_end() { Broken::Cut(share) } else { Broken::Damaged(share) }
        };
        for column in 0..across {
            if restart > 0 && left == 0 {
                if !bits.restart(number) {
                    return Err(broken(bits));
                }
                number = (number + 1) % 8;
                left = restart;
                begin();
            }
            left = left.wrapping_sub(1);
            if alone.is_some() {
                visit(bits, 0, column, row).ok_or_else(|| broken(bits))?;
                continue;
            }
            for (index, (place, ..)) in header.components.iter().enumerate() {
                let component = &frame.components[*place];
                for y in 0..component.down {
                    for x in 0..component.across {
                        let (x, y) = (column * component.across + x, row * component.down + y);
                        visit(bits, index, x, y).ok_or_else(|| broken(bits))?;
                    }
                }
            }
        }
        if bits.ran_out() {
            return Err(broken(bits));
        }
    }
    Ok(())
}

/// What a scan needs of each of its components.
struct Part<'a> {
    first: &'a Table,
    other: &'a Table,
    steps: &'a [i32; 64],
    drawing: &'a Drawing,
    plane: &'a mut Plane,
    /// The last first coefficient.
    before: i32,
}

/// Draws the blocks of a sequential scan.
pub(super) fn draw(
    frame: &Frame,
    header: &ScanHeader,
    tables: &Tables,
    drawings: &[Drawing],
    planes: &mut [Plane],
    bits: &mut Bits<'_>,
) -> Result<(), Broken> {
    let mut planes: Vec<Option<&mut Plane>> = planes.iter_mut().map(Some).collect();
    let mut parts = Vec::new();
    for (place, first, other) in &header.components {
        let steps = tables.quantisers[frame.components[*place].quantiser].as_ref();
        let (Some(first), Some(other), Some(steps), Some(plane)) =
            (tables.first[*first].as_ref(), tables.other[*other].as_ref(), steps, planes[*place].take())
        else {
            return Err(Broken::Words(DAMAGED.into()));
        };
        parts.push(Part { first, other, steps, drawing: &drawings[*place], plane, before: 0 });
    }
    let parts = std::cell::RefCell::new(parts);
    let begin = || parts.borrow_mut().iter_mut().for_each(|part| part.before = 0);
    let mut block: Block = [0; 128];
    walk(frame, header, tables.restart, bits, begin, |bits, index, x, y| {
        let part = &mut parts.borrow_mut()[index];
        part.draw(bits, &mut block, x, y)
    })
}

impl Part<'_> {
    #[inline(always)]
    fn draw(&mut self, reader: &mut Bits<'_>, block: &mut Block, x: usize, y: usize) -> Option<()> {
        let mut bits = *reader;
        self.before = self.before.wrapping_add(self.first.difference(&mut bits)?);
        let first = self.before.wrapping_mul(self.steps[0]);
        let Drawing { inverse, places } = self.drawing;
        let stride = self.plane.width;
        let out = self.plane.pixels.get_mut((y * stride + x) * inverse.side..)?;
        let (mut zeros, mut value) = self.other.coefficient(&mut bits)?;
        if zeros == END {
            *reader = bits;
            inverse.flat(first, out, stride);
            return Some(());
        }
        block[..inverse.side * inverse.side].fill(0);
        block[0] = first;
        let mut next = 1;
        loop {
            next += zeros;
            let place = usize::from(places[next & 255]);
            block[place & 127] = value.wrapping_mul(self.steps[next & 63]);
            next += 1;
            if next > 63 {
                break;
            }
            (zeros, value) = self.other.coefficient(&mut bits)?;
        }
        *reader = bits;
        // A run that leads past the block without ending it is no JPEG.
        if 64 < next && next < END {
            return None;
        }
        inverse.apply(block, out, stride);
        Some(())
    }
}
