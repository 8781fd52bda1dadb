//! From the data of a page to its bytes.

use anyhow::Context as _;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};

use super::context::Frame;
use super::theme::Theme;

/// What a page may load and run: files of the site, nothing inline, nothing from elsewhere.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                          font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'";

/// The kind of a file of the site, which decides when it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileKind {
    /// Named by its content: may be added at any time before the pages.
    Asset,
    /// Data with a fixed name that pages load by script.
    Data,
    /// A page.
    Page,
}

/// A file of the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SiteFile {
    /// Its path in the site, with `/`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Its kind.
    pub kind: FileKind,
}

/// What a template sees: `frame` and, under a name of its own, what the page shows.
struct Shown<'a, T> {
    frame: &'a Frame,
    name: &'static str,
    shown: &'a T,
}

impl<T: Serialize> Serialize for Shown<'_, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(2))?;
        map.serialize_entry("frame", self.frame)?;
        map.serialize_entry(self.name, self.shown)?;
        map.end()
    }
}

/// Renders one page: `template` sees `frame` and, under the name `name`, `shown`. An error is a
/// [`ThemeFault`](super::theme::ThemeFault) where the theme's own templates have it.
pub(super) fn page<T: Serialize>(
    theme: &Theme,
    template: &str,
    path: &str,
    frame: &Frame,
    name: &'static str,
    shown: &T,
) -> anyhow::Result<SiteFile> {
    let html = theme
        .render(template, &Shown { frame, name, shown })
        .with_context(|| format!("cannot make {path} with {template}"))?;
    if !html.contains(POLICY) {
        let what = "leaves out the Content-Security-Policy: write {{ frame.policy_html | safe }} in a meta \
                    element, as linen/frame.html does";
        return Err(theme.fault_at(template, what).into());
    }
    let bytes = without_end_tags(&slim(&html)).into_bytes();
    Ok(SiteFile { path: path.to_owned(), bytes, kind: FileKind::Page })
}

/// A page without the indentation and blank lines that templates leave. `pre`, `textarea` and `script` are
/// kept as they are.
fn slim(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut kept: Option<&str> = None;
    for line in html.split('\n') {
        let shown = if kept.is_some() { line } else { line.trim_end().trim_start() };
        if kept.is_none() && shown.is_empty() {
            continue;
        }
        out.push_str(shown);
        out.push('\n');
        for end in ["pre", "textarea", "script"] {
            let opens = line.rfind(&format!("<{end}"));
            let closes = line.rfind(&format!("</{end}>"));
            match kept {
                None if opens > closes => kept = Some(end),
                Some(open) if open == end && closes.is_some() && closes > opens => kept = None,
                _ => {}
            }
        }
    }
    out
}

/// A page without the end tags of table cells, rows and list items that HTML lets out, because the
/// next cell, row or item (or the end of the whole) ends them.
fn without_end_tags(html: &str) -> String {
    let followers: [(&str, &[&str]); 5] = [
        ("</td>", &["<td", "<th", "</tr>"]),
        ("</th>", &["<td", "<th", "</tr>"]),
        ("</tr>", &["<tr", "</tbody>", "</thead>", "</tfoot>"]),
        ("</li>", &["<li", "</ul>", "</ol>"]),
        ("</dd>", &["<dt", "</dl>"]),
    ];
    let mut out = String::with_capacity(html.len());
    let mut rest = html;
    while let Some(at) = rest.find("</") {
        let (before, tag) = rest.split_at(at);
        out.push_str(before);
        let known = followers.iter().find(|(name, _)| tag.starts_with(name));
        let ended = known.filter(|(name, next)| {
            let after = tag[name.len()..].trim_start();
            // `<th` also begins `<thead`, which is never inside a row.
            next.iter().any(|next| after.starts_with(next))
        });
        let (kept, length) = match ended {
            Some((name, _)) => ("", name.len()),
            None => ("</", 2),
        };
        out.push_str(kept);
        rest = &tag[length..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::super::context::SearchPage;
    use super::*;

    fn frame() -> Frame {
        Frame { policy_html: POLICY.to_owned(), language: "en".to_owned(), ..Frame::default() }
    }

    #[test]
    fn a_title_cannot_act() {
        let theme = Theme::built_in("linen").unwrap();
        let attack = "\"><script>alert('1')</script>";
        let frame = Frame {
            title: attack.to_owned(),
            journal: attack.to_owned(),
            description: attack.to_owned(),
            language: attack.to_owned(),
            ..frame()
        };
        let page =
            page(&theme, "search.html", "search.html", &frame, "search", &SearchPage::default()).unwrap();
        let html = String::from_utf8(page.bytes).unwrap();
        assert!(!html.contains("<script>"), "{html}");
        assert!(html.contains("&lt;script&gt;"), "{html}");
    }

    #[test]
    fn end_tags_that_html_lets_out_go() {
        assert_eq!(
            without_end_tags(
                "<tr><td>a</td><td>b</td></tr>\n<tr><td>c</td></tr></tbody></table><ul><li>x</li>y</ul>"
            ),
            "<tr><td>a<td>b\n<tr><td>c</tbody></table><ul><li>x</li>y</ul>"
        );
    }

    #[test]
    fn blank_lines_go_and_written_text_stays() {
        assert_eq!(
            slim("<p>\n\n   a\n<pre><code>b\n\n  c\n</code></pre>\n   d"),
            "<p>\na\n<pre><code>b\n\n  c\n</code></pre>\nd\n"
        );
        assert_eq!(slim("<pre>a</pre>\n  b"), "<pre>a</pre>\nb\n");
    }
}
