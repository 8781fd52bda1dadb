//! Themes: templates, styles, scripts and fonts, embedded in the binary and overridden file by file.
//!
//! A theme's files are looked up in this order: those of the journal's `themes/<name>/`, those of
//! the built-in theme of that name, those of linen. A file of one's own may go on from a built-in
//! one by its full name: `{% extends "linen/build.html" %}`.
//!
//! A fault in a file of one's own is a problem and stops nothing: the built-in file of its name is taken.
//! What fails only while a page is made is set aside for that page alone, so that a site keeps as much of
//! the look that somebody chose as can be had; a template that runs away is set aside for all pages of its
//! kind, because each of them would have to be waited for.

mod assets;
mod fault;
mod folder;
mod templates;

use std::collections::BTreeMap;
use std::path::Path;

use rust_embed::RustEmbed;

use crate::problem::Problem;
use crate::text::Place;

use super::guard::Guarded;

pub use assets::Asset;
pub(super) use fault::Fault;
pub(super) use templates::{Blame, Names, Templates};

/// The built-in themes.
#[derive(RustEmbed)]
#[folder = "themes/"]
struct BuiltIn;

/// The theme that all others fall back to.
pub const DEFAULT: &str = "linen";

/// The names of the built-in themes.
pub const NAMES: [&str; 2] = [DEFAULT, "anthracite"];

/// A theme, ready to render.
pub struct Theme {
    pub(super) templates: Templates,
    /// By the name that the theme's files use, as `style.css` or `scripts/lightbox.js`.
    assets: BTreeMap<String, Asset>,
    /// Of all its files.
    pub(super) digest: super::digest::Digest,
    problems: Vec<Problem>,
}

impl Theme {
    /// The theme `name` with the journal's own files over it; `own` has their paths below
    /// `themes/<name>/`, with `/`. Of those that cannot be used the built-in ones are taken, and
    /// [`Theme::problems`] tells of it.
    pub fn new(name: &str, own: BTreeMap<String, Vec<u8>>) -> anyhow::Result<Theme> {
        Theme::over(name, own, Vec::new())
    }

    /// The same, where some files could not be read.
    fn over(name: &str, mut own: BTreeMap<String, Vec<u8>>, mut faults: Vec<Fault>) -> anyhow::Result<Theme> {
        let folder = format!("themes/{name}");
        own.retain(|path, bytes| {
            let good = !is_text(path) || std::str::from_utf8(bytes).is_ok();
            if !good {
                let place = Place::file(format!("{folder}/{path}"));
                faults.push(Fault { place, what: "is not UTF-8 text: save it as UTF-8".to_owned() });
            }
            good
        });
        let mut layers: Vec<(String, BTreeMap<String, Vec<u8>>)> = vec![(String::new(), own)];
        if name != DEFAULT && NAMES.contains(&name) {
            layers.push((format!("{name}/"), built_in(name)));
        }
        layers.push((format!("{DEFAULT}/"), built_in(DEFAULT)));
        // A theme of one's own that goes on from anthracite names its files in full.
        let others = NAMES.iter().filter(|other| **other != DEFAULT && **other != name);
        let extra: Vec<_> = others.map(|other| (format!("{other}/"), built_in(other))).collect();

        let mut hasher = blake3::Hasher::new();
        for (prefix, files) in layers.iter().chain(&extra) {
            for (path, bytes) in files {
                hasher.update(format!("{prefix}{path} {}\n", bytes.len()).as_bytes()).update(bytes);
            }
        }
        let digest = hasher.finalize().to_hex().to_string();

        let mut guarded = BTreeMap::new();
        let mut plain = Vec::new();
        for (prefix, files) in layers.iter().chain(&extra) {
            for (path, bytes) in files.iter().filter(|(path, _)| is_template(path)) {
                let text = std::str::from_utf8(bytes)?;
                if prefix.is_empty() {
                    guarded.insert(path.clone(), Guarded::new(text));
                } else {
                    plain.push((format!("{prefix}{path}"), text.to_owned()));
                }
            }
        }
        let prefixes = layers.iter().skip(1).map(|(prefix, _)| prefix.clone()).collect();
        let (templates, more) = Templates::new(folder, guarded, plain, prefixes)?;
        faults.extend(more);
        let files: Vec<_> = layers.iter().map(|(_, files)| files).collect();
        let mut theme = Theme { templates, assets: assets::of(&files)?, digest, problems: Vec::new() };
        theme.problems = faults
            .into_iter()
            .map(|fault| {
                let path = fault.place.file.splitn(3, '/').nth(2).unwrap_or_default();
                match layers.iter().skip(1).any(|(_, files)| files.contains_key(path)) {
                    true => fault.problem(&format!("the built-in {path} is taken")),
                    false => fault.problem("it is left out"),
                }
            })
            .collect();
        Ok(theme)
    }

    /// The theme `name`, which stands at `named`, with what lies in the journal's `themes/<name>/`; linen
    /// where there is no such theme.
    pub fn read(journal: &Path, name: &str, named: Place) -> anyhow::Result<Theme> {
        match folder::read(journal, name) {
            Ok((own, faults)) => Theme::over(name, own, faults),
            Err(what) => {
                let mut theme = Theme::new(DEFAULT, BTreeMap::new())?;
                theme.problems.push(Fault { place: named, what }.problem("linen is taken"));
                Ok(theme)
            }
        }
    }

    /// What is wrong with it, whatever pages are made with it.
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// The published path of one of the theme's files, as `style.css`, `icon.svg` or
    /// `scripts/search.js`; `None` where the theme has no such file.
    #[must_use]
    pub fn asset(&self, name: &str) -> Option<&str> {
        self.assets.get(name).map(|asset| asset.path.as_str())
    }

    /// The published paths of the theme's type faces.
    pub fn faces(&self) -> impl Iterator<Item = &str> {
        self.assets.iter().filter(|(name, _)| name.ends_with(".woff2")).map(|(_, asset)| asset.path.as_str())
    }

    /// All files that the pages refer to.
    pub fn assets(&self) -> impl Iterator<Item = &Asset> {
        self.assets.values()
    }
}

fn built_in(name: &str) -> BTreeMap<String, Vec<u8>> {
    let prefix = format!("{name}/");
    BuiltIn::iter()
        .filter_map(|path| {
            let inner = path.strip_prefix(&prefix)?.to_owned();
            Some((inner, BuiltIn::get(&path)?.data.into_owned()))
        })
        .collect()
}

fn is_template(path: &str) -> bool {
    [".html", ".xml"].iter().any(|end| path.ends_with(end))
}

fn is_text(path: &str) -> bool {
    is_template(path) || [".css", ".js"].iter().any(|end| path.ends_with(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_theme_reads() {
        for name in NAMES {
            let theme = Theme::new(name, BTreeMap::new()).unwrap();
            assert!(theme.asset("style.css").unwrap().starts_with("assets/style-"), "{name}");
        }
    }

    fn own(files: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
        files.iter().map(|(path, text)| ((*path).to_owned(), text.as_bytes().to_vec())).collect()
    }

    /// The problems of a theme with these files over linen.
    fn told(files: &[(&str, &str)]) -> Vec<String> {
        let theme = Theme::new("mine", own(files)).unwrap();
        theme.problems().iter().map(|it| format!("{}: {}", it.place, it.message)).collect()
    }

    #[test]
    fn what_cannot_be_read_is_told_with_what_is_taken_instead() {
        let mended = "until it is mended, the built-in";
        type Case<'a> = (&'a [(&'a str, &'a str)], &'a [String]);
        let cases: &[Case<'_>] = &[
            (&[("search.html", "a\n {% if x")], &[format!("themes/mine/search.html:2:9: unexpected end of input; {mended} search.html is taken")]),
            (
                &[("mine.html", "{% component mine() %}{{ <mine/> }}{% endcomponent mine %}")],
                &["themes/mine/mine.html:1:1: components call each other for ever: mine > mine; until it is mended, it is left out".to_owned()],
            ),
            (
                &[("search.html", "{% extends \"search.html\" %}")],
                &[format!("themes/mine/search.html: templates extend each other in a circle: search.html > search.html; {mended} search.html is taken")],
            ),
            // What only asks for a file that is told is not told as well.
            (
                &[("bin.html", "{% include \"piece.html\" %}"), ("piece.html", "{{ ")],
                &["themes/mine/piece.html:1:3: unexpected end of input; until it is mended, it is left out".to_owned()],
            ),
            // Two of one kind, each with its place.
            (
                &[("bin.html", "{% for x in y %}{{ x | loud }}{% endfor %}"), ("check.html", "{{ <loud/> }}")],
                &[
                    format!("themes/mine/bin.html:1:24: unknown filter `loud`; {mended} bin.html is taken"),
                    format!("themes/mine/check.html:1:4: unknown component `loud`; {mended} check.html is taken"),
                ],
            ),
            // The built-in pages have nowhere to stand in it.
            (
                &[("frame.html", "<p>nothing</p>"), ("more.css", "p {}")],
                &[format!("themes/mine/frame.html: the built-in templates do not go with it, block `main` is not defined in any parent template; {mended} frame.html is taken")],
            ),
        ];
        let all: Vec<Vec<String>> = cases.iter().map(|(files, _)| told(files)).collect();
        assert_eq!(all, cases.iter().map(|(_, problems)| problems.to_vec()).collect::<Vec<_>>());
    }

    #[test]
    fn one_file_of_ones_own_goes_on_from_the_built_in_one() {
        let search = "{% extends \"linen/search.html\" %}{% block foot %}mine{% endblock %}";
        let files = own(&[("search.html", search), ("more.css", "h1 { color: red; }")]);
        let theme = Theme::new(DEFAULT, files).unwrap();
        assert_eq!((theme.problems(), theme.templates.own().len()), (&[][..], 1));
        let style = theme.assets().find(|asset| asset.path.contains("style")).unwrap();
        assert!(std::str::from_utf8(&style.bytes).unwrap().ends_with("h1{color:red}"));
    }

    #[test]
    fn style_script_and_fonts_stay_under_their_budget() {
        for name in NAMES {
            let theme = Theme::new(name, BTreeMap::new()).unwrap();
            let sum: usize = theme.assets().map(|asset| asset.bytes.len()).sum();
            assert!(sum < 90 * 1024, "{name}: {sum} bytes");
        }
    }
}
