//! Does the watch keep the rate that was aimed at?

use crate::fit::assembly::Assembly;
use crate::fit::check::{Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "rate-in-target",
    title: "rate within the target",
    group: Group::Records,
    asks: "Does the mean rate of the latest timing readings lie within the build's target?",
    formula: "the lesser of mean rate − target's lower end and target's upper end − mean rate",
    measured: "On a timing machine, each position read once it has settled; the latest set counts, and in it the last reading of each position.",
    ignored: "The watch is set right once a week, or once a day.",
    remedy: "Regulate: the index or the screws of the balance; look at amplitude and beat error first, for a rate set on a movement in poor order does not last.",
    unit: "s/d",
    concerns: Concerns::Log,
    acceptable: true,
    thumbnail: Thumbnail::Timing,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    let Some(target) = watch.target_rate().filter(|_| watch.has(Slot::Movement)) else { return };
    let (low, high) = (target.value - target.minus, target.value + target.plus);
    let rate = watch.dim("timing.rate");
    let ask = asked.measure("", (rate.clone() - low).min(Expr::from(high) - rate));
    if let Some(figures) = watch.timing() {
        let positions = if figures.positions == 1 { "position" } else { "positions" };
        ask.noting(format!(
            "mean rate {:+.1} s/d over {} {positions}; the target is {low:+} to {high:+}",
            figures.mean_rate, figures.positions
        ));
    }
}
