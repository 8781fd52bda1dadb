//! The styles, scripts, type faces and pictures of a theme, each published under a name made of its
//! content.

use std::collections::BTreeMap;

use anyhow::Context as _;

/// The stylesheets that make a page's one style, in this order: the base, pages of builds, lists, narrow
/// windows, paper, the drawings, and what a theme adds to all of them.
const STYLES: [&str; 7] =
    ["style.css", "build.css", "lists.css", "narrow.css", "print.css", "drawings.css", "more.css"];

/// A file that pages refer to, under a name made of its content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asset {
    /// The path in the site, as `assets/style-1a2b3c4d5e.css`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// All assets by the names that the theme's files use. Files of an earlier layer replace those of later ones.
pub(super) fn of(layers: &[&BTreeMap<String, Vec<u8>>]) -> anyhow::Result<BTreeMap<String, Asset>> {
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
        // All assets are in one folder, so the name alone leads from the style to the font.
        let file = asset.path.trim_start_matches("assets/");
        style = style.replace(&format!("url({path})"), &format!("url({file})"));
    }
    out.insert("style.css".to_owned(), named("style.css", style.into_bytes()));
    Ok(out)
}

fn is_asset(path: &str) -> bool {
    [".js", ".svg", ".woff2", ".png", ".jpg", ".webp"].iter().any(|end| path.ends_with(end))
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

/// A stylesheet without comments and needless whitespace.
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
            // A colon with space before it begins a selector's pseudo-class.
            let before = out.chars().last().is_none_or(|c| tight(c) || c == ':');
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
    fn a_style_keeps_its_meaning_and_loses_its_comments() {
        assert_eq!(
            slim_style("/* a */ a  :hover { margin: 0 ; content: \"a  ; b\" }\n\n@media (x) and (y) {p{}}"),
            "a :hover{margin:0;content:\"a  ; b\"}@media (x) and (y){p{}}"
        );
    }
}
