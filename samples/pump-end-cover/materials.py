"""The surfaces, all procedural: iron as cast, as machined, rusty, broken, welded; wood, steel, gasket paste."""
from net import Net

RUST = ((0.0, (0.022, 0.013, 0.009)), (0.35, (0.075, 0.032, 0.014)), (0.62, (0.16, 0.066, 0.024)), (1.0, (0.30, 0.135, 0.05)))


def rust(net, size=5.0):
    return net.ramp(net.noise(size, 5, 0.68), *RUST)


def scratches(net, spec):
    """Fine straight marks: (turn, length, width, threshold) for each set; 1 on a scratch."""
    total = None
    for n, (turn, length, width, limit) in enumerate(spec):
        at = net.place((1 / length, 1 / width, 0.001), turn, (13.0 * n, 7.0 * n, 0))
        lines = net.step(net.noise(1.0, 1.0, 0.4, at=at), limit, limit + 0.03)
        patch = net.step(net.noise(38, 2, at=net.place(shift=(31.0 * n, 0, 5))), 0.46, 0.60)
        lines = net.mul(lines, patch)
        total = lines if total is None else net.either(total, lines)
    return total


def face(scenario):
    """The joint face: planed long ago, wiped, pitted, rusty, with gasket left on it."""
    net = Net("face")
    holes = scenario["holes"]
    near = net.near([(h["found"]["x_mm"], h["found"]["y_mm"]) for h in holes])
    worst = net.near([(h["x_mm"], h["y_mm"]) for h in holes if h["number"] in (8, 9, 10)])
    bad = net.step(worst, 62, 12)
    tool = net.noise(1.0, 2.0, 0.5, at=net.place((1 / 160, 1 / 0.55, 0.001), 0.30))
    broad = net.noise(1.0, 2.0, 0.5, at=net.place((1 / 220, 1 / 2.6, 0.001), 0.30))
    marks = net.add(net.mul(tool, 0.6), net.mul(broad, 0.4))
    stain = net.noise(26, 6, 0.62)
    iron = net.ramp(net.add(net.mul(stain, 0.75), net.mul(marks, 0.25)),
                    (0.30, (0.085, 0.078, 0.070)), (0.48, (0.19, 0.178, 0.165)), (0.66, (0.33, 0.32, 0.305)))
    cut = scratches(net, [(0.5, 26, 0.30, 0.64), (-0.9, 30, 0.35, 0.66), (1.9, 16, 0.25, 0.66), (0.05, 44, 0.3, 0.67)])
    iron = net.blend(net.mul(cut, 0.55), iron, (0.50, 0.49, 0.47))
    # Rust: broad blooms, and a halo where water stood in the holes
    halo = net.step(near, 13, 5)
    bloom = net.add(net.noise(19, 7, 0.68, 0.3), net.add(net.mul(halo, 0.10), net.mul(bad, 0.13)))
    rusty = net.mul(net.step(bloom, 0.55, 0.68), net.step(marks, 0.25, 0.48))
    thin = net.mul(net.step(bloom, 0.46, 0.60), 0.45)
    color = net.blend(net.either(rusty, thin), iron, rust(net, 6))
    # Pits: dark, small, in crowds
    crowd = net.add(net.noise(24, 4, 0.6, at=net.place(shift=(70, 0, 0))), net.mul(bad, 0.16))
    cells = net.node("TexVoronoi", {"Vector": net.coords, "Scale": 1 / 2.3, "Randomness": 1.0})
    ragged = net.add(cells, net.mul(net.noise(0.8, 4), 0.35))
    pit = net.mul(net.step(ragged, 0.48, 0.28), net.step(crowd, 0.53, 0.62))
    wide = net.mul(net.step(net.noise(4.2, 6, 0.6, 0.5), 0.64, 0.70), net.step(crowd, 0.50, 0.58))
    pit = net.either(pit, wide)
    color = net.blend(net.mul(pit, 0.85), color, (0.030, 0.017, 0.011))
    # Gasket: thin scraps stuck fast, most of them away from the holes' edges
    scrap = net.mul(net.noise(21, 5, 0.58, 0.8, at=net.place((1, 1, 1), 0, (0, 210, 0))), net.step(near, 5.2, 7.5))
    paste = net.step(scrap, 0.605, 0.622)
    paper = net.ramp(net.noise(3.5, 6), (0.3, (0.028, 0.025, 0.023)), (0.55, (0.062, 0.052, 0.045)), (0.75, (0.15, 0.115, 0.085)))
    color = net.blend(paste, color, paper)
    # Oil from the rag: darker and glossier
    oil = net.step(net.noise(34, 3, 0.5, 1.0, at=net.place(shift=(0, 0, 90))), 0.53, 0.66)
    color = net.blend(net.mul(oil, 0.45), color, (0.035, 0.026, 0.018))
    dull = net.either(net.either(rusty, pit), paste)
    rough = net.between(dull, net.between(oil, 0.40, 0.24), 0.82)
    rough = net.add(rough, net.mul(net.add(stain, -0.5), 0.25))
    metal = net.mul(net.inverse(net.either(dull, net.mul(thin, 0.6))), 0.72)
    height = net.add(net.mul(marks, 0.05), net.mul(net.inverse(pit), 0.62))
    height = net.add(height, net.add(net.mul(paste, 0.40), net.mul(net.mul(rusty, net.noise(1.4, 6, 0.7)), 0.22)))
    height = net.add(height, net.mul(cut, -0.05))
    return net.surface(color, rough, metal, height, 0.55)


def skin():
    """Iron as cast, painted once, chipped since."""
    net = Net("skin")
    lumps = net.noise(2.2, 5, 0.66)
    chip = net.add(net.noise(15, 6, 0.7, 0.3), net.mul(net.noise(60, 2), 0.35))
    bare = net.step(chip, 0.635, 0.665)
    paint = net.ramp(net.noise(30, 7), (0.3, (0.018, 0.030, 0.028)), (0.6, (0.034, 0.052, 0.047)), (0.8, (0.075, 0.078, 0.066)))
    color = net.blend(bare, paint, rust(net, 7))
    grease = net.step(net.noise(22, 5, 0.6, at=net.place((1, 1, 0.4), 0, (40, 0, 0))), 0.52, 0.64)
    color = net.blend(net.mul(grease, 0.7), color, (0.016, 0.012, 0.009))
    rough = net.between(bare, net.between(grease, 0.5, 0.32), 0.88)
    height = net.add(net.mul(lumps, 0.8), net.mul(bare, -0.3))
    return net.surface(color, rough, 0.0, height, 1.1)


def bore():
    """Thread walls: oily rust with worn crests."""
    net = Net("bore")
    color = net.ramp(net.noise(2.5, 6), (0.3, (0.030, 0.020, 0.013)), (0.55, (0.095, 0.058, 0.035)), (0.75, (0.20, 0.165, 0.135)))
    return net.surface(color, net.between(net.noise(5, 3), 0.30, 0.62), 0.45, net.noise(0.7, 5), 0.12)


def drilled():
    """A newer drilled wall, brighter than the old thread."""
    net = Net("drilled")
    color = net.ramp(net.noise(4, 5), (0.3, (0.20, 0.17, 0.14)), (0.7, (0.46, 0.45, 0.43)))
    rings = net.noise(1.0, 2, at=net.place((0.02, 0.02, 2.2)))
    return net.surface(color, 0.42, 0.6, rings, 0.2)


def cavity():
    """Inside the water jacket: scale, rust and lime."""
    net = Net("cavity")
    scale = net.noise(10, 7, 0.70)
    color = net.ramp(scale, (0.28, (0.035, 0.016, 0.008)), (0.46, (0.13, 0.050, 0.018)), (0.58, (0.27, 0.115, 0.040)), (0.74, (0.42, 0.28, 0.15)))
    lime = net.step(net.noise(30, 6, 0.6, 0.5, at=net.place((1, 1, 0.35), 0, (0, 0, 20))), 0.56, 0.70)
    color = net.blend(net.mul(lime, 0.5), color, (0.44, 0.38, 0.29))
    black = net.step(net.noise(44, 4, 0.62, at=net.place(shift=(0, 130, 0))), 0.42, 0.62)
    color = net.blend(net.mul(black, 0.72), color, (0.030, 0.022, 0.018))
    mud = net.step(net.add(net.node("SeparateXYZ", {0: net.coords}, out="Z"), net.mul(scale, 16.0)), -74.0, -80.0)
    color = net.blend(net.mul(mud, 0.55), color, (0.085, 0.056, 0.034))
    return net.surface(color, 0.9, 0.0, scale, 4.0)


def fracture():
    """Broken iron: gray, grainy, going brown."""
    net = Net("fracture")
    grain = net.noise(0.55, 6, 0.7)
    color = net.ramp(net.add(net.mul(grain, 0.5), net.mul(net.noise(4, 5), 0.5)),
                      (0.36, (0.030, 0.022, 0.017)), (0.50, (0.105, 0.085, 0.070)), (0.64, (0.24, 0.215, 0.19)))
    return net.surface(color, net.between(grain, 0.45, 0.85), 0.25, net.add(grain, net.noise(2.2, 4)), 0.55)


def weld(ground):
    """The bead as it froze, blued and scaly, or where it was ground bright."""
    net = Net("weld ground" if ground else "weld")
    if ground:
        lines = net.noise(1.0, 2.0, at=net.place((1 / 14, 1 / 0.25, 0.01), 0.8))
        color = net.ramp(net.noise(5, 3), (0.3, (0.34, 0.29, 0.22)), (0.55, (0.50, 0.49, 0.47)), (0.75, (0.40, 0.42, 0.47)))
        return net.surface(color, net.between(lines, 0.22, 0.45), 0.95, lines, 0.12)
    color = net.ramp(net.noise(5, 6), (0.3, (0.045, 0.035, 0.030)), (0.48, (0.075, 0.075, 0.095)), (0.6, (0.17, 0.085, 0.035)), (0.8, (0.20, 0.18, 0.17)))
    return net.surface(color, 0.48, 0.55, net.noise(1.1, 7, 0.7), 0.35)


def steel(name, tone, rough, rusty=0.0):
    """Bright or worn steel with some rust on it (0: none, 1: all)."""
    net = Net(name)
    spots = net.step(net.noise(6, 8, 0.68), 0.76 - 0.5 * rusty, 0.86 - 0.5 * rusty)
    stain = net.noise(16, 4)
    color = net.blend(net.mul(stain, 0.5), (tone, tone, tone * 0.97), (tone * 0.6, tone * 0.57, tone * 0.52))
    color = net.blend(spots, color, rust(net, 3))
    lines = net.noise(1.0, 1.0, at=net.place((0.02, 3.0, 0.01), 0.02))
    return net.surface(color, net.between(spots, net.between(lines, rough - 0.06, rough + 0.08), 0.8), net.between(spots, 0.9, 0.05),
                       net.add(net.mul(lines, 0.15), net.mul(spots, 0.4)), 0.12)


def ink():
    net = Net("ink")
    return net.surface((0.02, 0.02, 0.02), 0.5)


def wood():
    """Bench boards: grain along y, old oil, knocks and dirt. Each board is shifted by its own place."""
    net = Net("wood")
    board = net.node("ObjectInfo", out="Random")
    shift = net.node("CombineXYZ", {"X": net.mul(board, 900.0), "Y": net.mul(board, 7000.0), "Z": net.mul(board, 300.0)})
    at = net.node("VectorMath", {0: net.coords, 1: shift}, operation="ADD")
    grain = net.noise(1.0, 5, 0.6, 0.5, at=net.node("Mapping", {"Vector": at, "Scale": (1 / 7, 1 / 150, 1 / 20)}))
    fibre = net.noise(1.0, 3, 0.6, at=net.node("Mapping", {"Vector": at, "Scale": (1 / 0.7, 1 / 26, 1 / 5)}))
    tone = net.add(net.mul(grain, 0.55), net.mul(fibre, 0.45))
    color = net.ramp(tone, (0.30, (0.055, 0.030, 0.016)), (0.48, (0.16, 0.093, 0.048)), (0.62, (0.27, 0.17, 0.095)), (0.8, (0.36, 0.245, 0.15)))
    color = net.blend(net.mul(board, 0.35), color, (0.10, 0.065, 0.042))
    dirt = net.step(net.noise(75, 5, 0.66), 0.46, 0.74)
    color = net.blend(net.mul(dirt, 0.72), color, (0.022, 0.016, 0.012))
    crack = net.step(net.noise(1.0, 2, 0.5, at=net.node("Mapping", {"Vector": at, "Scale": (1 / 1.6, 1 / 170, 1 / 9)})), 0.665, 0.70)
    color = net.blend(net.mul(crack, 0.85), color, (0.014, 0.009, 0.006))
    knock = scratches(net, [(0.4, 40, 0.6, 0.70), (-1.1, 70, 0.5, 0.71)])
    color = net.blend(net.mul(knock, 0.3), color, (0.36, 0.26, 0.17))
    oil = net.step(net.noise(70, 4, 0.5, 0.0, at=net.place(shift=(120, 60, 0))), 0.57, 0.70)
    color = net.blend(net.mul(oil, 0.8), color, (0.016, 0.010, 0.006))
    rough = net.between(oil, net.between(dirt, 0.66, 0.5), 0.22)
    height = net.add(net.mul(tone, 0.7), net.add(net.mul(knock, -0.25), net.mul(crack, -0.9)))
    return net.surface(color, rough, 0.0, height, 0.9)


def gasket():
    net = Net("gasket")
    color = net.ramp(net.noise(5, 7), (0.3, (0.045, 0.035, 0.028)), (0.6, (0.16, 0.115, 0.078)), (0.8, (0.24, 0.19, 0.14)))
    return net.surface(color, 0.9, 0.0, net.noise(0.9, 5), 0.25)
