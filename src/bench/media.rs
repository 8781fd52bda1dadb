//! What a file is, by the ending of its name.

/// Whether the file is a page.
pub(super) fn is_page(path: &str) -> bool {
    of(path).starts_with("text/html")
}

/// The content type that a browser is told.
pub(super) fn of(path: &str) -> &'static str {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    match ending.to_ascii_lowercase().as_str() {
        "html" | "htm" => "text/html; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "json" => "application/json",
        "xml" => "application/xml",
        "svg" => "image/svg+xml",
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "webp" => "image/webp",
        "avif" => "image/avif",
        "gif" => "image/gif",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "txt" => "text/plain; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ending_tells() {
        assert_eq!(of("builds/a.b/photo.JPG"), "image/jpeg");
        assert_eq!(of("builds.html/readme"), "application/octet-stream");
        assert!(is_page("index.html") && !is_page("index.htmlx"));
    }
}
