#!/usr/bin/env python3
"""Compares the thread that damage leaves with polygons clipped by shapely, and fails above 1e-6.

With angle and radius as the sides of a rectangle, the mean thread height around the circumference is an area. Each
damage circle becomes a polygon of short chords in that plane; shapely clips it to the flank and unites it with the
others, and the remaining area is the result. Where a circle's edge crosses the edges of the flank is found by bisection.
None of Holebook's formulas is used.

Half of a circle's edge within the flank is divided into CHORDS. A chord deviates from its curve by less than a twelfth
of the square of its angle, so the polygons are off by less than (pi / CHORDS)^2 / 12 of the flank, which is 9e-8. The
change with twice as many chords is printed.

Each damage is compared at one depth. For one in EVERY the engagement over depth is compared too, integrated with an
adaptive Gauss-Kronrod rule where circles taper or tilt.

Packages (from PyPI):
    pip install shapely==2.2.0 numpy==2.4.6
Run:
    python3 tests/published/thread_left.py [CASES]
"""

import json
import math
import random
import sys
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import shapely
from oracle import run_example

CHORDS = 3_000
TOLERANCE = 1e-6
EVERY = 100
TURN = 2 * math.pi


def circle_at(station, depth):
    """Returns radius, offset and direction of a station's circle at a depth, interpolated between its ends."""
    share = (depth - station["from_mm"]) / (station["to_mm"] - station["from_mm"])

    def end(prefix):
        keys = ("diameter_mm", "offset_mm", "direction_deg")
        diameter, offset, direction = (station.get(prefix + key, station[key]) for key in keys)
        angle = math.radians(direction)
        return np.array([diameter / 2, offset * math.cos(angle), offset * math.sin(angle)])

    radius, x, y = (1 - share) * end("") + share * end("to_")
    return radius, math.hypot(x, y), math.atan2(y, x)


def crossing(radius, offset, limit, start, end):
    """Returns the angle about the circle's own center at which its edge is `limit` from the intended center."""
    for _ in range(60):
        middle = (start + end) / 2
        if math.hypot(offset + radius * math.cos(middle), radius * math.sin(middle)) > limit:
            start = middle
        else:
            end = middle
    return (start + end) / 2


def half_edge(radius, offset, drilled, major, end, chords):
    """Returns one side of the edge, from its farthest point on, as angles from the circle's direction and radii."""
    enters, leaves = (crossing(radius, offset, limit, 0, end) for limit in (major, drilled))
    t = np.concatenate([np.linspace(0, enters, 64), np.linspace(enters, leaves, chords), np.linspace(leaves, end, 64)])
    x, y = offset + radius * np.cos(t), radius * np.sin(t)
    return np.arctan2(y, x), np.hypot(x, y)


def shadow(circle, drilled, major, chords):
    """Returns the area below a circle's far edge, for rays that meet it below the major radius; None if none does."""
    radius, offset, direction = circle
    if radius <= 0 or offset + radius <= drilled or offset - radius >= major:
        return None
    beside = offset > radius
    tangent = math.acos(-radius / offset) if beside else math.pi
    angle, far = half_edge(radius, offset, drilled, major, tangent, chords)
    angle = np.concatenate([-angle[::-1], angle]) + direction
    far = np.concatenate([far[::-1], far])
    ring = np.column_stack([angle, far])
    shape = shapely.polygons(np.vstack([[angle[0], -1], ring, [angle[-1], -1]]))
    if not beside:
        return shape
    # Rays that enter the circle only beyond the major radius leave the thread intact.
    near = crossing(radius, offset, major, tangent, math.pi)
    width = math.atan2(radius * math.sin(near), offset + radius * math.cos(near))
    return shapely.clip_by_rect(shape, direction - width, -2, direction + width, 1e4)


def fraction(case, depth, chords=CHORDS):
    drilled, major = case["drilled_mm"] / 2, case["major_mm"] / 2
    here = [s for s in case["damage"]["stations"] if s["from_mm"] <= depth < s["to_mm"]]
    shapes = [shadow(circle_at(station, depth), drilled, major, chords) for station in here]
    shapes = [shape for shape in shapes if shape is not None]
    gone = []
    for shape in shapes:
        turns = [-TURN, 0, TURN]
        parts = [shapely.clip_by_rect(shape, turn - math.pi, drilled, turn + math.pi, major) for turn in turns]
        moved = [shapely.transform(part, lambda points, turn=turn: points - [turn, 0]) for part, turn in zip(parts, turns)]
        gone += [part for part in moved if not part.is_empty]
    area = shapely.union_all(gone).area if len(shapes) > 1 else sum(part.area for part in gone)
    return 1 - area / (TURN * (major - drilled))


# Nodes and weights of the 15-point Gauss-Kronrod rule on -1 to 1, and the weights of the 7 nodes shared with Gauss
# (Piessens and others, QUADPACK, 1983).
NODES = [0.991455371120813, 0.949107912342759, 0.864864423359769, 0.741531185599394, 0.586087235467691, 0.405845151377397,
         0.207784955007898, 0.0]
KRONROD = [0.022935322010529, 0.063092092629979, 0.104790010322250, 0.140653259715525, 0.169004726639267, 0.190350578064785,
           0.204432940075298, 0.209482141084728]
GAUSS = [0.129484966168870, 0.279705391489277, 0.381830050505119, 0.417959183673469]


def integral(function, low, high, allowed):
    middle, half = (low + high) / 2, (high - low) / 2
    pairs = [(function(middle - half * x), function(middle + half * x)) for x in NODES[:-1]]
    sums = [a + b for a, b in pairs] + [function(middle)]
    fine = half * sum(w * s for w, s in zip(KRONROD, sums))
    coarse = half * (sum(w * s for w, s in zip(GAUSS, sums[1::2])))
    if abs(fine - coarse) < allowed or half < 1e-7:
        return fine
    return integral(function, low, middle, allowed / 2) + integral(function, middle, high, allowed / 2)


def engagement(case):
    low, high = case["engaged"]["from_mm"], case["engaged"]["to_mm"]
    stations, hard = case["damage"]["stations"], case["damage"]["hard"]
    cuts = sorted({low, high, *(s[k] for s in stations + hard for k in ("from_mm", "to_mm") if low < s[k] < high)})
    total = 0
    for a, b in zip(cuts, cuts[1:]):
        if any(z["from_mm"] <= a < z["to_mm"] for z in hard):
            continue
        changes = any(s["from_mm"] <= a < s["to_mm"] and "to_diameter_mm" in s for s in stations)
        total += integral(lambda z: fraction(case, z), a, b, 1e-6) if changes else (b - a) * fraction(case, a)
    return total


def random_case(random_):
    number = lambda low, high: round(random_.uniform(low, high), 4)
    drilled = number(4, 28)
    major = round(drilled + number(0.4, 3), 4)

    def circle():
        kind = random_.random()
        if kind < 0.6:  # near the thread, containing the center
            diameter = round(random_.uniform(drilled * 0.8, major * 1.1), 4)
            offset = round(random_.uniform(0, diameter * 0.3), 4)
        elif kind < 0.7:  # its edge through the center
            diameter = round(random_.uniform(drilled * 0.5, major), 3)
            offset = round(diameter / 2, 4)
        else:  # beside the center
            diameter = number(1, major)
            offset = round(diameter / 2 + random_.uniform(0.01, major * 0.6), 4)
        return {"diameter_mm": diameter, "offset_mm": offset, "direction_deg": number(-180, 180)}

    stations = []
    for _ in range(random_.choice([0, 1, 1, 1, 2, 3])):
        start = number(0, 12)
        station = {"from_mm": start, "to_mm": round(start + number(1, 12), 4), **circle()}
        if random_.random() < 0.5:
            lower = circle()
            if random_.random() < 0.2:  # tapers to a point
                lower["diameter_mm"] = 0.0
            station.update({"to_" + key: value for key, value in lower.items()})
        stations.append(station)
    hard = [{"from_mm": 1.0, "to_mm": number(1.5, 5)}] if random_.random() < 0.3 else []
    depth = number(0, 20)
    if stations and random_.random() < 0.9:
        inside = random_.choice(stations)
        depth = number(inside["from_mm"], inside["to_mm"] - 0.001)
    return {"drilled_mm": drilled, "major_mm": major, "damage": {"stations": stations, "hard": hard},
            "depths_mm": [depth], "engaged": {"from_mm": number(0, 3), "to_mm": number(8, 25)}}


def compare(numbered):
    """Returns pairs of shapely's and our results, and how much shapely's change with twice the chords."""
    index, case, ours = numbered
    theirs = [fraction(case, depth) for depth in case["depths_mm"]]
    pairs = list(zip(theirs, ours["fractions"], strict=True))
    moves = 0.0
    if index % EVERY == 0:
        moves = max(abs(fraction(case, d, 2 * CHORDS) - f) for d, f in zip(case["depths_mm"], theirs))
        length = case["engaged"]["to_mm"] - case["engaged"]["from_mm"]
        pairs.append((engagement(case) / length, ours["effective_engagement_mm"] / length))
    return case, pairs, moves


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    random_ = random.Random(20261125)
    cases = [random_case(random_) for _ in range(count)]
    lines = "".join(json.dumps(case) + "\n" for case in cases)
    answer = run_example("dump_thread_left", lines)
    ours = [json.loads(line) for line in answer.splitlines()]
    worst, own, touched, failures, integrals = 0.0, 0.0, 0, 0, 0
    with ProcessPoolExecutor() as pool:
        numbered = zip(range(count), cases, ours, strict=True)
        for case, pairs, moves in pool.map(compare, numbered, chunksize=50):
            own = max(own, moves)
            touched += 0 < pairs[0][0] < 1
            integrals += len(pairs) - 1
            for theirs, mine in pairs:
                worst = max(worst, abs(theirs - mine))
                if abs(theirs - mine) > TOLERANCE:
                    failures += 1
                    print(f"DIFFERS: shapely {theirs:.9f}, ours {mine:.9f}: {json.dumps(case)}")
    print(f"{count} damages, {touched} with part of the thread left, {integrals} integrals over depth; "
          f"largest difference {worst:.2e}; with twice the chords shapely's own results change by {own:.1e} at most")
    if touched < count // 3:
        sys.exit("too few damages affect the thread")
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
