//! Escaping, anchors and folded search keys: the small text work that every page needs.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// Text as it may stand in an element or in a quoted attribute, in HTML and in XML.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // XML 1.0 has no place for the other control characters, not even as references.
            c if c.is_control() && !matches!(c, '\n' | '\r' | '\t') => {}
            c => out.push(c),
        }
    }
    out
}

/// Text in lower case, without accents: "Café" and "cafe" are found by the same key.
///
/// The search script folds what is typed in the same way.
#[must_use]
pub fn fold(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    // Few letters can be taken apart, and none of them is ASCII.
    for run in text.as_bytes().chunk_by(|a, b| a.is_ascii() == b.is_ascii()) {
        match std::str::from_utf8(run) {
            Ok(run) if run.is_ascii() => out.extend(run.chars().map(|c| c.to_ascii_lowercase())),
            Ok(run) => fold_into(run, &mut out),
            Err(_) => {}
        }
    }
    out
}

fn fold_into(text: &str, out: &mut String) {
    for c in text.nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_lowercase) {
        match c {
            'ß' => out.push_str("ss"),
            'æ' => out.push_str("ae"),
            'œ' => out.push_str("oe"),
            'ø' => out.push('o'),
            'ł' => out.push('l'),
            'đ' | 'ð' => out.push('d'),
            'þ' => out.push_str("th"),
            'ı' => out.push('i'),
            // `İ` decomposes and its dot is dropped above; lower case may bring one back.
            c if is_combining_mark(c) => {}
            c => out.push(c),
        }
    }
}

/// A word for an address or an `id`: folded, letters and digits kept, the rest hyphens.
///
/// Empty where the text has neither letter nor digit.
#[must_use]
pub fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in fold(text).chars() {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(out.trim_end_matches('-').len());
    out
}

/// A path as it stands in a link: every byte that is not plain is written as %XX, `/` is kept.
#[must_use]
pub fn percent(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for b in path.bytes() {
        if b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.' | b'~' | b'/') {
            out.push(char::from(b));
        } else {
            out.push_str(&format!("%{b:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_does_not_get_through() {
        assert_eq!(escape(r#"<a href="x" id='y'>&"#), "&lt;a href=&quot;x&quot; id=&#39;y&#39;&gt;&amp;");
        assert_eq!(escape("bell\u{7}, new\nline"), "bell, new\nline");
    }

    #[test]
    fn accents_and_case_do_not_matter() {
        assert_eq!(fold("Café CRÈME"), "cafe creme");
        assert_eq!(fold("Łódź, Strøm, Straße, Ǆ"), "lodz, strom, strasse, dz");
        assert_eq!(fold("İstanbul"), "istanbul");
    }

    #[test]
    fn slugs_are_words_and_hyphens() {
        assert_eq!(slug("  The dial, at 27.10!  "), "the-dial-at-27-10");
        assert_eq!(slug("…"), "");
    }

    #[test]
    fn odd_bytes_in_paths_are_written_out() {
        assert_eq!(percent("a b/ü#?.jpg"), "a%20b/%C3%BC%23%3F.jpg");
    }
}
