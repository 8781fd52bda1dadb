//! Where in a watch a finding is, and how the drawings mark it.

use super::parts::Role;
use crate::draw::svg::figure;
use crate::fit::verdict::Verdict;

/// Where in the watch a finding lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Place {
    /// A hand under the crystal.
    UnderCrystal(Role),
    /// One hand over another.
    HandsApart {
        /// The upper hand.
        upper: Role,
        /// The lower one.
        lower: Role,
    },
    /// A hand over the dial's face.
    OverDial(Role),
    /// A hand over indices or what else is raised.
    OverIndices(Role),
    /// A hand's tip inside rehaut or chapter ring.
    InRing(Role),
    /// The small seconds hand over its recess.
    SmallSeconds,
    /// The dial in its seat.
    Seat,
    /// The dial over the opening's edge.
    Opening,
    /// The dial's print and the opening.
    Track,
    /// The hour pipe through the dial.
    DialHole,
    /// A foot against its hole, counted from 1 in the order of the dial's feet.
    Foot(usize),
    /// The date's figure in its window, radially.
    DateAlong,
    /// The date's figure in its window, tangentially.
    DateAcross,
    /// The room of a loose chapter ring.
    RingRoom,
    /// The movement in its ring or in the case.
    MovementInCase,
    /// The movement held by ring and back.
    MovementHeld,
    /// Rotor or movement over the back.
    Back,
    /// The stem at the height of its tube.
    Stem,
    /// The crystal's gasket.
    CrystalGasket,
    /// The back's gasket.
    BackGasket,
}

/// A finding where it lies.
#[derive(Clone, PartialEq, Debug)]
pub struct Clearance {
    /// Where.
    pub place: Place,
    /// What it is, in words for a label, as `seconds over minute`.
    pub label: String,
    /// The result in mm, or as a share where the check is of one; `None` while unmeasured.
    pub figure: Option<f64>,
    /// Decimals of the figure.
    pub decimals: usize,
    /// How it came out.
    pub verdict: Verdict,
    /// Known and accepted: it keeps its verdict and goes back to ink.
    pub accepted: bool,
    /// How it came out with the parts as they came, where one was altered since; its figure where known.
    pub as_came: Option<(Option<f64>, Verdict)>,
}

impl Clearance {
    /// How it was as the parts came, in words; `None` where that was no different.
    pub(crate) fn came_words(&self) -> Option<String> {
        let (came, verdict) = self.as_came?;
        let text = |value: f64| figure(value, self.decimals.min(3));
        if verdict == self.verdict && came.is_none_or(|came| self.figure.map(text) == Some(text(came))) {
            return None;
        }
        Some(match came {
            Some(came) => format!("came as {}, {}", text(came), verdict.word()),
            None => format!("as it came: {}", verdict.word()),
        })
    }

    /// Whether it is drawn in the accent.
    pub(crate) fn accented(&self) -> bool {
        self.verdict != Verdict::Clear && !self.accepted
    }
}
