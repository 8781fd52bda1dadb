//! Does the crystal bear the target pressure?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::geometry::nominal;
use crate::fit::physics::{materials, plate, water};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "crystal-strength",
    title: "crystal under pressure",
    group: Group::Water,
    asks: "How many times the target pressure would a flat plate of this crystal's size and material bear? An estimate, never a promise.",
    formula: "strength / stress, stress = 3 (3 + ν) / 8 × pressure × (radius / thickness)²: a round plate resting on its rim, radius inner_aperture / 2, else diameter / 2",
    measured: "The crystal's thickness at the centre with a micrometer or a ball-ended calliper; the aperture inside its base.",
    ignored: "It bursts in the pressure tester, or in the water. Glass breaks by chance, at a scratch: a clear estimate means worth testing, never a rating.",
    remedy: "A thicker crystal or one of a stronger material, or a lower target. Test dry first, behind a shield.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: false,
    thumbnail: Thumbnail::Crystal,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let Some(bar) = watch.target_water().filter(|_| watch.has(Slot::Crystal)) else { return };
    let material = watch.word("crystal.material").and_then(materials::material);
    let (Some(plate), Some(material)) = (watch.plate("crystal.material", plate::Rim::Free), material) else {
        let reason = "the crystal's material is not known";
        asked.rule("", Answer::Unknown(vec!["crystal.material".into()]), reason);
        return;
    };
    let radius = watch.crystal_radius().unwrap_or_else(|| watch.dim("crystal.diameter") / 2.0);
    let thickness = watch.dim("crystal.thickness");
    let mut note = format!("an estimate for {bar} bar, never a promise");
    if let (Some(radius), Some(thickness)) = (nominal(&radius), nominal(&thickness))
        && !plate::thin_enough(radius, thickness)
    {
        note.push_str("; a plate this thick bears more than the formula gives");
    }
    let load = water::marked_load_mpa(bar);
    if load > 0.0 {
        let load = crate::fit::expr::Expr::from(load);
        asked.measure("", plate.safety(material.strength.value, load, radius, thickness)).noting(note);
    }
}
