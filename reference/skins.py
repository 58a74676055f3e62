"""Distances of random tubes to random skins, beside trimesh's.

trimesh makes and writes the meshes (STL, OBJ, GLB), places them, and finds nearest places on triangles. The nearest
places of a straight tube's core and a triangle follow by projecting on one and the other in turn, which converges for
two convex bodies (Cheney and Goldstein 1959, from memory); those of a bent one by sampling its arcs ever closer.
Prints what was checked; exits with 1 if anything is wrong.
"""

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import trimesh

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "tubewright"
# Straight: where the projections stop. Bent: chords stand for arcs within 0.02 mm.
STRAIGHT, BENT = 1e-7, 2.1e-5
GAP = 0.03
HEAD = """
[design]
name = "Random"
[section.t]
shape = "round"
od = 40
wall = 2
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
corner = 6
material = "S355J2H"
"""


def random_mesh(rng, kind):
    if kind == 0:
        m = trimesh.creation.icosphere(subdivisions=2, radius=0.8)
        m.vertices = m.vertices * rng.uniform(0.5, 1.2, 3) + rng.normal(0, 0.03, m.vertices.shape)
    elif kind == 1:
        m = trimesh.creation.torus(0.8, 0.25, 16, 12)
    elif kind == 2:
        m = trimesh.creation.box((1.2, 0.8, 0.5))
    else:
        corners = rng.uniform(-1, 1, (60, 1, 3)) + rng.normal(0, 0.15, (60, 3, 3))
        m = trimesh.Trimesh(corners.reshape(-1, 3), np.arange(180).reshape(-1, 3), process=False)
    return m


def on_triangles(triangles, points):
    return trimesh.triangles.closest_point(triangles, points)


def convex(project, start, triangles):
    """Least distance of a convex core to triangles."""
    q = triangles.mean(axis=1)
    p = project(q)
    for _ in range(60):
        q = on_triangles(triangles, p)
        p = project(q)
    # Only those that can still be the nearest go on.
    d = np.linalg.norm(p - q, axis=1)
    keep = np.argsort(d)[:12]
    t, p = triangles[keep], p[keep]
    for _ in range(4000):
        q = on_triangles(t, p)
        new = project(q)
        done = np.abs(new - p).max() < 1e-13
        p = new
        if done:
            break
    return np.linalg.norm(p - q, axis=1).min()


def points(triangles, p):
    """Least distance of each point to the triangles."""
    best = np.full(len(p), np.inf)
    for k in range(0, len(p), 50):
        part = p[k : k + 50]
        t = np.repeat(triangles[None], len(part), axis=0).reshape(-1, 3, 3)
        x = np.repeat(part[:, None], len(triangles), axis=1).reshape(-1, 3)
        d = np.linalg.norm(on_triangles(t, x) - x, axis=1).reshape(len(part), -1)
        best[k : k + 50] = d.min(axis=1)
    return best


class Straight:
    def __init__(self, a, b):
        self.a, self.b, self.margin, self.limit = a, b, 0.02, STRAIGHT

    def core(self, triangles, shift):
        a, d = self.a + shift, self.b - self.a
        project = lambda x: a + d * np.clip((x - a) @ d / (d @ d), 0, 1)[:, None]
        return convex(project, a, triangles)


class Box:
    """Width 50 across, height 80 upright, corners of 6."""

    def __init__(self, a, b):
        length = np.linalg.norm(b - a)
        t = (b - a) / length
        u = np.array([0, 0, 1.0]) - t * t[2]
        u /= np.linalg.norm(u)
        self.axes, self.middle = np.array([t, u, np.cross(t, u)]), (a + b) / 2
        self.margin, self.limit = 0.006, STRAIGHT
        self.half = np.array([length / 2, 0.04, 0.025]) - self.margin

    def core(self, triangles, shift):
        m = self.middle + shift
        project = lambda x: m + np.clip((x - m) @ self.axes.T, -self.half, self.half) @ self.axes
        return convex(project, m, triangles)


class Bent:
    def __init__(self, a, b, c, radius):
        u, v = (a - b) / np.linalg.norm(a - b), (c - b) / np.linalg.norm(c - b)
        half = np.arccos(np.clip(u @ v, -1, 1)) / 2
        set_back = radius / np.tan(half)
        self.legs = [Straight(a, b + u * set_back), Straight(b + v * set_back, c)]
        self.middle = b + (u + v) / np.linalg.norm(u + v) * radius / np.sin(half)
        self.x = (b + u * set_back - self.middle) / radius
        end = (b + v * set_back - self.middle) / radius
        self.sweep = np.pi - 2 * half
        self.y = (end - self.x * np.cos(self.sweep)) / np.sin(self.sweep)
        self.radius, self.margin, self.limit = radius, 0.02, BENT

    def core(self, triangles, shift):
        lo, hi = 0.0, self.sweep
        for _ in range(3):
            s = np.linspace(lo, hi, 240)
            p = self.middle + shift + self.radius * (np.outer(np.cos(s), self.x) + np.outer(np.sin(s), self.y))
            d = points(triangles, p)
            k = d.argmin()
            lo, hi = s[max(k - 1, 0)], s[min(k + 1, len(s) - 1)]
        return min(d.min(), *(leg.core(triangles, shift) for leg in self.legs))


def random_tube(rng, kind):
    while True:
        p = np.round(rng.uniform(-1.3, 1.3, (3, 3)), 6)
        u, v = p[0] - p[1], p[2] - p[1]
        lengths = np.linalg.norm(u), np.linalg.norm(v)
        if min(lengths) < 0.3:
            continue
        if kind < 2:
            tube = Straight(p[0], p[1]) if kind == 0 else Box(p[0], p[1])
            if kind == 1 and abs(u[2]) / lengths[0] > 0.95:
                continue
            return tube, p[:2], ""
        half = np.arccos(u @ v / lengths[0] / lengths[1]) / 2
        if 0.12 / np.tan(half) < 0.9 * min(lengths) and 0.2 < half < 1.5:
            return Bent(*p, 0.12), p, "bend_radius = 120\n"


def one(rng, number, counts, worst):
    mesh = random_mesh(rng, number % 4)
    ending = ("stl", "obj", "glb")[number % 3]
    turn, at = np.round(rng.uniform(-180, 180, 3), 3), np.round(rng.uniform(-0.3, 0.3, 3), 6)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"body.{ending}"
        mesh.export(file)
        # As it stands in the file: STL and GLB hold single precision.
        read = trimesh.load(file, force="mesh", process=False)
        place = trimesh.transformations.euler_matrix(*np.radians(turn), "sxyz")
        place[:3, 3] = at
        triangles = trimesh.transform_points(read.triangles.reshape(-1, 3), place).reshape(-1, 3, 3)
        text, tubes, point = "", {}, ""
        for k in range(25):
            tube, corners, bend = random_tube(rng, k % 3)
            tubes[f"t{k}"] = tube
            names = [f"p{k}_{i}" for i in range(len(corners))]
            point += "".join(f"{n} = {[float(v) for v in c * 1e3]}\n" for n, c in zip(names, corners))
            text += f'[tube.t{k}]\nsection = "{"b" if k % 3 == 1 else "t"}"\npath = {json.dumps(names)}\n{bend}'
        text += f'[skin.body]\nfile = "body.{ending}"\nunit = "m"\nturn = {turn.tolist()}\nat = {(at * 1e3).tolist()}\ngap = {GAP * 1e3}\n'
        design = Path(folder) / "random.toml"
        design.write_text(f"{HEAD}[point]\n{point}{text}")
        run = subprocess.run([PROGRAM, "shape", design, "--json"], capture_output=True, text=True)
        if run.returncode:
            counts["wrong"] += 1
            print(run.stderr)
            return
        skin = json.loads(run.stdout)["skins"][0]
    if skin["triangles"] != len(triangles) or {n["tube"] for n in skin["tubes"]} != set(tubes):
        counts["wrong"] += 1
        print("wrong: triangles or tubes of", number, skin["triangles"], len(triangles))
        return
    for near in skin["tubes"]:
        tube = tubes[near["tube"]]
        core = tube.core(triangles, np.zeros(3))
        off = core - tube.margin - near["distance"]
        # Where the core meets the skin the projections come to rest slowly.
        limit = 1e-4 if near["crosses"] else tube.limit
        kind = "crossing" if near["crosses"] else type(tube).__name__.lower()
        counts[kind] = counts.get(kind, 0) + 1
        worst[kind] = max(worst.get(kind, 0), abs(off))
        if abs(off) > limit:
            counts["wrong"] += 1
            print(f"wrong: mesh {number}, {near['tube']} ({kind}): {near['distance']:.9f} m, off by {off:.2e}")
        if near["distance"] < GAP:
            if near["move"] is None:
                counts["without a move"] = counts.get("without a move", 0) + 1
                continue
            counts["moves"] = counts.get("moves", 0) + 1
            after = tube.core(triangles, np.array(near["move"])) - tube.margin
            if after < GAP - tube.limit:
                counts["wrong"] += 1
                print(f"wrong: mesh {number}, {near['tube']} is {after:.6f} m away after its move")
        elif near["move"] is not None:
            counts["wrong"] += 1
            print(f"wrong: mesh {number}, {near['tube']} clears and has a move")


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    rng = np.random.default_rng(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    counts, worst = {"wrong": 0}, {}
    for number in range(count):
        one(rng, number, counts, worst)
    print(f"{count} meshes:", ", ".join(f"{n} {k}" for k, n in counts.items()))
    print("worst, m:", ", ".join(f"{k} {v:.1e}" for k, v in worst.items()))
    return 1 if counts["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main())
