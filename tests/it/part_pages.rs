//! A part's own page: how its sizes changed, the builds that it was in, how a movement ran.

use std::collections::BTreeMap;

use super::pages::publish;

/// A dial and a movement that go through two watches; a third is nobody's business.
const FILES: [(&str, &str); 10] = [
    ("journal.yaml", "title: Two watches\n"),
    (
        "parts/p.yaml",
        "d: { kind: dial, name: Amber dial, diameter: 28.50 ±0.02, lume: none, from: { bought: A fair, date: 2024-01-02 } }\n\
         m: { kind: movement, name: The movement, calibre: auto-27.4-date }\n",
    ),
    (
        "builds/first/build.md",
        "---\ntitle: First light\nstate: taken apart\nbegun: 2024-01-05\nended: 2024-06-01\ncover: 1.jpg\nparts: { dial: d, movement: m }\n---\n",
    ),
    (
        "builds/first/1.md",
        "---\ndate: 2024-01-10\ntitle: It comes down\naltered: [{ part: d, how: turned down, to: { diameter: 27.10 ±0.05 } }]\n\
         timing: [{ position: CH, rate: +12, amplitude: 280, beat_error: 0.4 }]\n---\n",
    ),
    (
        "builds/first/2.md",
        "---\ndate: 2024-03-10\ntitle: Regulated\ntiming: [{ position: CH, rate: +4 }]\n---\n",
    ),
    (
        "builds/second/build.md",
        "---\ntitle: Second wind\nstate: on the bench\nbegun: 2025-01-05\ntarget: { rate: \"-5..+10 s/d\" }\nparts: { dial: d, movement: m }\n---\n",
    ),
    (
        "builds/second/1.md",
        "---\ndate: 2025-02-01\ntitle: Once more\nmeasured: { d: { diameter: 27.08 ±0.01, thickness: 0.41 } }\n\
         timing: [{ position: CH, rate: -2 }, { position: 6H, rate: +4 }]\n---\n",
    ),
    (
        "builds/third/build.md",
        "---\ntitle: A secret\nstate: planned\nhidden: true\nparts: { dial: d }\n---\n",
    ),
    (
        "builds/third/1.md",
        "---\ndate: 2024-08-01\ntitle: Untold\nmeasured: { d: { centre_hole: 2.15 } }\ntiming: [{ position: CH, rate: +77 }]\n---\n",
    ),
    (
        "builds/third/2.md",
        "---\ndate: 2024-08-02\naltered: [{ part: d, how: other, to: { centre_hole: 2.2 } }]\n---\n",
    ),
];

fn site() -> BTreeMap<String, String> {
    let journal = tempfile::tempdir().unwrap();
    for (path, text) in FILES {
        let path = journal.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    let photo = image::RgbImage::from_fn(64, 48, |x, y| image::Rgb([x as u8 * 3, y as u8 * 4, 90]));
    photo.save(journal.path().join("builds/first/1.jpg")).unwrap();
    publish(journal.path(), &[])
}

/// The rows of a section's table, as the text of their cells.
fn rows(page: &str, heading: &str) -> Vec<Vec<String>> {
    let Some((_, section)) = page.split_once(&format!("<h2>{heading}</h2>")) else { return Vec::new() };
    let section = section.split("</section>").next().unwrap();
    let body = section.split("<tbody>").nth(1).unwrap().split("</tbody>").next().unwrap();
    let text = |cell: &str| {
        let mut out = String::new();
        let mut inside = true;
        for letter in cell.split_once('>').unwrap().1.chars() {
            match letter {
                '<' => inside = false,
                '>' => inside = true,
                letter if inside => out.push(letter),
                _ => {}
            }
        }
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let cells =
        |row: &str| row.split("<td").skip(1).map(|cell| text(cell.split("</td>").next().unwrap())).collect();
    body.split("<tr").skip(1).map(cells).collect()
}

#[test]
fn a_parts_page_follows_it_through_two_watches() {
    let site = site();
    let (dial, movement) = (&site["parts/d.html"], &site["parts/m.html"]);

    assert_eq!(
        rows(dial, "Changes"),
        [
            ["Diameter", "28.50 ±0.0227.10 ±0.05 mm", "turned down", "10 January 2024", "It comes down"],
            ["Diameter", "27.10 ±0.0527.08 ±0.01 mm", "measured", "1 February 2025", "Once more"],
            ["Thickness", "0.41 ±0.02 mm", "measured", "1 February 2025", "Once more"],
        ]
    );
    assert_eq!(
        rows(dial, "Builds"),
        [
            ["", "First light", "dial", "5 January 2024 to 1 June 2024"],
            ["", "Second wind", "dial", "since 5 January 2025"],
        ]
    );
    let used = dial.split("class=\"list used\"").nth(1).unwrap().split("</table>").next().unwrap();
    assert_eq!(used.matches("<img").count(), 1, "the one build with a photo shows it");
    assert!(dial.contains("bought: A fair, 2 January 2024"), "months keep their capital");

    assert!(movement.contains("<b>Mean rate over time</b>"), "{movement}");
    assert_eq!(
        rows(movement, "Timing"),
        [
            ["10 January 2024", "First light", "+12 s/d 1 position", "280°", "0.4 ms"],
            ["10 March 2024", "First light", "+4 s/d 1 position", "", ""],
            ["1 February 2025", "Second wind", "+1 s/d 2 positions", "", ""],
        ]
    );
    assert!(rows(dial, "Timing").is_empty());
    for page in [dial, movement] {
        for untold in ["secret", "Untold", "+77", "Centre hole"] {
            assert!(!page.contains(untold), "{untold}");
        }
    }
}
