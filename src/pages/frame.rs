//! What stands around the main part of every page, and what it tells other programs.

use crate::draw;
use crate::journal::Build;

use super::addresses::{root, way};
use super::context::{Frame, NavItem, Sharing};
use super::markup::percent;
use super::render::POLICY;
use super::source::Source;
use super::structured::{self, Work};
use super::theme::Theme;

/// What a frame says of its page.
#[derive(Default)]
pub(super) struct About<'a> {
    pub(super) title: &'a str,
    pub(super) description: &'a str,
    /// The navigation's entry that it belongs to, by its address.
    pub(super) belongs: &'a str,
    pub(super) scripts: &'a [&'a str],
    /// The photo for previews elsewhere, by its path in the journal, and its alt text.
    pub(super) photo: Option<(String, String)>,
    pub(super) structured: String,
    pub(super) kind: &'a str,
    /// Its foot counts what the journal holds; empty for a page that does not say.
    pub(super) foot: String,
}

/// Makes the frames of pages.
#[derive(Clone, Copy)]
pub(super) struct Frames<'a> {
    pub(super) theme: &'a Theme,
    pub(super) source: &'a Source<'a>,
}

impl Frames<'_> {
    pub(super) fn frame(&self, path: &str, about: &About<'_>) -> Frame {
        let source = self.source;
        let settings = &source.journal.settings;
        let addresses = source.addresses;
        let theme = |name: &str| self.theme.asset(name).map(|asset| way(path, asset)).unwrap_or_default();
        let item = |label: &str, to: &str| {
            (!to.is_empty()).then(|| NavItem {
                label: label.to_owned(),
                href: way(path, to),
                current: to == about.belongs,
            })
        };
        let first = if self.source.scope.only.is_some() { "The watch" } else { "Builds" };
        let navigation = [
            item(first, &addresses.home),
            item("Photos", &addresses.photos),
            item("Parts bin", &addresses.bin),
            item("Checks", &addresses.all_checks),
            item("Audit", &addresses.audit),
            item("Search", &addresses.search),
        ];
        let only = self.source.scope.only.is_some();
        let address = settings.address.is_some() && !only;
        let sharing = address.then(|| {
            let (image, alt) = about.photo.clone().unwrap_or_default();
            let share = source.album.sizes(&image).and_then(|sizes| sizes.share.clone());
            let (image, width, height) =
                share.map(|(path, w, h)| (self.whole(&path), w, h)).unwrap_or_default();
            Sharing {
                kind: about.kind.to_owned(),
                image_alt: if image.is_empty() { String::new() } else { alt },
                image,
                image_width: width,
                image_height: height,
            }
        });
        let scripts = about.scripts.iter().map(|name| theme(&format!("scripts/{name}")));
        Frame {
            language: settings.language.clone(),
            title: about.title.to_owned(),
            journal: settings.title.clone(),
            description: about.description.to_owned(),
            root: root(path),
            home: way(path, &addresses.home),
            policy_html: POLICY.to_owned(),
            sprite_html: draw::symbols(),
            style: theme("style.css"),
            icon: theme("icon.svg"),
            faces: self.theme.faces().map(|face| way(path, face)).collect(),
            faces_script: theme("scripts/faces.js"),
            scripts: scripts.filter(|script| !script.is_empty()).collect(),
            navigation: navigation.into_iter().flatten().collect(),
            search: way(path, &addresses.search),
            feed: if address { way(path, "feed.xml") } else { String::new() },
            canonical: match address {
                true if path == addresses.home => self.whole(""),
                true => self.whole(path),
                false => String::new(),
            },
            sharing,
            structured_html: about.structured.clone(),
            // A count on every page would have every page made again for each new entry.
            foot: about.foot.clone(),
            author: settings.author.clone().unwrap_or_default(),
            private: self.source.scope.private,
        }
    }

    /// A page's whole address on the web; empty where the journal has none, or one build alone is
    /// published, which stands anywhere.
    pub(super) fn whole(&self, path: &str) -> String {
        match &self.source.journal.settings.address {
            Some(address) if self.source.scope.only.is_none() => {
                format!("{}/{}", address.trim_end_matches('/'), percent(path))
            }
            _ => String::new(),
        }
    }

    pub(super) fn cover(&self, build: &Build) -> Option<(String, String)> {
        let file = build.cover.as_ref()?.value.clone();
        let alt = self.source.alt(build, &file);
        let alt = if alt.is_empty() { build.title.clone() } else { alt };
        Some((format!("builds/{}/{file}", build.slug), alt))
    }

    pub(super) fn work<'w>(&'w self, url: &'w str, name: &'w str, description: &'w str) -> Work<'w> {
        let settings = &self.source.journal.settings;
        Work {
            url,
            name,
            description,
            author: settings.author.as_deref().unwrap_or_default(),
            language: &settings.language,
            ..Work::default()
        }
    }

    pub(super) fn article(
        &self,
        url: &str,
        title: &str,
        description: &str,
        photo: Option<&(String, String)>,
        first: &str,
        last: &str,
    ) -> String {
        if url.is_empty() {
            return String::new();
        }
        let share =
            photo.and_then(|(path, _)| self.source.album.sizes(path)).and_then(|sizes| sizes.share.as_ref());
        let images = share.map(|(path, ..)| self.whole(path)).into_iter().collect();
        structured::article(&Work {
            images,
            published: first,
            modified: last,
            ..self.work(url, title, description)
        })
    }
}

/// The first words of a text, at most `most` characters.
pub(super) fn shorten(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let cut: String = text.chars().take(most).collect();
    let cut = cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole);
    format!("{cut}…")
}
