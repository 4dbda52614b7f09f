"""The shapes of the sample casting and of what lies round it. All in millimetres, the face at z = 0."""
import math
import random

import bmesh
import bpy
from mathutils import Vector, noise

PITCH, MAJOR = 25.4 / 16, 9.525
UNIT = 0.01  # one unit of the scene is 100 mm


def mesh_object(name, points, faces, materials, index=0, smooth=True):
    """A new object from points and faces in millimetres; `index` is one material for all or one for each face."""
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(points, [], faces)
    for material in materials:
        mesh.materials.append(material)
    for number, polygon in enumerate(mesh.polygons):
        polygon.material_index = index if isinstance(index, int) else index[number]
        polygon.use_smooth = smooth
    work = bmesh.new()
    work.from_mesh(mesh)
    bmesh.ops.recalc_face_normals(work, faces=work.faces)
    work.to_mesh(mesh)
    work.free()
    thing = bpy.data.objects.new(name, mesh)
    thing.scale = (UNIT, UNIT, UNIT)
    bpy.context.scene.collection.objects.link(thing)
    return thing


def rings(sections, count, ring_index, cap_index):
    """Faces between closed rings of `count` points each, with a cap on the first and the last ring."""
    faces, index = [], []
    for ring in range(sections - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            faces.append((a, b, b + count, a + count))
            index.append(ring_index(ring))
    faces += [tuple(reversed(range(count))), tuple(range((sections - 1) * count, sections * count))]
    return faces, index + [cap_index[0], cap_index[1]]


def oval(shape, t, margin):
    """A point of the pattern's oval, moved outward by `margin`; t runs clockwise from the top."""
    a, b = shape["oval_semi_x_mm"], shape["oval_semi_y_mm"]
    normal = Vector((math.sin(t) / a, math.cos(t) / b)).normalized()
    return a * math.sin(t) + margin * normal.x, b * math.cos(t) + margin * normal.y


def casting(scenario, materials):
    """The water jacket: a tub with a thick flange that swells a little round each hole."""
    shape = scenario["face"]["shape"]
    wanted = [(h["x_mm"], h["y_mm"]) for h in scenario["holes"]]
    outer, inner = shape["outer_margin_mm"], -shape["inner_margin_mm"]
    thick, high = shape["flange_thickness_mm"], shape["height_mm"]
    # (margin, depth, material of the ring that starts here): skin 0, face 1, cavity 4
    plan = [(outer - 9, high, 0), (outer - 9, thick + 14, 0), (outer - 7, thick + 7, 0), (outer - 3, thick + 2, 0),
            (outer - 0.5, thick, 0), (outer, thick - 3, 0), (outer, 1.4, 0), (outer - 0.5, 0.5, 0), (outer - 1.1, 0, 1),
            (inner + 0.9, 0, 4), (inner + 0.2, 0.6, 4), (inner, 2, 4), (inner + 0.8, thick - 2, 4), (inner + 3, thick, 4),
            (inner + 9, thick + 4, 4), (inner + 9, high - 12, 4), (inner + 4, high - 7, 4)]
    sections = []
    for (m0, d0, mat), (m1, d1, _) in zip(plan, plan[1:]):
        parts = max(1, int(abs(d1 - d0) / 3))
        sections += [(m0 + (m1 - m0) * i / parts, d0 + (d1 - d0) * i / parts, mat) for i in range(parts)]
    sections.append(plan[-1])
    count, points = 840, []
    for margin, depth, _ in sections:
        for k in range(count):
            t = 2 * math.pi * k / count
            swell = 0.0
            if margin > outer - 2 and depth < thick + 1:
                here = oval(shape, t, 0)
                gap = min(math.dist(here, w) for w in wanted)
                swell = -2.6 * min(1.0, max(0.0, (gap - 11) / 14)) ** 2 * (3 - 2 * min(1.0, max(0.0, (gap - 11) / 14)))
            x, y = oval(shape, t, margin + swell)
            rough = 0.35 if depth < 0.1 else 0.8
            x += rough * noise.noise((x / 14, y / 14, depth / 14)) + 0.5 * rough * noise.noise((x / 3, y / 3, depth / 3))
            y += rough * noise.noise((x / 14 + 50, y / 14, depth / 14)) + 0.5 * rough * noise.noise((x / 3, y / 3 + 9, depth / 3))
            points.append((x, y, -depth))
    faces, index = rings(len(sections), count, lambda ring: sections[ring][2], (0, 4))
    return mesh_object("casting", points, faces, materials, index)


def circle_seen_from(axis_angle, radius, offset, direction):
    """Distance from the axis to a circle whose centre lies off the axis, at one angle."""
    turn = axis_angle - direction
    inside = radius**2 - (offset * math.sin(turn)) ** 2
    return offset * math.cos(turn) + math.sqrt(inside) if inside > 0 else 0.0


def bore_radius(hole, angle, depth):
    """How far the metal is from the axis of the hole as it is now."""
    picture = hole["picture"]
    turn = (depth / PITCH + angle / (2 * math.pi)) % 1.0
    flank = min(1.0, max(0.0, (abs(turn - 0.5) * 2 - 0.12) / 0.63))
    crest = picture["crest_mm"] / 2
    radius = crest + (MAJOR / 2 - crest) * flank if depth < 24 else crest
    radius = max(radius, MAJOR / 2 + 0.45 - depth)  # the edge is broken
    for station in (hole["damage"] or {}).get("stations", []):
        if station["from_mm"] <= depth <= station["to_mm"] and picture["look"] != "wandered":
            size, offset = station["diameter_mm"] / 2, station["offset_mm"]
            lump = noise.noise((3 * math.cos(angle), 3 * math.sin(angle), depth / 2.5 + hole["number"]))
            if picture["look"] == "crater":
                size *= 1 - 0.30 * (depth / station["to_mm"]) ** 2
                lump = 4.0 * lump + 2.0 * noise.noise((1.2 * math.cos(angle), 1.2 * math.sin(angle), depth / 6))
                size += 1.5 * max(0.0, 1 - depth / 1.6)
            wear = size - 0.25 * flank if picture["look"] != "crater" else size
            radius = max(radius, circle_seen_from(angle, wear + 0.22 * lump, offset, math.radians(station["direction_deg"])))
    return radius + 0.05 * noise.noise((angle * 3, depth / 2, hole["number"]))


def lathe(name, centre, depths, radius, materials, index, tip=0.0, count=72, smooth=True):
    """A round cutter that stands 2 mm proud of the face; `radius(angle, depth)` gives its wall."""
    points = []
    for depth in depths:
        for k in range(count):
            angle = 2 * math.pi * k / count
            r = radius(angle, max(depth, 0.0))
            points.append((centre[0] + r * math.cos(angle), centre[1] + r * math.sin(angle), -depth))
    points += [(centre[0], centre[1], -depths[-1] - tip)]
    faces, last = [], (len(depths) - 1) * count
    for ring in range(len(depths) - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            faces.append((a, b, b + count, a + count))
    faces.append(tuple(range(count)))
    faces += [(last + k, last + (k + 1) % count, len(points) - 1) for k in range(count)]
    return mesh_object(name, points, faces, materials, index, smooth)


def axis_of(hole):
    """Where the hole's own axis is; a wandered hole keeps its first axis, the second circle is cut besides."""
    if hole["picture"]["look"] == "wandered":
        return hole["x_mm"], hole["y_mm"]
    return hole["found"]["x_mm"], hole["found"]["y_mm"]


def cutters(hole, materials):
    """What to take out of the casting for one hole."""
    depth = hole["picture"]["depth_mm"]
    fine = [-2.0] + [0.22 * i for i in range(int(16 / 0.22))] + [16.5 + i for i in range(int(depth - 16.5))] + [depth]
    crater = hole["picture"]["look"] == "crater"
    made = [lathe("bore", axis_of(hole), fine, lambda a, d: bore_radius(hole, a, d), materials, 2, tip=2.7, smooth=not crater)]
    if hole["picture"]["look"] == "wandered":
        drilled = hole["damage"]["stations"][0]
        centre = hole["found"]["x_mm"], hole["found"]["y_mm"]
        size = drilled["diameter_mm"] / 2
        wall = lambda a, d: size + 0.03 * noise.noise((a * 2, d * 2, 5)) + max(0.0, 0.35 - d)
        steps = [-2.0] + [0.15 * i for i in range(5)] + [0.9 + 0.6 * i for i in range(22)] + [drilled["to_mm"]]
        made.append(lathe("wandered", centre, steps, wall, materials, 5, tip=2.6))
    return made


def cut(body, cutter):
    """Takes the cutter out of the body for good."""
    modifier = body.modifiers.new("cut", "BOOLEAN")
    modifier.operation, modifier.solver, modifier.object = "DIFFERENCE", "EXACT", cutter
    bpy.context.view_layer.objects.active = body
    with bpy.context.temp_override(object=body, active_object=body, selected_objects=[body]):
        bpy.ops.object.modifier_apply(modifier="cut")
    bpy.data.objects.remove(cutter, do_unlink=True)


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
            faces.append(quad)
            zs = [points[i][2] for i in quad]
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
