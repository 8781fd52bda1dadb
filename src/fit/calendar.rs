//! Where the figures of date and day stand behind their windows.

use crate::journal::Slot;
use crate::measure::{Dimension, Origin, Quantity};

use super::assembly::{Assembly, term};
use super::expr::Expr;

/// One of a movement's calendar rings, with the window that it is seen through.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Calendar {
    /// The date.
    Date,
    /// The day of the week.
    Day,
}

/// How far a dial that no foot holds may be turned, degrees either way: what the eye sees when it
/// is laid on (design's figure).
const LAID_BY_EYE: f64 = 1.0;

/// Figures on a ring of the days of a month.
const DATE_PITCH: f64 = 360.0 / 31.0;

impl Calendar {
    /// The word in its dimensions' names: `movement.date.at`, `dial.date_window.at`.
    pub fn word(self) -> &'static str {
        match self {
            Calendar::Date => "date",
            Calendar::Day => "day",
        }
    }

    fn figure(self, field: &str) -> String {
        format!("movement.{}.{field}", self.word())
    }

    fn window(self, field: &str) -> String {
        format!("dial.{}_window.{field}", self.word())
    }
}

impl Assembly {
    /// Whether the dial has a window for it.
    pub fn shows(&self, ring: Calendar) -> bool {
        self.has_any(&format!("dial.{}_window", ring.word()))
    }

    /// Whether the movement has it, as far as its sheet says.
    pub fn turns(&self, ring: Calendar) -> bool {
        self.has_any(&format!("movement.{}", ring.word()))
    }

    /// Whether there is a figure behind a window to speak of.
    pub fn calendar(&self, ring: Calendar) -> bool {
        self.filled([Slot::Dial, Slot::Movement]) && self.shows(ring) && self.turns(ring)
    }

    /// What is left of the window along the radius beyond the figure that stands next to it.
    pub fn room_along(&self, ring: Calendar) -> Expr {
        let radius = self.dim(ring.figure("radius")) * self.figure_off(ring).cos_deg();
        let off = (radius - self.dim(ring.window("radius"))).abs();
        self.loose((self.dim(ring.window("along")) - self.dim(ring.figure("along"))) / 2.0 - off)
    }

    /// What is left of the window across the radius beyond the figure that stands next to it.
    pub fn room_across(&self, ring: Calendar) -> Expr {
        let off = (self.dim(ring.figure("radius")) * self.figure_off(ring).sin_deg()).abs();
        self.loose((self.dim(ring.window("across")) - self.dim(ring.figure("across"))) / 2.0 - off)
    }

    /// How far the figures lean in the date window, degrees: from the direction at which they stand
    /// upright to the window's.
    ///
    /// A figure turns with its ring about the centre, and so does its upright: whichever one stands
    /// behind the window, and however the movement is turned under the dial, it leans by that angle.
    pub fn lean(&self) -> Expr {
        let ring = Calendar::Date;
        let upright = self.dim(ring.figure("at"));
        self.laid(self.dim(ring.window("at")) - upright).nearest_turn(360.0).abs()
    }

    /// The direction of the numeral nearest the window, less the window's.
    fn figure_off(&self, ring: Calendar) -> Expr {
        let turned = self.dim(ring.figure("at")) + self.ring_turn();
        let off = self.laid(turned - self.dim(ring.window("at")));
        off.nearest_turn(self.pitch(ring))
    }

    /// How far the movement is turned under the dial. Feet hold the two to each other, whatever the
    /// crown's own doubt; a dial that is laid by eye stands upright, and the crown turns under it.
    fn ring_turn(&self) -> Expr {
        match self.value("case.crown_at").filter(|at| *at != 90.0) {
            Some(_) if !self.on_feet() => self.dim("case.crown_at") - 90.0,
            _ => self.turn(),
        }
    }

    /// The angle from one figure to the next: for the date one of 31, unless the sheet says other.
    fn pitch(&self, ring: Calendar) -> Expr {
        let name = ring.figure("pitch");
        let written = self.value(&name).filter(|pitch| *pitch > 0.0);
        match (ring, written) {
            (_, Some(_)) | (Calendar::Day, None) => self.dim(name),
            (Calendar::Date, None) => Expr::from(DATE_PITCH),
        }
    }

    /// A room, less what a dial that no foot holds may stand off the centre.
    fn loose(&self, room: Expr) -> Expr {
        if self.on_feet() { room } else { room - self.dial_centring() }
    }

    /// An angle, with what a dial that no foot holds may be turned.
    fn laid(&self, angle: Expr) -> Expr {
        if self.on_feet() {
            return angle;
        }
        let straight = Dimension::exact(0.0, Quantity::Turn, Origin::Measured);
        let turned = Dimension { plus: LAID_BY_EYE, minus: LAID_BY_EYE, ..straight };
        angle + term("dial turned", &turned)
    }
}
