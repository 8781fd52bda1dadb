//! Photos that cannot be shown, through the command: each is named with its reason, has a frame in its
//! place on the page, and stops nothing else.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use image::{ImageFormat, Rgb, RgbImage};

fn encoded(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let picture = RgbImage::from_fn(width, height, |x, y| Rgb([(x % 251) as u8, (y % 241) as u8, 90]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn half(file: &[u8]) -> Vec<u8> {
    file[..file.len() / 2].to_vec()
}

/// A PNG whose header claims a size, with its sum put right.
fn png_that_claims(width: u32, height: u32) -> Vec<u8> {
    let mut file = encoded(8, 8, ImageFormat::Png);
    file[16..20].copy_from_slice(&width.to_be_bytes());
    file[20..24].copy_from_slice(&height.to_be_bytes());
    let mut sum = !0u32;
    for byte in &file[12..29] {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { sum >> 1 ^ 0xEDB8_8320 } else { sum >> 1 };
        }
    }
    file[29..33].copy_from_slice(&(!sum).to_be_bytes());
    file
}

fn jpeg_that_claims(width: u16, height: u16) -> Vec<u8> {
    let mut file = encoded(16, 16, ImageFormat::Jpeg);
    let frame = file.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
    file[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    file[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    file
}

fn gif_that_claims(width: u16, height: u16) -> Vec<u8> {
    let mut file = encoded(8, 8, ImageFormat::Gif);
    file[6..8].copy_from_slice(&width.to_le_bytes());
    file[8..10].copy_from_slice(&height.to_le_bytes());
    file
}

fn publish(journal: &Path, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_endshake"));
    command.arg("publish").arg(journal).args(more).env("XDG_CACHE_HOME", journal.join("../cache"));
    command.output().unwrap()
}

/// Writes a journal of one build whose only entry lists these photos, and those that are `named` besides.
fn write(journal: &Path, photos: &[(&str, Vec<u8>, &str)], named: &[&str]) {
    let build = journal.join("builds/album");
    fs::create_dir_all(&build).unwrap();
    fs::write(journal.join("journal.yaml"), "title: Photos\n").unwrap();
    fs::write(build.join("build.md"), "---\ntitle: Album\nstate: planned\ncover: cut.jpg\n---\nAll.\n")
        .unwrap();
    let names = photos.iter().map(|(name, ..)| *name).chain(named.iter().copied());
    let list: String = names.map(|name| format!("  - {{ file: {name}, alt: \"[{name}]\" }}\n")).collect();
    fs::write(build.join("2026-01-20-all.md"), format!("---\ndate: 2026-01-20\nphotos:\n{list}---\nAll.\n"))
        .unwrap();
    for (name, bytes, _) in photos {
        fs::write(build.join(name), bytes).unwrap();
    }
}

#[test]
fn a_faulty_photo_is_named_and_replaced_by_a_frame() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal");
    let whole = encoded(450, 300, ImageFormat::Jpeg);
    let mut bent = whole.clone();
    let middle = bent.len() / 2;
    bent[middle..middle + 400].fill(0xFF);
    let photos = [
        ("whole.jpg", whole.clone(), ""),
        ("really-png.jpg", encoded(450, 301, ImageFormat::Png), ""),
        ("cut.jpg", half(&whole), "cut off after"),
        ("bent.jpg", bent, "damaged"),
        ("empty.jpg", Vec::new(), "empty"),
        ("zeros.jpg", vec![0; 5000], "only zeros"),
        ("text.jpg", b"---\ntitle: Lantern\n---\n".to_vec(), "not a picture"),
        ("cut.png", half(&encoded(450, 300, ImageFormat::Png)), "damaged"),
        ("cut.webp", half(&encoded(450, 300, ImageFormat::WebP)), "damaged"),
        ("cut.gif", half(&encoded(450, 300, ImageFormat::Gif)), "damaged"),
        ("bomb.png", png_that_claims(60_000, 60_000), "400 million"),
        ("long.png", png_that_claims(100_000, 1), "65500"),
        ("bomb.jpg", jpeg_that_claims(65_500, 65_500), "400 million"),
        ("hollow.jpg", jpeg_that_claims(20_000, 15_000), "damaged after"),
        ("bomb.gif", gif_that_claims(65_535, 65_535), "400 million"),
        ("wide.gif", gif_that_claims(20_000, 20_000), "MB are allowed"),
        ("film.heic", b"\0\0\0\x18ftypqt  \0\0\0\0qt  mif1".to_vec(), "film"),
        ("new.avif", b"\0\0\0\x18ftypavif\0\0\0\0mif1avif".to_vec(), "AVIF"),
    ];
    let named: &[&str] = if cfg!(unix) { &["gone.jpg", "pipe.jpg", "device.jpg"] } else { &["gone.jpg"] };
    write(&journal, &photos, named);
    let build = journal.join("builds/album");
    fs::create_dir(build.join("folder.jpg")).unwrap();
    #[cfg(unix)]
    {
        assert!(Command::new("mkfifo").arg(build.join("pipe.jpg")).status().unwrap().success());
        std::os::unix::fs::symlink("/dev/zero", build.join("device.jpg")).unwrap();
    }

    let done = publish(&journal, &[]);
    let said = String::from_utf8(done.stderr).unwrap();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(!said.contains(['\r', '\x1b']), "a pipe is told of no progress");
    let page = fs::read_to_string(journal.join("site/builds/album.html")).unwrap();
    let images: Vec<&str> =
        page.split("<img ").skip(1).map(|image| image.split('>').next().unwrap()).collect();
    let of = |name: &str| -> Vec<&str> {
        images.iter().copied().filter(|image| image.contains(&format!("alt=\"[{name}]"))).collect()
    };
    for (name, _, reason) in &photos {
        assert!(!of(name).is_empty(), "{name} is not on the page");
        let lines: Vec<&str> = said.lines().filter(|line| line.contains(&format!("album/{name}:"))).collect();
        if reason.is_empty() {
            assert!(of(name).iter().all(|image| !image.contains("lost-")), "{name} is shown");
            assert!(lines.is_empty(), "{name}: {lines:?}");
            continue;
        }
        assert!(
            of(name).iter().all(|image| image.contains("lost-") && image.contains("could not be read")),
            "{name}"
        );
        let told = lines.iter().any(|line| line.contains("error: ") && line.contains(reason));
        assert!(told, "{name}: {reason} is not in\n{said}");
    }
    for name in named {
        assert!(of(name).iter().any(|image| image.contains("could not be read")), "{name} has no frame");
        assert!(said.contains(name), "{name} is not in\n{said}");
    }
    let files: Vec<String> = fs::read_dir(journal.join("site/photos"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    assert_eq!(files.iter().filter(|name| name.starts_with("lost-")).count(), 1, "{files:?}");
    // One size of each of the two that are whole.
    assert_eq!(files.iter().filter(|name| name.ends_with(".jpg")).count(), 2, "{files:?}");

    // With the files put right nothing of it is left.
    for (name, ..) in &photos {
        fs::remove_file(build.join(name)).unwrap();
    }
    for name in ["pipe.jpg", "device.jpg"] {
        let _ = fs::remove_file(build.join(name));
    }
    write(&journal, &[("cut.jpg", whole, "")], &[]);
    let done = publish(&journal, &[]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    let page = fs::read_to_string(journal.join("site/builds/album.html")).unwrap();
    assert!(page.contains("alt=\"[cut.jpg]\"") && !page.contains("lost-"));
    assert!(fs::read_dir(journal.join("site/photos")).unwrap().count() == 1, "what is stale is gone");
}

/// Where the one who runs the tests may read everything, there is nothing to see.
#[cfg(unix)]
#[test]
fn an_unreadable_photo_is_reported() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal");
    write(&journal, &[("cut.jpg", encoded(40, 30, ImageFormat::Jpeg), "")], &[]);
    let file = journal.join("builds/album/cut.jpg");
    fs::set_permissions(&file, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read(&file).is_ok() {
        // The superuser reads it all the same: another user is asked to.
        let user = ["setpriv", "--reuid=65534", "--clear-groups"];
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o777)).unwrap();
        let site = folder.path().join("site");
        let run = Command::new(user[0])
            .args(&user[1..])
            .arg(env!("CARGO_BIN_EXE_endshake"))
            .arg("publish")
            .arg(&journal)
            .arg("--to")
            .arg(&site)
            .env("XDG_CACHE_HOME", folder.path().join("cache"))
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        assert_eq!(run.status.code(), Some(2), "{said}");
        assert!(said.contains("no permission"), "{said}");
        return;
    }
    let done = publish(&journal, &[]);
    let said = String::from_utf8_lossy(&done.stderr).into_owned();
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("no permission"), "{said}");
}

#[test]
fn unlisted_photos_keep_the_order_of_the_camera() {
    let folder = tempfile::tempdir().unwrap();
    let journal = folder.path().join("journal");
    // The names go the other way than the times.
    let dated = |width: u32, time: &str| {
        let jpeg = encoded(width, 30, ImageFormat::Jpeg);
        let mut block = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x32\0\x02\0\0\0\x14\0\0\0\x1a\0\0\0\0".to_vec();
        block.extend(format!("2026:01:2{time}:00\0").as_bytes());
        let length = (block.len() as u16 + 2).to_be_bytes();
        [&jpeg[..2], &[0xFF, 0xE1], &length, &block, &jpeg[2..]].concat()
    };
    write(&journal, &[("cut.jpg", encoded(40, 30, ImageFormat::Jpeg), "")], &[]);
    let build = journal.join("builds/album");
    fs::write(build.join("2026-01-26-later.md"), "---\ndate: 2026-01-26\n---\nLater.\n").unwrap();
    for (name, width, time) in [
        ("a.jpg", 71, "1 18:00"),
        ("b.jpg", 72, "1 09:30"),
        ("c.jpg", 73, "0 23:00"),
        ("d.jpg", 74, "5 08:00"),
    ] {
        fs::write(build.join(name), dated(width, time)).unwrap();
    }
    fs::write(build.join("0.jpg"), encoded(75, 30, ImageFormat::Jpeg)).unwrap();
    let done = publish(&journal, &[]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    let page = fs::read_to_string(journal.join("site/builds/album.html")).unwrap();
    let place = |width: u32| page.find(&format!("{width}w\"")).unwrap_or_else(|| panic!("{width} in {page}"));
    // The first entry's in the order of the day, then the second's; the one without a date comes last.
    let places = [73, 72, 71, 74, 75].map(place);
    assert!(places.is_sorted(), "{places:?}");
}
