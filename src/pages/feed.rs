//! The Atom feed (RFC 4287) and the sitemap; only where the journal has an address.

use serde::{Deserialize, Serialize};

use super::markup::escape;

/// One entry of the feed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct FeedEntry {
    /// The page's whole address, which is its id as well.
    pub url: String,
    /// Its title.
    pub title: String,
    /// The day as 2026-01-17.
    pub date: String,
    /// The first words of its text.
    pub summary: String,
    /// The text as HTML with whole addresses; empty where only the summary is given.
    pub html: String,
}

/// The feed as a whole.
#[derive(Debug, Clone, Default)]
pub struct Feed {
    /// The journal's title.
    pub title: String,
    /// The site's whole address, ending in `/`.
    pub home: String,
    /// The feed's own address.
    pub url: String,
    /// Who keeps the journal; the title stands in where nobody is named, for Atom wants a name.
    pub author: String,
    /// The language of its words.
    pub language: String,
    /// Newest first.
    pub entries: Vec<FeedEntry>,
}

/// The feed's XML.
#[must_use]
pub fn atom(feed: &Feed) -> String {
    // Without an entry there is no day to name, and nothing here reads the clock.
    let updated = feed.entries.iter().map(|entry| entry.date.as_str()).max().unwrap_or("1970-01-01");
    let author = if feed.author.is_empty() { &feed.title } else { &feed.author };
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<feed xmlns=\"http://www.w3.org/2005/Atom\" xml:lang=\"{}\">\n\
         <id>{}</id>\n<title>{}</title>\n<updated>{updated}T00:00:00Z</updated>\n<author><name>{}</name></author>\n\
         <link rel=\"self\" type=\"application/atom+xml\" href=\"{}\"/>\n<link rel=\"alternate\" type=\"text/html\" href=\"{}\"/>\n",
        escape(&feed.language),
        escape(&feed.home),
        escape(&feed.title),
        escape(author),
        escape(&feed.url),
        escape(&feed.home),
    );
    for entry in &feed.entries {
        out.push_str(&format!(
            "<entry>\n<id>{0}</id>\n<title>{1}</title>\n<link rel=\"alternate\" type=\"text/html\" href=\"{0}\"/>\n\
             <published>{2}T00:00:00Z</published>\n<updated>{2}T00:00:00Z</updated>\n<summary>{3}</summary>\n",
            escape(&entry.url),
            escape(&entry.title),
            entry.date,
            escape(&entry.summary),
        ));
        if !entry.html.is_empty() {
            out.push_str(&format!("<content type=\"html\">{}</content>\n", escape(&entry.html)));
        }
        out.push_str("</entry>\n");
    }
    out.push_str("</feed>\n");
    out
}

/// The sitemap: whole addresses, and the day of the last change where one is known.
#[must_use]
pub fn sitemap(pages: &[(String, Option<String>)]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<urlset xmlns=\"http://www.sitemaps.org/schemas/sitemap/0.9\">\n",
    );
    for (url, changed) in pages {
        out.push_str(&format!("<url><loc>{}</loc>", escape(url)));
        if let Some(day) = changed {
            out.push_str(&format!("<lastmod>{day}</lastmod>"));
        }
        out.push_str("</url>\n");
    }
    out.push_str("</urlset>\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feed_names_its_newest_day_and_escapes() {
        let feed = Feed {
            title: "Bench & marsh".to_owned(),
            home: "https://a.example/".to_owned(),
            url: "https://a.example/feed.xml".to_owned(),
            language: "en".to_owned(),
            entries: vec![FeedEntry {
                url: "https://a.example/builds/lantern/dial.html".to_owned(),
                title: "<The dial>".to_owned(),
                date: "2026-01-17".to_owned(),
                summary: "Down to 27.10".to_owned(),
                html: "<p>Down</p>".to_owned(),
            }],
            ..Feed::default()
        };
        let xml = atom(&feed);
        assert!(
            xml.contains("<updated>2026-01-17T00:00:00Z</updated>\n<author><name>Bench &amp; marsh</name>")
        );
        assert!(xml.contains("<title>&lt;The dial&gt;</title>"));
        assert!(xml.contains("<content type=\"html\">&lt;p&gt;Down&lt;/p&gt;</content>"));
    }

    #[test]
    fn a_sitemap_lists_pages_with_their_days() {
        let xml = sitemap(&[("https://a.example/?a&b".to_owned(), Some("2026-01-17".to_owned()))]);
        assert!(
            xml.contains("<url><loc>https://a.example/?a&amp;b</loc><lastmod>2026-01-17</lastmod></url>")
        );
    }
}
