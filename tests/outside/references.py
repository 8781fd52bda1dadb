#!/usr/bin/env python3
"""Runs the program on random journals beside reference libraries, and prints how far they differ.

`python3 tests/outside/references.py --program target/debug/endshake`

The libraries are those of requirements.txt, in an environment that the script makes for itself under
target/. Exit status: 0 all within what is allowed, 1 something differs, 2 it could not run.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import venv
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
HOME = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "outside-references"


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", type=Path, default=HOME.parent / "debug" / "endshake")
    arguments.add_argument("--builds", type=int, default=24, help="how many random builds")
    arguments.add_argument("--samples", type=int, default=200_000, help="random samples a check")
    arguments.add_argument("--seed", type=int, default=20260115)
    arguments.add_argument("--keep", type=Path, help="write the random journal here and leave it")
    asked = arguments.parse_args()
    if not asked.program.is_file():
        stop(f"no program at {asked.program}: build it, or say where it is with --program")
    sys.path.insert(0, str(HERE))
    from comparison import Comparison

    with tempfile.TemporaryDirectory() as scratch:
        folder = asked.keep or Path(scratch) / "journal"
        if folder.exists():
            stop(f"{folder} is there already")
        folder.mkdir(parents=True)
        comparison = Comparison(asked.program.resolve(), folder, asked.builds, asked.samples, asked.seed)
        comparison.run()
    print(comparison.table())
    for fault in comparison.faults[:40]:
        print(f"  {fault}")
    if len(comparison.faults) > 40:
        print(f"  and {len(comparison.faults) - 40} more")
    return 1 if comparison.faults else 0


def stop(why):
    print(f"references: {why}", file=sys.stderr)
    sys.exit(2)


def at_home(script=__file__):
    """Runs a script in an environment of its own, which it makes when it is not there or not whole."""
    wanted = (HERE / "requirements.txt").read_bytes()
    python = HOME / "bin" / "python"
    stamp = HOME / "requirements.txt"
    if Path(sys.prefix).resolve() == HOME.resolve():
        return
    if not stamp.is_file() or stamp.read_bytes() != wanted:
        shutil.rmtree(HOME, ignore_errors=True)
        venv.create(HOME, with_pip=True)
        install = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r",
                   str(HERE / "requirements.txt")]
        subprocess.run(install, check=True)
        stamp.write_bytes(wanted)
    os.execv(python, [str(python), str(Path(script).resolve()), *sys.argv[1:]])


if __name__ == "__main__":
    try:
        at_home()
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError, json.JSONDecodeError) as fault:
        stop(fault)
