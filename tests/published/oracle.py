#!/usr/bin/env python3
"""Compares Holebook's numbers with third-party packages, and fails on any unexplained difference.

Packages (from PyPI):
    pip install screw-thread-lib==0.0.6; pip install --no-deps bd-warehouse==0.4.0
Run:
    python3 tests/published/oracle.py [FILE]
FILE is the output of `cargo run -p holebook-tests --example dump_numbers`; without it, that command is run.
Explained differences are in data/oracle_explained.txt; an unused line there fails too.
"""

import csv
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
EXPLAINED = HERE / "data" / "oracle_explained.txt"


class Comparison:
    """Collects differences, explained and unexplained."""

    def __init__(self, explained):
        lines = [l for l in explained.read_text().splitlines() if l and not l.startswith("# ")][1:]
        self.known = {tuple(l.split("|")[:3]): l.split("|")[3:] for l in lines}
        self.used = set()
        self.counts = {}
        self.explained = []
        self.failures = []

    def check(self, table, size, what, theirs, ours, tolerance):
        self.counts[table] = self.counts.get(table, 0) + 1
        if ours is not None and abs(theirs - ours) <= tolerance:
            return
        key = (table, size, what)
        shown = "none" if ours is None else f"{ours:.7g}"
        row = (table, size, what, f"{theirs:.7g}", shown)
        known = self.known.get(key)
        if known and known[0] == row[3] and known[1] == row[4]:
            self.used.add(key)
            self.explained.append(row + (known[2],))
        else:
            self.failures.append(row)

    def report(self):
        for table, count in self.counts.items():
            different = sum(r[0] == table for r in self.explained + self.failures)
            print(f"{table}: {count} compared, {different} differ")
        if self.explained:
            print("\nExplained differences (table | size | what | theirs | ours | reason):")
        for row in self.explained:
            print("  " + " | ".join(row))
        stale = [key for key in self.known if key not in self.used]
        for row in self.failures:
            print("UNEXPLAINED: " + " | ".join(row))
        for key in stale:
            print("UNUSED EXPLANATION: " + " | ".join(key))
        return 1 if self.failures or stale else 0


def numbers(argument, example="dump_numbers"):
    """Returns the output of the Rust example, from a file if one is given."""
    return json.loads(Path(argument).read_text() if argument else run_example(example))


def run_example(name, lines=None):
    """Runs a Rust example and returns its output; with HOLEBOOK_PREBUILT set, without building it."""
    command = ["cargo", "run", "--quiet", "-p", "holebook-tests", "--example", name]
    if os.environ.get("HOLEBOOK_PREBUILT"):
        target = os.environ.get("CARGO_TARGET_DIR", HERE.parents[1] / "target")
        command = [str(Path(target) / "debug" / "examples" / name)]
    return subprocess.run(command, cwd=HERE, check=True, input=lines, stdout=subprocess.PIPE, text=True).stdout


def tables(name):
    """Reads a table of bd-warehouse without importing the package, whose dependencies are heavy."""
    package = Path(importlib.util.find_spec("bd_warehouse").submodule_search_locations[0])
    with open(package / "data" / name, newline="") as file:
        return list(csv.DictReader(file, skipinitialspace=True))


def limits(comparison, threads):
    """Compares with the rows of ASME B1.1-2019 and ASME B1.13M-2005 in screw-thread-lib."""
    from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

    for size, row in ASME_UN_2A2B_dict.items():
        ours = threads.get(f"{size} {row['series']}")
        for what in ("dmax", "dmin", "d2max", "d2min", "d1max", "D1min", "D1max", "D2min", "D2max"):
            comparison.check("B1.1-2019 rows", size, what, row[what], ours and ours["limits_in"][what], 1e-9)
    for size, row in ASME_M_6g6H_dict.items():
        ours = threads.get(size.replace("-", "x"))
        if ours is None:
            print(f"{size}: not in Holebook, skipped")
            continue
        # Printed in inches to five places from limits in whole micrometers.
        for what in ("dmax", "dmin", "d2max", "d2min", "d1max", "D1min", "D1max", "D2min", "D2max"):
            comparison.check("B1.13M-2005 rows", size, what, row[what], ours["limits_in"][what], 0.6e-5)


def pipes(comparison, threads):
    """Compares with the basic sizes of ISO 228-1 in bd-warehouse, in mm."""
    for row in tables("iso_228_1.csv"):
        ours = threads.get("G " + row["size"].replace(" ", "-"))
        if ours is None:
            continue
        comparison.check("ISO 228-1 rows", row["size"], "tpi", float(row["tpi"]), 25.4 / ours["pitch_mm"], 1e-9)
        for what, key in (("major_diameter", "dmax"), ("pitch_diameter", "d2max"), ("minor_diameter", "D1min")):
            comparison.check("ISO 228-1 rows", row["size"], what, float(row[what]), ours["limits_in"][key] * 25.4, 1e-6)


def strength(comparison, threads):
    """Compares the formulas of FED-STD-H28/2B and ISO/TR 16224, with our limits as input, for every thread."""
    from screw_thread_lib.threads import Assembly

    for designation, ours in threads.items():
        # The package has only the 60 degree form.
        if not ours["sixty_degrees"]:
            continue
        sizes = ours["limits_in"]
        data = {"n": 25.4 / ours["pitch_mm"], "dbsc": ours["nominal_mm"] / 25.4}
        data |= {key: sizes[key] for key in ("dmin", "d2min", "D1max", "D2max")}
        theirs = Assembly(data, UTSs=60_000, UTSn=20_000)
        steel = Assembly(data, UTSs=800, UTSn=800)
        soft = Assembly(data, UTSs=800, UTSn=500)
        found = {
            "ASn_min_FEDSTD_2a": theirs.ASn_min_FEDSTD_2a(),
            "ASn_FEDSTD_3": theirs.ASn_FEDSTD_3(override_limit=True),
            "ASs_min_FEDSTD_4a": theirs.ASs_min_FEDSTD_4a(),
            "ASs_FEDSTD_5": theirs.ASs_FEDSTD_5(),
            "ASs_max_FEDSTD_6b": theirs.ASs_max_FEDSTD_6b(),
            "As_ISO": theirs.As_ISO(),
            "ASb_ISO": theirs.ASb_ISO(),
            "ASn_ISO": theirs.ASn_ISO(),
            "LEr_ISO_equal": steel.LEr_ISO(1.5 * data["dbsc"]),
            "LEr_ISO_soft_nut": soft.LEr_ISO(1.8 * data["dbsc"]),
        }
        # FED-STD-H28 is for inch threads; our metric stress area is that of ISO 898-1.
        if not ours["metric"]:
            found |= {
                "As_FEDSTD_1b": theirs.As_FEDSTD_1b(),
                "LEr_FEDSTD_13": theirs.LEr_FEDSTD_13(),
                "LEr_FEDSTD_14": theirs.LEr_FEDSTD_14(),
                "LEr_FEDSTD_15": theirs.LEr_FEDSTD_15(),
                "LEr_FEDSTD_16": theirs.LEr_FEDSTD_16(),
            }
        for what, value in found.items():
            comparison.check("strength formulas", designation, what, value, ours["strength"][what], 1e-9 * value)


def main():
    dump = numbers(sys.argv[1] if len(sys.argv) > 1 else None)
    threads = {t["designation"]: t for t in dump["threads"]}
    comparison = Comparison(EXPLAINED)
    limits(comparison, threads)
    pipes(comparison, threads)
    strength(comparison, threads)
    return comparison.report()


if __name__ == "__main__":
    sys.exit(main())
