"""The surroundings of the casting: the bench, a steel rule, an old bolt, scraps and crumbs; and the light."""
import math
import random

import bpy
from mathutils import Euler, Vector, noise

from shapes import PITCH, UNIT, mesh_object, oval, rings


def box(name, size, at, material, turn=0.0):
    x, y, z = (s / 2 for s in size)
    points = [(sx * x, sy * y, sz * z) for sx in (-1, 1) for sy in (-1, 1) for sz in (-1, 1)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    thing = mesh_object(name, points, faces, [material], smooth=False)
    thing.location, thing.rotation_euler = Vector(at) * UNIT, (0, 0, turn)
    return thing


def bench(top, material):
    """Boards that run away to the left, not quite level with one another."""
    chance, y = random.Random(3), -620.0
    while y < 720:
        width = chance.uniform(118, 150)
        board = box("board", (width, 2600, 40), (0, y + width / 2, top - 20 - chance.uniform(0, 1.6)), material, math.radians(90 + 11))
        board.rotation_euler.x = math.radians(chance.uniform(-0.25, 0.25))
        y += width + chance.uniform(1.2, 2.6)


def lying(thing, at, turn):
    thing.location, thing.rotation_euler.z = Vector(at) * UNIT, turn
    return thing


def steel_rule(at, turn, steel, ink):
    """A plain 300 mm rule, 25 mm wide, divided in millimeters on both edges."""
    rule = box("rule", (312, 25, 1.0), at, steel, turn)
    points, faces = [], []
    for edge in (-1, 1):
        for mark in range(301):
            long = 9.0 if mark % 10 == 0 else 6.8 if mark % 5 == 0 else 4.6
            x, y = mark - 150, edge * 12.4
            first = len(points)
            points += [(x - 0.11, y, 0.53), (x + 0.11, y, 0.53), (x + 0.11, y - edge * long, 0.53), (x - 0.11, y - edge * long, 0.53)]
            faces.append((first, first + 1, first + 2, first + 3))
    marks = mesh_object("marks", points, faces, [ink], smooth=False)
    lying(marks, at, turn)
    for cm in range(1, 30):
        figure = bpy.data.curves.new("figure", "FONT")
        figure.body, figure.size, figure.align_x = str(cm), 4.6, "CENTER"
        figure.materials.append(ink)
        thing = bpy.data.objects.new("figure", figure)
        bpy.context.scene.collection.objects.link(thing)
        thing.scale = (UNIT, UNIT, UNIT)
        here = Vector((cm * 10 - 150, -1.9, 0.54))
        here.rotate(Euler((0, 0, turn)))
        thing.location, thing.rotation_euler = (Vector(at) + here) * UNIT, (0, 0, turn)
    return rule


def old_bolt(at, turn, material, length=38.0):
    """A 3/8-16 bolt with a hexagon head, lying on its side."""
    count, sections = 48, []
    hexagon = lambda a: 7.14 / math.cos((a + math.pi / 6) % (math.pi / 3) - math.pi / 6)
    head = [(0.0, 0.86), (0.7, 0.97), (1.2, 1.0), (5.9, 1.0), (6.0, 0.98)]
    for x, share in head:
        sections.append([(x, share * hexagon(2 * math.pi * k / count)) for k in range(count)])
    x = 6.0
    while x < length:
        shank = x < 16
        row = []
        for k in range(count):
            wave = abs(((x / PITCH + k / count) % 1.0) - 0.5) * 2
            row.append((x, 4.7 if shank else 3.95 + 0.8 * wave - 0.25 * max(0, noise.noise((x / 5, k / 9, 2)))))
        sections.append(row)
        x += 0.3
    points = [(sx, r * math.cos(2 * math.pi * k / count), r * math.sin(2 * math.pi * k / count) + 7.0)
              for row in sections for k, (sx, r) in enumerate(row)]
    faces, _ = rings(len(sections), count, lambda ring: 0, (0, 0))
    bolt = mesh_object("bolt", points, faces, [material])
    bolt.rotation_euler.y = math.radians(3.0)
    return lying(bolt, at, turn)


def gasket_scraps(scenario, material):
    """Torn pieces of the old gasket, some stuck to the face and one fallen on the bench."""
    shape, chance = scenario["face"]["shape"], random.Random(11)
    for t, low, high, span in ((0.62, -12, -7, 0.16), (2.0, 6, 13, 0.11), (3.75, -13, -6.5, 0.20), (5.05, 6.5, 12.5, 0.10), (5.75, -12.5, -7, 0.08)):
        points, faces, steps = [], [], 26
        for i in range(steps + 1):
            u = t + span * (i / steps - 0.5)
            for j in range(7):
                w = low + (high - low) * j / 6 + 1.6 * noise.noise((u * 30, 0 if j < 3 else 9, t))
                x, y = oval(shape, u, w)
                ragged = 1.3 * noise.noise((w / 2, 3 * t, 1)) if i in (0, steps) else 0.0
                lift = 0.5 + 0.7 * max(0.0, noise.noise((x / 9, y / 9, 4))) + 0.08 * noise.noise((x, y, 0))
                points.append((x + ragged, y + ragged, lift if 0 < j < 6 and 0 < i < steps else 0.02))
        for i in range(steps):
            for j in range(6):
                a = i * 7 + j
                faces.append((a, a + 1, a + 8, a + 7))
        mesh_object("gasket", points, faces, [material])


def crumbs(top, scenario, materials):
    """Flakes of rust and iron on the bench and a few on the face."""
    chance, points, faces, index = random.Random(5), [], [], []
    shape = scenario["face"]["shape"]

    def flake(x, y, z, size, which):
        first, n = len(points), 6
        for level in (0, 1):
            for k in range(n):
                a = 2 * math.pi * k / n
                r = size * chance.uniform(0.5, 1.0)
                points.append((x + r * math.cos(a), y + r * math.sin(a), z + level * size * chance.uniform(0.25, 0.6)))
        faces.extend((first + k, first + (k + 1) % n, first + n + (k + 1) % n, first + n + k) for k in range(n))
        faces.append(tuple(first + n + k for k in range(n)))
        index.extend([which] * (n + 1))

    for _ in range(420):
        t = chance.uniform(0, 2 * math.pi)
        x, y = oval(shape, t, 8 + chance.expovariate(1 / 22))
        flake(x, y, top, 0.25 + chance.expovariate(1 / 0.45), chance.randrange(2))
    for _ in range(150):
        x, y = oval(shape, chance.uniform(0, 2 * math.pi), chance.uniform(-12.5, 12.5))
        if min(math.dist((x, y), (h["x_mm"], h["y_mm"])) for h in scenario["holes"]) < 9.5:
            continue  # nothing floats over a hole
        flake(x, y, 0.0, 0.12 + chance.expovariate(1 / 0.16), chance.randrange(2))
    mesh_object("crumbs", points, faces, materials, index, smooth=False)


def raised_letters(text, at, size, material):
    """Letters cast on the floor inside."""
    curve = bpy.data.curves.new("letters", "FONT")
    curve.body, curve.size, curve.extrude, curve.bevel_depth, curve.align_x = text, size, 1.6, 0.5, "CENTER"
    curve.materials.append(material)
    thing = bpy.data.objects.new("letters", curve)
    bpy.context.scene.collection.objects.link(thing)
    thing.scale, thing.location, thing.rotation_euler = (UNIT, UNIT, UNIT), Vector(at) * UNIT, (0, 0, math.radians(4))


def area_light(name, at, target, size, power, color):
    light = bpy.data.lights.new(name, "AREA")
    light.shape, light.size, light.size_y = "RECTANGLE", size[0] * UNIT, size[1] * UNIT
    light.energy, light.color = power, color
    thing = bpy.data.objects.new(name, light)
    bpy.context.scene.collection.objects.link(thing)
    thing.location = Vector(at) * UNIT
    thing.rotation_euler = (Vector(target) - Vector(at)).to_track_quat("-Z", "Y").to_euler()
    return thing


def light(scene):
    """A window to the left with its bars, a weak warm lamp behind, a dim room."""
    aim = Vector((0, 0, 0))
    for i in range(2):
        for j in range(2):
            at = (-1150, 60 + 480 * i, 620 + 460 * j)
            area_light("pane", at, (0, 60 + 0.25 * 480 * i, 0), (430, 410), 270, (0.86, 0.93, 1.0))
    area_light("lamp", (700, 900, 1500), aim, (240, 240), 110, (1.0, 0.74, 0.46))
    world = bpy.data.worlds.new("room")
    world.use_nodes = True
    shade = world.node_tree.nodes["Background"]
    shade.inputs[0].default_value, shade.inputs[1].default_value = (0.75, 0.70, 0.64, 1), 0.16
    scene.world = world
