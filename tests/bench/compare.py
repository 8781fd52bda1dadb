#!/usr/bin/env python3
"""Compares two builds of the program: for changes that must leave the output alone.

Usage: compare.py OLD NEW [--damaged N] [--builds N] [--keep FOLDER] [--seed N]

Both programs run over the example, a made journal and copies of the example with random faults: `fit` as text, JSON
and SARIF, `audit`, `wanted`, `caption`, and a whole site published with nothing cached. What they print, their exit
statuses and every file of the sites must be the same, byte for byte. Each difference is printed with its first
differing line; the exit status is 1 where there is one. --keep keeps the journals and OLD's answers for the next run.
"""
import argparse, hashlib, os, pathlib, random, re, shutil, subprocess, sys, tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
SHOWN = 60


def lines_of(file):
    return file.read_bytes().split(b"\n")


def delete_lines(rng, file):
    lines = lines_of(file)
    at = rng.randrange(len(lines))
    file.write_bytes(b"\n".join(lines[:at] + lines[at + rng.randint(1, 3):]))


def repeat_line(rng, file):
    lines = lines_of(file)
    at = rng.randrange(len(lines))
    file.write_bytes(b"\n".join(lines[:at] + [lines[at]] + lines[at:]))


def swap_lines(rng, file):
    lines = lines_of(file)
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    file.write_bytes(b"\n".join(lines))


def bad_yaml(rng, file):
    lines = lines_of(file)
    at = rng.randrange(min(len(lines), 12))
    lines.insert(at, rng.choice([b"\tbad: [", b"  - :: {", b"diameter: *nowhere", b"'open", b"dail: x", b"\xff\xfe: 1"]))
    file.write_bytes(b"\n".join(lines))


def cut_short(rng, file):
    text = file.read_bytes()
    file.write_bytes(text[: rng.randrange(len(text) + 1)])


def other_number(rng, file):
    text = file.read_bytes()
    numbers = list(re.finditer(rb"\d+(\.\d+)?", text))
    if numbers:
        at = rng.choice(numbers)
        size = rng.choice([b"0", b"-1", b"1e9", b"40.00", b"x", b"2.5 \xc2\xb10.3", b"99999999999999999999", b"%.2f" % (float(at[0]) * 1.1)])
        file.write_bytes(text[: at.start()] + size + text[at.end():])


def other_word(rng, file):
    text = file.read_bytes()
    words = list(re.finditer(rb"[a-z_]{3,}", text))
    if words:
        at, other = rng.choice(words), rng.choice(words)
        file.write_bytes(text[: at.start()] + other[0] + text[at.end():])


def remove(_, file):
    file.unlink()


FAULTS = [delete_lines, delete_lines, repeat_line, swap_lines, bad_yaml, cut_short, other_number, other_number, other_word, remove]


def damaged(place, seed, photos):
    """The example with one to six faults; photos make the run long, so that most go without."""
    shutil.copytree(ROOT / "content-example", place)
    rng = random.Random(seed)
    if not photos:
        for photo in place.rglob("*.jpg"):
            photo.unlink()
    for _ in range(rng.randint(1, 6)):
        files = sorted(file for file in place.rglob("*") if file.suffix in (".md", ".yaml", *([".jpg"] if photos else [])))
        file = rng.choice(files)
        rng.choice([cut_short, remove] if file.suffix == ".jpg" else FAULTS)(rng, file)


def settle(part, place):
    """Names what is whole now; another run may have been quicker."""
    try:
        part.rename(place)
    except OSError:
        shutil.rmtree(part)


def journals(folder, arguments):
    """The journals by name, made where they are not there yet."""
    wanted = {"example": lambda place: shutil.copytree(ROOT / "content-example", place)}
    make = [sys.executable, ROOT / "tests/bench/make_journal.py"]
    wanted[f"made-{arguments.builds}"] = lambda place: subprocess.run([*make, place, str(arguments.builds)], check=True)
    for at in range(arguments.damaged):
        seed = arguments.seed + at
        wanted[f"damaged-{seed}"] = lambda place, seed=seed, photos=at % 10 == 0: damaged(place, seed, photos)
    for name, write in wanted.items():
        place = folder / name
        if not place.exists():
            part = folder / f"{name}.{os.getpid()}"
            write(part)
            settle(part, place)
    return list(wanted)


def commands(journal):
    builds = sorted(build.name for build in (journal / "builds").iterdir() if build.is_dir())
    for form in ("text", "json", "sarif"):
        yield f"fit-{form}", ["fit", "--journal", "journal", "--format", form]
    yield "fit-full", ["fit", "--journal", "journal", "--full"]
    yield "audit", ["audit", "--journal", "journal"]
    for build in (builds[0], builds[-1]):
        yield f"wanted-{build}", ["wanted", "--journal", "journal", build]
    yield "caption", ["caption", "--journal", "journal", builds[0]]
    yield "publish", ["publish", "journal", "--to", "site"]


def answer(program, journal, answers):
    """All that the program says of a journal, as files in `answers`."""
    with tempfile.TemporaryDirectory(prefix="endshake-compare-") as folder:
        room = pathlib.Path(folder)
        shutil.copytree(journal, room / "journal")
        environment = {name: value for name, value in os.environ.items() if name not in ("XDG_CACHE_HOME", "NO_COLOR")}
        for name, command in commands(journal):
            home = room / f"home-{name}"
            home.mkdir()
            environment["HOME"] = str(home)
            ran = subprocess.run([program, *command], cwd=room, env=environment, capture_output=True, timeout=600)
            report = b"%s\n-- on the error stream, and status %d\n%s" % (ran.stdout, ran.returncode, ran.stderr)
            (answers / name).write_bytes(report.replace(str(room).encode(), b"ROOM"))
        if (room / "site").exists():
            shutil.move(room / "site", answers / "site")


def answers_of(program, folder, names, journals_at):
    """The answers by journal; those that an earlier run kept are taken as they are."""
    place = folder / hashlib.blake2b(program.read_bytes(), digest_size=8).hexdigest()
    place.mkdir(parents=True, exist_ok=True)
    for name in names:
        if not (place / name).exists():
            part = place / f"{name}.{os.getpid()}"
            part.mkdir()
            answer(program, journals_at / name, part)
            settle(part, place / name)
    return place


def first_difference(old, new):
    for at, (one, other) in enumerate(zip(old.split(b"\n"), new.split(b"\n")), 1):
        if one != other:
            # Of long lines, what stands around the first differing byte.
            apart = next((k for k, (a, b) in enumerate(zip(one, other)) if a != b), min(len(one), len(other)))
            part = slice(max(apart - 40, 0), apart + 100)
            return f"    line {at}, byte {apart}\n    old {one[part].decode(errors='replace')}\n    new {other[part].decode(errors='replace')}"
    return f"    one ends where the other goes on ({len(old)} and {len(new)} bytes)"


def differences(old, new):
    files = lambda place: {file.relative_to(place) for file in place.rglob("*") if file.is_file()}
    ours, theirs = files(old), files(new)
    for file in sorted(ours | theirs):
        if file not in theirs:
            yield file, "    old alone has it"
        elif file not in ours:
            yield file, "    new alone has it"
        elif (old / file).read_bytes() != (new / file).read_bytes():
            yield file, first_difference((old / file).read_bytes(), (new / file).read_bytes())


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("old", type=pathlib.Path)
    parser.add_argument("new", type=pathlib.Path)
    parser.add_argument("--damaged", type=int, default=30, help="copies of the example with faults")
    parser.add_argument("--builds", type=int, default=100, help="builds of the made journal")
    parser.add_argument("--seed", type=int, default=1, help="of the first copy with faults")
    parser.add_argument("--keep", type=pathlib.Path, help="where journals and OLD's answers stay for the next run")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="endshake-compare-") as scratch:
        kept = arguments.keep or pathlib.Path(scratch)
        (kept / "journals").mkdir(parents=True, exist_ok=True)
        names = journals(kept / "journals", arguments)
        old_answers = answers_of(arguments.old.resolve(), kept / "answers", names, kept / "journals")
        files, apart = 0, []
        for name in names:
            new_answers = answers_of(arguments.new.resolve(), pathlib.Path(scratch) / "new", [name], kept / "journals")
            files += sum(file.is_file() for file in (new_answers / name).rglob("*"))
            for file, how in differences(old_answers / name, new_answers / name):
                apart.append((name, file))
                if len(apart) <= SHOWN:
                    print(f"{name}: {file}\n{how}", flush=True)
            shutil.rmtree(new_answers / name)
        if len(apart) > SHOWN:
            print(f"and {len(apart) - SHOWN} more")
        print(f"{len(names)} journals, {files} files: {len(apart)} differ, in {len({name for name, _ in apart})} journals")
    return 1 if apart else 0


if __name__ == "__main__":
    sys.exit(main())
