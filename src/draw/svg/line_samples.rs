//! Samples of the drawings' lines and hatchings, for the key beside them.

use super::sheet::Sheet;

/// A line or a hatching of the drawings, for the key beside them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum LineSample {
    /// Cut, or an edge that counts.
    Outline,
    /// Dimension, sweep, leader.
    Dimension,
    /// Not measured: its place is a guess.
    Unmeasured,
    /// As the part came.
    AsCame,
    /// An axis.
    Axis,
    /// Wants a second look.
    Accent,
    /// Metal, cut; neighbours lean apart.
    Metal,
    /// Plastic, cut; then the movement, not cut.
    Plastic,
}

impl LineSample {
    /// In the order of the key.
    pub const ALL: [LineSample; 8] = [
        LineSample::Outline,
        LineSample::Dimension,
        LineSample::Unmeasured,
        LineSample::AsCame,
        LineSample::Axis,
        LineSample::Accent,
        LineSample::Metal,
        LineSample::Plastic,
    ];

    /// What the key says beside it.
    pub fn words(self) -> &'static str {
        match self {
            LineSample::Outline => "cut, or an edge that counts",
            LineSample::Dimension => "dimension, sweep, leader",
            LineSample::Unmeasured => "not measured: its place is a guess",
            LineSample::AsCame => "as the part came",
            LineSample::Axis => "axis",
            LineSample::Accent => "needs attention",
            LineSample::Metal => "metal, cut; neighbours lean apart",
            LineSample::Plastic => "plastic, cut; movement, not cut",
        }
    }
}

/// A piece of the line or hatching, 60 px wide.
pub fn line_sample(sample: LineSample) -> String {
    let mut sheet = Sheet::default();
    let class = match sample {
        LineSample::Outline => "o",
        LineSample::Dimension => "x",
        LineSample::Unmeasured => "u",
        LineSample::AsCame => "p",
        LineSample::Axis => "k",
        LineSample::Accent => "xa",
        LineSample::Metal | LineSample::Plastic => {
            let (left, right) = if sample == LineSample::Metal { ("n h1", "n h2") } else { ("n h3", "n mf") };
            sheet.rect(left, 1.0, 1.0, 29.0, 21.0);
            sheet.rect(right, 29.0, 1.0, 59.0, 21.0);
            return sheet.ornament("sa", 60.0, 22.0);
        }
    };
    sheet.line(class, 0.0, 6.0, 60.0, 6.0);
    sheet.ornament("sa", 60.0, 12.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::well_formed;

    #[test]
    fn each_line_of_the_key_is_drawn() {
        for one in LineSample::ALL {
            well_formed(&line_sample(one));
            assert!(!one.words().is_empty());
        }
    }
}
