"""Ways out: flat openings, what the ground leaves of them, and the largest ellipse in that."""

from itertools import combinations

import numpy as np
from scipy.optimize import minimize_scalar

from layout import unit


class Opening:
    def __init__(self, car, name, spec, twin):
        self.name, self.closed = name + "~" * twin, spec.get("closed", "open")
        c = np.array([car.layout.place(r, twin)[0] for r in spec["edge"]]) * 1e-3
        middle = c.mean(0)
        n = unit(sum(np.cross(a - middle, b - middle) for a, b in zip(c, np.roll(c, -1, 0))))
        self.middle, self.n = middle, n
        self.u = unit(np.cross((0, 0, 1.0), n))
        self.v = np.cross(n, self.u)
        flat = np.stack(((c - middle) @ self.u, (c - middle) @ self.v), 1)
        inset = car.mm(spec.get("inset", 0))
        edges = np.roll(flat, -1, 0) - flat
        assert (edges[:, 0] * np.roll(edges, -1, 0)[:, 1] - edges[:, 1] * np.roll(edges, -1, 0)[:, 0] > 0).all(), "not convex"
        self.clear = np.array(flat)
        for a, d in zip(flat, edges):
            inward = unit(np.array((-d[1], d[0])))
            self.clear = clip(self.clear, inward, inward @ a + inset)
        self.whole = {}

    def over(self, ground, up, person):
        """What is left over ground (a point of it), and the scale of the largest ellipse."""
        w = np.array((self.u @ up, self.v @ up))
        left = clip(self.clear, w, up @ (ground - self.middle))
        return left, largest(left, person)


def clip(poly, n, offset):
    """What of a polygon lies beyond a line."""
    out = []
    for a, b in zip(poly, np.roll(poly, -1, 0)):
        x, y = a @ n - offset, b @ n - offset
        if x >= 0:
            out.append(a)
        if x * y < 0:
            out.append(a + (b - a) * x / (x - y))
    return np.array(out).reshape(-1, 2)


def area(p):
    return 0.5 * float(np.sum(p[:, 0] * np.roll(p[:, 1], -1) - p[:, 1] * np.roll(p[:, 0], -1))) if len(p) > 2 else 0.0


def largest(poly, person):
    """The largest scale of an ellipse of a person's size in a convex polygon: for each turn the linear programme's corners, tried all."""
    if area(poly) < 1e-9:
        return 0.0
    d = np.roll(poly, -1, 0) - poly
    long = np.linalg.norm(d, axis=1)
    poly, d = poly[long > 1e-9], d[long > 1e-9] / long[long > 1e-9, None]
    n = np.stack((d[:, 1], -d[:, 0]), 1)
    offset = np.einsum("ij,ij->i", n, poly)
    three = np.array(list(combinations(range(len(n)), 3)))

    def at(turns):
        c, s = np.cos(turns)[:, None], np.sin(turns)[:, None]
        reach = np.hypot(person[0] / 2 * (c * n[:, 0] + s * n[:, 1]), person[1] / 2 * (c * n[:, 1] - s * n[:, 0]))
        rows = np.concatenate((np.broadcast_to(n, (len(turns), *n.shape)), reach[:, :, None]), 2)
        m = rows[:, three]
        ok = np.abs(np.linalg.det(m)) > 1e-12
        m[~ok] = np.eye(3)
        x = np.linalg.solve(m, np.broadcast_to(offset[three][None, :, :, None], (*m.shape[:3], 1)))[..., 0]
        slack = offset - np.einsum("tck,tnk->tcn", x, rows)
        ok &= (slack > -1e-9).all(2)
        return np.where(ok, x[..., 2], 0.0).max(1)

    turns = np.linspace(0, np.pi, 181)
    best = at(turns)
    k = int(best.argmax())
    fine = minimize_scalar(lambda q: -at(np.array([q]))[0], bounds=(turns[k] - 0.0175, turns[k] + 0.0175), method="bounded", options={"xatol": 1e-6})
    return max(best[k], -fine.fun)
