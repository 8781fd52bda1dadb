"""The program's findings on random builds against the reference libraries."""

import json
import subprocess
from dataclasses import dataclass

import numpy as np
from scipy import optimize
from uncertainties import ufloat

import formulas
import journals
import shapes

# The program writes lengths to a tenth of a micrometre.
GRAIN = 1.01e-4


@dataclass
class Row:
    compared: int = 0
    worst: float = 0.0
    allowed: float = 0.0
    where: str = ""


class Comparison:
    def __init__(self, program, folder, builds, samples, seed):
        self.program, self.folder, self.samples, self.seed = program, folder, samples, seed
        self.builds = journals.write(folder, builds, seed)
        self.rows, self.faults, self.unmatched, self.left_out = {}, [], set(), 0

    def run(self):
        command = [self.program, "fit", "--format", "json", "--journal", self.folder]
        done = subprocess.run(command, capture_output=True, text=True)
        if done.returncode not in (0, 1):
            raise OSError(f"the program ended with {done.returncode}:\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
        told = {build["slug"]: build for build in json.loads(done.stdout)["builds"]}
        for number, build in enumerate(self.builds):
            findings = {(f["check"], f["about"]): f for f in told[build.slug]["findings"]}
            sampler = Sampler(build, self.samples, self.seed + number)
            for check in formulas.checks(build):
                finding = findings.pop((check.name, check.about), None)
                place = f"{build.slug} {check.name} {check.about}".strip()
                if finding is None:
                    if not check.optional:
                        self.unmatched.add(f"{check.name} ({check.about}): computed here, not told")
                    continue
                self.one(build, check, finding, sampler, place)
            for name, about in findings:
                self.unmatched.add(f"{name} ({about}): told, not computed here")
            self.shapes(build, told[build.slug]["findings"])

    def one(self, build, check, finding, sampler, place):
        if finding["nominal"] is None:
            missing = ", ".join(gap["name"] for gap in finding["missing"])
            self.faults.append(f"{place}: {finding['verdict']}, missing {missing}")
            return
        sizes = sampler.sizes(check)
        nominal = check.formula(lambda name: sizes[name].value)
        scale = max(1.0, abs(nominal) / 100)
        self.note("own formulas: nominal result", place, finding["nominal"], nominal, GRAIN * scale)

        self.verdict(check, finding, place)

        names = used(check.formula, sizes)
        values = check.formula(lambda name: sampler.of(name, sizes[name]))
        values = np.broadcast_to(values, (self.samples,))
        self.shares(check, finding, sizes, names, values, place)
        self.chance(check, finding, values, place)
        self.worst(check, finding, sizes, names, place, scale)

    def verdict(self, check, finding, place):
        """Band and contact as the printed table has them, and the verdict that follows by its rules."""
        for ours, theirs in zip(finding["band"] + finding["contact"], [check.low, check.high, *check.contact]):
            told, printed = (1e9 if end is None else end for end in (ours, theirs))
            self.note("printed table: ends of band and contact", place, told, printed, 1e-9)
        low, high = check.contact
        worst_inside = (check.low is None or check.low <= finding["low"]) and (
            check.high is None or finding["high"] <= check.high)
        if (low is not None and finding["nominal"] < low) or (high is not None and high < finding["nominal"]):
            expected = "fouls"
        elif finding["chance_out"] <= 0.01 and (worst_inside or not check.at_its_worst):
            expected = None if check.in_trouble else "clear"
        else:
            expected = "tight"
        said = {None: 0, "clear": 1, "tight": 2, "fouls": 3, "unmeasured": 4}
        self.note("printed rules: verdict", place, said[finding["verdict"]], said[expected], 0)

    def shares(self, check, finding, sizes, names, values, place):
        """First order: each size's share of the variance, by `uncertainties`."""
        carried = {name: ufloat(sizes[name].middle, sizes[name].sigma, tag=name) for name in names}
        try:
            result = check.formula(lambda name: carried[name] if sizes[name].sigma else sizes[name].value)
            parts = {variable.tag: part * part for variable, part in result.error_components().items()}
        except (AttributeError, ZeroDivisionError):
            return
        total = sum(parts.values())
        if check.sampled:
            # The program's shares are then those of its sample.
            return
        # Where the sample scatters otherwise, the first order says nothing: a kink or a curve is near.
        if total == 0 or abs(total**0.5 / float(values.std()) - 1) > 0.02:
            self.left_out += 1
            return
        ours = sorted((d["share"] or 0.0 for d in finding["dimensions"]), reverse=True)
        theirs = sorted((part / total for part in parts.values()), reverse=True)
        for index, share in enumerate(theirs):
            told = ours[index] if index < len(ours) else 0.0
            # Of a quotient the program takes its slopes at the nominal sizes, the library at the means.
            self.note("uncertainties: shares of the variance", place, told, share, 8e-3 if quotient(check) else 2e-3)
        # Where nothing is uniform and nothing bends, the likely interval is 1.96 sigma either way.
        straight = not check.sampled and all(not sizes[name].uniform for name in names)
        if straight and finding["likely_low"] is not None:
            half = (finding["likely_high"] - finding["likely_low"]) / 2
            sigma = total**0.5
            self.note("uncertainties: half of the likely interval", place, half, 1.959964 * sigma, 3e-4 + 0.01 * sigma)

    def chance(self, check, finding, values, place):
        """The chance of lying outside the band and the likely interval, by numpy's random numbers."""
        expected = 0.0
        # By definition a side that the worst case does not reach counts nothing, tails or not.
        if check.low is not None and finding["low"] < check.low:
            expected += float((values < check.low - 5e-5).mean())
        if check.high is not None and check.high < finding["high"]:
            expected += float((values > check.high + 5e-5).mean())
        # The program's own fixed sample has 2048 points.
        theirs = 2048 if check.sampled else 10**9
        noise = 4 * (max(expected * (1 - expected), 1e-5) * (1 / theirs + 1 / len(values))) ** 0.5
        kind = "bending formulas" if check.sampled else "straight formulas"
        self.note(f"numpy: chance outside the band, {kind}", place, finding["chance_out"], expected, noise + 1e-3)
        if finding["likely_low"] is not None:
            spread = float(values.std())
            for key, percent in (("likely_low", 2.5), ("likely_high", 97.5)):
                theirs = float(np.percentile(values, percent))
                # A quantile of random draws scatters by 2.7 deviations over the root of their number.
                share = 4 * 2.7 / len(values) ** 0.5 + (0.1 if check.sampled else 0.0)
                # A quotient bends a little, which the first order leaves out.
                share += 0.05 if quotient(check) else 0.0
                kind = "bending formulas" if check.sampled else "straight formulas"
                source = f"numpy: ends of the likely interval, {kind}"
                self.note(source, place, finding[key], theirs, 2e-4 + share * spread)

    def worst(self, check, finding, sizes, names, place, scale):
        """No corner, sample or local optimum may lie beyond the worst case, nor far inside it."""
        names = [name for name in names if sizes[name].plus or sizes[name].minus]
        if not names:
            return
        bottom = np.array([sizes[name].value - sizes[name].minus for name in names])
        top = np.array([sizes[name].value + sizes[name].plus for name in names])

        def at(points):
            columns = dict(zip(names, points.T))
            result = check.formula(lambda name: columns.get(name, np.full(len(points), sizes[name].value)))
            return np.broadcast_to(result, (len(points),))

        points = np.vstack([corners(bottom, top), inside(bottom, top)])
        values = at(points)
        for key, sign in (("low", 1), ("high", -1)):
            order = np.argsort(sign * values)[:2]
            found = sign * values[order[0]]
            for start in points[order]:
                best = optimize.minimize(lambda x: sign * float(at(np.clip(x, bottom, top)[None])[0]), start,
                                         method="Powell", bounds=list(zip(bottom, top)),
                                         options={"maxfev": 3000 if check.sampled else 400, "xtol": 1e-6, "ftol": 1e-9})
                found = min(found, best.fun)
            found *= sign
            told = finding[key]
            beaten = max(0.0, (told - found) * sign)
            self.note("scipy: worst case beaten by", place, beaten, 0.0, GRAIN * scale)
            slack = 2e-4 * scale + (1e-3 if check.sampled else 0.0)
            source = "scipy: worst case beyond what was found"
            if check.name == "hand-in-ring" and self.on_the_rim(check, sizes):
                # The step over the rim cuts the box slantwise, where the optimiser from outside finds no slope.
                source, slack = source + ", hand at the ring's rim", 0.01
            self.note(source, place, max(0.0, (found - told) * sign), 0.0, slack)

    def on_the_rim(self, check, sizes):
        """Whether a hand's top may lie on either side of the rehaut's upper edge."""
        if "case.rehaut.height" not in sizes:
            return False
        hand = check.about
        parts = [(1, f"movement.posts.{hand}.top"), (1, f"{hand}.proud"), (-1, "case.rehaut.height")]
        if check.over_front:
            parts += [(-1, "dial.thickness")]
        parts += [(-1, "shim.thickness")] if "shim.thickness" in sizes else []
        middle = sum(sign * sizes[name].value for sign, name in parts)
        reach = sum(max(sizes[name].plus, sizes[name].minus) for _, name in parts)
        thickness = sizes[f"{hand}.thickness"]
        return -reach <= middle <= reach + thickness.value + thickness.plus

    def shapes(self, build, findings):
        for source, place, told, found, allowed in shapes.compare(build, findings):
            self.note(f"shapely: {source}", f"{build.slug} {place}", told, found, allowed)

    def note(self, source, place, ours, theirs, allowed):
        row = self.rows.setdefault(source, Row())
        row.compared += 1
        difference = abs(ours - theirs)
        if not difference <= allowed:
            self.faults.append(f"{source}: {place}: program {ours}, reference {theirs:.6g}, allowed {allowed:.2g}")
        if row.where == "" or difference * row.allowed > row.worst * allowed or not row.allowed:
            row.worst, row.allowed, row.where = difference, allowed, place

    def table(self):
        width = max((len(source) for source in self.rows), default=10)
        lines = [f"{'reference':{width}}  compared  largest difference (allowed) at"]
        for source, row in self.rows.items():
            lines.append(f"{source:{width}}  {row.compared:8}  {row.worst:.1e} ({row.allowed:.1e}) at {row.where}")
        lines.append(f"{'all':{width}}  {sum(row.compared for row in self.rows.values()):8}")
        lines.append(f"{self.left_out} results bend too much for a first order and have no shares compared")
        lines += [f"not compared: {pair}" for pair in sorted(self.unmatched)]
        return "\n".join(lines)


class Sampler:
    """Random values of a build's sizes: the same ones wherever the same size is used."""

    def __init__(self, build, count, seed):
        self.build, self.count = build, count
        self.random = np.random.default_rng(seed)
        self.drawn = {}

    def sizes(self, check):
        return {**self.build.sizes, **(check.play or {})}

    def of(self, name, size):
        key = (name, size)
        if key not in self.drawn:
            if size.sigma == 0:
                values = np.full(self.count, size.value)
            elif size.uniform:
                values = self.random.uniform(size.value - size.minus, size.value + size.plus, self.count)
            else:
                values = self.random.normal(size.middle, size.sigma, self.count)
            self.drawn[key] = values
        return self.drawn[key]


def quotient(check):
    return check.name in ("crystal-gasket", "back-gasket", "crystal-strength")


def used(formula, sizes):
    """The names that a formula asks for, in order."""
    asked = []

    def q(name):
        if name not in asked:
            asked.append(name)
        return sizes[name].value

    formula(q)
    return asked


def corners(bottom, top):
    count = len(bottom)
    if count <= 12:
        picks = (np.arange(2**count)[:, None] >> np.arange(count)) & 1
    else:
        picks = np.random.default_rng(count).integers(0, 2, (8192, count))
    return np.where(picks, top, bottom)


def inside(bottom, top):
    return np.random.default_rng(len(bottom)).uniform(bottom, top, (10_000, len(bottom)))
