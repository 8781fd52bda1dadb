#!/usr/bin/env python3
"""Holds the printed JSON Schemas and the SARIF log against outside validators.

`python3 tests/outside/schemas.py --program target/debug/endshake`

The example journal must pass its schemas, read by PyYAML as editors read it (yes and no as truths, and
as words), twenty-four files with one fault each must fail while the same files without it pass, and
`fit --format sarif` must pass the published SARIF 2.1.0 schema, which comes inside the npm package
@microsoft/jest-sarif (MIT). jsonschema and PyYAML are those of requirements.txt. Exit status: 0 all as
it must be, 1 something is not, 2 it could not run.
"""

import argparse
import json
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

from references import HOME, ROOT, at_home, stop

SARIF_PACKAGE = "@microsoft/jest-sarif@1.0.0-beta.0"
SARIF_SCHEMA = "package/lib/schemas/sarif-2.1.0-rtm.5.json"

# A kind of file, what it says, and the same with one fault.
TYPOS = [
    ("journal", "title: A journal", "titel: A journal"),
    ("journal", "title: A journal\nwrist: 172", "title: A journal\nwrist: wide"),
    ("journal", "title: A\nshow: { prices: no }", "title: A\nshow: { price: no }"),
    ("journal", "title: A\ntolerances: { measured: 0.03 }", "title: A\ntolerances: { mesured: 0.03 }"),
    ("parts", "d: { kind: dial, diameter: 28.5 }", "d: { kind: dail, diameter: 28.5 }"),
    ("parts", "d: { kind: dial, diameter: 28.5 }", "d: { kind: dial, diametre: 28.5 }"),
    ("parts", "d: { kind: dial, diameter: 28.50 ±0.02 }", "d: { kind: dial, diameter: '28,50 ±0.02' }"),
    ("parts", "d: { kind: dial, diameter: 28.5 h9 }", "d: { kind: dial, diameter: 28.5 mn }"),
    ("parts", "d: { kind: dial, diameter: 12.5 lig }", "d: { kind: dial, diameter: -12.5 }"),
    ("parts", "d: { kind: dial, diameter: 0.9 gauged }", "d: { kind: dial, diameter: 0.9 guaged }"),
    ("parts", "d: { kind: dial, lume: radium }", "d: { kind: dial, lume: radon }"),
    ("parts", "d: { kind: dial, feet: [{ at: 5h25, radius: 12.6 }] }", "d: { kind: dial, feet: [{ at: 525, radius: 12.6 }] }"),
    ("parts", "d: { kind: dial, feet: [] }", "d: { kind: dial, feet: none }"),
    ("parts", "c: { kind: case, ledge: back }", "c: { kind: case, ledge: under }"),
    ("parts", "c: { kind: case, tube: { below: 2.4 } }", "c: { kind: case, tube: { belov: 2.4 } }"),
    ("parts", "d: { like: other }", "d: { diameter: 28 }"),
    ("calibres", "m: { posts: { hour: { top: 1.3 } } }", "m: { posts: { hours: { top: 1.3 } } }"),
    ("calibres", "m: { lift_angle: 52 deg }", "m: { lift_angle: 52 mm }"),
    ("build", "title: W\nstate: on the bench", "title: W\nstate: on bench"),
    ("build", "title: W\nparts: { hour: { length: 8.4 } }", "title: W\nparts: { hours: { length: 8.4 } }"),
    ("build", "title: W\ntarget: { water: 3 bar }", "title: W\ntarget: { water: 3 bars }"),
    ("entry", "date: 2026-01-17", "date: 17.1.2026"),
    ("entry", "date: 2026-01-17\naltered: [{ part: d, how: turned down }]", "date: 2026-01-17\naltered: [{ part: d, how: turned }]"),
    ("entry", "date: 2026-01-17\ntiming: [{ position: CH, rate: +6 }]", "date: 2026-01-17\ntiming: [{ position: DU, rate: +6 }]"),
]


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", type=Path, default=HOME.parent / "debug" / "endshake")
    arguments.add_argument("--journal", type=Path, default=ROOT / "content-example")
    asked = arguments.parse_args()
    if not asked.program.is_file():
        stop(f"no program at {asked.program}: build it, or say where it is with --program")
    import jsonschema

    told = json.loads(subprocess.run([asked.program, "schema"], check=True, capture_output=True).stdout)
    schemas = {}
    for name, schema in told.items():
        jsonschema.Draft202012Validator.check_schema(schema)
        schemas[name] = jsonschema.Draft202012Validator(schema)
    faults = []
    files = example(asked.journal, schemas, faults)
    for name, good, bad in TYPOS:
        for text, passes in ((good, True), (bad, False)):
            for load in loaders():
                if schemas[name].is_valid(load(text)) != passes:
                    faults.append(f"{name}: {'fails' if passes else 'passes'}: {text!r}")
    results = sarif(asked.program, asked.journal, jsonschema, faults)
    print(f"{len(told)} schemas; {files} files of the example pass; {len(TYPOS)} typos fail; "
          f"{results} SARIF results against the published schema")
    for fault in faults:
        print(f"  {fault}")
    return 1 if faults else 0


def loaders():
    """YAML of old, in which yes is a truth; and YAML of today, in which it is a word. Dates are words."""
    import yaml

    def kept(unwanted):
        class Loader(yaml.SafeLoader):
            pass

        Loader.yaml_implicit_resolvers = {
            first: [(tag, pattern) for tag, pattern in rules if tag not in unwanted]
            for first, rules in yaml.SafeLoader.yaml_implicit_resolvers.items()
        }
        return lambda text: yaml.load(text, Loader)

    date, truth = "tag:yaml.org,2002:timestamp", "tag:yaml.org,2002:bool"
    return [kept({date}), kept({date, truth})]


def example(journal, schemas, faults):
    files = [("journal", journal / "journal.yaml")]
    files += [("parts", path) for path in sorted(journal.glob("parts/*.yaml"))]
    files += [("calibres", path) for path in sorted(journal.glob("calibres/*.yaml"))]
    for path in sorted(journal.glob("builds/*/*.md")):
        files.append(("build" if path.name == "build.md" else "entry", path))
    for name, path in files:
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".md":
            text = text.split("\n---", 1)[0].removeprefix("---\n")
        for load in loaders():
            for error in schemas[name].iter_errors(load(text)):
                faults.append(f"{path.relative_to(journal)}: {error.json_path}: {error.message[:120]}")
    return len(files)


def sarif(program, journal, jsonschema, faults):
    with tempfile.TemporaryDirectory() as scratch:
        packed = subprocess.run(["npm", "pack", "--silent", SARIF_PACKAGE], cwd=scratch, check=True,
                                capture_output=True, text=True).stdout.split()[-1]
        with tarfile.open(Path(scratch) / packed) as archive:
            schema = json.load(archive.extractfile(SARIF_SCHEMA))
    done = subprocess.run([program, "fit", journal, "--format", "sarif"], capture_output=True, check=False)
    log = json.loads(done.stdout)
    validator = jsonschema.validators.validator_for(schema)(schema)
    for error in validator.iter_errors(log):
        faults.append(f"SARIF: {error.json_path}: {error.message[:160]}")
    # The schema must be able to refuse.
    broken = {**log, "version": "2.0.0"}
    if validator.is_valid(broken):
        faults.append("SARIF: the schema lets another version pass")
    results = log["runs"][0]["results"]
    rules = [rule["id"] for rule in log["runs"][0]["tool"]["driver"]["rules"]]
    for result in results:
        if rules[result["ruleIndex"]] != result["ruleId"]:
            faults.append(f"SARIF: {result['ruleId']} is not the rule at its index")
        uri = result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        if not (journal / uri).is_file():
            faults.append(f"SARIF: {uri} is no file of the journal")
    if not results:
        faults.append("SARIF: nothing is told of a journal that has findings")
    return len(results)


if __name__ == "__main__":
    try:
        at_home(__file__)
        sys.exit(main())
    except (OSError, subprocess.CalledProcessError, json.JSONDecodeError) as fault:
        stop(fault)
