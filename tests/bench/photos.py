#!/usr/bin/env python3
"""Photos beside libvips, in paired runs: CPU time, wall time, peak memory, likeness and size.

`python3 tests/bench/photos.py [--count N] [--rounds N]`

Builds the release program, makes a corpus of camera-like JPEGs (corpus.py; 12, 24 and 108 MP, baseline
and progressive) under target/, and runs on the same photos, one after the other in each round: ours;
libvips as it is fastest, one decode and each size from the one before (vips.py single); and three calls
of `vipsthumbnail` a photo. All write 1600, 800 and 400 px wide JPEGs of quality 80, upright, without
metadata. Times are medians of the rounds, ratios medians of the ratios within a round. SSIM is of the
luma, against a whole decode and Lanczos3. Needs Debian's libvips-tools (installed where it is missing).
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
    asked = arguments.parse_args()
    install()
    program = build()
    corpus = asked.corpus or make(asked.count)
    print(f"{os.cpu_count()} cores, {asked.rounds} rounds, medians; CPU is user + sys a photo")
    print(f"{'photos':22}{'':14}{'CPU ms':>8}{'wall ms':>9}{'peak MB':>9}{'ours is':>9}")
    for folder in sorted(corpus.iterdir(), key=lambda folder: (len(folder.name.split('-')[0]), folder.name)):
        photos = sorted(folder.glob("*.jpg"))
        if not folder.is_dir() or not photos:
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


def three_calls(photos, out):
    """One call of vipsthumbnail a width, over all photos, which it takes one after the other."""
    used = wall = peak = 0.0
    for width in WIDTHS:
        command = ["vipsthumbnail", "--size", f"{width}x10000000", "-o", f"{out}/%s-{width}.jpg[Q=80,strip]",
                   *map(str, photos)]
        one = run(["/usr/bin/env", sys.executable, str(HERE / "peak.py"), *command])
        used, wall, peak = used + one[0], wall + one[1], max(peak, one[2])
    return used, wall, peak, ""


def compare(name, photos, program, rounds):
    """One line each of ours, libvips single and vipsthumbnail."""
    ways = {"ours": [], "libvips single": [], "vipsthumbnail": []}
    table = ""
    for _ in range(rounds):
        for way, seen in ways.items():
            out = HOME / "out" / way.replace(" ", "-")
            shutil.rmtree(out, ignore_errors=True)
            out.mkdir(parents=True)
            if way == "ours":
                seen.append(run([sys.executable, str(HERE / "peak.py"), program, str(out), "-", *map(str, photos)]))
                table = seen[-1][3]
            elif way == "libvips single":
                seen.append(run([sys.executable, str(HERE / "peak.py"), sys.executable, str(HERE / "vips.py"), "single", str(out),
                                 *map(str, photos)]))
            else:
                seen.append(three_calls(photos, out))
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
            height = round(whole.height * width / whole.width)
            ideal = numpy.asarray(whole.resize((width, height), Image.Resampling.LANCZOS))
            pair = []
            for path in [HOME / "out" / "ours" / file,
                         HOME / "out" / "libvips-single" / f"{photo.stem}-{width}.jpg"]:
                picture = numpy.asarray(Image.open(path).convert("L"))
                same = picture.shape == ideal.shape
                pair += [structural_similarity(ideal, picture) if same else float("nan"), path.stat().st_size / 1024]
            seen[width].append(pair)
    for width, pairs in seen.items():
        ours, size, theirs, their_size = numpy.nanmean(numpy.array(pairs), axis=0)
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
