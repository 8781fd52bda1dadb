//! From a build as the checks see it to the figures of its drawings.

use crate::fit::assembly::Assembly;
use crate::fit::check::Scene;
use crate::fit::finding::Finding;
use crate::fit::inspect::Report;
use crate::journal::{Slot, Spec};

use super::clearance::{Clearance, Place};
use super::drawn_watch::DrawnWatch;
use super::parts::{
    BackGasket, Bezel, Case, ChapterRing, Cone, Crown, Crystal, CrystalGasket, Dial, DialRing, Foot, Form,
    Hand, Headline, Indices, Ledge, Movement, MovementRing, Post, Role, Shim, SubDial, Window,
};

/// The figures of a build's drawings: its parts as they are, as they came where they were altered, and
/// the findings that its section and plan show. Sizes are nominal ones.
pub fn drawn_watch(title: &str, now: &Assembly, came: &Assembly, report: &Report) -> DrawnWatch {
    let headline = &report.headline;
    DrawnWatch {
        name: title.to_owned(),
        headline: Headline {
            lug_to_lug: headline.lug_to_lug,
            diameter: headline.diameter,
            lug_width: headline.lug_width,
            thickness: headline.thickness,
            without_crystal: headline.thickness_without_crystal,
        },
        case: now.has(Slot::Case).then(|| case(now)),
        bezel: now.has(Slot::Bezel).then(|| bezel(now)),
        crystal: now.has(Slot::Crystal).then(|| crystal(now)),
        crystal_gasket: now.has(Slot::CrystalGasket).then(|| CrystalGasket {
            section: now.value("crystal_gasket.section"),
            flange: now.value("crystal_gasket.flange"),
            inner: now.value("crystal_gasket.inner"),
        }),
        chapter_ring: now
            .has(Slot::ChapterRing)
            .then(|| ChapterRing { cone: cone(now, "chapter_ring"), outer: now.value("chapter_ring.outer") }),
        dial: now.has(Slot::Dial).then(|| dial(now, came)),
        dial_ring: now.has(Slot::DialRing).then(|| DialRing {
            inner: now.value("dial_ring.inner"),
            outer: now.value("dial_ring.outer"),
            thickness: now.value("dial_ring.thickness"),
        }),
        shim: now.has(Slot::Shim).then(|| Shim { thickness: now.value("shim.thickness") }),
        hands: now.hands().into_iter().filter_map(|slot| hand(now, slot)).collect(),
        movement: now.has(Slot::Movement).then(|| movement(now)),
        ring: now.has(Slot::Ring).then(|| MovementRing {
            inner: now.value("ring.inner"),
            outer: now.value("ring.outer"),
            height: now.value("ring.height"),
            from_seat: now.value("ring.from_seat"),
            metal: matches!(now.word("ring.material"), Some("brass" | "steel" | "aluminium")),
        }),
        crown: now.has(Slot::Crown).then(|| Crown { diameter: now.value("crown.diameter") }),
        back_gasket: now.has(Slot::BackGasket).then(|| BackGasket {
            section: now.value("back_gasket.section"),
            inner: now.value("back_gasket.groove.inner").or_else(|| now.value("back_gasket.inner")),
        }),
        clearances: report.findings.iter().filter_map(|finding| clearance(finding, came)).collect(),
    }
}

fn case(now: &Assembly) -> Case {
    let value = |field: &str| now.value(&format!("case.{field}"));
    let ledge = match (value("ledge.over_seat"), now.word("case.ledge")) {
        (Some(height), _) => Ledge::OverSeat(height),
        (None, Some("back")) => Ledge::Back,
        (None, _) => Ledge::Front,
    };
    let rehaut = cone(now, "case.rehaut");
    let back = if now.has(Slot::Back) { "back" } else { "case.back" };
    let profile = now.items(&format!("{back}.profile")).unwrap_or_default();
    let size = |spec: &Spec, field: &str| spec.size(field).map(|size| size.value.value);
    Case {
        diameter: value("diameter"),
        lug_to_lug: value("lug_to_lug"),
        lug_width: value("lug_width"),
        crown_at: value("crown_at"),
        dial_seat: value("dial_seat"),
        opening: value("opening"),
        ledge,
        rehaut: (rehaut != Cone::default()).then_some(rehaut),
        ring_seat: value("ring_seat.diameter"),
        shelf: value("shelf"),
        bore: value("bore"),
        depth: value("depth"),
        back_to_ledge: value("back_to_ledge"),
        rim: value("rim"),
        tube_below: value("tube.below"),
        tube_end_radius: value("tube.end_radius"),
        crystal_seat: value("crystal_seat.diameter"),
        back_thickness: now.value(&format!("{back}.thickness")),
        back_profile: profile
            .iter()
            .filter_map(|point| Some((size(point, "radius")?, size(point, "depth")?)))
            .collect(),
    }
}

fn cone(now: &Assembly, of: &str) -> Cone {
    let value = |field: &str| now.value(&format!("{of}.{field}"));
    Cone { bottom: value("bottom"), top: value("top"), height: value("height") }
}

fn bezel(now: &Assembly) -> Bezel {
    let insert = now.value("insert.inner").zip(now.value("insert.outer"));
    let seat = now.value("bezel.insert_inner").zip(now.value("bezel.insert_outer"));
    Bezel { inner: now.value("bezel.inner"), outer: now.value("bezel.outer"), insert: insert.or(seat) }
}

fn crystal(now: &Assembly) -> Crystal {
    let value = |field: &str| now.value(&format!("crystal.{field}"));
    let form = match now.word("crystal.form") {
        Some("domed") => Form::Domed,
        Some("box") => Form::Box,
        Some(_) => Form::Flat,
        None if value("inner_rise").is_some_and(|rise| rise > 0.0) => Form::Domed,
        None => Form::Flat,
    };
    Crystal {
        diameter: value("diameter"),
        form,
        thickness: value("thickness"),
        height: value("height"),
        inner_rise: value("inner_rise"),
        inner_aperture: value("inner_aperture"),
        wall: value("wall"),
    }
}

fn dial(now: &Assembly, came: &Assembly) -> Dial {
    let value = |field: &str| now.value(&format!("dial.{field}"));
    let diameter = value("diameter");
    let indices = Indices {
        height: value("indices.height"),
        inner_radius: value("indices.inner_radius"),
        outer_radius: value("indices.outer_radius"),
    };
    let small = SubDial {
        at: value("small_seconds.at"),
        radius: value("small_seconds.radius"),
        diameter: value("small_seconds.diameter"),
        recess: value("small_seconds.recess"),
    };
    let size = |spec: &Spec, field: &str| spec.size(field).map(|size| size.value.value);
    let raised = now.items("dial.raised").unwrap_or_default();
    // Feet that are gone were cut off.
    let (kept, had) = (feet(now), feet(came));
    let cut = if kept.is_empty() && now.items("dial.feet").is_some() { had } else { Vec::new() };
    let feet = kept.into_iter().chain(cut.into_iter().map(|foot| Foot { cut: true, ..foot })).collect();
    let window = |name: &str| {
        let window = Window {
            at: value(&format!("{name}.at")),
            radius: value(&format!("{name}.radius")),
            along: value(&format!("{name}.along")),
            across: value(&format!("{name}.across")),
        };
        (window != Window::default()).then_some(window)
    };
    Dial {
        diameter,
        diameter_as_came: came.value("dial.diameter").filter(|came| Some(*came) != diameter),
        thickness: value("thickness"),
        centre_hole: value("centre_hole"),
        track_diameter: value("track_diameter"),
        indices: (indices != Indices::default()).then_some(indices),
        raised: raised
            .iter()
            .filter_map(|ring| Some((size(ring, "from")?, size(ring, "to")?, size(ring, "height")?)))
            .collect(),
        feet,
        date_window: window("date_window"),
        day_window: window("day_window"),
        small_seconds: (small != SubDial::default()).then_some(small),
    }
}

/// The dial's feet as seen from the front.
fn feet(build: &Assembly) -> Vec<Foot> {
    let mirrored = build.word("dial.feet_from") == Some("back");
    let places = build.items("dial.feet").unwrap_or_default();
    places
        .iter()
        .map(|spec| {
            let foot = place(spec);
            Foot { at: foot.at.map(|at| if mirrored { -at } else { at }), ..foot }
        })
        .collect()
}

fn place(spec: &Spec) -> Foot {
    let size = |field: &str| spec.size(field).map(|size| size.value.value);
    Foot { at: size("at"), radius: size("radius"), diameter: size("diameter"), cut: false }
}

fn hand(now: &Assembly, slot: Slot) -> Option<Hand> {
    let role = role(slot.name())?;
    let name = slot.name();
    let value = |field: &str| now.value(&format!("{name}.{field}"));
    let post = now.value(&format!("movement.posts.{name}.top"));
    let on_post = post.map(|top| top + value("proud").unwrap_or(0.0));
    Some(Hand {
        role,
        length: value("length"),
        tail: value("tail"),
        thickness: value("thickness"),
        top: value("seated").or(on_post),
        pipe: value("pipe"),
        width: value("width"),
    })
}

fn role(name: &str) -> Option<Role> {
    match name {
        "hour" => Some(Role::Hour),
        "second_time" | "second time" => Some(Role::SecondTime),
        "minute" => Some(Role::Minute),
        "seconds" => Some(Role::Seconds),
        _ => None,
    }
}

/// The movement with its angles turned to where the case has the crown.
fn movement(now: &Assembly) -> Movement {
    let value = |field: &str| now.value(&format!("movement.{field}"));
    let turn = now.value("case.crown_at").unwrap_or(90.0) - 90.0;
    let turned = |at: f64| (at + turn).rem_euclid(360.0);
    let posts = [Role::Hour, Role::SecondTime, Role::Minute, Role::Seconds]
        .into_iter()
        .zip(["hour", "second_time", "minute", "seconds"])
        .map(|(role, name)| Post {
            role,
            diameter: value(&format!("posts.{name}.diameter"))
                .or_else(|| value(&format!("posts.{name}.fits"))),
            top: value(&format!("posts.{name}.top")),
        })
        .filter(|post| post.diameter.is_some() || post.top.is_some())
        .collect();
    let seconds_radius = value("posts.seconds.radius").filter(|r| *r > 0.0);
    let holes = now.items("movement.foot_holes").unwrap_or_default();
    let holder = now.holder_on().then(|| (value("holder.outer"), value("holder.height")));
    Movement {
        calibre: now.word("movement.calibre").unwrap_or_default().to_owned(),
        casing_diameter: value("casing_diameter"),
        holder,
        height_below: value("height_below"),
        rotor_radius: value("rotor_radius"),
        self_winds: now.flag("movement.self_winds") == Some(true),
        posts,
        pipe_diameter: value("posts.hour.pipe_diameter"),
        seconds_at: seconds_radius.map(|radius| (turned(value("posts.seconds.at").unwrap_or(180.0)), radius)),
        foot_holes: holes
            .iter()
            .map(|spec| {
                let hole = place(spec);
                Foot { at: hole.at.map(turned), ..hole }
            })
            .collect(),
        stem_below: value("stem.below"),
        stem_seat_radius: value("stem.seat_radius"),
        date: shown(now, "date", "date_window", turn),
        day: shown(now, "day", "day_window", turn),
    }
}

/// A date's pitch where the sheet says none: 31 figures around.
const DATE_PITCH: f64 = 360.0 / 31.0;

/// The figure that stands next to its window, the movement turned; `None` where its place is not known.
fn shown(now: &Assembly, figure: &str, window: &str, turn: f64) -> Option<Window> {
    let value = |field: &str| now.value(&format!("movement.{figure}.{field}"));
    let at = value("at")? + turn;
    let usual = if figure == "date" { Some(DATE_PITCH) } else { None };
    let pitch = value("pitch").or(usual).filter(|pitch| *pitch > 0.0);
    let at = match (now.value(&format!("dial.{window}.at")), pitch) {
        (Some(window), Some(pitch)) => {
            // The shorter way round to the window, in whole figures.
            let way = (window - at + 540.0).rem_euclid(360.0) - 180.0;
            at + (way / pitch).round() * pitch
        }
        _ => at,
    };
    Some(Window {
        at: Some(at.rem_euclid(360.0)),
        radius: value("radius"),
        along: value("along"),
        across: value("across"),
    })
}

/// A finding as the drawings mark it; `None` where it has no place in them.
fn clearance(finding: &Finding, came: &Assembly) -> Option<Clearance> {
    let place = place_of(finding.check.scene?, &finding.about)?;
    let verdict = finding.verdict?;
    let label = match place {
        Place::HandsApart { upper, lower } => format!("{} over {}", upper.word(), lower.word()),
        Place::OverDial(role) => format!("{} over dial", role.word()),
        _ => finding.title.clone(),
    };
    Some(Clearance {
        place,
        label,
        figure: finding.result.map(|result| result.nominal),
        decimals: if finding.unit == "mm" { 2 } else { 3 },
        verdict,
        accepted: finding.accepted.is_some(),
        as_came: finding.as_came.map(|verdict| (came_as(place, came), verdict)),
    })
}

/// The figure of a finding with the parts as they came, where the drawings say it.
fn came_as(place: Place, came: &Assembly) -> Option<f64> {
    match place {
        Place::Seat if !came.has(Slot::DialRing) => {
            Some(came.value("case.dial_seat")? - came.value("dial.diameter")?)
        }
        _ => None,
    }
}

fn place_of(scene: Scene, about: &str) -> Option<Place> {
    Some(match scene {
        Scene::Seat => Place::Seat,
        Scene::Opening => Place::Opening,
        Scene::Track => Place::Track,
        Scene::DialHole => Place::DialHole,
        Scene::Feet => Place::Foot(about.strip_prefix("foot")?.trim().parse().unwrap_or(1)),
        Scene::DateAlong => Place::DateAlong,
        Scene::DateAcross => Place::DateAcross,
        Scene::HandOverDial => Place::OverDial(role(about)?),
        Scene::HandOverIndices => Place::OverIndices(role(about)?),
        Scene::HandsApart => {
            let (upper, lower) = about.split_once(" over ")?;
            Place::HandsApart { upper: role(upper)?, lower: role(lower)? }
        }
        Scene::HandUnderCrystal => Place::UnderCrystal(role(about)?),
        Scene::HandInRing => Place::InRing(role(about)?),
        Scene::SmallSeconds => Place::SmallSeconds,
        Scene::RingRoom => Place::RingRoom,
        Scene::MovementInCase => Place::MovementInCase,
        Scene::MovementHeld => Place::MovementHeld,
        Scene::Back => Place::Back,
        Scene::Stem => Place::Stem,
        Scene::CrystalGasket => Place::CrystalGasket,
        Scene::BackGasket => Place::BackGasket,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::checks;

    #[test]
    fn a_finding_stands_at_the_hand_or_foot_that_it_is_about() {
        let at = |check, about| place_of(checks::of(check)?.scene?, about);
        for (check, about, place) in [
            ("dial-in-seat", "", Place::Seat),
            ("dial-feet", "foot 2", Place::Foot(2)),
            ("dial-feet", "foot", Place::Foot(1)),
            ("hands-apart", "minute over hour", Place::HandsApart { upper: Role::Minute, lower: Role::Hour }),
            ("hand-under-crystal", "seconds", Place::UnderCrystal(Role::Seconds)),
            ("hand-in-ring", "second_time", Place::InRing(Role::SecondTime)),
            ("stem-height", "", Place::Stem),
            ("back-clearance", "", Place::Back),
        ] {
            assert_eq!(at(check, about), Some(place), "{check} {about}");
        }
        // A pipe's own finding has no dimension of its own in the stack.
        assert_eq!(at("hands-apart", "minute over hour, pipe"), None);
        assert_eq!(at("part-booked-once", ""), None);
    }
}
