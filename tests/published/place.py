#!/usr/bin/env python3
"""Compares where things are on a face with OpenCV, SciPy and ezdxf on random cases; fails where they differ.

- pattern fits: SciPy's orthogonal Procrustes (closed form), rigid and scaled, mirrored or not, equal and unequal errors;
- the plane of a photo: OpenCV's perspective transform of four points, and its least-squares homography of more;
- minimum zone of level faces: SciPy's linear program; of leaning ones: the width of SciPy's convex hull, by all pairs of
  facet and corner and of edges;
- coordinates from distances, and the circle of a traced edge: SciPy's nonlinear least squares;
- a drawing of points: read by ezdxf.

Packages (from PyPI): those of requirements.txt.
Run:
    python3 tests/published/place.py [CASES]
"""

import io
import itertools
import json
import math
import sys

import cv2
import ezdxf
import numpy as np
from oracle import run_example
from scipy.linalg import orthogonal_procrustes
from scipy.optimize import least_squares, linprog
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

# Largest allowed differences: millimeters, except where the other side's own convergence limits the comparison.
PATTERN_MM = 1e-9
FOUR_POINTS_MM = 1e-6
HOMOGRAPHY_MM = 1e-4
# A zone that leans differently can be narrower by the square of that slope, which is some nanometers on these faces.
ZONE_MM = 5e-6
DISTANCES_MM = 1e-5
OUTLINE_MM = 1e-5


def holes(points, errors=None):
    errors = [{}] * len(points) if errors is None else [{"error_mm": float(e)} for e in errors]
    return [{"hole": i + 1, "x_mm": float(x), "y_mm": float(y), **e} for i, ((x, y), e) in enumerate(zip(points, errors))]


# Patterns: (question, wanted, found, weights, scaled)


def pattern_case(random):
    count = random.integers(4, 40)
    wanted = random.uniform(-300, 300, (count, 2))
    angle, scale = random.uniform(-3, 3), random.uniform(0.6, 1.6) if random.random() < 0.5 else None
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    flip = np.diag([1, random.choice([-1, 1])])
    found = wanted @ (turn @ flip).T * (scale or 1) + random.uniform(-500, 500, 2) + random.normal(0, 0.1, (count, 2))
    # Errors are stated so large that no hole is left out: this compares the fit alone.
    errors = random.uniform(1, 3, count) if random.random() < 0.5 else np.full(count, 1.0)
    survey = {"wanted": holes(wanted), "found": holes(found, errors), "mirror": True, "scale": scale is not None}
    return {"pattern": survey}, (wanted, found, errors**-2.0, scale is not None)


def compare_pattern(truth, answer):
    wanted, found, weights, scaled = truth
    middle = lambda points: (weights[:, None] * points).sum(0) / weights.sum()
    root = np.sqrt(weights)[:, None]
    a, b = (wanted - middle(wanted)) * root, (found - middle(found)) * root
    turn, singular = orthogonal_procrustes(a, b)
    scale = singular / (a**2).sum() if scaled else 1.0
    theirs = scale * (wanted - middle(wanted)) @ turn + middle(found)
    ours = np.array([[h["x_mm"], h["y_mm"]] for h in answer["holes"]])
    return np.abs(theirs - ours).max(), PATTERN_MM


# Photos


def plane_case(random):
    count = 4 if random.random() < 0.3 else random.integers(5, 30)
    corners = np.array([[-250, -180], [250, -180], [250, 180], [-250, 180]]) + random.uniform(-40, 40, (4, 2))
    face = np.vstack([corners, random.uniform(-240, 240, (count - 4, 2)) * [1, 0.7]])
    lean, turn, height = random.uniform(0, 0.6), random.uniform(-3, 3), random.uniform(700, 1500)
    marks = random.uniform(-200, 200, (5, 2)) * [1, 0.7]

    def see(points):
        x = points[:, 0] * math.cos(turn) - points[:, 1] * math.sin(turn)
        y = points[:, 0] * math.sin(turn) + points[:, 1] * math.cos(turn)
        away = height + y * math.sin(lean)
        return np.column_stack([2000 + 3000 * x / away, 1500 - 3000 * y * math.cos(lean) / away])

    pixels = see(face) + random.normal(0, 0.5, (count, 2))
    seen = see(marks)
    known = [{"px": p, "py": q, "x_mm": x, "y_mm": y} for (p, q), (x, y) in zip(pixels.tolist(), face.tolist())]
    # Errors on the face only, so that both minimize the same sum.
    survey = {"known": known, "marks": [{"px": p, "py": q} for p, q in seen.tolist()], "mark_error_px": 0}
    return {"plane": survey}, (pixels, face, seen)


def compare_plane(truth, answer):
    pixels, face, seen = truth
    if len(face) == 4:
        theirs, tolerance = cv2.getPerspectiveTransform(pixels.astype(np.float32), face.astype(np.float32)), None
        # OpenCV takes single precision here, so its matrix is solved again in double precision from the same equations.
        rows = []
        for (x, y), (u, v) in zip(pixels, face):
            rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        exact = np.append(np.linalg.solve(np.array(rows), face.ravel()), 1).reshape(3, 3)
        coarse = np.abs(mapped(theirs, seen) - mapped(exact, seen)).max()
        assert coarse < 0.01, f"OpenCV and the equations differ by {coarse}"
        theirs, tolerance = exact, FOUR_POINTS_MM
    else:
        theirs, tolerance = cv2.findHomography(pixels, face, 0)[0], HOMOGRAPHY_MM
        miss = math.sqrt(((mapped(theirs, pixels) - face) ** 2).sum(1).mean())
        assert answer["residual_mm"] <= miss + 1e-9, f"ours misses by {answer['residual_mm']}, OpenCV's by {miss}"
    ours = np.array([[p["x_mm"], p["y_mm"]] for p in answer["points"]])
    return np.abs(mapped(theirs, seen) - ours).max(), tolerance


def mapped(matrix, points):
    at = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return at[:, :2] / at[:, 2:]


# Faces


def flatness_case(random):
    leaning = random.random() < 0.2
    if random.random() < 0.5:  # a grid, where many readings are in line
        columns, rows = random.integers(2, 9), random.integers(2, 7)
        places = np.array([[50.0 * c, 40.0 * r] for r in range(rows) for c in range(columns)])
    else:
        places = random.uniform(0, 400, (random.integers(4, 16 if leaning else 60), 2))
    if leaning:
        places = places[:20]
    # Whole thousandths of an inch on half of the faces: equal heights, as indicators are read.
    heights = random.normal(0, 0.05, len(places))
    if random.random() < 0.5:
        heights = np.round(heights / 0.0254) * 0.0254
    slope = random.uniform(-0.3, 0.3, 2) if leaning else random.uniform(-1e-4, 1e-4, 2)
    points = np.column_stack([places, heights + places @ slope])
    question = {"points": [{"x_mm": x, "y_mm": y, "z_mm": z} for x, y, z in points.tolist()]}
    return {"flatness": question}, (points, leaning)


def compare_flatness(truth, answer):
    points, leaning = truth
    theirs = hull_width(points) if leaning else program_width(points)
    return abs(theirs - answer["flatness_minimum_zone_mm"]), ZONE_MM


def program_width(points):
    """Twice the least largest distance from a plane; the readings are turned until it lies level."""
    for _ in range(4):
        x, y, z = points.T
        scale = 400.0
        plane = np.column_stack([np.ones(len(x)), x / scale, y / scale])
        distance = -np.ones((len(x), 1))
        above, below = np.hstack([plane, distance]), np.hstack([-plane, distance])
        found = linprog([0, 0, 0, 1], np.vstack([above, below]), np.concatenate([z, -z]), bounds=[(None, None)] * 4,
                        method="highs", options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10})
        normal = np.array([-found.x[1] / scale, -found.x[2] / scale, 1.0])
        points = points @ Rotation.align_vectors([[0, 0, 1]], [normal])[0].as_matrix().T
    return 2 * found.x[3]


def hull_width(points):
    """The least width of a convex hull lies square to a facet, or to two edges."""
    fitted = np.linalg.lstsq(np.column_stack([points[:, :2], np.ones(len(points))]), points[:, 2], rcond=None)[0]
    if np.abs(points[:, 2] - np.column_stack([points[:, :2], np.ones(len(points))]) @ fitted).max() < 1e-9:
        return 0.0
    hull = ConvexHull(points)
    edges = {tuple(sorted(pair)) for facet in hull.simplices for pair in itertools.combinations(facet, 2)}
    edges = np.array([points[b] - points[a] for a, b in edges])
    first, second = np.triu_indices(len(edges), 1)
    normals = np.cross(edges[first], edges[second])
    lengths = np.linalg.norm(normals, axis=1)
    keep = lengths > 1e-9 * lengths.max()
    normals = np.vstack([normals[keep] / lengths[keep, None], hull.equations[:, :3]])
    return np.ptp(points[hull.vertices] @ normals.T, axis=0).min()


# Distances


def distances_case(random):
    count = int(random.integers(3, 9))
    places = random.uniform(0, 300, (count, 2))
    # Holes nearly in one line are refused, since distances do not hold them sideways.
    while np.linalg.svd(places - places.mean(0))[1][1] < 60:
        places = random.uniform(0, 300, (count, 2))
    pairs = list(itertools.combinations(range(count), 2))
    readings = [math.dist(places[a], places[b]) + random.normal(0, 0.05) for a, b in pairs]
    errors = random.uniform(0.03, 0.2, len(pairs))
    rows = [{"from": a + 1, "to": b + 1, "reading_mm": r, "error_mm": float(e)} for (a, b), r, e in zip(pairs, readings, errors)]
    survey = {"holes": [{"hole": i + 1} for i in range(count)], "distances": rows}
    return {"distances": survey}, (places, pairs, np.array(readings), errors)


def compare_distances(truth, answer):
    places, pairs, readings, errors = truth
    a, b = np.array(pairs).T

    def lengths(flat):
        at = flat.reshape(-1, 2)
        return np.linalg.norm(at[a] - at[b], axis=1)

    found = least_squares(lambda flat: (readings - lengths(flat)) / errors, places.ravel(), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    ours = np.array([[h["x_mm"], h["y_mm"]] for h in answer["holes"]]).ravel()
    return np.abs(lengths(found.x) - lengths(ours)).max(), DISTANCES_MM


# Traced edges


def outline_case(random):
    count, turn = int(random.integers(5, 60)), random.uniform(2.0, 6.3)
    radius, middle = random.uniform(2, 40), random.uniform(-300, 300, 2)
    angles = random.uniform(-3, 3) + np.linspace(0, turn, count)
    points = middle + radius * np.column_stack([np.cos(angles), np.sin(angles)]) + random.normal(0, 0.02 * radius, (count, 2))
    question = {"points": [{"x_mm": x, "y_mm": y} for x, y in points.tolist()], "error_mm": 0.1}
    return {"outline": question}, (points, np.array([*middle, radius]))


def compare_outline(truth, answer):
    points, start = truth

    def off(circle):
        return np.linalg.norm(points - circle[:2], axis=1) - circle[2]

    found = least_squares(off, start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    ours = np.array([answer["x_mm"], answer["y_mm"], answer["diameter_mm"] / 2])
    return np.abs(found.x - ours).max(), OUTLINE_MM


def check_drawing():
    points = [(10.0, 20.5), (-3.25, 0.0), (1000.0, 7.125)]
    text = json.loads(run_example("dump_place", json.dumps({"drawing": holes(points)}) + "\n"))
    space = ezdxf.read(io.StringIO(text)).modelspace()
    read = [(p.dxf.location.x, p.dxf.location.y) for p in space.query("POINT")]
    assert read == points, read
    assert [t.dxf.text for t in space.query("TEXT")] == ["1", "2", "3"]
    print("a drawing of 3 points: read by ezdxf as written")


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 3_000
    random = np.random.default_rng(20261130)
    kinds = {"pattern": (pattern_case, compare_pattern, count), "plane": (plane_case, compare_plane, count),
             "flatness": (flatness_case, compare_flatness, count), "distances": (distances_case, compare_distances, count // 5),
             "outline": (outline_case, compare_outline, count)}
    failures = 0
    for name, (make, compare, cases) in kinds.items():
        made = [make(random) for _ in range(cases)]
        answers = run_example("dump_place", "".join(json.dumps(question) + "\n" for question, _ in made)).splitlines()
        worst = 0.0
        for (question, truth), line in zip(made, answers, strict=True):
            answer = json.loads(line)
            difference, tolerance = (math.inf, 0) if "error" in answer else compare(truth, answer)
            worst = max(worst, difference)
            if not difference <= tolerance:
                failures += 1
                print(f"DIFFERS by {difference} mm: {json.dumps(question)[:2000]}: {line[:300]}")
        print(f"{name}: {cases} cases, largest difference {worst:.1e} mm")
    check_drawing()
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
