//! A small drawing for each check: where in a watch it looks, on a watch of usual sizes that is
//! nobody's. The place is washed and dimensioned; nothing is to be read off it.

mod cut;
mod flat;
mod frame;
mod typical_watch;

use self::cut::{case, dial_and_hands};
use self::flat::{date, feet, log, strap, timing, wrist};
use self::frame::SIZE;
use crate::draw::svg::Sheet;
use crate::fit::check::Hint;

/// The place that a check looks at.
pub fn thumbnail(hint: Hint) -> String {
    let mut inside = Sheet::default();
    match hint {
        Hint::Seat | Hint::Opening | Hint::Hole | Hint::Post | Hint::Stack | Hint::Crystal | Hint::Ring => {
            dial_and_hands(&mut inside, hint);
        }
        Hint::Bore | Hint::Back | Hint::Stem | Hint::Gasket | Hint::Bezel => case(&mut inside, hint),
        Hint::Feet => feet(&mut inside),
        Hint::Date => date(&mut inside),
        Hint::Strap => strap(&mut inside),
        Hint::Wrist => wrist(&mut inside),
        Hint::Timing => timing(&mut inside),
        Hint::Log => log(&mut inside),
    }
    // In a frame: what is magnified goes on beyond it.
    let mut sheet = Sheet::default();
    sheet.window((0.0, 0.0), SIZE, &inside);
    sheet.labelled("hint", SIZE.0, SIZE.1, words(hint))
}

/// What the drawing shows, in words.
fn words(hint: Hint) -> &'static str {
    match hint {
        Hint::Seat => "The edge of a dial in its seat in the case, with the gap between them",
        Hint::Opening => "The edge of a dial under the edge of the opening, with how far it is covered",
        Hint::Hole => "The pipe of the hour wheel in the hole of the dial, with the gap around it",
        Hint::Feet => "A foot of the dial and a hole of the movement, with the distance of their middles",
        Hint::Date => "The figure of the date next to its window in the dial",
        Hint::Post => "A hand on its post, with the post's diameter",
        Hint::Stack => "The hands on their posts one over the other, with the gaps between them",
        Hint::Crystal => "The tip of a hand under the crystal, with the gap between them",
        Hint::Ring => "The tip of a hand beside the rehaut, with the gap between them",
        Hint::Bore => "The movement in its ring in the case, with the gaps around the ring",
        Hint::Back => "The rotor over the inside of the back, with the gap between them",
        Hint::Stem => "The axis of the stem and the axis of the crown's tube, with how far they stand apart",
        Hint::Gasket => "The crystal in its seat, with the room that its gasket is pressed into",
        Hint::Bezel => "The insert in its bezel, with the seat that takes it",
        Hint::Strap => "A strap between the lugs, with the gaps at its sides",
        Hint::Wrist => "A watch across a wrist, lug to lug",
        Hint::Timing => "Rates on a line with the range that is aimed at, one of them outside",
        Hint::Log => "Two stays of one part along a line of days that overlap",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::testing::{texts_apart, well_formed};
    use crate::fit::checks;

    #[test]
    fn every_check_has_a_drawing_of_its_place() {
        for check in checks::ALL {
            let svg = thumbnail(check.drawing);
            well_formed(&svg);
            texts_apart(&svg);
            assert!(svg.len() < 9_000, "{}: {}", check.id, svg.len());
            assert!(!svg.contains("class=\"u\""), "{}: nothing here is unmeasured", check.id);
        }
    }

    #[test]
    fn every_place_is_marked() {
        let all = [
            Hint::Seat,
            Hint::Opening,
            Hint::Hole,
            Hint::Feet,
            Hint::Date,
            Hint::Post,
            Hint::Stack,
            Hint::Crystal,
            Hint::Ring,
            Hint::Bore,
            Hint::Back,
            Hint::Stem,
            Hint::Gasket,
            Hint::Bezel,
            Hint::Strap,
            Hint::Wrist,
            Hint::Timing,
            Hint::Log,
        ];
        for one in all {
            let svg = thumbnail(one);
            well_formed(&svg);
            assert!(svg.contains("class=\"ra\""), "{one:?}");
        }
    }
}
