//! The blocks of a scan, in the order of the file.

use super::bit_reader::BitReader;
use super::segments::{Frame, ScanHeader};
use crate::photos::error::PhotoError;

/// What stops a scan.
pub(super) enum ScanError {
    /// The file ends after this share of the scan, in per cent.
    CutOff(usize),
    /// The data contradicts itself after this share, in per cent.
    Damaged(usize),
    /// The scan names a table that the file does not define.
    NoTable,
}

impl From<ScanError> for PhotoError {
    fn from(error: ScanError) -> PhotoError {
        match error {
            ScanError::CutOff(share) => PhotoError::CutOffAfter(share),
            ScanError::Damaged(share) => PhotoError::DamagedAfter(share),
            ScanError::NoTable => PhotoError::Damaged,
        }
    }
}

/// Goes over a scan's blocks in the order of the file. `visit` gets the place of the component in
/// the scan and the block's column and row, and returns `None` where the data contradicts itself. `begin` is
/// called at the start and after each restart marker.
pub(super) fn for_each_block(
    frame: &Frame,
    header: &ScanHeader,
    restart: usize,
    bits: &mut BitReader<'_>,
    mut begin: impl FnMut(),
    mut visit: impl FnMut(&mut BitReader<'_>, usize, usize, usize) -> Option<()>,
) -> Result<(), ScanError> {
    let alone = match header.components[..] {
        [(place, ..)] => Some(frame.blocks(&frame.components[place])),
        _ => None,
    };
    let [across, down] = alone.unwrap_or(frame.mcus());
    let (mut left, mut number) = (restart, 0);
    begin();
    for row in 0..down {
        let broken = |bits: &BitReader<'_>| {
            let share = 100 * row / down;
            if bits.at_end() { ScanError::CutOff(share) } else { ScanError::Damaged(share) }
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
