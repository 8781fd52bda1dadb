//! A watch of typical sizes that is nobody's.

use crate::draw::watch::{
    Bezel, Case, Cone, Crown, Crystal, CrystalGasket, Dial, DrawnWatch, Foot, Form, Hand, Indices, Movement,
    MovementRing, Post, Role, Window,
};

/// A watch of usual sizes, its gaps wide enough to be seen.
pub(super) fn typical_watch() -> DrawnWatch {
    let hand = |role, length, top| Hand {
        length: Some(length),
        thickness: Some(0.2),
        top: Some(top),
        ..Hand::new(role)
    };
    let post = |role, diameter, top| Post { role, diameter: Some(diameter), top: Some(top) };
    DrawnWatch {
        case: Some(Case {
            diameter: Some(38.0),
            dial_seat: Some(27.6),
            rehaut: Some(Cone { bottom: Some(26.2), top: Some(27.6), height: Some(1.8) }),
            shelf: Some(2.5),
            bore: Some(27.8),
            depth: Some(5.8),
            back_to_ledge: Some(6.8),
            rim: Some(3.7),
            tube_below: Some(1.9),
            tube_end_radius: Some(19.2),
            crystal_seat: Some(30.5),
            ..Case::default()
        }),
        bezel: Some(Bezel { inner: Some(31.6), outer: Some(38.2), insert: Some((32.4, 37.2)) }),
        crystal: Some(Crystal {
            diameter: Some(29.6),
            form: Form::Flat,
            thickness: Some(1.2),
            height: Some(1.2),
            ..Crystal::default()
        }),
        crystal_gasket: Some(CrystalGasket { section: Some(0.45), ..CrystalGasket::default() }),
        dial: Some(Dial {
            diameter: Some(27.2),
            thickness: Some(0.4),
            centre_hole: Some(2.2),
            indices: Some(Indices { height: Some(0.4), inner_radius: Some(9.0), outer_radius: Some(12.0) }),
            feet: vec![Foot { at: Some(150.0), radius: Some(12.4), diameter: Some(0.7), cut: false }],
            date_window: Some(Window {
                at: Some(90.0),
                radius: Some(10.6),
                along: Some(1.9),
                across: Some(2.6),
            }),
            ..Dial::default()
        }),
        hands: vec![
            hand(Role::Hour, 8.4, 1.2),
            hand(Role::Minute, 12.4, 1.75),
            hand(Role::Seconds, 12.4, 2.3),
        ],
        movement: Some(Movement {
            casing_diameter: Some(25.6),
            height_below: Some(4.6),
            self_winds: true,
            rotor_radius: Some(12.4),
            posts: vec![
                post(Role::Hour, 1.5, 1.2),
                post(Role::Minute, 0.9, 1.75),
                post(Role::Seconds, 0.3, 2.3),
            ],
            pipe_diameter: Some(1.6),
            stem_below: Some(1.9),
            stem_seat_radius: Some(10.0),
            date: Some(Window { at: Some(92.0), radius: Some(10.3), along: Some(1.3), across: Some(2.0) }),
            ..Movement::default()
        }),
        ring: Some(MovementRing {
            inner: Some(26.0),
            outer: Some(27.4),
            height: Some(4.6),
            from_seat: Some(0.4),
            metal: false,
        }),
        crown: Some(Crown { diameter: Some(5.0) }),
        ..DrawnWatch::default()
    }
}
