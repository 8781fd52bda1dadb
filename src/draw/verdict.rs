//! A verdict as the drawings mark it: by word and by shape, never by colour alone.

/// How a finding came out.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Verdict {
    /// Within the advised band, as good as certainly.
    Clear,
    /// Outside the band, or too likely to be.
    Tight,
    /// Parts meet that must not.
    Fouls,
    /// A dimension is missing.
    Unmeasured,
}

impl Verdict {
    /// In the order of the legend.
    pub const ALL: [Verdict; 4] = [Verdict::Clear, Verdict::Tight, Verdict::Fouls, Verdict::Unmeasured];

    /// The word that always stands beside the glyph.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Clear => "clear",
            Verdict::Tight => "tight",
            Verdict::Fouls => "fouls",
            Verdict::Unmeasured => "unmeasured",
        }
    }

    /// The id of its glyph in the page's sprite.
    pub fn symbol(self) -> &'static str {
        match self {
            Verdict::Clear => "g-clear",
            Verdict::Tight => "g-tight",
            Verdict::Fouls => "g-fouls",
            Verdict::Unmeasured => "g-unmeasured",
        }
    }

    /// Whether it wants a second look.
    pub fn wants_a_look(self) -> bool {
        self != Verdict::Clear
    }

    /// What is shown first where only one finding can be: the higher, the more trouble.
    pub(crate) fn weight(self) -> u8 {
        match self {
            Verdict::Clear => 0,
            Verdict::Unmeasured => 1,
            Verdict::Tight => 2,
            Verdict::Fouls => 3,
        }
    }
}
