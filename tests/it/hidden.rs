//! What a public site says of builds that are hidden: nothing, and nothing else suffers by it.

use endshake::journal::folder::Folder;

use super::sites::{Look, made};

/// A watch whose dial is too wide, and whose dial and crown two hidden builds have as well.
const SHOWN: [(&str, &str); 3] = [
    ("journal.yaml", "title: Three watches\n"),
    (
        "parts/p.yaml",
        "kase: { kind: case, name: The case, dial_seat: 28.50, opening: 26 }\n\
         amber: { kind: dial, name: Amber, diameter: 28.90, lume: none }\n\
         knob: { kind: crown, name: Knob, diameter: 6 }\n",
    ),
    (
        "builds/lantern/build.md",
        "---\ntitle: Lantern\nstate: finished\nbegun: 2026-01-05\nparts: { case: kase, dial: amber, crown: knob }\n---\n",
    ),
];

/// The site's texts by path, with hidden builds of these slugs and titles.
fn site(hidden: [&str; 2], look: &Look) -> Vec<(String, String)> {
    let mut texts = SHOWN.map(|(path, text)| (path.to_owned(), text.to_owned())).to_vec();
    for (name, parts) in hidden.into_iter().zip(["{ dial: amber }", "{ crown: knob }"]) {
        let text = format!(
            "---\ntitle: {name}\nstate: finished\nbegun: 2026-01-02\nhidden: true\nparts: {parts}\n---\n"
        );
        texts.push((format!("builds/{name}/build.md"), text));
    }
    texts.sort();
    let builds = [hidden[0], hidden[1], "lantern"].map(str::to_owned).to_vec();
    let made = made(Folder { texts, builds, ..Folder::default() }, look);
    made.files.into_iter().collect()
}

/// Words of everyday use as names: a finding that has them for other reasons stays as it is.
#[test]
fn hidden_builds_with_everyday_names_leave_findings_alone() {
    let (everyday, rare) =
        (site(["dial", "the"], &Look::default()), site(["quarry", "osprey"], &Look::default()));
    assert_eq!(everyday, rare);
    for (path, text) in &rare {
        let low = text.to_lowercase();
        assert!(!low.contains("quarry") && !low.contains("osprey"), "{path} names a hidden build");
    }
    let (_, page) = everyday.iter().find(|(path, _)| path == "builds/lantern.html").unwrap();
    assert!(page.contains("amber is in a build that is not shown as well, since 2026-01-02"));
    assert!(page.contains("knob is in a build that is not shown as well, since 2026-01-02"));
    assert!(page.contains("Turn the dial down by"), "the advice keeps its words");
}

/// The person's own site names them.
#[test]
fn a_private_site_names_hidden_builds() {
    let all = site(["quarry", "osprey"], &Look { private: true, ..Look::default() });
    let (_, page) = all.iter().find(|(path, _)| path == "builds/lantern.html").unwrap();
    assert!(page.contains("amber is in quarry as well, since 2026-01-02"));
}
