//! The texts of builds and entries: what their links and pictures mean in this journal.

use crate::journal::{Build, Journal};
use crate::problem::{self, Problem};
use crate::text::Span;

use super::addresses::{Addresses, way};
use super::album::Album;
use super::context::Picture;
use super::markdown::{self, Resolve, Settings};

/// Where a text is shown.
#[derive(Clone, Copy)]
pub(super) struct Shelf<'a> {
    pub(super) journal: &'a Journal,
    pub(super) addresses: &'a Addresses,
    pub(super) album: &'a Album,
    pub(super) build: &'a Build,
    /// The path of the page that shows it.
    pub(super) page: &'a str,
    /// Before the `id` of every heading.
    pub(super) anchors: &'a str,
}

/// A text whose HTML is larger is no log, but made to be: a page holds several.
const LARGEST: usize = 4 << 20;

/// A text of the build's folder as HTML; its headings begin at `level`.
pub(super) fn render(shelf: Shelf<'_>, text: Span, level: u8, problems: &mut Vec<Problem>) -> String {
    let settings = Settings {
        top_heading: level,
        anchors: Some(shelf.anchors.to_owned()),
        raw_html: shelf.journal.settings.raw_html,
    };
    let rendered = markdown::render(shelf.journal.files.cut(text), &settings, &shelf);
    let mut told = Vec::new();
    for notice in rendered.notices {
        let at = |offset: usize| text.start + u32::try_from(offset).unwrap_or(u32::MAX - text.start);
        let span = Span { file: text.file, start: at(notice.at.start), end: at(notice.at.end) };
        problem::tell(&mut told, Problem::warning(shelf.journal.files.place(span), notice.message));
    }
    problems.append(&mut told);
    if LARGEST < rendered.html.len() {
        let message = format!(
            "this text makes {} MB of a page, and at most {} are shown: split it",
            rendered.html.len() >> 20,
            LARGEST >> 20
        );
        problems.push(Problem::error(shelf.journal.files.place(text), message));
        return String::new();
    }
    rendered.html
}

impl Resolve for Shelf<'_> {
    fn link(&self, target: &str) -> Option<String> {
        let (path, anchor) = target.split_once('#').unwrap_or((target, ""));
        let anchored = |page: &str| {
            let shown = if anchor.is_empty() { page.to_owned() } else { format!("{page}#s-{anchor}") };
            way(self.page, &shown)
        };
        if path.is_empty() {
            return (!anchor.is_empty()).then(|| format!("#{}{anchor}", self.anchors));
        }
        let path = joined(&self.build.slug, path)?;
        let mut pieces = path.strip_prefix("builds/")?.split('/');
        let (slug, name) = (pieces.next()?, pieces.next());
        let page = match name {
            None | Some("build.md") => self.addresses.builds.get(slug),
            Some(name) => match name.strip_suffix(".md") {
                Some(name) if pieces.next().is_none() => {
                    self.addresses.entries.get(&(slug.to_owned(), name.to_owned()))
                }
                _ => return self.album.picture(self.page, &path).map(|picture| picture.full),
            },
        };
        page.map(|page| anchored(page))
    }

    fn photo(&self, target: &str) -> Option<Picture> {
        self.album.picture(self.page, &joined(&self.build.slug, target)?)
    }
}

/// A relative address of a text in a build's folder as a path in the journal; `None` where it leads
/// out of the journal or is none.
fn joined(slug: &str, target: &str) -> Option<String> {
    let target = decoded(target)?;
    if target.starts_with('/') || target.contains(['\\', '\0']) {
        return None;
    }
    let mut path = vec!["builds", slug];
    for piece in target.split('/') {
        match piece {
            "" | "." => {}
            ".." => {
                path.pop()?;
            }
            piece => path.push(piece),
        }
    }
    Some(path.join("/"))
}

/// The text with every %XX decoded; `None` where that is no text.
fn decoded(target: &str) -> Option<String> {
    let bytes = target.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let pair = target.get(at + 1..at + 3).and_then(|pair| u8::from_str_radix(pair, 16).ok());
        match (bytes[at], pair) {
            (b'%', Some(byte)) => {
                out.push(byte);
                at += 3;
            }
            (byte, _) => {
                out.push(byte);
                at += 1;
            }
        }
    }
    String::from_utf8(out).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_joined_and_stay_in_the_journal() {
        assert_eq!(joined("lantern", "02-front.jpg").unwrap(), "builds/lantern/02-front.jpg");
        assert_eq!(joined("lantern", "../heron/build.md").unwrap(), "builds/heron/build.md");
        assert_eq!(joined("lantern", "./a%20b.jpg").unwrap(), "builds/lantern/a b.jpg");
        assert_eq!(joined("lantern", "../../../x.md"), None);
        assert_eq!(joined("lantern", "a%00b"), None);
        assert_eq!(joined("lantern", "/etc/passwd"), None);
    }
}
