//! What lies in a journal's folders and is no plain file: links, pipes, sockets, devices.

#![cfg(unix)]

use std::fs;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;
use std::path::Path;
use std::process::Command;

use super::{Row, hold_all, write};

fn bad(journal: &Path) {
    write(journal, "builds/bad/build.md", "---\ntitle: Bad\nstate: planned\n---\nStory.\n");
}

/// A folder outside the journal, with what is nobody's business.
fn secrets(journal: &Path) -> std::path::PathBuf {
    let secrets = journal.parent().unwrap().join("secrets");
    write(&secrets, "watch/build.md", "---\ntitle: A secret watch\nstate: planned\n---\nSecret.\n");
    write(&secrets, "secret.yaml", "secret-strap: { kind: strap, width: 20 }\n");
    write(&secrets, "secret.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
    secrets
}

fn pipe(place: &Path) {
    assert!(Command::new("mkfifo").arg(place).status().unwrap().success());
}

const LINK: &str = "is a link, which is not followed";

pub(super) fn rows() -> Vec<Row> {
    vec![
        Row::told(
            "a loop of links",
            |j| {
                bad(j);
                symlink("..", j.join("builds/bad/again")).unwrap();
                symlink("loop", j.join("builds/bad/loop")).unwrap();
                symlink("loop.md", j.join("builds/bad/loop.md")).unwrap();
            },
            &["builds/bad/loop.md: warning: ", LINK],
        ),
        Row::told(
            "a text that is a link out of the journal",
            |j| {
                bad(j);
                symlink("/etc/passwd", j.join("builds/bad/day.md")).unwrap();
                symlink("/dev/zero", j.join("parts/zero.yaml")).unwrap();
            },
            &["builds/bad/day.md: warning: ", LINK],
        ),
        Row::told(
            "a build that is a link out of the journal",
            |j| symlink(secrets(j).join("watch"), j.join("builds/secret")).unwrap(),
            &["builds/secret: warning: ", LINK],
        ),
        Row::told(
            "parts/ as a link out of the journal",
            |j| {
                let secrets = secrets(j);
                write(j, "builds/good/build.md", fs::read_to_string(j.join("builds/good/build.md")).unwrap());
                symlink(secrets, j.join("calibres")).unwrap();
            },
            &["calibres: warning: ", LINK],
        ),
        Row::told(
            "photos that are links out of the journal",
            |j| {
                bad(j);
                symlink("/dev/zero", j.join("builds/bad/zero.jpg")).unwrap();
                symlink("../../../secrets", j.join("builds/bad/more")).unwrap();
            },
            &["builds/bad/zero.jpg: warning: ", LINK],
        ),
        Row::bad(
            "a theme that is a link out of the journal",
            |j| {
                let secrets = secrets(j);
                fs::create_dir(j.join("themes")).unwrap();
                symlink(secrets, j.join("themes/mine")).unwrap();
                write(j, "journal.yaml", "title: Hostile\ntheme: mine\n");
            },
            &["themes/mine", LINK],
        ),
        Row::bad(
            "themes/ as a link out of the journal",
            |j| {
                let secrets = secrets(j);
                symlink(secrets, j.join("themes")).unwrap();
                write(j, "journal.yaml", "title: Hostile\ntheme: watch\n");
            },
            &["themes", LINK],
        ),
        Row::refused(
            "a journal.yaml that is a link out of the journal",
            |j| {
                fs::remove_file(j.join("journal.yaml")).unwrap();
                symlink(secrets(j).join("secret.yaml"), j.join("journal.yaml")).unwrap();
            },
            &["journal.yaml", LINK],
        ),
        Row::refused(
            "a journal.yaml that is a pipe",
            |j| {
                fs::remove_file(j.join("journal.yaml")).unwrap();
                pipe(&j.join("journal.yaml"));
            },
            &["it has no journal.yaml"],
        ),
        Row::bad(
            "pipes for texts",
            |j| {
                bad(j);
                pipe(&j.join("builds/bad/day.md"));
                pipe(&j.join("parts/pipe.yaml"));
            },
            &["builds/bad/day.md: error: is no plain file and was not read"],
        ),
        Row::bad(
            "a pipe for a photo",
            |j| {
                bad(j);
                pipe(&j.join("builds/bad/pipe.jpg"));
            },
            &["builds/bad/pipe.jpg: error: is no plain file and was not read"],
        ),
        Row::bad(
            "a socket",
            |j| {
                bad(j);
                UnixListener::bind(j.join("builds/bad/day.md")).unwrap();
            },
            &["builds/bad/day.md: error: is no plain file and was not read"],
        ),
        Row::bad(
            "a pipe for a build",
            |j| pipe(&j.join("builds/pipe")),
            &["builds/pipe: error: is no plain file and was not read"],
        ),
        Row::bad(
            "parts/ as a file",
            |j| {
                write(j, "calibres", "no folder");
            },
            &["calibres: error: is a file and not a folder"],
        ),
        Row::fine("200 folders in each other", |j| {
            bad(j);
            fs::create_dir_all(j.join("builds/bad").join("folder-in-folder/".repeat(200))).unwrap();
        }),
        Row::fine("files that editors and systems leave", |j| {
            bad(j);
            for name in
                [".day.md.swp", "day.md~", "#day.md#", ".DS_Store", "Thumbs.db", ".git/config", "notes.txt"]
            {
                write(j, &format!("builds/bad/{name}"), b"\0\xff not a text");
            }
        }),
        Row::told(
            "a folder of a build that has none",
            |j| fs::create_dir_all(j.join("builds/.empty")).unwrap(),
            &[],
        ),
        Row::bad(
            "an empty folder in builds/",
            |j| fs::create_dir_all(j.join("builds/empty")).unwrap(),
            &["builds/empty: error: this folder has no build.md"],
        ),
    ]
}

#[test]
fn folders() {
    hold_all(&rows());
}
