#!/usr/bin/env python3
"""The reference to be measured beside: libvips making 1600, 800 and 400 px wide JPEGs (quality 80, no metadata, upright).

mode single: one decode, each size from the one before (the fastest way found); mode three: one thumbnail call a size.
Usage: VIPS_CONCURRENCY=1 vips.py single|three OUTDIR PHOTO...      Needs: pip install "pyvips[binary]"
"""
import os, resource, sys, time
from concurrent.futures import ThreadPoolExecutor

os.environ.setdefault("VIPS_CONCURRENCY", "1")
import pyvips

pyvips.cache_set_max(0)
KEEP = dict(Q=80, keep="none") if pyvips.at_least_libvips(8, 15) else dict(Q=80, strip=True)
TALL = 10_000_000

def single(path, out):
    name = os.path.basename(path).rsplit(".", 1)[0]
    large = pyvips.Image.thumbnail(path, 1600, height=TALL).copy_memory()
    large.jpegsave(f"{out}/{name}-1600.jpg", **KEEP)
    middle = large.thumbnail_image(800, height=TALL).copy_memory()
    middle.jpegsave(f"{out}/{name}-800.jpg", **KEEP)
    middle.thumbnail_image(400, height=TALL).jpegsave(f"{out}/{name}-400.jpg", **KEEP)

def three(path, out):
    name = os.path.basename(path).rsplit(".", 1)[0]
    for width in (1600, 800, 400):
        pyvips.Image.thumbnail(path, width, height=TALL).jpegsave(f"{out}/{name}-{width}.jpg", **KEEP)

mode, out, photos = {"single": single, "three": three}[sys.argv[1]], sys.argv[2], sys.argv[3:]
os.makedirs(out, exist_ok=True)
begun = time.time()
with ThreadPoolExecutor(os.cpu_count()) as pool:
    list(pool.map(lambda p: mode(p, out), photos))
wall, used = time.time() - begun, resource.getrusage(resource.RUSAGE_SELF)
print(f"libvips {pyvips.version(0)}.{pyvips.version(1)} {sys.argv[1]}: {1e3 * (used.ru_utime + used.ru_stime) / max(1, len(photos)):.1f} ms CPU a photo, "
      f"{len(photos) / wall:.2f} photos/s, peak {used.ru_maxrss // 1024} MB")
