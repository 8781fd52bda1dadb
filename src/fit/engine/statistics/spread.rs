//! The distribution of a sum of independent errors, normal and uniform ones together.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use crate::fit::engine::expression::expr::Shape;

/// A sum of normal and uniform errors around a centre; symmetric about it.
///
/// One or two uniform errors beside the normal ones are convolved in closed form, more of them
/// by their Fourier series; chances are good to about 1e-5 absolutely. A uniform error that is
/// small beside the whole counts as a normal one of the same variance.
#[derive(Clone, Debug)]
pub struct Spread {
    centre: f64,
    /// Standard deviation of all normal parts together.
    normal: f64,
    /// Standard deviation of everything.
    sigma: f64,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    Normal,
    /// Half width.
    One(f64),
    Two(f64, f64),
    Series(Series),
}

/// `1/2 + x / 2L + sum of terms[m] sin((m + 1) pi x / L)` for x in -L..L.
#[derive(Clone, Debug)]
struct Series {
    half_period: f64,
    terms: Vec<f64>,
}

/// A uniform error of a half width below this part of the whole standard deviation counts as
/// normal. Its fourth cumulant, all that is lost, then shifts no chance by more than 2e-6.
const SMALL: f64 = 0.15;
/// Terms of the series that are left out stay together below this.
const LEFT_OUT: f64 = 1e-6;
const MOST_TERMS: usize = 600;

impl Spread {
    /// The spread of the sum of `parts`, each with its half width (three standard deviations of
    /// a normal one) as far as it reaches in the result.
    pub fn new(centre: f64, parts: impl Iterator<Item = (f64, Shape)>) -> Spread {
        let (mut variance, mut normal) = (0.0, 0.0);
        let mut uniform = Vec::new();
        for (half, shape) in parts.filter(|&(half, _)| half != 0.0) {
            let part = share_of_variance(half, shape);
            variance += part;
            match shape {
                Shape::Normal => normal += part,
                Shape::Uniform => uniform.push(libm::fabs(half)),
            }
        }
        let sigma = libm::sqrt(variance);
        uniform.retain(|&half| {
            let small = half < SMALL * sigma;
            normal += if small { share_of_variance(half, Shape::Uniform) } else { 0.0 };
            !small
        });
        let normal = libm::sqrt(normal);
        let kind = match uniform[..] {
            [] => Kind::Normal,
            [one] => Kind::One(one),
            [one, two] => Kind::Two(one, two),
            _ => Kind::Series(Series::new(normal, sigma, &uniform)),
        };
        Spread { centre, normal, sigma, kind }
    }

    /// The standard deviation.
    pub fn sigma(&self) -> f64 {
        self.sigma
    }

    /// The chance of lying below `x`; without any spread 0 or 1.
    pub fn below(&self, x: f64) -> f64 {
        let off = x - self.centre;
        if self.sigma == 0.0 {
            return if off > 0.0 { 1.0 } else { 0.0 };
        }
        let s = self.normal;
        let chance = match &self.kind {
            Kind::Normal => phi(off / s),
            Kind::One(h) => (ramp(off + h, s) - ramp(off - h, s)) / (2.0 * h),
            Kind::Two(h, k) => {
                let sum = h + k;
                let gap = h - k;
                (bowl(off + sum, s) - bowl(off + gap, s) - bowl(off - gap, s) + bowl(off - sum, s))
                    / (4.0 * h * k)
            }
            Kind::Series(series) => series.below(off),
        };
        chance.clamp(0.0, 1.0)
    }

    /// The chance of lying above `x`; without any spread 0 or 1.
    pub fn above(&self, x: f64) -> f64 {
        // It is symmetric, and a small chance keeps its digits only at the lower end.
        self.below(2.0 * self.centre - x)
    }

    /// The ends between which 95 of 100 lie, 2.5 on either side.
    pub fn likely(&self) -> (f64, f64) {
        let off = match &self.kind {
            _ if self.sigma == 0.0 => 0.0,
            Kind::Normal => 1.959_963_984_540_054 * self.sigma,
            _ => self.offset(0.975),
        };
        (self.centre - off, self.centre + off)
    }

    /// How far above the centre the given chance is reached, by regula falsi (Illinois).
    fn offset(&self, chance: f64) -> f64 {
        let short = |off: f64| self.below(self.centre + off) - chance;
        // Sums of uniform and normal errors reach it between 1.64 and 1.97 standard deviations.
        let (mut lo, mut hi) = (1.6 * self.sigma, 2.0 * self.sigma);
        let (mut at_lo, mut at_hi) = (short(lo), short(hi));
        for _ in 0..30 {
            let off = (lo * at_hi - hi * at_lo) / (at_hi - at_lo);
            let at = short(off);
            if libm::fabs(at) < 1e-7 || hi - lo < 1e-9 * self.sigma {
                return off;
            }
            if at > 0.0 {
                (hi, at_hi) = (off, at);
                at_lo *= 0.5;
            } else {
                (lo, at_lo) = (off, at);
                at_hi *= 0.5;
            }
        }
        0.5 * (lo + hi)
    }
}

/// The variance of an error of the given half width.
pub fn share_of_variance(half: f64, shape: Shape) -> f64 {
    match shape {
        Shape::Normal => half * half / 9.0,
        Shape::Uniform => half * half / 3.0,
    }
}

impl Series {
    fn new(normal: f64, sigma: f64, uniform: &[f64]) -> Series {
        let reach: f64 = uniform.iter().sum::<f64>() + 6.5 * normal;
        let half_period = f64::min(reach, 6.5 * sigma);
        let step = PI / half_period;
        // Powers of the normal part's transform: q^(m^2), and the sines' recurrences.
        let q = libm::exp(-0.5 * step * step * normal * normal);
        let (mut damped, mut ratio) = (1.0, q);
        let mut sines: Vec<Recurrence> = uniform.iter().map(|half| Recurrence::new(half * step)).collect();
        let mut terms = Vec::new();
        for m in 1..=MOST_TERMS {
            damped *= ratio;
            ratio *= q * q;
            let m = m as f64;
            let (mut transform, mut envelope) = (damped, damped);
            for (sine, half) in sines.iter_mut().zip(uniform) {
                let angle = half * step * m;
                transform *= sine.next() / angle;
                envelope *= f64::min(1.0, 1.0 / angle);
            }
            terms.push(transform / (m * PI));
            if envelope < LEFT_OUT {
                break;
            }
        }
        Series { half_period, terms }
    }

    fn below(&self, off: f64) -> f64 {
        if off <= -self.half_period {
            return 0.0;
        }
        if off >= self.half_period {
            return 1.0;
        }
        let mut sine = Recurrence::new(off * PI / self.half_period);
        let sum: f64 = self.terms.iter().map(|term| term * sine.next()).sum();
        0.5 + 0.5 * off / self.half_period + sum
    }
}

/// The sines of 1, 2, 3, ... times an angle.
struct Recurrence {
    twice_cosine: f64,
    last: f64,
    now: f64,
}

impl Recurrence {
    fn new(angle: f64) -> Recurrence {
        Recurrence { twice_cosine: 2.0 * libm::cos(angle), last: 0.0, now: libm::sin(angle) }
    }

    fn next(&mut self) -> f64 {
        let now = self.now;
        (self.now, self.last) = (self.twice_cosine * now - self.last, now);
        now
    }
}

/// The standard normal distribution.
pub(in crate::fit::engine) fn phi(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

fn density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / libm::sqrt(2.0 * PI)
}

/// The integral of the distribution of a normal error of standard deviation s.
fn ramp(x: f64, s: f64) -> f64 {
    if x > 9.0 * s {
        x
    } else if x < -9.0 * s || s == 0.0 {
        0.0
    } else {
        let z = x / s;
        x * phi(z) + s * density(z)
    }
}

/// The integral of the ramp.
fn bowl(x: f64, s: f64) -> f64 {
    if x > 9.0 * s {
        0.5 * (x * x + s * s)
    } else if x < -9.0 * s || s == 0.0 {
        0.0
    } else {
        let z = x / s;
        0.5 * ((x * x + s * s) * phi(z) + x * s * density(z))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(parts: &[(f64, Shape)], half_interval: f64, within: f64) {
        let spread = Spread::new(0.0, parts.iter().copied());
        let (low, high) = spread.likely();
        assert!((high - half_interval).abs() < within, "{high} for {half_interval}");
        assert!((low + half_interval).abs() < within);
    }

    /// A standard deviation of 1, as the GUM supplement has its errors.
    const UNIT_NORMAL: (f64, Shape) = (3.0, Shape::Normal);

    fn unit_uniform() -> (f64, Shape) {
        (libm::sqrt(3.0), Shape::Uniform)
    }

    /// JCGM 101:2008, 9.2.2: four normal errors of standard deviation 1.
    #[test]
    fn four_normal_errors() {
        check(&[UNIT_NORMAL; 4], 3.919_928, 1e-5);
    }

    /// JCGM 101:2008, 9.2.3 and annex E: four uniform errors; 2 sqrt 3 (2 - (3/5)^(1/4)).
    #[test]
    fn four_uniform_errors() {
        let exact = 2.0 * libm::sqrt(3.0) * (2.0 - libm::pow(0.6, 0.25));
        check(&[unit_uniform(); 4], exact, 2e-4);
    }

    /// JCGM 101:2008, 9.2.4: one uniform error ten times the three others; published 17.0.
    #[test]
    fn one_uniform_error_stands_out() {
        let (half, _) = unit_uniform();
        let parts = [unit_uniform(), unit_uniform(), unit_uniform(), (10.0 * half, Shape::Uniform)];
        check(&parts, 17.0, 0.06);
    }

    /// The distribution of a sum of uniform errors has a closed form (Irwin and Hall).
    #[test]
    fn three_uniform_errors_follow_irwin_and_hall() {
        let spread = Spread::new(0.0, [(0.5, Shape::Uniform); 3].into_iter());
        for x in [-1.4f64, -1.0, -0.6, -0.2, 0.0, 0.3, 0.9, 1.2, 1.45] {
            let y = x + 1.5;
            let cube = |t: f64| if t > 0.0 { t * t * t } else { 0.0 };
            let exact = (cube(y) - 3.0 * cube(y - 1.0) + 3.0 * cube(y - 2.0)) / 6.0;
            assert!((spread.below(x) - exact).abs() < 3e-6, "{x}: {} {exact}", spread.below(x));
        }
    }

    /// Closed forms and the series are the same function.
    #[test]
    fn the_series_meets_the_closed_forms() {
        for normal in [0.02, 0.2, 0.7] {
            for (h, k) in [(1.0, 0.9), (1.0, 0.4)] {
                let closed = Spread::new(
                    0.0,
                    [(3.0 * normal, Shape::Normal), (h, Shape::Uniform), (k, Shape::Uniform)].into_iter(),
                );
                let series = Series::new(closed.normal, closed.sigma, &[h, k]);
                for n in 0..40 {
                    let x = -2.0 + 0.1 * f64::from(n);
                    assert!((closed.below(x) - series.below(x)).abs() < 1e-5, "{normal} {h} {k} {x}");
                }
            }
        }
    }

    /// Tails of the standard normal distribution, computed with scipy.
    #[test]
    fn normal_tails() {
        let spread = Spread::new(0.0, [UNIT_NORMAL].into_iter());
        for (z, tail) in
            [(1.0, 0.158_655_254), (1.645, 0.049_984_905_5), (3.0, 0.001_349_898_03), (6.0, 9.865_876_45e-10)]
        {
            assert!((spread.below(-z) / tail - 1.0).abs() < 1e-6);
        }
    }
}
