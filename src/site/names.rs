//! The names of files in the site: relative, portable, distinct on every file system.

use anyhow::{Result, bail};
use unicode_normalization::UnicodeNormalization;

// Names that begin with a dot are kept for Endshake's own files in the site's folder.

/// Says which files of a site are ours.
pub const MANIFEST: &str = ".endshake.json";
/// Held by whoever writes to a site.
pub const LOCK: &str = ".endshake.lock";
pub(super) const STAGING: &str = ".endshake-new";

/// Refuses a path that could lead out of the site's folder, or that some file system cannot hold.
pub(super) fn check(path: &str) -> Result<()> {
    if path.is_empty() || path.len() > 1024 {
        bail!("`{path}` cannot be the name of a file of the site: it must have 1 to 1024 bytes");
    }
    for part in path.split('/') {
        if let Some(fault) = fault(part) {
            bail!("`{path}` cannot be the name of a file of the site: {fault}");
        }
    }
    Ok(())
}

/// The same text for all names that some file system takes for one: case and Unicode form apart.
pub(super) fn folded(path: &str) -> String {
    if path.is_ascii() {
        return path.to_ascii_lowercase();
    }
    path.nfc().flat_map(char::to_lowercase).collect::<String>().nfc().collect()
}

/// Whether the name of a file holds its content's hash: at least 16 hexadecimal digits in a row.
pub(super) fn is_content_name(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.split(|c: char| !c.is_ascii_hexdigit() || c.is_ascii_uppercase()).any(|run| run.len() >= 16)
}

fn fault(part: &str) -> Option<String> {
    // Windows gives these to devices, with any extension.
    const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
    let stem = part.split('.').next().unwrap_or(part).to_ascii_lowercase();
    let numbered = |name: &str| {
        stem.strip_prefix(name)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|b| b.is_ascii_digit()))
    };
    if part.is_empty() {
        Some("a part of it is empty".into())
    } else if part.starts_with('.') {
        Some(format!("`{part}` begins with a dot"))
    } else if part.ends_with('.') || part.ends_with(' ') {
        Some(format!("`{part}` ends with a dot or a space"))
    } else if part.len() > 255 {
        Some(format!("a part of it has {} bytes of at most 255", part.len()))
    } else if let Some(bad) = part.chars().find(|c| c.is_control() || "<>:\"|?*\\".contains(*c)) {
        Some(format!("it holds `{}`", bad.escape_default()))
    } else if DEVICES.contains(&stem.as_str()) || numbered("com") || numbered("lpt") {
        Some(format!("`{part}` is the name of a device on some systems"))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_out_or_do_not_travel_are_refused() {
        for bad in [
            "",
            "/etc/passwd",
            "../a",
            "a/../b",
            "a//b",
            "a/",
            "./a",
            "a/.",
            ".endshake.json",
            "a/.git",
            "c:/a",
            "a\\b",
            "a\0b",
            "a\nb",
            "con",
            "a/NUL.html",
            "com1.txt",
            "lpt9",
            "a./b",
            "a /b",
            "what?.html",
        ] {
            assert!(check(bad).is_err(), "{bad:?} was taken");
        }
        assert!(check(&"x".repeat(256)).is_err());
        assert!(check(&format!("{}x", "x/".repeat(600))).is_err());
    }

    #[test]
    fn plain_names_are_taken() {
        for good in
            ["index.html", "builds/lantern/index.html", "builds/añil 2/%41.html", "com/lpt.html", "com10"]
        {
            check(good).unwrap();
        }
    }

    #[test]
    fn names_that_a_file_system_may_confuse_fold_to_one() {
        assert_eq!(folded("builds/Lantern"), folded("builds/lantern"));
        assert_eq!(folded("a\u{308}"), folded("\u{e4}"));
        assert_eq!(folded("A\u{308}"), folded("\u{e4}"));
        assert_ne!(folded("a"), folded("b"));
    }

    #[test]
    fn content_names_hold_a_hash() {
        assert!(is_content_name("photos/0123456789abcdef-800.jpg"));
        assert!(is_content_name("style.0123456789abcdef0123.css"));
        assert!(!is_content_name("photos/holiday.jpg"));
        assert!(!is_content_name("photos/0123456789abcde.jpg"));
        assert!(!is_content_name("0123456789abcdef/holiday.jpg"));
    }
}
