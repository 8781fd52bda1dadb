//! The heights and radii that checks share. z = 0 is the movement's plate, up is the crystal.

use crate::journal::Slot;
use crate::measure::{Dimension, Origin, Quantity, clock};

use super::assembly::{Assembly, term};
use super::compiled::{Compiled, Scratch};
use super::expr::Expr;
use super::physics::{materials, plate, water};

/// The play of a gap that nobody measured, mm: design's figure for an unknown centring gap.
const UNKNOWN_PLAY: f64 = 0.20;

impl Assembly {
    /// The shim between movement and dial; 0 where there is none.
    pub fn shim(&self) -> Expr {
        if self.has(Slot::Shim) { self.dim("shim.thickness") } else { Expr::from(0.0) }
    }

    /// F, the dial's face.
    pub fn face(&self) -> Expr {
        self.shim() + self.dim("dial.thickness")
    }

    /// L, the case's ledge: on the dial's front, under it, or at a height of its own.
    pub fn ledge(&self) -> Expr {
        if self.knows("case.ledge.over_seat") {
            return self.dim("case.ledge.over_seat");
        }
        match self.word("case.ledge") {
            Some("back") => self.shim(),
            _ => self.face(),
        }
    }

    /// Whether the ledge bears on the dial's front, so that ledge and face are one height.
    pub fn ledge_on_face(&self) -> bool {
        !self.knows("case.ledge.over_seat") && self.word("case.ledge") != Some("back")
    }

    /// The hands of the build whose heights are over the dial, with their words; a seconds hand on
    /// a small seconds post has its own place and is among them.
    pub fn hands(&self) -> Vec<Slot> {
        Slot::HANDS.into_iter().filter(|slot| self.has(*slot)).collect()
    }

    /// Whether the seconds hand turns off the centre.
    pub fn small_seconds(&self) -> bool {
        self.knows("movement.posts.seconds.radius")
            || self.word("movement.seconds_at") == Some("small")
            || self.knows("dial.small_seconds.radius")
    }

    /// T, a hand's top: as seated, else its post's top and what stands proud of it.
    pub fn top(&self, hand: Slot) -> Expr {
        let name = hand.name();
        if self.knows(&format!("{name}.seated")) {
            return self.dim(format!("{name}.seated"));
        }
        self.dim(format!("movement.posts.{name}.top")) + self.dim_or(format!("{name}.proud"), 0.0)
    }

    /// U, a hand's underside over the dial.
    pub fn underside(&self, hand: Slot) -> Expr {
        self.top(hand) - self.dim(format!("{}.thickness", hand.name()))
    }

    /// A, the end of a hand's pipe at the axis; `None` where its length is not known.
    pub fn pipe_end(&self, hand: Slot) -> Option<Expr> {
        let pipe = format!("{}.pipe", hand.name());
        self.knows(&pipe).then(|| self.underside(hand) - self.dim(pipe))
    }

    /// How far the movement is turned in the case, degrees clockwise: the crown's place less 3h.
    ///
    /// Only the nominal place counts: dial and movement turn in the case as one, and a crown that
    /// stands a little off makes the dial lean but takes no foot out of its hole.
    ///
    /// Without a case it is turned as the dial says that its crown stands, else not at all.
    pub fn turn(&self) -> Expr {
        if !self.has(Slot::Case) {
            return Expr::from(self.value("dial.crown_at").unwrap_or(90.0) - 90.0);
        }
        match self.value("case.crown_at") {
            Some(at) => Expr::from(at - 90.0),
            None => self.dim("case.crown_at") - 90.0,
        }
    }

    /// The inner diameter that the dial is seen through, at its foot.
    pub fn opening(&self) -> Expr {
        if self.has(Slot::ChapterRing) {
            return self.dim("chapter_ring.bottom");
        }
        if self.knows("case.opening") && !self.knows("case.rehaut.bottom") {
            return self.dim("case.opening");
        }
        self.dim("case.rehaut.bottom")
    }

    /// The least inner radius around a hand, from its underside up to its top.
    ///
    /// Up to its rim the ring is a cone; above that stands what bears on the ring. A hand whose top
    /// is above the rim has the cone beside its underside still. Both sides of that step are held at
    /// the rim, as [`Expr::choose`] asks: `up` counts up to the ring's height on the one, and from
    /// there on the other.
    pub fn least_inner_radius(&self, hand: Slot) -> Expr {
        let (ring, foot) = match self.has(Slot::ChapterRing) {
            true => ("chapter_ring", self.face()),
            false => ("case.rehaut", self.ledge()),
        };
        if ring == "case.rehaut" && !self.knows("case.rehaut.bottom") && self.knows("case.opening") {
            return (self.dim("case.opening") / 2.0).named("inner radius");
        }
        let bottom = self.dim(format!("{ring}.bottom")) / 2.0;
        let top = self.dim(format!("{ring}.top")) / 2.0;
        let height = self.dim(format!("{ring}.height"));
        let thickness = self.dim(format!("{}.thickness", hand.name()));
        let cone = |part: Expr| &bottom + (&top - &bottom) * part.max(0.0).min(1.0);
        let above = match self.knows("crystal_gasket.inner") {
            true => top.clone().min(self.dim("crystal_gasket.inner") / 2.0),
            false => top.clone(),
        };
        let up = self.top(hand) - foot;
        // As parts of the ring's height: the hand's top, its thickness, its underside.
        let (part, thick) = (&up / &height, thickness / &height);
        let under = &part - &thick;
        let within = cone(part).min(cone(under.clone().min(1.0 - &thick)));
        let beyond = above.min(cone(under.max(1.0 - &thick)));
        Expr::choose(up - &height, within, beyond).named("inner radius")
    }

    /// The height of the crystal's seat.
    pub fn crystal_seat(&self) -> Expr {
        self.ledge() + self.dim("case.shelf") + self.flange()
    }

    /// What is under the crystal on its seat; 0 where no gasket with a flange is recorded.
    pub fn flange(&self) -> Expr {
        if self.knows("crystal_gasket.flange") { self.dim("crystal_gasket.flange") } else { Expr::from(0.0) }
    }

    /// The crystal's inner face at a radius, bent by the target pressure where that is known.
    pub fn crystal_face(&self, radius: Expr) -> Expr {
        let form = self.word("crystal.form");
        let wall = if form == Some("box") { self.dim("crystal.wall") } else { Expr::from(0.0) };
        let face = self.crystal_seat() + wall;
        let flat = form == Some("flat") && !self.knows("crystal.inner_rise");
        let face = match flat {
            true => face,
            false => {
                let aperture = self.dim("crystal.inner_aperture") / 2.0;
                face + Expr::sag(radius, aperture, self.dim("crystal.inner_rise"))
            }
        };
        match self.crystal_bending() {
            Some(bending) => face - bending.named("bending"),
            None => face,
        }
    }

    /// How far the crystal's centre bends in at the target pressure; `None` where something that
    /// it takes is not known.
    pub fn crystal_bending(&self) -> Option<Expr> {
        let bar = Expr::from(self.target_water()?);
        let plate = self.plate("crystal.material", plate::Rim::Free)?;
        let radius = self.crystal_radius()?;
        let thickness = self.knows("crystal.thickness").then(|| self.dim("crystal.thickness"))?;
        Some(plate.deflection_mm(water::marked_load_mpa(bar), radius, thickness))
    }

    /// The radius over which water presses the crystal in.
    pub fn crystal_radius(&self) -> Option<Expr> {
        ["crystal.inner_aperture", "crystal.diameter"]
            .into_iter()
            .find(|name| self.knows(name))
            .map(|name| self.dim(name) / 2.0)
    }

    /// How far the back bends in at the target pressure; `None` where something is not known.
    pub fn back_bending(&self) -> Option<Expr> {
        let back = if self.has(Slot::Back) { "back" } else { "case.back" };
        let bar = Expr::from(self.target_water()?);
        let rim = match self.word(&format!("{back}.edge"))? {
            "held" => plate::Rim::Held,
            _ => plate::Rim::Free,
        };
        let plate = self.plate(&format!("{back}.material"), rim)?;
        let (free, thick) = (format!("{back}.free_diameter"), format!("{back}.thickness"));
        if !self.knows(&free) || !self.knows(&thick) {
            return None;
        }
        Some(plate.deflection_mm(water::marked_load_mpa(bar), self.dim(free) / 2.0, self.dim(thick)))
    }

    /// A plate of the material that a part names; `None` where it names none that is known.
    pub fn plate(&self, word: &str, rim: plate::Rim) -> Option<plate::Plate> {
        let material = materials::material(self.word(word)?)?;
        Some(plate::Plate { rim, poisson: material.poisson.value, young_mpa: material.young.value })
    }

    /// How far the movement may stand off the case's centre, mm: nothing, plus or minus its play.
    ///
    /// Half of each diametral gap between movement, its ring and the case; a gap below zero leaves
    /// no play, an unknown one is taken for 0.20.
    pub fn centring(&self) -> Expr {
        let movement = self.casing();
        let gaps = match self.has(Slot::Ring) {
            true => vec![("ring.inner", movement), ("case.bore", "ring.outer")],
            false => vec![("case.bore", movement)],
        };
        term("centring", &self.play(&gaps))
    }

    /// How far a dial without feet may stand off the movement's centre: its own play in the seat,
    /// and the movement's.
    pub fn dial_centring(&self) -> Expr {
        let seat = match self.has(Slot::DialRing) {
            true => vec![("case.dial_seat", "dial_ring.outer"), ("dial_ring.inner", "dial.diameter")],
            false => vec![("case.dial_seat", "dial.diameter")],
        };
        let seat = self.play(&seat);
        let movement = match self.has(Slot::Ring) {
            true => self.play(&[("ring.inner", self.casing()), ("case.bore", "ring.outer")]),
            false => self.play(&[("case.bore", self.casing())]),
        };
        let play = seat.plus + movement.plus;
        let origin = seat.origin.max(movement.origin);
        let none = Dimension::exact(0.0, Quantity::Height, origin);
        let size = Dimension { plus: play, minus: play, ..none };
        term("dial centring", &size)
    }

    /// What of the movement goes into the bore: its holder where that is on.
    pub fn casing(&self) -> &'static str {
        if self.holder_on() { "movement.holder.outer" } else { "movement.casing_diameter" }
    }

    /// Whether the movement's dial-holding ring is on.
    pub fn holder_on(&self) -> bool {
        self.word("movement.holder") == Some("yes")
    }

    fn play(&self, gaps: &[(&str, &str)]) -> Dimension {
        let mut play = Dimension::exact(0.0, Quantity::Height, Origin::Gauged);
        for (outer, inner) in gaps {
            let half = match (self.known(outer), self.known(inner)) {
                (Some(outer), Some(inner)) => {
                    play.origin = play.origin.max(outer.size.origin).max(inner.size.origin);
                    ((outer.size.value - inner.size.value) / 2.0).max(0.0)
                }
                _ => {
                    play.origin = Origin::Assumed;
                    UNKNOWN_PLAY
                }
            };
            play.plus += half;
        }
        play.minus = play.plus;
        play
    }

    /// What a formula comes to with every dimension at its nominal value, where that decides what is
    /// asked; `None` where one is missing.
    pub fn nominal(&self, formula: &Expr) -> Option<f64> {
        for term in formula.terms() {
            self.known(&term.name);
        }
        nominal(formula)
    }

    /// A direction in words: `4h`, or degrees where it is no whole minute.
    pub fn direction(degrees: f64) -> String {
        clock::print(degrees).unwrap_or_else(|| format!("{degrees:.1} deg"))
    }
}

/// What a formula comes to with every dimension at its nominal value; `None` where one is missing.
/// For words only: what decides which findings there are asks [`Assembly::nominal`].
pub(super) fn nominal(formula: &Expr) -> Option<f64> {
    let compiled = Compiled::new(formula);
    let leaves: Option<Vec<f64>> = compiled.terms.iter().map(|term| term.value).collect();
    Some(compiled.value(&leaves?, &mut Scratch::new()))
}
