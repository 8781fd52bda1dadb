//! Does the movement do what dial and hands show?

use crate::fit::assembly::Assembly;
use crate::fit::calendar::Calendar;
use crate::fit::check::{Answer, Asked, Check, Concerns, Group, Thumbnail};
use crate::fit::expr::Expr;
use crate::journal::Slot;

pub(super) const CHECK: Check = Check {
    id: "functions-agree",
    title: "dial, hands and movement agree",
    group: Group::Movement,
    asks: "Does the movement have what dial and hands show: seconds and where, date, day, a second time?",
    formula: "the movement has what the dial and the hands show; a small seconds hand's axis is the middle of its dial",
    measured: "On the movement's sheet, and by eye.",
    ignored: "A window that shows bare brass, a hand with no post to sit on, a seconds dial beside its hand.",
    remedy: "Another dial or another movement; a hand that has no post is left out.",
    unit: "",
    concerns: Concerns::Parts,
    acceptable: true,
    thumbnail: Thumbnail::Stack,
    scene: None,
    run,
};

fn run(watch: &Assembly, asked: &mut Asked) {
    if !watch.has(Slot::Movement) || !(watch.has(Slot::Dial) || watch.has(Slot::Seconds)) {
        return;
    }
    let mut found = Found::default();
    seconds(watch, &mut found);
    for ring in [Calendar::Date, Calendar::Day] {
        calendar(watch, ring, &mut found);
    }
    if watch.has(Slot::SecondTime) {
        found.needs(
            watch,
            "a second time hand",
            watch.has_any("movement.posts.second_time"),
            "movement.posts.second_time.top",
        );
    }
    let reason = found.reasons();
    let answer = match (found.faults.is_empty(), found.missing.is_empty()) {
        (false, _) => Answer::Fails,
        (true, false) => Answer::Unknown(found.missing),
        (true, true) => Answer::Holds,
    };
    asked.rule("", answer, reason);
    axis(watch, asked);
}

/// What was looked at, in words.
#[derive(Default)]
struct Found {
    faults: Vec<String>,
    missing: Vec<String>,
    good: Vec<String>,
}

impl Found {
    /// Something is shown that the movement must have. A sheet that leaves it out has none; where
    /// there is no sheet, nobody knows.
    fn needs(&mut self, watch: &Assembly, what: &str, has: bool, field: &str) {
        if has {
            self.good.push(what.to_owned());
        } else if watch.word("movement.calibre").is_some() {
            self.faults.push(format!("{what} is shown, and the movement's sheet has none"));
        } else {
            self.missing.push(field.to_owned());
        }
    }

    /// What does not agree; else what does, and what is only worth a word.
    fn reasons(&self) -> String {
        if !self.faults.is_empty() {
            return self.faults.join("; ");
        }
        if !self.missing.is_empty() {
            return "the movement's functions are not all known".to_owned();
        }
        match self.good.is_empty() {
            true => "only hours and minutes are shown".to_owned(),
            false => self.good.join("; "),
        }
    }
}

fn seconds(watch: &Assembly, found: &mut Found) {
    let at = watch.word("movement.seconds_at");
    let post = watch.has_any("movement.posts.seconds");
    let small = match at {
        Some("small") => Some(true),
        Some("centre") => Some(false),
        _ if watch.knows("movement.posts.seconds.radius") => Some(true),
        _ => None,
    };
    if watch.has(Slot::Seconds) {
        if at == Some("none") {
            found.faults.push("a seconds hand is fitted, and the movement has no seconds".into());
            return;
        }
        found.needs(watch, "a seconds hand", at.is_some() || post, "movement.seconds_at");
    }
    match (watch.has_any("dial.small_seconds"), small) {
        (true, Some(true)) => found.good.push("small seconds on both".into()),
        (true, Some(false)) => {
            found.faults.push("the dial has small seconds, the movement has them in the centre".into());
        }
        (true, None) if at == Some("none") => {
            found.faults.push("the dial has small seconds, and the movement has no seconds".into());
        }
        (true, None) => found.missing.push("movement.seconds_at".into()),
        (false, Some(true)) if watch.has(Slot::Seconds) && watch.has(Slot::Dial) => {
            found.missing.push("dial.small_seconds.radius".into());
        }
        (false, _) => {}
    }
}

fn calendar(watch: &Assembly, ring: Calendar, found: &mut Found) {
    let word = ring.word();
    match (watch.shows(ring), watch.turns(ring)) {
        (true, has) => found.needs(watch, &format!("a {word} window"), has, &format!("movement.{word}.at")),
        (false, true) if watch.has(Slot::Dial) => {
            found.good.push(format!("hidden {word}: the dial has no window"));
        }
        (false, _) => {}
    }
}

/// How far the axis of the small seconds stands from the middle of its dial.
fn axis(watch: &Assembly, asked: &mut Asked) {
    let known = ["dial.small_seconds.radius", "movement.posts.seconds.radius"].map(|name| watch.knows(name));
    if known != [true, true] {
        return;
    }
    let between =
        watch.dim("dial.small_seconds.at") - (watch.dim("movement.posts.seconds.at") + watch.turn());
    let apart = Expr::apart(
        watch.dim("dial.small_seconds.radius"),
        watch.dim("movement.posts.seconds.radius"),
        between,
    );
    asked
        .measure("small seconds", apart)
        .titled("small seconds hand at the middle of its dial")
        .within("axis")
        .in_unit("mm");
}
