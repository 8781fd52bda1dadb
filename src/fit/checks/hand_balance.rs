//! Can the movement carry the hand?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::expr::Expr;
use crate::fit::geometry::nominal;
use crate::fit::physics::hand::Moments;
use crate::fit::physics::materials;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "hand-balance",
    title: "hands light enough for the movement",
    group: Group::Hands,
    asks: "Are the hand's unbalance and inertia within what the movement's sheet allows?",
    formula: "limit − unbalance, unbalance = mass × centroid × g; limit − inertia, inertia of an even bar of that mass and reach; from mass and centroid, else from width, thickness, length, tail and density",
    measured: "The hand on a scale that shows milligrams; its centroid by balancing it across a knife edge, from the axis towards the tip. Or its mean width and its thickness, and what it is made of.",
    ignored: "A heavy seconds hand makes a quartz movement miss steps and an automatic lose amplitude whenever the watch hangs upright; an unbalanced minute hand sags in its slack.",
    remedy: "A lighter hand, aluminium for brass, a counterweight on the tail, less lume.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Post,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.has(Slot::Movement) {
        return;
    }
    asked.each_hand(watch, &[Slot::Minute, Slot::Seconds], |asked, hand| {
        let name = hand.name();
        let limit = |what: &str| format!("movement.limits.{name}_{what}");
        let torque = format!("movement.torque.{name}");
        let moments = moments(watch, hand);
        let unbalance = moments.unbalance_unm().abs();
        if watch.knows(&limit("unbalance")) {
            asked
                .measure(format!("{name} unbalance"), watch.dim(limit("unbalance")) - unbalance.clone())
                .titled(format!("{} balanced enough", hand.words()))
                .in_unit("uN m");
        } else if let Some(unbalance) = nominal(&unbalance)
            && let Some(torque) = watch.value(&torque).filter(|torque| *torque > 0.0)
        {
            let share = unbalance / torque * 100.0;
            let words = format!("its unbalance takes {share:.1} % of the torque at its post");
            asked
                .note(format!("{name} unbalance"), words)
                .titled(format!("{} balanced enough", hand.words()));
        }
        if watch.knows(&limit("inertia")) {
            // A gram is a thousand of the milligrams that the hand is weighed in.
            asked
                .measure(format!("{name} inertia"), watch.dim(limit("inertia")) - moments.inertia / 1000.0)
                .titled(format!("{} light enough", hand.words()))
                .in_unit("g mm2");
        }
    });
}

/// The hand as it was weighed, else as a bar of its outline and material. A hand that is neither
/// asks to be weighed.
fn moments(watch: &Assembly, hand: Slot) -> Moments<Expr> {
    let name = hand.name();
    let field = |field: &str| format!("{name}.{field}");
    let tip = watch.dim(field("length"));
    let tail = match watch.knows(&field("tail")) {
        true => watch.dim(field("tail")),
        false => Expr::from(0.0),
    };
    let material = watch.word(&field("material")).and_then(materials::material);
    match material.filter(|_| !watch.knows(&field("mass")) && watch.knows(&field("width"))) {
        Some(material) => {
            let (width, thickness) = (watch.dim(field("width")), watch.dim(field("thickness")));
            Moments::bar(material.density.value, width, thickness, tip, tail)
        }
        None => Moments::weighed(watch.dim(field("mass")), watch.dim(field("centroid")), tip, tail),
    }
}
