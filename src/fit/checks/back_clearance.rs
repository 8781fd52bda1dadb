//! Does the rotor, or the lowest point of the movement, clear the back?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "back-clearance",
    title: "movement over the back",
    group: Group::Movement,
    asks: "Does the lowest point of the movement clear the inside of the back, also when water presses it in?",
    formula: "case.depth (or the back's profile at rotor_radius) − L − height_below − the back's bending at the target pressure",
    measured: "The depth from the ledge to the inside of the back with a depth rod over the closed back's thickness; the movement from its plate to the rotor's lowest edge with a calliper.",
    ignored: "The rotor scrapes: a grinding noise, filings in the movement, a watch that does not wind.",
    remedy: "A deeper back or a gasket that lifts it, a thinner shim or dial, or a thinner movement.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Back,
    scene: Some(Scene::Back),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Movement]) {
        return;
    }
    let room = depth(watch) - watch.ledge() - watch.dim("movement.height_below");
    match watch.back_bending() {
        Some(bending) => {
            let bar = watch.target_water().unwrap_or(0.0);
            asked
                .measure("", room - bending.named("bending"))
                .noting(format!("with the back bent in by {bar} bar"));
        }
        None => {
            asked.measure("", room);
        }
    }
}

/// The inside of the back where the rotor's edge turns: on the line between the points of its
/// profile that stand on either side, else the one depth.
fn depth(watch: &Assembly) -> Expr {
    let back = if watch.has(Slot::Back) { "back" } else { "case.back" };
    let list = format!("{back}.profile");
    let point = |at: usize, field: &str| format!("{list}.{at}.{field}");
    let count = watch.count(&list).unwrap_or(0);
    let mut points: Vec<(f64, usize)> =
        (1..=count).filter_map(|at| Some((watch.value(&point(at, "radius"))?, at))).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(rotor) = watch.value("movement.rotor_radius").filter(|_| !points.is_empty()) else {
        return watch.dim("case.depth");
    };
    let inner = points.iter().rev().find(|(radius, _)| *radius <= rotor).map(|(_, at)| *at);
    let outer = points.iter().find(|(radius, _)| rotor < *radius).map(|(_, at)| *at);
    let depth = |at: usize| watch.dim(point(at, "depth"));
    match (inner, outer) {
        (Some(inner), Some(outer)) => {
            let radius = |at: usize| watch.dim(point(at, "radius"));
            let share =
                (watch.dim("movement.rotor_radius") - radius(inner)) / (radius(outer) - radius(inner));
            depth(inner) + (depth(outer) - depth(inner)) * share
        }
        // Beyond the last point, and within the first, the back goes on as it was measured there.
        (Some(at), None) | (None, Some(at)) => depth(at),
        (None, None) => watch.dim("case.depth"),
    }
}
