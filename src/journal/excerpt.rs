//! A smaller journal, cut out of the whole: what one page may know, and no way to the rest.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jiff::civil::Date;
use serde::Serialize;

use crate::text::{FileId, Located};

use super::build::Target;
use super::{Build, BuildState, Filling, Journal, Subject};

/// What the pages of other builds may say of a build: what it is called and how far it is.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Heading<'a> {
    slug: &'a str,
    title: &'a str,
    state: BuildState,
    begun: Option<Date>,
    ended: Option<Date>,
    hidden: bool,
}

impl<'a> Heading<'a> {
    /// That of a build.
    pub fn of(build: &'a Build) -> Heading<'a> {
        let day = |day: &Option<Located<Date>>| day.as_ref().map(|day| day.value);
        Heading {
            slug: &build.slug,
            title: &build.title,
            state: build.state,
            begun: day(&build.begun),
            ended: day(&build.ended),
            hidden: build.hidden,
        }
    }

    /// A build of which nothing else is known: no parts, no log, no story.
    pub fn build(self) -> Build {
        let file = FileId::default();
        let day = |day: Date| Located::new(day, file.start());
        Build {
            slug: self.slug.to_owned(),
            file,
            title: self.title.to_owned(),
            state: self.state,
            state_at: None,
            begun: self.begun.map(day),
            ended: self.ended.map(day),
            summary: None,
            cover: None,
            target: Target::default(),
            slots: BTreeMap::new(),
            slots_at: None,
            dial_held_by: None,
            accept: Vec::new(),
            hidden: self.hidden,
            story: file.start(),
            entries: Vec::new(),
            photos: Vec::new(),
        }
    }
}

impl Build {
    /// Every part that its slots and its log name by id.
    pub fn parts_named(&self) -> BTreeSet<&str> {
        let mut ids: BTreeSet<&str> = BTreeSet::new();
        ids.extend(self.slots.values().filter_map(|filling| match filling {
            Filling::Part(id) => Some(id.value.as_str()),
            Filling::None(_) | Filling::Written { .. } => None,
        }));
        for entry in &self.entries {
            ids.extend(entry.had.iter().map(|part| part.value.as_str()));
            let fitted = entry.fitted.iter().filter_map(|(_, part)| part.as_ref());
            ids.extend(fitted.map(|part| part.value.as_str()));
            ids.extend(entry.left.iter().map(|left| left.part.value.as_str()));
            ids.extend(entry.altered.iter().filter_map(|one| Some(one.becomes.as_ref()?.value.as_str())));
            let measured = entry.measured.iter().map(|(subject, _)| &subject.value);
            for subject in measured.chain(entry.altered.iter().map(|one| &one.part.value)) {
                if let Subject::Part(id) = subject {
                    ids.insert(id);
                }
            }
        }
        ids
    }
}

impl Journal {
    /// A journal of these builds and parts alone, with the settings and the calibre sheets. Of the files
    /// that were read it has those of the builds.
    #[must_use]
    pub fn excerpt<'p>(&self, mut builds: Vec<Build>, parts: impl IntoIterator<Item = &'p str>) -> Journal {
        builds.sort_by(|a, b| a.slug.cmp(&b.slug));
        let files = self.files.only(builds.iter().flat_map(Build::files).collect::<BTreeSet<_>>());
        let parts = parts.into_iter().filter_map(|id| Some((id.to_owned(), self.parts.get(id)?.clone())));
        Journal {
            files,
            settings: self.settings.clone(),
            parts: Arc::new(parts.collect()),
            sheets: Arc::clone(&self.sheets),
            builds: builds.into_iter().collect(),
            ..Journal::default()
        }
    }
}
