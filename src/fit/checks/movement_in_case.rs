//! Does the movement go into its case, or into its ring and the ring into the case?

use crate::fit::check::{Asked, Check, Group, Hint};
use crate::fit::watch::Watch;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "movement-in-case",
    title: "movement in the case",
    group: Group::Movement,
    asks: "Does the movement go into its bore, or into its ring and the ring into the case?",
    formula: "bore (the case's, or ring.inner) − casing_diameter (holder.outer with the holder on); and case.bore − ring.outer",
    measured: "The bore with the inside jaws in four directions; the movement across the diameter that the bore takes, not across its flange.",
    ignored: "Too tight, and the movement is forced and its plate bends; too loose, and it shifts with every turn of the crown until the hands touch.",
    remedy: "Turn a movement ring to size, or shim it; take the dial-holding ring off where the case is made for the bare movement.",
    unit: "mm",
    drawing: Hint::Bore,
    run,
};

fn run(watch: &Watch<'_>, asked: &mut Asked) {
    if !watch.filled([Slot::Case, Slot::Movement]) {
        return;
    }
    let movement = watch.dim(watch.casing());
    if !watch.has(Slot::Ring) {
        asked.measure("", watch.dim("case.bore") - movement);
        return;
    }
    let gives = matches!(watch.word("ring.material"), Some("plastic" | "nylon" | "resin"));
    let variant = if gives { "plastic ring" } else { "" };
    asked
        .measure("in ring", watch.dim("ring.inner") - movement)
        .titled("movement in its ring")
        .within(variant);
    asked
        .measure("ring in case", watch.dim("case.bore") - watch.dim("ring.outer"))
        .titled("ring in the case")
        .within(variant);
}
