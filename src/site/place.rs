//! Where a site may stand: never on, around or in what the person wrote.

use std::ffi::OsString;
use std::path::{Component, Path, PathBuf};

use anyhow::{Context, Result, bail};

/// The folders of a journal that people write in.
const WRITTEN: [&str; 4] = ["builds", "parts", "calibres", "themes"];

/// Answers where a site for `journal` would truly stand when `target` is asked for, links
/// followed, or refuses it with the reason: the target is the journal, holds it, or lies in one
/// of the folders that the person writes in. The target need not exist.
pub fn allowed(journal: &Path, target: &Path) -> Result<PathBuf> {
    let shown = target.display();
    let home =
        journal.canonicalize().with_context(|| format!("cannot find the journal {}", journal.display()))?;
    let place = resolved(target)?;
    if place == home {
        bail!(
            "the site cannot be written to {shown}: that is the journal itself; give a folder of its own, such as site/"
        );
    }
    if home.starts_with(&place) {
        bail!(
            "the site cannot be written to {shown}: the journal lies in it; give a folder of its own, such as site/"
        );
    }
    let within = place.strip_prefix(&home).ok().and_then(|rest| rest.components().next());
    for name in WRITTEN {
        let named =
            within.is_some_and(|first| first.as_os_str().to_string_lossy().eq_ignore_ascii_case(name));
        let linked = home.join(name).canonicalize().is_ok_and(|real| place.starts_with(real));
        if named || linked {
            bail!(
                "the site cannot be written to {shown}: it lies in the journal's {name}/; give a folder of its own, such as site/"
            );
        }
    }
    Ok(place)
}

/// The absolute path with links followed as far as it exists, and the rest as written.
fn resolved(target: &Path) -> Result<PathBuf> {
    let absolute =
        std::path::absolute(target).with_context(|| format!("cannot tell where {} is", target.display()))?;
    let mut missing: Vec<OsString> = Vec::new();
    let mut standing = absolute.clone();
    loop {
        match standing.canonicalize() {
            Ok(real) => {
                let mut place = real;
                place.extend(missing.iter().rev());
                return Ok(place);
            }
            Err(_) if standing.symlink_metadata().is_ok_and(|m| m.is_symlink()) => {
                bail!("{} is a link that leads nowhere", standing.display())
            }
            Err(error) => {
                let last = standing.components().next_back();
                let (Some(Component::Normal(name)), Some(parent)) = (last, standing.parent()) else {
                    return Err(error).with_context(|| format!("cannot tell where {} is", target.display()));
                };
                missing.push(name.to_owned());
                standing = parent.to_owned();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    fn journal() -> tempfile::TempDir {
        let dir = tempfile::tempdir().unwrap();
        for name in ["journal/builds/lantern", "journal/parts", "elsewhere"] {
            fs::create_dir_all(dir.path().join(name)).unwrap();
        }
        dir
    }

    #[test]
    fn a_folder_of_its_own_is_taken() {
        let dir = journal();
        let journal = dir.path().join("journal");
        for good in ["journal/site", "journal/out/site", "elsewhere", "new/deep", "journal-site"] {
            let place = allowed(&journal, &dir.path().join(good)).unwrap();
            assert_eq!(place, dir.path().canonicalize().unwrap().join(good));
        }
    }

    #[test]
    fn the_persons_own_folders_are_refused_with_words() {
        let dir = journal();
        let journal = dir.path().join("journal");
        for (bad, word) in [
            ("journal", "the journal itself"),
            ("journal/../journal/.", "the journal itself"),
            (".", "the journal lies in it"),
            ("journal/builds", "builds/"),
            ("journal/builds/lantern/site", "builds/"),
            ("journal/Parts/site", "parts/"),
            ("journal/calibres", "calibres/"),
            ("journal/themes/own", "themes/"),
        ] {
            let told = allowed(&journal, &dir.path().join(bad)).unwrap_err().to_string();
            assert!(told.contains(word), "{bad}: {told}");
        }
        assert!(allowed(&dir.path().join("none"), &dir.path().join("x")).is_err());
    }

    #[cfg(unix)]
    #[test]
    fn links_are_seen_through() {
        use std::os::unix::fs::symlink;
        let dir = journal();
        let journal = dir.path().join("journal");
        symlink(&journal, dir.path().join("there")).unwrap();
        symlink(dir.path().join("elsewhere"), journal.join("themes")).unwrap();
        symlink("nowhere", dir.path().join("dangling")).unwrap();
        for bad in ["there", "there/builds/x", "elsewhere/theme", "dangling", "dangling/x"] {
            assert!(allowed(&journal, &dir.path().join(bad)).is_err(), "{bad} was taken");
        }
        // A journal that is itself reached through a link keeps its site inside.
        let place = allowed(&dir.path().join("there"), &dir.path().join("there/site")).unwrap();
        assert_eq!(place, journal.canonicalize().unwrap().join("site"));
    }
}
