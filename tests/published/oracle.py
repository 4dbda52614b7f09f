#!/usr/bin/env python3
"""Compares Holebook's numbers with packages made elsewhere, and fails on any difference that is not explained.

Packages (from PyPI; the second without its dependencies, since only its tables are read):
    pip install screw-thread-lib==0.0.6
    pip install --no-deps bd-warehouse==0.4.0
Run:
    python3 tests/published/oracle.py [FILE]
FILE holds what `cargo run -p holebook-tests --example dump_numbers` printed; without it, that command is run here.
Explained differences stand in data/oracle_explained.txt; a line there that explains nothing fails too.
"""

import csv
import importlib.util
import json
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
EXPLAINED = HERE / "data" / "oracle_explained.txt"


class Comparison:
    """Gathers differences, and sorts them into explained and not."""

    def __init__(self):
        lines = [l for l in EXPLAINED.read_text().splitlines() if l and not l.startswith("# ")][1:]
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
            print("NOT EXPLAINED: " + " | ".join(row))
        for key in stale:
            print("EXPLAINS NOTHING: " + " | ".join(key))
        return 1 if self.failures or stale else 0


def numbers(argument):
    """What the Rust example printed."""
    if argument:
        return json.loads(Path(argument).read_text())
    command = ["cargo", "run", "--quiet", "-p", "holebook-tests", "--example", "dump_numbers"]
    return json.loads(subprocess.run(command, cwd=HERE, check=True, stdout=subprocess.PIPE).stdout)


def limits(comparison, threads):
    """Table rows of ASME B1.1-2019 and ASME B1.13M-2005 as screw-thread-lib carries them."""
    from screw_thread_lib.data import ASME_M_6g6H_dict, ASME_UN_2A2B_dict

    for size, row in ASME_UN_2A2B_dict.items():
        ours = threads.get(f"{size} {row['series']}")
        for what in ("dmax", "dmin", "d2max", "d2min", "d1max", "D1min", "D1max", "D2min", "D2max"):
            comparison.check("B1.1-2019 rows", size, what, row[what], ours and ours["limits_in"][what], 1e-9)
    for size, row in ASME_M_6g6H_dict.items():
        ours = threads.get(size.replace("-", "x"))
        if ours is None:
            print(f"{size}: not kept here, left out")
            continue
        # Printed in inches to five places from limits in whole micrometres.
        for what in ("dmax", "dmin", "d2max", "d2min", "d1max", "D1min", "D1max", "D2min", "D2max"):
            comparison.check("B1.13M-2005 rows", size, what, row[what], ours["limits_in"][what], 0.6e-5)


def strength(comparison, threads):
    """Formulas of FED-STD-H28/2B and ISO/TR 16224, fed with our limits, for every thread kept here."""
    from screw_thread_lib.threads import Assembly

    for designation, ours in threads.items():
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
        # The stress area of FED-STD-H28 is for inch threads; ours for metric ones is that of ISO 898-1.
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


def tables(name):
    """A table of bd-warehouse; the package is not imported, since its dependencies are heavy."""
    package = Path(importlib.util.find_spec("bd_warehouse").submodule_search_locations[0])
    with open(package / "data" / name, newline="") as file:
        return list(csv.DictReader(file, skipinitialspace=True))


def inches(text, drills):
    """A drill's name, a fraction, or a number, in inches."""
    text = text.strip()
    if text in drills:
        return drills[text]
    whole, _, part = text.rpartition(" ")
    if "/" in part:
        upper, lower = part.split("/")
        return float(whole or 0) + int(upper) / int(lower)
    return float(text)


def drills(comparison, dump):
    """Drill, tap drill and clearance tables."""
    named = {d["name"]: d["diameter_in"] for d in dump["drills"]}
    for row in tables("drill_sizes.csv"):
        size = row["Size"]
        if size in named:
            comparison.check("drill sizes", size, "diameter", float(row["Diameter"]), named[size], 1e-9)
    by_size = {}
    for t in dump["threads"]:
        by_size[t["designation"].split(" ")[0]] = t
    for row in tables("tap_hole_sizes.csv"):
        size = row["Size"].lstrip("#")
        ours = by_size.get(size.replace("-", "x").replace("x1.0", "x1") if size.startswith("M") else size)
        if ours is None:
            continue
        unit = 25.4 if size.startswith("M") else 1.0
        theirs = inches(row["Soft"], named)
        comparison.check("tap drills", size, "diameter", theirs, ours["tap_drill"]["diameter_in"] * unit, 6e-5)
    for row in tables("clearance_hole_sizes.csv"):
        size = row["Size"]
        for t in dump["threads"]:
            common = t["designation"].endswith("UNC") or t["metric"]
            mine = t["designation"].split("x" if t["metric"] else "-")[0]
            if common and mine == size and t["clearance_in"] is not None:
                unit = 25.4 if t["metric"] else 1.0
                theirs = inches(row["Normal"], named)
                comparison.check("clearance holes", size, "normal fit", theirs, t["clearance_in"] * unit, 6e-5)


def main():
    dump = numbers(sys.argv[1] if len(sys.argv) > 1 else None)
    threads = {t["designation"]: t for t in dump["threads"]}
    comparison = Comparison()
    limits(comparison, threads)
    strength(comparison, threads)
    drills(comparison, dump)
    return comparison.report()


if __name__ == "__main__":
    sys.exit(main())
