#!/usr/bin/env python3
"""Compares Holebook's drills, tapped and clearance holes and bolt lengths with a third-party package, and fails on any
unexplained difference.

Package (from PyPI; without its dependencies, since only its tables are read):
    pip install --no-deps bd-warehouse==0.4.0
Run:
    python3 tests/published/holes.py [FILE]
FILE is the output of `cargo run -p holebook-tests --example dump_holes`; without it, that command is run.
Explained differences are in data/oracle_holes_explained.txt; an unused line there fails too.
"""

import sys

from oracle import HERE, Comparison, numbers, tables

EXPLAINED = HERE / "data" / "oracle_holes_explained.txt"


def inches(text, drills):
    """Returns a drill name, fraction or number in inches."""
    text = text.strip()
    if text in drills:
        return drills[text]
    whole, _, part = text.rpartition(" ")
    if "/" in part:
        upper, lower = part.split("/")
        return float(whole or 0) + int(upper) / int(lower)
    return float(text)


def drills(comparison, named):
    for row in tables("drill_sizes.csv"):
        size = row["Size"]
        if size in named:
            comparison.check("drill sizes", size, "diameter", float(row["Diameter"]), named[size], 1e-9)


def taps(comparison, named, threads):
    """Compares with the column for soft metals, whose thread percentage is like ours."""
    for row in tables("tap_hole_sizes.csv"):
        size = row["Size"].lstrip("#")
        metric = size.startswith("M")
        ours = threads.get(size.replace("-", "x").replace("x1.0", "x1") if metric else size)
        if ours is None:
            continue
        unit = 25.4 if metric else 1.0
        comparison.check("tap drills", size, "diameter", inches(row["Soft"], named), ours["tap_drill_in"] * unit, 6e-5)


def clearance(comparison, named, sizes):
    for row in tables("clearance_hole_sizes.csv"):
        size = row["Size"].replace("-", " ")
        ours = sizes.get(size)
        if ours is None:
            continue
        unit = 25.4 if size.startswith("M") else 1.0
        for fit in ("Close", "Normal", "Loose"):
            theirs = inches(row[fit], named)
            comparison.check("clearance holes", size, fit.lower(), theirs, ours[fit.lower()] * unit, 6e-5)


def lengths(comparison, ours):
    """Compares stock lengths of hex bolts, up to our longest."""
    theirs = set()
    for row in tables("nominal_screw_lengths.csv"):
        if row["Screw_Type"] in ("iso4014", "iso4017"):
            theirs |= {float(length) for length in row["Nominal_Sizes"].split(",")}
    shortest, longest = min(ours), max(ours)
    for length in sorted({l for l in theirs if shortest <= l <= longest} | set(ours)):
        found = length if length in theirs else 0.0
        comparison.check("metric bolt lengths", f"{length:g}", "sold", found, length if length in ours else None, 1e-9)


def main():
    dump = numbers(sys.argv[1] if len(sys.argv) > 1 else None, "dump_holes")
    named = {d["name"]: d["diameter_in"] for d in dump["drills"]}
    comparison = Comparison(EXPLAINED)
    drills(comparison, named)
    taps(comparison, named, dump["threads"])
    clearance(comparison, named, dump["clearance_in"])
    lengths(comparison, dump["metric_bolt_lengths_mm"])
    return comparison.report()


if __name__ == "__main__":
    sys.exit(main())
