//! Parts of a file: one range of bytes, as RFC 9110 (section 14) has it.

use std::ops::Range;

use hyper::header::{self, HeaderMap};

/// What of a file is asked for.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// All of it; also where several ranges are asked for, or a unit that is not known.
    Whole,
    /// These bytes, at least one.
    Part(Range<usize>),
    /// A range that lies beyond the end.
    Nothing,
}

/// Reads Range and If-Range for a file of `length` bytes with the entity tag `tag`.
pub(super) fn wanted(headers: &HeaderMap, tag: &str, length: usize) -> Wanted {
    let told = |name| headers.get(name).and_then(|value: &header::HeaderValue| value.to_str().ok());
    let Some(list) = told(header::RANGE).and_then(|value| value.trim().strip_prefix("bytes=")) else {
        return Wanted::Whole;
    };
    // A part of other bytes than the browser began with would be worse than all of the new ones.
    if headers.contains_key(header::IF_RANGE) && told(header::IF_RANGE) != Some(tag) {
        return Wanted::Whole;
    }
    let Some((first, last)) = list.split_once('-').filter(|_| !list.contains(',')) else {
        return Wanted::Whole;
    };
    let (first, last) = (first.trim(), last.trim());
    let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if !digits(first) || !digits(last) || (first.is_empty() && last.is_empty()) {
        return Wanted::Whole;
    }
    // Numbers too large to hold lie beyond any file.
    let number = |text: &str| text.parse().unwrap_or(usize::MAX);
    let part = match (first, last) {
        ("", last) => length - number(last).min(length)..length,
        (first, "") => number(first)..length,
        (first, last) if number(first) > number(last) => return Wanted::Whole,
        (first, last) => number(first)..number(last).saturating_add(1).min(length),
    };
    if part.start < part.end { Wanted::Part(part) } else { Wanted::Nothing }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(range: &str) -> Wanted {
        let mut headers = HeaderMap::new();
        headers.insert(header::RANGE, range.parse().unwrap());
        wanted(&headers, "\"t\"", 10)
    }

    #[test]
    fn ranges_are_read_as_the_rfc_has_them() {
        for (range, part) in [
            ("bytes=0-0", 0..1),
            ("bytes=2-5", 2..6),
            ("bytes=5-", 5..10),
            ("bytes=-3", 7..10),
            ("bytes=-99", 0..10),
            ("bytes=5-99999999999999999999999", 5..10),
        ] {
            assert_eq!(of(range), Wanted::Part(part), "{range}");
        }
        for range in ["bytes=10-", "bytes=-0", "bytes=99999999999999999999999-"] {
            assert_eq!(of(range), Wanted::Nothing, "{range}");
        }
        for range in [
            "lines=0-1",
            "bytes=",
            "bytes=-",
            "bytes=a-b",
            "bytes=5-2",
            "bytes=0-1,3-4",
            "bytes=+1-2",
            "bytes",
        ] {
            assert_eq!(of(range), Wanted::Whole, "{range}");
        }
    }

    #[test]
    fn a_part_is_given_only_of_the_same_bytes() {
        let mut headers = HeaderMap::new();
        assert_eq!(wanted(&headers, "\"t\"", 10), Wanted::Whole);
        headers.insert(header::RANGE, "bytes=0-1".parse().unwrap());
        headers.insert(header::IF_RANGE, "\"t\"".parse().unwrap());
        assert_eq!(wanted(&headers, "\"t\"", 10), Wanted::Part(0..2));
        assert_eq!(wanted(&headers, "\"u\"", 10), Wanted::Whole);
        assert_eq!(wanted(&HeaderMap::new(), "\"t\"", 0), Wanted::Whole);
    }
}
