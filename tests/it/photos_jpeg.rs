//! The JPEG reader beside another one: every sampling, both orders, every scale, and what is broken.

use std::fs;

use endshake::photos::{BUDGET, Options, Photo, Source, derive};
use image::imageops::{FilterType, resize};
use image::{Rgb, RgbImage};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

/// A picture in which every place looks different, without edges that a codec would blur.
fn waves(width: u16, height: u16) -> RgbImage {
    // As long in the largest derivative, whatever the width.
    let stretch = f64::from(width.max(1600)) / 1600.0;
    RgbImage::from_fn(width.into(), height.into(), |x, y| {
        let (x, y) = (f64::from(x) / stretch, f64::from(y) / stretch);
        let wave = |a: f64, b: f64, c: f64| (127.0 + 100.0 * libm::sin(x / a + y / b + c)) as u8;
        Rgb([wave(31.0, 47.0, 0.0), wave(53.0, -29.0, 1.0), wave(71.0, 37.0, 2.0)])
    })
}

fn encode(picture: &RgbImage, settings: impl FnOnce(&mut Encoder<&mut Vec<u8>>)) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, 92);
    settings(&mut encoder);
    let (width, height) = (picture.width() as u16, picture.height() as u16);
    encoder.encode(picture.as_raw(), width, height, ColorType::Rgb).unwrap();
    file
}

/// What becomes of a file: the photo and its largest derivative, or the reason why not.
fn derived(file: &[u8]) -> Result<(Photo, RgbImage), String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("photo.jpg");
    fs::write(&path, file).unwrap();
    let sources = [Source { name: "photo.jpg".into(), path, share: false }];
    let store = folder.path().join("store");
    let options = Options { store: &store, cache: None, fresh: false, budget: BUDGET, progress: &() };
    let photo =
        derive(&sources, &options).unwrap().photos.remove(0).map_err(|fault| fault.reason.to_string())?;
    let largest = image::open(store.join(&photo.derivatives.last().unwrap().file)).unwrap().into_rgb8();
    Ok((photo, largest))
}

/// The mean and the greatest difference of two pictures, channel by channel.
fn difference(a: &RgbImage, b: &RgbImage) -> (f64, u8) {
    assert_eq!(a.dimensions(), b.dimensions());
    let pairs = || a.as_raw().iter().zip(b.as_raw()).map(|(a, b)| a.abs_diff(*b));
    let sum: f64 = pairs().map(f64::from).sum();
    (sum / a.as_raw().len() as f64, pairs().max().unwrap())
}

/// Reads `file`, whose picture is `original`, and holds the result against it, scaled by another library.
#[track_caller]
fn assert_shows(original: &RgbImage, file: &[u8], what: &str) {
    let (photo, largest) = derived(file).unwrap_or_else(|reason| panic!("{what}: {reason}"));
    assert_eq!((photo.width, photo.height), original.dimensions(), "{what}");
    let scaled = if largest.dimensions() == original.dimensions() {
        original.clone()
    } else {
        resize(original, largest.width(), largest.height(), FilterType::Lanczos3)
    };
    let (mean, most) = difference(&scaled, &largest);
    assert!(mean < 4.0 && most < 48, "{what}: mean {mean}, most {most}");
}

const SAMPLINGS: [SamplingFactor; 8] = [
    SamplingFactor::F_1_1,
    SamplingFactor::F_2_1,
    SamplingFactor::F_1_2,
    SamplingFactor::F_2_2,
    SamplingFactor::F_4_1,
    SamplingFactor::F_4_2,
    SamplingFactor::F_1_4,
    SamplingFactor::F_2_4,
];

#[test]
fn every_sampling_sequential_and_progressive() {
    let picture = waves(107, 61);
    for sampling in SAMPLINGS {
        for progressive in [false, true] {
            for restart in [0, 3] {
                let file = encode(&picture, |encoder| {
                    encoder.set_sampling_factor(sampling);
                    encoder.set_progressive(progressive);
                    encoder.set_restart_interval(restart);
                });
                assert_shows(
                    &picture,
                    &file,
                    &format!("{sampling:?}, progressive {progressive}, restart {restart}"),
                );
            }
        }
    }
}

#[test]
fn every_scale_down_to_an_eighth() {
    // The width decides: for 1600 of these 8 eighths are read, then 7, and so on down to 1.
    for width in [1700, 1900, 2200, 2600, 3500, 5000, 7000, 13_000] {
        let picture = waves(width, 20);
        for progressive in [false, true] {
            let file = encode(&picture, |encoder| {
                encoder.set_sampling_factor(SamplingFactor::F_2_2);
                encoder.set_progressive(progressive);
                encoder.set_optimized_huffman_tables(true);
            });
            assert_shows(&picture, &file, &format!("{width} wide, progressive {progressive}"));
        }
    }
}

#[test]
fn sizes_that_are_no_multiple_of_a_block_are_decoded() {
    for (width, height) in [(1, 1), (7, 9), (8, 8), (15, 17), (16, 16), (17, 1), (1, 33)] {
        for sampling in [SamplingFactor::F_1_1, SamplingFactor::F_2_2] {
            let picture = waves(width, height);
            let file = encode(&picture, |encoder| encoder.set_sampling_factor(sampling));
            assert_shows(&picture, &file, &format!("{width} x {height}, {sampling:?}"));
        }
    }
}

#[test]
fn a_grey_jpeg_is_written_with_one_component() {
    let picture = image::DynamicImage::ImageRgb8(waves(120, 80)).into_luma8();
    for progressive in [false, true] {
        let mut file = Vec::new();
        let mut encoder = Encoder::new(&mut file, 92);
        encoder.set_progressive(progressive);
        encoder.encode(picture.as_raw(), 120, 80, ColorType::Luma).unwrap();
        let original = image::DynamicImage::ImageLuma8(picture.clone()).into_rgb8();
        assert_shows(&original, &file, "grey");
    }
}

#[test]
fn cmyk_and_ycck_are_decoded() {
    let picture = waves(96, 64);
    // Ink as the encoder wants it: 0 is none.
    let ink: Vec<u8> = picture.pixels().flat_map(|Rgb([r, g, b])| [255 - r, 255 - g, 255 - b, 0]).collect();
    for kind in [ColorType::Cmyk, ColorType::CmykAsYcck] {
        let mut file = Vec::new();
        Encoder::new(&mut file, 95).encode(&ink, 96, 64, kind).unwrap();
        assert_shows(&picture, &file, &format!("{kind:?}"));
    }
}

#[test]
fn a_jpeg_cut_off_anywhere_is_reported() {
    let picture = waves(200, 150);
    for progressive in [false, true] {
        let file = encode(&picture, |encoder| encoder.set_progressive(progressive));
        for eighth in 0..8 {
            let reason = derived(&file[..file.len() * eighth / 8]).unwrap_err();
            let said =
                ["cut off", "empty", "damaged", "not a picture"].iter().any(|word| reason.contains(word));
            assert!(said, "{eighth}: {reason}");
        }
        // Without the last mark everything is there all the same.
        if !progressive {
            assert_shows(&picture, &file[..file.len() - 2], "no end");
        }
        assert_shows(
            &picture,
            &[file.as_slice(), b"more, as films in photos have it"].concat(),
            "trailing bytes",
        );
    }
}

#[test]
fn a_damaged_jpeg_causes_no_panic() {
    let picture = waves(64, 48);
    let mut faults = 0;
    for progressive in [false, true] {
        let file = encode(&picture, |encoder| {
            encoder.set_progressive(progressive);
            encoder.set_restart_interval(4);
        });
        for place in (2..file.len()).step_by(17) {
            for flip in [0x01, 0xFF] {
                let mut bent = file.clone();
                bent[place] ^= flip;
                faults += usize::from(derived(&bent).is_err());
            }
        }
    }
    assert!(faults > 20, "{faults}");
}

#[test]
fn a_jpeg_of_excessive_size_is_refused_by_its_header() {
    let mut file = encode(&waves(64, 48), |_| {});
    let frame = file.windows(2).position(|two| two == [0xFF, 0xC0]).unwrap();
    file[frame + 5..frame + 9].copy_from_slice(&[0xFF, 0xFF, 0xFF, 0xFF]);
    let reason = derived(&file).unwrap_err();
    assert!(reason.contains("65535 x 65535") && reason.contains("400 million"), "{reason}");
}
