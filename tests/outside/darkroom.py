"""Makes photos that say more than they should: place, serial numbers, thumbnails, notes, profiles.

Every piece of metadata carries SECRET, so that a scan of raw bytes finds what a reader overlooks.
"""

import io
import math
import struct
import zlib

from PIL import Image

SECRET = b"SECRET-7391"
MAKER_NOTE = SECRET + b"-note" + bytes(range(256)) * 4
FILM = b"\0\0\0\x18ftypmp42" + SECRET + b"-film" + b"\0" * 64
XMP = (
    b"<?xpacket begin='' id='W5M0MpCehiHzreSzNTczkc9d'?><x:xmpmeta xmlns:x='adobe:ns:meta/'>"
    b"<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'><rdf:Description rdf:about='' "
    b"xmlns:dc='http://purl.org/dc/elements/1.1/' dc:source='" + SECRET + b"-xmp'/></rdf:RDF></x:xmpmeta>"
    b"<?xpacket end='w'?>"
)


def scene(width, height):
    """A picture in which every place looks different, without edges that a codec would blur."""
    def channel(across, down, turn):
        rows = []
        for y in range(height):
            rows.append(bytes(
                int(128 + 55 * math.sin(6.3 * (across * x / width + down * y / height) + turn)
                    + 60 * (x / width - 0.5) * turn) & 255
                for x in range(width)))
        return Image.frombytes("L", (width, height), b"".join(rows))

    return Image.merge("RGB", [channel(1.0, 0.6, 0.3), channel(0.4, -0.9, 1.0), channel(-0.7, 0.3, -0.8)])


def thumbnail():
    """A small JPEG that says so."""
    out = io.BytesIO()
    Image.new("RGB", (32, 24), (90, 120, 60)).save(out, "JPEG", comment=SECRET + b"-thumbnail")
    return out.getvalue()


def exif(orientation=1, taken="2026:01:20 09:30:00", secrets=True):
    """A TIFF block, little-endian: camera, place, serial numbers, a maker's note and a thumbnail."""
    ascii_ = lambda text: (2, len(text) + 1, text + b"\0")
    short = lambda value: (3, 1, struct.pack("<H", value))
    rationals = lambda *values: (5, len(values), b"".join(struct.pack("<II", *value) for value in values))
    # In the order of their tags, as the format wants them; None is filled in with a directory's place.
    first = {0x0112: short(orientation), 0x8769: None}
    inner = {0x9003: ascii_(taken.encode())}
    place = small = None
    if secrets:
        first = {0x010F: ascii_(SECRET + b"-maker"), 0x0110: ascii_(SECRET + b"-model"), **first, 0x8825: None}
        inner |= {
            0x927C: (7, len(MAKER_NOTE), MAKER_NOTE),
            0x9286: (7, 8 + len(SECRET), b"ASCII\0\0\0" + SECRET),
            0xA431: ascii_(SECRET + b"-serial"),
            0xA435: ascii_(SECRET + b"-lens"),
        }
        place = {
            1: ascii_(b"N"), 2: rationals((47, 1), (22, 1), (739100, 10000)),
            3: ascii_(b"E"), 4: rationals((8, 1), (32, 1), (739100, 10000)),
        }
        small = thumbnail()
    block = bytearray(b"II*\0\x08\0\0\0")

    def directory(entries):
        """Appends a directory; gives where each value stands, and where the next directory is named."""
        table = len(block)
        block.extend(struct.pack("<H", len(entries)) + b"\0" * (12 * len(entries) + 4))
        places = {}
        for index, (tag, entry) in enumerate(entries.items()):
            kind, count, value = entry or (4, 1, b"\0\0\0\0")
            at = table + 2 + 12 * index
            if len(value) > 4:
                value_at = len(block)
                block.extend(value + b"\0" * (len(value) % 2))
                value = struct.pack("<I", value_at)
            struct.pack_into("<HHI4s", block, at, tag, kind, count, value.ljust(4, b"\0"))
            places[tag] = at + 8
        return places, table + 2 + 12 * len(entries)

    def here(at):
        struct.pack_into("<I", block, at, len(block))

    places, after = directory(first)
    here(places[0x8769])
    directory(inner)
    if place:
        here(places[0x8825])
        directory(place)
    if small:
        here(after)
        places, _ = directory({0x0103: short(6), 0x0201: None, 0x0202: (4, 1, struct.pack("<I", len(small)))})
        here(places[0x0201])
        block.extend(small)
    return bytes(block)


def iptc():
    """A caption as IIM has it, in the resource block of APP13."""
    text = SECRET + b"-iptc"
    record = b"\x1c\x02\x78" + struct.pack(">H", len(text)) + text
    return b"Photoshop 3.0\x008BIM\x04\x04\0\0" + struct.pack(">I", len(record)) + record + b"\0" * (len(record) % 2)


def jpeg(picture, orientation=1, taken="2026:01:20 09:30:00", secrets=True, profile=None, **how):
    """A JPEG with all that cameras and editors write into one, and a film behind it."""
    out = io.BytesIO()
    picture.save(out, "JPEG", **{"quality": 95, "subsampling": 0, **how})
    bare = out.getvalue()
    segments = [(0xE1, b"Exif\0\0" + exif(orientation, taken, secrets))]
    if secrets:
        segments += [
            (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + XMP),
            (0xE1, b"http://ns.adobe.com/xmp/extension/\0" + b"0" * 32 + struct.pack(">II", 40, 0) + SECRET * 3),
            (0xE2, b"FPXR\0" + SECRET),
            (0xE5, SECRET + b"-app5"),
            (0xED, iptc()),
            (0xFE, SECRET + b"-comment"),
        ]
    # Out of order and in three parts, as the format allows.
    if profile:
        part = len(profile) // 3 + 1
        parts = [profile[at:at + part] for at in range(0, len(profile), part)]
        numbered = [bytes([number + 1, len(parts)]) + data for number, data in enumerate(parts)]
        segments += [(0xE2, b"ICC_PROFILE\0" + data) for data in reversed(numbered)]
    said = b"".join(bytes([0xFF, mark]) + struct.pack(">H", len(data) + 2) + data for mark, data in segments)
    return bare[:2] + said + bare[2:] + (FILM if secrets else b"")


def chunk(kind, data):
    """A chunk of a PNG file."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(picture, orientation=1, secrets=True, profile=None, late=False):
    """A PNG with the same; `late`: what is said stands behind the pixels."""
    out = io.BytesIO()
    picture.save(out, "PNG", **({"icc_profile": profile} if profile else {}))
    bare = out.getvalue()
    said = [(b"eXIf", exif(orientation, secrets=secrets))]
    if secrets:
        said += [
            (b"tEXt", b"Comment\0" + SECRET),
            (b"zTXt", b"Author\0\0" + zlib.compress(SECRET + b"-ztxt")),
            (b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + XMP),
            (b"tIME", struct.pack(">HBBBBB", 2026, 1, 20, 9, 30, 0)),
            (b"prVt", SECRET + b"-private"),
        ]
    chunks = b"".join(chunk(kind, data) for kind, data in said)
    at = len(bare) - 12 if late else 33
    return bare[:at] + chunks + bare[at:] + (FILM if secrets else b"")


def webp(picture, orientation=1, secrets=True, profile=None, **how):
    """A WebP with the same."""
    out = io.BytesIO()
    said = {"exif": exif(orientation, secrets=secrets)}
    if secrets:
        said["xmp"] = XMP
    if profile:
        said["icc_profile"] = profile
    picture.save(out, "WEBP", **{"quality": 95, **said, **how})
    return out.getvalue()


def heic(picture, orientation=1, secrets=True, profile=None):
    """A HEIC as libheif writes it, with the same; the format has its own marks for the orientation."""
    import pillow_heif

    out = io.BytesIO()
    said = {"xmp": XMP} if secrets else {}
    if profile:
        said["icc_profile"] = profile
    whole = pillow_heif.from_pillow(picture)
    whole.save(out, quality=90, exif=exif(orientation, secrets=secrets), **said)
    return out.getvalue()


def gif(picture):
    """A GIF with a comment and an XMP packet, as editors put it into an application's block."""
    out = io.BytesIO()
    picture.convert("P", palette=Image.ADAPTIVE, colors=64).save(out, "GIF", comment=SECRET + b"-gif")
    bare = out.getvalue()
    magic = b"\x01" + bytes(range(255, -1, -1)) + b"\0"
    xmp = b"\x21\xff\x0bXMP DataXMP" + XMP + magic
    return bare[:-1] + xmp + bare[-1:]


# Primaries and white of Display P3 (SMPTE EG 432-1, with D65) and of Adobe RGB (1998), adapted to D50
# with the Bradford matrix, as ICC profiles want them.
P3_PRIMARIES = [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)]
WIDE_PRIMARIES = [(0.6400, 0.3300), (0.2100, 0.7100), (0.1500, 0.0600)]
D65 = (0.3127, 0.3290)
D50 = (0.9642, 1.0, 0.8249)
BRADFORD = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]


def profile(primaries, curve):
    """An ICC profile, version 2, of primaries under D65: `curve` is the tag of its tone curves."""
    import numpy

    xyz = lambda x, y: numpy.array([x / y, 1.0, (1 - x - y) / y])
    columns = numpy.array([xyz(*one) for one in primaries]).T
    white = xyz(*D65)
    matrix = columns * numpy.linalg.solve(columns, white)
    cone = numpy.array(BRADFORD)
    scale = (cone @ numpy.array(D50)) / (cone @ white)
    matrix = numpy.linalg.inv(cone) @ numpy.diag(scale) @ cone @ matrix

    fixed = lambda values: b"".join(struct.pack(">i", round(value * 65536)) for value in values)
    text = b"for tests"
    described = b"desc\0\0\0\0" + struct.pack(">I", len(text) + 1) + text + b"\0" * (1 + 4 + 4 + 2 + 1 + 67)
    tags = {b"desc": described, b"cprt": b"text\0\0\0\0CC0\0", b"wtpt": b"XYZ \0\0\0\0" + fixed(D50)}
    for name, column in zip([b"rXYZ", b"gXYZ", b"bXYZ"], matrix.T):
        tags[name] = b"XYZ \0\0\0\0" + fixed(column)
    for name in [b"rTRC", b"gTRC", b"bTRC"]:
        tags[name] = curve
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for name, body in tags.items():
        body += b"\0" * (-len(body) % 4)
        table += name + struct.pack(">II", start + len(data), len(body))
        data += body
    head = struct.pack(">I4sI4s4s4s", start + len(data), b"none", 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    head += struct.pack(">6H", 2026, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28 + fixed(D50)
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data


def srgb_curve():
    """The tone curve of sRGB (IEC 61966-2-1), tabulated, as Display P3 uses it."""
    line = lambda value: value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
    values = [round(65535 * line(index / 1023)) for index in range(1024)]
    return b"curv\0\0\0\0" + struct.pack(">I1024H", 1024, *values)


def gamma_curve(gamma):
    """A tone curve that is a power."""
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))
