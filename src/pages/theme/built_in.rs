//! The themes in the binary.

use std::collections::BTreeMap;

use rust_embed::RustEmbed;

/// Files of a theme by their paths in its folder, with `/`.
pub(super) type Files = BTreeMap<String, Vec<u8>>;

/// The files of all of them, below their names.
#[derive(RustEmbed)]
#[folder = "themes/"]
struct BuiltIn;

/// The theme that all others fall back to.
pub const DEFAULT: &str = "linen";

/// The names of the built-in themes.
pub const NAMES: [&str; 2] = [DEFAULT, "anthracite"];

/// The built-in themes below a theme, the nearest first.
pub(super) fn below(theme: &str) -> Vec<&'static str> {
    let own = NAMES.iter().copied().filter(|name| *name == theme && *name != DEFAULT);
    own.chain([DEFAULT]).collect()
}

/// The files of one of them, by their paths in it.
pub(super) fn files(name: &str) -> Files {
    let prefix = format!("{name}/");
    let inner = |path: &str| path.strip_prefix(&prefix).map(str::to_owned);
    BuiltIn::iter().filter_map(|path| Some((inner(&path)?, BuiltIn::get(&path)?.data.into_owned()))).collect()
}
