//! Themes: templates, styles, scripts and fonts, embedded in the binary and overridden file by file.
//!
//! A theme's files are looked up in this order: those of the journal's `themes/<name>/`, those of
//! the built-in theme of that name, those of linen. A file of one's own may go on from a built-in
//! one by its full name: `{% extends "linen/build.html" %}`.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use anyhow::Context as _;
use rust_embed::RustEmbed;
use tera::Tera;

use crate::journal::folder::LINK;

use super::guard;

/// The built-in themes.
#[derive(RustEmbed)]
#[folder = "themes/"]
struct BuiltIn;

/// The theme that all others fall back to.
pub const DEFAULT: &str = "linen";

/// The names of the built-in themes.
pub const NAMES: [&str; 2] = [DEFAULT, "anthracite"];

/// The stylesheets that make a page's one style, in this order: the base, the drawings, and what a
/// theme adds to both.
const STYLES: [&str; 3] = ["style.css", "drawings.css", "more.css"];

/// What is published beside the pages under a name made of its content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asset {
    /// The path in the site, as `assets/style-1a2b3c4d5e.css`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A theme, ready to render.
pub struct Theme {
    /// Its templates.
    pub(super) tera: Arc<Tera>,
    /// By the name that the theme's files use, as `style.css` or `scripts/lightbox.js`.
    assets: BTreeMap<String, Asset>,
    /// Of all its files.
    pub(super) digest: super::digest::Digest,
}

impl Theme {
    /// The theme `name` with the journal's own files over it; `own` has their paths below
    /// `themes/<name>/`, with `/`.
    pub fn new(name: &str, own: BTreeMap<String, Vec<u8>>) -> anyhow::Result<Theme> {
        anyhow::ensure!(
            NAMES.contains(&name) || !own.is_empty(),
            "there is no theme `{name}`: take {}, or make themes/{name}/ in the journal",
            NAMES.join(" or ")
        );
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
        let mut tera = Tera::new();
        tera.autoescape_on(vec![".html", ".xml", ".svg"]);
        tera.set_fallback_prefixes(
            layers.iter().filter(|(prefix, _)| !prefix.is_empty()).map(|(prefix, _)| prefix.clone()),
        )?;
        tera.register_function(guard::IN_TIME, guard::in_time);
        let mut templates = Vec::new();
        for (prefix, files) in layers.iter().chain(&extra) {
            for (path, bytes) in files.iter().filter(|(path, _)| is_template(path)) {
                let text = std::str::from_utf8(bytes)
                    .with_context(|| format!("themes/{name}/{path} is not UTF-8 text"))?;
                templates.push((format!("{prefix}{path}"), guard::guarded(text)));
            }
        }
        if let Some(circle) = guard::circle(templates.iter().map(|(_, text)| text.as_str())) {
            anyhow::bail!(
                "the theme `{name}` has components that call each other for ever: {}",
                circle.join(" > ")
            );
        }
        tera.add_raw_templates(templates).with_context(|| format!("the theme `{name}` cannot be read"))?;
        let files: Vec<_> = layers.iter().map(|(_, files)| files).collect();
        Ok(Theme { tera: Arc::new(tera), assets: assets(&files)?, digest })
    }

    /// The theme `name` with what lies in the journal's `themes/<name>/`.
    pub fn read(journal: &Path, name: &str) -> anyhow::Result<Theme> {
        let plain = !name.is_empty() && !name.starts_with('.') && !name.contains(['/', '\\']);
        anyhow::ensure!(plain, "`{name}` is no name of a theme: write the name of a folder in themes/");
        let folder = journal.join("themes").join(name);
        for place in [journal.join("themes"), folder.clone()] {
            let link = place.symlink_metadata().is_ok_and(|it| it.is_symlink());
            anyhow::ensure!(!link, "{} {LINK}", place.display());
        }
        let mut own = BTreeMap::new();
        if folder.is_dir() {
            for found in walkdir::WalkDir::new(&folder).sort_by_file_name() {
                let found =
                    found.with_context(|| format!("cannot read the theme in {}", folder.display()))?;
                if !found.file_type().is_file() {
                    continue;
                }
                let path = found.path().strip_prefix(&folder)?.to_string_lossy().replace('\\', "/");
                let bytes = std::fs::read(found.path())
                    .with_context(|| format!("cannot read {}", found.path().display()))?;
                own.insert(path, bytes);
            }
        }
        Theme::new(name, own)
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

fn is_asset(path: &str) -> bool {
    [".js", ".svg", ".woff2", ".png", ".jpg", ".webp"].iter().any(|end| path.ends_with(end))
}

fn assets(layers: &[&BTreeMap<String, Vec<u8>>]) -> anyhow::Result<BTreeMap<String, Asset>> {
    let mut files: BTreeMap<&str, &[u8]> = BTreeMap::new();
    for (path, bytes) in layers.iter().rev().flat_map(|files| files.iter()) {
        files.insert(path, bytes);
    }
    let mut out = BTreeMap::new();
    for (path, bytes) in files.iter().filter(|(path, _)| is_asset(path)) {
        let bytes = if path.ends_with(".js") {
            slim_script(&text(path, bytes)?).into_bytes()
        } else {
            bytes.to_vec()
        };
        out.insert((*path).to_owned(), named(path, bytes));
    }
    let mut style = String::new();
    for sheet in STYLES {
        if let Some(bytes) = files.get(sheet) {
            style.push_str(&text(sheet, bytes)?);
            style.push('\n');
        }
    }
    let mut style = slim_style(&style);
    for (path, asset) in &out {
        // All assets lie in one folder, so that the name alone leads from the style to the font.
        let file = asset.path.trim_start_matches("assets/");
        style = style.replace(&format!("url({path})"), &format!("url({file})"));
    }
    out.insert("style.css".to_owned(), named("style.css", style.into_bytes()));
    Ok(out)
}

fn text(path: &str, bytes: &[u8]) -> anyhow::Result<String> {
    String::from_utf8(bytes.to_vec()).with_context(|| format!("the theme's {path} is not UTF-8 text"))
}

fn named(path: &str, bytes: Vec<u8>) -> Asset {
    let file = path.rsplit('/').next().unwrap_or(path);
    let (stem, end) = file.rsplit_once('.').unwrap_or((file, "bin"));
    let hash = blake3::hash(&bytes).to_hex();
    Asset { path: format!("assets/{stem}-{}.{end}", &hash[..16]), bytes }
}

/// A stylesheet without comments and without the space that only people need.
fn slim_style(css: &str) -> String {
    let mut out = String::with_capacity(css.len());
    let mut chars = css.chars().peekable();
    let mut quote = None;
    while let Some(c) = chars.next() {
        if let Some(open) = quote {
            out.push(c);
            if c == '\\' {
                out.extend(chars.next());
            } else if c == open {
                quote = None;
            }
        } else if c == '/' && chars.peek() == Some(&'*') {
            chars.next();
            let mut last = ' ';
            for c in chars.by_ref() {
                if last == '*' && c == '/' {
                    break;
                }
                last = c;
            }
        } else if c.is_whitespace() {
            while chars.peek().is_some_and(|next| next.is_whitespace()) {
                chars.next();
            }
            let tight = |c: char| matches!(c, '{' | '}' | ';' | ',');
            let before = out.chars().last().is_none_or(tight);
            if !before && !chars.peek().copied().is_some_and(tight) {
                out.push(' ');
            }
        } else {
            if matches!(c, '"' | '\'') {
                quote = Some(c);
            }
            if c == '}' && out.ends_with(';') {
                out.pop();
            }
            out.push(c);
        }
    }
    out
}

/// A script without indentation, blank lines and lines that are comments only.
fn slim_script(js: &str) -> String {
    let lines = js.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with("//"));
    lines.collect::<Vec<_>>().join("\n")
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

    #[test]
    fn components_that_never_end_are_refused() {
        let own = BTreeMap::from([(
            "mine.html".to_owned(),
            b"{% component mine() %}{{ <mine/> }}{% endcomponent mine %}".to_vec(),
        )]);
        let error = Theme::new(DEFAULT, own).err().unwrap().to_string();
        assert!(error.ends_with("call each other for ever: mine > mine"), "{error}");
    }

    #[test]
    fn an_unknown_theme_is_refused_with_the_known_ones() {
        let error = Theme::new("slate", BTreeMap::new()).err().unwrap().to_string();
        assert_eq!(
            error,
            "there is no theme `slate`: take linen or anthracite, or make themes/slate/ in the journal"
        );
    }

    #[test]
    fn one_file_of_ones_own_goes_on_from_the_built_in_one() {
        let own = BTreeMap::from([
            (
                "search.html".to_owned(),
                b"{% extends \"linen/search.html\" %}{% block foot %}mine{% endblock %}".to_vec(),
            ),
            ("more.css".to_owned(), b"h1 { color: red; }".to_vec()),
        ]);
        let theme = Theme::new(DEFAULT, own).unwrap();
        assert!(theme.tera.contains_template("search.html"));
        let style = theme.assets().find(|asset| asset.path.contains("style")).unwrap();
        assert!(std::str::from_utf8(&style.bytes).unwrap().ends_with("h1{color: red}"));
    }

    #[test]
    fn a_style_keeps_its_meaning_and_loses_its_comments() {
        assert_eq!(
            slim_style("/* a */ a  b { margin : 0 ; content: \"a  ; b\" }\n\n@media (x) and (y) {p{}}"),
            "a b{margin : 0;content: \"a  ; b\"}@media (x) and (y){p{}}"
        );
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
