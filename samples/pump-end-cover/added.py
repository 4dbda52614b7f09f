"""Parts added to the casting: a weld, a broken tap, a boss with its webs."""
import math

from mathutils import noise

from shapes import PITCH, axis_of, cut, lathe, mesh_object, rings


def weld_bead(hole, materials):
    """A lump of weld round the hole, ground flat on one side: material 0 as it froze, 1 where it was ground."""
    cx, cy = axis_of(hole)
    count, radii = 120, [4.9 + 0.3 * i for i in range(34)]
    points, index = [], []
    for r in radii:
        for k in range(count):
            a = 2 * math.pi * k / count
            x, y = r * math.cos(a), r * math.sin(a)
            rim = 11.2 + 1.8 * noise.noise((1.1 * math.cos(a), 1.1 * math.sin(a), 3.3)) + 0.5 * noise.noise((5 * math.cos(a), 5 * math.sin(a), 1))
            swell = max(0.0, 1 - ((r - 7.2) / (rim - 7.2)) ** 2) if r > 7.2 else 1 - 0.5 * ((7.2 - r) / 2.3) ** 2
            ripple = 0.22 * math.sin(9 * a + 2.2 * noise.noise((x / 3, y / 3, 0)) + r)
            z = -0.15 + (2.0 + ripple + 0.7 * noise.noise((x / 3.2, y / 3.2, 2))) * math.sqrt(swell) if r < rim else -0.4
            ground = 0.42 + 0.035 * (x + y) + 0.05 * noise.noise((x / 5, y / 5, 8))
            points.append((cx + x, cy + y, min(z, ground) if x * 0.8 - y * 0.6 < 3.0 else z))
    faces = []
    for ring in range(len(radii) - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            quad = (a, b, b + count, a + count)
            zs = [points[i][2] for i in quad]
            if max(zs) < -0.3:
                continue
            faces.append(quad)
            index.append(1 if max(zs) - min(zs) < 0.07 and min(zs) > 0.1 else 0)
    return mesh_object("weld", points, faces, materials, index)


def tap_stump(hole, material):
    """The broken tap: four lands, four flutes, a ragged break on top."""
    cx, cy = axis_of(hole)
    tool, count = hole["damage"]["broken_tool"], 128
    top, bottom = tool["top_mm"], tool["top_mm"] + tool["length_mm"]
    points, levels = [], [0.0, 0.35, 0.7, 1.05, 1.4, 1.75, 2.1, 2.45, 2.8, 4.0, 6.0, bottom - top]
    for level in levels:
        for k in range(count):
            a = 2 * math.pi * k / count
            lobe = 0.5 + 0.5 * math.cos(4 * a)
            r = 2.1 + 2.55 * min(1.0, max(0.0, (lobe - 0.30) / 0.22))
            if r > 4 and level > 0.3:
                r -= 0.4 * (0.5 + 0.5 * math.cos(2 * math.pi * (level / PITCH + a / 6.2832)))
            points.append((cx + r * math.cos(a), cy + r * math.sin(a), -top - level))
    # The break: a fan of rings with a slanted, grainy surface
    base, inner = 0, []
    for share in (0.75, 0.5, 0.25):
        ring = []
        for k in range(count):
            x, y, _ = points[base + k]
            px, py = (x - cx) * share, (y - cy) * share
            ring.append(len(points))
            points.append((cx + px, cy + py, -top + 0.3 * noise.noise((px, py, 4)) + 0.5 * share - 0.2))
        inner.append(ring)
    slanted = [(x, y, z + (0.10 * (x - cx) - 0.12 * (y - cy) if z > -top - 0.3 else 0)) for x, y, z in points]
    faces, rims = [], [list(range(count))] + inner
    for ring in range(len(levels) - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            faces.append((a, b, b + count, a + count))
    for lower, upper in zip(rims, rims[1:]):
        faces += [(lower[k], lower[(k + 1) % count], upper[(k + 1) % count], upper[k]) for k in range(count)]
    faces.append(tuple(rims[-1]))
    return mesh_object("tap", slanted, faces, [material], 0, smooth=False)


def pipe(name, center, wall, levels, materials, index, count=96):
    """A round boss with a bore: `wall` is its inner and outer radius, `levels` its top and foot."""
    (inner, outer), (top, foot) = wall, levels
    profile = [(outer + 5, foot), (outer + 1.5, foot + 4), (outer, foot + 9), (outer - 0.3, top - 1.5), (outer - 1.8, top),
               (inner + 1, top), (inner, top - 1), (inner, foot - 1)]
    points = []
    for radius, z in profile:
        for k in range(count):
            a = 2 * math.pi * k / count
            x, y = center[0] + radius * math.cos(a), center[1] + radius * math.sin(a)
            rough = 0.7 * noise.noise((x / 7, y / 7, z / 7)) if radius > inner + 1 else 0.0
            points.append((x + rough, y + rough, z))
    faces, _ = rings(len(profile), count, lambda ring: 0, (0, 0))
    slots = [index[0]] * (4 * count) + [index[1]] * (3 * count)
    return mesh_object(name, points, faces[:-2], materials, slots)


def inside(scenario, body, materials):
    """The inside of the tub: the boss of the pump shaft, a web to either side, two cored passages."""
    floor = -scenario["face"]["shape"]["height_mm"] + 7
    for x, y, size in ((-24, -82, 17), (26, 84, 15)):
        def wall(angle, depth, size=size):
            flare = 1.5 if depth <= -floor else 0.0
            return size + flare + 1.2 * noise.noise((2 * math.cos(angle), 2 * math.sin(angle), size))
        cut(body, lathe("passage", (x, y), [-floor - 14, -floor, -floor + 1.5, -floor + 11], wall, materials, 2))
    pipe("boss", (4, 6), (12.5, 27), (-44, floor), materials, (4, 6))
    webs(floor, materials)


def webs(floor, materials):
    """A rib from the boss to either end of the tub."""
    for side in (-1, 1):
        points, faces, steps = [], [], 40
        for i in range(steps + 1):
            y = 6 + side * 26 + (side * 142 - 6 - side * 26) * i / steps
            top = -52 - 26 * (i / steps) ** 1.6
            for w, z in ((-6, floor - 1), (-3.8, floor + 5), (-3.4, top - 1.5), (-2, top), (2, top), (3.4, top - 1.5), (3.8, floor + 5), (6, floor - 1)):
                bend = 0.6 * noise.noise((y / 9, w / 4, z / 9))
                points.append((4 + w + bend, y, z + bend))
        for i in range(steps):
            faces += [(i * 8 + j, i * 8 + j + 1, i * 8 + j + 9, i * 8 + j + 8) for j in range(7)]
        mesh_object("web", points, faces, materials, 4)
