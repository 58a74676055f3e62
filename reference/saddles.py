"""Printed saddles read by trimesh: closed, a volume, and the tube's axis where it belongs.

`crates/jigs/examples/sheets.rs` writes a saddle for every end of both demo designs that lands on a tube which passes, as
STL, and tells where the held axis should be. Here each file is loaded; its surface must close and enclose the volume told. Then it is cut
square to the designed axis at several places along the seat. In each section the hollow's sides are half-planes: the tube, a circle
of its radius or its box, is let down into them as far as it goes, as a linear program in the place of its centre. That must be the
designed axis within 0.01 mm, at each place, and so must the two ends of the line through those places be. The designed axis itself is
worked out anew from the design file by `layout.py`.

Prints the worst differences; exits with 1 if any is over.
"""

import json
import sys

import numpy as np
import trimesh
from scipy.optimize import linprog

from layout import Layout
from program import ROOT, TARGET, example

AXIS = 0.01  # mm
NEAR = 0.5  # mm
DESIGN = 1e-6  # mm
VOLUME = 1e-5
SECTIONS = (0.15, 0.4, 0.6, 0.85)


def sides(mesh, at, t, s, q, support):
    """Half-planes (n, d; the hollow is where n . x <= d) of the hollow's sides in a section, x along q and along -s from the axis."""
    segments, faces = trimesh.intersections.mesh_plane(mesh, t, at, return_faces=True)
    out = []
    for (a, _), f in zip(segments, faces):
        n = np.array((mesh.face_normals[f] @ q, -(mesh.face_normals[f] @ s)))
        size = np.linalg.norm(n)
        if size < 0.9:
            continue
        a2 = np.array(((a - at) @ q, -((a - at) @ s)))
        # Walls of the hollow face the axis, and are near where the tube should be; the block's top and slots are not.
        n /= size
        if abs(-(n @ a2) - support(n)) < NEAR:
            out.append((-n, -(n @ a2)))
    return out


def rests(walls, support):
    """Where the centre comes to rest: as low as it goes; sideways the middle of what is then free."""
    a = np.array([n for n, _ in walls])
    b = np.array([d - support(n) for n, d in walls])
    box = [(-5, 5), (-5, 5)]
    low = linprog((0, 1), A_ub=a, b_ub=b, bounds=box)
    if not low.success:
        return None
    y = low.x[1]
    lo, hi = (linprog((k, 0), A_ub=np.vstack((a, (0, 1))), b_ub=np.append(b, y + 1e-7), bounds=box) for k in (1, -1))
    return np.array(((lo.x[0] + hi.x[0]) / 2, y)), hi.x[0] - lo.x[0]


def outline(tube, end, s, q):
    """Support function of the held section for a direction in the coordinates (q, -s)."""
    size = tube.section
    if size["shape"] == "round":
        return lambda n: size["od"] / 2
    u, v = tube.frame(end)
    a, b, r = size["height"] / 2 - size["corner"], size["width"] / 2 - size["corner"], size["corner"]
    def support(n):
        d = n[0] * q - n[1] * s
        return a * abs(d @ u) + b * abs(d @ v) + r
    return support


def main():
    worst = dict.fromkeys(("axis", "axis at its ends", "angle", "sideways play", "volume", "design"), 0.0)
    wrong, count, sections = [], 0, 0
    for name in ("gorse", "wren"):
        folder = TARGET / "saddles" / name
        folder.mkdir(parents=True, exist_ok=True)
        path = ROOT / "examples" / f"{name}.toml"
        told = json.loads(example("sheets", path, folder))["jigs"]["saddles"]
        layout = Layout(path)
        for i, one in enumerate(told):
            who = f"{one['held']} on {one['host']}"
            mesh = trimesh.load(folder / f"{i}.stl")
            count += 1
            if not (mesh.is_watertight and mesh.is_winding_consistent and mesh.is_volume):
                wrong.append(f"{who}: not a closed volume")
                continue
            worst["volume"] = max(worst["volume"], abs(mesh.volume * 1e-9 / one["volume"] - 1))
            # The designed axis, from the design file alone, in the saddle's own axes.
            tube, end = layout.named[one["held"]], one["end"] == "end"
            axes, origin = np.array(one["axes"]), np.array(one["origin"]) * 1e3
            p, t = axes @ (tube.at(end) - origin), axes @ -tube.out(end)
            told_p, told_t = np.array(one["axis"][0]) * 1e3, np.array(one["axis"][1])
            off = np.linalg.norm(np.cross(told_p - p, t)) + 100 * np.linalg.norm(told_t - t)
            worst["design"] = max(worst["design"], off)
            s = np.array(one["support"])
            q = np.cross(t, s)
            support = outline(tube, end, axes.T @ s, axes.T @ q)
            along = np.array(one["seat"]) * 1e3
            along = (tube.length - along if end else along)
            seen = []
            for part in SECTIONS:
                at = p + t * (along[0] + (along[1] - along[0]) * part)
                walls = sides(mesh, at, t, s, q, support)
                found = rests(walls, support) if len(walls) >= 2 else None
                if found is None:
                    continue
                c, play = found
                sections += 1
                seen.append((part, c))
                worst["axis"] = max(worst["axis"], np.linalg.norm(c))
                worst["sideways play"] = max(worst["sideways play"], play)
                if np.linalg.norm(c) > AXIS:
                    wrong.append(f"{who}: axis off by {np.linalg.norm(c):.4f} mm, {c}")
            if len(seen) < 3:
                wrong.append(f"{who}: only {len(seen)} sections show a seat")
                continue
            x = np.array([f for f, _ in seen]) * abs(along[1] - along[0])
            line = np.polyfit(x, np.array([c for _, c in seen]), 1)
            ends = [np.linalg.norm(line[0] * l + line[1]) for l in (0, abs(along[1] - along[0]))]
            worst["axis at its ends"] = max(worst["axis at its ends"], *ends)
            worst["angle"] = max(worst["angle"], np.linalg.norm(line[0]))
    if worst["volume"] > VOLUME or worst["design"] > DESIGN or worst["axis at its ends"] > AXIS:
        wrong.append(f"over: {worst}")
    for w in wrong:
        print("differs:", w)
    print(f"{count} saddles, {sections} sections; worst: " + ", ".join(f"{k} {v:.1e}" for k, v in worst.items()))
    print("0 failed" if not wrong else f"{len(wrong)} differ")
    return 1 if wrong or count < 100 else 0


if __name__ == "__main__":
    sys.exit(main())
