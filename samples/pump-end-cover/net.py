"""A short way to write Blender shader nodes: every call adds one node and returns its output."""
import bpy


class Net:
    """The node tree of one new material."""

    def __init__(self, name):
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.tree = self.material.node_tree
        self.tree.nodes.clear()
        self.coords = self.tree.nodes.new("ShaderNodeTexCoord").outputs["Object"]

    def node(self, kind, inputs=None, out=0, **settings):
        """Adds a node; an input is a number, a tuple or the output of another node."""
        node = self.tree.nodes.new("ShaderNode" + kind)
        for key, value in settings.items():
            setattr(node, key, value)
        for key, value in (inputs or {}).items():
            socket = node.inputs[key]
            if isinstance(value, bpy.types.NodeSocket):
                self.tree.links.new(value, socket)
            else:
                socket.default_value = value
        return node.outputs[out] if len(node.outputs) else None

    def math(self, operation, a, b=0.0, clamp=False):
        return self.node("Math", {0: a, 1: b}, operation=operation, use_clamp=clamp)

    def mul(self, a, b):
        return self.math("MULTIPLY", a, b)

    def add(self, a, b):
        return self.math("ADD", a, b)

    def either(self, a, b):
        return self.math("MAXIMUM", a, b)

    def inverse(self, a):
        return self.math("SUBTRACT", 1.0, a, clamp=True)

    def place(self, scale=(1, 1, 1), turn=0.0, shift=(0, 0, 0)):
        """Object coordinates (millimeters), turned about the vertical, then scaled."""
        turned = self.node("Mapping", {"Vector": self.coords, "Rotation": (0, 0, turn), "Location": shift})
        return self.node("Mapping", {"Vector": turned, "Scale": scale})

    def noise(self, size_mm, detail=4.0, rough=0.55, twist=0.0, at=None):
        """Noise whose lumps are about so many millimeters across, 0 to 1 with its middle near 0.5."""
        where = self.coords if at is None else at
        return self.node("TexNoise", {"Vector": where, "Scale": 1.0 / size_mm, "Detail": detail,
                                      "Roughness": rough, "Distortion": twist})

    def step(self, value, low, high):
        """0 below `low`, 1 above `high`, smooth between; turned round when low > high."""
        a, b, lo, hi = (0.0, 1.0, low, high) if low < high else (1.0, 0.0, high, low)
        return self.node("MapRange", {"Value": value, "From Min": lo, "From Max": hi, "To Min": a, "To Max": b},
                         interpolation_type="SMOOTHSTEP")

    def near(self, points):
        """Distance in the plane of the face to the nearest of some points, millimeters."""
        flat = self.node("VectorMath", {0: self.coords, 1: (1, 1, 0)}, operation="MULTIPLY")
        least = None
        for x, y in points:
            far = self.node("VectorMath", {0: flat, 1: (x, y, 0)}, out="Value", operation="DISTANCE")
            least = far if least is None else self.math("MINIMUM", least, far)
        return least

    def ramp(self, value, *stops):
        """Colors along a value: (position, (r, g, b)) each."""
        node = self.tree.nodes.new("ShaderNodeValToRGB")
        self.tree.links.new(value, node.inputs[0])
        while len(node.color_ramp.elements) < len(stops):
            node.color_ramp.elements.new(0.5)
        for element, (position, color) in zip(node.color_ramp.elements, stops):
            element.position = position
            element.color = (*color, 1)
        return node.outputs[0]

    def blend(self, how_far, a, b):
        """Color a where how_far is 0, b where it is 1."""
        color = lambda c: c if isinstance(c, bpy.types.NodeSocket) else (*c, 1)
        return self.node("MixRGB", {0: how_far, 1: color(a), 2: color(b)})

    def between(self, how_far, a, b):
        """Number a where how_far is 0, b where it is 1."""
        return self.node("MapRange", {"Value": how_far, "To Min": a, "To Max": b})

    def surface(self, color, rough, metal=0.0, height=None, height_mm=1.0):
        """The finished surface; `height` (0 to 1) is a relief of `height_mm`."""
        inputs = {"Base Color": color if isinstance(color, bpy.types.NodeSocket) else (*color, 1),
                  "Roughness": rough, "Metallic": metal}
        if height is not None:
            # The scene is in units of 100 mm.
            inputs["Normal"] = self.node("Bump", {"Height": height, "Distance": height_mm * 0.01, "Strength": 1.0})
        shader = self.node("BsdfPrincipled", inputs)
        self.node("OutputMaterial", {"Surface": shader})
        return self.material
