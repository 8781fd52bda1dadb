//! EXIF: which way is up, and when the photo was taken.
//!
//! Cameras and editors write EXIF that breaks its own rules: directories that end early, offsets
//! past the end, a second block. So every step takes what it can and leaves out what it cannot; a
//! broken block costs the date or the orientation, never the photo.

use jiff::civil::DateTime;

/// What was found in a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Exif {
    /// `None` where it is not said, which is not the same as said to be upright.
    pub(crate) orientation: Option<u16>,
    pub(crate) taken: Option<DateTime>,
}

impl Exif {
    /// Reads a TIFF block: what follows `Exif\0\0` in JPEG, and the whole block in PNG and WebP.
    pub(crate) fn read(block: &[u8]) -> Exif {
        let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
        Tiff::open(block).map_or_else(Exif::default, |tiff| tiff.exif())
    }

    /// What `self` does not say is taken from `other`.
    pub(crate) fn or(self, other: Exif) -> Exif {
        Exif { orientation: self.orientation.or(other.orientation), taken: self.taken.or(other.taken) }
    }
}

const ORIENTATION: u16 = 0x0112;
const DATE_TIME: u16 = 0x0132;
const EXIF_DIRECTORY: u16 = 0x8769;
const DATE_TIME_ORIGINAL: u16 = 0x9003;
const DATE_TIME_DIGITIZED: u16 = 0x9004;

struct Tiff<'a> {
    block: &'a [u8],
    little: bool,
}

impl<'a> Tiff<'a> {
    fn open(block: &'a [u8]) -> Option<Tiff<'a>> {
        let little = match block.get(..4)? {
            b"II*\0" => true,
            b"MM\0*" => false,
            _ => return None,
        };
        Some(Tiff { block, little })
    }

    fn exif(&self) -> Exif {
        let first = self.long(4).unwrap_or(0) as usize;
        let orientation = self.find(first, ORIENTATION).and_then(|entry| self.short(entry + 8));
        let inner = self.find(first, EXIF_DIRECTORY).and_then(|entry| self.long(entry + 8));
        let date = |directory: usize, tag| self.find(directory, tag).and_then(|entry| self.date(entry));
        let taken = inner
            .and_then(|inner| {
                let inner = inner as usize;
                date(inner, DATE_TIME_ORIGINAL).or_else(|| date(inner, DATE_TIME_DIGITIZED))
            })
            .or_else(|| date(first, DATE_TIME));
        Exif { orientation: orientation.filter(|value| (1..=8).contains(value)), taken }
    }

    /// Where the entry of `tag` begins in the directory at `directory`.
    fn find(&self, directory: usize, tag: u16) -> Option<usize> {
        let entries = usize::from(self.short(directory)?);
        (0..entries).map(|index| directory + 2 + 12 * index).find(|entry| self.short(*entry) == Some(tag))
    }

    /// `2025:06:01 12:00:00`; zeros or blanks where the clock was never set mean no date.
    fn date(&self, entry: usize) -> Option<DateTime> {
        let at = self.long(entry + 8)? as usize;
        let text = std::str::from_utf8(self.block.get(at..at.checked_add(19)?)?).ok()?;
        let number = |range: std::ops::Range<usize>| text.get(range)?.trim_start().parse::<i16>().ok();
        let byte = |range| number(range).and_then(|value| i8::try_from(value).ok());
        DateTime::new(
            number(0..4)?,
            byte(5..7)?,
            byte(8..10)?,
            byte(11..13)?,
            byte(14..16)?,
            byte(17..19)?,
            0,
        )
        .ok()
        .filter(|date| date.year() > 0)
    }

    fn short(&self, at: usize) -> Option<u16> {
        let bytes = self.block.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if self.little { u16::from_le_bytes(bytes) } else { u16::from_be_bytes(bytes) })
    }

    fn long(&self, at: usize) -> Option<u32> {
        let bytes = self.block.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if self.little { u32::from_le_bytes(bytes) } else { u32::from_be_bytes(bytes) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A block with an orientation and a date, in either byte order.
    fn block(little: bool, orientation: u16, date: &str) -> Vec<u8> {
        let short = |value: u16| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        let long = |value: u32| if little { value.to_le_bytes() } else { value.to_be_bytes() };
        let mut block = if little { b"II*\0".to_vec() } else { b"MM\0*".to_vec() };
        block.extend(long(8));
        block.extend(short(2));
        for (tag, kind, value) in [(ORIENTATION, 3u16, None), (EXIF_DIRECTORY, 4, Some(38u32))] {
            block.extend(short(tag));
            block.extend(short(kind));
            block.extend(long(1));
            match value {
                Some(value) => block.extend(long(value)),
                None => block.extend([short(orientation), [0, 0]].concat()),
            }
        }
        block.extend(long(0));
        block.extend(short(1));
        block.extend(short(DATE_TIME_ORIGINAL));
        block.extend(short(2));
        block.extend(long(20));
        block.extend(long(56));
        block.extend(long(0));
        block.extend(date.as_bytes());
        block.push(0);
        block
    }

    #[test]
    fn reads_both_byte_orders() {
        let taken = Some(jiff::civil::date(2025, 6, 1).at(12, 30, 5, 0));
        for little in [true, false] {
            let read = Exif::read(&block(little, 6, "2025:06:01 12:30:05"));
            assert_eq!(read, Exif { orientation: Some(6), taken });
        }
        let headed = [b"Exif\0\0".to_vec(), block(true, 8, "2025:06:01 12:30:05")].concat();
        assert_eq!(Exif::read(&headed), Exif { orientation: Some(8), taken });
    }

    #[test]
    fn a_broken_block_costs_only_what_is_broken() {
        let whole = block(true, 6, "2025:06:01 12:30:05");
        for length in 0..whole.len() - 20 {
            assert_eq!(Exif::read(&whole[..length]).taken, None);
        }
        assert_eq!(Exif::read(&whole[..40]).orientation, Some(6));
        assert_eq!(Exif::read(&block(true, 9, "0000:00:00 00:00:00")), Exif::default());
        assert_eq!(Exif::read(&block(true, 1, "    :  :     :  :  ")).taken, None);
    }
}
