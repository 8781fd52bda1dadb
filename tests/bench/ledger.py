#!/usr/bin/env python3
"""Shows how reading, replay and audit grow with a journal: work by stage and memory at several sizes.

Usage: ledger.py [FOLDER] [--parts 20000] [--entries 50000] [--runs 3]

Makes journals of a quarter, a half and all of these sizes in FOLDER (default: a temporary one) and measures
each with the bench `stages`, which `cargo bench --no-run --bench stages` builds. Invented data for timing
only: watches whose hands and movements go on into the next watch, lots of gaskets that run low, pieces of
lots that become parts of their own, measurements, alterations, years of timing.
"""
import argparse, glob, os, pathlib, random, re, subprocess, sys, tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PARTS_A_BUILD = 8
STAGES = ["read the folder", "journal::read", "the ledger", "the checks", "what else is wrong", "the audit"]


def day(number):
    """A day by its number, 28 to a month, from 2020 on."""
    return f"{2020 + number // 336}-{number // 28 % 12 + 1:02}-{number % 28 + 1:02}"


def make(root, parts, entries):
    rng = random.Random(1)
    size = lambda a, b: round(rng.uniform(a, b), 2)
    builds = parts // PARTS_A_BUILD
    each = entries // builds
    (root / "parts").mkdir(parents=True)
    (root / "journal.yaml").write_text("title: A long life at the bench\ncurrency: EUR\n")
    lots = {"gasket": "back_gasket, section: 0.50", "cgasket": "crystal_gasket, section: 0.60", "crown": "crown, diameter: 6.0"}
    (root / "parts" / "lots.yaml").write_text("".join(
        f"{name}: {{ kind: {kind}, count: {3 * builds}, from: {{ bought: a fair, date: 2020-01-01, price: 90 }} }}\n"
        for name, kind in lots.items()))
    for k in range(builds):
        bought = f"from: {{ bought: a fair, date: 2020-01-01, price: {size(5, 80)} }}"
        (root / "parts" / f"p{k:05}.yaml").write_text(f"""case-{k}: {{ kind: case, diameter: {size(36, 41)}, dial_seat: {size(28.5, 28.8)}, lug_width: 20, shelf: {size(2.2, 2.6)}, {bought} }}
dial-{k}: {{ kind: dial, diameter: {size(28.3, 28.6)}, thickness: 0.40, centre_hole: 2.1, lume: none, {bought} }}
hour-{k}: {{ kind: hand, length: {size(8, 8.9)}, fits: 1.50, {bought} }}
minute-{k}: {{ kind: hand, length: {size(12, 13.3)}, fits: 0.90, {bought} }}
seconds-{k}: {{ kind: hand, length: {size(12, 13.3)}, fits: 0.20, from: {{ donor: donor-{k} }} }}
movement-{k}: {{ kind: movement, calibre: auto-27.4-date, {bought} }}
crystal-{k}: {{ kind: crystal, form: flat, diameter: 30.10, thickness: 2.0, {bought} }}
donor-{k}: {{ kind: watch, holds: [case, hands], {bought} }}
""")
        folder = root / "builds" / f"b{k:05}"
        folder.mkdir(parents=True)
        # Every other watch is taken apart, and its movement and seconds hand go into the next.
        apart, from_last = k % 2 == 0, k - 1 if k % 2 and k else k
        begun = 7 * (k // 20) + (each + 2 if k % 2 else 0)
        state = f"taken apart\nended: {day(begun + each + 1)}" if apart else "finished"
        slots = {"case": f"case-{k}", "dial": f"dial-{k}", "hour": f"hour-{k}", "minute": f"minute-{k}",
                 "seconds": f"seconds-{from_last}", "movement": f"movement-{from_last}", "crystal": f"crystal-{k}",
                 "crown": "crown", "back_gasket": "gasket", "crystal_gasket": "cgasket"}
        (folder / "build.md").write_text(
            f"---\ntitle: Watch {k}\nstate: {state}\nbegun: {day(begun)}\nparts:\n"
            + "".join(f"  {slot}: {part}\n" for slot, part in slots.items()) + "---\nA watch.\n")
        for e in range(each):
            at = day(begun + e)
            if e == 0:
                does = f"fitted: [{', '.join(slots)}]\ntools: [calliper, hand press]\n"
            elif e == 1:
                does = f"altered:\n  - {{ part: dial-{k}, how: turned down, to: {{ diameter: {size(28, 28.2)} ±0.02 }} }}\nspent: 2.50\n"
            elif e == 2:
                does = f"left: [{{ part: gasket, how: used up }}]\nmeasured: {{ hour-{k}: {{ length: {size(8, 8.9)} }} }}\n"
            elif e == 3 and k % 50 == 0:
                does = f"altered:\n  - {{ part: cgasket, as: cgasket-{k}, how: other, to: {{ section: 0.58 }} }}\n"
            elif e % 4 == 0:
                does = f"removed: [dial]\nmeasured:\n  dial: {{ thickness: {size(0.38, 0.42)} }}\nfitted: [dial]\n"
            else:
                does = ("timing:\n" + "".join(
                    f"  - {{ at: {at} 20:{minute:02}, position: {place}, rate: {size(-5, 9):+}, amplitude: {rng.randrange(240, 290)} }}\n"
                    for minute, place in ((0, "CH"), (5, "6H"))))
            (folder / f"{e:03}.md").write_text(f"---\ndate: {at}\ntitle: Day {e}\nminutes: 45\n{does}---\nA day at the bench.\n")


def stages(bench, place, runs):
    """Milliseconds of all processors by stage, and the most memory in MB, of runs of their own process."""
    done = subprocess.run([sys.executable, ROOT / "tests/bench/peak.py", bench, place, str(runs)], capture_output=True, text=True, check=True)
    times = {name: float(ms) for ms, name in re.findall(r"^ *[\d.]+ ms +([\d.]+) ms of processors  (.+)$", done.stdout, re.M)}
    return times, int(re.search(r"peak-kb (\d+)", done.stderr).group(1)) / 1024


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("folder", nargs="?")
    asked.add_argument("--parts", type=int, default=20_000)
    asked.add_argument("--entries", type=int, default=50_000)
    asked.add_argument("--runs", type=int, default=3)
    asked.add_argument("--profile", default="release", help="debug: what `cargo build --bench stages` makes")
    asked = asked.parse_args()
    root = pathlib.Path(asked.folder or tempfile.mkdtemp(prefix="endshake-ledger-"))
    found = [path for path in glob.glob(str(TARGET / asked.profile / "deps/stages-*")) if os.access(path, os.X_OK) and not path.endswith(".d")]
    assert found, "first: cargo bench --no-run --bench stages"
    bench = max(found, key=os.path.getmtime)
    sizes = []
    for share in (4, 2, 1):
        parts, entries = asked.parts // share, asked.entries // share
        place = root / f"j{parts}"
        if not place.exists():
            make(place, parts, entries)
        times, memory = stages(bench, place, asked.runs)
        sizes.append((parts, entries, times, memory))
    print("| | " + " | ".join(f"{parts:,} parts, {entries:,} entries" for parts, entries, *_ in sizes) + " | all : half | half : quarter |")
    print("| --- |" + " ---: |" * (len(sizes) + 2))
    figures = [(f"{name}, ms", [times[name] for _, _, times, _ in sizes]) for name in STAGES]
    ledger = ["read the folder", "journal::read", "the ledger", "the audit"]
    figures.append(("**reading, replay and audit, ms**", [sum(times[name] for name in ledger) for _, _, times, _ in sizes]))
    figures.append(("peak memory of all stages, MB", [memory for *_, memory in sizes]))
    for name, (quarter, half, whole) in figures:
        print(f"| {name} | {quarter:.1f} | {half:.1f} | {whole:.1f} | {whole / half:.2f} | {half / quarter:.2f} |")


if __name__ == "__main__":
    main()
