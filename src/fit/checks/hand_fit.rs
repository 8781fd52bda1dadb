//! Does each hand grip its post?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "hand-fit",
    title: "hands on their posts",
    group: Group::Hands,
    asks: "Does each hand grip its post (hour wheel, cannon pinion, seconds pivot) without being forced?",
    formula: "with a gauged bore: post.diameter − bore; with a nominal size: fits − post.fits, which must be 0",
    measured: "The bore with pin gauges (the largest that enters), the post (hour wheel, cannon pinion or seconds pivot) with a micrometer; a calliper is not fine enough.",
    ignored: "A loose hand slips when the date changes or the watch is knocked, and takes the time with it; a tight one cracks its pipe or pushes the post through its jewel.",
    remedy: "Broach a tight pipe a few micrometres at a time; close a loose one with a staking punch or a collet, or look for the next size.",
    unit: "mm",
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
    asked.each_hand(watch, &Slot::HANDS, |asked, hand| {
        let name = hand.name();
        let title = format!("{} on its post", hand.words());
        let post = |field: &str| format!("movement.posts.{name}.{field}");
        let gauged = watch.knows(&format!("{name}.bore")) && watch.knows(&post("diameter"));
        let (fit, variant) =
            if gauged || !watch.knows(&format!("{name}.fits")) && watch.knows(&format!("{name}.bore")) {
                let variant = if hand == Slot::Seconds { "seconds bore" } else { "bore" };
                (watch.dim(post("diameter")) - watch.dim(format!("{name}.bore")), variant)
            } else {
                (watch.dim(format!("{name}.fits")) - watch.dim(post("fits")), "nominal")
            };
        asked.measure(name, fit).titled(title).within(variant);
    });
}
