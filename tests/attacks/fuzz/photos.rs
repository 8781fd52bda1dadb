//! Pictures whose bytes are changed: headers above all. Each is a picture or a fault in words.

use std::fs;

use endshake::photos::{BUDGET, Options, Source, derive};
use image::{DynamicImage, GrayImage, ImageFormat, Luma, Rgb, RgbImage};
use jpeg_encoder::{ColorType, Encoder};

use super::{Target, fuzz, skeleton};

fn small(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        Rgb([(x * 5 % 251) as u8, (y * 7 % 241) as u8, (x * y % 200) as u8])
    })
}

fn encoded(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn jpeg(with: &dyn Fn(&mut Encoder<&mut Vec<u8>>), colours: ColorType, samples: usize) -> Vec<u8> {
    let pixels: Vec<u8> = (0..48 * 36 * samples).map(|at| (at * 7 % 253) as u8).collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 80);
    with(&mut encoder);
    encoder.encode(&pixels, 48, 36, colours).unwrap();
    bytes
}

/// JPEGs of every sort that is read, with and without metadata, and the heads of the example's own.
fn pictures() -> Vec<Vec<u8>> {
    let mut out = vec![
        encoded(&small(48, 36).into(), ImageFormat::Jpeg),
        encoded(
            &DynamicImage::from(GrayImage::from_fn(20, 50, |x, _| Luma([(x * 9) as u8]))),
            ImageFormat::Jpeg,
        ),
        jpeg(&|encoder| encoder.set_progressive(true), ColorType::Rgb, 3),
        jpeg(&|encoder| encoder.set_restart_interval(2), ColorType::Rgb, 3),
        jpeg(&|encoder| encoder.set_optimized_huffman_tables(true), ColorType::Luma, 1),
        jpeg(&|_| {}, ColorType::Cmyk, 4),
        encoded(&small(30, 20).into(), ImageFormat::Png),
        encoded(&small(30, 20).into(), ImageFormat::WebP),
        encoded(&small(30, 20).into(), ImageFormat::Gif),
    ];
    // The same with a turned camera, a date, a broken offset.
    let plain = out[0].clone();
    for (tag, kind, value) in [(0x0112u16, 3u16, 0x0006_0000u32), (0x0132, 2, 26), (0x8769, 4, 0xffff_fff0)] {
        let mut block = b"Exif\0\0MM\0*\0\0\0\x08\0\x01".to_vec();
        block.extend(tag.to_be_bytes());
        block.extend(kind.to_be_bytes());
        block.extend(if kind == 2 { 20u32 } else { 1 }.to_be_bytes());
        block.extend(value.to_be_bytes());
        block.extend(b"\0\0\0\x002026:01:21 18:00:00\0");
        let length = (block.len() as u16 + 2).to_be_bytes();
        out.push([&plain[..2], &[0xff, 0xe1], &length, &block, &plain[2..]].concat());
    }
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("content-example/builds/lantern");
    for name in ["01-front.jpg", "07-dial-before.jpg"] {
        let whole = fs::read(root.join(name)).unwrap();
        out.push(whole[..6000].to_vec());
    }
    out
}

/// What begins a segment, and figures that sizes and counts are made of.
const WORDS: [&str; 12] = [
    "Exif\0\0",
    "JFIF\0",
    "Adobe",
    "ICC_PROFILE\0",
    "http://ns.adobe.com/xap/1.0/\0",
    "MM\0*",
    "II*\0",
    "IHDR",
    "IDAT",
    "\0\0",
    "\u{7f}\u{7f}",
    "\0\u{1}",
];

#[test]
fn headers() {
    let memory = std::path::Path::new("/dev/shm");
    let dir = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() }.unwrap();
    let (file, store) = (dir.path().join("photo.jpg"), dir.path().join("store"));
    let attempt = |input: &[u8]| {
        fs::write(&file, input).unwrap();
        let source = Source { name: "photo.jpg".into(), path: file.clone(), share: true };
        let options = Options { store: &store, cache: None, fresh: true, budget: BUDGET, progress: &() };
        let derived = derive(std::slice::from_ref(&source), &options).expect("the store can be written");
        let answer = match &derived.photos[0] {
            Ok(photo) => {
                assert!(
                    1 <= photo.width && photo.width <= 65_500 && 1 <= photo.height && photo.height <= 65_500
                );
                for one in photo.derivatives.iter().chain(&photo.share) {
                    let bytes = fs::read(store.join(&one.file)).unwrap();
                    let picture = image::load_from_memory(&bytes).expect("a derivative is a whole picture");
                    assert_eq!((picture.width(), picture.height()), (one.width, one.height));
                    assert!(!bytes.windows(4).any(|four| four == b"Exif"), "metadata got through");
                }
                format!("a picture {}", photo.derivatives.len())
            }
            Err(fault) => {
                let reason = fault.reason.to_string();
                assert!(!reason.trim().is_empty());
                skeleton(&reason)
            }
        };
        let _ = fs::remove_dir_all(&store);
        vec![answer]
    };
    fuzz(&Target { name: "pictures", corpus: pictures(), words: &WORDS, executions: 300, attempt: &attempt });
}
