//! Killed at any moment: `publish` is ended by SIGKILL at random points of its run, into an empty
//! folder and over an older site. Each time every file is whole, every link and picture leads
//! somewhere, and the next run finishes with what a fresh one would have written.
//!
//! The test command kills some dozens of times. By hand, in number:
//!
//! ```text
//! ENDSHAKE_KILLS=400 cargo test --test attacks kill::
//! ```

#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use super::dice::Dice;

/// Kills that count, those that hit the running process, where no other number is asked for.
const KILLS: usize = 40;

type Tree = BTreeMap<String, Vec<u8>>;

/// Writes the journal in one of its two states: builds and parts that link in circles, photos that
/// come and go.
fn write_journal(dir: &Path, second: bool) {
    let _ = fs::remove_dir_all(dir);
    let builds: &[&str] = if second { &["lantern", "tide", "heron"] } else { &["lantern", "tide", "marsh"] };
    fs::create_dir_all(dir.join("parts")).unwrap();
    fs::write(dir.join("journal.yaml"), "title: Killed\nauthor: nobody\naddress: https://example.org/j/\n")
        .unwrap();
    for (n, build) in builds.iter().enumerate() {
        let folder = dir.join("builds").join(build);
        fs::create_dir_all(&folder).unwrap();
        // Parts that no check asks about: this is about writing, and checks take their time.
        let parts = format!(
            "{build}-strap: {{ kind: strap, name: Strap of {build}, width: 20 }}\n\
             {build}-crown: {{ kind: crown, name: Crown of {build}, diameter: 6 }}\n"
        );
        fs::write(dir.join(format!("parts/{build}.yaml")), parts).unwrap();
        let text = format!(
            "---\ntitle: The {build}\nstate: finished\nbegun: 2026-01-0{}\ncover: 1.jpg\nparts:\n  strap: {build}-strap\n  \
             crown: {build}-crown\n---\nStory, {}.\n",
            n + 1,
            if second { "told again" } else { "told once" }
        );
        fs::write(folder.join("build.md"), text).unwrap();
        fs::write(
            folder.join("2026-01-20-day.md"),
            "---\ndate: 2026-01-20\ntitle: A day\nphotos:\n  - { file: 1.jpg, alt: The strap }\n---\nSee [the start](build.md).\n",
        )
        .unwrap();
        // Small, because photos take their time without optimisation.
        for photo in 1..=2u8 {
            let shade = photo * 60 + if second { 20 } else { 0 } + u8::try_from(n).unwrap();
            let picture = image::RgbImage::from_fn(48, 36, |x, y| {
                image::Rgb([shade, (x % 250) as u8, (y % 240) as u8])
            });
            picture.save(folder.join(format!("{photo}.jpg"))).unwrap();
        }
    }
}

fn publish(journal: &Path, site: &Path, cache: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_endshake"))
        .arg("publish")
        .arg(journal)
        .arg("--to")
        .arg(site)
        .env("XDG_CACHE_HOME", cache)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn publish_whole(journal: &Path, site: &Path, cache: &Path) -> Duration {
    let begun = Instant::now();
    let status = publish(journal, site, cache).wait().unwrap();
    assert_eq!(status.code(), Some(0), "publish of {}", journal.display());
    begun.elapsed()
}

fn tree(dir: &Path) -> Tree {
    let files = walkdir::WalkDir::new(dir)
        .into_iter()
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_file());
    files
        .map(|entry| {
            let path = entry.path().strip_prefix(dir).unwrap().to_string_lossy().into_owned();
            (path, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// The values of `href`, `src` and `srcset` that name files of the site, and the page without its
/// links: what two states of one page have in common while its links are not all there.
fn references(page: &str) -> (Vec<String>, String) {
    let mut found = Vec::new();
    let mut rest = page;
    let mut bare = String::new();
    loop {
        let next =
            [" href=\"", " src=\"", " srcset=\""].into_iter().filter_map(|a| Some((rest.find(a)?, a))).min();
        let Some((at, attribute)) = next else { break };
        bare.push_str(&rest[..at]);
        let value = &rest[at + attribute.len()..];
        let end = value.find('"').expect("an attribute ends");
        let text = value[..end].replace("&#x2F;", "/").replace("&#x2f;", "/").replace("&amp;", "&");
        if attribute == " srcset=\"" {
            found.extend(text.split(',').filter_map(|one| Some(one.split_whitespace().next()?.to_owned())));
        } else {
            found.push(text);
        }
        if attribute != " href=\"" {
            bare.push_str(&rest[at..at + attribute.len() + end + 1]);
        }
        rest = &value[end + 1..];
    }
    bare.push_str(rest);
    found.retain(|to| !to.starts_with('#') && !to.is_empty() && !to.contains(':'));
    (found, bare.replace(" data-later", ""))
}

/// Every file is one of the old or the new site, whole, and every reference of every page leads to
/// a file. What else lies there is the writer's own, where the next run finds it.
fn look_through(site: &Path, states: &[&Tree], when: &str) {
    let there = tree(site);
    for (path, bytes) in &there {
        if path.starts_with(".endshake") || path.starts_with("photos/.") && path.ends_with(".part") {
            continue;
        }
        let known: Vec<&Vec<u8>> = states.iter().filter_map(|state| state.get(path)).collect();
        assert!(!known.is_empty(), "{when}: {path} is in neither state");
        if !path.ends_with(".html") {
            assert!(known.contains(&bytes), "{when}: {path} is not whole");
            continue;
        }
        let page = String::from_utf8(bytes.clone()).unwrap();
        let (found, bare) = references(&page);
        let whole = known
            .iter()
            .any(|known| *known == bytes || references(std::str::from_utf8(known).unwrap()).1 == bare);
        assert!(whole, "{when}: {path} is neither old nor new");
        for to in found {
            let to = to.split(['#', '?']).next().unwrap();
            let mut parts: Vec<&str> = path.split('/').collect();
            parts.pop();
            for part in to.split('/') {
                match part {
                    ".." => drop(parts.pop().expect("it stays in the site")),
                    part => parts.push(part),
                }
            }
            let target = parts.join("/");
            assert!(there.contains_key(&target), "{when}: {path} leads to {target}, which is not there");
        }
    }
}

/// What each thread has to itself.
struct Place {
    dir: PathBuf,
    journals: [PathBuf; 2],
    wanted: [Tree; 2],
}

impl Place {
    fn new(dir: PathBuf) -> Place {
        let journals = [dir.join("one"), dir.join("two")];
        let wanted = [false, true].map(|second| {
            let journal = &journals[usize::from(second)];
            write_journal(journal, second);
            let site = dir.join(if second { "wanted-two" } else { "wanted-one" });
            publish_whole(journal, &site, &dir.join("cache"));
            let wanted = tree(&site);
            look_through(&site, &[&wanted], "at first");
            wanted
        });
        Place { dir, journals, wanted }
    }

    /// Kills until `kills` have hit; cold: each time into an empty folder.
    fn kill(&self, cold: bool, kills: usize, dice: &mut Dice) {
        let site = self.dir.join(if cold { "cold" } else { "warm" });
        let before = self.journals.each_ref().map(|journal| tree(journal));
        let cache = |n: usize| self.dir.join(if cold { format!("cache-{n}") } else { "cache".into() });
        let mut took = publish_whole(&self.journals[0], &site, &cache(0));
        let (mut hit, mut tried, mut state) = (0, 0, 0);
        while hit < kills {
            tried += 1;
            assert!(tried < 20 * kills, "{hit} of {tried} kills hit");
            let next = 1 - state;
            if cold {
                let _ = fs::remove_dir_all(&site);
                let _ = fs::remove_dir_all(cache(tried - 1));
            }
            let mut child = publish(&self.journals[next], &site, &cache(tried));
            let share = f64::from(u32::try_from(dice.roll() % 1000).unwrap()) / 1000.0;
            let (begun, moment) = (Instant::now(), took.mul_f64(share));
            while begun.elapsed() < moment && child.try_wait().unwrap().is_none() {
                thread::sleep(Duration::from_micros(500));
            }
            let _ = child.kill();
            let status = child.wait().unwrap();
            if status.signal().is_none() {
                // It took less than was thought: the machine has other things to do as well.
                took = (took + begun.elapsed()) / 2;
            }
            let when = format!("kill {tried} at {share} of {took:?}, cold: {cold}");
            if status.signal() == Some(9) {
                hit += 1;
                if site.exists() {
                    look_through(&site, &[&self.wanted[state], &self.wanted[next]], &when);
                }
            } else {
                assert_eq!(status.code(), Some(0), "{when}");
            }
            if hit % 4 == 0 || status.signal().is_none() {
                // The next run finishes, and nothing of the killed ones is left.
                let whole = publish_whole(&self.journals[next], &site, &cache(tried));
                assert_eq!(names(&site), self.wanted[next].keys().cloned().collect::<Vec<_>>(), "{when}");
                assert!(tree(&site) == self.wanted[next], "{when}: the next run did not finish");
                if cold && hit % 16 == 0 {
                    fs::remove_dir_all(&site).unwrap();
                    let _ = fs::remove_dir_all(cache(tried));
                    took = publish_whole(&self.journals[next], &site, &cache(tried)).max(whole);
                }
                state = next;
            } else if !cold {
                // Over what the killed run left: then any of both states may be there.
                let other = publish_whole(&self.journals[state], &site, &cache(tried));
                took = (took * 3 + other) / 4;
                assert!(tree(&site) == self.wanted[state], "{when}: the way back did not finish");
            }
        }
        assert!(
            before == self.journals.each_ref().map(|journal| tree(journal)),
            "the journal was written to"
        );
    }
}

fn names(site: &Path) -> Vec<String> {
    tree(site).into_keys().collect()
}

#[test]
fn a_publish_killed_at_any_moment_leaves_a_whole_site() {
    let asked = std::env::var("ENDSHAKE_KILLS").ok();
    let kills: usize = asked.map_or(KILLS, |number| number.parse().expect("ENDSHAKE_KILLS is a number"));
    // In memory where there is such a disk: hundreds of sites are written.
    let memory = Path::new("/dev/shm");
    let dir = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.unwrap();
    thread::scope(|scope| {
        for (n, cold) in [true, false].into_iter().enumerate() {
            let dir = dir.path().join(n.to_string());
            scope.spawn(move || {
                fs::create_dir(&dir).unwrap();
                Place::new(dir).kill(cold, kills / 2, &mut Dice(7 + n as u64));
            });
        }
    });
}
