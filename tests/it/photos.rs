//! The photo store through its public face: what goes in, what lies in the folder afterwards.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use endshake::photos::{BUDGET, Derived, Options, Progress, Source, WIDTHS, derive};
use image::{DynamicImage, ImageFormat, Rgb, RgbImage, Rgba, RgbaImage};

/// A journal's photos, a store and a cache, in a folder of their own.
struct Studio {
    folder: tempfile::TempDir,
    sources: Vec<Source>,
    budget: u64,
    fresh: bool,
}

impl Studio {
    fn new() -> Studio {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("journal")).unwrap();
        Studio { folder, sources: Vec::new(), budget: BUDGET, fresh: false }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn add(&mut self, name: &str, bytes: &[u8]) {
        let path = self.path("journal").join(name);
        fs::write(&path, bytes).unwrap();
        self.sources.push(Source { name: name.into(), path, share: false });
    }

    fn derive(&self) -> Derived {
        self.derive_told(&())
    }

    fn derive_told(&self, progress: &dyn Progress) -> Derived {
        let (store, cache) = (self.path("site/photos"), self.path("cache/sources.json"));
        let options =
            Options { store: &store, cache: Some(&cache), fresh: self.fresh, budget: self.budget, progress };
        derive(&self.sources, &options).unwrap()
    }

    /// The names and bytes of all files in the store.
    fn store(&self) -> Vec<(String, Vec<u8>)> {
        files(&self.path("site/photos"))
    }
}

fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_owned(), fs::read(path).unwrap()))
        .collect();
    files.sort();
    files
}

/// A picture whose four corners differ.
fn corners(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| match (x < width / 2, y < height / 2) {
        (true, true) => Rgb([220, 40, 40]),
        (false, true) => Rgb([40, 200, 40]),
        (true, false) => Rgb([40, 40, 220]),
        (false, false) => Rgb([220, 220, 220]),
    })
}

fn encoded(picture: impl Into<DynamicImage>, format: ImageFormat) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.into().write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// Whether the picture in `bytes` shows [`corners`].
#[track_caller]
fn assert_corners(bytes: &[u8], (width, height): (u32, u32)) {
    let picture = image::load_from_memory(bytes).unwrap().into_rgb8();
    assert_eq!(picture.dimensions(), (width, height));
    for (x, y) in [(1, 1), (3, 1), (1, 3), (3, 3)] {
        let (x, y) = (width * x / 4, height * y / 4);
        let (is, should) = (picture.get_pixel(x, y), corners(width, height).get_pixel(x, y).0);
        assert!(
            is.0.iter().zip(should).all(|(a, b)| a.abs_diff(b) < 8),
            "{is:?} at {x}, {y}, not {should:?}"
        );
    }
}

#[test]
fn every_format_becomes_upright_jpeg_in_the_widths_of_the_plan() {
    let mut studio = Studio::new();
    for (name, format) in [
        ("a.jpg", ImageFormat::Jpeg),
        ("b.png", ImageFormat::Png),
        ("c.webp", ImageFormat::WebP),
        ("d.gif", ImageFormat::Gif),
        ("wrongly-named.jpg", ImageFormat::Png),
    ] {
        studio.add(name, &encoded(corners(520, 390), format));
    }
    let derived = studio.derive();
    let store = studio.store();
    assert_eq!(store.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>(), derived.files);
    for photo in derived.photos {
        let photo = photo.unwrap();
        assert_eq!((photo.width, photo.height), (520, 390));
        let widths: Vec<_> = photo.derivatives.iter().map(|one| one.width).collect();
        assert_eq!(widths, [WIDTHS[0], 520]);
        for one in &photo.derivatives {
            let (_, bytes) = store.iter().find(|(name, _)| *name == one.file).unwrap();
            assert_eq!(bytes.len() as u64, one.bytes);
            assert_corners(bytes, (one.width, one.height));
        }
        assert!(photo.placeholder.starts_with("data:image/png;base64,") && photo.placeholder.len() < 400);
    }
}

#[test]
fn heic_in_one_piece_and_in_tiles() {
    let mut studio = Studio::new();
    for (name, width, height) in [("piece.heic", 460, 300), ("tiles.heic", 1300, 700)] {
        let settings = heifer::EncodeOptions { quality: 90, ..Default::default() };
        let file = heifer::encode_rgb8(width, height, corners(width, height).as_raw(), &settings).unwrap();
        studio.add(name, &file);
        // Cut off in its pixels.
        studio.add(&format!("cut-{name}"), &file[..file.len() * 3 / 4]);
    }
    let derived = studio.derive();
    for (index, size) in [(0, (460, 300)), (2, (1300, 700))] {
        let photo = derived.photos[index].as_ref().unwrap();
        let file = &photo.derivatives.last().unwrap().file;
        assert_corners(&fs::read(studio.path("site/photos").join(file)).unwrap(), size);
        assert!(derived.photos[index + 1].as_ref().unwrap_err().reason.to_string().contains("HEIC"));
    }
}

#[test]
fn transparent_and_16_bit_pictures_are_flattened_onto_white() {
    let mut studio = Studio::new();
    let clear =
        RgbaImage::from_fn(64, 64, |x, _| if x < 32 { Rgba([0, 0, 0, 0]) } else { Rgba([0, 0, 0, 255]) });
    studio.add("clear.png", &encoded(clear, ImageFormat::Png));
    studio.add("deep.png", &encoded(DynamicImage::ImageRgb8(corners(64, 64)).into_rgb16(), ImageFormat::Png));
    let derived = studio.derive();
    let open = |index: usize| {
        let photo = derived.photos[index].as_ref().unwrap();
        fs::read(studio.path("site/photos").join(&photo.derivatives[0].file)).unwrap()
    };
    let clear = image::load_from_memory(&open(0)).unwrap().into_luma8();
    assert!(clear.get_pixel(8, 32).0[0] > 250 && clear.get_pixel(56, 32).0[0] < 5);
    assert_corners(&open(1), (64, 64));
}

#[test]
fn photos_are_read_again_only_where_they_changed() {
    let mut studio = Studio::new();
    studio.add("a.jpg", &encoded(corners(450, 300), ImageFormat::Jpeg));
    studio.add("b.jpg", &encoded(corners(250, 300), ImageFormat::Jpeg));
    studio.add("c.jpg", b"no picture");
    let first = studio.derive();
    assert_eq!((first.read, first.made), (3, 2));
    let store = studio.store();

    let second = studio.derive();
    assert_eq!((second.read, second.made), (0, 0), "nothing is read, the faulty file neither");
    assert_eq!(second.photos, first.photos);

    fs::copy(studio.path("journal/a.jpg"), studio.path("journal/copy.jpg")).unwrap();
    studio.sources[0].path = studio.path("journal/copy.jpg");
    let third = studio.derive();
    assert_eq!((third.read, third.made), (1, 0), "known by its content");
    assert_eq!(third.photos, first.photos);

    studio.sources[0].path = studio.path("journal/a.jpg");
    fs::copy(studio.path("journal/b.jpg"), studio.path("journal/a.jpg")).unwrap();
    let fourth = studio.derive();
    assert_eq!((fourth.read, fourth.made), (1, 0));
    assert_eq!(fourth.photos[0], fourth.photos[1]);
    assert!(fourth.files.len() < store.len(), "what is stale is no longer named");
    assert_eq!(studio.store(), store, "but the room deletes nothing");
}

#[test]
fn missing_or_truncated_derivatives_are_made_again() {
    let mut studio = Studio::new();
    studio.add("a.jpg", &encoded(corners(450, 300), ImageFormat::Jpeg));
    studio.add("b.jpg", &encoded(corners(250, 300), ImageFormat::Jpeg));
    let first = studio.derive();
    let store = studio.store();
    let lose = |photo: usize| {
        studio.path("site/photos").join(&first.photos[photo].as_ref().unwrap().derivatives[0].file)
    };
    fs::remove_file(lose(0)).unwrap();
    fs::write(lose(1), "cut short").unwrap();
    let second = studio.derive();
    assert_eq!((second.read, second.made), (2, 2));
    assert_eq!(studio.store(), store);
}

#[test]
fn photos_are_right_without_or_with_a_damaged_cache() {
    let mut studio = Studio::new();
    studio.add("a.jpg", &encoded(corners(450, 300), ImageFormat::Jpeg));
    let first = studio.derive();
    let (name, whole) = files(&studio.path("cache")).remove(0);
    let cache = studio.path("cache").join(name);
    let cut = whole[..whole.len() / 2].to_vec();
    let mut bent = whole.clone();
    let last = bent.len() - 10;
    bent[last] ^= 1;
    for damage in [cut, bent, b"something else".to_vec(), Vec::new(), vec![0xFF; 1000]] {
        fs::write(&cache, damage).unwrap();
        let again = studio.derive();
        assert_eq!((again.made, &again.photos), (1, &first.photos));
        assert_eq!(studio.derive().read, 0, "and is whole again");
    }
    fs::remove_file(&cache).unwrap();
    fs::create_dir(&cache).unwrap();
    assert_eq!(studio.derive().photos, first.photos, "a cache that cannot be written");
}

#[test]
fn fresh_makes_the_same_derivatives_again() {
    let mut studio = Studio::new();
    studio.add("a.jpg", &encoded(corners(450, 300), ImageFormat::Jpeg));
    let first = studio.derive();
    let store = studio.store();
    studio.fresh = true;
    let again = studio.derive();
    assert_eq!((again.read, again.made), (1, 1));
    assert_eq!((again.photos, studio.store()), (first.photos, store));
}

#[test]
fn a_faulty_file_is_named_with_its_reason_and_the_rest_goes_on() {
    let mut studio = Studio::new();
    let whole = encoded(corners(450, 300), ImageFormat::Jpeg);
    studio.add("good.jpg", &whole);
    studio.add("empty.jpg", b"");
    studio.add("text.jpg", b"---\ntitle: not a picture\n---\n");
    studio.add("cut.jpg", &whole[..whole.len() / 2]);
    studio.add("cut.png", &encoded(corners(450, 300), ImageFormat::Png)[..400]);
    studio.add("cut.webp", &encoded(corners(450, 300), ImageFormat::WebP)[..100]);
    studio.add("cut.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic");
    studio.add("new.avif", b"\0\0\0\x18ftypavif\0\0\0\0mif1avif");
    studio.sources.push(Source {
        name: "gone.jpg".into(),
        path: studio.path("journal/gone.jpg"),
        share: false,
    });
    studio.sources.push(Source { name: "folder.jpg".into(), path: studio.path("journal"), share: false });
    let derived = studio.derive();
    assert!(derived.photos[0].is_ok());
    let words = ["empty", "not a picture", "cut off", "", "", "HEIC", "AVIF", "no such file", "not a file"];
    for (source, (photo, words)) in studio.sources[1..].iter().zip(derived.photos[1..].iter().zip(words)) {
        let fault = photo.as_ref().unwrap_err();
        assert_eq!(fault.name, source.name);
        let reason = fault.reason.to_string();
        assert!(reason.contains(words), "{}: {reason}", fault.name);
        assert!(!reason.ends_with('.') && !reason.starts_with(char::is_uppercase) || words == "AVIF");
    }
    assert_eq!(derived.files.len(), derived.photos[0].as_ref().unwrap().derivatives.len());
}

#[test]
fn a_link_preview_is_made_where_it_is_wanted() {
    let mut studio = Studio::new();
    studio.add("a.jpg", &encoded(corners(640, 400), ImageFormat::Jpeg));
    assert!(studio.derive().photos[0].as_ref().unwrap().share.is_none());
    studio.sources[0].share = true;
    let derived = studio.derive();
    let share = derived.photos[0].as_ref().unwrap().share.clone().unwrap();
    assert_eq!((share.width, share.height), (640, 336));
    assert_corners(&fs::read(studio.path("site/photos").join(&share.file)).unwrap(), (640, 336));
    assert!(derived.files.contains(&share.file));
    assert_eq!(studio.derive().read, 0);
}

#[test]
fn progress_counts_every_photo() {
    struct Told(AtomicUsize, AtomicUsize);
    impl Progress for Told {
        fn photos(&self, done: usize, total: usize, _: usize) {
            assert!(done <= total);
            self.0.fetch_add(1, Ordering::Relaxed);
            self.1.fetch_max(done, Ordering::Relaxed);
        }
    }
    let mut studio = Studio::new();
    for index in 0..7 {
        studio.add(&format!("{index}.jpg"), &encoded(corners(40 + index, 30), ImageFormat::Jpeg));
    }
    let told = Told(AtomicUsize::new(0), AtomicUsize::new(0));
    studio.derive_told(&told);
    assert_eq!((told.0.into_inner(), told.1.into_inner()), (7, 7));
}

#[test]
fn a_photo_over_the_memory_budget_is_refused_with_the_numbers() {
    let mut studio = Studio::new();
    // WebP is decoded whole, PNG row by row.
    studio.add("large.webp", &encoded(corners(8000, 400), ImageFormat::WebP));
    studio.add("large.png", &encoded(corners(8000, 400), ImageFormat::Png));
    studio.budget = 20 << 20;
    let derived = studio.derive();
    let reason = derived.photos[0].as_ref().unwrap_err().reason.to_string();
    assert!(reason.contains("MB are allowed"), "{reason}");
    studio.budget = BUDGET;
    assert!(studio.derive().photos[0].is_ok(), "and that is not remembered");
}
