"""Dial feet, date window and the sweep of the hands as real shapes, by shapely."""

import math

from shapely import affinity
from shapely.geometry import LineString, Point, box

# Sides a quarter of a circle: a circle of 14 mm is then true to 0.00002 mm.
SIDES = 512


def compare(build, findings):
    """What the program told beside what the shapes show: source, place, told, found, allowed."""
    by_name = {(finding["check"], finding["about"]): finding for finding in findings}
    q = {name: size.value for name, size in build.sizes.items()}
    turn = q["case.crown_at"] - 90
    yield from feet(build, by_name, q, turn)
    yield from window(build, by_name, q, turn)
    yield from sweep(build, by_name, q)
    yield from over_indices(build, by_name)


def disc(at, radius, diameter):
    angle = math.radians(at)
    return Point(radius * math.sin(angle), radius * math.cos(angle)).buffer(diameter / 2, quad_segs=SIDES)


def feet(build, by_name, q, turn):
    holes = [disc(q[f"hole.{n}.at"] + turn, q[f"hole.{n}.radius"], q[f"hole.{n}.diameter"])
             for n in range(1, build.holes + 1)]
    for number in range(1, build.feet + 1):
        finding = by_name.get(("dial-feet", f"foot {number}"))
        if finding is None or finding["nominal"] is None:
            continue
        foot = disc(q[f"foot.{number}.at"], q[f"foot.{number}.radius"], q[f"foot.{number}.diameter"])
        # The random holes lie far apart, so the nearest hole is the one.
        hole = min(holes, key=lambda hole: hole.centroid.distance(foot.centroid))
        if hole.contains(foot):
            gap = hole.exterior.distance(foot.exterior)
        else:
            gap = -max(hole.distance(Point(corner)) for corner in foot.exterior.coords)
        yield "dial foot in its hole", f"foot {number}", finding["nominal"], gap, 2e-4


def window(build, by_name, q, turn):
    along, across = by_name.get(("date-along", "")), by_name.get(("date-across", ""))
    if not along or not across or along["nominal"] is None or across["nominal"] is None:
        return
    # In the window's own frame: its middle on the y axis, outwards up.
    at = q["dial.date_window.at"]
    radius = q["dial.date_window.radius"]
    half = q["dial.date_window.across"] / 2, q["dial.date_window.along"] / 2
    frame = box(-half[0], radius - half[1], half[0], radius + half[1])
    best = None
    for step in range(31):
        # Each of the thirty-one figures of the ring, turned into place one after the other.
        angle = q["movement.date.at"] + turn + step * 360 / 31 - at
        middle = affinity.rotate(Point(0, q["movement.date.radius"]), -angle, origin=(0, 0))
        figure = box(middle.x - q["movement.date.across"] / 2, middle.y - q["movement.date.along"] / 2,
                     middle.x + q["movement.date.across"] / 2, middle.y + q["movement.date.along"] / 2)
        distance = middle.distance(Point(0, radius))
        if best is None or distance < best[0]:
            best = (distance, figure)
    figure = best[1]
    fx0, fy0, fx1, fy1 = figure.bounds
    wx0, wy0, wx1, wy1 = frame.bounds
    yield "date figure in its window", "date-along", along["nominal"], min(fy0 - wy0, wy1 - fy1), 2e-4
    yield "date figure in its window", "date-across", across["nominal"], min(fx0 - wx0, wx1 - fx1), 2e-4
    clear = min(along["nominal"], across["nominal"])
    if abs(clear) > 2e-4:
        whole = 1.0 if frame.contains(figure) else 0.0
        yield "whole figure seen, yes or no", "date", 1.0 if clear > 0 else 0.0, whole, 0.0


def sweep(build, by_name, q):
    for hand in ("hour", "minute", "seconds"):
        finding = by_name.get(("hand-in-ring", hand))
        if finding is None or finding["nominal"] is None or build.words["rehaut"]:
            continue
        # The blade turned once round, a degree at a time, in the round opening that it must clear.
        blade = LineString([(0, -q[f"{hand}.tail"]), (0, q[f"{hand}.length"])])
        opening = Point(0, 0).buffer(q["case.opening"] / 2, quad_segs=SIDES).exterior
        room = min(opening.distance(affinity.rotate(blade, degree, origin=(0, 0))) for degree in range(360))
        if q[f"{hand}.length"] < q["case.opening"] / 2:
            yield "hand's sweep in a round opening", hand, finding["nominal"], room, 2e-4


def over_indices(build, by_name):
    """Whether a hand at its longest sweeps over the indices at their innermost."""
    for hand in ("hour", "minute", "seconds"):
        length, inner = build.sizes[f"{hand}.length"], build.sizes["dial.indices.inner_radius"]
        tail = build.sizes[f"{hand}.tail"]
        blade = LineString([(0, -tail.value - tail.plus), (0, length.value + length.plus)])
        free = Point(0, 0).buffer(inner.value - inner.minus, quad_segs=SIDES)
        # On the polygon's corner at 12 the circle is exact.
        told = 1.0 if ("hand-over-indices", hand) in by_name else 0.0
        if abs(length.value + length.plus - inner.value + inner.minus) > 1e-6:
            yield "hand sweeps over the indices, yes or no", hand, told, 0.0 if free.contains(blade) else 1.0, 0.0
