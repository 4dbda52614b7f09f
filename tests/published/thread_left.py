#!/usr/bin/env python3
"""Compares what damage leaves of a thread with polygons clipped by shapely, and fails above 1e-6.

The mean height round the circumference is an area once angle and radius are drawn as the two sides of a rectangle. So
each damage circle becomes a polygon of many short chords in that plane, shapely unites them and clips them out of the
rectangle of the flank, and the area that remains is the answer. None of Holebook's formulas is used.

Package (from PyPI):
    pip install shapely==2.2.0
Run:
    python3 tests/published/thread_left.py [CASES]
"""

import json
import math
import random
import subprocess
import sys

from shapely import LineString, Polygon, box, unary_union
from shapely.affinity import translate

CHORDS = 8_000
TOLERANCE = 1e-6
TURN = 2 * math.pi


def edge(station, start, end):
    """Points of the damage circle as (angle, radius) about the intended centre, angles running on without a jump.

    The angle about the circle's own centre runs from start to end, counted from its direction.
    """
    radius, offset = station["diameter_mm"] / 2, station["offset_mm"]
    direction = math.radians(station["direction_deg"])
    points = []
    for i in range(CHORDS + 1):
        t = start + (end - start) * i / CHORDS
        x, y = offset + radius * math.cos(t), radius * math.sin(t)
        points.append((math.atan2(y, x) + direction, math.hypot(x, y)))
    return points


def around(station):
    """A circle that holds the centre: everything below its edge, over one turn."""
    points = edge(station, -math.pi + 1e-12, math.pi - 1e-12)
    first, last = points[0], points[-1]
    return Polygon([(first[0], 0), *points, (last[0], 0)])


def beside(station, major):
    """A circle beside the centre: everything below its far edge, for the rays that enter it below the major radius."""
    radius, offset = station["diameter_mm"] / 2, station["offset_mm"]
    tangent = math.acos(-radius / offset)  # about the circle's own centre
    near = LineString(edge(station, tangent, TURN - tangent))
    inside = near.intersection(box(-100, 0, 100, major))
    if inside.is_empty or inside.length == 0:
        return None
    low, _, high, _ = inside.bounds
    far = edge(station, -tangent, tangent)
    shadow = Polygon([(far[0][0], 0), *far, (far[-1][0], 0)])
    return shadow.intersection(box(low, 0, high, 100))


def fraction(case, depth):
    drilled, major = case["drilled_mm"] / 2, case["major_mm"] / 2
    flank = box(0, drilled, TURN, major)
    gone = []
    for station in case["damage"]["stations"]:
        if not station["from_mm"] <= depth < station["to_mm"]:
            continue
        holds = station["offset_mm"] <= station["diameter_mm"] / 2
        shape = around(station) if holds else beside(station, major)
        if shape is not None:
            copies = [translate(shape, turns * TURN) for turns in (-2, -1, 0, 1, 2)]
            gone += [copy.intersection(flank) for copy in copies if copy.intersects(flank)]
    left = flank.difference(unary_union(gone)) if gone else flank
    return left.area / flank.area


def engagement(case):
    low, high = case["engaged"]["from_mm"], case["engaged"]["to_mm"]
    spans = case["damage"]["stations"] + case["damage"]["hard"]
    cuts = sorted({low, high, *(s[k] for s in spans for k in ("from_mm", "to_mm") if low < s[k] < high)})
    total = 0
    for a, b in zip(cuts, cuts[1:]):
        hard = any(z["from_mm"] <= a < z["to_mm"] for z in case["damage"]["hard"])
        total += 0 if hard else (b - a) * fraction(case, a)
    return total


def random_case(random_):
    number = lambda low, high: round(random_.uniform(low, high), 4)
    drilled = number(4, 28)
    major = round(drilled + number(0.4, 3), 4)
    stations = []
    for _ in range(random_.choice([0, 1, 1, 1, 2, 3])):
        start = number(0, 12)
        kind = random_.random()
        if kind < 0.6:  # near the ring, holding the centre
            diameter = round(random_.uniform(drilled * 0.8, major * 1.1), 4)
            offset = round(random_.uniform(0, diameter * 0.3), 4)
        elif kind < 0.7:  # its edge through the centre
            diameter = round(random_.uniform(drilled * 0.5, major), 4)
            offset = diameter / 2
        else:  # beside
            diameter = number(1, major)
            offset = round(diameter / 2 + random_.uniform(0.01, major * 0.6), 4)
        stations.append({"from_mm": start, "to_mm": round(start + number(1, 12), 4), "diameter_mm": diameter,
                         "offset_mm": offset, "direction_deg": number(-180, 180)})
    hard = [{"from_mm": 1.0, "to_mm": number(1.5, 5)}] if random_.random() < 0.3 else []
    return {"drilled_mm": drilled, "major_mm": major, "damage": {"stations": stations, "hard": hard},
            "depths_mm": [number(0, 20) for _ in range(3)],
            "engaged": {"from_mm": number(0, 3), "to_mm": number(8, 25)}}


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    random_ = random.Random(20261125)
    cases = [random_case(random_) for _ in range(count)]
    command = ["cargo", "run", "-q", "-p", "holebook-tests", "--example", "dump_thread_left"]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    answer = subprocess.run(command, input=lines, capture_output=True, text=True, check=True).stdout
    worst, touched, failures = 0.0, 0, 0
    for case, line in zip(cases, answer.splitlines(), strict=True):
        ours = json.loads(line)
        pairs = [(fraction(case, d), f) for d, f in zip(case["depths_mm"], ours["fractions"], strict=True)]
        touched += sum(0 < theirs < 1 for theirs, _ in pairs)
        length = case["engaged"]["to_mm"] - case["engaged"]["from_mm"]
        pairs.append((engagement(case) / length, ours["effective_engagement_mm"] / length))
        for theirs, mine in pairs:
            worst = max(worst, abs(theirs - mine))
            if abs(theirs - mine) > TOLERANCE:
                failures += 1
                print(f"DIFFERS: shapely {theirs:.9f}, ours {mine:.9f}: {json.dumps(case)}")
    print(f"{count} damages, {touched} depths with part of the thread left; largest difference {worst:.2e}")
    if touched < count // 2:
        sys.exit("too few of the depths say anything")
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
