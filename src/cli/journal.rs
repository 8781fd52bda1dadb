//! What commands call the journal that they read.

use std::path::Path;

/// The journal's name in what other programs read: its folder's own. Where that stands on this machine
/// is nobody's business.
pub(super) fn name(root: &Path) -> String {
    let last = |path: &Path| path.file_name().map(|name| name.to_string_lossy().into_owned());
    last(root).or_else(|| last(&root.canonicalize().ok()?)).unwrap_or_default()
}
