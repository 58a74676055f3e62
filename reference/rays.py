"""Fibres of an end against what it is cut to, worked out with plain numpy for many fibres at once. Lengths in mm."""

import numpy as np

from layout import unit

STEP = 0.5  # mm: steps along a fibre through a bend
MARCH = 0.01  # mm: where it all but grazes; what is thinner may be missed
FAR = 3000.0


def clipped(lo, hi, points, out, planes):
    """Intervals cut down to the inner sides of planes (origin, outward)."""
    for origin, outward in planes:
        rise, over = out @ outward, (points - origin) @ outward
        if abs(rise) < 1e-12:
            hi = np.where(over > 0, -np.inf, hi)
        elif rise > 0:
            hi = np.minimum(hi, -over / rise)
        else:
            lo = np.maximum(lo, -over / rise)
    return lo, hi


def cylinder(points, out, origin, t, r):
    across = out - t * (out @ t)
    d = points - origin
    d = d - np.outer(d @ t, t)
    a, b, c = across @ across, d @ across, (d * d).sum(axis=1) - r * r
    under = b * b - a * c
    root = np.sqrt(np.maximum(under, 0))
    if a < 1e-18:
        return np.where(c < 0, -np.inf, np.inf), np.where(c < 0, np.inf, -np.inf)
    lo, hi = (-b - root) / a, (-b + root) / a
    return np.where(under > 0, lo, np.inf), np.where(under > 0, hi, -np.inf)


def block(points, out, origin, u, v, hx, hy):
    n = len(points)
    planes = [(origin + w * h, w) for w, h in ((u, hx), (-u, hx), (v, hy), (-v, hy))]
    return clipped(np.full(n, -np.inf), np.full(n, np.inf), points, out, planes)


def joined(intervals):
    """The interval over several that make one convex body."""
    lo = np.min([np.where(a < b, a, np.inf) for a, b in intervals], axis=0)
    return lo, np.max([np.where(a < b, b, -np.inf) for a, b in intervals], axis=0)


def leg(points, out, tube, k, grow, planes):
    a, b = tube.legs[k]
    t, s = unit(b - a), tube.section
    if s["shape"] == "round":
        lo, hi = cylinder(points, out, a, t, s["od"] / 2 + grow)
    else:
        u, v = tube.frame(False)
        hx, hy, r = s["height"] / 2 + grow, s["width"] / 2 + grow, s["corner"] + grow
        parts = [block(points, out, a, u, v, hx - r, hy), block(points, out, a, u, v, hx, hy - r)]
        for x, y in ((1, 1), (1, -1), (-1, -1), (-1, 1)):
            parts.append(cylinder(points, out, a + u * x * (hx - r) + v * y * (hy - r), t, r))
        lo, hi = joined(parts)
    if k > 0:
        planes = planes + [(a, -t)]
    if k < len(tube.arcs):
        planes = planes + [(b, t)]
    lo, hi = clipped(lo, hi, points, out, planes)
    return np.where(lo < hi, lo, np.inf), np.where(lo < hi, hi, -np.inf)


def bend_depth(points, tube, k, grow):
    """How deep points lie within a bend; negative outside."""
    centre, axis, start, radius, turn = tube.arcs[k]
    d = points - centre
    z = d @ axis
    x, y = d @ start, d @ np.cross(axis, start)
    off = np.hypot(np.hypot(x, y) - radius, z)
    angle = np.arctan2(y, x)
    within = (angle >= 0) & (angle <= turn)
    return np.where(within, tube.section["od"] / 2 + grow - off, -1.0)


def distance_from_bend(points, tube, k):
    """Distance from a bend's centreline, or less."""
    centre, axis, start, radius, turn = tube.arcs[k]
    d = points - centre
    y = np.cross(axis, start)
    a = np.arctan2(d @ y, d @ start)
    a = np.where(a < turn / 2 - np.pi, a + 2 * np.pi, a)
    a = np.clip(a, 0, turn)
    on = radius * (np.cos(a)[:, None] * start + np.sin(a)[:, None] * y)
    return np.linalg.norm(d - on, axis=1)


def bend_entry(points, axis_point, out, tube, k, grow, after):
    """Where fibres first come into a bend beyond `after`: by steps, then by halving."""
    # Only where the bundle of fibres comes near the bend at all.
    middle = points.mean(axis=0)
    reach = np.linalg.norm(points - middle, axis=1).max() + np.linalg.norm(middle - axis_point)
    coarse = np.arange(after, FAR / 10, 1.0)
    near = coarse[distance_from_bend(axis_point + coarse[:, None] * out, tube, k) < tube.section["od"] / 2 + grow + reach + 1.0]
    if not len(near):
        return np.full(len(points), np.inf)
    entry = np.full(len(points), np.inf)
    run = (max(after, near[0] - 1.0), near[-1] + 1.0)
    s = np.arange(*run, STEP)
    depth = bend_depth((points[:, None, :] + s[None, :, None] * out).reshape(-1, 3), tube, k, grow).reshape(len(points), -1)
    hit = (depth > 0).any(axis=1)
    first = np.where(hit, np.argmax(depth > 0, axis=1), len(s))
    # Where a fibre comes near without a hit it may come in between two steps: finer there.
    top = (depth[:, 1:-1] >= depth[:, :-2]) & (depth[:, 1:-1] >= depth[:, 2:]) & (depth[:, 1:-1] > -STEP)
    close = (top & (np.arange(1, len(s) - 1) < first[:, None])).any(axis=1)
    fine = np.arange(*run, MARCH)
    rows = np.flatnonzero(close)
    for i in range(0, len(rows), 256):
        p = points[rows[i : i + 256]]
        d = bend_depth((p[:, None, :] + fine[None, :, None] * out).reshape(-1, 3), tube, k, grow).reshape(len(p), -1)
        into = (d > 0).any(axis=1)
        at = np.argmax(d > 0, axis=1)[into]
        entry[rows[i : i + 256][into]] = halved(points[rows[i : i + 256][into]], out, tube, k, grow, fine[np.maximum(at - 1, 0)], fine[at])
    plain = hit & ~close
    at = first[plain]
    entry[plain] = halved(points[plain], out, tube, k, grow, s[np.maximum(at - 1, 0)], s[at])
    return entry


def halved(points, out, tube, k, grow, lo, hi):
    if (lo == hi).any():
        raise ValueError(f"a fibre starts within {tube.name}")
    for _ in range(45):
        mid = (lo + hi) / 2
        inside = bend_depth(points + mid[:, None] * out, tube, k, grow) > 0
        lo, hi = np.where(inside, lo, mid), np.where(inside, mid, hi)
    return hi


class Ends:
    """Where every end's fibres stop, by the order rule and the geometry of `docs/methods/cutting.md`."""

    def __init__(self, layout, plate_plane):
        self.layout, self.plate_plane = layout, plate_plane
        self.cuts = {(t.name, end): layout.cut(t, end) for t in layout.tubes for end in (False, True) if not t.provisional}
        self.planes = {key: self.plane(layout.named[key[0]], key[1], *cut) for key, cut in self.cuts.items()}

    def plane(self, tube, end, kind, hosts):
        """The plane at which an end stops for others (origin, outward): its cut, or the mid-plane of its first host."""
        out, at = tube.out(end), tube.at(end)
        if kind == "square":
            return at, out
        if kind == "plane":
            return self.plate_plane(tube, end)
        if kind == "mitre":
            e = next(e for e in (False, True) if np.linalg.norm(hosts[0].at(e) - at) < 1e-6)
            return at, unit(out - hosts[0].out(e))
        place, along = hosts[0].nearest(at)
        return place, unit(out - along * (out @ along))

    def follow(self, tube, end, points, which=None):
        """Where fibres through points stop, and the number of the host that each meets (-1: none)."""
        kind, hosts = self.cuts[tube.name, end]
        out = tube.out(end)
        leg_ = tube.straights[-1 if end else 0]
        after = -leg_ / 2 if not tube.arcs else -leg_
        origin, outward = self.planes[tube.name, end]
        gap = self.layout.gap
        s = -((points - origin) @ outward) / (out @ outward)
        if kind == "mitre":
            s = s - gap / 2 / (out @ outward)
        met = np.full(len(points), -1)
        for n, host in enumerate(hosts if kind == "cope" else []):
            if which is not None and n not in which:
                continue
            ends = [self.planes[host.name, e] for e in (False, True)]
            for k in range(len(host.legs)):
                planes = ([ends[0]] if k == 0 else []) + ([ends[1]] if k == len(host.legs) - 1 else [])
                lo, hi = leg(points, out, host, k, gap, planes)
                first = (hi > after) & (lo < s)
                s, met = np.where(first, lo, s), np.where(first, n, met)
            for k in range(len(host.arcs)):
                entry = bend_entry(points, tube.at(end), out, host, k, gap, after)
                first = entry < s
                s, met = np.where(first, entry, s), np.where(first, n, met)
        return s, met


def wall(tube, end, where, depth):
    """Points of the wall (in the plane of the end point): distances round the outside, and a depth from 0 outside to 1
    inside. Also the length along that depth over the length along the outside."""
    s = tube.section
    u, v = tube.frame(end)
    t = s["wall"]
    if s["shape"] == "round":
        r = s["od"] / 2
        a = where / r
        rr = r - t * depth
        q = np.stack((rr * np.cos(a), rr * np.sin(a)), axis=1)
        return tube.at(end) + np.outer(q[:, 0], u) + np.outer(q[:, 1], v)
    def outline(hx, hy, r, outer):
        ox, oy, orr = outer
        sides = [(oy - orr), 2 * (ox - orr), 2 * (oy - orr), 2 * (ox - orr), (oy - orr)]
        lines = [((hx, 0), (hx, hy - r)), ((hx - r, hy), (r - hx, hy)), ((-hx, hy - r), (-hx, r - hy)),
                 ((r - hx, -hy), (hx - r, -hy)), ((hx, r - hy), (hx, 0))]
        q, d = np.full((len(where), 2), np.nan), where.astype(float).copy()
        left = np.ones(len(where), bool)
        for n in range(5):
            here = left & (d <= sides[n] + 1e-12)
            part = np.clip(d[here] / sides[n], 0, 1)[:, None]
            q[here] = np.array(lines[n][0]) * (1 - part) + np.array(lines[n][1]) * part
            left &= ~here
            d = d - sides[n]
            if n < 4:
                here = left & (d <= np.pi / 2 * orr)
                a = n * np.pi / 2 + d[here] / orr
                sx, sy = ((1, 1), (-1, 1), (-1, -1), (1, -1))[n]
                q[here] = np.stack((sx * (hx - r) + r * np.cos(a), sy * (hy - r) + r * np.sin(a)), axis=1)
                left &= ~here
                d = d - np.pi / 2 * orr
        return q
    hx, hy, r = s["height"] / 2, s["width"] / 2, s["corner"]
    outside = outline(hx, hy, r, (hx, hy, r))
    inside = outline(hx - t, hy - t, max(r - t, 0.0), (hx, hy, r))
    q = outside * (1 - depth) + inside * depth
    return tube.at(end) + np.outer(q[:, 0], u) + np.outer(q[:, 1], v)


def perimeter(section):
    if section["shape"] == "round":
        return np.pi * section["od"]
    return 2 * (section["width"] + section["height"]) - (8 - 2 * np.pi) * section["corner"]


def area(section):
    def whole(less):
        if section["shape"] == "round":
            return np.pi * (section["od"] / 2 - less) ** 2
        w, h, r = section["width"] - 2 * less, section["height"] - 2 * less, max(section["corner"] - less, 0.0)
        return w * h - (4 - np.pi) * r * r
    return whole(0.0) - whole(section["wall"])
