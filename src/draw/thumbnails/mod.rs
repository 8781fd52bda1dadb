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
use crate::fit::check::Thumbnail;

/// The place that a check looks at.
pub fn thumbnail(hint: Thumbnail) -> String {
    let mut inside = Sheet::default();
    match hint {
        Thumbnail::Seat
        | Thumbnail::Opening
        | Thumbnail::Hole
        | Thumbnail::Post
        | Thumbnail::Stack
        | Thumbnail::Crystal
        | Thumbnail::Ring => {
            dial_and_hands(&mut inside, hint);
        }
        Thumbnail::Bore | Thumbnail::Back | Thumbnail::Stem | Thumbnail::Gasket | Thumbnail::Bezel => {
            case(&mut inside, hint);
        }
        Thumbnail::Feet => feet(&mut inside),
        Thumbnail::Date => date(&mut inside),
        Thumbnail::Strap => strap(&mut inside),
        Thumbnail::Wrist => wrist(&mut inside),
        Thumbnail::Timing => timing(&mut inside),
        Thumbnail::Log => log(&mut inside),
    }
    // In a frame: what is magnified goes on beyond it.
    let mut sheet = Sheet::default();
    sheet.window((0.0, 0.0), SIZE, &inside);
    sheet.labelled("hint", SIZE.0, SIZE.1, words(hint))
}

/// What the drawing shows, in words.
fn words(hint: Thumbnail) -> &'static str {
    match hint {
        Thumbnail::Seat => "The edge of a dial in its seat in the case, with the gap between them",
        Thumbnail::Opening => "The edge of a dial under the edge of the opening, with how far it is covered",
        Thumbnail::Hole => "The pipe of the hour wheel in the hole of the dial, with the gap around it",
        Thumbnail::Feet => {
            "A foot of the dial and a hole of the movement, with the distance of their middles"
        }
        Thumbnail::Date => "The figure of the date next to its window in the dial",
        Thumbnail::Post => "A hand on its post, with the post's diameter",
        Thumbnail::Stack => "The hands on their posts one over the other, with the gaps between them",
        Thumbnail::Crystal => "The tip of a hand under the crystal, with the gap between them",
        Thumbnail::Ring => "The tip of a hand beside the rehaut, with the gap between them",
        Thumbnail::Bore => "The movement in its ring in the case, with the gaps around the ring",
        Thumbnail::Back => "The rotor over the inside of the back, with the gap between them",
        Thumbnail::Stem => {
            "The axis of the stem and the axis of the crown's tube, with how far they stand apart"
        }
        Thumbnail::Gasket => "The crystal in its seat, with the room that its gasket is pressed into",
        Thumbnail::Bezel => "The insert in its bezel, with the seat that takes it",
        Thumbnail::Strap => "A strap between the lugs, with the gaps at its sides",
        Thumbnail::Wrist => "A watch across a wrist, lug to lug",
        Thumbnail::Timing => "Rates on a line with the range that is aimed at, one of them outside",
        Thumbnail::Log => "Two stays of one part along a line of days that overlap",
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
            let svg = thumbnail(check.thumbnail);
            well_formed(&svg);
            texts_apart(&svg);
            assert!(svg.len() < 9_000, "{}: {}", check.id, svg.len());
            assert!(!svg.contains("class=\"u\""), "{}: nothing here is unmeasured", check.id);
        }
    }

    #[test]
    fn every_place_is_marked() {
        let all = [
            Thumbnail::Seat,
            Thumbnail::Opening,
            Thumbnail::Hole,
            Thumbnail::Feet,
            Thumbnail::Date,
            Thumbnail::Post,
            Thumbnail::Stack,
            Thumbnail::Crystal,
            Thumbnail::Ring,
            Thumbnail::Bore,
            Thumbnail::Back,
            Thumbnail::Stem,
            Thumbnail::Gasket,
            Thumbnail::Bezel,
            Thumbnail::Strap,
            Thumbnail::Wrist,
            Thumbnail::Timing,
            Thumbnail::Log,
        ];
        for one in all {
            let svg = thumbnail(one);
            well_formed(&svg);
            assert!(svg.contains("class=\"ra\""), "{one:?}");
        }
    }
}
