#!/usr/bin/env python3
"""How long from saving a log until the browser has the new page: the bench over a journal, spoken to as a browser would.

Usage: saves.py JOURNAL [SAVES] [PAUSE]

Prints the median and the 95th percentile over SAVES (40) of one log each, drawn from all builds, with PAUSE (3)
seconds between them; and how long until all of the site is up to date. Needs the release build; the logs of
JOURNAL grow by a word a save. A save counts until its page was fetched and holds the word.
"""
import http.client, json, os, pathlib, queue, random, re, statistics, subprocess, sys, threading, time

ROOT = pathlib.Path(__file__).resolve().parents[2]
ENDSHAKE = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "release/endshake"


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


def lines_of(child):
    """What the bench prints, each line with the time at which it came."""
    lines = queue.Queue()

    def listen():
        for line in child.stdout:
            lines.put((time.perf_counter(), line))

    threading.Thread(target=listen, daemon=True).start()
    return lines


def wait_for(lines, words):
    while True:
        at, line = lines.get(timeout=600)
        if re.search(words, line):
            return at, line


def measure(journal, saves=40, pause=3.0, program=ENDSHAKE):
    """Seconds from save to page and from save to a whole site, each sorted."""
    logs = sorted(journal.glob("builds/*/2*.md"))
    child = subprocess.Popen([str(program), "bench", str(journal), "--port", "0"], stdout=subprocess.PIPE, text=True)
    try:
        lines = lines_of(child)
        browser = Browser(wait_for(lines, "^open ")[1])
        rng, pages, sites = random.Random(3), [], []
        # The first save begins once the site is written, and is not counted: it says when that is.
        for at in range(saves + 1):
            log, word = rng.choice(logs), f"saved{at}x{os.getpid()}"
            path = f"/builds/{log.parent.name}/{log.stem}.html"
            text = log.read_text() + word + "\n"
            while not lines.empty():
                lines.get()
            begun = time.perf_counter()
            log.write_text(text)
            while word.encode() not in browser.page(path):
                browser.next()
            took = time.perf_counter() - begun
            try:
                whole = wait_for(lines, "files? changed$")[0] - begun
            except queue.Empty:
                raise SystemExit("the site was not brought up to date") from None
            if at:
                pages.append(took)
                sites.append(whole)
            time.sleep(pause)
        return sorted(pages), sorted(sites)
    finally:
        child.terminate()
        child.wait()


def percentile(of, share):
    return of[min(len(of) - 1, int(share * len(of)))]


def main():
    journal = pathlib.Path(sys.argv[1])
    saves = int(sys.argv[2]) if len(sys.argv) > 2 else 40
    pages, sites = measure(journal, saves, float(sys.argv[3]) if len(sys.argv) > 3 else 3.0)
    for name, times in (("page", pages), ("whole site", sites)):
        print(f"from save to {name}: median {statistics.median(times) * 1e3:.0f} ms, 95th percentile {percentile(times, 0.95) * 1e3:.0f} ms, over {len(times)} saves")


if __name__ == "__main__":
    main()
