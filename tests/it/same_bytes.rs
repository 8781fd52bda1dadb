//! The same journal gives the same bytes, whatever the order of files, the language, the time zone,
//! the times of files, the number of cores and the place it stands in; and nothing of the machine and
//! nothing that is withheld gets out with them.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::Path;
use std::process::Command;
use std::time::{Duration, SystemTime};

use proptest::prelude::*;

use crate::sites::{Look, made};

/// A journal with names, prices and serials that nobody else has, written in the order given.
fn write(journal: &Path, backwards: bool) {
    let photo = |shade: u8| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        image::RgbImage::from_fn(80, 60, |x, y| image::Rgb([shade, (x * 3) as u8, (y * 4) as u8]))
            .write_to(&mut bytes, image::ImageFormat::Jpeg)
            .unwrap();
        bytes.into_inner()
    };
    let mut files: Vec<(String, Vec<u8>)> = vec![
        ("journal.yaml".into(), b"title: The same\naddress: https://same.example/\ncurrency: EUR\n".to_vec()),
        (
            "parts/one.yaml".into(),
            "strap-a: { kind: strap, name: \u{c4}rmel, width: 20, from: { bought: a fair, price: 771.37 } }\n\
             strap-b: { kind: strap, name: istanbul I, width: 20 }\n\
             mv: { kind: movement, calibre: auto-27.4-date, serial: SN-5512-Q }\n"
                .into(),
        ),
        ("parts/two.yaml".into(), "dial: { kind: dial, diameter: 28.5 ±0.02, thickness: 0.4, feet: [] }\n".into()),
    ];
    files[2].1.extend(
        b"case: { kind: case, diameter: 36, dial_seat: 28.6, opening: 27, bore: 28.2, lug_width: 20 }\n",
    );
    for (n, slug) in ["anchor", "Izmir", "zebra", "\u{e5}ngstr\u{f6}m"].into_iter().enumerate() {
        let parts = match n {
            0 => "parts: { case: case, dial: dial, movement: mv, strap: strap-a }",
            1 => "parts: { strap: strap-b }",
            _ => "parts: { case: { kind: case, diameter: 40 } }",
        };
        files.push((
            format!("builds/{slug}/build.md"),
            format!("---\ntitle: Watch {slug}\nstate: finished\nbegun: 2026-01-0{}\n{parts}\n---\nStory of [it](day.md).\n", n + 1).into(),
        ));
        files.push((
            format!("builds/{slug}/day.md"),
            format!("---\ndate: 2026-01-1{n}\ntools: [i, I, \u{131}]\nspent: 881.41\nphotos: [{{ file: a.jpg, alt: The front }}]\n---\nBack to [it](build.md).\n").into(),
        ));
        files.push((format!("builds/{slug}/a.jpg"), photo(40 * n as u8)));
    }
    if backwards {
        files.reverse();
    }
    for (path, bytes) in files {
        let place = journal.join(path);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        fs::write(place, bytes).unwrap();
    }
}

fn tree(dir: &Path) -> BTreeMap<String, Vec<u8>> {
    let files =
        walkdir::WalkDir::new(dir).into_iter().map(Result::unwrap).filter(|it| it.file_type().is_file());
    files
        .map(|it| {
            (it.path().strip_prefix(dir).unwrap().to_str().unwrap().to_owned(), fs::read(it.path()).unwrap())
        })
        .collect()
}

fn run(dir: &Path, arguments: &[&str], environment: &[(&str, &str)]) -> Vec<u8> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_endshake"));
    command.args(arguments).current_dir(dir).env("XDG_CACHE_HOME", dir.join("cache")).env_remove("COLUMNS");
    let done = command.envs(environment.iter().copied()).output().unwrap();
    let told = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(done.status.code().is_some_and(|status| status < 2), "{arguments:?} {environment:?}: {told}");
    done.stdout
}

/// The site and what other commands print.
fn all(dir: &Path, environment: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
    let _ = fs::remove_dir_all(dir.join("site"));
    run(dir, &["publish", "journal", "--to", "site"], environment);
    let mut out = tree(&dir.join("site"));
    for arguments in [
        &["fit", "--journal", "journal", "--format", "json"][..],
        &["fit", "--journal", "journal", "--format", "sarif"],
        &["fit", "--journal", "journal"],
        &["audit", "journal"],
        &["audit", "journal", "--format", "json"],
        &["caption", "anchor", "--journal", "journal"],
        &["parts", "--to", "-", "--journal", "journal"],
        &["wanted", "Izmir", "--journal", "journal", "--format", "json"],
    ] {
        out.insert(arguments.join(" "), run(dir, arguments, environment));
    }
    out
}

fn same(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>, when: &str) {
    let names: Vec<_> = one.keys().collect();
    assert_eq!(other.keys().collect::<Vec<_>>(), names, "{when}");
    for (name, bytes) in one {
        assert!(other[name] == *bytes, "{when}: {name} differs");
    }
}

#[test]
fn the_site_is_the_same_in_any_language_time_zone_and_number_of_cores() {
    let dir = tempfile::tempdir().unwrap();
    write(&dir.path().join("journal"), false);
    let wanted = all(dir.path(), &[("LC_ALL", "C"), ("TZ", "UTC"), ("RAYON_NUM_THREADS", "1")]);
    assert!(wanted.len() > 40, "{}", wanted.len());
    for environment in [
        &[("LC_ALL", "tr_TR.UTF-8"), ("LANG", "tr_TR.UTF-8"), ("RAYON_NUM_THREADS", "2")][..],
        &[("LC_ALL", "de_DE.UTF-8"), ("LC_NUMERIC", "de_DE.UTF-8"), ("TZ", "Pacific/Kiritimati")],
        &[("TZ", "America/Los_Angeles"), ("RAYON_NUM_THREADS", "8"), ("SOURCE_DATE_EPOCH", "1")],
        &[("TZ", "nowhere/at-all"), ("HOME", "/nonexistent"), ("USER", "nell"), ("HOSTNAME", "bench")],
        &[("XDG_CACHE_HOME", "/dev/null"), ("TMPDIR", "/nonexistent")],
    ] {
        same(&wanted, &all(dir.path(), environment), &format!("{environment:?}"));
    }
    // Files of another time: before clocks were set, and long after this program.
    for (at, years) in [10u64, 67, 200].into_iter().enumerate() {
        let time = SystemTime::UNIX_EPOCH + Duration::from_secs(years * 31_557_600);
        for entry in walkdir::WalkDir::new(dir.path().join("journal")) {
            let entry = entry.unwrap();
            if entry.file_type().is_file() {
                let file = File::options().append(true).open(entry.path()).unwrap();
                file.set_modified(time + Duration::from_secs(at as u64)).unwrap();
            }
        }
        same(&wanted, &all(dir.path(), &[]), &format!("files of {years} years after 1970"));
    }
}

#[test]
fn the_site_is_the_same_in_any_place_and_order_of_writing() {
    let (one, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    write(&one.path().join("journal"), false);
    write(&other.path().join("journal"), true);
    let wanted = all(one.path(), &[]);
    same(&wanted, &all(other.path(), &[]), "written backwards, elsewhere");
    // Named in full, from another folder.
    let site = other.path().join("again");
    let journal = other.path().join("journal");
    run(
        Path::new("/"),
        &["publish", journal.to_str().unwrap(), "--to", site.to_str().unwrap()],
        &[("XDG_CACHE_HOME", "/dev/null")],
    );
    let wanted: BTreeMap<_, _> =
        wanted.into_iter().filter(|(name, _)| !name.contains(" --") && !name.starts_with("audit ")).collect();
    same(&wanted, &tree(&site), "named in full");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3))]
    #[test]
    fn the_site_is_the_same_for_any_order_of_files(seed in any::<u64>()) {
        use std::sync::OnceLock;
        static WANTED: OnceLock<BTreeMap<String, String>> = OnceLock::new();
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), false);
        let mut folder = endshake::journal::folder::read(dir.path()).unwrap();
        let wanted = WANTED.get_or_init(|| made(folder.clone(), &Look::default()).files);
        let mut number = seed;
        let mut next = |limit: usize| {
            number = number.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (number >> 33) as usize % limit
        };
        for at in 0..folder.texts.len() {
            let other = next(folder.texts.len());
            folder.texts.swap(at, other);
        }
        for at in 0..folder.builds.len() {
            let other = next(folder.builds.len());
            folder.builds.swap(at, other);
        }
        folder.photos.reverse();
        // What is made up of photos goes by their number: only texts are compared.
        let again = made(folder, &Look::default()).files;
        for (path, text) in wanted {
            let plain = |text: &str| text.split("photos/").map(|part| part.get(32..).unwrap_or(part)).collect::<String>();
            prop_assert_eq!(plain(text), plain(&again[path]), "{}", path);
        }
    }
}

#[test]
fn no_output_contains_the_journals_place() {
    let dir = tempfile::tempdir().unwrap();
    let home = dir.path().join("home-of-nell-5520");
    let journal = home.join("private-desk-7731/journal");
    write(&journal, false);
    let place = journal.to_str().unwrap();
    let environment = [("HOME", home.to_str().unwrap()), ("USER", "nell-5520")];
    let site = dir.path().join("site-of-hers");
    run(dir.path(), &["publish", place, "--to", site.to_str().unwrap()], &environment);
    let mut told = tree(&site);
    for arguments in [
        &["fit", "--journal", place, "--format", "json"][..],
        &["fit", "--journal", place, "--format", "sarif"],
        &["audit", place, "--format", "json"],
        &["wanted", "Izmir", "--journal", place, "--format", "json"],
        &["combine", "--journal", place, "--format", "json", "--most", "1"],
        &["parts", "--to", "-", "--journal", place],
        &["caption", "anchor", "--journal", place],
    ] {
        let done =
            Command::new(env!("CARGO_BIN_EXE_endshake")).args(arguments).envs(environment).output().unwrap();
        assert!(!done.stdout.is_empty() || arguments[0] == "combine", "{arguments:?}");
        told.insert(arguments.join(" "), done.stdout);
    }
    let secrets =
        ["home-of-nell", "5520", "private-desk", "7731", "site-of-hers", dir.path().to_str().unwrap()];
    for (name, bytes) in &told {
        let text = String::from_utf8_lossy(bytes);
        for secret in secrets {
            assert!(!text.contains(secret), "{name} tells {secret}");
        }
    }
}

#[test]
fn prices_and_serials_are_published_only_where_settings_show_them() {
    let figures = ["771.37", "881.41", "771,37", "881,41", "1652.78", "1,652.78", "4297"];
    for (prices, serials) in [(false, false), (true, false), (false, true), (true, true)] {
        let dir = tempfile::tempdir().unwrap();
        write(dir.path(), false);
        let show = format!(
            "title: The same\naddress: https://same.example/\ncurrency: EUR\nshow: {{ prices: {prices}, serials: {serials}, bin: true, audit: true }}\n"
        );
        fs::write(dir.path().join("journal.yaml"), show).unwrap();
        for theme in ["linen", "anthracite"] {
            let site =
                made(endshake::journal::folder::read(dir.path()).unwrap(), &Look { theme, private: false });
            let has = |text: &str| {
                site.files.iter().find(|(_, file)| file.contains(text)).map(|(path, _)| path.clone())
            };
            assert_eq!(has("SN-5512-Q").is_some(), serials, "{theme}: {:?}", has("SN-5512-Q"));
            for figure in figures {
                assert!(prices || has(figure).is_none(), "{theme}: {figure} is in {:?}", has(figure));
            }
            assert_eq!(has("771.37").is_some() && has("881.41").is_some(), prices, "{theme}");
        }
    }
}
