"""Drawings written by an independent library, taken in by the program.

ezdxf writes random lines, arcs, circles, ellipses, splines and polylines, in planes of any normal and in blocks that are
inserted turned, scaled and mirrored, one inside the other. The program makes a design of them; every tube of it must lie
on what was drawn, and everything drawn must have its tubes. Prints what was checked; exits with 1 if anything is wrong.
"""

import json
import math
import os
import random
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.disassemble import recursive_decompose

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "tubewright"
# A drawn arc or line and its tube, mm: a design file is written to a nanometre, and chords of an arc of 600 mm in
# PLACES places keep to 2e-5 mm.
LIMIT = 1e-4
PLACES = 6000
counts = {"passed": 0, "failed": 0, "things": 0}


def check(ok, what):
    counts["passed" if ok else "failed"] += 1
    if not ok:
        print("wrong:", what)


def normal(rng):
    while True:
        v = np.array([rng.uniform(-1, 1) for _ in range(3)])
        if rng.random() < 0.3:
            v = np.array(rng.choice([(0, 0, 1), (0, 0, -1), (1, 0, 0), (0, -1, 0), (0.01, 0.01, 1)]), float)
        if np.linalg.norm(v) > 0.1:
            return tuple(v / np.linalg.norm(v))


def draw(space, rng, slot, layer):
    """One thing in a room of its own, so that nothing meets anything else."""
    at = np.array([slot % 6, slot // 6 % 6, slot // 36]) * 1500.0
    near = lambda: tuple(at + np.array([rng.uniform(0, 900) for _ in range(3)]))
    flat = {"layer": layer, "extrusion": normal(rng)}
    kind = rng.choice(["line", "arc", "bulge", "old", "space", "ellipse"])
    if kind == "line":
        space.add_line(near(), near(), {"layer": layer})
    elif kind == "arc":
        start = rng.uniform(0, 360)
        space.add_arc(near(), rng.uniform(150, 400), start, start + rng.uniform(20, 160), dxfattribs=flat)
    elif kind in ("bulge", "old"):
        # Legs with a tangent arc between, in the entity's own plane.
        r, turn = rng.uniform(100, 200), math.radians(rng.uniform(20, 150))
        end = np.array([300 + r * math.sin(turn), r - r * math.cos(turn)])
        tip = end + 300 * np.array([math.cos(turn), math.sin(turn)])
        sign = rng.choice([-1, 1])
        points = [(0, 0, 0), (300, 0, sign * math.tan(turn / 4)), (*(end * (1, sign)), 0), (*(tip * (1, sign)), 0)]
        shift = rng.uniform(0, 500), rng.uniform(0, 500)
        points = [(x + shift[0] + slot * 40, y + shift[1], b) for x, y, b in points]
        if kind == "bulge":
            space.add_lwpolyline(points, format="xyb", dxfattribs={**flat, "elevation": rng.uniform(-200, 200)})
        else:
            space.add_polyline2d(points, format="xyb", dxfattribs={**flat, "elevation": (0, 0, rng.uniform(-200, 200))})
    elif kind == "space":
        space.add_polyline3d([near(), near(), near()], dxfattribs={"layer": layer})
    else:
        # A circle as an ellipse, as many programs write arcs in space.
        n = np.array(normal(rng))
        major = np.cross(n, (0.3, 0.5, 0.9))
        major *= rng.uniform(150, 300) / np.linalg.norm(major)
        start = rng.uniform(0, 3)
        space.add_ellipse(near(), tuple(major), 1.0, start, start + rng.uniform(0.4, 2.5), {"layer": layer, "extrusion": tuple(n)})


def segments(corners, radii):
    """A chain as points, close enough together."""
    out = [np.array(corners[0])]
    for k in range(1, len(corners) - 1):
        a, b, c = (np.array(p) for p in corners[k - 1 : k + 2])
        u, v = (b - a) / np.linalg.norm(b - a), (c - b) / np.linalg.norm(c - b)
        turn = math.atan2(np.linalg.norm(np.cross(u, v)), u @ v)
        if turn < 1e-9:
            continue
        axis = np.cross(u, v) / np.linalg.norm(np.cross(u, v))
        r = radii[k - 1]
        start = b - u * r * math.tan(turn / 2)
        centre = start + np.cross(axis, u) * r
        n = PLACES
        out += [centre + math.cos(t) * (start - centre) + math.sin(t) * np.cross(axis, start - centre)
                for t in np.linspace(0, turn, n)]
    out.append(np.array(corners[-1]))
    return np.array(out)


def parts(entity):
    """A polyline's lines and arcs; anything else by itself."""
    return list(entity.virtual_entities()) if "POLYLINE" in entity.dxftype() else [entity]


def places(entity):
    """Places on a line, an arc or an ellipse, by the library's own formulas."""
    d = entity.dxf
    if entity.dxftype() == "LINE":
        return np.array([tuple(d.start), tuple(d.end)])
    if entity.dxftype() == "ARC":
        sweep = (d.end_angle - d.start_angle) % 360 or 360
        return np.array([tuple(v) for v in entity.vertices(np.linspace(d.start_angle, d.start_angle + sweep, PLACES))])
    sweep = (d.end_param - d.start_param) % math.tau or math.tau
    return np.array([tuple(v) for v in entity.vertices(np.linspace(d.start_param, d.start_param + sweep, PLACES))])


def away(points, lines):
    """The farthest of points from the nearest of polylines."""
    worst = 0.0
    for p in points:
        best = math.inf
        for line in lines:
            a, d = line[:-1], line[1:] - line[:-1]
            length = np.maximum((d * d).sum(axis=1), 1e-30)
            t = np.clip(((p - a) * d).sum(axis=1) / length, 0, 1)
            best = min(best, np.sqrt((((a + d * t[:, None]) - p) ** 2).sum(axis=1)).min())
        worst = max(worst, best)
    return worst


def one(folder, seed):
    rng = random.Random(seed)
    doc = ezdxf.new("R2010")
    doc.units = ezdxf.units.MM
    space = doc.modelspace()
    for name in ("hoop", "brace"):
        doc.layers.add(name)
    for slot in range(12):
        draw(space, rng, slot, rng.choice(["hoop", "brace"]))
    inner, outer = doc.blocks.new("inner", base_point=(10, 20, 30)), doc.blocks.new("outer")
    draw(inner, rng, 0, "0")
    scale = rng.choice([-1, 1]) * rng.uniform(0.5, 1.5)
    outer.add_blockref("inner", (100, 0, 50), {"rotation": rng.uniform(0, 360), "layer": "0"})
    for k in range(3):
        size = abs(scale)
        space.add_blockref("outer", (20000 + 3000 * k, 0, 0), {
            "layer": "brace", "rotation": rng.uniform(0, 360), "extrusion": normal(rng),
            "xscale": scale, "yscale": size, "zscale": size * rng.choice([-1, 1]),
        })
    file = folder / f"{seed}.dxf"
    doc.saveas(file)
    new = folder / f"{seed}.toml"
    run = [PROGRAM, "new", new, "--from", file, "--both-sides", "--forward", "x", "--json"]
    made = subprocess.run(run, capture_output=True, text=True)
    check(made.returncode == 0, f"seed {seed}: {made.stderr}")
    if made.returncode:
        return 0.0
    shape = subprocess.run([PROGRAM, "shape", new, "--json"], capture_output=True, text=True)
    check(shape.stdout.startswith("{"), f"seed {seed}: {shape.stderr}")
    if not shape.stdout.startswith("{"):
        return 0.0
    tubes = json.loads(shape.stdout)["tubes"]
    written = tomllib.loads(new.read_text())["tube"]
    ours = []
    for t in tubes:
        radius, bends = written[t["name"]].get("bend_radius", 0), len(t["corners"]) - 2
        radii = radius if isinstance(radius, list) else [radius] * bends
        ours.append(segments(np.array(t["corners"]) * 1e3, radii))
    drawn = [places(part) for e in recursive_decompose(space) for part in parts(e)]
    counts["things"] += len(drawn)
    worst = 0.0
    for line in drawn:
        pick = line[:: max(1, len(line) // 8)]
        off = away(pick, ours)
        check(off < LIMIT, f"seed {seed}: a drawn line is {off:.6f} mm from all tubes")
        worst = max(worst, off)
    for t, line in zip(tubes, ours):
        pick = line[:: max(1, len(line) // 8)]
        off = away(pick, drawn)
        check(off < LIMIT, f"seed {seed}: tube {t['name']} is {off:.6f} mm from what is drawn")
        worst = max(worst, off)
    return worst


def main():
    with tempfile.TemporaryDirectory() as folder:
        worst = max(one(Path(folder), seed) for seed in range(14))
    print(f"{counts['things']} things drawn by ezdxf; drawing and tubes are at most {worst * 1e3:.4f} micrometres apart")
    print(f"{counts['passed']} checks passed, {counts['failed']} failed")
    sys.exit(counts["failed"] > 0)


if __name__ == "__main__":
    main()
