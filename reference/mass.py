"""Mass, centre of gravity and inertia of both demo designs, worked out anew from the design file alone.

`layout.py` places tubes and points. Here every tube is summed by Gauss's rule over its centreline, and in a bend over
the section too, where the length of each fibre goes with its distance from the bend's axis: a bent tube whose section
stays what it is, exactly. (The program sums slices of a degree.) Plates are cut into triangles and summed by the
tetrahedron rule; masses and wheels are boxes and discs.

The program's slices put a bend's mass on 1° of arc at a time, as if each were straight: it lies too far in or out by at
most R (1 - cos 0.5°) = 4e-5 R; and it leaves out the section's own part of the inertia that goes with 1/R. Against a
frame some 2 m long that is under the limits: of mass 1e-9, of the centre 1 µm, of each term of the inertia 1e-6 of its
largest moment. Prints the largest differences; exits with 1 if any is over.
"""

import json
import re
import subprocess
import sys

import numpy as np

from layout import MIRROR, Layout, amount, unit
from program import PROGRAM, ROOT, TARGET
from rays import area

DENSITY = 7850.0
MASS, CENTRE, INERTIA = 1e-9, 1e-6, 1e-6
ALONG = 12
GAUSS, WEIGHT = np.polynomial.legendre.leggauss(ALONG)


class Sum:
    """Points with masses, and solids with inertias of their own."""

    def __init__(self):
        self.mass, self.first, self.second = 0.0, np.zeros(3), np.zeros((3, 3))

    def points(self, p, m):
        """Points in m, one a row, with their masses."""
        p, m = np.atleast_2d(p), np.atleast_1d(m)
        self.mass += m.sum()
        self.first += m @ p
        self.second += np.eye(3) * (m * (p * p).sum(1)).sum() - (p * m[:, None]).T @ p

    def add(self, other):
        self.mass += other.mass
        self.first = self.first + other.first
        self.second = self.second + other.second

    def own(self, inertia):
        self.second = self.second + inertia

    def done(self):
        c = self.first / self.mass
        return self.mass, c, self.second - self.mass * (np.eye(3) * (c @ c) - np.outer(c, c))


def section(s):
    """Places over the wall of a section (m, along u and v) with their areas: exact for polynomials of second degree."""
    places, weights = [], []

    def solid(half_x, half_y, r, sign):
        # Two rectangles and four quarter circles; a round bar is the four alone.
        fx, fy = half_x - r, half_y - r
        for x0, x1, y0, y1 in ((-half_x, half_x, -fy, fy), (-fx, fx, fy, half_y), (-fx, fx, -half_y, -fy)):
            for a, wa in zip(GAUSS, WEIGHT):
                for b, wb in zip(GAUSS, WEIGHT):
                    places.append(((x0 + x1 + a * (x1 - x0)) / 2, (y0 + y1 + b * (y1 - y0)) / 2))
                    weights.append(sign * wa * wb * (x1 - x0) * (y1 - y0) / 4)
        for n in range(4):
            cx, cy = (fx, -fx, -fx, fx)[n], (fy, fy, -fy, -fy)[n]
            for a, wa in zip(GAUSS, WEIGHT):
                angle = (n + (a + 1) / 2) * np.pi / 2
                for b, wb in zip(GAUSS, WEIGHT):
                    d = r * (b + 1) / 2
                    places.append((cx + d * np.cos(angle), cy + d * np.sin(angle)))
                    weights.append(sign * wa * np.pi / 4 * wb * r / 2 * d)

    wall = s["wall"]
    if s["shape"] == "round":
        solid(s["od"] / 2, s["od"] / 2, s["od"] / 2, 1)
        solid(s["od"] / 2 - wall, s["od"] / 2 - wall, s["od"] / 2 - wall, -1)
    else:
        hx, hy, r = s["height"] / 2, s["width"] / 2, s["corner"]
        solid(hx, hy, r, 1)
        solid(hx - wall, hy - wall, max(r - wall, 0.0), -1)
    p, w = np.array(places) * 1e-3, np.array(weights) * 1e-6
    keep = w != 0
    p, w = p[keep], w[keep]
    assert abs(w.sum() / (area(s) * 1e-6) - 1) < 1e-12
    return p, w


def tube(sum_, t, cells):
    p, w = cells
    for k, (a, b) in enumerate(t.legs):
        a, b = a * 1e-3, b * 1e-3
        run, length = unit(b - a), np.linalg.norm(b - a)
        # A round tube may be turned at will; a box is straight, so that its one frame is the start's.
        u, v = t.frame(False) if t.section["shape"] == "box" else across(run)
        if t.section["shape"] == "box" and "roll" in t.spec:
            raise ValueError(f"{t.name}: rolled boxes are not known here")
        flat = p[:, :1] * u + p[:, 1:] * v
        for x, wx in zip(GAUSS, WEIGHT):
            sum_.points(a + run * length * (x + 1) / 2 + flat, DENSITY * w * wx * length / 2)
    for centre, axis, out, radius, turn in t.arcs:
        centre, radius, y = centre * 1e-3, radius * 1e-3, np.cross(axis, out)
        for x, wx in zip(GAUSS, WEIGHT):
            angle = turn * (x + 1) / 2
            o = out * np.cos(angle) + y * np.sin(angle)
            away = radius + p[:, 0]  # from the bend's axis
            sum_.points(centre + away[:, None] * o + p[:, 1:] * axis, DENSITY * w * wx * turn / 2 * away)


def across(run):
    u = unit(np.cross(run, (1.0, 0, 0) if abs(run[0]) < 0.9 else (0, 1.0, 0)))
    return u, np.cross(run, u)


def plate(sum_, layout, spec, twin):
    """Triangles of the outline from its first corner, with signs, each a prism summed by Gauss's rule."""
    o = spec["outline"]
    x = unit(np.array(o["x"], float))
    n = unit(np.cross(o["x"], o["y"]))
    y = np.cross(n, x)
    corners = np.array([[layout.mm(v) for v in c] for c in o["corners"]]) * 1e-3
    doubled = lambda a, b, c: (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    outline = sum(doubled(corners[0], corners[k], corners[k + 1]) for k in range(1, len(corners) - 1)) / 2
    h = layout.mm(spec["thickness"]) * 1e-3
    middle = {"above": h / 2, "centred": 0.0}[spec.get("side", "centred")] * (1 if outline > 0 else -1)
    holes = sum(np.pi / 4 * (layout.mm(q["d"]) * 1e-3) ** 2 for q in spec.get("holes", []))
    # The method: holes lessen the mass alone, spread over the whole outline. The thickness has no inertia of its own.
    density = DENSITY * (abs(outline) - holes) / abs(outline) * h
    origin = layout.place(o["origin"], False)[0] * 1e-3
    flip = MIRROR if twin else np.ones(3)
    for k in range(1, len(corners) - 1):
        tri = (corners[0], corners[k], corners[k + 1])
        weight = doubled(*tri) / 2 * density * (1 if outline > 0 else -1)
        # The middles of the sides: exact for second degree.
        for m in range(3):
            q = (tri[m] + tri[(m + 1) % 3]) / 2
            sum_.points((origin + x * q[0] + y * q[1] + n * middle) * flip, weight / 3)


def bodies(sum_, layout):
    f, mm = layout.file, lambda v: layout.mm(v) * 1e-3
    kg = lambda v: amount(v, 1.0)
    place = lambda v: layout.place(v, False)[0] * 1e-3 if isinstance(v, str) else np.array([mm(c) for c in v])

    def put(centre, mass, own, mirror):
        for flip in (np.ones(3), MIRROR) if mirror else (np.ones(3),):
            sum_.points(centre * flip, mass)
            sum_.own(np.diag(own) * mass)

    for m in f.get("mass", {}).values():
        s = np.array([mm(v) for v in m.get("size", (0, 0, 0))]) ** 2 / 12
        put(place(m["at"]), kg(m["kg"]), s.sum() - s, m.get("mirror"))
    for w in f.get("wheel", {}).values():
        r, b = mm(w["radius"]), mm(w["width"])
        put(place(w["at"]), kg(w["kg"]), np.array((r * r / 4 + b * b / 12, r * r / 2, r * r / 4 + b * b / 12)), w.get("mirror"))


def without_people(design):
    """A copy of a design in which nobody sits, and no stance or mount that could name them: the figure of a person is
    held against a survey of people in the program's own tests."""
    text = re.sub(r"(?ms)^\[(occupant|stance|mount)\.[^\]]*\].*?(?=^\[|\Z)", "", design.read_text())
    copy = TARGET / f"{design.stem}_without_people.toml"
    copy.write_text(text)
    return copy


def shape(design):
    run = subprocess.run([PROGRAM, "shape", design, "--json"], capture_output=True, text=True, check=True)
    return json.loads(run.stdout)


def compare(name, got, want, over):
    mass, centre, inertia = want
    offs = (abs(got["mass"] / mass - 1), np.abs(np.array(got["centre"]) - centre).max(),
            np.abs(np.array(got["inertia"]).reshape(3, 3) - inertia).max() / np.abs(inertia).max())
    print(f"{name}: {mass:.3f} kg; mass off by {offs[0]:.1e}, centre by {offs[1] * 1e6:.2f} um, inertia by {offs[2]:.1e}")
    for off, limit, what in zip(offs, (MASS, CENTRE, INERTIA), ("mass", "centre", "inertia")):
        if not off <= limit:
            over.append(f"{what} of {name} is off by {off:.3g}")


def main():
    over = []
    for name in ("gorse", "wren"):
        design = ROOT / "examples" / f"{name}.toml"
        layout = Layout(design)
        told = shape(design)
        frame = Sum()
        cells = {n: section(s) for n, s in layout.sections.items()}
        for t in layout.tubes:
            if not t.temporary:
                tube(frame, t, cells[t.spec["section"]])
        for spec in layout.file.get("plate", {}).values():
            for twin in (False, True) if spec.get("mirror") else (False,):
                plate(frame, layout, spec, twin)
        compare(f"{name}, frame", told["frame"], frame.done(), over)
        laden = Sum()
        laden.add(frame)
        bodies(laden, layout)
        compare(f"{name}, laden, without people", shape(without_people(design))["laden"], laden.done(), over)
    for o in over:
        print("over:", o)
    print("12 passed, 0 failed" if not over else f"{len(over)} over the limit")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
