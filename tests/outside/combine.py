#!/usr/bin/env python3
"""Runs `combine` on random bins beside a constraint solver, and compares all that goes.

`python3 tests/outside/combine.py --program target/debug/endshake --bins 500`

The model is written a second time here, from the formulas and contacts as DEVELOPERS.md and `explain`
print them, in tenths of a micrometre, and given to CP-SAT of ortools (requirements.txt), which
enumerates every solution. Case, dial, movement, three hands and a crystal; seconds hand and crystal may
stay open. Exit status: 0 the same sets for every bin, 1 something differs, 2 it could not run.
"""

import argparse
import itertools
import json
import math
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import references

MM = 10_000  # tenths of a micrometre


def whole(mm):
    return round(mm * MM)


class Bin:
    """Random parts whose sizes are near enough to each other that some go and some do not; `times` as many
    of each as in the smallest bins."""

    def __init__(self, seed, times=1):
        rng = random.Random(seed)
        size = lambda low, high: round(rng.uniform(low, high), 2)
        self.cases = [
            {
                "crown_at": rng.choice([90, 90, 90, 120]),
                "dial_seat": size(28.4, 28.8), "bottom": size(27.4, 27.9), "top": size(27.9, 28.6),
                "height": size(1.2, 1.8), "over_seat": size(0.3, 0.6) if rng.random() < 0.3 else None,
                "shelf": size(1.3, 2.2), "bore": size(27.8, 28.4), "depth": size(4.9, 5.4),
                "tube": size(2.0, 2.8), "seat": size(30.9, 31.1),
            }
            for _ in range(times * rng.randint(1, 4))
        ]
        self.dials = [
            {
                "diameter": size(27.8, 28.7), "thickness": size(0.35, 0.5), "hole": size(1.95, 2.3),
                "crown_at": rng.choice([None, None, 90]),
                "feet": rng.choice([[], self.feet(rng), self.feet(rng)]),
                "index": (size(0.1, 0.5), size(9.0, 13.5)) if rng.random() < 0.5 else None,
            }
            for _ in range(times * rng.randint(1, 5))
        ]
        self.movements = [
            {
                "casing": size(27.6, 28.0), "below": size(4.1, 4.6), "pipe": size(1.9, 2.05),
                "hour": size(0.7, 1.05), "minute": size(1.1, 1.4), "seconds": size(1.45, 1.8),
                "stem": size(1.7, 2.1), "holes": [(135, 12.0, 0.8), (315, 12.0, 0.8)],
            }
            for _ in range(times * rng.randint(1, 3))
        ]
        self.hands = []
        for fits, longest in ((1.5, 9.5), (0.9, 14.2), (0.2, 14.4)):
            for _ in range(times * rng.randint(1, 2)):
                self.hands.append({
                    "fits": fits if rng.random() < 0.9 else 0.9, "length": size(longest - 1.2, longest),
                    "thickness": size(0.1, 0.35), "count": 2 if rng.random() < 0.2 else 1,
                })
        self.crystals = [
            {
                "diameter": size(30.7, 31.05), "rise": size(0.4, 1.2) if rng.random() < 0.5 else None,
                "aperture": size(27.6, 29.0),
            }
            for _ in range(times * rng.randint(0, 2))
        ]

    @staticmethod
    def feet(rng):
        radius = round(rng.uniform(11.9, 12.1), 2)
        turn = rng.choice([0, 0, 0, 0.5, 30])
        return [(135 + turn, radius, 0.7), (315 + turn, radius, 0.7)]

    def text(self):
        """The bin as people write it."""
        out = []
        for at, c in enumerate(self.cases):
            ledge = "front" if c["over_seat"] is None else "{ over_seat: %.2f }" % c["over_seat"]
            out.append(
                f"c{at}: {{ kind: case, origin: measured, crown_at: {c['crown_at']} deg, dial_seat: {c['dial_seat']}, "
                f"ledge: {ledge}, rehaut: {{ bottom: {c['bottom']}, top: {c['top']}, height: {c['height']} }}, "
                f"shelf: {c['shelf']}, bore: {c['bore']}, depth: {c['depth']}, tube: {{ below: {c['tube']} }}, "
                f"crystal_seat: {{ diameter: {c['seat']} }} }}"
            )
        for at, d in enumerate(self.dials):
            feet = ", ".join(f"{{ at: {a} deg, radius: {r}, diameter: {w} }}" for a, r, w in d["feet"])
            crown = f"crown_at: {d['crown_at']} deg, " if d["crown_at"] else ""
            index = "indices: { height: %.2f, inner_radius: %.2f }, " % d["index"] if d["index"] else ""
            out.append(
                f"d{at}: {{ kind: dial, origin: measured, diameter: {d['diameter']}, thickness: {d['thickness']}, "
                f"centre_hole: {d['hole']}, track_diameter: 27.0, {crown}{index}feet: [{feet}], lume: none }}"
            )
        for at, m in enumerate(self.movements):
            holes = ", ".join(f"{{ at: {a} deg, radius: {r}, diameter: {w} }}" for a, r, w in m["holes"])
            out.append(
                f"m{at}: {{ kind: movement, origin: measured, casing_diameter: {m['casing']}, height_below: {m['below']}, "
                f"posts: {{ hour: {{ fits: 1.5, top: {m['hour']}, pipe_diameter: {m['pipe']} }}, "
                f"minute: {{ fits: 0.9, top: {m['minute']} }}, seconds: {{ fits: 0.2, top: {m['seconds']} }} }}, "
                f"stem: {{ below: {m['stem']} }}, foot_holes: [{holes}] }}"
            )
        for at, h in enumerate(self.hands):
            count = f"count: {h['count']}, " if h["count"] > 1 else ""
            out.append(
                f"h{at}: {{ kind: hand, origin: measured, {count}fits: {h['fits']}, length: {h['length']}, "
                f"thickness: {h['thickness']} }}"
            )
        for at, x in enumerate(self.crystals):
            form = "form: flat" if x["rise"] is None else f"form: domed, inner_rise: {x['rise']}"
            out.append(
                f"x{at}: {{ kind: crystal, origin: measured, diameter: {x['diameter']}, {form}, "
                f"inner_aperture: {x['aperture']}, held: glued }}"
            )
        return "\n".join(out) + "\n"

    def write(self, folder):
        (folder / "parts").mkdir(parents=True)
        (folder / "journal.yaml").write_text("title: A bin\n")
        (folder / "parts" / "bin.yaml").write_text(self.text())


def least_gap(feet, holes, turn):
    """The least gap of the pairing of feet with holes whose least gap is greatest."""

    def gap(foot, hole):
        (at, radius, width), (place, reach, bore) = foot, hole
        angle = math.radians(at - place - turn)
        apart = math.sqrt(radius**2 + reach**2 - 2 * radius * reach * math.cos(angle))
        return (bore - width) / 2 - apart

    pairings = itertools.permutations(holes, len(feet))
    return max((min(gap(f, h) for f, h in zip(feet, chosen)) for chosen in pairings), default=0.0)


def sag(radius, aperture, rise):
    """How far a dome stands over its foot at a radius."""
    edge = aperture / 2
    if rise is None or radius >= edge:
        return 0.0
    ball = (edge**2 + rise**2) / (2 * rise)
    return math.sqrt(ball**2 - radius**2) - (ball - rise)


def solve(stock):
    """Every solution of the model, as tuples of ids; an open slot is empty."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    pick = lambda name, count: model.new_int_var(0, count - 1, name)
    case, dial = pick("case", len(stock.cases)), pick("dial", len(stock.dials))
    movement = pick("movement", len(stock.movements))
    hour, minute = pick("hour", len(stock.hands)), pick("minute", len(stock.hands))
    # The last number of a slot that may stay open means that it does.
    none = len(stock.hands)
    seconds = pick("seconds", none + 1)
    bare = len(stock.crystals)
    crystal = pick("crystal", bare + 1)
    has_seconds, has_crystal = model.new_bool_var("has seconds"), model.new_bool_var("has crystal")
    for there, slot, last in ((has_seconds, seconds, none), (has_crystal, crystal, bare)):
        model.add(slot != last).only_enforce_if(there)
        model.add(slot == last).only_enforce_if(~there)

    def of(slot, sizes, name):
        values = [whole(size) for size in sizes]
        size = model.new_int_var(min(values), max(values), name)
        model.add_element(slot, values, size)
        return size

    column = lambda slot, parts, key: of(slot, [part[key] for part in parts], key)
    c = {key: column(case, stock.cases, key) for key in
         ("dial_seat", "bottom", "shelf", "bore", "depth", "tube", "seat", "crown_at")}
    d = {key: column(dial, stock.dials, key) for key in ("diameter", "thickness", "hole")}
    m = {key: column(movement, stock.movements, key) for key in
         ("casing", "below", "pipe", "hour", "minute", "seconds", "stem")}

    # L: the dial's face, or a height of its own.
    ledge = model.new_int_var(0, 10 * MM, "ledge")
    own = of(case, [part["over_seat"] or 0 for part in stock.cases], "over seat")
    over_seat = model.new_bool_var("over seat given")
    given = model.new_int_var(0, 1, "given")
    model.add_element(case, [int(part["over_seat"] is not None) for part in stock.cases], given)
    model.add(given == 1).only_enforce_if(over_seat)
    model.add(given == 0).only_enforce_if(~over_seat)
    model.add(ledge == own).only_enforce_if(over_seat)
    model.add(ledge == d["thickness"]).only_enforce_if(~over_seat)

    model.add(c["dial_seat"] >= d["diameter"])
    model.add(d["diameter"] >= c["bottom"])
    model.add(d["hole"] >= m["pipe"])
    model.add(c["bore"] >= m["casing"])
    model.add(c["depth"] - ledge - m["below"] >= whole(0.05))
    model.add_linear_constraint(ledge + m["stem"] - c["tube"], whole(-0.30), whole(0.30))
    crowns = [(i, j) for i, one in enumerate(stock.cases) for j, other in enumerate(stock.dials)
              if other["crown_at"] in (None, one["crown_at"])]
    model.add_allowed_assignments([case, dial], crowns)
    feet = [
        (i, j, k)
        for i, one in enumerate(stock.cases) for j, other in enumerate(stock.dials)
        for k, third in enumerate(stock.movements)
        if not other["feet"]
        or whole(least_gap(other["feet"], third["holes"], one["crown_at"] - 90)) >= whole(-0.10)
    ]
    model.add_allowed_assignments([case, dial, movement], feet)

    thick = [hand["thickness"] for hand in stock.hands]
    tops, unders = {}, {}
    for name, slot, fits, there in (("hour", hour, 1.5, None), ("minute", minute, 0.9, None),
                                    ("seconds", seconds, 0.2, has_seconds)):
        when = lambda constraint: constraint if there is None else constraint.only_enforce_if(there)
        tops[name] = m[name]
        thickness = of(slot, thick + ([0.0] if there is not None else []), f"{name} thickness")
        unders[name] = m[name] - thickness
        fitting = [(at,) for at, hand in enumerate(stock.hands) if hand["fits"] == fits]
        model.add_allowed_assignments([slot], fitting + ([(none,)] if there is not None else []))
        when(model.add(unders[name] - d["thickness"] >= whole(0.05)))
        # Over an index that it reaches, both at their limits (0.02 for a size that was measured).
        blocked = []
        for i, face in enumerate(stock.dials):
            for h, hand in enumerate(stock.hands):
                if face["index"] and whole(hand["length"] + 0.02) >= whole(face["index"][1] - 0.02):
                    for k, third in enumerate(stock.movements):
                        room = third[name] - hand["thickness"] - face["thickness"] - face["index"][0]
                        if whole(room) < whole(0.05):
                            blocked.append((i, k, h))
        model.add_forbidden_assignments([dial, movement, slot], blocked)
        # Inside the ring: it widens upwards, so that the hand's underside decides.
        blocked = []
        for i, one in enumerate(stock.cases):
            for j, face in enumerate(stock.dials):
                foot = face["thickness"] if one["over_seat"] is None else one["over_seat"]
                for k, third in enumerate(stock.movements):
                    for h, hand in enumerate(stock.hands):
                        up = (third[name] - hand["thickness"] - foot) / one["height"]
                        radius = (one["bottom"] + (one["top"] - one["bottom"]) * min(max(up, 0.0), 1.0)) / 2
                        if whole(radius - hand["length"]) < 0:
                            blocked.append((i, j, k, h))
        model.add_forbidden_assignments([case, dial, movement, slot], blocked)
        # Under the crystal over its whole length, and inside its dome where it stands up into it.
        blocked = []
        for x, glass in enumerate(stock.crystals):
            for h, hand in enumerate(stock.hands):
                dome = sag(hand["length"], glass["aperture"], glass["rise"])
                for k, third in enumerate(stock.movements):
                    for i, one in enumerate(stock.cases):
                        for j, face in enumerate(stock.dials):
                            foot = face["thickness"] if one["over_seat"] is None else one["over_seat"]
                            foot += one["shelf"]
                            low = whole(foot + dome - third[name]) < whole(0.05)
                            stands = whole(third[name] - foot) > 0
                            wide = whole(glass["aperture"] / 2 - hand["length"]) < 0
                            if low or stands and wide:
                                blocked.append((i, j, k, x, h))
        model.add_forbidden_assignments([case, dial, movement, crystal, slot], blocked)
    model.add(unders["minute"] - tops["hour"] >= whole(0.05))
    model.add(unders["seconds"] - tops["minute"] >= whole(0.05)).only_enforce_if(has_seconds)
    glasses = [
        (i, x) for i, one in enumerate(stock.cases) for x, glass in enumerate(stock.crystals)
        if whole(one["seat"] - glass["diameter"]) >= 0
    ]
    model.add_allowed_assignments([case, crystal], glasses + [(i, bare) for i in range(len(stock.cases))])
    # One piece cannot be in two places.
    for h, hand in enumerate(stock.hands):
        spots = []
        for name, slot in (("hour", hour), ("minute", minute), ("seconds", seconds)):
            here = model.new_bool_var(f"{h} is {name}")
            model.add(slot == h).only_enforce_if(here)
            model.add(slot != h).only_enforce_if(~here)
            spots.append(here)
        model.add(sum(spots) <= hand["count"])

    class Gather(cp_model.CpSolverSolutionCallback):
        def __init__(self):
            super().__init__()
            self.found = set()

        def on_solution_callback(self):
            value = self.value
            name = lambda letter, at, last: "" if at == last else f"{letter}{at}"
            self.found.add((
                f"c{value(case)}", f"d{value(dial)}", f"m{value(movement)}", f"h{value(hour)}",
                f"h{value(minute)}", name("h", value(seconds), none), name("x", value(crystal), bare),
            ))

    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    gather = Gather()
    status = solver.solve(model, gather)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE):
        raise RuntimeError(f"the solver came to {solver.status_name(status)}")
    return gather.found


def ours(program, folder):
    """Every combination that the program says goes."""
    told = subprocess.run(
        [program, "combine", "--journal", folder, "--every", "--most", "1000000", "--measured-only", "--format", "json"],
        capture_output=True, text=True, check=True,
    )
    told = json.loads(told.stdout)
    if not told["complete"]["goes"]:
        raise RuntimeError("the program did not look at all there is")
    slots = ("case", "dial", "movement", "hour", "minute", "seconds", "crystal")
    found = [tuple(one["parts"].get(slot, "") for slot in slots) for one in told["goes"]]
    if len(found) != len(set(found)):
        raise RuntimeError("the program told one combination twice")
    return set(found)


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", type=Path, default=references.HOME.parent / "debug" / "endshake")
    arguments.add_argument("--bins", type=int, default=500)
    arguments.add_argument("--seed", type=int, default=1)
    asked = arguments.parse_args()
    if not asked.program.is_file():
        references.stop(f"no program at {asked.program}: build it, or say where it is with --program")
    own, solver, going, combinations, faults = 0.0, 0.0, 0, 0, []
    for seed in range(asked.seed, asked.seed + asked.bins):
        stock = Bin(seed)
        with tempfile.TemporaryDirectory() as scratch:
            folder = Path(scratch) / "journal"
            stock.write(folder)
            begun = time.perf_counter()
            found = ours(asked.program.resolve(), folder)
            own += time.perf_counter() - begun
        begun = time.perf_counter()
        wanted = solve(stock)
        solver += time.perf_counter() - begun
        combinations += len(wanted)
        going += bool(wanted)
        if found != wanted:
            faults.append(f"bin {seed}: only ours {sorted(found - wanted)[:3]}, only the solver's {sorted(wanted - found)[:3]}")
    print(f"{asked.bins} bins, {going} of them with something that goes, {combinations} combinations in all")
    print(f"endshake, from reading the journal on: {own:.1f} s; CP-SAT, from building the model on: {solver:.1f} s")
    print(f"{asked.bins - len(faults)} bins agree, {len(faults)} differ")
    for fault in faults[:20]:
        print(f"  {fault}")
    return 1 if faults or going == 0 else 0


if __name__ == "__main__":
    try:
        references.at_home(__file__)
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError, json.JSONDecodeError, RuntimeError) as fault:
        references.stop(fault)
