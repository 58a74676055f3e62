"""Everything hard of a design as round pieces, with how far they reach: discs, arcs of bars, and corners.

A piece is (centre, axis, circle's radius, rounding): it reaches c.u + R sqrt(1 - (a.u)^2) + r in a direction u. A corner is a
circle of no radius. A bend's arc reaches so only where the place that is touched lies on the arc; elsewhere its ends, which
are discs, reach farther.
"""

import numpy as np

from layout import unit
from outlines import across, prism, skins

FLAT = 1e-9  # a disc whose axis is this near to the ground's normal lies on it


class Pieces:
    def __init__(self, names, rows, arcs):
        self.names = np.array(names)
        self.c, self.a, self.big, self.r = (np.array([row[k] for row in rows], float) for k in range(4))
        self.arcs = np.array([k is not None for k in arcs])
        # A bend's own directions: out at its start, and the way that it turns.
        self.out = np.array([k[0] if k else (1.0, 0, 0) for k in arcs], float)
        self.turn = np.array([k[1] if k else 0.0 for k in arcs])

    def pick(self, keep):
        new = object.__new__(Pieces)
        new.__dict__ = {k: v[keep] for k, v in self.__dict__.items()}
        return new

    def reach(self, u):
        """How far each piece reaches in each direction: directions by pieces."""
        u = np.atleast_2d(u)
        along = u @ self.a.T
        h = u @ self.c.T + self.big * np.sqrt(np.maximum(0, 1 - along**2)) + self.r
        if self.arcs.any():
            k = np.flatnonzero(self.arcs)
            x = u @ self.out[k].T
            y = u @ np.cross(self.a[k], self.out[k]).T
            # Its ends are the discs of its legs: there either will do.
            on = (np.arctan2(y, x) >= -1e-9) & (np.arctan2(y, x) <= self.turn[k] + 1e-9)
            h[:, k] = np.where(on, h[:, k], -np.inf)
        return h

    def place(self, k, u):
        """Where piece k is touched by a plane with normal u; the middle of what lies flat on it."""
        o = u - self.a[k] * (self.a[k] @ u)
        flat = self.big[k] == 0 or np.linalg.norm(o) < FLAT
        return self.c[k] + (0.0 if flat else self.big[k] * unit(o)) + self.r[k] * u

    def places(self, k, u):
        """All places where piece k is touched: many of what lies flat."""
        if self.big[k] and np.linalg.norm(u - self.a[k] * (self.a[k] @ u)) < FLAT:
            return self.samples(k, 720)
        return self.place(k, u)[None]

    def samples(self, k, n):
        """Points on a piece's surface."""
        if self.big[k] == 0:
            return self.c[k][None]
        if not self.arcs[k]:
            e, f = across(self.a[k])
            q = np.linspace(0, 2 * np.pi, n, endpoint=False)[:, None]
            return self.c[k] + self.big[k] * (np.cos(q) * e + np.sin(q) * f)
        e, f = self.out[k], np.cross(self.a[k], self.out[k])
        q = np.linspace(0, self.turn[k], max(3, int(np.degrees(self.turn[k]) * n / 360) + 1))[:, None]
        o = np.cos(q) * e + np.sin(q) * f
        # Only the outer half of a bent bar can be touched.
        p = np.linspace(-np.pi / 2, np.pi / 2, n // 4 + 1)
        d = np.cos(p)[None, :, None] * o[:, None] + np.sin(p)[None, :, None] * self.a[k]
        return (self.c[k] + self.big[k] * o[:, None] + self.r[k] * d).reshape(-1, 3)


def bodies(car, hubs, whole):
    """All pieces of what is hard; with `whole` what gives way too."""
    names, rows, arcs = [], [], []

    def put(name, c, a=(0, 0, 1.0), big=0.0, r=0.0, arc=None):
        names.append(name)
        rows.append((c, a, big, r))
        arcs.append(arc)

    for t in car.layout.tubes:
        if t.temporary or not (whole or t.spec.get("hard", True)):
            continue
        if t.section["shape"] == "box":
            u, v = t.frame(False)
            s, run = t.section, unit(t.corners[-1] - t.corners[0])
            a, b = s["height"] / 2 - s["corner"], s["width"] / 2 - s["corner"]
            for end in (t.corners[0], t.corners[-1]):
                for x, y in ((a, b), (a, -b), (-a, b), (-a, -b)):
                    put(t.name, (end + u * x + v * y) * 1e-3, run, s["corner"] * 1e-3)
            continue
        r = t.section["od"] / 2e3
        for a, b in t.legs:
            for end in (a, b):
                put(t.name, end * 1e-3, unit(b - a), r)
        for centre, axis, out, radius, turn in t.arcs:
            put(t.name, centre * 1e-3, axis, radius * 1e-3, r, (out, turn))
    for name, spec in car.file.get("plate", {}).items():
        for twin in car.twins(spec):
            for face in prism(car, spec, twin):
                for corner in face:
                    put(name + "~" * twin, corner)
    for name, v, tri in skins(car):
        if whole or car.file["skin"][name.rstrip("~")].get("hard"):
            for corner in v[np.unique(tri)]:
                put(name, corner)
    for name, centre, size, _ in car.masses({}):
        if size.any() and (whole or car.file["mass"][name.rstrip("~")].get("hard", True)):
            for k in range(8):
                put(name, centre + np.array([1 - 2 * (k >> b & 1) for b in range(3)]) * size / 2)
    for w, hub in zip(car.wheels, hubs):
        for side in (-0.5, 0.5):
            put(w.name, hub + [0, side * w.width, 0], (0, 1.0, 0), w.radius)
    return Pieces(names, rows, arcs)
