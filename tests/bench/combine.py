#!/usr/bin/env python3
"""How long `combine` takes, and how much memory, over the size of the bin.

`python3 tests/bench/combine.py --program target/release/endshake`

The bins are made up: ten families of cases, dials, movements and hands with the sizes of small watches,
each part measured for itself, so that no two are alike. A row is one bin: how many parts of each kind,
how many combinations, how many of case, dial and movement two of them do not rule out, how many of
those were looked into for the fifty best, seconds and megabytes of the whole process, and of reading
the same journal alone. The default is to tell both lists, what goes and what is not all measured;
the times are given for the first alone, too.

A second table stands beside a constraint solver, on the bins of tests/outside/combine.py and larger ones
of their kind: there every combination that goes is asked for, of both, and what they say is compared. A
solver that enumerates is done with much smaller bins; it is asked until a row takes it a minute.
"""

import argparse
import importlib.util
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
ROWS = [(10, 10, 8, 15, 8), (25, 25, 20, 40, 20), (50, 50, 40, 75, 40), (100, 100, 75, 150, 75),
        (200, 200, 150, 300, 150)]


def bin_of(cases, dials, movements, hands, crystals, seed):
    rng = random.Random(seed)
    near = lambda middle, by: round(rng.uniform(middle - by, middle + by), 2)
    family = lambda: rng.randrange(10)
    out = []
    for at in range(cases):
        seat = 26.0 + family()
        wide = near(seat, 0.15)
        out.append(
            f"case-{at}: {{ kind: case, origin: measured, diameter: {near(seat + 9, 1)}, lug_to_lug: {near(seat + 16, 1)}, "
            f"crown_at: {rng.choice(['3h', '3h', '3h', '4h'])}, dial_seat: {wide}, rehaut: {{ bottom: {near(seat - 1, 0.1)}, "
            f"top: {near(seat - 0.3, 0.1)}, height: {near(1.5, 0.2)} }}, shelf: {near(2.1, 0.3)}, bore: {near(seat - 0.4, 0.15)}, "
            f"depth: {near(5.3, 0.4)}, back_to_ledge: {near(6.2, 0.4)}, rim: {near(3, 0.2)}, "
            f"tube: {{ below: {near(2.35, 0.2)} }}, crystal_seat: {{ diameter: {near(seat + 2.2, 0.3)} }} }}"
        )
    for at in range(dials):
        size = 26.0 + family()
        feet = rng.choice([
            "feet: []",
            "feet: [{ at: 4h30, radius: %.2f, diameter: 0.7 }, { at: 10h30, radius: %.2f, diameter: 0.7 }]"
            % (near(size / 2 - 1.5, 0.05), near(size / 2 - 1.5, 0.05)),
        ])
        index = f"indices: {{ height: {near(0.35, 0.15)}, inner_radius: {near(size / 2 - 3.5, 0.5)} }}, " if rng.random() < 0.5 else ""
        out.append(
            f"dial-{at}: {{ kind: dial, origin: measured, diameter: {near(size - 0.1, 0.25)}, thickness: {near(0.42, 0.06)}, "
            f"centre_hole: {near(2.2, 0.15)}, track_diameter: {near(size - 1.6, 0.3)}, {index}{feet}, lume: none }}"
        )
    for at in range(movements):
        size = 26.0 + family()
        radius = size / 2 - 1.5
        out.append(
            f"mv-{at}: {{ kind: movement, origin: measured, casing_diameter: {near(size - 0.5, 0.1)}, height_below: {near(4.3, 0.3)}, "
            f"posts: {{ hour: {{ fits: {rng.choice([1.2, 1.5])}, top: {near(0.95, 0.12)}, pipe_diameter: {near(1.98, 0.03)} }}, "
            f"minute: {{ fits: {rng.choice([0.7, 0.9])}, top: {near(1.36, 0.12)} }}, "
            f"seconds: {{ fits: {rng.choice([0.2, 0.25])}, top: {near(1.76, 0.12)} }} }}, stem: {{ below: {near(1.9, 0.1)} }}, "
            f"foot_holes: [{{ at: 4h30, radius: {radius}, diameter: 0.8 }}, {{ at: 10h30, radius: {radius}, diameter: 0.8 }}] }}"
        )
    for name, fits, reach in (("h", (1.2, 1.5), 8.0), ("m", (0.7, 0.9), 12.0), ("s", (0.2, 0.25), 12.3)):
        for at in range(hands):
            out.append(
                f"{name}-{at}: {{ kind: hand, origin: measured, fits: {rng.choice(fits)}, length: {near(reach, 2.5)}, "
                f"thickness: {near(0.16, 0.06)} }}"
            )
    for at in range(crystals):
        seat = 28.2 + family()
        form = f"form: domed, inner_rise: {near(0.9, 0.4)}" if rng.random() < 0.5 else "form: flat"
        out.append(
            f"crystal-{at}: {{ kind: crystal, origin: measured, diameter: {near(seat - 0.1, 0.3)}, {form}, held: glued, "
            f"inner_aperture: {near(seat - 2, 0.3)}, height: {near(2.0, 0.5)} }}"
        )
    return "\n".join(out) + "\n"


def beside_the_solver(program, outside):
    print("\ntimes as many parts  bins  combinations that go  endshake s  CP-SAT s")
    for times in range(1, 7):
        own = solver = 0.0
        count = 0
        for seed in range(1, 6):
            stock = outside.Bin(seed, times)
            with tempfile.TemporaryDirectory() as scratch:
                folder = Path(scratch) / "journal"
                stock.write(folder)
                begun = time.perf_counter()
                found = outside.ours(program, folder)
                own += time.perf_counter() - begun
            begun = time.perf_counter()
            wanted = outside.solve(stock)
            solver += time.perf_counter() - begun
            if found != wanted:
                sys.exit(f"bin {seed}, {times} times: {len(found)} go, and {len(wanted)} by the solver")
            count += len(found)
        print(f"{times:19} {5:5} {count:21} {own:11.2f} {solver:9.2f}", flush=True)
        if solver > 60:
            break


def load_outside():
    folder = ROOT / "tests" / "outside"
    sys.path.insert(0, str(folder))
    spec = importlib.util.spec_from_file_location("outside_combine", folder / "combine.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def run(arguments):
    """CPU seconds, seconds, megabytes at the most, and what was printed."""
    begun = time.perf_counter()
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(arguments, stdout=out, stderr=subprocess.DEVNULL)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        taken = time.perf_counter() - begun
        out.seek(0)
        return used.ru_utime + used.ru_stime, taken, used.ru_maxrss / 1024, out.read()


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", type=Path, default=ROOT / "target" / "release" / "endshake")
    arguments.add_argument("--seed", type=int, default=1)
    arguments.add_argument("--most", type=int, default=50)
    asked = arguments.parse_args()
    if not asked.program.is_file():
        sys.exit(f"no program at {asked.program}: cargo build --release, or say where it is with --program")
    outside = load_outside()
    # The solver comes from PyPI, into an environment of its own.
    outside.references.at_home(__file__)
    print("cases dials movements hands crystals  combinations  standing  looked into  found  CPU s      s    MB"
          "  both lists: CPU s      s    MB   reading s")
    for row in ROWS:
        with tempfile.TemporaryDirectory() as scratch:
            journal = Path(scratch)
            (journal / "parts").mkdir()
            (journal / "journal.yaml").write_text("title: A large bin\n")
            cases, dials, movements, hands, crystals = row
            (journal / "parts" / "bin.yaml").write_text(bin_of(*row, asked.seed))
            _, reading, _, _ = run([asked.program, "fit", "--journal", journal])
            search = [asked.program, "combine", "--journal", journal, "--most", str(asked.most), "--format", "json"]
            spent, taken, memory, out = run([*search, "--measured-only"])
            both_spent, both_taken, both_memory, _ = run(search)
        told = json.loads(out)
        print(f"{cases:5} {dials:5} {movements:9} {hands:3}x3 {crystals:8}  {told['combinations']:12.1e}  {told['standing']:8} "
              f" {told['looked_into']:11}  {len(told['goes']):5} {spent:6.2f} {taken:6.2f} {memory:5.0f} "
              f"{both_spent:18.2f} {both_taken:6.2f} {both_memory:5.0f} {reading:11.2f}", flush=True)
    beside_the_solver(asked.program.resolve(), outside)


if __name__ == "__main__":
    main()
