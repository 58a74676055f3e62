"""Obstacles, and a rigid car that rolls over them in small steps."""

import numpy as np
from scipy.spatial import cKDTree

from layout import unit
from outlines import STEP

BIG, SMALL = 8e-3, 2.5e-4  # m: steps of the front axle


class Road:
    """Level ground, the obstacle from 0 on, and what follows it. Points of a polyline, or an arc."""

    def __init__(self, car, spec):
        mm = car.mm
        self.arc = None
        if "kerb" in spec:
            p = [(0, 0), (0, mm(spec["kerb"]))]
        elif "ramp" in spec:
            h = mm(spec["ramp"]["height"])
            p = [(0, 0), (h / np.tan(np.radians(spec["ramp"]["angle"])), h)]
        elif "profile" in spec:
            p = [(mm(a), mm(b)) for a, b in spec["profile"]]
        else:
            length, h = mm(spec["hump"]["length"]), mm(spec["hump"]["height"])
            r = (length**2 / 4 + h * h) / (2 * h)
            self.arc = (np.array((length / 2, h - r)), r, length / 2)
            p = [(0, 0), (length, 0)]
        self.end = p[-1][0]
        self.points = np.array([(-20.0, p[0][1])] + p + [(self.end + 20, p[-1][1])])
        self.lines = [(self.points[k], self.points[k + 1]) for k in range(len(self.points) - 1)]
        if self.arc:
            self.lines.pop(1)

    def hub(self, x, r):
        """Height of a hub at x: the farthest out of everything under it, moved out by r."""
        best = np.full_like(x, -np.inf)
        for p in self.points[1:-1]:
            d = x - p[0]
            ok = np.abs(d) <= r
            best = np.where(ok, np.maximum(best, p[1] + np.sqrt(np.maximum(0, r * r - d * d))), best)
        for a, b in self.lines:
            run = unit(b - a)
            out = np.array((-run[1], run[0])) * r
            lo, hi = a + out, b + out
            if hi[0] - lo[0] > 1e-12:
                ok = (x >= lo[0]) & (x <= hi[0])
                best = np.where(ok, np.maximum(best, lo[1] + (x - lo[0]) * (hi[1] - lo[1]) / (hi[0] - lo[0])), best)
        if self.arc:
            c, radius, half = self.arc
            d = x - c[0]
            ok = np.abs(d) <= half * (radius + r) / radius
            best = np.where(ok, np.maximum(best, c[1] + np.sqrt(np.maximum(0, (radius + r) ** 2 - d * d))), best)
        return best

    def clear(self, p):
        """Least distance of points outside from the road; under it, minus the height that is missing. Shape (..., 2)."""
        x, z = p[..., 0], p[..., 1]
        top, best = np.full(x.shape, -np.inf), np.full(x.shape, np.inf)
        for a, b in self.lines:
            run = b - a
            length = np.linalg.norm(run)
            run = run / length
            s = np.clip((x - a[0]) * run[0] + (z - a[1]) * run[1], 0, length)
            best = np.minimum(best, np.hypot(x - a[0] - s * run[0], z - a[1] - s * run[1]))
            if b[0] > a[0]:
                on = (x >= a[0]) & (x <= b[0])
                top = np.where(on, np.maximum(top, a[1] + (x - a[0]) * (b[1] - a[1]) / (b[0] - a[0])), top)
        if self.arc:
            c, radius, half = self.arc
            d = np.hypot(x - c[0], z - c[1])
            best = np.where(np.abs(x - c[0]) * radius <= half * d, np.minimum(best, np.abs(d - radius)), best)
            on = np.abs(x - c[0]) <= half
            top = np.where(on, np.maximum(top, c[1] + np.sqrt(np.maximum(0, radius**2 - (x - c[0]) ** 2))), top)
        return np.where(z < top, z - top, best)


class Drive:
    """A rigid car, seen from the side, on the road's envelope."""

    def __init__(self, axles, points, road):
        (self.front, self.rf), (self.rear, self.rr) = axles  # hubs (forward, up) and radii
        self.points, self.road = points - self.front, road
        self.base = np.linalg.norm(self.front - self.rear)
        d = self.front - self.rear
        self.lean = np.arctan2(d[1], d[0])

    def poses(self, x):
        z = self.road.hub(x, self.rf)
        # The rear hub lies `base` away on its own envelope: halved between half of that and all of it and a little more.
        lo, hi = x - self.base, x - self.base * 0.3
        for _ in range(60):
            mid = (lo + hi) / 2
            far = np.hypot(x - mid, z - self.road.hub(mid, self.rr)) > self.base
            lo, hi = np.where(far, mid, lo), np.where(far, hi, mid)
        turn = np.arctan2(z - self.road.hub(hi, self.rr), x - hi) - self.lean
        return np.stack((x, z), -1), turn

    def clear(self, x, points):
        hub, turn = self.poses(x)
        c, s = np.cos(turn)[:, None], np.sin(turn)[:, None]
        px, pz = points[:, 0], points[:, 1]
        return self.road.clear(np.stack((hub[:, :1] + c * px - s * pz, hub[:, 1:] + s * px + c * pz), -1))

    def least(self):
        front = self.points[:, 0].max() + 0.5
        x = np.arange(-front - 0.2, self.road.end + self.base - self.points[:, 0].min() + 0.5, BIG)
        # A place moves no more than 2 STEPs for a step of the axle, where the wheels roll on ground under 60 degrees.
        cells = np.unique(np.round(self.points / 0.012).astype(int), axis=0, return_index=True)[1]
        coarse = self.points[cells]
        d = np.concatenate([self.clear(part, coarse).min(1) for part in np.array_split(x, max(1, len(x) // 60))])
        slack = 3 * BIG + 0.02
        keep = x[d < d.min() + slack]
        # Only places of the car that come near in those.
        best, where = np.inf, None
        hold = np.zeros(len(coarse), bool)
        for part in np.array_split(keep, max(1, len(keep) // 60)):
            hold |= (self.clear(part, coarse) < d.min() + slack).any(0)
        near = self.points[cKDTree(coarse[hold]).query(self.points, distance_upper_bound=0.02)[0] < 0.02]
        step, centres = BIG, keep
        while step > SMALL:
            step /= 4
            xs = np.unique(np.round(np.concatenate([centres + k * step for k in range(-3, 4)]) / step)) * step
            d = np.concatenate([self.clear(p, near).min(1) for p in np.array_split(xs, max(1, len(xs) * len(near) // 300000))])
            centres = xs[d < d.min() + 3 * step + STEP]
            if len(centres) > 400:  # level roads: any will do
                centres = centres[np.argsort(d[d < d.min() + 3 * step + STEP])[:400]]
        return d.min(), xs[d.argmin()]
