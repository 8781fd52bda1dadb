//! Moving the next state in: only renames and removals, in an order that is whole throughout.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::Path;

use anyhow::{Context, Result};

use super::manifest::{Manifest, hash};
use super::next_state::{FileRole, NextState, Planned, Written, write_new};
use super::words::told;
use super::{Site, links, names, order};

/// What will be done, worked out and laid ready before the first visible change.
#[derive(Debug, Default)]
struct MovePlan {
    /// Waiting files and where they go, in this order.
    moves: Vec<(usize, String)>,
    /// Pages that go, without their links to those that go before them.
    bare: Vec<(usize, String)>,
    /// In this order, after all moves.
    removals: Vec<String>,
    /// Hashes that may stand somewhere if the run is ended on the way.
    between: Vec<(String, String)>,
    left: Vec<String>,
}

/// Makes the folder hold the planned files, and takes away what is ours and no longer planned.
/// `step` is called before each change that a reader can see.
pub(super) fn make(
    site: &mut Site,
    mut state: NextState,
    step: &mut dyn FnMut() -> Result<()>,
) -> Result<Written> {
    let mut plan = MovePlan::default();
    appear(site, &mut state, &mut plan)?;
    vanish(site, &mut state, &mut plan)?;

    let mut last = Manifest::default();
    last.claimed.clone_from(&state.claimed);
    let mut union = site.manifest.clone();
    for (path, planned) in &state.files {
        last.also(path, planned.hash.as_deref());
        union.also(path, planned.hash.as_deref());
    }
    for (path, hash) in &plan.between {
        union.also(path, Some(hash));
    }
    if !plan.moves.is_empty() || !plan.removals.is_empty() {
        step()?;
        store(site, union)?;
        carry_out(site, &plan, step).with_context(|| {
            format!("{} is whole, but not all of it is new: publish again", site.shown.display())
        })?;
    }
    step()?;
    store(site, last)?;
    let written = state.files.values().filter(|planned| planned.waiting.is_some()).count();
    Ok(Written {
        written,
        unchanged: state.files.len() - written,
        deleted: plan.removals.len(),
        left: plan.left,
    })
}

/// Orders the files that come.
fn appear(site: &Site, state: &mut NextState, plan: &mut MovePlan) -> Result<()> {
    let waiting = |wanted: fn(&Planned) -> bool| {
        let mut some: Vec<(usize, String)> = state
            .files
            .iter()
            .filter(|(_, planned)| wanted(planned))
            .filter_map(|(path, planned)| Some((planned.waiting?, path.clone())))
            .collect();
        some.sort();
        some
    };
    let assets = waiting(|planned| planned.kind == FileRole::Asset);
    let new_data = waiting(|planned| planned.kind == FileRole::Data && planned.is_new);
    let new_pages: BTreeMap<String, usize> =
        waiting(|planned| planned.kind == FileRole::Page && planned.is_new)
            .into_iter()
            .map(|(number, path)| (path, number))
            .collect();
    let changed_pages = waiting(|planned| planned.kind == FileRole::Page && !planned.is_new);
    let changed_data = waiting(|planned| planned.kind == FileRole::Data && !planned.is_new);

    plan.moves.extend(assets);
    plan.moves.extend(new_data);
    let linked = new_pages.keys().map(|page| (page.clone(), links_of(state, page))).collect();
    let mut again = Vec::new();
    for turn in order::turns(&linked) {
        let Some(&number) = new_pages.get(&turn.page) else { continue };
        if turn.early.is_empty() {
            plan.moves.push((number, turn.page));
        } else {
            let whole = fs::read(site.working_folder().join(number.to_string())).map_err(told)?;
            let bare = lay_bare(site, state, plan, &turn, &whole)?;
            plan.moves.push((bare, turn.page.clone()));
            again.push((number, turn.page));
        }
    }
    plan.moves.extend(again);
    plan.moves.extend(changed_pages);
    plan.moves.extend(changed_data);
    Ok(())
}

/// Orders the files that go: those that we wrote, as we wrote them, and that are planned no more.
fn vanish(site: &Site, state: &mut NextState, plan: &mut MovePlan) -> Result<()> {
    let mut pages = BTreeMap::new();
    let mut others = Vec::new();
    for (path, hashes) in &site.manifest.files {
        if state.files.contains_key(path) {
            continue;
        }
        let place = site.folder.join(path);
        match place.symlink_metadata() {
            Err(error) if matches!(error.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => continue,
            Ok(it) if it.is_file() && folders_are_real(site, path) => {}
            _ => {
                plan.left.push(path.clone());
                continue;
            }
        }
        let is_page = Path::new(path).extension().is_some_and(|extension| extension == "html");
        if hashes.is_empty() && !is_page {
            others.push(path.clone());
            continue;
        }
        let stands = fs::read(&place)
            .map_err(told)
            .with_context(|| format!("cannot read {}", site.shown.join(path).display()))?;
        if !hashes.contains(&hash(&stands)) {
            plan.left.push(path.clone());
        } else if is_page {
            pages.insert(path.clone(), links::of(path, &stands));
        } else {
            others.push(path.clone());
        }
    }
    for turn in order::turns(&pages) {
        if !turn.early.is_empty() {
            let whole = fs::read(site.folder.join(&turn.page)).map_err(told)?;
            let bare = lay_bare(site, state, plan, &turn, &whole)?;
            plan.bare.push((bare, turn.page.clone()));
        }
        plan.removals.push(turn.page);
    }
    plan.removals.reverse();
    // Data and assets after the pages that load them.
    others.sort_by_key(|path| names::is_content_name(path));
    plan.removals.extend(others);
    Ok(())
}

/// Writes the page without its early links beside the site; answers the number it waits under.
fn lay_bare(
    site: &Site,
    state: &mut NextState,
    plan: &mut MovePlan,
    turn: &order::Turn,
    whole: &[u8],
) -> Result<usize> {
    let bare = links::without(&turn.page, whole, |target| turn.early.contains(target));
    plan.between.push((turn.page.clone(), hash(&bare)));
    let (number, place) = site.next_waiting(state)?;
    write_new(&place, &bare).map_err(told).with_context(|| {
        format!("cannot write {} (the site is unchanged)", site.shown.join(&turn.page).display())
    })?;
    Ok(number)
}

fn carry_out(site: &Site, plan: &MovePlan, step: &mut dyn FnMut() -> Result<()>) -> Result<()> {
    let working = site.working_folder();
    let mut made = BTreeSet::new();
    for (number, path) in plan.moves.iter().chain(&plan.bare) {
        let place = site.folder.join(path);
        let doing = || format!("cannot write {}", site.shown.join(path).display());
        if let Some(folder) = place.parent()
            && made.insert(folder.to_owned())
        {
            fs::create_dir_all(folder).map_err(told).with_context(doing)?;
        }
        step()?;
        fs::rename(working.join(number.to_string()), &place).map_err(told).with_context(doing)?;
    }
    let mut emptied = BTreeSet::new();
    for path in &plan.removals {
        step()?;
        match fs::remove_file(site.folder.join(path)) {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(told(error))
                    .with_context(|| format!("cannot delete {}", site.shown.join(path).display()));
            }
            _ => {}
        }
        emptied.extend(path.match_indices('/').map(|(at, _)| &path[..at]));
    }
    for folder in emptied.into_iter().rev() {
        // Refused by the system, and rightly, where something is still in it.
        let _ = fs::remove_dir(site.folder.join(folder));
    }
    Ok(())
}

/// Puts the manifest in place. The first one is flushed to the disk; for the later ones, which
/// take the place of another, file systems do so by themselves.
pub(super) fn write_manifest(site: &Site, next: &Manifest) -> Result<()> {
    let working = site.working_folder();
    let write = || -> Result<()> {
        fs::create_dir_all(&working).map_err(told)?;
        let waiting = working.join("manifest");
        let mut file = File::create(&waiting).map_err(told)?;
        file.write_all(next.to_text()?.as_bytes()).map_err(told)?;
        let place = site.folder.join(names::MANIFEST);
        if !place.exists() {
            file.sync_data().map_err(told)?;
        }
        fs::rename(&waiting, place).map_err(told)
    };
    write().with_context(|| format!("cannot write {}", site.shown.join(names::MANIFEST).display()))
}

fn store(site: &mut Site, next: Manifest) -> Result<()> {
    let stands = site.folder.join(names::MANIFEST).is_file();
    if !stands || next != site.manifest {
        write_manifest(site, &next)?;
        site.manifest = next;
    }
    Ok(())
}

fn links_of(state: &NextState, page: &str) -> Vec<String> {
    state.files.get(page).map(|planned| planned.links.clone()).unwrap_or_default()
}

fn folders_are_real(site: &Site, path: &str) -> bool {
    path.match_indices('/')
        .all(|(at, _)| site.folder.join(&path[..at]).symlink_metadata().is_ok_and(|it| it.is_dir()))
}
