#!/usr/bin/env python3
"""Prints the figures that speed is promised by, measured over made journals.

Usage: figures.py [FOLDER]

FOLDER takes the journals (some GB at 10,000 builds; default: a temporary one). Needs the release build and
the bench `stages`: `cargo build --release && cargo bench --no-run`. Ratios are medians of runs that alternate
with what they are compared to, so that a busy machine is busy for both.
"""
import glob, http.client, json, os, pathlib, random, re, statistics, subprocess, sys, tempfile, time

ROOT = pathlib.Path(__file__).resolve().parents[2]
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "release"
ENDSHAKE = TARGET / "endshake"
SAVES, PAIRS = 100, 5
rows = []


def row(name, value, limit=""):
    rows.append((name, value, limit))
    print(f"{name:<64} {value:>12}  {limit}", flush=True)


def run(*arguments):
    """Seconds of the wall and the most memory, MB."""
    begun = time.perf_counter()
    child = subprocess.Popen([str(ENDSHAKE), *map(str, arguments)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    assert child.returncode in (0, 1), (arguments, child.returncode)
    return time.perf_counter() - begun, usage.ru_maxrss / 1024


def journal(folder, builds):
    place = folder / f"j{builds}"
    if not place.exists():
        subprocess.run([sys.executable, ROOT / "tests/bench/make_journal.py", place, str(builds)], check=True)
    return place


def read_all(place):
    """What `find` and reading every text file of a journal take."""
    begun = time.perf_counter()
    subprocess.run(
        ["find", str(place), "-name", "site", "-prune", "-o", "-type", "f", "(", "-name", "*.md", "-o", "-name", "*.yaml", ")",
         "-exec", "cat", "{}", "+"], stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - begun


def edit(place, number, text):
    log = place / "builds" / f"b{number:05}" / "2026-01-20-entry.md"
    log.write_text(log.read_text() + text + "\n")
    return log


def publishing(place, builds):
    first, _ = run("publish", place)
    unchanged, memory, bare, changed = [], 0, [], []
    rng = random.Random(2)
    for at in range(PAIRS):
        bare.append(read_all(place))
        took, most = run("publish", place)
        unchanged.append(took)
        memory = max(memory, most)
        edit(place, rng.randrange(builds), f"Again {at}.")
        changed.append(run("publish", place)[0])
    over = statistics.median(u / b for u, b in zip(unchanged, bare))
    more = statistics.median(c / u for c, u in zip(changed, unchanged))
    row(f"publish, {builds} builds, the first time", f"{first:.2f} s")
    row(f"publish, {builds} builds, nothing changed", f"{statistics.median(unchanged):.2f} s")
    row("  against find and reading every text file", f"{over:.1f}", "under 10 at 1,000")
    row("  with one log changed, against nothing changed", f"{more:.2f}", "under 1.5 at 1,000")
    return first, statistics.median(unchanged), memory


class Browser:
    """The two connections of a browser that matter: the event stream and its page."""

    def __init__(self, address):
        self.host = re.search(r"127\.0\.0\.1:\d+", address).group()
        self.stream = http.client.HTTPConnection(self.host)
        self.stream.request("GET", "/.bench/events")
        self.events = self.stream.getresponse()
        self.pages = http.client.HTTPConnection(self.host)
        self.next()

    def next(self):
        while True:
            line = self.events.readline()
            assert line, "the stream has ended"
            if line.startswith(b"data: "):
                return json.loads(line[6:])

    def page(self, path):
        try:
            self.pages.request("GET", path)
            return self.pages.getresponse().read()
        except (http.client.HTTPException, ConnectionError):
            self.pages = http.client.HTTPConnection(self.host)
            return self.page(path)


def latency(place, builds):
    child = subprocess.Popen([str(ENDSHAKE), "bench", str(place), "--port", "0"], stdout=subprocess.PIPE, text=True)
    try:
        address = next(line for line in child.stdout if line.startswith("open "))
        os.set_blocking(child.stdout.fileno(), False)
        browser = Browser(address)
        rng, took = random.Random(3), []
        time.sleep(30)
        for at in range(SAVES):
            number, word = rng.randrange(builds), f"saved{at}x{os.getpid()}"
            begun = time.perf_counter()
            edit(place, number, word)
            while True:
                browser.next()
                if word.encode() in browser.page(f"/builds/b{number:05}/2026-01-20-entry.html"):
                    break
            took.append(time.perf_counter() - begun)
            # The rest of the site follows the page; a person types for longer than that.
            time.sleep(float(os.environ.get("PAUSE", "4")))
            child.stdout.read()
        took.sort()
        row(f"save to page, {builds} builds, median of {SAVES}", f"{statistics.median(took) * 1e3:.0f} ms", "under 100 ms")
        row(f"save to page, {builds} builds, 95th percentile", f"{took[int(0.95 * SAVES)] * 1e3:.0f} ms", "under 250 ms")
    finally:
        child.terminate()
        child.wait()


def main():
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else tempfile.mkdtemp(prefix="endshake-figures-"))
    folder.mkdir(parents=True, exist_ok=True)
    os.environ["XDG_CACHE_HOME"] = str(folder / "cache")
    journals = {builds: journal(folder, builds) for builds in (100, 1000, 10000)}
    stages = max(glob.glob(str(TARGET / "deps/stages-*[!.d]")), key=os.path.getmtime)
    told = subprocess.run([stages, str(journals[1000]), "5"], capture_output=True, text=True, check=True).stdout
    row("fit, 1000 builds, against serde-saphyr into spans", re.search(r"takes ([\d.]+) times", told).group(1), "at most 3")
    small = publishing(journals[1000], 1000)
    publishing(journals[100], 100)
    latency(journals[1000], 1000)
    large = publishing(journals[10000], 10000)
    for name, at, unit in (("the first publish", 0, "ms"), ("publish, nothing changed", 1, "ms"), ("memory of publish", 2, "MB")):
        row(f"cost per build, 10,000 against 1,000: {name}", f"{large[at] / small[at] / 10:.2f}", "at most 1.2")


if __name__ == "__main__":
    main()
