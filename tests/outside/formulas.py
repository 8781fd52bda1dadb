"""The checks' formulas a second time, written from the definitions and not from the program.

A formula is a function of `q`, which gives each size by its name: as a float, as an array of random
samples, or as a number that carries its uncertainty.
"""

import math
from dataclasses import dataclass
from typing import Callable

import gsw
import numpy as np
import uncertainties
from uncertainties import umath

from journals import Dimension

# The materials: MPa to break, MPa, Poisson's ratio; the same publications as the program's table.
CRYSTALS = {"sapphire": (448, 345000, 0.27), "mineral": (45, 72000, 0.22),
            "hardened": (120, 72000, 0.22), "acrylic": (106, 2800, 0.37)}
BACKS = {"steel": (193000, 0.30), "titanium": (103000, 0.34), "brass": (97000, 0.34)}


@dataclass
class Check:
    name: str
    about: str
    formula: Callable
    low: float | None
    high: float | None
    # Where it truly fouls, where that is not the band.
    contact: tuple
    # Whether the program samples (its first order is undefined) instead of convolving.
    sampled: bool = False
    # Sizes that only the build as a whole knows: the play of movement and dial.
    play: dict = None
    # Whether the program may leave it out, because another finding says it already.
    optional: bool = False
    # Whether the ledge bears on the dial's front.
    over_front: bool = True
    # Clear only where the worst case is inside the band as well.
    at_its_worst: bool = False
    # Clear says nothing, and has no verdict.
    in_trouble: bool = False


def least(*values):
    return pick(values, np.minimum, min)


def greatest(*values):
    return pick(values, np.maximum, max)


def pick(values, of_arrays, of_numbers):
    if any(isinstance(value, np.ndarray) for value in values):
        result = values[0]
        for value in values[1:]:
            result = of_arrays(result, value)
        return result
    return of_numbers(values, key=lambda value: uncertainties.nominal_value(value))


def where(condition, yes, no):
    if isinstance(condition, np.ndarray):
        return np.where(condition, yes, no)
    return yes if condition else no


def plain(value):
    return isinstance(value, (int, float, np.ndarray))


def root(value):
    return np.sqrt(value) if plain(value) else umath.sqrt(value)


def size_of(value):
    if plain(value):
        return np.abs(value)
    return value if nominal(value) >= 0 else -value


def nominal(value):
    return value if plain(value) else uncertainties.nominal_value(value)


def sine(degrees):
    return np.sin(np.radians(degrees)) if plain(degrees) else umath.sin(degrees * (math.pi / 180))


def cosine(degrees):
    return np.cos(np.radians(degrees)) if plain(degrees) else umath.cos(degrees * (math.pi / 180))


def whole(value):
    if isinstance(value, np.ndarray):
        return np.round(value)
    return round(uncertainties.nominal_value(value))


def wrapped(degrees):
    """The same direction in -180 .. 180."""
    return degrees - 360 * whole(degrees / 360)


def sag(radius, aperture, rise):
    """Height of a spherical dome over its rim, 0 outside the aperture's radius."""
    if not isinstance(rise, np.ndarray) and uncertainties.nominal_value(rise) == 0:
        return 0 * radius
    ball = (aperture * aperture + rise * rise) / (2 * rise)
    inside = ball * ball - radius * radius
    if isinstance(inside, np.ndarray):
        inside = np.maximum(inside, 0)
    elif uncertainties.nominal_value(inside) < 0:
        return 0 * radius
    height = root(inside) - (ball - rise)
    beyond = nominal(radius) >= nominal(aperture)
    return where(beyond, 0 * height, height)


def sea_mpa(bar):
    """The load of the depth that a mark of so many bar names, by TEOS-10 at 45 degrees."""
    return float(gsw.p_from_z(-10.0 * bar, 45.0)) / 100


def checks(build):
    """Every check that applies to a random build."""
    word, size = build.words, build.sizes
    feet = word["held"] == "feet"
    bar = word["bar"]

    def face(q):
        return under(q) + q("dial.thickness")

    def under(q):
        return q("shim.thickness") if word["shim"] else 0.0

    def ledge(q):
        return face(q) if word["ledge"] == "front" else under(q)

    def top(q, hand):
        return q(f"movement.posts.{hand}.top") + q(f"{hand}.proud")

    def below(q, hand):
        return top(q, hand) - q(f"{hand}.thickness")

    def turn(q):
        # A crown at 3h is where the movement was made for: no turn, and no doubt about it. Feet hold
        # dial and movement to each other, whatever the crown's own doubt.
        if feet or size["case.crown_at"].value == 90:
            return size["case.crown_at"].value - 90.0
        return q("case.crown_at") - 90.0

    # The play of the movement, and with it that of a dial without feet: half of each diametral gap at
    # the nominal sizes. It is spread as the least sure of those sizes is.
    gaps = [("case.bore", "movement.casing_diameter")]
    if word["ring"]:
        gaps = [("ring.inner", "movement.casing_diameter"), ("case.bore", "ring.outer")]

    def play_of(gaps):
        half = sum(max(0.0, size[outer].value - size[inner].value) / 2 for outer, inner in gaps)
        return Dimension(0.0, half, half, any(size[name].uniform for gap in gaps for name in gap))

    play = play_of(gaps)
    dial_play = play_of([*gaps, ("case.dial_seat", "dial.diameter")])
    degree = Dimension(0.0, 1.0, 1.0, False)

    def check(name, about, formula, low=None, high=None, contact=None, **more):
        return Check(name, about, formula, low, high, contact or (low, high), **more)

    touching = (0.0, None)

    opening = "case.rehaut.bottom" if word["rehaut"] else "case.opening"
    yield check("dial-in-seat", "", lambda q: q("case.dial_seat") - q("dial.diameter"), 0.03, 0.6 if feet else 0.3,
                touching)
    yield check("dial-covers-opening", "", lambda q: (q("dial.diameter") - q(opening)) / 2, 0.2, None, touching)
    yield check("dial-track-visible", "", lambda q: (q(opening) - q("dial.track_diameter")) / 2, 0.0, None,
                (None, None))
    yield check("dial-track-survives", "", lambda q: (q("dial.diameter") - q("dial.track_diameter")) / 2, 0.05, None,
                (None, None))
    hole = lambda q: q("dial.centre_hole") - q("movement.posts.hour.pipe_diameter")
    if feet:
        yield check("dial-hole", "", hole, 0.15, None, touching)
    else:
        yield check("dial-hole", "", lambda q: hole(q) - 2 * q("centring"), 0.15, None, touching, play={"centring": dial_play})

    for foot in range(1, build.feet + 1):
        def gap(q, foot=foot):
            # The feet hold dial and movement to each other, whatever the crown's own doubt.
            return paired(q, build, lambda q: size["case.crown_at"].value - 90.0)[foot - 1]
        yield check("dial-feet", f"foot {foot}", gap, 0.0, None, (-0.10, None), sampled=True)

    def off(q):
        apart = wrapped(q("movement.date.at") + turn(q) - q("dial.date_window.at"))
        if not feet:
            apart = apart + q("turned")
        pitch = 360 / 31
        return apart - pitch * whole(apart / pitch)

    def aside(q, value):
        return value if feet else value - q("centring")

    loose = {} if feet else {"centring": dial_play, "turned": degree}
    yield check(
        "date-along", "",
        lambda q: aside(q, (q("dial.date_window.along") - q("movement.date.along")) / 2
                        - size_of(q("movement.date.radius") * cosine(off(q)) - q("dial.date_window.radius"))),
        0.0, None, (-0.30, None), sampled=True, play=loose,
    )
    yield check(
        "date-across", "",
        lambda q: aside(q, (q("dial.date_window.across") - q("movement.date.across")) / 2
                        - size_of(q("movement.date.radius") * sine(off(q)))),
        0.0, None, (-0.30, None), sampled=True, play=loose,
    )
    # A ring carries its figures round the centre, each turned by what it has gone round: the one that
    # stands at the window has been turned by window - at since it stood upright at `at`, whether its
    # own ring or the whole movement did the turning.
    yield check(
        "date-upright", "",
        lambda q: size_of(wrapped(q("dial.date_window.at") - q("movement.date.at")
                                  + (0.0 if feet else q("turned")))),
        None, 5.0, (None, 20.0), sampled=True, play={} if feet else {"turned": degree},
    )

    for hand in ("hour", "minute", "seconds"):
        low, high = (0.003, 0.015) if hand == "seconds" else (0.005, 0.03)
        yield check("hand-fit", hand, lambda q, h=hand: q(f"movement.posts.{h}.diameter") - q(f"{h}.bore"), low, high,
                    (0.0, 0.060))
        yield check("hand-over-dial", hand, lambda q, h=hand: below(q, h) - face(q), 0.2, None, (0.05, None))
        longest = size[f"{hand}.length"].value + size[f"{hand}.length"].plus
        inner = size["dial.indices.inner_radius"]
        if longest >= inner.value - inner.minus:
            yield check("hand-over-indices", hand,
                    lambda q, h=hand: below(q, h) - face(q) - q("dial.indices.height"), 0.15, None, (0.05, None))

        def crystal(q, h=hand):
            foot = ledge(q) + q("case.shelf") + q("crystal_gasket.flange")
            if word["form"] == "box":
                foot = foot + q("crystal.wall")
            rise = 0.0 if word["form"] == "flat" else q("crystal.inner_rise")
            dome = 0.0 if word["form"] == "flat" else sag(q(f"{h}.length"), q("crystal.inner_aperture") / 2, rise)
            inside = foot + dome - (bending_crystal(q, word) if bar else 0.0)
            return inside - top(q, h) - q(f"movement.posts.{h}.shake")
        yield check("hand-under-crystal", hand, crystal, 0.3, None, (0.05, None), sampled=word["form"] != "flat", optional=True)

        def around(q, h=hand):
            return least_inner(q, word, ledge, below(q, h), top(q, h)) - q(f"{h}.length") - q("centring")
        yield check("hand-in-ring", hand, around, 0.1, None, touching, sampled=True, play={"centring": play},
                    over_front=word["ledge"] == "front")
        stands = lambda name: size[name].value
        if top(stands, hand) > ledge(stands) + stands("case.shelf"):
            yield check("hand-in-crystal", hand,
                        lambda q, h=hand: q("crystal.inner_aperture") / 2 - q(f"{h}.length") - q("centring"),
                        0.2, None, touching, play={"centring": play})

    for upper, lower in (("minute", "hour"), ("seconds", "minute")):
        about = f"{upper} over {lower}"
        yield check("hands-apart", about, lambda q, u=upper, l=lower: below(q, u) - top(q, l), 0.2, None, (0.05, None))
        yield check("hands-apart", about + ", pipe",
                    lambda q, u=upper, l=lower: below(q, u) - q(f"{u}.pipe")
                    - greatest(top(q, l), q(f"movement.posts.{l}.top")), 0.05, None, touching, sampled=True)

    if word["ring"]:
        yield check("movement-in-case", "in ring",
                    lambda q: q("ring.inner") - q("movement.casing_diameter"), 0.0, 0.3, touching)
        yield check("movement-in-case", "ring in case", lambda q: q("case.bore") - q("ring.outer"), 0.0, 0.3,
                    touching)
        yield check("movement-held", "",
                    lambda q: q("case.depth") - ledge(q) - q("ring.from_seat") - q("ring.height"), -0.05, 0.15, (-0.10, None))
    else:
        yield check("movement-in-case", "",
                    lambda q: q("case.bore") - q("movement.casing_diameter"), 0.0, 0.3, touching)
    yield check("back-clearance", "",
                lambda q: q("case.depth") - ledge(q) - q("movement.height_below")
                - (bending_back(q, word) if bar else 0.0), 0.2, None, (0.05, None), sampled=bool(bar))
    yield check("stem-height", "",
                lambda q: ledge(q) + q("movement.stem.below") - q("case.tube.below"), -0.15, 0.15, (-0.30, 0.30))
    squeeze = {"nylon": (0.01, 0.12, (0.0, 0.25)), "elastomer": (0.10, 0.35, (0.03, 0.50))}[word["crystal_gasket.material"]]
    yield check("crystal-gasket", "",
                lambda q: 1 - (q("case.crystal_seat.diameter") - q("crystal.diameter")) / 2
                / q("crystal_gasket.section"), *squeeze)
    yield check("back-gasket", "squeeze",
                lambda q: (q("back_gasket.section") - q("back_gasket.groove.depth")) / q("back_gasket.section"),
                0.15, 0.30, (0.05, 0.40))
    yield check("back-gasket", "fill",
                lambda q: q("back_gasket.section") * q("back_gasket.section") * (math.pi / 4)
                / (q("back_gasket.groove.depth") * q("back_gasket.groove.width")), None, 0.90, (None, 1.0), at_its_worst=True)
    if bar:
        strength, _, nu = CRYSTALS[word["crystal.material"]]
        factor = 3 * (3 + nu) / 8 * sea_mpa(bar)
        yield check("crystal-strength", "",
                    lambda q: q("crystal.thickness") * q("crystal.thickness") * 4 * strength / factor
                    / (q("crystal.inner_aperture") * q("crystal.inner_aperture")), 4.0, None, (2.0, None))
    metal = word["strap.end"] == "metal"
    yield check("strap-in-lugs", "", lambda q: q("case.lug_width") - q("strap.width"),
                0.0 if metal else -0.3, 0.3 if metal else 0.8, (0.0 if metal else -1.0, None))
    yield check("strap-behind-bar", "", lambda q: q("case.bar_offset") - q("strap.thickness") / 2, 0.2, None, touching)
    yield check("on-the-wrist", "", lambda q: 0.2949 * q("wrist") + 5.24 - q("case.lug_to_lug"), 0.0, None, (None, None), in_trouble=True)


def least_inner(q, word, ledge, bottom_of_hand, top_of_hand):
    """Least inner radius around a hand between two heights: the rehaut's cone, then what is above."""
    if not word["rehaut"]:
        return q("case.opening") / 2
    foot, height = ledge(q), q("case.rehaut.height")
    low, high = q("case.rehaut.bottom") / 2, q("case.rehaut.top") / 2
    above = least(high, q("crystal_gasket.inner") / 2)

    def cone(z):
        share = least(greatest((z - foot) / height, 0.0), 1.0)
        return low + (high - low) * share

    on_the_cone = least(cone(bottom_of_hand), cone(top_of_hand))
    starts_above = nominal(bottom_of_hand) >= nominal(foot + height)
    reaches_above = nominal(top_of_hand) > nominal(foot + height)
    mixed = where(reaches_above, least(on_the_cone, above), on_the_cone)
    return where(starts_above, above, mixed)


def plate_bending(p, radius, thickness, young, nu, free):
    stiffness = young * thickness * thickness * thickness / (12 * (1 - nu * nu))
    held = p * radius * radius * radius * radius / (64 * stiffness)
    return held * ((5 + nu) / (1 + nu)) if free else held


def bending_crystal(q, word):
    _, young, nu = CRYSTALS[word["crystal.material"]]
    return plate_bending(sea_mpa(word["bar"]), q("crystal.inner_aperture") / 2, q("crystal.thickness"), young, nu, True)


def bending_back(q, word):
    young, nu = BACKS[word["case.back.material"]]
    return plate_bending(sea_mpa(word["bar"]), q("case.back.free_diameter") / 2, q("case.back.thickness"), young, nu,
                         word["case.back.edge"] == "free")


def paired(q, build, turn):
    """Each foot's gap in the one-to-one pairing whose least gap is greatest."""
    import itertools

    gaps = [[foot_gap(q, foot, hole, turn) for hole in range(1, build.holes + 1)] for foot in range(1, build.feet + 1)]
    ways = list(itertools.permutations(range(build.holes), build.feet))
    if isinstance(gaps[0][0], np.ndarray):
        table = np.stack([np.stack([gaps[foot][hole] for foot, hole in enumerate(way)]) for way in ways])
        best = np.argmax(np.min(table, axis=1), axis=0)
        return [np.take_along_axis(table[:, foot], best[None], axis=0)[0] for foot in range(build.feet)]
    chosen = max(ways, key=lambda way: min(uncertainties.nominal_value(gaps[foot][hole]) for foot, hole in enumerate(way)))
    return [gaps[foot][hole] for foot, hole in enumerate(chosen)]


def foot_gap(q, foot, hole, turn):
    at = q(f"hole.{hole}.at") + turn(q)
    dx = q(f"hole.{hole}.radius") * sine(at) - q(f"foot.{foot}.radius") * sine(q(f"foot.{foot}.at"))
    dy = q(f"hole.{hole}.radius") * cosine(at) - q(f"foot.{foot}.radius") * cosine(q(f"foot.{foot}.at"))
    return (q(f"hole.{hole}.diameter") - q(f"foot.{foot}.diameter")) / 2 - root(dx * dx + dy * dy)
