//! Parts that the log splits off a lot with `as:`.

use std::collections::BTreeMap;

use crate::journal::fields::Kind;
use crate::journal::front_matter;
use crate::journal::slot::Slot;
use crate::journal::yaml::{self, Node, Value};
use crate::text::{FileId, Files};

/// The kinds of all parts, those that entries split off with `as:` included.
pub fn with_splits(
    mut kinds: BTreeMap<String, &'static Kind>,
    files: &Files,
    logs: impl Iterator<Item = FileId>,
) -> BTreeMap<String, &'static Kind> {
    let mut splits: Vec<(String, String)> = Vec::new();
    for file in logs {
        // Few entries split anything: only those are read a first time here.
        let (parts, _) = front_matter::split(files, file);
        let Some(span) = parts.yaml.filter(|span| may_split(files.cut(*span))) else { continue };
        if let Ok(node) = yaml::parse(files, file, span.start as usize, files.cut(span)) {
            collect_splits(&node, &mut splits);
        }
    }
    // A part that was split off may be split again: what waits for it is known once it is.
    let mut waiting: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut known = Vec::new();
    for (from, to) in splits {
        match kinds.get(&from).copied().or_else(|| Kind::of(Slot::of(&from)?.kind())) {
            Some(kind) => known.push((to, kind)),
            None => waiting.entry(from).or_default().push(to),
        }
    }
    known.reverse();
    while let Some((id, kind)) = known.pop() {
        if kinds.contains_key(&id) {
            continue;
        }
        known.extend(waiting.remove(&id).into_iter().flatten().map(|to| (to, kind)));
        kinds.insert(id, kind);
    }
    kinds
}

/// Whether a log may give one of a lot an id of its own.
pub(in crate::journal) fn may_split(text: &str) -> bool {
    text.contains("as:")
}

fn collect_splits(node: &Node, splits: &mut Vec<(String, String)>) {
    let Value::Map(entries) = &node.value else { return };
    let get = |node: &Node, name: &str| match &node.value {
        Value::Map(entries) => entries
            .iter()
            .find(|(key, _)| key.text == name)
            .and_then(|(_, node)| node.text().map(str::to_owned)),
        _ => None,
    };
    for (key, node) in entries {
        match (key.text.as_str(), &node.value) {
            ("altered", Value::List(list)) => {
                splits.extend(list.iter().filter_map(|item| get(item, "part").zip(get(item, "as"))));
            }
            ("measured", Value::Map(subjects)) => {
                splits.extend(
                    subjects.iter().filter_map(|(key, sizes)| Some((key.text.clone(), get(sizes, "as")?))),
                );
            }
            _ => {}
        }
    }
}
