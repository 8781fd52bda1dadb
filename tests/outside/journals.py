"""Random builds, written as a journal, and kept as the numbers that were written.

The same tolerance table as the program's is typed here a second time, from the printed one, so that
a slip in either shows.
"""

import random
from dataclasses import dataclass, field
from pathlib import Path

# Tolerance of a size written without one: up to 0.5 mm, to 6, to 30, above; angles in degrees.
TOLERANCES = {
    "gauged": ((0.003, 0.005, 0.01, 0.02), 0.05),
    "measured": ((0.02, 0.02, 0.02, 0.03), 0.25),
    "drawn": ((0.01, 0.02, 0.02, 0.02), 0.05),
    "stated": ((0.02, 0.05, 0.10, 0.15), 0.2),
    "assumed": ((0.05, 0.10, 0.20, 0.30), 1.0),
}


@dataclass(frozen=True)
class Dimension:
    """A size as it was written: nominal value, how far it may lie off, and how it is spread."""

    value: float
    plus: float
    minus: float
    uniform: bool

    @property
    def middle(self):
        return self.value + (self.plus - self.minus) / 2

    @property
    def sigma(self):
        half = (self.plus + self.minus) / 2
        return half / 3**0.5 if self.uniform else half / 3


@dataclass
class Build:
    slug: str
    sizes: dict = field(default_factory=dict)
    words: dict = field(default_factory=dict)
    feet: int = 0
    holes: int = 0


class Writer:
    """Draws sizes, remembers them under their name, and hands back the text to write."""

    def __init__(self, build, rng):
        self.build, self.rng = build, rng

    def size(self, name, low, high, kind="length", digits=2):
        rng = self.rng
        value = round(rng.uniform(low, high), digits)
        origin = rng.choices(list(TOLERANCES), (4, 8, 3, 2, 1))[0]
        uniform = origin in ("stated", "assumed")
        lengths, angle = TOLERANCES[origin]
        if kind == "angle":
            plus = minus = angle
            text = f"{value} deg {origin}"
        else:
            plus = minus = lengths[sum(abs(value) > end for end in (0.5, 6, 30))]
            text = f"{value} {origin}"
        form = rng.random()
        unit = " deg" if kind == "angle" else ""
        if form < 0.25:
            plus = minus = round(rng.choice((0.01, 0.02, 0.03, 0.05, 0.08)) * (4 if kind == "angle" else 1), 3)
            text = f"{value}{unit} ±{plus} {origin}"
        elif form < 0.35 and kind == "length":
            plus, minus = rng.choice(((0.0, 0.04), (0.05, 0.0), (0.06, 0.02), (0.01, 0.05)))
            text = f"{value} +{plus} -{minus} {origin}"
        elif form < 0.42 and kind == "length" and origin == "assumed":
            text = f"~{value}"
        self.build.sizes[name] = Dimension(value, plus, minus, uniform)
        return f'"{text}"'

    def nominal(self, name, *choices):
        value = self.rng.choice(choices)
        self.build.sizes[name] = Dimension(value, 0.0, 0.0, False)
        return f"{value}"

    def word(self, name, *choices):
        value = self.rng.choice(choices)
        self.build.words[name] = value
        return value


def write(folder: Path, count: int, seed: int):
    """Writes a journal of `count` random builds and returns what was written."""
    rng = random.Random(seed)
    for name in ("builds", "parts", "calibres"):
        (folder / name).mkdir(parents=True)
    builds = [Build(f"random-{number:03}") for number in range(1, count + 1)]
    girth = {}
    writer = Writer(Build("wrist", girth), rng)
    (folder / "journal.yaml").write_text(
        f"title: Random builds\nformat: 1\nwrist: {writer.size('wrist', 150, 190, digits=0)}\n", encoding="utf-8"
    )
    for build in builds:
        build.sizes.update(girth)
        one(folder, build, rng)
    return builds


def one(folder, build, rng):
    slug = build.slug
    w = Writer(build, rng)
    s = w.size
    ledge = w.word("case.ledge", "front", "front", "back")
    with_rehaut = rng.random() < 0.7
    with_ring = rng.random() < 0.6
    with_water = rng.random() < 0.6
    with_feet = rng.random() < 0.75
    with_shim = rng.random() < 0.4
    form = w.word("crystal.form", "flat", "domed", "domed", "box")
    crown = round(rng.choice((90.0, 90.0, 105.0, 120.0, 113.5)), 1)

    # A case whose crown stands where it was drawn to, give or take its angle.
    crown_at = w.size("case.crown_at", crown, crown, "angle", 1)
    rehaut = (
        f"  rehaut: {{ bottom: {s('case.rehaut.bottom', 27.2, 28.2)}, top: {s('case.rehaut.top', 28.2, 29.2)}, "
        f"height: {s('case.rehaut.height', 1.2, 2.2)} }}\n"
        if with_rehaut
        else f"  opening: {s('case.opening', 27.2, 28.2)}\n"
    )
    parts = f"""
{slug}-case:
  kind: case
  origin: measured
  lug_to_lug: {s('case.lug_to_lug', 44, 60)}
  lug_width: {s('case.lug_width', 18, 20, digits=1)}
  crown_at: {crown_at}
  dial_seat: {s('case.dial_seat', 28.5, 29.3)}
  ledge: {ledge}
{rehaut}  shelf: {s('case.shelf', 1.9, 2.6)}
  bore: {s('case.bore', 29.9, 30.3)}
  depth: {s('case.depth', 5.0, 5.9)}
  tube: {{ below: {s('case.tube.below', 1.6, 2.5)} }}
  crystal_seat: {{ diameter: {s('case.crystal_seat.diameter', 31.0, 31.6)} }}
  back: {{ thickness: {s('case.back.thickness', 0.7, 1.2)}, free_diameter: {s('case.back.free_diameter', 26, 29)}, material: {w.word('case.back.material', 'steel', 'titanium', 'brass')}, edge: {w.word('case.back.edge', 'held', 'free')} }}
  bar_offset: {s('case.bar_offset', 1.2, 2.4)}
{slug}-crystal:
  kind: crystal
  origin: measured
  diameter: {s('crystal.diameter', 30.2, 30.7)}
  form: {form}
  thickness: {s('crystal.thickness', 1.0, 2.4)}
  material: {w.word('crystal.material', 'sapphire', 'mineral', 'hardened', 'acrylic')}
  held: radial
  inner_aperture: {s('crystal.inner_aperture', 27.4, 29.0)}
"""
    if form != "flat":
        parts += f"  inner_rise: {s('crystal.inner_rise', 0.4, 1.6)}\n"
    if form == "box":
        parts += f"  wall: {s('crystal.wall', 0.3, 1.0)}\n"
    parts += f"""{slug}-gasket:
  kind: crystal_gasket
  origin: measured
  section: {s('crystal_gasket.section', 0.45, 0.6)}
  flange: {s('crystal_gasket.flange', 0.1, 0.3)}
  inner: {s('crystal_gasket.inner', 28.0, 29.4)}
  material: {w.word('crystal_gasket.material', 'nylon', 'elastomer')}
{slug}-oring:
  kind: back_gasket
  origin: measured
  section: {s('back_gasket.section', 0.65, 0.85)}
  inner: {s('back_gasket.inner', 30.5, 31.2)}
  groove: {{ inner: {s('back_gasket.groove.inner', 31.0, 31.3)}, depth: {s('back_gasket.groove.depth', 0.5, 0.65)}, width: {s('back_gasket.groove.width', 0.9, 1.1)} }}
{slug}-strap:
  kind: strap
  origin: measured
  width: {s('strap.width', 17.5, 20.5, digits=1)}
  thickness: {s('strap.thickness', 2.0, 4.6)}
  end: {w.word('strap.end', 'leather', 'textile', 'metal')}
{slug}-movement:
  kind: movement
  calibre: {slug}-sheet
"""
    if with_ring:
        parts += f"""{slug}-ring:
  kind: ring
  origin: measured
  inner: {s('ring.inner', 25.6, 25.9)}
  outer: {s('ring.outer', 29.8, 30.1)}
  height: {s('ring.height', 3.8, 4.4)}
  from_seat: {s('ring.from_seat', 0.2, 0.8)}
  material: {w.word('ring.material', 'brass', 'steel')}
"""
    if with_shim:
        parts += f"{slug}-shim: {{ kind: shim, origin: measured, thickness: {s('shim.thickness', 0.05, 0.25)} }}\n"
    parts += f"""{slug}-dial:
  kind: dial
  origin: measured
  diameter: {s('dial.diameter', 28.3, 29.2)}
  thickness: {s('dial.thickness', 0.35, 0.5)}
  centre_hole: {s('dial.centre_hole', 1.8, 2.3)}
  track_diameter: {s('dial.track_diameter', 27.0, 28.4)}
  indices: {{ height: {s('dial.indices.height', 0.2, 0.5)}, inner_radius: {s('dial.indices.inner_radius', 8.0, 12.0)}, outer_radius: {s('dial.indices.outer_radius', 12.6, 13.4)} }}
  lume: none
"""
    holes, feet = [], []
    angles = [rng.uniform(0, 360)]
    angles.append((angles[0] + rng.uniform(140, 200)) % 360)
    if rng.random() < 0.5:
        angles += [(angle + rng.uniform(20, 60)) % 360 for angle in angles]
    for number, angle in enumerate(angles, 1):
        radius = round(rng.uniform(12.2, 12.8), 2)
        name = f"hole.{number}"
        holes.append(
            f"{{ at: {s(name + '.at', round(angle, 1), round(angle, 1), 'angle', 1)}, "
            f"radius: {s(name + '.radius', radius, radius)}, diameter: {s(name + '.diameter', 0.74, 0.82)} }}"
        )
    build.holes = len(holes)
    if with_feet:
        turn = build.sizes["case.crown_at"].value - 90
        for number in (1, 2):
            hole = f"hole.{number}"
            angle = (build.sizes[hole + ".at"].value + turn + rng.gauss(0, 0.25)) % 360
            radius = build.sizes[hole + ".radius"].value + rng.gauss(0, 0.02)
            name = f"foot.{number}"
            feet.append(
                f"{{ at: {s(name + '.at', round(angle, 1), round(angle, 1), 'angle', 1)}, "
                f"radius: {s(name + '.radius', round(radius, 2), round(radius, 2))}, "
                f"diameter: {s(name + '.diameter', 0.66, 0.74)} }}"
            )
        build.feet = 2
        parts += f"  feet: [{', '.join(feet)}]\n"
    else:
        parts += "  feet: []\n"
    # A date figure that the crown's turn and a whole number of figures bring near the window.
    pitch = 360 / 31
    figure = round(rng.choice((90.0, 88.0, 270.0)), 1)
    near = figure + build.sizes["case.crown_at"].value - 90 + pitch * rng.randint(-1, 1) + rng.gauss(0, 0.8)
    window = round(near % 360, 1)
    parts += (
        f"  date_window: {{ at: {s('dial.date_window.at', window, window, 'angle', 1)}, "
        f"radius: {s('dial.date_window.radius', 10.4, 10.8)}, along: {s('dial.date_window.along', 1.9, 2.6)}, "
        f"across: {s('dial.date_window.across', 2.2, 3.0)} }}\n"
    )
    tops = {"hour": (1.25, 1.45), "minute": (1.75, 2.0), "seconds": (2.2, 2.45)}
    posts = {"hour": 1.50, "minute": 0.90, "seconds": 0.20}
    hands = ""
    for hand, (low, high) in tops.items():
        reach = {"hour": (8.0, 10.5), "minute": (11.5, 13.9), "seconds": (11.5, 13.9)}[hand]
        bore = posts[hand] - 0.012
        hands += f"""{slug}-{hand}:
  kind: hand
  origin: measured
  length: {s(f'{hand}.length', *reach)}
  tail: {s(f'{hand}.tail', 1.0, 4.0)}
  thickness: {s(f'{hand}.thickness', 0.12, 0.28)}
  bore: {s(f'{hand}.bore', bore - 0.012, bore + 0.012, digits=3)}
  pipe: {s(f'{hand}.pipe', 0.1, 0.4)}
  proud: {s(f'{hand}.proud', -0.05, 0.12)}
  mass: "{mass(w, hand)} mg"
  centroid: {s(f'{hand}.centroid', 0.3, 3.0)}
"""
    parts += hands
    (folder / "parts" / f"{slug}.yaml").write_text(parts, encoding="utf-8")
    (folder / "calibres" / f"{slug}.yaml").write_text(
        f"""{slug}-sheet:
  origin: measured
  casing_diameter: {s('movement.casing_diameter', 25.45, 25.65) if with_ring else s('movement.casing_diameter', 29.8, 30.1)}
  height_below: {s('movement.height_below', 4.2, 4.8)}
  posts:
    hour: {{ diameter: {s('movement.posts.hour.diameter', 1.495, 1.505, digits=3)}, top: {s('movement.posts.hour.top', *tops['hour'])}, pipe_diameter: {s('movement.posts.hour.pipe_diameter', 1.55, 1.7)}, shake: {s('movement.posts.hour.shake', 0.02, 0.05)} }}
    minute: {{ diameter: {s('movement.posts.minute.diameter', 0.895, 0.905, digits=3)}, top: {s('movement.posts.minute.top', *tops['minute'])}, shake: {s('movement.posts.minute.shake', 0.02, 0.05)} }}
    seconds: {{ diameter: {s('movement.posts.seconds.diameter', 0.198, 0.202, digits=3)}, top: {s('movement.posts.seconds.top', *tops['seconds'])}, shake: {s('movement.posts.seconds.shake', 0.02, 0.05)} }}
  foot_holes: [{', '.join(holes)}]
  stem: {{ below: {s('movement.stem.below', 1.8, 2.2)} }}
  date: {{ at: {s('movement.date.at', figure, figure, 'angle', 1)}, radius: {s('movement.date.radius', 10.4, 10.8)}, along: {s('movement.date.along', 1.4, 2.0)}, across: {s('movement.date.across', 1.6, 2.2)} }}
""",
        encoding="utf-8",
    )
    bar = rng.choice((3, 5, 10)) if with_water else None
    build.words.update(bar=bar, held="feet" if with_feet else "tape", ring=with_ring, shim=with_shim,
                       rehaut=with_rehaut, form=form, ledge=ledge)
    slots = {slot: f"{slug}-{slot}" for slot in
             ("case", "crystal", "dial", "hour", "minute", "seconds", "movement", "strap")}
    slots |= {"crystal_gasket": f"{slug}-gasket", "back_gasket": f"{slug}-oring"}
    slots |= {"ring": f"{slug}-ring" if with_ring else "none", "shim": f"{slug}-shim" if with_shim else "none"}
    slots |= {slot: "none" for slot in
              ("bezel", "insert", "chapter_ring", "dial_ring", "second_time", "stem", "crown", "back")}
    home = folder / "builds" / slug
    home.mkdir()
    text = f"---\ntitle: {slug}\nstate: planned\n"
    if bar:
        text += f"target: {{ water: {bar} bar }}\n"
    if not with_feet:
        text += "dial_held_by: tape\n"
    text += "parts:\n" + "".join(f"  {slot}: {part}\n" for slot, part in slots.items()) + "---\n"
    (home / "build.md").write_text(text, encoding="utf-8")


def mass(writer, hand):
    value = round(writer.rng.uniform(2, 15), 1)
    writer.build.sizes[f"{hand}.mass"] = Dimension(value, 0.0, 0.0, False)
    return value
