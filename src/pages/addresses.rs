//! Where every page of the site stands, and how one leads to another.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::journal::{Build, Journal};

use super::markup::{percent, slug};

/// The paths of all pages. A thing without a path has no page, and nothing links to it.
#[derive(Debug, Clone, Default)]
pub struct Addresses {
    /// By slug.
    pub builds: BTreeMap<String, String>,
    /// By slug and the entry's name.
    pub entries: BTreeMap<(String, String), String>,
    /// By id.
    pub parts: BTreeMap<String, String>,
    /// By id.
    pub checks: BTreeMap<String, String>,
    /// The gallery; the one build where only one is published.
    pub home: String,
    /// The bin; empty where it is not published.
    pub bin: String,
    /// All checks.
    pub all_checks: String,
    /// All photos; empty where only one build is published.
    pub photos: String,
    /// The audit; empty where it is not published.
    pub audit: String,
    /// The search page.
    pub search: String,
}

/// What is to be published of a journal.
#[derive(Debug, Clone, Copy, Default, Serialize)]
pub struct Scope<'a> {
    /// This build alone.
    pub only: Option<&'a str>,
    /// Everything, for the person's own bench.
    pub private: bool,
}

impl Addresses {
    /// Lays out the pages of `journal`; `parts` are the ids of the parts that have a page, `checks`
    /// those of all checks.
    #[must_use]
    pub fn of(journal: &Journal, scope: Scope<'_>, parts: &BTreeSet<String>, checks: &[&str]) -> Addresses {
        let show = &journal.settings.show;
        let mut out = Addresses {
            home: "index.html".to_owned(),
            all_checks: "checks.html".to_owned(),
            search: "search.html".to_owned(),
            ..Addresses::default()
        };
        for build in &journal.builds {
            if (build.hidden && !scope.private) || scope.only.is_some_and(|only| only != build.slug) {
                continue;
            }
            let name = file_name(&build.slug);
            for entry in &build.entries {
                let path = format!("builds/{name}/{}.html", file_name(&entry.name));
                out.entries.insert((build.slug.clone(), entry.name.clone()), path);
            }
            let path = if scope.only.is_some() { out.home.clone() } else { format!("builds/{name}.html") };
            out.builds.insert(build.slug.clone(), path);
        }
        for id in parts {
            out.parts.insert(id.clone(), format!("parts/{}.html", file_name(id)));
        }
        for id in checks {
            out.checks.insert((*id).to_owned(), format!("checks/{id}.html"));
        }
        if scope.only.is_none() {
            out.photos = "photos.html".to_owned();
            if show.bin || scope.private {
                out.bin = "bin.html".to_owned();
            }
            if show.audit || scope.private {
                out.audit = "audit.html".to_owned();
            }
        }
        out
    }

    /// Where the pages of a build's entries stand, in the order of its log.
    pub fn entries_of<'a>(&'a self, build: &'a Build) -> impl Iterator<Item = &'a str> {
        let key = |name: &str| (build.slug.clone(), name.to_owned());
        build.entries.iter().filter_map(move |entry| self.entries.get(&key(&entry.name)).map(String::as_str))
    }

    /// Where all pages of builds, entries and parts stand.
    pub fn all(&self) -> Vec<&str> {
        let entries = self.builds.values().chain(self.entries.values());
        entries.chain(self.parts.values()).map(String::as_str).collect()
    }

    /// These builds with their entries, these parts, and the pages over many builds.
    #[must_use]
    pub fn only(&self, slugs: &BTreeSet<&str>, ids: &BTreeSet<&str>) -> Addresses {
        let parted = |id: &&str| Some(((*id).to_owned(), self.parts.get(*id)?.clone()));
        let built = |slug: &&str| Some(((*slug).to_owned(), self.builds.get(*slug)?.clone()));
        let entries = slugs.iter().flat_map(|slug| {
            let from = self.entries.range(((*slug).to_owned(), String::new())..);
            let own = from.take_while(move |((of, _), _)| of == slug);
            own.map(|(key, path)| (key.clone(), path.clone()))
        });
        Addresses {
            builds: slugs.iter().filter_map(built).collect(),
            entries: entries.collect(),
            parts: ids.iter().filter_map(parted).collect(),
            checks: self.checks.clone(),
            home: self.home.clone(),
            bin: self.bin.clone(),
            all_checks: self.all_checks.clone(),
            photos: self.photos.clone(),
            audit: self.audit.clone(),
            search: self.search.clone(),
        }
    }

    /// The anchor of an entry on its build's page.
    #[must_use]
    pub fn entry_anchor(name: &str) -> String {
        format!("e-{}", file_name(name))
    }
}

/// The way from the page at `from` to `to` (a path in the site, perhaps with an anchor), ready for a
/// link; empty where there is no such page.
#[must_use]
pub fn way(from: &str, to: &str) -> String {
    if to.is_empty() {
        return String::new();
    }
    let (path, anchor) = to.split_once('#').map_or((to, ""), |(path, anchor)| (path, anchor));
    let mut out = String::new();
    if path != from || anchor.is_empty() {
        let here: Vec<&str> = from.split('/').collect();
        let there: Vec<&str> = path.split('/').collect();
        let shared =
            here[..here.len() - 1].iter().zip(&there[..there.len() - 1]).take_while(|(a, b)| a == b).count();
        out.push_str(&"../".repeat(here.len() - 1 - shared));
        out.push_str(&percent(&there[shared..].join("/")));
    }
    if !anchor.is_empty() {
        out.push('#');
        out.push_str(&percent(anchor));
    }
    out
}

/// The way from the page at `path` to the site's top.
#[must_use]
pub fn root(path: &str) -> String {
    "../".repeat(path.matches('/').count())
}

/// A file name for an id or a slug that every system can hold and every browser asks for unchanged.
///
/// A plain name stands for itself. Any other becomes plain, and a few figures of its hash keep it
/// apart from what would become the same.
#[must_use]
pub fn file_name(name: &str) -> String {
    let plain =
        name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'-' | b'_' | b'.'));
    // A build's entries stand in a folder of its name, where the page of another build may stand.
    let page = name.ends_with(".html");
    let sound =
        !name.is_empty() && !name.starts_with('.') && !name.ends_with('.') && !page && name.len() <= 80;
    if plain && sound && !reserved(name) {
        return name.to_owned();
    }
    let word: String = slug(name).chars().filter(char::is_ascii).take(60).collect();
    let hash = blake3::hash(name.as_bytes()).to_hex();
    if word.is_empty() { hash[..8].to_owned() } else { format!("{word}-{}", &hash[..6]) }
}

/// Names that some systems keep for devices, whatever follows after a point.
fn reserved(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name);
    let numbered = |word: &str| stem.strip_prefix(word).is_some_and(|rest| rest.len() == 1);
    ["con", "prn", "aux", "nul"].contains(&stem) || numbered("com") || numbered("lpt")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_between_pages() {
        assert_eq!(way("builds/lantern.html", "index.html"), "../index.html");
        assert_eq!(way("builds/lantern.html", "builds/lantern/dial.html"), "lantern/dial.html");
        assert_eq!(way("builds/lantern/dial.html", "builds/lantern.html#f-1"), "../lantern.html#f-1");
        assert_eq!(way("builds/lantern.html", "builds/lantern.html#f-1"), "#f-1");
        assert_eq!(way("index.html", "parts/a b.html"), "parts/a%20b.html");
        assert_eq!(way("index.html", ""), "");
        assert_eq!(root("builds/lantern/dial.html"), "../../");
    }

    #[test]
    fn plain_names_stand_for_themselves() {
        assert_eq!(file_name("mv-0031"), "mv-0031");
        assert_eq!(file_name("2026-01-17-dial"), "2026-01-17-dial");
    }

    #[test]
    fn odd_names_become_plain_and_stay_apart() {
        let odd = [
            "Lantern",
            "lantérn",
            "a.html",
            "con",
            "com1.x",
            "a/b",
            "..",
            "a b?#%",
            "日時計",
            "<script>",
            "a\\b",
        ];
        let names: BTreeSet<String> = odd.iter().map(|name| file_name(name)).collect();
        assert_eq!(names.len(), odd.len());
        for name in names {
            assert!(
                name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'),
                "{name}"
            );
            assert!(!reserved(&name), "{name}");
        }
    }
}
