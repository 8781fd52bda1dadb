//! From a checked journal to the files of its site, put into a round.

use crate::pages::addresses::Scope;
use crate::pages::album::Album;
use crate::pages::render::FileKind;
use crate::pages::theme::Theme;
use crate::pages::{self, Input};
use crate::problem::Problem;
use crate::site::{Kind, Round};

use super::Checked;

/// What was made.
#[derive(Debug, Clone, Default)]
pub struct Made {
    /// The paths of the pages.
    pub pages: Vec<String>,
    /// The paths of all files but photos.
    pub files: Vec<String>,
    /// What could not be shown as it was written.
    pub problems: Vec<Problem>,
}

/// Makes every file of the site but its photos, and puts it into the round.
pub fn make(
    round: &Round<'_>,
    checked: &Checked,
    theme: &Theme,
    scope: Scope<'_>,
    album: &Album,
) -> anyhow::Result<Made> {
    let input = Input {
        journal: &checked.journal,
        ledger: &checked.ledger,
        bands: &checked.bands,
        reports: &checked.reports,
        album,
        theme,
        scope,
    };
    let pages = pages::all(&input)?;
    let mut made = Made { problems: pages.problems, ..Made::default() };
    for file in pages.files {
        let kind = match file.kind {
            FileKind::Asset => Kind::Asset,
            FileKind::Data => Kind::Data,
            FileKind::Page => Kind::Page,
        };
        round.put(&file.path, kind, &file.bytes)?;
        if kind == Kind::Page {
            made.pages.push(file.path.clone());
        }
        made.files.push(file.path);
    }
    Ok(made)
}
