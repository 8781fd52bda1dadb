//! The parts in the cut, each from the levels.
//!
//! Bevels, threads and the back's snap are not measured by anyone: they are drawn as they usually
//! are, in proportion to what was measured, and carry no dimension.

use super::levels::{CaseCut, CrystalCut, HandCut, Levels, sag};
use crate::draw::drafting::{Coordinate, size};
use crate::draw::drafting::{Corner, Halves, Ink, View};
use crate::draw::svg::{Path, Sheet};
use crate::draw::watch::{DrawnWatch, Ledge, Role};

/// Everything that is cut, hands turned into the plane, from behind to the front.
pub(super) fn watch(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    if watch.movement.is_some() {
        movement(sheet, view, watch, levels, halves);
    }
    posts(sheet, view, watch, levels, halves);
    if let Some(case) = &levels.case {
        view.ring(sheet, Ink::METAL, &case_outline(watch, levels, case), halves);
        bezel(sheet, view, watch, case, halves);
        movement_ring(sheet, view, watch, levels, halves);
        back_gasket(sheet, view, watch, case, halves);
    } else {
        movement_ring(sheet, view, watch, levels, halves);
    }
    dial(sheet, view, watch, levels, halves);
    chapter_ring(sheet, view, watch, levels, halves);
    if let Some(crystal) = &levels.crystal {
        crystal_gasket(sheet, view, watch, levels, crystal, halves);
        view.disc(sheet, Ink::GLASS, &crystal_outline(crystal), halves);
    }
    if let Some(case) = &levels.case {
        view.disc(sheet, Ink::NEIGHBOUR, &back_outline(watch, levels, case), halves);
    }
    hands(sheet, view, watch, levels, halves);
    stem_and_crown(sheet, view, watch, levels);
}

/// The right half of the case, around from the ledge's inner edge.
pub(super) fn case_outline(watch: &DrawnWatch, levels: &Levels, case: &CaseCut) -> Vec<Corner> {
    let ledge = watch.case.as_ref().map_or(Ledge::Front, |c| c.ledge);
    let thickness = (levels.face - levels.under).mm.max(0.05);
    let (foot, top, top_height) = case.wall;
    let mut out: Vec<Corner> = Vec::new();
    match ledge {
        Ledge::Front | Ledge::OverSeat(_) => {
            // Up under the ledge from behind: the seat is as deep as the dial is thick.
            let floor = levels.ledge.by(-thickness - 0.05);
            if foot.mm < case.seat.mm {
                out.push((foot, levels.ledge));
            }
            out.extend([(case.seat, levels.ledge), (case.seat, floor), (case.bore, floor)]);
        }
        Ledge::Back => {
            let rest = Coordinate { mm: case.bore.mm.min(case.seat.mm - 0.3), known: case.bore.known };
            let floor = levels.ledge.by(-0.45);
            let lip = levels.face.by(0.03);
            if foot.mm < case.seat.mm {
                out.push((foot, lip));
            }
            out.extend([(case.seat, lip), (case.seat, levels.ledge), (rest, levels.ledge), (rest, floor)]);
            if (case.bore.mm - rest.mm).abs() > 0.01 {
                out.push((case.bore, floor));
            }
        }
    }

    // Down the bore to the back, with the groove of its gasket, and out to the flank.
    let wall = (case.outer - case.bore) * 1.0;
    let part = |share: f64| Coordinate { mm: case.bore.mm + wall.mm.max(0.2) * share, known: wall.known };
    let bottom = case.inside.by(-0.25);
    let (groove, width, depth) = groove(watch, case);
    out.push((case.bore, case.inside));
    out.extend([
        (groove, case.inside),
        (groove, case.inside.by(depth)),
        (groove.by(width), case.inside.by(depth)),
        (groove.by(width), case.inside),
    ]);
    let land = groove.mm + width + wall.mm.max(0.2) * 0.06;
    let land = Coordinate { mm: land.min(part(0.6).mm), known: wall.known };
    out.extend([(land, case.inside), (land, bottom)]);

    let tall = case.rim - bottom;
    let up = |share: f64| Coordinate { mm: bottom.mm + tall.mm.max(0.5) * share, known: tall.known };
    out.extend([
        (part(0.6), bottom),
        (part(0.80), up(0.05)),
        (part(0.95), up(0.16)),
        (case.outer, up(0.29)),
        (case.outer, up(0.77)),
    ]);
    // The bezel's step, never inside of the crystal's seat.
    let shoulder = case.outer.by(-(case.outer - case.crystal_seat).mm.max(0.0) * 0.32);
    let chamfer = case.outer.by(-(case.outer - case.crystal_seat).mm.max(0.0) * 0.68);
    out.extend([
        (shoulder, up(0.82)),
        (shoulder, up(0.91)),
        (chamfer, case.rim),
        (case.crystal_seat, case.rim),
        (case.crystal_seat, case.shelf),
        (top, case.shelf),
    ]);
    if top_height.mm < case.shelf.mm - 1e-6 {
        out.push((top, top_height));
    }
    if foot.mm >= case.seat.mm {
        // The wall stands back from the seat: no ledge over the dial.
        out.push((foot, levels.ledge.max(levels.face)));
    }
    out
}

/// The gasket groove in the case: inner radius, width, depth.
fn groove(watch: &DrawnWatch, case: &CaseCut) -> (Coordinate, f64, f64) {
    let section = watch.back_gasket.and_then(|g| size(g.section)).unwrap_or(0.45);
    let width = (section * 1.3).clamp(0.1, ((case.outer - case.bore).mm * 0.3).max(0.1));
    let inner = watch.back_gasket.and_then(|g| size(g.inner)).map(|d| d / 2.0);
    let fits = |r: &f64| case.bore.mm <= *r && *r + width < case.outer.mm;
    let wall = (case.outer - case.bore).mm.max(0.2);
    let inner = inner.filter(fits).map_or(
        Coordinate { mm: case.bore.mm + wall * 0.05, known: case.bore.known && case.outer.known },
        Coordinate::known,
    );
    (inner, width, section * 0.75)
}

fn back_gasket(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, case: &CaseCut, halves: Halves) {
    let Some(gasket) = watch.back_gasket else { return };
    let (inner, width, depth) = groove(watch, case);
    let r = (inner.mm + width / 2.0, case.inside.mm + depth / 2.0);
    let radius = size(gasket.section).map_or(0.2, |s| s / 2.0).min(depth * 0.62);
    let class = if gasket.section.is_some() { "s" } else { "u" };
    sheet.circle(class, view.x(r.0), view.y(r.1), radius * view.scale);
    if halves == Halves::Both {
        sheet.circle(class, view.x(-r.0), view.y(r.1), radius * view.scale);
    }
}

/// The back, from the axis outwards inside and back to the axis outside.
pub(super) fn back_outline(watch: &DrawnWatch, levels: &Levels, case: &CaseCut) -> Vec<Corner> {
    let wall = (case.outer - case.bore).mm.max(0.2);
    let (groove, width, _) = groove(watch, case);
    let step = Coordinate {
        mm: (groove.mm + width + wall * 0.03).min(case.bore.mm + wall * 0.57),
        known: case.outer.known && case.bore.known,
    };
    let edge = case.bore.mm + wall * 0.57;
    let edge = Coordinate { mm: edge.max(step.mm), known: step.known };
    let bottom = case.inside.by(-0.27);
    let mut out: Vec<Corner> = Vec::new();
    let profile = watch.case.as_ref().map_or(&[][..], |c| &c.back_profile[..]);
    let mut hollow: Vec<(f64, f64)> = profile
        .iter()
        .copied()
        .filter(|(r, depth)| (0.0..step.mm).contains(r) && (0.0..=40.0).contains(depth))
        .collect();
    hollow.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (i, (r, depth)) in hollow.iter().enumerate() {
        let z = levels.ledge.by(-depth);
        if i == 0 && *r > 0.0 {
            out.push((Coordinate::known(0.0), z));
        }
        out.push((Coordinate::known(*r), z));
    }
    if out.is_empty() {
        out.push((Coordinate::known(0.0), case.inside));
    }
    out.extend([(step, case.inside), (step, bottom), (edge, bottom)]);
    let slope = ((bottom - case.outside).mm * 0.8).clamp(0.0, edge.mm * 0.2);
    out.extend([(edge.by(-slope), case.outside), (Coordinate::known(0.0), case.outside)]);
    out
}

fn bezel(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, case: &CaseCut, halves: Halves) {
    let Some(bezel) = watch.bezel else { return };
    let inner = Coordinate::radius(bezel.inner, case.outer.mm - 2.0);
    let outer = Coordinate::radius(bezel.outer, case.outer.mm);
    let tall = (case.rim - case.shelf).mm.max(0.4);
    let foot = case.rim.by(-tall * 0.95);
    view.ring(
        sheet,
        Ink::NEIGHBOUR,
        &[(inner, foot), (outer, foot), (outer, foot.by(tall * 0.55)), (inner, case.rim.by(0.05))],
        halves,
    );
    if let Some((a, b)) = bezel.insert
        && let (Some(a), Some(b)) = (size(Some(a)), size(Some(b)))
    {
        let on = |r: f64| {
            let share = ((r - inner.mm) / (outer.mm - inner.mm).max(0.01)).clamp(0.0, 1.0);
            Coordinate { mm: case.rim.mm + 0.05 - tall * 0.45 * share, known: true }
        };
        let (a, b) = (a / 2.0, b / 2.0);
        view.ring(
            sheet,
            Ink::SOLID,
            &[
                (Coordinate::known(a), on(a)),
                (Coordinate::known(b), on(b)),
                (Coordinate::known(b), on(b).by(-0.25)),
                (Coordinate::known(a), on(a).by(-0.25)),
            ],
            halves,
        );
    }
}

/// The crystal from the axis: inner face outwards, its edge, outer face inwards.
pub(super) fn crystal_outline(crystal: &CrystalCut) -> Vec<Corner> {
    let sure = crystal.known() && crystal.rise.known && crystal.wall.known;
    let fix = |mm: f64| Coordinate { mm, known: sure };
    let radial = |mm: f64| Coordinate { mm, known: crystal.radius.known };
    let (r, a) = (crystal.radius.mm, crystal.aperture.mm.min(crystal.radius.mm - 0.05).max(0.1));
    let steps = if crystal.rise.mm.abs() < 1e-6 { 1 } else { 8_u8 };
    let mut out: Vec<Corner> = Vec::new();
    let along = |i: u8, steps: u8| f64::from(i) / f64::from(steps);
    for i in 0..=steps {
        // Closer together towards the edge, where a dome is steepest.
        let x = a * libm::sin(along(i, steps) * core::f64::consts::FRAC_PI_2);
        out.push((radial(x), fix(crystal.foot.mm + crystal.wall.mm + sag(x, a, crystal.rise.mm))));
    }
    if crystal.wall.mm > 0.0 {
        out.push((radial(a), crystal.foot));
    }
    out.push((radial(r), crystal.foot));
    let rise = crystal.outer_rise();
    let edge = crystal.foot.mm + crystal.height.mm - rise;
    let bevel = 0.25_f64.min((edge - crystal.foot.mm) * 0.4).min(r * 0.2).max(0.0);
    out.push((radial(r), fix(edge - bevel)));
    let steps = if rise < 1e-6 { 1 } else { 8_u8 };
    for i in (0..=steps).rev() {
        let x = (r - bevel) * libm::sin(along(i, steps) * core::f64::consts::FRAC_PI_2);
        out.push((radial(x), fix(edge + sag(x, r - bevel, rise))));
    }
    out
}

fn crystal_gasket(
    sheet: &mut Sheet,
    view: &View,
    watch: &DrawnWatch,
    levels: &Levels,
    crystal: &CrystalCut,
    halves: Halves,
) {
    let Some(gasket) = watch.crystal_gasket else { return };
    let seat = levels.case.as_ref().map_or(crystal.radius.by(0.4), |case| case.crystal_seat);
    let rim = levels.case.as_ref().map_or(crystal.foot.mm + 1.0, |case| case.rim.mm);
    let tall = (crystal.height.mm - crystal.outer_rise()).clamp(0.2, 1.0);
    let top = Coordinate { mm: (crystal.foot.mm + tall).min(rim), known: crystal.foot.known };
    let flange = size(gasket.flange).unwrap_or(0.0);
    let foot = crystal.foot.by(-flange);
    let inside = if flange > 0.0 { crystal.radius.by(-0.5) } else { crystal.radius };
    view.ring(
        sheet,
        Ink::SOLID,
        &[
            (inside, foot),
            (seat, foot),
            (seat, top),
            (crystal.radius, top),
            (crystal.radius, crystal.foot),
            (inside, crystal.foot),
        ],
        halves,
    );
}

fn chapter_ring(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let Some(ring) = watch.chapter_ring else { return };
    let outline = chapter_ring_outline(&ring, levels);
    view.ring(sheet, Ink::NEIGHBOUR, &outline, halves);
}

/// A loose chapter ring on the dial's face.
pub(super) fn chapter_ring_outline(ring: &crate::draw::watch::ChapterRing, levels: &Levels) -> Vec<Corner> {
    let wall = levels.case.as_ref().map_or(levels.dial.mm, |case| case.wall.0.mm);
    let outer = Coordinate::radius(ring.outer, wall - 0.03);
    let bottom = Coordinate::radius(ring.cone.bottom, outer.mm - 0.7);
    let top = Coordinate::radius(ring.cone.top, (bottom.mm + 0.4).min(outer.mm));
    let height = levels.face + Coordinate::size(ring.cone.height, 1.2);
    vec![(bottom, levels.face), (outer, levels.face), (outer, height), (top, height)]
}

fn movement(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let Some(movement) = &watch.movement else { return };
    let r = levels.movement;
    let (zero, low) = (Coordinate::known(0.0), levels.lowest);
    let axis = Coordinate::known(0.0);
    if movement.self_winds {
        // Body, then the rotor below it.
        let body = low * 0.72;
        let rotor = match size(movement.rotor_radius) {
            Some(rotor) => Coordinate::known(rotor),
            None => r.by(-0.4),
        };
        view.disc(sheet, Ink::UNCUT, &[(axis, zero), (r, zero), (r, body), (axis, body)], halves);
        let top = body.by(low.mm * 0.08);
        view.disc(
            sheet,
            Ink::UNCUT,
            &[(axis, body), (r.by(-1.2), body), (r.by(-1.2), top), (axis, top)],
            halves,
        );
        view.disc(sheet, Ink::UNCUT, &[(axis, top), (rotor, top), (rotor, low), (axis, low)], halves);
    } else {
        view.disc(
            sheet,
            Ink::UNCUT,
            &[(axis, zero), (r, zero), (r, low * 0.8), (r.by(-0.5), low), (axis, low)],
            halves,
        );
    }
    if let Some((outer, height)) = movement.holder {
        let outer = Coordinate::radius(outer, r.mm + 1.0);
        let low = Coordinate::known(0.0) - Coordinate::size(height, 2.0);
        view.ring(sheet, Ink::PLASTIC, &[(r, zero), (outer, zero), (outer, low), (r, low)], halves);
    }
}

/// The posts on the axis and, of a small seconds, at its place turned into the cut at the left.
fn posts(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let small = small_seconds(watch);
    let mut posts: Vec<(Coordinate, Coordinate)> =
        levels.stack(small.is_some()).iter().map(|h| (h.post, h.post_top)).collect();
    if let (Some(pipe), false) =
        (watch.movement.as_ref().and_then(|m| size(m.pipe_diameter)), posts.is_empty())
    {
        let lowest = levels.hands.iter().map(|h| h.under.mm).fold(f64::MAX, f64::min);
        posts.push((Coordinate::known(pipe / 2.0), Coordinate::known((lowest - 0.05).max(0.0))));
    }
    posts.sort_by(|a, b| b.0.mm.total_cmp(&a.0.mm));
    for (r, top) in posts {
        let zero = Coordinate::known(0.0);
        let axis = Coordinate::known(0.0);
        view.disc(sheet, Ink::UNCUT, &[(axis, top), (r, top), (r, zero), (axis, zero)], halves);
    }
    if let (Some(at), Halves::Both) = (small, halves)
        && let Some(hand) = levels.hands.iter().find(|h| h.role == Role::Seconds)
    {
        view.rect(sheet, "n mf", (-at - hand.post.mm, -at + hand.post.mm), (0.0, hand.post_top.mm));
    }
}

/// The radius of a small seconds, where the movement or the dial has one.
pub(super) fn small_seconds(watch: &DrawnWatch) -> Option<f64> {
    let of_movement = watch.movement.as_ref().and_then(|m| m.seconds_at).map(|(_, r)| r);
    let of_dial = watch.dial.as_ref().and_then(|d| d.small_seconds).map(|s| s.radius.unwrap_or(6.0));
    size(of_movement.or(of_dial)).filter(|r| *r > 0.5)
}

fn movement_ring(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let Some(ring) = watch.ring else { return };
    let outline = movement_ring_outline(&ring, levels);
    let ink = if ring.metal { Ink { outline: "n", filling: "h2" } } else { Ink::PLASTIC };
    view.ring(sheet, ink, &outline, halves);
}

/// The ring between movement and case.
pub(super) fn movement_ring_outline(ring: &crate::draw::watch::MovementRing, levels: &Levels) -> Vec<Corner> {
    let bore = levels.case.as_ref().map_or(levels.movement.mm + 0.9, |case| case.bore.mm);
    let inner = Coordinate::radius(ring.inner, levels.movement.mm + 0.03);
    let outer = Coordinate::radius(ring.outer, bore - 0.03);
    let top = Coordinate::known(0.0) - Coordinate::height(ring.from_seat, 0.3);
    let inside = levels.case.as_ref().map_or(levels.lowest.mm, |case| case.inside.mm);
    let bottom = top - Coordinate::size(ring.height, (top.mm - inside).max(0.5));
    vec![(inner, top), (outer, top), (outer, bottom), (inner, bottom)]
}

fn dial(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let (r, under, face) = (levels.dial, levels.under, levels.face);
    if watch.shim.is_some() {
        let outer = levels.movement.by(-0.1);
        let zero = Coordinate::known(0.0);
        let inner = outer.by(-2.1_f64.min(outer.mm * 0.5));
        view.ring(sheet, Ink::SOLID, &[(inner, zero), (outer, zero), (outer, under), (inner, under)], halves);
    }
    let Some(dial) = &watch.dial else { return };
    let hole = Coordinate::radius(dial.centre_hole, 1.0);
    // A window at 3 or 9 lies in the cut.
    let windows: Vec<(f64, f64)> = [dial.date_window, dial.day_window]
        .into_iter()
        .flatten()
        .filter(|w| w.at.is_some_and(|at| (at.rem_euclid(360.0) - 90.0).abs() < 12.0))
        .filter_map(|w| Some((size(w.radius)?, size(w.along)?)))
        .map(|(radius, along)| (radius - along / 2.0, radius + along / 2.0))
        .filter(|(a, b)| hole.mm < *a && *b < r.mm)
        .collect();
    let mut sorted = windows.clone();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let band = |from: Coordinate, to: Coordinate| vec![(from, under), (to, under), (to, face), (from, face)];
    if windows.is_empty() {
        view.ring(sheet, Ink::SOLID, &band(hole, r), halves);
    } else {
        let mut from = hole;
        for (a, b) in sorted {
            if a > from.mm {
                view.ring(sheet, Ink::SOLID, &band(from, Coordinate::known(a)), Halves::Right);
                from = Coordinate::known(b);
            }
        }
        view.ring(sheet, Ink::SOLID, &band(from, r), Halves::Right);
        if halves == Halves::Both {
            let corners = band(hole, r).into_iter().map(|(x, z)| (x * -1.0, z)).collect::<Vec<_>>();
            view.ring(sheet, Ink::SOLID, &corners, Halves::Right);
        }
    }
    if let Some(indices) = dial.indices {
        let inner = Coordinate::size(indices.inner_radius, r.mm * 0.7);
        let outer = Coordinate::size(indices.outer_radius, r.mm * 0.92);
        let top = face + Coordinate::size(indices.height, 0.4);
        let corners = [(inner, face), (outer, face), (outer, top), (inner, top)];
        // None over a window.
        let free = windows.iter().all(|(a, b)| *b < inner.mm || outer.mm < *a);
        if free {
            view.ring(sheet, Ink::BRASS, &corners, halves);
        } else if halves == Halves::Both {
            view.ring(sheet, Ink::BRASS, &corners.map(|(r, z)| (r * -1.0, z)), Halves::Right);
        }
    }
    for (from, to, height) in dial.raised.iter().take(6) {
        if let (Some(from), Some(to), Some(height)) =
            (size(Some(*from)), size(Some(*to)), size(Some(*height)))
        {
            let top = face.by(height);
            let (from, to) = (Coordinate::known(from), Coordinate::known(to));
            view.ring(sheet, Ink::BRASS, &[(from, face), (to, face), (to, top), (from, top)], halves);
        }
    }
    if let Some(ring) = watch.dial_ring {
        let outline = dial_ring_outline(&ring, levels);
        view.ring(sheet, Ink::PLASTIC, &outline, halves);
    }
}

/// The ring around the dial.
pub(super) fn dial_ring_outline(ring: &crate::draw::watch::DialRing, levels: &Levels) -> Vec<Corner> {
    let inner = Coordinate::radius(ring.inner, levels.dial.mm + 0.03);
    let seat = levels.case.as_ref().map_or(levels.dial.mm + 0.8, |case| case.seat.mm);
    let outer = Coordinate::radius(ring.outer, seat - 0.03);
    let top = levels.under + Coordinate::size(ring.thickness, (levels.face - levels.under).mm);
    vec![(inner, levels.under), (outer, levels.under), (outer, top), (inner, top)]
}

fn hands(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels, halves: Halves) {
    let small = small_seconds(watch);
    for hand in &levels.hands {
        let (from, to) = if halves == Halves::Both { reach(hand) } else { (0.0, hand.length.mm) };
        let corners = |from: f64, to: f64| {
            let (a, b) = (Coordinate::known(from), Coordinate { mm: to, known: hand.length.known });
            [(a, hand.under), (b, hand.under), (b, hand.top), (a, hand.top)]
        };
        match small {
            Some(at) if hand.role == Role::Seconds => {
                if halves == Halves::Both {
                    let (a, b) = (-at - hand.length.mm, -at + hand.tail);
                    view.ring(sheet, Ink::SOLID, &corners(b, a), Halves::Right);
                }
            }
            _ => {
                // A hand that points to the left has its tip there.
                let turned = matches!(hand.role, Role::Hour | Role::SecondTime) && halves == Halves::Both;
                let corners = if turned { corners(to, from) } else { corners(from, to) };
                view.ring(sheet, Ink::SOLID, &corners, Halves::Right);
            }
        }
    }
}

/// From where to where a hand reaches in the cut: the hour hands point to the left.
fn reach(hand: &HandCut) -> (f64, f64) {
    match hand.role {
        Role::Hour | Role::SecondTime => (-hand.length.mm, hand.tail),
        Role::Minute | Role::Seconds => (-hand.tail, hand.length.mm),
    }
}

/// The stem in the movement, the tube through the case, and the crown, at the right.
fn stem_and_crown(sheet: &mut Sheet, view: &View, watch: &DrawnWatch, levels: &Levels) {
    const STEM: f64 = 0.45;
    let mut axis_at = None;
    if let Some(movement) = &watch.movement
        && let Some(below) = size(movement.stem_below)
    {
        let from = size(movement.stem_seat_radius).unwrap_or(levels.movement.mm * 0.78);
        let to = levels.movement.mm.max(from);
        let mut line = Path::default();
        let (top, bottom) = (view.y(-below + STEM), view.y(-below - STEM));
        line.to(view.x(to), top).line(view.x(from), top).line(view.x(from), bottom).line(view.x(to), bottom);
        sheet.path("n", &line);
        axis_at = Some((-below, from));
    }
    if let Some(case) = &levels.case {
        const TUBE: f64 = 0.65;
        let known = case.tube.known;
        let corner =
            |r: f64, z: f64| (Coordinate { mm: r, known }, Coordinate { mm: case.tube.mm + z, known });
        let end = tube_end(case);
        view.ring(
            sheet,
            Ink { outline: "n", filling: "pp" },
            &[corner(case.bore.mm, TUBE), corner(end, TUBE), corner(end, -TUBE), corner(case.bore.mm, -TUBE)],
            Halves::Right,
        );
        let from = axis_at.map_or(case.bore.mm - 1.0, |(_, from)| from - 0.7);
        let z = axis_at.map_or(case.tube.mm, |(z, _)| z);
        sheet.line("k", view.x(from), view.y(z), view.x(crown_end(levels) + 0.6), view.y(z));
        if let Some(crown) = watch.crown {
            let r = Coordinate::radius(crown.diameter, 2.3);
            let known = known && r.known;
            let start = end.max(case.outer.mm) + 0.05;
            let stop = crown_end(levels);
            let at =
                |x: f64, z: f64| (Coordinate { mm: x, known }, Coordinate { mm: case.tube.mm + z, known });
            view.ring(
                sheet,
                Ink { outline: "o", filling: "pp" },
                &[
                    at(start, r.mm - 0.15),
                    at(stop - 0.4, r.mm),
                    at(stop, r.mm - 0.3),
                    at(stop, -r.mm + 0.3),
                    at(stop - 0.4, -r.mm),
                    at(start, -r.mm + 0.15),
                ],
                Halves::Right,
            );
        }
    }
}

/// Where the crown ends, from the axis.
pub(super) fn crown_end(levels: &Levels) -> f64 {
    levels.case.as_ref().map_or(levels.widest() + 1.0, |case| {
        let end = tube_end(case);
        end.max(case.outer.mm) + 2.85
    })
}

/// Where the tube ends, somewhere near the flank whatever was written.
fn tube_end(case: &CaseCut) -> f64 {
    let from = case.bore.mm + 0.3;
    case.tube_end.mm.clamp(from, (case.outer.mm + 2.0).max(from))
}
