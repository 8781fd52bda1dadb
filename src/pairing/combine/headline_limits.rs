//! Limits on the headline figures of a build.

use crate::fit::assembly::Assembly;
use crate::fit::headline::headline;
use crate::fit::nominal::{Ease, Grade};
use crate::fit::verdict::Band;

/// Limits on the headline figures, mm.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct HeadlineLimits {
    /// Across the case.
    pub diameter: Band,
    /// From the back to the top.
    pub thickness: Band,
    /// Lug to lug.
    pub lug_to_lug: Band,
}

impl HeadlineLimits {
    /// Whether a watch's headline figures lie in them.
    pub fn grade(&self, watch: &Assembly) -> Grade {
        if *self == HeadlineLimits::default() {
            return Grade::BEST;
        }
        let told = headline(watch);
        let pairs = [
            (self.diameter, told.diameter),
            (self.thickness, told.thickness),
            (self.lug_to_lug, told.lug_to_lug),
        ];
        let one = |(limit, figure): (Band, Option<f64>)| match figure {
            _ if limit == Band::OPEN => Grade::BEST,
            Some(figure) if limit.holds(figure) => Grade::BEST,
            Some(_) => Grade::Fouls,
            None => Grade::Unmeasured(Ease::MOST),
        };
        pairs.into_iter().map(one).fold(Grade::BEST, Grade::and)
    }
}
