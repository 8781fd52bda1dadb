//! Where every edge of the section lies: heights over the movement's plate, radii from the axis.

use crate::draw::drafting::{Coordinate, size};
use crate::draw::watch::{DrawnWatch, Form, Hand, Ledge, Role};

/// Every radius and height of a watch, in mm; z = 0 at the movement's plate, up to the crystal.
pub(crate) struct Levels {
    /// The dial's underside: the shim's thickness.
    pub(crate) under: Coordinate,
    /// The dial's face.
    pub(crate) face: Coordinate,
    /// The case's ledge.
    pub(crate) ledge: Coordinate,
    /// The dial's radius.
    pub(crate) dial: Coordinate,
    /// What the movement fills of its bore.
    pub(crate) movement: Coordinate,
    /// The movement's lowest point.
    pub(crate) lowest: Coordinate,
    pub(crate) hands: Vec<HandCut>,
    pub(crate) case: Option<CaseCut>,
    pub(crate) crystal: Option<CrystalCut>,
}

/// A hand in the cut.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HandCut {
    pub(crate) role: Role,
    pub(crate) under: Coordinate,
    pub(crate) top: Coordinate,
    pub(crate) length: Coordinate,
    /// From the axis to the other end, or the boss where no tail is known.
    pub(crate) tail: f64,
    /// The end of its pipe.
    pub(crate) pipe: Option<f64>,
    /// The radius of its post.
    pub(crate) post: Coordinate,
    pub(crate) post_top: Coordinate,
}

/// The case in the cut: radii, and heights over the movement's plate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CaseCut {
    pub(crate) outer: Coordinate,
    pub(crate) seat: Coordinate,
    pub(crate) bore: Coordinate,
    /// The wall around the hands: at its foot, at its top, and how high the top is.
    pub(crate) wall: (Coordinate, Coordinate, Coordinate),
    pub(crate) shelf: Coordinate,
    pub(crate) crystal_seat: Coordinate,
    pub(crate) rim: Coordinate,
    /// Inside of the back.
    pub(crate) inside: Coordinate,
    /// Outside of the back.
    pub(crate) outside: Coordinate,
    pub(crate) tube: Coordinate,
    pub(crate) tube_end: Coordinate,
}

/// The crystal in the cut.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CrystalCut {
    pub(crate) form: Form,
    pub(crate) radius: Coordinate,
    /// The height of its foot.
    pub(crate) foot: Coordinate,
    /// From the foot to where its inner dome begins.
    pub(crate) wall: Coordinate,
    pub(crate) rise: Coordinate,
    pub(crate) aperture: Coordinate,
    /// From the foot to the top outside.
    pub(crate) height: Coordinate,
}

/// The height of a dome over its aperture's edge at radius `r`: `rise` at the axis, 0 from the
/// aperture's radius `a` outwards.
pub(crate) fn sag(r: f64, a: f64, rise: f64) -> f64 {
    if !(rise.abs() > 1e-9 && r.abs() < a) {
        return 0.0;
    }
    let sphere = (a * a + rise * rise) / (2.0 * rise.abs());
    let depth = libm::sqrt((sphere * sphere - r * r).max(0.0)) - (sphere - rise.abs());
    depth * rise.signum()
}

impl CrystalCut {
    /// The inner face at a radius.
    pub(crate) fn inner(&self, r: f64) -> f64 {
        self.foot.mm + self.wall.mm + sag(r, self.aperture.mm, self.rise.mm)
    }

    /// How far the outer face rises over its edge: nearly parallel to the inner one.
    pub(crate) fn outer_rise(&self) -> f64 {
        let usual = match self.form {
            Form::Flat => 0.0,
            Form::Domed | Form::Box => self.rise.mm.max(0.1) * 1.2,
        };
        usual.clamp(0.0, (self.height.mm - 0.4).max(0.0))
    }

    /// Whether foot and top are known.
    pub(crate) fn known(&self) -> bool {
        self.foot.known && self.height.known
    }
}

impl Levels {
    pub(crate) fn of(watch: &DrawnWatch) -> Levels {
        let under = watch.shim.map_or(Coordinate::known(0.0), |shim| Coordinate::size(shim.thickness, 0.1));
        let thickness =
            watch.dial.as_ref().map_or(Coordinate::known(0.0), |dial| Coordinate::size(dial.thickness, 0.4));
        let face = under + thickness;
        let case = watch.case.as_ref();
        let ledge = match case.map_or(Ledge::Front, |case| case.ledge) {
            Ledge::Front => face,
            Ledge::Back => under,
            Ledge::OverSeat(height) => Coordinate::height(Some(height), face.mm),
        };

        // Whatever is known of the middle gives a usual size to what is not.
        let movement_radius = watch.movement.as_ref().and_then(|m| size(m.casing_diameter)).map(|d| d / 2.0);
        let seat_radius = case.and_then(|c| size(c.dial_seat)).map(|d| d / 2.0);
        let bore_radius = case.and_then(|c| size(c.bore)).map(|d| d / 2.0);
        let usual_dial = seat_radius
            .or(bore_radius)
            .map(|r| r - 0.06)
            .or(movement_radius.map(|r| r + 0.8))
            .unwrap_or(14.0);
        let dial = Coordinate::radius(watch.dial.as_ref().and_then(|d| d.diameter), usual_dial);
        let movement = Coordinate::radius(
            watch.movement.as_ref().and_then(|m| m.casing_diameter),
            (dial.mm - 0.8).max(3.0),
        );
        let lowest = Coordinate::known(0.0)
            - Coordinate::size(watch.movement.as_ref().and_then(|m| m.height_below), 4.6);

        let hands = hands(watch, face);
        let highest = hands.iter().map(|hand| hand.top.mm).fold(face.mm + 1.2, f64::max);
        let mut levels =
            Levels { under, face, ledge, dial, movement, lowest, hands, case: None, crystal: None };
        let room = (highest + 0.5 - ledge.mm).clamp(0.8, 20.0);
        levels.case = case.map(|_| levels.case(watch, room));
        levels.crystal = watch.crystal.map(|_| levels.crystal(watch, room));
        levels
    }

    fn case(&self, watch: &DrawnWatch, room: f64) -> CaseCut {
        let case = watch.case.clone().unwrap_or_default();
        let ledge = self.ledge;
        let seat = Coordinate::radius(case.dial_seat, self.dial.mm + 0.06);
        let ring = watch.ring.and_then(|ring| size(ring.outer)).map(|d| d / 2.0 + 0.03);
        let bore = Coordinate::radius(case.bore, ring.unwrap_or(self.movement.mm.max(seat.mm - 0.3) + 0.05));
        let shelf = ledge + Coordinate::size(case.shelf, room);

        let opening = size(case.opening).map(|d| d / 2.0);
        let wall = if let Some(ring) = watch.chapter_ring {
            // The wall stands behind the ring.
            let outer = size(ring.outer).map(|d| d / 2.0 + 0.03);
            let r = match size(case.ring_seat).map(|d| d / 2.0).or(outer).or(opening) {
                Some(r) => Coordinate::known(r),
                None => Coordinate::guess(seat.mm - 0.1),
            };
            (r, r, shelf)
        } else if let Some(cone) = case.rehaut {
            let bottom = match size(cone.bottom).map(|d| d / 2.0).or(opening) {
                Some(r) => Coordinate::known(r),
                None => Coordinate::guess(self.dial.mm - 0.3),
            };
            let top = Coordinate::radius(cone.top, bottom.mm + 0.4);
            let height = Coordinate::size(cone.height, ((shelf - ledge).mm * 0.7).max(0.2));
            (bottom, top, ledge + height)
        } else {
            let r = opening.map_or(Coordinate::guess(self.dial.mm - 0.3), Coordinate::known);
            (r, r, shelf)
        };

        let section = watch.crystal_gasket.and_then(|g| size(g.section)).unwrap_or(0.4);
        let glass = watch.crystal.and_then(|c| size(c.diameter)).map(|d| d / 2.0);
        let crystal_seat = Coordinate::radius(
            case.crystal_seat,
            glass.map_or(wall.1.mm.max(self.dial.mm) + 1.0, |r| r + section),
        );
        let widest = bore.mm.max(seat.mm).max(crystal_seat.mm);
        let outer = Coordinate::radius(case.diameter, widest + 2.4);
        let height = watch.crystal.and_then(|c| size(c.height).or(size(c.thickness))).unwrap_or(1.2);
        let rim = match size(case.rim) {
            Some(rim) => ledge.by(rim),
            None => Coordinate::guess(shelf.mm + height.clamp(0.6, 1.4)),
        };
        let inside = ledge - Coordinate::size(case.depth, (ledge - self.lowest).mm + 0.4);
        let outside = match (size(case.back_to_ledge), size(case.back_thickness)) {
            (Some(back), _) => ledge.by(-back),
            (None, Some(thickness)) => inside.by(-thickness),
            (None, None) => Coordinate::guess(inside.mm - 0.9),
        };
        let stem = watch.movement.as_ref().and_then(|m| size(m.stem_below)).unwrap_or(1.8);
        let tube = ledge - Coordinate::size(case.tube_below, ledge.mm + stem);
        let tube_end = Coordinate::size(case.tube_end_radius, outer.mm + 0.3);
        CaseCut { outer, seat, bore, wall, shelf, crystal_seat, rim, inside, outside, tube, tube_end }
    }

    fn crystal(&self, watch: &DrawnWatch, room: f64) -> CrystalCut {
        let crystal = watch.crystal.unwrap_or_default();
        let shelf = match &self.case {
            Some(case) => case.shelf,
            None => Coordinate::guess(self.ledge.mm + room),
        };
        let flange = watch.crystal_gasket.map_or(0.0, |g| size(g.flange).unwrap_or(0.0));
        let usual = self.case.as_ref().map_or(self.dial.mm + 0.8, |case| case.crystal_seat.mm - 0.4);
        let radius = Coordinate::radius(crystal.diameter, usual);
        let aperture = match size(crystal.inner_aperture) {
            Some(d) => Coordinate::known(d / 2.0),
            None => Coordinate { mm: (radius.mm - 0.6).max(1.0), known: radius.known },
        };
        let rise = match crystal.form {
            Form::Flat => Coordinate::known(size(crystal.inner_rise).unwrap_or(0.0)),
            Form::Domed => Coordinate::size(crystal.inner_rise, 0.5),
            Form::Box => Coordinate::size(crystal.inner_rise, 0.4),
        };
        let wall = match crystal.form {
            Form::Box => Coordinate::size(crystal.wall, 1.2),
            Form::Flat | Form::Domed => Coordinate::known(0.0),
        };
        let thickness = Coordinate::size(crystal.thickness, 1.2);
        let height = match size(crystal.height) {
            Some(height) => Coordinate::known(height),
            None => wall + rise + thickness,
        };
        CrystalCut { form: crystal.form, radius, foot: shelf.by(flange), wall, rise, aperture, height }
    }

    /// The hands on the axis, from the dial upwards.
    pub(crate) fn stack(&self, small_seconds: bool) -> Vec<HandCut> {
        let mut stack: Vec<HandCut> = self
            .hands
            .iter()
            .filter(|hand| !(small_seconds && hand.role == Role::Seconds))
            .copied()
            .collect();
        stack.sort_by(|a, b| a.top.mm.total_cmp(&b.top.mm).then(a.role.cmp(&b.role)));
        stack
    }

    /// The greatest radius of anything but the crown.
    pub(crate) fn widest(&self) -> f64 {
        let hands = self.hands.iter().map(|hand| hand.length.mm);
        let parts = [
            Some(self.dial.mm),
            Some(self.movement.mm),
            self.case.as_ref().map(|case| case.outer.mm),
            self.case.as_ref().map(|case| case.bore.mm + 0.5),
            self.crystal.as_ref().map(|crystal| crystal.radius.mm),
        ];
        hands.chain(parts.into_iter().flatten()).fold(4.0, f64::max)
    }

    /// The highest edge.
    pub(crate) fn highest(&self) -> f64 {
        let parts = [
            self.case.as_ref().map(|case| case.rim.mm),
            self.crystal.as_ref().map(|crystal| crystal.foot.mm + crystal.height.mm),
        ];
        let hands = self.hands.iter().map(|hand| hand.top.mm.max(hand.post_top.mm));
        hands.chain(parts.into_iter().flatten()).fold(self.face.mm, f64::max)
    }

    /// The lowest edge.
    pub(crate) fn deepest(&self, movement: bool) -> f64 {
        let case = self.case.as_ref().map_or(0.0, |case| case.outside.mm.min(case.inside.mm));
        case.min(if movement { self.lowest.mm } else { 0.0 }).min(-0.5)
    }
}

/// Heights of the hands; one whose height is not known stands a usual step over the one below it.
fn hands(watch: &DrawnWatch, face: Coordinate) -> Vec<HandCut> {
    let mut hands: Vec<&Hand> = watch.hands.iter().collect();
    hands.sort_by_key(|hand| hand.role);
    let small = watch.movement.as_ref().is_some_and(|m| m.seconds_at.is_some());
    let mut last = face.mm + 0.35;
    let mut out = Vec::new();
    for hand in hands {
        let small_seconds = small && hand.role == Role::Seconds;
        let thickness = Coordinate::size(hand.thickness, 0.15);
        let usual = if small_seconds { face.mm + 0.45 } else { last + 0.4 };
        let top = Coordinate::height(hand.top, usual);
        let usual_length = match hand.role {
            Role::Hour => 8.0,
            Role::SecondTime => 9.5,
            Role::Minute => 12.0,
            Role::Seconds if small_seconds => 2.6,
            Role::Seconds => 12.5,
        };
        let boss = if hand.role == Role::Seconds { 0.8 } else { 1.3 };
        let post =
            watch.movement.as_ref().and_then(|m| m.posts.iter().find(|post| post.role == hand.role)).copied();
        let usual_post = match hand.role {
            Role::Hour | Role::SecondTime => 0.75,
            Role::Minute => 0.45,
            Role::Seconds => 0.125,
        };
        let post_top = Coordinate::height(post.and_then(|p| p.top), top.mm);
        let under = top - thickness;
        out.push(HandCut {
            role: hand.role,
            under,
            top,
            length: Coordinate::size(hand.length, usual_length),
            tail: size(hand.tail).unwrap_or(0.0).max(boss),
            pipe: size(hand.pipe).map(|pipe| under.mm - pipe),
            post: Coordinate::radius(post.and_then(|p| p.diameter), usual_post),
            post_top: Coordinate { known: post_top.known || top.known, ..post_top },
        });
        if !small_seconds {
            last = last.max(top.mm);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dome_is_highest_at_the_axis_and_ends_at_its_aperture() {
        assert!((sag(0.0, 14.1, 0.2) - 0.2).abs() < 1e-12);
        assert!(sag(14.1, 14.1, 0.2).abs() < 1e-12);
        assert!(sag(5.0, 14.1, 0.0).abs() < 1e-12);
        // sqrt(R^2 - r^2) - (R - i) with R = (a^2 + i^2) / 2 i, worked by hand: R = 497.1225.
        assert!((sag(12.6, 14.1, 0.2) - 0.0403).abs() < 1e-4);
    }
}
