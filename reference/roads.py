"""Obstacles, and a rigid car that rolls over them in small steps."""

import numpy as np

from layout import unit

CELL, LEVELS = 16e-3, 4  # m: steps of the front axle, and cells of places; each level's are a quarter of those before
SHIFT = 1 << 24
MOST = 6000  # pairs that go on: on level road all positions are alike


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


class Cells:
    """Points in square cells, ever smaller: of each cell the first point, and the cells of the next level in it."""

    def __init__(self, points):
        self.points, self.levels = points, []
        for n in range(LEVELS):
            key = np.round((points - points.min(0)) / (CELL / 4**n)).astype(np.int64)
            _, first, group = np.unique(key[:, 0] * 1_000_003 + key[:, 1], return_index=True, return_inverse=True)
            pairs = np.unique(group + (before * len(first) if n else 0))
            old, new = np.divmod(pairs, len(first))
            starts = np.searchsorted(old, np.arange(before.max() + 2)) if n else None
            self.levels.append((points[first], new, starts))
            before = group

    def children(self, n, old):
        """The cells of level n in those of the level before: for each of `old`, which one it comes from, and which they are."""
        _, new, starts = self.levels[n]
        count = starts[old + 1] - starts[old]
        source = np.repeat(np.arange(len(old)), count)
        inner = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        return source, new[starts[old][source] + inner]


class Drive:
    """A rigid car, seen from the side, on the road's envelope."""

    def __init__(self, axles, cells, road):
        (self.front, self.rf), (self.rear, self.rr) = axles  # hubs (forward, up) and radii
        self.cells, self.road = cells, road
        self.base = np.linalg.norm(self.front - self.rear)
        d = self.front - self.rear
        self.lean = np.arctan2(d[1], d[0])

    def poses(self, x):
        z = self.road.hub(x, self.rf)
        # The rear hub lies `base` away on its own envelope: halved between all of that and a third.
        lo, hi = x - self.base, x - self.base * 0.3
        for _ in range(50):
            mid = (lo + hi) / 2
            far = np.hypot(x - mid, z - self.road.hub(mid, self.rr)) > self.base
            lo, hi = np.where(far, mid, lo), np.where(far, hi, mid)
        return np.stack((x, z), -1), np.arctan2(z - self.road.hub(hi, self.rr), x - hi) - self.lean

    def pairs(self, hub, turn, points):
        c, s = np.cos(turn), np.sin(turn)
        px, pz = points[:, 0] - self.front[0], points[:, 1] - self.front[1]
        return self.road.clear(np.stack((hub[:, 0] + c * px - s * pz, hub[:, 1] + s * px + c * pz), -1))

    def clear(self, x):
        """Least clearance of all places with the front axle at x."""
        hub, turn = self.poses(np.array([x]))
        return float(self.pairs(hub, turn[0], self.cells.points).min())

    def least(self):
        """Least clearance on the way. Places in cells and positions in steps, both ever smaller; only pairs that can still hold
        the least go on: a place moves less than 2 steps for a step of the axle, and lies within 1.42 of a cell of any other in it."""
        ahead = self.cells.points[:, 0] - self.front[0]
        k = np.arange(np.floor((-ahead.max() - 0.3) / CELL), np.ceil((self.road.end + self.base - ahead.min() + 0.3) / CELL)).astype(np.int64)
        for n in range(LEVELS):
            step = CELL / 4**n
            places = self.cells.levels[n][0]
            if n == 0:
                pose, place = (m.ravel() for m in np.meshgrid(np.arange(len(k)), np.arange(len(places)), indexing="ij"))
            else:
                source, place = self.cells.children(n, place)
                pairs = np.unique((k[pose][source] * 4 + np.arange(-2, 3)[:, None] + SHIFT) * len(places) + place)
                k, place = np.divmod(pairs, len(places))
                k, pose = np.unique(k - SHIFT, return_inverse=True)
            hub, turn = self.poses(k * step)
            parts = len(pose) // 500_000 + 1
            d = np.concatenate([self.pairs(hub[a], turn[a], places[b]) for a, b in zip(np.array_split(pose, parts), np.array_split(place, parts))])
            if n == LEVELS - 1:
                return float(d.min()), float(k[pose[d.argmin()]] * step)
            keep = np.flatnonzero(d < d.min() + 2 * step + 1.42 * step)
            keep = keep[np.argsort(d[keep])[:MOST]]
            pose, place = pose[keep], place[keep]
