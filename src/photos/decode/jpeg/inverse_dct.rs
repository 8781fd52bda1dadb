//! Blocks of coefficients back into samples, at 1/8 to 8/8 of the stored size.
//!
//! The lowest N x N of a block's 8 x 8 coefficients are those of the block shown in N x N samples:
//! the inverse transform of that size gives a picture that is already filtered and smaller.

/// Room for a block's coefficients by rows of N, and behind them for what is not wanted.
pub(super) type Block = [i32; 128];

/// Where coefficients go that are not wanted.
pub(super) const DISCARDED: u8 = 64;

/// Added to an f32 below 2^22, this puts the nearest whole number into its lowest bits.
const ROUND: f32 = 12_582_912.0;

/// The inverse transform to one size.
pub(super) struct InverseDct {
    /// Samples of a block along one side, 1 to 8.
    pub(super) side: usize,
    /// For each frequency its value at each sample; zero past the side.
    basis: [[f32; 8]; 8],
    step: fn(&[[f32; 8]; 8], &Block, &mut [u8], usize),
}

impl InverseDct {
    /// To `side` samples, 1 to 8.
    pub(super) fn new(side: usize) -> InverseDct {
        let mut basis = [[0.0; 8]; 8];
        for (frequency, line) in basis.iter_mut().enumerate() {
            for (sample, value) in line.iter_mut().enumerate().take(side) {
                let angle =
                    std::f64::consts::PI * (2 * sample + 1) as f64 * frequency as f64 / (2 * side) as f64;
                let scale = if frequency == 0 { libm::sqrt(0.125) } else { 0.5 };
                *value = (scale * libm::cos(angle)) as f32;
            }
        }
        let step = match side {
            1 => inverse::<1, 4>,
            2 => inverse::<2, 4>,
            3 => inverse::<3, 4>,
            4 => inverse::<4, 4>,
            5 => inverse::<5, 8>,
            6 => inverse::<6, 8>,
            7 => inverse::<7, 8>,
            _ => inverse::<8, 8>,
        };
        InverseDct { side, basis, step }
    }

    /// Writes the samples of `block` into rows of `stride` that begin with `out`.
    #[inline(always)]
    pub(super) fn apply(&self, block: &Block, out: &mut [u8], stride: usize) {
        (self.step)(&self.basis, block, out, stride);
    }

    /// Writes the samples of a block that has no coefficient but DC.
    #[inline(always)]
    pub(super) fn apply_dc(&self, first: i32, out: &mut [u8], stride: usize) {
        let sample = sample(first as f32 * 0.125);
        for row in out.chunks_mut(stride).take(self.side) {
            if let Some(row) = row.get_mut(..self.side) {
                row.fill(sample);
            }
        }
    }
}

#[inline(always)]
fn sample(value: f32) -> u8 {
    let value = value + 128.0;
    let value = if value > 0.0 { value } else { 0.0 };
    let value = if value < 255.0 { value } else { 255.0 };
    (value + ROUND).to_bits() as u8
}

/// Both passes go along rows, in as many lanes as a side needs.
fn inverse<const SIDE: usize, const LANES: usize>(
    basis: &[[f32; 8]; 8],
    block: &Block,
    out: &mut [u8],
    stride: usize,
) {
    let mut lines = [[0.0f32; LANES]; SIDE];
    for (line, coefficients) in lines.iter_mut().zip(block.as_chunks::<SIDE>().0) {
        let coefficients = coefficients.map(|coefficient| coefficient as f32);
        for (coefficient, wave) in coefficients.iter().zip(basis) {
            for lane in 0..LANES {
                line[lane] += coefficient * wave[lane];
            }
        }
    }
    for (y, row) in out.chunks_mut(stride).take(SIDE).enumerate() {
        let mut sums = [0.0f32; LANES];
        for (line, wave) in lines.iter().zip(basis) {
            for lane in 0..LANES {
                sums[lane] += line[lane] * wave[y];
            }
        }
        let samples = sums.map(sample);
        if let Some(row) = row.first_chunk_mut::<SIDE>() {
            row.copy_from_slice(&samples[..SIDE]);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The definition in annex A.3.3 of ITU-T T.81, for a block of any side.
    fn by_definition(side: usize, block: &Block) -> Vec<u8> {
        let scale = |frequency| if frequency == 0 { libm::sqrt(0.5) } else { 1.0 };
        let wave = |sample: usize, frequency: usize| {
            libm::cos(std::f64::consts::PI * (2 * sample + 1) as f64 * frequency as f64 / (2 * side) as f64)
        };
        let mut samples = Vec::new();
        for y in 0..side {
            for x in 0..side {
                let mut sum = 0.0;
                for v in 0..side {
                    for u in 0..side {
                        let value = f64::from(block[v * side + u]);
                        sum += scale(u) * scale(v) * value * wave(x, u) * wave(y, v) / 4.0;
                    }
                }
                samples.push((sum + 128.0).clamp(0.0, 255.0).round_ties_even() as u8);
            }
        }
        samples
    }

    #[test]
    fn as_the_standard_defines_it_at_every_size() {
        for side in 1..=8 {
            let mut block = [0; 128];
            for (index, value) in block.iter_mut().enumerate().take(side * side) {
                *value = ((index * 7919 + side * 31) % 401) as i32 - 200;
            }
            let inverse = InverseDct::new(side);
            let mut out = vec![0; side * side];
            inverse.apply(&block, &mut out, side);
            for (is, should) in out.iter().zip(by_definition(side, &block)) {
                assert!(is.abs_diff(should) <= 1, "{side}: {out:?}");
            }
            let mut flat = [0; 128];
            flat[0] = 333;
            let mut out = vec![0; side * side];
            inverse.apply_dc(333, &mut out, side);
            assert_eq!(out, by_definition(side, &flat));
        }
    }
}
