"""Renders the sample's photograph and writes where its holes are in it.

    blender -b -P render.py -- OUT.png MARKS.json [WIDTH [SAMPLES]]

Geometry and damage come from scenario.json beside this file. The same version of Blender gives the same picture.
"""
import json
import math
import os
import random
import sys

import bpy
from bpy_extras.object_utils import world_to_camera_view
from mathutils import Quaternion, Vector

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, HERE)
import added  # noqa: E402
import materials  # noqa: E402
import props  # noqa: E402
import shapes  # noqa: E402
from shapes import UNIT  # noqa: E402

TILT_DEG, TURN_DEG, ROLL_DEG = 24.0, 8.0, -3.0
DISTANCE_MM, LENS_MM = 418.0, 38.0


def build(scenario):
    """The casting with its holes, and the bench with the things on it."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    random.seed(7)
    skin, dark = materials.skin(), materials.bore()
    slots = [skin, materials.face(scenario), dark, materials.fracture(), materials.cavity(), materials.drilled()]
    body = shapes.casting(scenario, slots)
    for hole in scenario["holes"]:
        for cutter in shapes.cutters(hole, slots):
            shapes.cut(body, cutter)
        if hole["picture"]["look"] == "weld":
            added.weld_bead(hole, [materials.weld(False), materials.weld(True)])
        if hole["picture"]["look"] == "broken-tap":
            added.tap_stump(hole, materials.steel("tap steel", 0.62, 0.26, 0.05))
    shape = scenario["face"]["shape"]
    top = -shape["height_mm"]
    rusty = materials.steel("old steel", 0.30, 0.45, 0.62)
    props.bench(top, materials.wood())
    props.steel_rule((-162, -18, top + 1.0), math.radians(86), materials.steel("rule", 0.50, 0.30, 0.10), materials.ink())
    props.old_bolt((128, -175, top), math.radians(55), rusty)
    props.old_bolt((150, 150, top), math.radians(-20), rusty, 30.0)
    props.gasket_scraps(scenario, materials.gasket())
    props.crumbs(top, scenario, [rusty, materials.gasket()])
    slots.append(materials.steel("boss", 0.24, 0.42, 0.48))
    added.inside(scenario, body, slots)
    props.raised_letters("No. 7", (44, -66, top + 7.4), 21, slots[4])


def camera(scene, width, height):
    """A phone held over the near end, not quite square to the face."""
    lens = bpy.data.cameras.new("camera")
    lens.sensor_fit, lens.sensor_height, lens.sensor_width, lens.lens = "VERTICAL", 36.0, 27.0, LENS_MM
    lens.clip_start = 0.01
    tilt, turn = math.radians(TILT_DEG), math.radians(TURN_DEG)
    aim = Vector((-12, -6, -14))
    at = aim + DISTANCE_MM * Vector((math.sin(tilt) * math.sin(turn), -math.sin(tilt) * math.cos(turn), math.cos(tilt)))
    thing = bpy.data.objects.new("camera", lens)
    scene.collection.objects.link(thing)
    thing.location = at * UNIT
    look = (aim - at).to_track_quat("-Z", "Y")
    thing.rotation_euler = (look @ Quaternion((0, 0, 1), math.radians(ROLL_DEG))).to_euler()
    # A lens of 1.3 mm radius, focused on the near half of the face: the bench is a little soft.
    lens.dof.use_dof, lens.dof.aperture_fstop = True, LENS_MM / 1000 / (2 * 0.013)
    lens.dof.focus_distance = (at - Vector((0, -40, 0))).length * UNIT
    scene.camera = thing
    scene.render.resolution_x, scene.render.resolution_y, scene.render.resolution_percentage = width, height, 100
    return thing


def write_marks(scene, scenario, width, height, path):
    """The center of each hole in the upright picture, in pixels from the top left corner."""
    bpy.context.view_layer.update()
    marks = []
    for hole in scenario["holes"]:
        place = hole["found"]
        seen = world_to_camera_view(scene, scene.camera, Vector((place["x_mm"], place["y_mm"], 0)) * UNIT)
        marks.append({"number": hole["number"], "px": round(seen.x * width, 1), "py": round((1 - seen.y) * height, 1)})
    with open(path, "w") as out:
        rows = ",\n".join("    " + json.dumps(m) for m in marks)
        out.write(f'{{\n  "picture": "{scenario["photo"]["file"]}",\n  "upright_width": {width},\n'
                  f'  "upright_height": {height},\n  "marks": [\n{rows}\n  ]\n}}\n')


def main():
    args = sys.argv[sys.argv.index("--") + 1:]
    width = int(args[2]) if len(args) > 2 else 1800
    height = width * 4 // 3
    with open(os.path.join(HERE, "scenario.json")) as file:
        scenario = json.load(file)
    build(scenario)
    scene = bpy.context.scene
    camera(scene, width, height)
    props.light(scene)
    write_marks(scene, scenario, width, height, args[1])
    scene.render.engine = "CYCLES"
    cycles = scene.cycles
    cycles.samples = int(args[3]) if len(args) > 3 else 24
    cycles.seed, cycles.use_adaptive_sampling, cycles.adaptive_threshold = 7, True, 0.03
    cycles.use_denoising = False  # not built into every Blender; the grain that is left looks like a camera's
    cycles.max_bounces, cycles.diffuse_bounces, cycles.glossy_bounces = 4, 2, 3
    cycles.sample_clamp_indirect, cycles.caustics_reflective, cycles.caustics_refractive = 3.0, False, False
    scene.view_settings.view_transform, scene.view_settings.look = "Filmic", "Medium High Contrast"
    scene.view_settings.exposure = 1.95
    scene.render.image_settings.file_format = "PNG"
    scene.render.filepath = os.path.abspath(args[0])
    bpy.ops.render.render(write_still=True)


main()
