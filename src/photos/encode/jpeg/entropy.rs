//! Blocks into Huffman-coded bits, in two steps: first the symbols, counted; then the bits.

use wide::i16x8;

use super::huffman::{Code, Counts};
use crate::photos::jpeg_zigzag::ZIGZAG;

/// Symbols to be coded, one a word: the symbol, the class of its table, and its extra bits.
#[derive(Default)]
pub(super) struct Tokens {
    /// Bits 0 to 11 the extra bits, 12 to 15 how many, 16 to 23 the symbol, 24 and 25 the class.
    items: Vec<u32>,
    /// How often each symbol of each class occurs. A class is twice the table's number, and one
    /// more for the coefficients after the first.
    counts: [Counts; 4],
}

impl Tokens {
    /// The bytes that are kept for the next picture.
    pub(super) fn retained(&self) -> usize {
        self.items.capacity() * size_of::<u32>()
    }

    pub(super) fn clear(&mut self) {
        self.items.clear();
        self.counts = Default::default();
    }

    /// Adds a block, by columns; `before` is the DC coefficient of the component's last block.
    pub(super) fn block(&mut self, coefficients: &[i16; 64], before: &mut i16, table: usize) {
        let first = coefficients[0];
        let (size, bits) = magnitude(i32::from(first) - i32::from(*before));
        *before = first;
        self.push(2 * table, size, size, bits);
        let class = 2 * table + 1;
        let last = last(coefficients);
        let mut zeros = 0;
        for place in &BY_COLUMNS[1..=last] {
            let value = coefficients[usize::from(*place)];
            if value == 0 {
                zeros += 1;
                continue;
            }
            while zeros > 15 {
                self.push(class, 0xF0, 0, 0);
                zeros -= 16;
            }
            let (size, bits) = magnitude(i32::from(value));
            self.push(class, zeros << 4 | size, size, bits);
            zeros = 0;
        }
        if last < 63 {
            self.push(class, 0, 0, 0);
        }
    }

    fn push(&mut self, class: usize, symbol: u32, size: u32, bits: u32) {
        self.counts[class].0[symbol as usize & 255] += 1;
        self.items.push((class as u32) << 24 | symbol << 16 | size << 12 | bits);
    }

    /// Writes the Huffman tables, the start of the scan and its bits; `tables` is 1 or 2.
    pub(super) fn write(&self, tables: usize, out: &mut Vec<u8>) {
        let codes: [Code; 4] = std::array::from_fn(|class| Code::of(&self.counts[class]));
        for (class, code) in codes.iter().enumerate().take(2 * tables) {
            code.define(((class & 1) << 4 | class >> 1) as u8, out);
        }
        if tables == 1 {
            out.extend([0xFF, 0xDA, 0, 8, 1, 1, 0x00, 0, 63, 0]);
        } else {
            out.extend([0xFF, 0xDA, 0, 12, 3, 1, 0x00, 2, 0x11, 3, 0x11, 0, 63, 0]);
        }
        let mut bits = Bits { held: 0, count: 0, out };
        for item in &self.items {
            let (length, code) = codes[(item >> 24) as usize & 3].word((item >> 16) as u8);
            let extra = item >> 12 & 15;
            bits.put(u64::from(code) << extra | u64::from(item & 0xFFF), u32::from(length) + extra);
        }
        bits.finish();
    }
}

/// Where the n-th coefficient of a file lies in a block by columns.
const BY_COLUMNS: [u8; 64] = {
    let mut places = ZIGZAG;
    let mut index = 0;
    while index < 64 {
        places[index] = ZIGZAG[index] % 8 * 8 + ZIGZAG[index] / 8;
        index += 1;
    }
    places
};

/// The number in the file of the last coefficient of a block, by columns, that is not zero; 0 if only
/// the first or none is.
fn last(coefficients: &[i16; 64]) -> usize {
    let mut last = i16x8::ZERO;
    for (values, ranks) in coefficients.as_chunks::<8>().0.iter().zip(RANKS.as_chunks::<8>().0) {
        let zero = i16x8::new(*values).simd_eq(i16x8::ZERO);
        last = last.max(i16x8::new(*ranks) & !zero);
    }
    last.reduce_max() as usize & 63
}

/// For each place in a block by columns its number in the file.
const RANKS: [i16; 64] = {
    let mut ranks = [0; 64];
    let mut index = 0;
    while index < 64 {
        ranks[BY_COLUMNS[index] as usize] = index as i16;
        index += 1;
    }
    ranks
};

/// How many bits a value needs, and those bits: one less for negative values, as the standard has it.
fn magnitude(value: i32) -> (u32, u32) {
    // Coefficients of 8-bit pictures fit into 11 bits, their differences into 12.
    let size = 32 - value.unsigned_abs().leading_zeros();
    let bits = (value - i32::from(value < 0)) as u32 & ((1 << size) - 1);
    (size, bits)
}

struct Bits<'a> {
    held: u64,
    count: u32,
    out: &'a mut Vec<u8>,
}

impl Bits<'_> {
    /// At most 28 bits.
    fn put(&mut self, bits: u64, count: u32) {
        self.held = self.held << count | bits;
        self.count += count;
        if self.count >= 32 {
            self.count -= 32;
            let word = (self.held >> self.count) as u32;
            if has_ff(word) {
                word.to_be_bytes().into_iter().for_each(|byte| self.byte(byte));
            } else {
                self.out.extend_from_slice(&word.to_be_bytes());
            }
        }
    }

    fn byte(&mut self, byte: u8) {
        self.out.push(byte);
        if byte == 0xFF {
            self.out.push(0);
        }
    }

    /// The last byte is filled with ones.
    fn finish(mut self) {
        while self.count >= 8 {
            self.count -= 8;
            self.byte((self.held >> self.count) as u8);
        }
        if self.count > 0 {
            let free = 8 - self.count;
            self.byte((self.held << free) as u8 | ((1u16 << free) - 1) as u8);
        }
    }
}

/// Whether one of four bytes is 0xFF.
fn has_ff(word: u32) -> bool {
    let inverse = !word;
    inverse.wrapping_sub(0x0101_0101) & word & 0x8080_8080 != 0
}
