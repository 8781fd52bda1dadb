//! One watch that many tests draw.

use crate::draw::{
    BackGasket, Case, Clearance, Cone, Crown, Crystal, CrystalGasket, Dial, DrawnWatch, Foot, Form, Hand,
    Headline, Indices, Movement, MovementRing, Place, Post, Role, Shim,
};
use crate::fit::verdict::Verdict;

/// A watch with a dial turned down, its tube's height not measured.
pub(crate) fn lantern() -> DrawnWatch {
    let clearance = |place, label: &str, figure, verdict| Clearance {
        place,
        label: label.to_owned(),
        figure,
        decimals: 2,
        verdict,
        accepted: false,
        as_came: None,
    };
    let hand = |role, length, tail, top, thickness| Hand {
        length: Some(length),
        tail,
        thickness: Some(thickness),
        top: Some(top),
        ..Hand::new(role)
    };
    let foot =
        |at: f64, radius, cut| Foot { at: Some(at * 30.0), radius: Some(radius), diameter: Some(0.7), cut };
    let post = |role, diameter, top| Post { role, diameter: Some(diameter), top: Some(top) };
    DrawnWatch {
        name: "Lantern".to_owned(),
        headline: Headline {
            lug_to_lug: Some(42.5),
            diameter: Some(35.5),
            lug_width: Some(18.0),
            thickness: Some(10.1),
            without_crystal: Some(9.85),
        },
        case: Some(Case {
            diameter: Some(35.5),
            lug_to_lug: Some(42.5),
            lug_width: Some(18.0),
            dial_seat: Some(27.22),
            rehaut: Some(Cone { bottom: Some(26.6), top: Some(27.6), height: Some(1.1) }),
            shelf: Some(2.1),
            bore: Some(27.3),
            depth: Some(5.55),
            back_to_ledge: Some(6.55),
            rim: Some(3.3),
            tube_end_radius: Some(17.9),
            crystal_seat: Some(30.45),
            ..Case::default()
        }),
        crystal: Some(Crystal {
            diameter: Some(29.6),
            form: Form::Domed,
            thickness: Some(1.25),
            height: Some(1.45),
            inner_rise: Some(0.2),
            inner_aperture: Some(28.2),
            wall: None,
        }),
        crystal_gasket: Some(CrystalGasket { section: Some(0.45), ..CrystalGasket::default() }),
        dial: Some(Dial {
            diameter: Some(27.1),
            diameter_as_came: Some(28.5),
            thickness: Some(0.4),
            centre_hole: Some(2.1),
            track_diameter: Some(27.6),
            indices: Some(Indices { height: Some(0.45), inner_radius: Some(9.2), outer_radius: Some(12.4) }),
            feet: vec![foot(5.417, 12.6, true), foot(11.167, 12.6, true)],
            ..Dial::default()
        }),
        shim: Some(Shim { thickness: Some(0.1) }),
        hands: vec![
            hand(Role::Hour, 8.2, None, 1.25, 0.15),
            hand(Role::Minute, 12.0, None, 1.7, 0.15),
            hand(Role::Seconds, 12.6, Some(3.6), 2.05, 0.12),
        ],
        movement: Some(Movement {
            calibre: "auto-25.6-date".to_owned(),
            casing_diameter: Some(25.6),
            height_below: Some(4.6),
            self_winds: true,
            posts: vec![
                post(Role::Hour, 1.5, 1.25),
                post(Role::Minute, 0.9, 1.7),
                post(Role::Seconds, 0.25, 2.05),
            ],
            pipe_diameter: Some(1.6),
            foot_holes: vec![foot(5.0, 12.1, false), foot(11.0, 12.1, false)],
            stem_below: Some(1.9),
            stem_seat_radius: Some(9.9),
            ..Movement::default()
        }),
        ring: Some(MovementRing {
            inner: Some(25.64),
            outer: Some(27.26),
            height: Some(4.6),
            from_seat: Some(0.4),
            metal: false,
        }),
        crown: Some(Crown { diameter: Some(5.0) }),
        back_gasket: Some(BackGasket { section: Some(0.42), inner: Some(27.64) }),
        clearances: vec![
            clearance(
                Place::HandsApart { upper: Role::Seconds, lower: Role::Minute },
                "seconds over minute",
                Some(0.23),
                Verdict::Tight,
            ),
            clearance(
                Place::HandsApart { upper: Role::Minute, lower: Role::Hour },
                "minute over hour",
                Some(0.30),
                Verdict::Clear,
            ),
            clearance(Place::OverDial(Role::Hour), "hour over dial", Some(0.60), Verdict::Clear),
            clearance(
                Place::UnderCrystal(Role::Seconds),
                "seconds hand under the crystal",
                Some(0.56),
                Verdict::Clear,
            ),
            clearance(
                Place::InRing(Role::Minute),
                "minute hand inside the rehaut",
                Some(1.74),
                Verdict::Clear,
            ),
            clearance(Place::Opening, "dial covers the opening", Some(0.25), Verdict::Clear),
            clearance(Place::Back, "rotor over the back", Some(0.43), Verdict::Clear),
            Clearance {
                as_came: Some((Some(-1.28), Verdict::Fouls)),
                ..clearance(Place::Seat, "dial in its seat", Some(0.12), Verdict::Clear)
            },
        ],
        ..DrawnWatch::default()
    }
}
