//! Huffman tables for reading.

use super::bit_reader::{BitReader, extend};

/// Words of up to so many bits are found in one look.
const LOOK: u32 = 10;

/// What ends a block: it leads past every coefficient.
pub(super) const END_OF_BLOCK: usize = 128;

/// A table of code words and their symbols.
#[derive(Clone)]
pub(super) struct HuffmanTable {
    /// For the next [`LOOK`] bits, where word and value lie within them: the value in the upper half,
    /// how many coefficients are zero before it in bits 8 to 15, the bits to skip in bits 0 to 7.
    /// Zero where they do not.
    whole: Box<[u32; 1 << LOOK]>,
    /// For the next [`LOOK`] bits, where the word lies within them: the symbol in the upper byte,
    /// the length in the lower. Zero where it does not.
    short: Box<[u16; 1 << LOOK]>,
    /// For each length, the first 16 bits that belong to no word of this or a smaller length.
    limits: [u32; 17],
    /// For each length, what to add to a word for its place among the symbols.
    offsets: [i32; 17],
    symbols: Vec<u8>,
}

impl HuffmanTable {
    /// Reads a table from how many words have each length and their symbols; `None` where these are
    /// more than the lengths can tell apart.
    pub(super) fn new(lengths: &[u8; 16], symbols: &[u8]) -> Option<HuffmanTable> {
        let mut table = HuffmanTable {
            whole: Box::new([0; 1 << LOOK]),
            short: Box::new([0; 1 << LOOK]),
            limits: [0; 17],
            offsets: [0; 17],
            symbols: symbols.to_vec(),
        };
        let (mut word, mut place) = (0u32, 0usize);
        for (length, count) in (1u32..).zip(lengths) {
            table.offsets[length as usize] = place as i32 - word as i32;
            for symbol in symbols.get(place..place + usize::from(*count))? {
                if word >= 1 << length {
                    return None;
                }
                if length <= LOOK {
                    table.insert(word, length, *symbol);
                }
                word += 1;
                place += 1;
            }
            table.limits[length as usize] = word << (16 - length);
            word <<= 1;
        }
        Some(table)
    }

    fn insert(&mut self, word: u32, length: u32, symbol: u8) {
        let free = LOOK - length;
        let (run, size) = (u32::from(symbol >> 4), u32::from(symbol & 15));
        for rest in 0..1 << free {
            let index = (word << free | rest) as usize;
            self.short[index] = u16::from(symbol) << 8 | length as u16;
            self.whole[index] = if symbol == 0 {
                (END_OF_BLOCK as u32) << 8 | length
            } else if length + size <= LOOK && (size > 0 || run == 15) {
                let bits = rest >> (free - size);
                (extend(bits as i32, size) as u32) << 16 | run << 8 | (length + size)
            } else {
                0
            };
        }
    }

    /// The next symbol; 16 bits must be there. `None` for bits that are no word.
    #[inline(always)]
    pub(super) fn symbol(&self, bits: &mut BitReader<'_>) -> Option<u8> {
        let short = self.short[bits.peek(LOOK)];
        if short != 0 {
            bits.skip(u32::from(short & 255));
            return Some((short >> 8) as u8);
        }
        self.long(bits)
    }

    #[cold]
    fn long(&self, bits: &mut BitReader<'_>) -> Option<u8> {
        let next = bits.peek(16) as u32;
        let length = (LOOK + 1..=16).find(|length| next < self.limits[*length as usize])?;
        bits.skip(length);
        let place = (next >> (16 - length)) as i32 + self.offsets[length as usize];
        self.symbols.get(usize::try_from(place).ok()?).copied()
    }

    /// The next AC coefficient: how many are zero before it, and its value. [`END_OF_BLOCK`] zeros
    /// mean the end of the block.
    #[inline(always)]
    pub(super) fn ac_coefficient(&self, bits: &mut BitReader<'_>) -> Option<(usize, i32)> {
        bits.refill();
        let whole = self.whole[bits.peek(LOOK)];
        if whole != 0 {
            bits.skip(whole & 255);
            return Some(((whole >> 8 & 255) as usize, whole as i32 >> 16));
        }
        let symbol = self.symbol(bits)?;
        let (run, size) = (usize::from(symbol >> 4), u32::from(symbol & 15));
        match (run, size) {
            (15, 0) => Some((15, 0)),
            (_, 0) => Some((END_OF_BLOCK, 0)),
            _ => Some((run, bits.extended(size))),
        }
    }

    /// The next DC coefficient's difference from the one before.
    #[inline(always)]
    pub(super) fn dc_difference(&self, bits: &mut BitReader<'_>) -> Option<i32> {
        bits.refill();
        let size = u32::from(self.symbol(bits)?);
        (size < 16).then(|| bits.extended(size))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_words_than_there_is_room_for_are_refused() {
        let mut lengths = [0; 16];
        lengths[0] = 3;
        assert!(HuffmanTable::new(&lengths, &[1, 2, 3]).is_none());
        lengths[0] = 1;
        assert!(HuffmanTable::new(&lengths, &[]).is_none());
        assert!(HuffmanTable::new(&lengths, &[0]).is_some());
    }

    #[test]
    fn short_and_long_words() {
        // 0 -> 0x00, 10 -> 0x01, then twelve bits 1100 0000 0000 -> 0x21.
        let mut lengths = [0; 16];
        (lengths[0], lengths[1], lengths[11]) = (1, 1, 1);
        let table = HuffmanTable::new(&lengths, &[0x00, 0x01, 0x21]).unwrap();
        // 10 1 | 110000000000 0 | 0, then ones that are no word.
        let data = [0b1011_1000, 0b0000_0000, 0b1111_1111, 0, 0xFF, 0, 0xFF, 0];
        let mut bits = BitReader::new(&data, 0);
        assert_eq!(table.ac_coefficient(&mut bits), Some((0, 1)));
        assert_eq!(table.ac_coefficient(&mut bits), Some((2, -1)));
        let data = [0b0111_1111, 0xFF, 0, 0xFF, 0];
        let mut bits = BitReader::new(&data, 0);
        assert_eq!(table.ac_coefficient(&mut bits), Some((END_OF_BLOCK, 0)));
        assert_eq!(table.ac_coefficient(&mut bits), None);
    }
}
