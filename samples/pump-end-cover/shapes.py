"""The shapes of the sample casting and its surroundings. All in millimeters, the face at z = 0."""
import math
import random

import bmesh
import bpy
from mathutils import Vector, noise

PITCH, MAJOR = 25.4 / 16, 9.525
UNIT = 0.01  # one unit of the scene is 100 mm


def mesh_object(name, points, faces, materials, index=0, smooth=True):
    """A new object from points and faces in millimeters; `index` is one material for all or one for each face."""
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


def waist(shape, t, holes):
    """How far the flange draws in between its holes, millimeters."""
    gap = min(math.dist(oval(shape, t, 0), hole) for hole in holes)
    share = min(1.0, max(0.0, (gap - 11) / 14))
    return 2.6 * share**2 * (3 - 2 * share)


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
    sections = []  # the plan, with a ring at least every 3 mm
    for (m0, d0, mat), (m1, d1, _) in zip(plan, plan[1:]):
        parts = max(1, int(abs(d1 - d0) / 3))
        sections += [(m0 + (m1 - m0) * i / parts, d0 + (d1 - d0) * i / parts, mat) for i in range(parts)]
    sections.append(plan[-1])
    count, points = 840, []
    for margin, depth, _ in sections:
        for k in range(count):
            t = 2 * math.pi * k / count
            flange = margin > outer - 2 and depth < thick + 1
            x, y = oval(shape, t, margin - waist(shape, t, wanted) if flange else margin)
            rough = 0.35 if depth < 0.1 else 0.8
            x += rough * noise.noise((x / 14, y / 14, depth / 14)) + 0.5 * rough * noise.noise((x / 3, y / 3, depth / 3))
            y += rough * noise.noise((x / 14 + 50, y / 14, depth / 14)) + 0.5 * rough * noise.noise((x / 3, y / 3 + 9, depth / 3))
            points.append((x, y, -depth))
    faces, index = rings(len(sections), count, lambda ring: sections[ring][2], (0, 4))
    return mesh_object("casting", points, faces, materials, index)


def circle_seen_from(axis_angle, radius, offset, direction):
    """Distance from the axis to a circle whose center lies off the axis, at one angle."""
    turn = axis_angle - direction
    inside = radius**2 - (offset * math.sin(turn)) ** 2
    return offset * math.cos(turn) + math.sqrt(inside) if inside > 0 else 0.0


def facets(angle, depth, deep):
    """A broken surface: flat chips between random corners, from -1 to 1."""
    chance, levels = random.Random(23), (0.0, 0.14, 0.4, 0.75, 1.0)
    tables = [[(2 * math.pi * (k + chance.uniform(-0.4, 0.4)) / 11, chance.uniform(-1, 1)) for k in range(11)] for _ in levels]

    def at(table):
        ring = [(table[-1][0] - 2 * math.pi, table[-1][1])] + table + [(table[0][0] + 2 * math.pi, table[0][1])]
        for (a0, r0), (a1, r1) in zip(ring, ring[1:]):
            if a0 <= angle <= a1:
                return r0 + (r1 - r0) * (angle - a0) / (a1 - a0)
        return table[0][1]

    share = min(1.0, depth / deep)
    for n in range(len(levels) - 1):
        if share <= levels[n + 1]:
            mix = (share - levels[n]) / (levels[n + 1] - levels[n])
            return at(tables[n]) * (1 - mix) + at(tables[n + 1]) * mix
    return 0.0


def thread_wall(crest, angle, depth):
    """The thread as tapped: how far its wall is from the axis, and how far out between crest (0) and root (1)."""
    turn = (depth / PITCH + angle / (2 * math.pi)) % 1.0
    flank = min(1.0, max(0.0, (abs(turn - 0.5) * 2 - 0.12) / 0.63))
    radius = crest + (MAJOR / 2 - crest) * flank if depth < 24 else crest
    return max(radius, MAJOR / 2 + 0.45 - depth), flank  # the edge is broken


def worn_wall(hole, station, angle, depth, flank):
    """The wall that one station of damage leaves: worn smooth but for a trace of the thread, or broken out in chips."""
    size = station["diameter_mm"] / 2
    lump = noise.noise((3 * math.cos(angle), 3 * math.sin(angle), depth / 2.5 + hole["number"]))
    if hole["picture"]["look"] == "crater":
        size *= 1 - 0.30 * (depth / station["to_mm"]) ** 2
        size += 1.5 * max(0.0, 1 - depth / 1.6)
        lump = 5.0 * facets(angle, depth, station["to_mm"]) + 0.8 * lump
    else:
        size -= 0.25 * flank
    return circle_seen_from(angle, size + 0.22 * lump, station["offset_mm"], math.radians(station["direction_deg"]))


def bore_radius(hole, angle, depth):
    """How far the metal is from the axis of the hole as it is now."""
    radius, flank = thread_wall(hole["picture"]["crest_mm"] / 2, angle, depth)
    # A wandered hole's second circle is a cutter of its own.
    stations = hole["damage"]["stations"] if hole["damage"] and hole["picture"]["look"] != "wandered" else []
    for station in stations:
        if station["from_mm"] <= depth <= station["to_mm"]:
            radius = max(radius, worn_wall(hole, station, angle, depth, flank))
    return radius + 0.05 * noise.noise((angle * 3, depth / 2, hole["number"]))


def lathe(name, center, depths, radius, materials, index, tip=0.0, count=72, smooth=True):
    """A round cutter that stands 2 mm proud of the face; `radius(angle, depth)` gives its wall."""
    points = []
    for depth in depths:
        for k in range(count):
            angle = 2 * math.pi * k / count
            r = radius(angle, max(depth, 0.0))
            points.append((center[0] + r * math.cos(angle), center[1] + r * math.sin(angle), -depth))
    points += [(center[0], center[1], -depths[-1] - tip)]
    faces, last = [], (len(depths) - 1) * count
    for ring in range(len(depths) - 1):
        for k in range(count):
            a, b = ring * count + k, ring * count + (k + 1) % count
            faces.append((a, b, b + count, a + count))
    faces.append(tuple(range(count)))
    faces += [(last + k, last + (k + 1) % count, len(points) - 1) for k in range(count)]
    return mesh_object(name, points, faces, materials, index, smooth)


def axis_of(hole):
    """Where the hole's own axis is; an off-center hole keeps its first axis, and the second circle is cut too."""
    if hole["picture"]["look"] == "wandered":
        return hole["x_mm"], hole["y_mm"]
    return hole["found"]["x_mm"], hole["found"]["y_mm"]


def cutters(hole, materials):
    """What to take out of the casting for one hole."""
    depth = hole["picture"]["depth_mm"]
    fine = [-2.0] + [0.22 * i for i in range(int(16 / 0.22))] + [16.5 + i for i in range(int(depth - 16.5))] + [depth]
    crater = hole["picture"]["look"] == "crater"
    made = [lathe("bore", axis_of(hole), fine, lambda a, d: bore_radius(hole, a, d), materials, 2, tip=2.7, smooth=not crater)]
    if crater:
        broken_to = max(station["to_mm"] for station in hole["damage"]["stations"])
        for polygon in made[0].data.polygons:
            polygon.material_index = 3 if polygon.center.z > -broken_to - 0.2 else 2
    if hole["picture"]["look"] == "wandered":
        drilled = hole["damage"]["stations"][0]
        center = hole["found"]["x_mm"], hole["found"]["y_mm"]
        size = drilled["diameter_mm"] / 2
        wall = lambda a, d: size + 0.03 * noise.noise((a * 2, d * 2, 5)) + max(0.0, 0.12 - d)
        steps = [-2.0] + [0.15 * i for i in range(5)] + [0.9 + 0.6 * i for i in range(22)] + [drilled["to_mm"]]
        made.append(lathe("wandered", center, steps, wall, materials, 5, tip=2.6))
    return made


def cut(body, cutter):
    """Takes the cutter out of the body for good."""
    modifier = body.modifiers.new("cut", "BOOLEAN")
    modifier.operation, modifier.solver, modifier.object = "DIFFERENCE", "EXACT", cutter
    bpy.context.view_layer.objects.active = body
    with bpy.context.temp_override(object=body, active_object=body, selected_objects=[body]):
        bpy.ops.object.modifier_apply(modifier="cut")
    bpy.data.objects.remove(cutter, do_unlink=True)
