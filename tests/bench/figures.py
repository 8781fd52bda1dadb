#!/usr/bin/env python3
"""Prints the figures that speed is promised by, measured over made journals, each with its promise beside it.

Usage: figures.py [--before PROGRAM] [FOLDER] [BUILDS...]

FOLDER takes the journals (some GB at 10,000 builds; default: a temporary one), BUILDS are their sizes (100 1000
10000). Needs the release build and the bench `stages`: `cargo build --release && cargo bench --no-run`. Ratios are
medians of runs that alternate with what they are compared to, so that a busy machine is busy for both. --before
takes the program of an earlier commit and prints our figures as shares of its own, from runs that alternate too.
"""
import argparse, glob, os, pathlib, random, re, shutil, statistics, subprocess, sys, tempfile, time

import saves

ROOT = pathlib.Path(__file__).resolve().parents[2]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "release"
ENDSHAKE = TARGET / "endshake"
SAVES, PAIRS, PHOTOS = 40, 5, 10
LOG_CHANGED = {100: "at most 0.3 s", 1000: "at most 1.0 s"}


def row(name, value, limit=""):
    print(f"{name:<64} {value:>12}  {limit}", flush=True)


def run(*arguments, program=ENDSHAKE):
    """Seconds of the wall, seconds of the processors and the most memory, MB."""
    begun = time.perf_counter()
    child = subprocess.Popen([str(program), *map(str, arguments)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode in (0, 1), (arguments, child.returncode)
    return time.perf_counter() - begun, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


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


def median(of):
    return statistics.median(of)


def ratio(ours, theirs):
    return f"{median(a / b for a, b in zip(ours, theirs)):.2f}"


def first_publish(place, program=ENDSHAKE):
    """The first run of `publish`: nothing is written yet, and nothing remembered."""
    shutil.rmtree(place / "site", ignore_errors=True)
    shutil.rmtree(os.environ["XDG_CACHE_HOME"], ignore_errors=True)
    return run("publish", place, program=program)


def publishing(place, builds):
    """Seconds of the first run and of one with nothing changed, and the memory of the first."""
    first, worked, memory = first_publish(place)
    unchanged, bare, touched, changed, processors = [], [], [], [], []
    rng = random.Random(2)
    for at in range(PAIRS):
        # What was saved in this moment is read once more.
        run("publish", place)
        bare.append(read_all(place))
        unchanged.append(run("publish", place)[0])
        # All is read and checked, and no page is other than it was.
        (place / "parts/p00000.yaml").touch()
        touched.append(run("publish", place)[0])
        edit(place, rng.randrange(builds), f"Again {at}.")
        wall, processor, _ = run("publish", place)
        changed.append(wall)
        processors.append(processor)
    row(f"publish, {builds} builds, the first time", f"{first:.2f} s")
    row("  of the processors", f"{worked:.2f} s")
    row("  the most memory of it", f"{memory:.0f} MB")
    row(f"publish, {builds} builds, nothing changed", f"{median(unchanged):.3f} s")
    row("  against find and reading every text file", ratio(unchanged, bare), "at most 10")
    row("  one text touched: all read, no page made again", f"{median(touched):.2f} s")
    row("  one log changed", f"{median(changed):.2f} s", LOG_CHANGED.get(builds, ""))
    row("  one log changed, of the processors", f"{median(processors):.2f} s")
    row("  one log changed, against nothing changed", ratio(changed, unchanged))
    return first, median(unchanged), median(touched), memory


def photos(place, builds):
    if not (place / "site").exists():
        first, _, memory = run("publish", place)
        row(f"publish, {builds} builds with {PHOTOS} photos each, the first time", f"{first:.1f} s, {memory:.0f} MB")
    # Photos that are seconds old are looked at once more.
    time.sleep(3)
    run("publish", place)
    ratios = []
    for _ in range(PAIRS):
        bare = timed("find", place, "-printf", "%s %T@\n")
        ratios.append(run("publish", place)[0] / bare)
    row("  nothing changed, against `find -printf '%s %T@'`", f"{median(ratios):.2f}", "at most 10")


def latency(place, builds):
    pages, sites = saves.measure(place, SAVES)
    for name, times, limits in (("page", pages, ("at most 50 ms", "at most 100 ms")), ("whole site", sites, ("", ""))):
        row(f"save to {name}, {builds} builds, median of {SAVES}", f"{median(times) * 1e3:.0f} ms", limits[0])
        row(f"save to {name}, {builds} builds, 95th percentile", f"{saves.percentile(times, 0.95) * 1e3:.0f} ms", limits[1])


def fit(place, builds):
    """Seconds and memory of `fit`, and its ratio to the bare parser."""
    stages = max(glob.glob(str(TARGET / "deps/stages-*[!.d]")), key=os.path.getmtime)
    told = subprocess.run([stages, str(place), str(PAIRS)], capture_output=True, text=True, check=True).stdout
    row(f"fit, {builds} builds, against serde-saphyr into spans", re.search(r"takes ([\d.]+) times", told).group(1), "at most 3")
    took = [run("fit", "--journal", place) for _ in range(3)]
    row(f"fit, {builds} builds", f"{median(took)[0]:.2f} s")
    wall, _, memory = median(took)
    return wall, memory


def beside(before, place, builds):
    """Our figures as shares of those of an earlier program."""
    both = (ENDSHAKE, before)
    pairs = lambda measured: list(zip(*[[measured(program) for program in both] for _ in range(PAIRS)]))

    def compared(name, measured, limit="at most 1"):
        for what, at in (("", 0), (", of the processors", 1), (", memory", 2)):
            row(f"against the program before: {name}{what}", ratio(*[[one[at] for one in of] for of in measured]), limit)

    def saved(program):
        """Publishes a log that changed over what the same program published."""
        run("publish", place, program=program)
        edit(place, random.randrange(builds), "And again.")
        return run("publish", place, program=program)

    compared(f"fit, {builds} builds", pairs(lambda program: run("fit", "--journal", place, program=program)))
    compared(f"publish, {builds} builds, the first time", pairs(lambda program: first_publish(place, program)))
    compared("one log changed", pairs(saved), "at most 2")
    rounds = [[saves.measure(place, SAVES // 4, program=program) for program in both] for _ in range(4)]
    for name, at in (("page", 0), ("whole site", 1)):
        ours, theirs = ([median(measured[at]) for measured in of] for of in zip(*rounds))
        row(f"against the program before: save to {name}, {builds} builds", ratio(ours, theirs), "at most 1")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", nargs="?", type=pathlib.Path, help="takes the journals")
    parser.add_argument("builds", nargs="*", type=int, default=[100, 1000, 10000], help="sizes of the journals")
    parser.add_argument("--before", type=pathlib.Path, help="the program of an earlier commit")
    arguments = parser.parse_args()
    folder = arguments.folder or pathlib.Path(tempfile.mkdtemp(prefix="endshake-figures-"))
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    costs = {}
    for builds in arguments.builds:
        place = journal(folder, builds)
        costs[builds] = (*fit(place, builds), *publishing(place, builds))
        if builds in (100, 1000):
            latency(place, builds)
            if arguments.before:
                beside(arguments.before.resolve(), place, builds)
        if builds == 1000:
            photos(journal(folder, builds, PHOTOS), builds)
    if 1000 in costs and 10000 in costs:
        names = ("fit", "memory of fit", "the first publish", "nothing changed", "one text touched", "memory of the first publish")
        for name, small, large in zip(names, costs[1000], costs[10000]):
            row(f"cost per build, 10,000 against 1,000: {name}", f"{large / small / 10:.2f}", "at most 1.2")


if __name__ == "__main__":
    main()
