//! The names of derivatives: a pure function of the source's bytes and of the recipe.

use crate::photos::photo::Derivative;
use crate::photos::sizes::Size;

/// How derivatives are made. Every change that may alter one byte of a derivative changes this text,
/// and with it every name.
pub(super) const RECIPE: &str = "endshake photos 3: 400 800 1600 share 1200x630, jpeg 80";

/// The name of a source's content under this recipe: 32 hexadecimal digits.
pub(super) fn content(bytes: &[u8]) -> String {
    let mut hasher = blake3::Hasher::new_derive_key(RECIPE);
    hasher.update(bytes);
    hasher.finalize().to_hex()[..32].to_owned()
}

/// The derivative of `content` at `size`, in a file of `bytes` length.
pub(super) fn derivative(content: &str, size: Size, bytes: u64) -> Derivative {
    named(format!("{content}-{}.jpg", size.width), size, bytes)
}

/// The link preview of `content`, in a file of `bytes` length.
pub(super) fn link_preview(content: &str, size: Size, bytes: u64) -> Derivative {
    named(format!("{content}-share.jpg"), size, bytes)
}

fn named(file: String, size: Size, bytes: u64) -> Derivative {
    Derivative { file, width: size.width, height: size.height, bytes }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_tells_the_content_apart_and_nothing_else() {
        assert_eq!(content(b"one").len(), 32);
        assert_ne!(content(b"one"), content(b"two"));
        let name = derivative(&content(b"one"), Size { width: 400, height: 300 }, 1).file;
        assert_eq!(name, format!("{}-400.jpg", content(b"one")));
    }
}
