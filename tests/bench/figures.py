#!/usr/bin/env python3
"""Prints the figures that speed is promised by, measured over made journals.

Usage: figures.py [FOLDER] [BUILDS...]

FOLDER takes the journals (some GB at 10,000 builds; default: a temporary one), BUILDS are their sizes (100 1000
10000). Needs the release build and the bench `stages`: `cargo build --release && cargo bench --no-run`. Ratios are
medians of runs that alternate with what they are compared to, so that a busy machine is busy for both.
"""
import glob, os, pathlib, random, re, shutil, statistics, subprocess, sys, tempfile, time

import saves

ROOT = pathlib.Path(__file__).resolve().parents[2]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "release"
ENDSHAKE = TARGET / "endshake"
SAVES, PAIRS, PHOTOS = 40, 5, 10


def row(name, value, limit=""):
    print(f"{name:<64} {value:>12}  {limit}", flush=True)


def run(*arguments):
    """Seconds of the wall and the most memory, MB."""
    begun = time.perf_counter()
    child = subprocess.Popen([str(ENDSHAKE), *map(str, arguments)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode in (0, 1), (arguments, child.returncode)
    return time.perf_counter() - begun, usage.ru_maxrss / 1024


def journal(folder, builds, photos=0):
    place = folder / (f"j{builds}" + (f"p{photos}" if photos else ""))
    if not place.exists():
        made = place.with_suffix(".part")
        shutil.rmtree(made, ignore_errors=True)
        subprocess.run([sys.executable, ROOT / "tests/bench/make_journal.py", made, str(builds), str(photos)], check=True)
        made.rename(place)
    return place


def timed(*command):
    begun = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def read_all(place):
    """What `find` and reading every text file of a journal take."""
    texts = ["(", "-name", "*.md", "-o", "-name", "*.yaml", ")"]
    return timed("find", place, "-name", "site", "-prune", "-o", "-type", "f", *texts, "-exec", "cat", "{}", "+")


def edit(place, number, text):
    log = place / "builds" / f"b{number:05}" / "2026-01-20-entry.md"
    log.write_text(log.read_text() + text + "\n")


def publishing(place, builds):
    """Seconds of the first run and of one with nothing changed, and the memory of the first."""
    shutil.rmtree(place / "site", ignore_errors=True)
    first, memory = run("publish", place)
    unchanged, whole, bare, changed = [], [], [], []
    rng = random.Random(2)
    for at in range(PAIRS):
        # What was saved in this moment is read once more.
        run("publish", place)
        bare.append(read_all(place))
        unchanged.append(run("publish", place)[0])
        # All is read and checked, and no page is other than it was.
        (place / "parts/p00000.yaml").touch()
        whole.append(run("publish", place)[0])
        edit(place, rng.randrange(builds), f"Again {at}.")
        changed.append(run("publish", place)[0])
    median = statistics.median
    ratio = lambda one, other: f"{median(a / b for a, b in zip(one, other)):.2f}"
    row(f"publish, {builds} builds, the first time", f"{first:.2f} s")
    row("  the most memory of it", f"{memory:.0f} MB")
    row(f"publish, {builds} builds, nothing changed", f"{median(unchanged):.3f} s")
    row("  against find and reading every text file", ratio(unchanged, bare), "under 10 at 1,000")
    row("  one text touched: all read, no page made again", f"{median(whole):.2f} s")
    row("  the same against find and reading every text file", ratio(whole, bare))
    row("  one log changed", f"{median(changed):.2f} s")
    row("  one log changed, against one text touched", ratio(changed, whole), "under 1.5 at 1,000")
    row("  one log changed, against nothing changed", ratio(changed, unchanged))
    return first, median(unchanged), median(whole), memory


def photos(place, builds):
    if not (place / "site").exists():
        first, memory = run("publish", place)
        row(f"publish, {builds} builds with {PHOTOS} photos each, the first time", f"{first:.1f} s, {memory:.0f} MB")
    # Photos that are seconds old are looked at once more.
    time.sleep(3)
    run("publish", place)
    ratios = []
    for _ in range(PAIRS):
        bare = timed("find", place, "-printf", "%s %T@\n")
        ratios.append(run("publish", place)[0] / bare)
    row("  nothing changed, against `find -printf '%s %T@'`", f"{statistics.median(ratios):.2f}", "at most 10")


def latency(place, builds):
    pages, sites = saves.measure(place, SAVES)
    for name, times, limits in (("page", pages, ("under 100 ms", "under 250 ms")), ("whole site", sites, ("", ""))):
        row(f"save to {name}, {builds} builds, median of {SAVES}", f"{statistics.median(times) * 1e3:.0f} ms", limits[0])
        row(f"save to {name}, {builds} builds, 95th percentile", f"{saves.percentile(times, 0.95) * 1e3:.0f} ms", limits[1])


def fit(place, builds):
    """Seconds and memory of `fit`, and its ratio to the bare parser."""
    stages = max(glob.glob(str(TARGET / "deps/stages-*[!.d]")), key=os.path.getmtime)
    told = subprocess.run([stages, str(place), str(PAIRS)], capture_output=True, text=True, check=True).stdout
    row(f"fit, {builds} builds, against serde-saphyr into spans", re.search(r"takes ([\d.]+) times", told).group(1), "at most 3 at 1,000")
    took = [run("fit", "--journal", place) for _ in range(3)]
    row(f"fit, {builds} builds", f"{statistics.median(took)[0]:.2f} s")
    return statistics.median(took)


def main():
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp(prefix="endshake-figures-"))
    sizes = [int(size) for size in sys.argv[2:]] or [100, 1000, 10000]
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    costs = {}
    for builds in sizes:
        place = journal(folder, builds)
        costs[builds] = (*fit(place, builds), *publishing(place, builds))
        if builds == 1000:
            latency(place, builds)
            photos(journal(folder, builds, PHOTOS), builds)
    if 1000 in costs and 10000 in costs:
        names = ("fit", "memory of fit", "the first publish", "nothing changed", "one text touched", "memory of the first publish")
        for name, small, large in zip(names, costs[1000], costs[10000]):
            row(f"cost per build, 10,000 against 1,000: {name}", f"{large / small / 10:.2f}", "at most 1.2")


if __name__ == "__main__":
    main()
