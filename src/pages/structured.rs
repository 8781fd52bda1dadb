//! Structured data (JSON-LD) for search engines; only where the journal has an address.

use serde_json::{Value, json};

/// JSON that may stand in a script element: nothing in it can end the element or begin markup.
#[must_use]
pub fn script(data: &Value) -> String {
    let text = data.to_string();
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' | '>' | '&' | '\u{2028}' | '\u{2029}' => out.push_str(&format!("\\u{:04x}", c as u32)),
            c => out.push(c),
        }
    }
    out
}

/// One thing that was made, or written about.
#[derive(Debug, Clone, Default)]
pub struct Work<'a> {
    /// The page's whole address.
    pub url: &'a str,
    /// Its title.
    pub name: &'a str,
    /// One sentence about it; empty for none.
    pub description: &'a str,
    /// Pictures' whole addresses.
    pub images: Vec<String>,
    /// First published, as 2026-01-17; empty where not known.
    pub published: &'a str,
    /// Last changed; empty where not known.
    pub modified: &'a str,
    /// Who made it; empty where nobody is named.
    pub author: &'a str,
    /// The language of its words.
    pub language: &'a str,
}

/// A build or an entry as an article.
#[must_use]
pub fn article(work: &Work<'_>) -> String {
    script(&filled(work, "Article", "headline"))
}

/// The gallery as a collection of its builds: titles and addresses, in the order shown.
#[must_use]
pub fn collection(work: &Work<'_>, parts: &[(String, String)]) -> String {
    let mut data = filled(work, "CollectionPage", "name");
    let items: Vec<Value> = parts
        .iter()
        .enumerate()
        .map(|(at, (name, url))| json!({ "@type": "ListItem", "position": at + 1, "name": name, "url": url }))
        .collect();
    data["mainEntity"] = json!({ "@type": "ItemList", "itemListElement": items });
    script(&data)
}

fn filled(work: &Work<'_>, kind: &str, title: &str) -> Value {
    let mut data = json!({ "@context": "https://schema.org", "@type": kind, "url": work.url });
    data[title] = json!(work.name);
    for (key, value) in [
        ("description", work.description),
        ("datePublished", work.published),
        ("dateModified", work.modified),
        ("inLanguage", work.language),
    ] {
        if !value.is_empty() {
            data[key] = json!(value);
        }
    }
    if !work.images.is_empty() {
        data["image"] = json!(work.images);
    }
    if !work.author.is_empty() {
        data["author"] = json!({ "@type": "Person", "name": work.author });
    }
    data
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_cannot_end_the_script() {
        let work = Work { url: "https://a.example/", name: "</script><b>&", ..Work::default() };
        let text = article(&work);
        assert!(!text.contains(['<', '>', '&']), "{text}");
        let back: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["headline"], "</script><b>&");
    }

    #[test]
    fn a_collection_counts_from_one() {
        let work = Work { url: "https://a.example/", name: "Builds", ..Work::default() };
        let text =
            collection(&work, &[("Lantern".to_owned(), "https://a.example/builds/lantern.html".to_owned())]);
        let back: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["mainEntity"]["itemListElement"][0]["position"], 1);
    }
}
