//! Any watch at all.

use crate::draw::{
    BackGasket, Bezel, Case, ChapterRing, Clearance, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing,
    DrawnWatch, Foot, Form, Hand, Headline, Indices, Ledge, Movement, MovementRing, Place, Post, Role, Shim,
    SubDial, Window,
};
use crate::fit::verdict::Verdict;
use proptest::prelude::*;

/// Lengths as they are, absent ones, and whatever a slip of the keyboard makes of them.
fn length(usual: f64) -> BoxedStrategy<Option<f64>> {
    prop_oneof![
        6 => (0.85..1.15f64).prop_map(move |f| Some(usual * f)),
        3 => Just(None),
        1 => any::<f64>().prop_map(Some),
        1 => (-5.0..60.0f64).prop_map(Some),
    ]
    .boxed()
}

fn verdict() -> BoxedStrategy<Verdict> {
    prop::sample::select(vec![Verdict::Clear, Verdict::Tight, Verdict::Fouls, Verdict::Unmeasured]).boxed()
}

fn place() -> BoxedStrategy<Place> {
    let role = || prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    prop_oneof![
        role().prop_map(Place::UnderCrystal),
        (role(), role()).prop_map(|(upper, lower)| Place::HandsApart { upper, lower }),
        role().prop_map(Place::OverDial),
        role().prop_map(Place::OverIndices),
        role().prop_map(Place::InRing),
        (0usize..4).prop_map(Place::Foot),
        prop::sample::select(vec![
            Place::SmallSeconds,
            Place::Seat,
            Place::Opening,
            Place::Track,
            Place::DialHole,
            Place::DateAlong,
            Place::DateAcross,
            Place::RingRoom,
            Place::MovementInCase,
            Place::MovementHeld,
            Place::Back,
            Place::Stem,
            Place::CrystalGasket,
            Place::BackGasket,
        ]),
    ]
    .boxed()
}

fn clearance() -> BoxedStrategy<Clearance> {
    let words = prop::sample::select(vec![
        "seconds over minute",
        "minute hand inside the rehaut, where it is narrowest",
        "x",
        "a <b> & \"c\"",
    ]);
    (place(), words, length(0.2), verdict(), any::<bool>(), prop::option::of((length(-1.0), verdict())))
        .prop_map(|(place, label, figure, verdict, accepted, as_came)| Clearance {
            place,
            label: label.to_owned(),
            figure,
            decimals: 2,
            verdict,
            accepted,
            as_came,
        })
        .boxed()
}

fn foot() -> BoxedStrategy<Foot> {
    (length(150.0), length(12.4), length(0.7), any::<bool>())
        .prop_map(|(at, radius, diameter, cut)| Foot { at, radius, diameter, cut })
        .boxed()
}

fn window() -> BoxedStrategy<Window> {
    (length(90.0), length(10.6), length(2.6), length(1.9))
        .prop_map(|(at, radius, along, across)| Window { at, radius, along, across })
        .boxed()
}

fn hand() -> BoxedStrategy<Hand> {
    let role = prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    (role, prop::array::uniform6(length(1.6)), length(11.0))
        .prop_map(|(role, v, length)| Hand {
            role,
            length,
            tail: v[0],
            thickness: v[1].map(|t| t / 10.0),
            top: v[2],
            pipe: v[3].map(|p| p / 4.0),
            width: v[4],
        })
        .boxed()
}

fn case() -> BoxedStrategy<Case> {
    let ledge = prop_oneof![
        Just(Ledge::Front),
        Just(Ledge::Back),
        any::<f64>().prop_map(Ledge::OverSeat),
        (0.0..1.0f64).prop_map(Ledge::OverSeat)
    ];
    let cone = (length(26.6), length(27.6), length(1.1)).prop_map(|(bottom, top, height)| Cone {
        bottom,
        top,
        height,
    });
    (
        (length(38.0), length(46.0), length(20.0), length(90.0), length(28.6), length(27.6)),
        (ledge, prop::option::of(cone), length(28.4), length(2.1), length(29.0), length(5.6)),
        (length(6.6), length(3.3), length(2.3), length(19.0), length(32.0), length(0.9)),
        prop::collection::vec((any::<f64>(), -5.0..12.0f64), 0..4),
    )
        .prop_map(|(a, b, c, back_profile)| Case {
            diameter: a.0,
            lug_to_lug: a.1,
            lug_width: a.2,
            crown_at: a.3,
            dial_seat: a.4,
            opening: a.5,
            ledge: b.0,
            rehaut: b.1,
            ring_seat: b.2,
            shelf: b.3,
            bore: b.4,
            depth: b.5,
            back_to_ledge: c.0,
            rim: c.1,
            tube_below: c.2,
            tube_end_radius: c.3,
            crystal_seat: c.4,
            back_thickness: c.5,
            back_profile,
        })
        .boxed()
}

fn dial() -> BoxedStrategy<Dial> {
    let indices = (length(0.4), length(9.0), length(12.0))
        .prop_map(|(height, inner_radius, outer_radius)| Indices { height, inner_radius, outer_radius });
    let sub = (length(180.0), length(8.0), length(7.0), length(0.15))
        .prop_map(|(at, radius, diameter, recess)| SubDial { at, radius, diameter, recess });
    (
        (length(28.5), length(29.5), length(0.4), length(2.0), length(26.5)),
        prop::option::of(indices),
        prop::collection::vec((any::<f64>(), 0.0..14.0f64, 0.0..1.0f64), 0..3),
        prop::collection::vec(foot(), 0..4),
        (prop::option::of(window()), prop::option::of(window()), prop::option::of(sub)),
    )
        .prop_map(|(a, indices, raised, feet, (date_window, day_window, small_seconds))| Dial {
            diameter: a.0,
            diameter_as_came: a.1,
            thickness: a.2,
            centre_hole: a.3,
            track_diameter: a.4,
            indices,
            raised,
            feet,
            date_window,
            day_window,
            small_seconds,
        })
        .boxed()
}

fn movement() -> BoxedStrategy<Movement> {
    let role = prop::sample::select(vec![Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]);
    let post =
        (role, length(0.9), length(1.6)).prop_map(|(role, diameter, top)| Post { role, diameter, top });
    (
        prop::sample::select(vec![
            "",
            "auto-27.4-date",
            "a calibre with a name that nobody would ever give to one",
        ]),
        (length(27.4), length(5.3), length(12.8), length(1.7), length(2.0), length(10.0)),
        prop::option::of((length(29.4), length(2.2))),
        any::<bool>(),
        prop::collection::vec(post, 0..5),
        prop::option::of((any::<f64>(), 0.0..12.0f64)),
        prop::collection::vec(foot(), 0..4),
        (prop::option::of(window()), prop::option::of(window())),
    )
        .prop_map(|(calibre, a, holder, self_winds, posts, seconds_at, foot_holes, (date, day))| Movement {
            calibre: calibre.to_owned(),
            casing_diameter: a.0,
            holder,
            height_below: a.1,
            rotor_radius: a.2,
            self_winds,
            posts,
            pipe_diameter: a.3,
            seconds_at,
            foot_holes,
            stem_below: a.4,
            stem_seat_radius: a.5,
            date,
            day,
        })
        .boxed()
}

/// Any watch at all: parts there or not, dimensions known, unknown or absurd.
pub(crate) fn any_watch() -> BoxedStrategy<DrawnWatch> {
    let form = prop::sample::select(vec![Form::Flat, Form::Domed, Form::Box]);
    let crystal = (form, prop::array::uniform2(length(31.0)), prop::array::uniform4(length(1.4))).prop_map(
        |(form, wide, tall)| Crystal {
            diameter: wide[0],
            form,
            thickness: tall[0],
            height: tall[1],
            inner_rise: tall[2],
            inner_aperture: wide[1],
            wall: tall[3],
        },
    );
    let ring = (length(27.6), length(29.0), length(4.0), length(0.4), any::<bool>()).prop_map(
        |(inner, outer, height, from_seat, metal)| MovementRing { inner, outer, height, from_seat, metal },
    );
    let chapter = (length(27.0), length(27.6), length(2.0), length(28.3))
        .prop_map(|(bottom, top, height, outer)| ChapterRing { cone: Cone { bottom, top, height }, outer });
    let bezel = (length(33.0), length(40.0), prop::option::of((any::<f64>(), 30.0..40.0f64)))
        .prop_map(|(inner, outer, insert)| Bezel { inner, outer, insert });
    let dial_ring = (length(27.2), length(28.5), length(0.4))
        .prop_map(|(inner, outer, thickness)| DialRing { inner, outer, thickness });
    let small = (
        prop::option::of(length(0.45)),
        prop::option::of(length(0.1)),
        prop::option::of(length(5.0)),
        prop::option::of(length(0.5)),
    );
    (
        prop::option::of(case()),
        (prop::option::of(crystal), prop::option::of(ring), prop::option::of(chapter)),
        (prop::option::of(bezel), prop::option::of(dial_ring)),
        prop::option::of(dial()),
        prop::option::of(movement()),
        prop::collection::vec(hand(), 0..5),
        small,
        prop::collection::vec(clearance(), 0..12),
        prop::array::uniform5(length(30.0)),
    )
        .prop_map(
            |(
                case,
                (crystal, ring, chapter_ring),
                (bezel, dial_ring),
                dial,
                movement,
                hands,
                small,
                clearances,
                h,
            )| {
                DrawnWatch {
                    name: "Any <watch>".to_owned(),
                    headline: Headline {
                        lug_to_lug: h[0],
                        diameter: h[1],
                        lug_width: h[2],
                        thickness: h[3],
                        without_crystal: h[4],
                    },
                    case,
                    bezel,
                    crystal,
                    crystal_gasket: small
                        .0
                        .map(|section| CrystalGasket { section, ..CrystalGasket::default() }),
                    chapter_ring,
                    dial,
                    dial_ring,
                    shim: small.1.map(|thickness| Shim { thickness }),
                    hands,
                    movement,
                    ring,
                    crown: small.2.map(|diameter| Crown { diameter }),
                    back_gasket: small.3.map(|section| BackGasket { section, inner: None }),
                    clearances,
                }
            },
        )
        .boxed()
}
