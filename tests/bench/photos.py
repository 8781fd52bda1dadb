#!/usr/bin/env python3
"""Photos beside libvips, in paired runs: CPU time, wall time, peak memory, likeness and size.

`python3 tests/bench/photos.py [--count N] [--rounds N] [--only mp12]...`

Builds the release program, makes a corpus of camera-like JPEGs (corpus.py; 12, 24 and 108 MP, baseline
and progressive) under target/, and runs on the same photos, one after the other in each round: ours;
libvips as it is fastest, one decode and each size from the one before (vips.py single); and three calls
of `vipsthumbnail` a photo. All write 1600, 800 and 400 px wide JPEGs of quality 80, upright, without
metadata. What each way takes to start, without a photo, is measured in each round and taken off its CPU
time. Times are medians of the rounds, ratios medians of the ratios within a round. SSIM is of the luma,
against a whole decode and Lanczos3. Needs Debian's libvips-tools (installed where it is missing).
"""

import argparse
import os
import resource
import shutil
import statistics
import subprocess
import sys
import time
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
HOME = TARGET / "bench-photos"
NEEDS = ["pillow==13.0.0", "numpy==2.4.6", "piexif==1.1.3", "pyvips==3.2.0", "pyvips-binary==8.18.7",
         "scikit-image==0.26.0"]
WIDTHS = [1600, 800, 400]


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--count", type=int, default=8, help="photos of 12 MP; a quarter of it of 24, one of 108")
    arguments.add_argument("--rounds", type=int, default=5)
    arguments.add_argument("--corpus", type=Path, help="photos made earlier: a folder with mp12, mp24, mp108")
    arguments.add_argument("--only", action="append", default=[], help="a folder of the corpus, as mp24 or progressive-mp108")
    arguments.add_argument("--program", help="the program that derives, where it was built before")
    asked = arguments.parse_args()
    install()
    program = asked.program or build()
    corpus = asked.corpus or make(asked.count)
    print(f"{os.cpu_count()} cores, {asked.rounds} rounds, medians; CPU is user + sys a photo")
    print(f"{'photos':22}{'':14}{'CPU ms':>8}{'wall ms':>9}{'peak MB':>9}{'ours is':>9}")
    for folder in sorted(corpus.iterdir(), key=lambda folder: (len(folder.name.split('-')[0]), folder.name)):
        photos = sorted(folder.glob("*.jpg"))
        if not folder.is_dir() or not photos or asked.only and folder.name not in asked.only:
            continue
        if folder.name == "mp12":
            photos = photos[:asked.count]
        compare(folder.name, photos, program, asked.rounds)
    return 0


def install():
    """The reference, where it is missing."""
    if shutil.which("vipsthumbnail"):
        return
    as_root = [] if os.getuid() == 0 else ["sudo"]
    subprocess.run([*as_root, "apt-get", "update", "-qq"], check=True)
    subprocess.run([*as_root, "apt-get", "install", "-y", "-qq", "--no-install-recommends", "libvips-tools"], check=True)


def build():
    """The program that derives the photos on its command line, as a release."""
    command = ["cargo", "build", "--release", "--bench", "photos", "--message-format=json", "--manifest-path",
               str(ROOT / "Cargo.toml")]
    told = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    import json
    for line in told.splitlines():
        said = json.loads(line)
        if said.get("target", {}).get("name") == "photos" and said.get("executable"):
            return said["executable"]
    sys.exit("cargo names no program")


def make(count):
    """The corpus, made once."""
    corpus = HOME / f"corpus-{count}"
    if not (corpus / "MANIFEST.tsv").is_file():
        subprocess.run([sys.executable, HERE / "corpus.py", HOME / "sources", corpus, str(count)], check=True)
    return corpus


def run(command):
    """CPU and wall seconds, and the most memory in MB, of one process and its children."""
    environment = {**os.environ, "VIPS_CONCURRENCY": "1"}
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment)
    out, err = child.communicate()
    wall, after = time.monotonic() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    if child.returncode != 0:
        sys.exit(f"{command[0]}: {err.decode()[:2000]}")
    # vips.py and `photos` tell their own peak; of the children of a whole run only the largest is known.
    peak = [int(line.split()[1]) for line in err.decode().splitlines() if line.startswith("peak-kb ")]
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return used, wall, (peak[0] if peak else 0) / 1024, out.decode()


def commands(way, program, out):
    """What a way runs, one after the other, each with the photos behind it; and what tells its start alone."""
    if way == "ours":
        return [[program, str(out), "-"]], [program, str(out), "-"]
    if way == "libvips single":
        command = [sys.executable, str(HERE / "vips.py"), "single", str(out)]
        return [command], command
    sizes = [["--size", f"{width}x10000000", "-o", f"{out}/%s-{width}.jpg[Q=80,strip]"] for width in WIDTHS]
    # One call a width, over all photos, which it takes one after the other.
    return [["vipsthumbnail", *size] for size in sizes], ["vipsthumbnail", "--vips-version"]


def measure(way, photos, program):
    """CPU seconds without those of the start, wall seconds, the most memory in MB, and what was printed."""
    out = HOME / "out" / way.replace(" ", "-")
    shutil.rmtree(out, ignore_errors=True)
    out.mkdir(parents=True)
    asked, start = commands(way, program, out)
    peak = [sys.executable, str(HERE / "peak.py")]
    start = run([*peak, *start])[0]
    seen = [run([*peak, *command, *map(str, photos)]) for command in asked]
    used = sum(one[0] - start for one in seen)
    return used, sum(one[1] for one in seen), max(one[2] for one in seen), "".join(one[3] for one in seen)


def compare(name, photos, program, rounds):
    """One line each of ours, libvips single and vipsthumbnail."""
    ways = {"ours": [], "libvips single": [], "vipsthumbnail": []}
    for _ in range(rounds):
        for way, seen in ways.items():
            seen.append(measure(way, photos, program))
    table = ways["ours"][-1][3]
    for way, seen in ways.items():
        used, wall, peak = (statistics.median(one[part] for one in seen) for part in range(3))
        ratio = statistics.median(ours[0] / one[0] for ours, one in zip(ways["ours"], seen))
        shown = "" if way == "ours" else f"{ratio:9.2f}"
        print(f"{name + ', ' + str(len(photos)) if way == 'ours' else '':22}{way:14}{1e3 * used / len(photos):8.1f}"
              f"{1e3 * wall / len(photos):9.1f}{peak:9.0f}{shown}", flush=True)
    likeness(table, photos[:4])


def likeness(table, photos):
    """Mean SSIM and size of ours and of libvips single, by width."""
    import numpy
    from PIL import Image, ImageOps
    from skimage.metrics import structural_similarity

    Image.MAX_IMAGE_PIXELS = None
    seen = {width: [] for width in WIDTHS}
    for photo in photos:
        whole = ImageOps.exif_transpose(Image.open(photo)).convert("L")
        for line in table.splitlines():
            source, width, file = line.split("\t")
            if source != str(photo):
                continue
            width = int(width)
            pair = []
            for path in [HOME / "out" / "ours" / file,
                         HOME / "out" / "libvips-single" / f"{photo.stem}-{width}.jpg"]:
                picture = Image.open(path).convert("L")
                # A height that lies half-way is rounded up by one and down by the other.
                ideal = whole.resize(picture.size, Image.Resampling.LANCZOS)
                likeness = structural_similarity(numpy.asarray(ideal), numpy.asarray(picture))
                pair += [likeness, path.stat().st_size / 1024]
            seen[width].append(pair)
    for width, pairs in seen.items():
        ours, size, theirs, their_size = numpy.mean(numpy.array(pairs), axis=0)
        print(f"{'':22}{width} px: SSIM {ours:.3f} and {theirs:.3f}, {size:.0f} and {their_size:.0f} KB (libvips single)")


def at_home():
    """Runs in an environment of its own, which it makes when it is not there or not whole."""
    place = HOME / "venv"
    python, stamp = place / "bin" / "python", place / "needs.txt"
    if Path(sys.prefix).resolve() == place.resolve():
        return
    if not stamp.is_file() or stamp.read_text() != "\n".join(NEEDS):
        shutil.rmtree(place, ignore_errors=True)
        venv.create(place, with_pip=True)
        subprocess.run([python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *NEEDS], check=True)
        stamp.write_text("\n".join(NEEDS))
    os.execv(python, [str(python), str(Path(__file__).resolve()), *sys.argv[1:]])


if __name__ == "__main__":
    at_home()
    sys.exit(main())
