//! CommonMark to the HTML of a page.
//!
//! The text is a person's own, but it may have been pasted from anywhere, so nothing in it acts:
//! raw HTML is shown as text unless the journal allows it, a link leads to the web, to a mail
//! address or to a page of this site, a picture is one of the journal's photos, and no `style`
//! attribute is written. What could not be shown as meant comes back as a [`Notice`].

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use pulldown_cmark::{Alignment, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html};

use super::context::Picture;
use super::markup::{escape, slug};

/// How a text is turned into HTML.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The level that a text's first-level heading takes on its page; deeper ones follow. A level
    /// that a text leaves out is closed up, so that the page's outline has no holes.
    pub top_heading: u8,
    /// Put before every heading's `id`, so that several texts can stand on one page; `None` where
    /// headings get no `id`.
    pub anchors: Option<String>,
    /// Raw HTML acts. Otherwise it is shown as the text that it is.
    pub raw_html: bool,
}

/// What a text's addresses mean; the caller knows the journal, this module does not.
pub trait Resolve {
    /// The address of the page that a relative link leads to, seen from the page that shows the
    /// text; `None` where nothing of that name is published.
    fn link(&self, target: &str) -> Option<String>;
    /// The published form of a photo; `None` where the journal has no such photo.
    fn photo(&self, target: &str) -> Option<Picture>;
}

/// Something in a text that is not shown as it was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// For the author: what is wrong and what to write instead.
    pub message: String,
    /// Where in the Markdown text, in bytes.
    pub at: Range<usize>,
}

/// A text as HTML, and what could not be shown as meant.
#[derive(Debug, Clone, Default)]
pub struct Rendered {
    /// Whole elements, for the inside of a block element.
    pub html: String,
    /// In the order of the text.
    pub notices: Vec<Notice>,
}

/// Renders `text`.
#[must_use]
pub fn render(text: &str, settings: &Settings, resolve: &dyn Resolve) -> Rendered {
    let mut options = Options::empty();
    options.insert(Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH);
    render_with(text, options, settings, resolve)
}

/// Renders `text` by CommonMark alone, without tables and strikethrough.
#[must_use]
pub fn render_commonmark(text: &str, settings: &Settings, resolve: &dyn Resolve) -> Rendered {
    render_with(text, Options::empty(), settings, resolve)
}

/// The words of a text without its markup, for the search index, a feed's summary and the like.
#[must_use]
pub fn plain(text: &str) -> String {
    let mut out = String::new();
    for event in Parser::new_ext(text, Options::ENABLE_TABLES | Options::ENABLE_STRIKETHROUGH) {
        match event {
            Event::Text(words) | Event::Code(words) => out.push_str(&words),
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            Event::End(
                TagEnd::Paragraph | TagEnd::Heading(_) | TagEnd::Item | TagEnd::TableCell | TagEnd::CodeBlock,
            ) => out.push(' '),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Why an address is not linked, or that it is.
#[derive(Debug, PartialEq, Eq)]
enum Address<'a> {
    /// To the web or to a mail address.
    Outside,
    /// A path beside the text, or a place on its page.
    Relative(&'a str),
    /// Another scheme, or another host without one.
    Refused,
}

fn address(target: &str) -> Address<'_> {
    // Browsers drop tabs and line ends inside an address and controls before it.
    let bare: String = target.chars().filter(|c| !matches!(c, '\t' | '\n' | '\r')).collect();
    let bare = bare.trim_start_matches(|c: char| c.is_control() || c == ' ');
    let scheme = bare.split(['/', '?', '#', '\\']).next().and_then(|start| start.split_once(':'));
    // What has other characters is no scheme to a browser either.
    let scheme = scheme.filter(|(name, _)| {
        name.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'+' | b'-' | b'.'))
    });
    match scheme {
        Some((name, _))
            if ["http", "https", "mailto"].iter().any(|known| name.eq_ignore_ascii_case(known)) =>
        {
            Address::Outside
        }
        Some(_) => Address::Refused,
        // `//host` and what browsers take for it leads to another host, without saying so.
        None if bare.starts_with('\\') => Address::Refused,
        None if bare.starts_with('/') && bare[1..].starts_with(['/', '\\']) => Address::Refused,
        None => Address::Relative(target),
    }
}

fn render_with(text: &str, options: Options, settings: &Settings, resolve: &dyn Resolve) -> Rendered {
    let events: Vec<_> = Parser::new_ext(text, options).into_offset_iter().collect();
    let mut writer = Writer {
        settings,
        resolve,
        out: Vec::with_capacity(events.len()),
        notices: Vec::new(),
        ids: BTreeSet::new(),
        counts: BTreeMap::new(),
        outline: Vec::new(),
        links: Vec::new(),
    };
    writer.all(&events);
    let mut html = String::with_capacity(text.len() * 3 / 2);
    html::push_html(&mut html, writer.out.into_iter());
    Rendered { html, notices: writer.notices }
}

type Placed<'a> = (Event<'a>, Range<usize>);

struct Writer<'a, 'r> {
    settings: &'r Settings,
    resolve: &'r dyn Resolve,
    out: Vec<Event<'a>>,
    notices: Vec<Notice>,
    ids: BTreeSet<String>,
    /// How often a heading's word was counted on.
    counts: BTreeMap<String, usize>,
    /// The levels as written of the headings that are open above the next one.
    outline: Vec<u8>,
    /// For each open link whether it is written.
    links: Vec<bool>,
}

impl<'a> Writer<'a, '_> {
    fn all(&mut self, events: &[Placed<'a>]) {
        let mut at = 0;
        while at < events.len() {
            let (event, range) = &events[at];
            match event {
                Event::Start(Tag::Paragraph) => {
                    if let Some(next) = self.figures(events, at) {
                        at = next;
                        continue;
                    }
                    self.out.push(event.clone());
                }
                Event::Start(Tag::Image { dest_url, title, .. }) => {
                    let end = image_end(events, at);
                    let alt = words(&events[at + 1..end]);
                    let html = self.picture(dest_url, title, &alt, range, false);
                    self.out.push(Event::InlineHtml(html.into()));
                    at = end + 1;
                    continue;
                }
                Event::Start(Tag::Heading { level, .. }) => {
                    let title = words(&events[at + 1..heading_end(events, at)]);
                    let start = self.heading(*level, &title);
                    self.out.push(Event::Html(start.into()));
                }
                Event::End(TagEnd::Heading(_)) => {
                    let level = self.level();
                    self.out.push(Event::Html(format!("</h{level}>\n").into()));
                }
                Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                    let mail = matches!(link_type, pulldown_cmark::LinkType::Email);
                    let href =
                        if mail { Some(format!("mailto:{dest_url}")) } else { self.href(dest_url, range) };
                    self.links.push(href.is_some());
                    if let Some(href) = href {
                        self.out.push(Event::Start(Tag::Link {
                            // Whole addresses only from here on: nothing is to be put before them.
                            link_type: pulldown_cmark::LinkType::Inline,
                            dest_url: href.into(),
                            title: title.clone(),
                            id: id.clone(),
                        }));
                    }
                }
                Event::End(TagEnd::Link) => {
                    if self.links.pop().unwrap_or(false) {
                        self.out.push(Event::End(TagEnd::Link));
                    }
                }
                Event::Start(Tag::Table(columns)) => {
                    // An aligned column would be written with a style attribute.
                    self.out.push(Event::Start(Tag::Table(vec![Alignment::None; columns.len()])));
                }
                Event::Rule => self.out.push(Event::Html("<hr>\n".into())),
                Event::HardBreak => self.out.push(Event::InlineHtml("<br>\n".into())),
                Event::Start(Tag::HtmlBlock) if !self.settings.raw_html => {
                    self.out.push(Event::Start(Tag::Paragraph));
                }
                Event::End(TagEnd::HtmlBlock) if !self.settings.raw_html => {
                    self.out.push(Event::End(TagEnd::Paragraph));
                }
                Event::Html(raw) | Event::InlineHtml(raw) if !self.settings.raw_html => {
                    self.out.push(Event::Text(raw.clone()));
                }
                other => self.out.push(other.clone()),
            }
            at += 1;
        }
    }

    /// A paragraph of pictures alone stands as figures, a title as the caption; the index after it.
    fn figures(&mut self, events: &[Placed<'a>], start: usize) -> Option<usize> {
        let mut at = start + 1;
        let mut html = String::new();
        let mut found = Vec::new();
        loop {
            match &events.get(at)?.0 {
                Event::Start(Tag::Image { dest_url, title, .. }) => {
                    let end = image_end(events, at);
                    found.push((dest_url, title, at, end));
                    at = end + 1;
                }
                Event::SoftBreak => at += 1,
                Event::End(TagEnd::Paragraph) if !found.is_empty() => break,
                _ => return None,
            }
        }
        // A remote picture becomes a link, which belongs into a paragraph.
        if !found.iter().all(|(target, ..)| self.resolve.photo(target).is_some()) {
            return None;
        }
        for (target, title, first, end) in found {
            let alt = words(&events[first + 1..end]);
            html.push_str(&self.picture(target, title, &alt, &events[first].1, true));
        }
        self.out.push(Event::Html(html.into()));
        Some(at + 1)
    }

    fn picture(&mut self, target: &str, title: &str, alt: &str, at: &Range<usize>, block: bool) -> String {
        if let Some(picture) = self.resolve.photo(target) {
            if alt.trim().is_empty() {
                self.notice(
                    at,
                    format!("`{target}` has no alt text: say between the brackets what the picture shows"),
                );
            }
            let picture = picture.described(alt.to_owned(), title.to_owned());
            // A link within a link would be none: what the person linked wins over opening the photo.
            let linked = self.links.last() == Some(&true);
            return match (block, linked) {
                (true, _) => picture.figure(),
                (false, true) => picture.bare_image(),
                (false, false) => picture.image(),
            };
        }
        let words = if alt.is_empty() { target } else { alt };
        match address(target) {
            Address::Outside => {
                self.notice(
                    at,
                    format!("`{target}` is on another host, and a page asks no other host: it is linked, not shown"),
                );
                if self.links.last() == Some(&true) {
                    return escape(words);
                }
                format!("<a href=\"{}\">{}</a>", escape(target), escape(words))
            }
            Address::Relative(_) => {
                self.notice(at, format!("there is no photo `{target}` in this journal"));
                escape(words)
            }
            Address::Refused => {
                self.notice(at, format!("`{target}` is no photo of this journal"));
                escape(words)
            }
        }
    }

    fn href(&mut self, target: &str, at: &Range<usize>) -> Option<String> {
        match address(target) {
            Address::Outside => Some(target.to_owned()),
            Address::Relative(path) => {
                let href = self.resolve.link(path);
                if href.is_none() {
                    self.notice(
                        at,
                        format!("`{path}` is not linked: only entries, builds and photos of the journal are published"),
                    );
                }
                href
            }
            Address::Refused => {
                self.notice(
                    at,
                    format!("`{target}` is not linked: write http, https, mailto or a path of the journal"),
                );
                None
            }
        }
    }

    /// The level at which the heading that is open is written.
    fn level(&self) -> usize {
        (usize::from(self.settings.top_heading) + self.outline.len().saturating_sub(1)).min(6)
    }

    fn heading(&mut self, level: HeadingLevel, title: &str) -> String {
        let level = level as u8;
        while self.outline.last().is_some_and(|&above| above >= level) {
            self.outline.pop();
        }
        self.outline.push(level);
        let level = self.level();
        let Some(before) = &self.settings.anchors else { return format!("<h{level}>") };
        let word = slug(title);
        let word = if word.is_empty() { "section".to_owned() } else { word };
        let mut id = format!("{before}{word}");
        while !self.ids.insert(id.clone()) {
            // Counted on from the last of that word: a text may have thousands of empty headings.
            let count = self.counts.entry(word.clone()).or_insert(1);
            *count += 1;
            id = format!("{before}{word}-{count}");
        }
        format!("<h{level} id=\"{}\">", escape(&id))
    }

    fn notice(&mut self, at: &Range<usize>, message: String) {
        self.notices.push(Notice { message, at: at.clone() });
    }
}

/// The words of a run of events, as an alt text or an anchor has them.
fn words(events: &[Placed<'_>]) -> String {
    let mut out = String::new();
    for (event, _) in events {
        match event {
            Event::Text(text) | Event::Code(text) | Event::Html(text) | Event::InlineHtml(text) => {
                out.push_str(text);
            }
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            _ => {}
        }
    }
    out
}

fn image_end(events: &[Placed<'_>], start: usize) -> usize {
    let mut depth = 0_usize;
    for (at, (event, _)) in events.iter().enumerate().skip(start) {
        match event {
            Event::Start(Tag::Image { .. }) => depth += 1,
            Event::End(TagEnd::Image) if depth == 1 => return at,
            Event::End(TagEnd::Image) => depth -= 1,
            _ => {}
        }
    }
    events.len() - 1
}

fn heading_end(events: &[Placed<'_>], start: usize) -> usize {
    let after = events.iter().skip(start).position(|(e, _)| matches!(e, Event::End(TagEnd::Heading(_))));
    after.map_or(events.len(), |after| start + after)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A journal with one entry and one photo.
    struct One;

    impl Resolve for One {
        fn link(&self, target: &str) -> Option<String> {
            match target {
                "dial.md" => Some("lantern/dial.html".to_owned()),
                _ => target.strip_prefix('#').map(|_| target.to_owned()),
            }
        }

        fn photo(&self, target: &str) -> Option<Picture> {
            (target == "02-front.jpg").then(|| Picture {
                src: "../photos/a1-480.jpg".to_owned(),
                srcset: "../photos/a1-480.jpg 480w, ../photos/a1-960.jpg 960w".to_owned(),
                full: "../photos/a1-960.jpg".to_owned(),
                width: 480,
                height: 360,
                ..Picture::default()
            })
        }
    }

    fn page() -> Settings {
        Settings { top_heading: 3, anchors: Some("dial-".to_owned()), raw_html: false }
    }

    fn html(text: &str) -> String {
        render(text, &page(), &One).html
    }

    #[test]
    fn raw_html_is_shown_as_text() {
        assert_eq!(
            html("<script>alert(1)</script>\n\na <b onclick=x()>b</b>"),
            "<p>&lt;script&gt;alert(1)&lt;/script&gt;\n</p>\n<p>a &lt;b onclick=x()&gt;b&lt;/b&gt;</p>\n"
        );
        let allowed = Settings { raw_html: true, ..page() };
        assert_eq!(render("a <b>b</b>", &allowed, &One).html, "<p>a <b>b</b></p>\n");
    }

    #[test]
    fn other_schemes_are_not_linked() {
        for target in [
            "javascript:alert(1)",
            "JavaScript:alert(1)",
            "java&#9;script:alert(1)",
            "&#1;javascript:alert(1)",
            "data:text/html,x",
            "vbscript:x",
            "file:///etc/passwd",
            "//elsewhere.example",
            "\\\\\\\\elsewhere.example",
            "/\\\\elsewhere.example",
        ] {
            let rendered = render(&format!("[words](<{target}>)"), &page(), &One);
            assert_eq!(rendered.html, "<p>words</p>\n", "{target}");
            assert_eq!(rendered.notices.len(), 1, "{target}");
        }
        assert_eq!(html("<javascript:alert(1)>"), "<p>javascript:alert(1)</p>\n");
    }

    #[test]
    fn the_web_mail_and_the_journal_are_linked() {
        assert_eq!(
            html("[a](https://a.example/?b&c)"),
            "<p><a href=\"https://a.example/?b&amp;c\">a</a></p>\n"
        );
        assert_eq!(html("<me@a.example>"), "<p><a href=\"mailto:me@a.example\">me@a.example</a></p>\n");
        assert_eq!(html("[the dial](dial.md)"), "<p><a href=\"lantern/dial.html\">the dial</a></p>\n");
        let other = render("[notes](notes.pdf)", &page(), &One);
        assert_eq!(other.html, "<p>notes</p>\n");
        assert!(other.notices[0].message.contains("`notes.pdf` is not linked"));
    }

    #[test]
    fn a_picture_alone_is_a_figure() {
        let html = html("![The \"dial\"](02-front.jpg \"as it came\")");
        assert!(html.starts_with("<figure><a class=\"zoom\" href=\"../photos/a1-960.jpg\"><img "), "{html}");
        assert!(html.contains("alt=\"The &quot;dial&quot;\""), "{html}");
        assert!(html.contains("<figcaption>as it came</figcaption></figure>"), "{html}");
    }

    #[test]
    fn a_picture_within_a_link_is_no_link_of_its_own() {
        let html = html("[![The dial](02-front.jpg)](dial.md)");
        assert_eq!(html.matches("<a ").count(), 1, "{html}");
        assert!(html.contains("<a href=\"lantern/dial.html\"><img "), "{html}");
    }

    #[test]
    fn a_picture_without_alt_text_is_reported() {
        let rendered = render("See ![](02-front.jpg) here.", &page(), &One);
        assert_eq!(rendered.notices.len(), 1);
        assert_eq!(rendered.notices[0].at, 4..21);
        assert!(rendered.html.contains("alt=\"\""));
    }

    #[test]
    fn a_picture_elsewhere_is_linked_and_not_asked_for() {
        let rendered = render("![far](https://a.example/x.png)", &page(), &One);
        assert_eq!(rendered.html, "<p><a href=\"https://a.example/x.png\">far</a></p>\n");
        assert_eq!(rendered.notices.len(), 1);
    }

    #[test]
    fn headings_stand_below_the_page_and_leave_no_hole() {
        assert_eq!(
            html("# One\n\n### Two\n\n# One\n"),
            "<h3 id=\"dial-one\">One</h3>\n<h4 id=\"dial-two\">Two</h4>\n<h3 id=\"dial-one-2\">One</h3>\n"
        );
    }

    #[test]
    fn no_style_attribute_is_written() {
        let html = html("| a | b |\n|:--|--:|\n| 1 | 2 |\n");
        assert!(html.contains("<table>") && !html.contains("style"), "{html}");
    }

    #[test]
    fn plain_words_for_the_index() {
        assert_eq!(
            plain("# Dial\n\nDown to *27.10*\nat [last](x.md).\n\n- a\n- b"),
            "Dial Down to 27.10 at last. a b"
        );
    }
}
