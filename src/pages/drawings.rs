//! From a build to its drawings: the section, the plan, and all watches at one scale.

use std::collections::BTreeMap;

use crate::draw;
use crate::fit::inspect::Report;
use crate::journal::Build;
use crate::measure::figure;

use super::context::{KeyItem, Section};
use super::source::Source;

/// A build's drawings; what has nothing to draw is `None`.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawings {
    pub(super) section: Option<Section>,
    pub(super) plan: Option<Section>,
    pub(super) outline: Option<draw::Outline>,
    pub(super) front: String,
}

/// The section, the plan and the outline of a build.
pub(super) fn drawings(source: &Source<'_>, build: &Build, report: &Report) -> Drawings {
    let Some(now) = source.assembly(build) else { return Drawings::default() };
    let watch = draw::drawn_watch(&build.title, &now, &now.as_came(), report);
    if watch.case.is_none() && watch.movement.is_none() {
        return Drawings::default();
    }
    let section = Section {
        wide_svg: draw::section(&watch, "s"),
        narrow_svg: draw::narrow_section(&watch, "s"),
        unmeasured: draw::unmeasured(&watch),
        ..Section::default()
    };
    let key = draw::plan_key(&watch).into_iter().map(|line| KeyItem {
        number: line.number,
        text: line.name,
        note: line.note,
    });
    let plan = Section {
        wide_svg: draw::plan(&watch, "p"),
        narrow_svg: draw::narrow_plan(&watch, "p"),
        key: key.collect(),
        ..Section::default()
    };
    Drawings {
        section: Some(section).filter(drawn),
        plan: Some(plan).filter(drawn),
        front: draw::front(&watch),
        outline: watch.case.is_some().then(|| draw::Outline::of(&watch, build.state)),
    }
}

/// The outline, and the watch from the front, alone.
pub(super) fn brief(source: &Source<'_>, build: &Build, report: &Report) -> (Option<draw::Outline>, String) {
    let Some(now) = source.assembly(build) else { return (None, String::new()) };
    let watch = draw::drawn_watch(&build.title, &now, &now.as_came(), report);
    if watch.case.is_none() && watch.movement.is_none() {
        return (None, String::new());
    }
    let outline = watch.case.is_some().then(|| draw::Outline::of(&watch, build.state));
    (outline, draw::front(&watch))
}

fn drawn(section: &Section) -> bool {
    !section.wide_svg.is_empty()
}

/// How high each hand is seated, or has to be by its post: by the slot's name.
pub(super) fn seats(source: &Source<'_>, build: &Build) -> BTreeMap<String, String> {
    let Some(watch) = source.assembly(build) else { return BTreeMap::new() };
    let mut out = BTreeMap::new();
    for slot in watch.hands() {
        let name = slot.name();
        let seated = watch.value(&format!("{name}.seated"));
        let post = watch.value(&format!("movement.posts.{name}.top"));
        if let Some(height) = seated.or(post) {
            out.insert(name.to_owned(), figure(height));
        }
    }
    out
}
