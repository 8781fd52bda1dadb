//! The pages of one build: its own, and those of its entries.

use crate::journal::Build;
use crate::pages::checked::Checked;
use crate::pages::excerpt::Opened;
use crate::pages::frame::{About, Frames, shorten};
use crate::pages::theme::Theme;
use crate::pages::{build as build_page, log, markdown, render};

use super::Made;

/// Makes them.
pub(super) fn pages(theme: &Theme, opened: &Opened<'_>, slug: &str) -> anyhow::Result<Made> {
    let source = &opened.source();
    let frames = Frames { theme, source };
    let (Some(build), Some(path)) = (source.build(slug), source.addresses.builds.get(slug)) else {
        return Ok(Made::default());
    };
    let checked = &Checked::of(source, build, source.report(slug));
    let mut made = Made::default();
    let neighbours = opened.neighbours.clone();
    let shown = build_page::page(source, build, checked, path, neighbours, &mut made.problems);
    let frame = frames.frame(path, &about_build(&frames, build, path));
    made.files.push(render::page(theme, "build.html", path, &frame, "build", &shown)?);
    let photos = log::photos(source, build);
    for (at, entry) in build.entries.iter().enumerate() {
        let key = (build.slug.clone(), entry.name.clone());
        let Some(path) = source.addresses.entries.get(&key) else { continue };
        let Some(shown) = build_page::entry_page(source, build, at, &photos, path) else { continue };
        let description = shorten(&markdown::plain(source.journal.files.cut(entry.text)), 160);
        let iso = entry.date.value.to_string();
        let photo = entry.photos.first().map(|photo| {
            (format!("builds/{}/{}", build.slug, photo.file.value), photo.alt.clone().unwrap_or_default())
        });
        let title = format!("{}: {}", build.title, shown.entry.title);
        let url = frames.whole(path);
        let about = About {
            title: &title,
            description: &description,
            belongs: &source.addresses.home,
            scripts: &["lightbox.js"],
            structured: frames.article(&url, &title, &description, photo.as_ref(), &iso, &iso),
            photo,
            kind: "article",
            foot: String::new(),
        };
        let frame = frames.frame(path, &about);
        made.files.push(render::page(theme, "entry.html", path, &frame, "entry", &shown)?);
    }
    Ok(made)
}

fn about_build<'a>(frames: &Frames<'a>, build: &'a Build, path: &str) -> About<'a> {
    let summary = build.summary.as_deref().unwrap_or_default();
    let cover = frames.cover(build);
    let first = build.begun.as_ref().map(|day| day.value.to_string()).unwrap_or_default();
    let (url, last) = (frames.whole(path), build_page::last_day(build));
    About {
        title: &build.title,
        description: summary,
        belongs: &frames.source.addresses.home,
        scripts: &["open.js", "lightbox.js"],
        structured: frames.article(&url, &build.title, summary, cover.as_ref(), &first, &last),
        photo: cover,
        kind: "article",
        // A count on every page would have every page made again for each new entry.
        foot: String::new(),
    }
}
