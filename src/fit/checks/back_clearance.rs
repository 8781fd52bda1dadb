//! Does the rotor, or the lowest point of the movement, clear the back?

use crate::fit::check::{Asked, Check, Group, Hint};
use crate::fit::expr::Expr;
use crate::fit::watch::Watch;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "back-clearance",
    title: "movement over the back",
    group: Group::Movement,
    asks: "Does the lowest point of the movement clear the inside of the back, also when water presses it in?",
    formula: "case.depth (or the back's profile at rotor_radius) − L − height_below − the back's bending at the target pressure",
    measured: "The depth from the ledge to the inside of the back with a depth rod over the closed back's thickness; the movement from its dial seat to the rotor's lowest edge with a calliper.",
    ignored: "The rotor scrapes: a grinding noise, filings in the movement, a watch that does not wind.",
    remedy: "A deeper back or a gasket that lifts it, a thinner shim or dial, or a thinner movement.",
    unit: "mm",
    drawing: Hint::Back,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Movement]) {
        return;
    }
    let room = depth(watch) - watch.ledge() - watch.dim("movement.height_below");
    match watch.back_bending() {
        Some(bending) => {
            let bar = watch.build.target.water.as_ref().map_or(0.0, |water| water.value.value);
            asked
                .measure("", room - bending.named("bending"))
                .noting(format!("with the back bent in by {bar} bar"));
        }
        None => {
            asked.measure("", room);
        }
    }
}

/// The inside of the back where the rotor's edge turns: its profile, else the one depth.
fn depth(watch: &Watch<'_>) -> Expr {
    let back = if watch.has(Slot::Back) { "back" } else { "case.back" };
    let list = format!("{back}.profile");
    let points = watch.items(&list).map_or(0, <[_]>::len);
    let rotor = watch.value("movement.rotor_radius");
    let (Some(rotor), true) = (rotor, points > 0) else { return watch.dim("case.depth") };
    let point = |at: usize, field: &str| format!("{list}.{at}.{field}");
    // The shallowest point that the rotor passes decides.
    let inside =
        (1..=points).filter(|at| watch.value(&point(*at, "radius")).is_some_and(|radius| radius <= rotor));
    Expr::least(inside.map(|at| watch.dim(point(at, "depth")))).unwrap_or_else(|| watch.dim("case.depth"))
}
