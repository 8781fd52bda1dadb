//! The bits of a scan, most significant first, without the stuffing.

/// Reads bits; past the end of the data it gives zeros and remembers how many.
///
/// It is copied for the length of a block, so that it stays in registers there.
#[derive(Clone, Copy)]
pub(super) struct BitReader<'a> {
    data: &'a [u8],
    at: usize,
    /// The next `count` bits, from the top. Bits below them are zero or what comes next anyway.
    held: u64,
    count: u32,
    /// How many of the bits returned or buffered are past the end of the data.
    invented: u32,
}

impl<'a> BitReader<'a> {
    /// The bits of `data` from `at` to the next marker.
    pub(super) fn new(data: &'a [u8], at: usize) -> BitReader<'a> {
        BitReader { data, at, held: 0, count: 0, invented: 0 }
    }

    /// Makes sure that 32 bits can be peeked and skipped.
    #[inline(always)]
    pub(super) fn refill(&mut self) {
        if self.count < 32 {
            self.fill();
        }
    }

    #[inline]
    fn fill(&mut self) {
        if let Some(&word) = self.data.get(self.at..).and_then(<[u8]>::first_chunk::<8>) {
            let word = u64::from_be_bytes(word);
            if !has_ff(word) {
                self.held |= word >> self.count;
                let bytes = (64 - self.count) / 8;
                self.at += bytes as usize;
                self.count += 8 * bytes;
                return;
            }
        }
        self.fill_by_bytes();
    }

    #[cold]
    fn fill_by_bytes(&mut self) {
        while self.count <= 56 {
            let byte = match (self.data.get(self.at), self.data.get(self.at + 1)) {
                (Some(0xFF), Some(0)) => {
                    self.at += 2;
                    0xFF
                }
                (Some(0xFF) | None, _) => {
                    self.invented += 8;
                    0
                }
                (Some(byte), _) => {
                    self.at += 1;
                    *byte
                }
            };
            self.held |= u64::from(byte) << (56 - self.count);
            self.count += 8;
        }
    }

    /// The next `count` bits, 1 to 16, without moving on.
    #[inline(always)]
    pub(super) fn peek(&self, count: u32) -> usize {
        (self.held >> (64 - count)) as usize
    }

    /// Moves on by at most 32 bits since the last refill.
    #[inline(always)]
    pub(super) fn skip(&mut self, count: u32) {
        self.held <<= count;
        self.count = self.count.wrapping_sub(count);
    }

    /// The next `count` bits, 0 to 16, as a number.
    #[inline(always)]
    pub(super) fn take(&mut self, count: u32) -> u32 {
        if count == 0 {
            return 0;
        }
        let bits = self.peek(count) as u32;
        self.skip(count);
        bits
    }

    /// The next bit, refilling by itself.
    #[inline(always)]
    pub(super) fn bit(&mut self) -> bool {
        self.refill();
        self.take(1) == 1
    }

    /// The next `size` bits, 0 to 15, as the standard extends them: half of the values are negative.
    #[inline(always)]
    pub(super) fn extended(&mut self, size: u32) -> i32 {
        let bits = self.take(size) as i32;
        extend(bits, size)
    }

    /// Whether bits past the end of the data were returned.
    pub(super) fn ran_out(&self) -> bool {
        self.invented > self.count
    }

    /// Whether the data itself ended, and not at a marker.
    pub(super) fn at_end(&self) -> bool {
        self.at + 1 >= self.data.len()
    }

    /// Goes to the next marker, which must be close, and past it if it is the restart marker `number`.
    pub(super) fn restart(&mut self, number: u8) -> bool {
        // The last byte is padded, and some writers pad by a few bytes more.
        const SLACK: usize = 16;
        if self.ran_out() {
            return false;
        }
        let near = self.data.get(self.at..).unwrap_or_default();
        let marker =
            near.windows(2).take(SLACK).position(|two| two[0] == 0xFF && two[1] != 0 && two[1] != 0xFF);
        let Some(marker) = marker.filter(|marker| near[marker + 1] == 0xD0 + number) else { return false };
        *self = BitReader::new(self.data, self.at + marker + 2);
        true
    }

    /// Where in the data the next marker may be looked for.
    pub(super) fn position(&self) -> usize {
        self.at
    }
}

/// `bits` of `size` as the standard extends them.
pub(super) fn extend(bits: i32, size: u32) -> i32 {
    if size > 0 && bits < 1 << (size - 1) { bits - (1 << size) + 1 } else { bits }
}

/// Whether one of eight bytes is 0xFF.
fn has_ff(word: u64) -> bool {
    (!word).wrapping_sub(0x0101_0101_0101_0101) & word & 0x8080_8080_8080_8080 != 0
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn the_same_bits_as_one_by_one(data in prop::collection::vec(prop_oneof![Just(0xFFu8), any::<u8>()], 0..80),
            steps in prop::collection::vec(1u32..17, 0..60)) {
            let stuffed: Vec<u8> =
                data.iter().flat_map(|byte| if *byte == 0xFF { vec![0xFF, 0] } else { vec![*byte] }).collect();
            let mut bits = BitReader::new(&stuffed, 0);
            let mut at = 0;
            for step in steps {
                bits.refill();
                let expected = (at..at + step as usize).fold(0, |number, at| {
                    number << 1 | data.get(at / 8).map_or(0, |byte| u32::from(byte >> (7 - at % 8) & 1))
                });
                prop_assert_eq!(bits.take(step), expected);
                at += step as usize;
                prop_assert_eq!(bits.ran_out(), at > 8 * data.len());
            }
        }
    }

    #[test]
    fn a_restart_marker_must_be_the_next_one_and_near() {
        let data = [0x12, 0x34, 0xFF, 0xFF, 0xD3, 0x80];
        assert!(!BitReader::new(&data, 0).restart(2));
        let mut bits = BitReader::new(&data, 0);
        assert!(bits.restart(3));
        assert!(bits.bit() && !bits.bit());
        let far = [[0u8; 40].as_slice(), &[0xFF, 0xD0]].concat();
        assert!(!BitReader::new(&far, 0).restart(0));
    }
}
