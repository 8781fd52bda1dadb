//! Do hands that can meet pass one over the other?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Scene, Thumbnail};
use crate::journal::Slot;
use crate::measure::round;

pub(super) const CHECK: Check = Check {
    id: "hands-apart",
    title: "hands apart",
    group: Group::Hands,
    asks: "Do hands that can meet pass one over the other, blades and pipes?",
    formula: "U upper − T lower for hands that are next in height; with the upper pipe known also A upper − the greater of T lower and P lower",
    measured: "Each hand's top over the movement's plate with a height gauge once it is fitted (`seated`); its thickness and its pipe's length with a micrometer.",
    ignored: "The hands touch when they overlap: both stop, and the seconds hand bends.",
    remedy: "Seat the upper hand higher or the lower one lower, flatten a bent hand, or take thinner hands.",
    unit: "mm",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stack,
    scene: Some(Scene::HandsApart),
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.has(Slot::Movement) {
        return;
    }
    asked.each_hand(watch, &Slot::HANDS, |asked, upper| {
        for lower in next_below(watch, upper) {
            let about = format!("{} over {}", upper.name(), lower.name());
            let title = format!("{} over {}", upper.words(), lower.words());
            asked.measure(about.clone(), watch.underside(upper) - watch.top(lower)).titled(title.clone());
            if off_centre(watch, upper) || off_centre(watch, lower) {
                continue;
            }
            if let Some(end) = watch.pipe_end(upper) {
                let post = format!("movement.posts.{}.top", lower.name());
                let below = match watch.knows(&post) {
                    true => watch.top(lower).max(watch.dim(post)),
                    false => watch.top(lower),
                };
                asked
                    .measure(format!("{about}, pipe"), end - below)
                    .titled(format!("{title}, pipe"))
                    .within("pipe");
            }
        }
    });
}

/// The hands that a hand passes over with no other between, the highest first.
fn next_below(watch: &Assembly, upper: Slot) -> Vec<Slot> {
    // Heights put them in order; where one is not known, the usual order of the posts decides.
    let heights: Option<Vec<(f64, Slot)>> =
        watch.hands().into_iter().map(|hand| Some((height(watch, hand)?, hand))).collect();
    let stack: Vec<Slot> = match heights {
        Some(mut heights) => {
            heights.sort_by(|a, b| a.0.total_cmp(&b.0));
            heights.into_iter().map(|(_, hand)| hand).collect()
        }
        None => watch.hands(),
    };
    let below = stack.iter().take_while(|hand| **hand != upper).count();
    let under = (0..below).rev().filter(|under| {
        let lower = stack[*under];
        // Next to each other is a pair with no hand between that both can meet: one off the centre
        // may pass beside its neighbour.
        let between = |hand: &Slot| can_meet(watch, upper, *hand) && can_meet(watch, *hand, lower);
        can_meet(watch, upper, lower) && !stack[under + 1..below].iter().any(between)
    });
    under.map(|under| stack[under]).collect()
}

fn height(watch: &Assembly, hand: Slot) -> Option<f64> {
    let name = hand.name();
    let seated = watch.value(&format!("{name}.seated"));
    seated.or_else(|| {
        let post = watch.value(&format!("movement.posts.{name}.top"))?;
        Some(post + watch.value(&format!("{name}.proud")).unwrap_or(0.0))
    })
}

fn off_centre(watch: &Assembly, hand: Slot) -> bool {
    hand == Slot::Seconds && watch.small_seconds()
}

/// Whether the sweeps of two hands overlap; where a length is not known, they might.
fn can_meet(watch: &Assembly, one: Slot, other: Slot) -> bool {
    let off = [one, other].into_iter().find(|hand| off_centre(watch, *hand));
    let Some(off) = off else { return true };
    let centred = if off == one { other } else { one };
    let reach = |hand: Slot| {
        let most = |field: &str| {
            watch.known(&format!("{}.{field}", hand.name())).map(|known| known.size.value + known.size.plus)
        };
        Some(most("length")?.max(most("tail").unwrap_or(0.0)))
    };
    let axis =
        watch.known("movement.posts.seconds.radius").or_else(|| watch.known("dial.small_seconds.radius"));
    match (reach(off), reach(centred), axis) {
        (Some(off), Some(centred), Some(axis)) => {
            round(axis.size.value - axis.size.minus) <= round(off + centred)
        }
        _ => true,
    }
}
