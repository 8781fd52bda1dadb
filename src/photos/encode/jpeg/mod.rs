//! Writes a picture as baseline JPEG with nothing in the file but what shows it.
//!
//! The quantisation tables are those of the standard's annex K, scaled as is common practice for
//! the quality; the Huffman tables are made for each picture, which saves some 5 %. The transform
//! is the one by Arai, Agui and Nakajima in f32, whose operations have one result on every machine.

mod huffman;

mod entropy;

use wide::f32x4;

use crate::photos::jpeg_zigzag::ZIGZAG;
use crate::photos::pixels::image::YCbCrImage;
use crate::photos::pixels::plane::Plane;

use entropy::Tokens;

/// The scale of the quantisation tables, in per cent: quality 80.
const SCALE: u32 = 40;

/// Annex K.1 of ITU-T T.81, by rows.
const LUMA: [u8; 64] = [
    16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55, 14, 13, 16, 24, 40, 57, 69, 56, 14, 17,
    22, 29, 51, 87, 80, 62, 18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92, 49, 64, 78,
    87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99,
];

/// Annex K.2 of ITU-T T.81, by rows.
const CHROMA: [u8; 64] = [
    17, 18, 24, 47, 99, 99, 99, 99, 18, 21, 26, 66, 99, 99, 99, 99, 24, 26, 56, 99, 99, 99, 99, 99, 47, 66,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
    99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99, 99,
];

/// Encodes pictures, keeping its buffers from one to the next.
#[derive(Default)]
pub(crate) struct JpegEncoder {
    tokens: Tokens,
}

impl JpegEncoder {
    /// The bytes that are kept for the next picture.
    pub(crate) fn retained(&self) -> usize {
        self.tokens.retained()
    }

    /// The file of `picture`, written over `out`.
    pub(crate) fn encode(&mut self, picture: &YCbCrImage, out: &mut Vec<u8>) {
        let tables = [Quantiser::new(&LUMA), Quantiser::new(&CHROMA)];
        self.tokens.clear();
        match &picture.chroma {
            None => self.blocks(&[(&picture.luma, 1, 0)], &tables),
            Some([blue, red]) => {
                self.blocks(&[(&picture.luma, 2, 0), (blue, 1, 1), (red, 1, 1)], &tables);
            }
        }
        out.clear();
        head(picture, &tables, out);
        self.tokens.write(if picture.chroma.is_some() { 2 } else { 1 }, out);
        out.extend([0xFF, 0xD9]);
    }

    /// Transforms all blocks in the order of the file. A component is its plane, how many blocks
    /// wide and high it is in a unit, and the number of its tables.
    fn blocks(&mut self, components: &[(&Plane, usize, usize)], tables: &[Quantiser; 2]) {
        let (luma, side, _) = components[0];
        let (across, down) = (luma.width.div_ceil(8 * side), luma.height.div_ceil(8 * side));
        let mut before = [0; 3];
        for unit_row in 0..down {
            for unit in 0..across {
                for (&(plane, side, table), before) in components.iter().zip(&mut before) {
                    for block in 0..side * side {
                        let (x, y) = (unit * side + block % side, unit_row * side + block / side);
                        let coefficients = tables[table].apply(&load(plane, x * 8, y * 8));
                        self.tokens.block(&coefficients, before, table);
                    }
                }
            }
        }
    }
}

/// The 8 by 8 samples at `x`, `y`, around zero; past the edge the last row and column go on.
fn load(plane: &Plane, x: usize, y: usize) -> [[f32; 8]; 8] {
    let mut block = [[0.0; 8]; 8];
    for (dy, line) in block.iter_mut().enumerate() {
        let row = plane.row((y + dy).min(plane.height - 1));
        if let Some(samples) = row.get(x..x + 8) {
            for (value, sample) in line.iter_mut().zip(samples) {
                *value = f32::from(*sample) - 128.0;
            }
        } else {
            for (dx, value) in line.iter_mut().enumerate() {
                *value = f32::from(row[(x + dx).min(plane.width - 1)]) - 128.0;
            }
        }
    }
    block
}

/// Divides transformed blocks by a table.
struct Quantiser {
    /// The divisors, by rows, as the file states them.
    steps: [u8; 64],
    /// One over the divisor and over the transform's own scale, by columns.
    factors: [[f32; 8]; 8],
}

/// Added to an f32 below 2^15, this puts the nearest whole number into its lowest 16 bits.
const ROUND: f32 = 12_582_912.0;

impl Quantiser {
    fn new(base: &[u8; 64]) -> Quantiser {
        // The scale of the n-th coefficient of the one-dimensional transform: cos(n pi / 16) sqrt 2.
        const OWN: [f64; 8] = [
            1.0,
            1.387_039_845_322_148,
            1.306_562_964_876_376_5,
            1.175_875_602_419_358_8,
            1.0,
            0.785_694_958_387_102_2,
            0.541_196_100_146_197,
            0.275_899_379_282_943_1,
        ];
        let steps = base.map(|step| ((u32::from(step) * SCALE + 50) / 100).clamp(1, 255) as u8);
        let mut factors = [[0.0; 8]; 8];
        for (column, line) in factors.iter_mut().enumerate() {
            for (row, factor) in line.iter_mut().enumerate() {
                *factor = (1.0 / (f64::from(steps[row * 8 + column]) * OWN[row] * OWN[column] * 8.0)) as f32;
            }
        }
        Quantiser { steps, factors }
    }

    /// The quantised coefficients of a block, by columns.
    fn apply(&self, samples: &[[f32; 8]; 8]) -> [i16; 64] {
        let block = columns(transpose(columns(samples.map(lanes))));
        let mut scaled = [0.0; 64];
        for ((line, factors), out) in block.iter().zip(&self.factors).zip(scaled.as_chunks_mut::<8>().0) {
            let factors = lanes(*factors);
            let [left, right] =
                [0, 1].map(|half| (line[half] * factors[half] + f32x4::splat(ROUND)).to_array());
            out[..4].copy_from_slice(&left);
            out[4..].copy_from_slice(&right);
        }
        scaled.map(|value| value.to_bits() as i16)
    }
}

/// Eight values side by side, in the vectors that every 64-bit machine has.
type Lanes = [f32x4; 2];

fn lanes(values: [f32; 8]) -> Lanes {
    let [a, b, c, d, e, f, g, h] = values;
    [f32x4::new([a, b, c, d]), f32x4::new([e, f, g, h])]
}

#[inline(always)]
fn add(a: Lanes, b: Lanes) -> Lanes {
    [a[0] + b[0], a[1] + b[1]]
}

#[inline(always)]
fn sub(a: Lanes, b: Lanes) -> Lanes {
    [a[0] - b[0], a[1] - b[1]]
}

#[inline(always)]
fn mul(a: Lanes, factor: f32) -> Lanes {
    [a[0] * factor, a[1] * factor]
}

fn transpose(block: [Lanes; 8]) -> [Lanes; 8] {
    let quarter = |top: usize, half: usize| f32x4::transpose([0, 1, 2, 3].map(|row| block[top + row][half]));
    let [a, b, c, d] = [quarter(0, 0), quarter(4, 0), quarter(0, 1), quarter(4, 1)];
    [0, 1, 2, 3, 4, 5, 6, 7].map(|row| if row < 4 { [a[row], b[row]] } else { [c[row - 4], d[row - 4]] })
}

/// The one-dimensional transform down every column.
#[inline(always)]
fn columns([a0, a1, a2, a3, a4, a5, a6, a7]: [Lanes; 8]) -> [Lanes; 8] {
    const C4: f32 = std::f32::consts::FRAC_1_SQRT_2;
    let (b0, b7) = (add(a0, a7), sub(a0, a7));
    let (b1, b6) = (add(a1, a6), sub(a1, a6));
    let (b2, b5) = (add(a2, a5), sub(a2, a5));
    let (b3, b4) = (add(a3, a4), sub(a3, a4));
    let (c0, c3) = (add(b0, b3), sub(b0, b3));
    let (c1, c2) = (add(b1, b2), sub(b1, b2));
    let even = mul(add(c2, c3), C4);
    let (d0, d1, d2) = (add(b4, b5), add(b5, b6), add(b6, b7));
    let z5 = mul(sub(d0, d2), 0.382_683_43);
    let z2 = add(mul(d0, 0.541_196_1), z5);
    let z4 = add(mul(d2, 1.306_563), z5);
    let z3 = mul(d1, C4);
    let (z11, z13) = (add(b7, z3), sub(b7, z3));
    [
        add(c0, c1),
        add(z11, z4),
        add(c3, even),
        sub(z13, z2),
        sub(c0, c1),
        add(z13, z2),
        sub(c3, even),
        sub(z11, z4),
    ]
}

/// Everything before the Huffman tables: no application data but the JFIF mark, which says that
/// the colours are JFIF's.
fn head(picture: &YCbCrImage, tables: &[Quantiser; 2], out: &mut Vec<u8>) {
    let components: u8 = if picture.chroma.is_some() { 3 } else { 1 };
    out.extend([0xFF, 0xD8]);
    out.extend(b"\xFF\xE0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00");
    for (number, table) in (0..).zip(&tables[..usize::from(components).min(2)]) {
        out.extend([0xFF, 0xDB, 0, 67, number]);
        out.extend(ZIGZAG.map(|place| table.steps[usize::from(place)]));
    }
    out.extend([0xFF, 0xC0, 0, 8 + 3 * components, 8]);
    out.extend((picture.luma.height as u16).to_be_bytes());
    out.extend((picture.luma.width as u16).to_be_bytes());
    out.push(components);
    for component in 1..=components {
        let sampling = if component == 1 && components == 3 { 0x22 } else { 0x11 };
        out.extend([component, sampling, u8::from(component > 1)]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The definition in annex A.3.3 of ITU-T T.81.
    fn by_definition(samples: &[[f32; 8]; 8], v: usize, u: usize) -> f64 {
        let scale = |frequency| if frequency == 0 { libm::sqrt(0.5) } else { 1.0 };
        let wave = |at: usize, frequency: usize| {
            libm::cos((2 * at + 1) as f64 * frequency as f64 * std::f64::consts::PI / 16.0)
        };
        let mut sum = 0.0;
        for (y, row) in samples.iter().enumerate() {
            for (x, sample) in row.iter().enumerate() {
                sum += f64::from(*sample) * wave(x, u) * wave(y, v);
            }
        }
        sum * scale(u) * scale(v) / 4.0
    }

    #[test]
    fn coefficients_are_those_of_the_standard() {
        let samples: [[f32; 8]; 8] = std::array::from_fn(|y| {
            std::array::from_fn(|x| ((y * 131 + x * 71 + y * x * 17) % 256) as f32 - 128.0)
        });
        for base in [&LUMA, &CHROMA] {
            let quantiser = Quantiser::new(base);
            let quantised = quantiser.apply(&samples);
            for (place, value) in quantised.iter().enumerate() {
                let (u, v) = (place / 8, place % 8);
                let exact = by_definition(&samples, v, u) / f64::from(quantiser.steps[v * 8 + u]);
                assert!((exact - f64::from(*value)).abs() < 0.501, "{v} {u}: {exact} {value}");
            }
        }
    }
}
