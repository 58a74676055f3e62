"""Bodies of round pieces with a centre of gravity on level ground: where they rest, what it takes to leave, where they fall."""

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, HalfspaceIntersection

from layout import unit
from outlines import across
from rest_attitudes import solid_angle

TOUCH = 1e-7  # m: places nearer to the ground than this touch it


class Body:
    """Hard pieces with a centre of gravity: h(u) - u.G is how high that stands over the ground with the normal u."""

    def __init__(self, pieces, centre, mass):
        rng = np.random.default_rng(1)
        u = rng.normal(size=(8000, 3))
        u /= np.linalg.norm(u, axis=1)[:, None]
        keep = np.zeros(len(pieces.names), bool)
        for part in np.array_split(u, 8):
            h = pieces.reach(part)
            keep |= (h >= h.max(1)[:, None] - 2e-3).any(0)
        self.p, self.g, self.mass = pieces.pick(keep), centre, mass

    def height(self, u):
        return self.p.reach(u).max(1) - np.atleast_2d(u) @ self.g

    def down(self, u):
        """The bottom of the hollow of the height that u lies in, and what touches there: by minimax in steps, then by Newton's. A
        hollow narrower than a step may be left."""
        for _ in range(200):
            e, f = across(u)
            near = np.flatnonzero(self.p.reach(u)[0] > self.p.reach(u).max() - 0.06)
            part = self.p.pick(near)
            at = lambda x: unit(u + x[0] * e + x[1] * f)
            h = self.height(u)[0]
            lift = lambda x: x[2] - 1e3 * (part.reach(at(x))[0] - at(x) @ self.g - h)

            def slope(x):
                n, long = at(x), np.linalg.norm(u + x[0] * e + x[1] * f)
                places = np.array([part.place(k, n) for k in range(len(near))]) - self.g
                d = [(v - n * (n @ v)) / long for v in (e, f)]
                return np.column_stack((-1e3 * places @ d[0], -1e3 * places @ d[1], np.ones(len(near))))

            if not np.isfinite(part.reach(u)).all():
                keep = np.isfinite(part.reach(u)[0])
                part, near = part.pick(keep), near[keep]
            got = minimize(lambda x: x[2], [0, 0, 0], jac=lambda x: np.array((0, 0, 1.0)), method="SLSQP",
                           bounds=[(-0.03, 0.03)] * 2 + [(-80, 80)], constraints={"type": "ineq", "fun": lift, "jac": slope},
                           options={"ftol": 1e-11, "maxiter": 40})
            new = at(got.x) if np.isfinite(got.x).all() else u
            if self.height(new)[0] > h - 1e-12:
                # A pass is level too: a rest rises all round.
                ring = np.linspace(0, 2 * np.pi, 24, endpoint=False)[:, None]
                ring = np.array([unit(n) for n in u + 1e-3 * (np.cos(ring) * e + np.sin(ring) * f)])
                low = self.height(ring)
                if low.min() > h - 1e-12:
                    break
                new = ring[low.argmin()]
            u = new
        return self.newton(u)

    def stands(self, u):
        """Whether a rest is at u: of a flat face its foot decides; on two places a hollow near by."""
        touch = self.active(u, TOUCH)
        places = np.concatenate([self.p.places(k, u) for k in touch])
        if np.linalg.svd(places - places.mean(0), compute_uv=False)[1] > 1e-3:
            return bool(Rest(self, u, touch, "flat").margin > 0)
        d = unit(self.p.place(touch[1], u) - self.p.place(touch[0], u))
        way = [self.both(unit(u + q * np.cross(d, u)), touch) for q in np.linspace(-0.1, 0.1, 401)]
        h = self.height(np.array(way))
        hollows = 1 + np.flatnonzero((h[1:-1] < h[:-2]) & (h[1:-1] < h[2:]))
        if not len(hollows):
            return False
        a, b = (self.p.place(t, way[hollows[0]]) - self.g for t in touch)
        return bool(0 < a @ (a - b) < (b - a) @ (b - a))

    def active(self, u, tol):
        h = self.p.reach(u)[0]
        return np.flatnonzero(h >= h.max() - tol)

    def newton(self, u):
        """Normal and touching pieces, to the last digits."""
        touch = self.active(u, 2e-6)
        for _ in range(8):
            places = np.array([self.p.place(k, u) for k in touch])
            flat = places - places.mean(0)
            _, s, v = np.linalg.svd(flat)
            if len(touch) > 2 and s[1] > 1e-3:
                u = v[2] * np.sign(v[2] @ u)
                kind = "flat"
            elif len(touch) == 2 and s[0] > 1e-3:
                u, kind = self.between(u, touch), "round"
            else:
                kind = "round"
                break
        return u, self.active(u, TOUCH), kind

    def both(self, u, pair):
        """The plane nearest to u that touches both."""
        two = self.p.pick(np.asarray(pair))
        for _ in range(30):
            d = unit(two.place(1, u) - two.place(0, u))
            low, high = two.reach(u)[0]
            if abs(high - low) < 1e-15:
                break
            u = unit(u - d * (d @ u))
        return u

    def many(self, u, pair):
        """The same for many directions at once."""
        two = self.p.pick(np.asarray(pair))
        u = u / np.linalg.norm(u, axis=1)[:, None]
        for _ in range(8):
            o = [u - np.outer(u @ a, a) for a in two.a]
            o = [x / np.maximum(np.linalg.norm(x, axis=1), 1e-12)[:, None] for x in o]
            p, q = (two.c[k] + two.big[k] * o[k] + two.r[k] * u for k in range(2))
            d = (q - p) / np.linalg.norm(q - p, axis=1)[:, None]
            u = u - d * np.einsum("ij,ij->i", d, u)[:, None]
            u = u / np.linalg.norm(u, axis=1)[:, None]
        return u

    def onward(self, u, out, ends):
        """Of pieces that touch in one place (a bend, and the leg that it runs into) those on which it goes on to roll."""
        best = (np.inf, None)
        for pair in ([a, b] for a in ends[0] for b in ends[1]):
            n = self.both(unit(u + 1e-4 * out), pair)
            h = self.p.reach(n)[0]
            best = min(best, (h.max() - h[pair].min(), pair))
        return np.array(best[1])

    def between(self, u, pair):
        """Where the foot comes onto the line of contact."""
        def roll(q, base):
            d = unit(self.p.place(pair[1], base) - self.p.place(pair[0], base))
            return self.both(unit(base + q * np.cross(d, base)), pair)

        def side(n):
            a, b = (self.p.place(k, n) - self.g for k in pair)
            return n @ np.cross(a, b) / np.linalg.norm(b - a)

        u = self.both(u, pair)
        for _ in range(20):
            here, step = side(u), 1e-6
            tilt = (side(roll(step, u)) - side(roll(-step, u))) / (2 * step)
            move = -here / tilt
            u = roll(np.clip(move, -1e-2, 1e-2), u)
            if abs(move) < 1e-14:
                break
        return u


class Chords:
    """The hull of points on all pieces: its faces, where each falls to, the passes between them."""

    def __init__(self, body, n, more=()):
        rows = [body.p.samples(k, n) for k in range(len(body.p.names))]
        points = np.concatenate(rows + ([np.array(more)] if len(more) else [])) - body.g
        hull = ConvexHull(points)
        tri, beside, eq = hull.simplices, hull.neighbors, hull.equations
        swap = np.einsum("ij,ij->i", np.cross(points[tri[:, 1]] - points[tri[:, 0]], points[tri[:, 2]] - points[tri[:, 0]]), eq[:, :3]) < 0
        tri[swap] = tri[swap][:, [1, 0, 2]]
        beside[swap] = beside[swap][:, [1, 0, 2]]
        count = len(tri)
        # Each triangle's edges: from corner k+1 to k+2, across from corner k.
        own = np.repeat(np.arange(count), 3)
        p, q = tri[:, [1, 2, 0]].ravel(), tri[:, [2, 0, 1]].ravel()
        other = beside.ravel()
        lone = tri[other].sum(1) - p - q
        same = np.abs(np.einsum("ij,ij->i", points[lone], eq[own, :3]) + eq[own, 3]) < 1e-9
        _, group = connected_components(coo_matrix((same[same], (own[same], other[same])), shape=(count, count)), directed=False)
        groups = group.max() + 1
        first = np.full(groups, -1)
        first[group[::-1]] = np.arange(count)[::-1]
        self.normal, self.height = eq[first, :3], -eq[first, 3]
        a, b, c = (points[tri[:, k]] for k in range(3))
        area = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
        weigh = lambda w: np.bincount(group, w, groups)
        middle = np.stack([weigh(area * ((a + b + c) / 3)[:, k]) for k in range(3)], 1) / weigh(area)[:, None]
        self.share = weigh(solid_angle(a, b, c)) / (4 * np.pi)
        rim = ~same
        own, other, p, q = group[own[rim]], group[other[rim]], points[p[rim]], points[q[rim]]
        n = self.normal[own]
        inward = np.cross(n, q - p)
        inward /= np.linalg.norm(inward, axis=1)[:, None]
        foot = n * self.height[own][:, None]
        margin = np.einsum("ij,ij->i", foot - p, inward)
        inside = np.einsum("ij,ij->i", middle[own] - p, inward)
        part = np.where(margin < -1e-10, inside / (inside - margin), np.inf)
        order = np.lexsort((part, own))
        head = order[np.r_[True, np.diff(own[order]) > 0]]
        self.next = np.arange(groups)
        falls = np.isfinite(part[head])
        self.next[own[head][falls]] = other[head][falls]
        self.sink = self.next.copy()
        for _ in range(40):
            self.sink = self.sink[self.sink]
        assert (self.next[self.sink] == self.sink).all(), "a fall that never ends"
        # The highest on the way over an edge.
        d = (q - p) / np.linalg.norm(q - p, axis=1)[:, None]
        m = p - d * np.einsum("ij,ij->i", p, d)[:, None]
        top = np.linalg.norm(m, axis=1)
        out = m / top[:, None]
        turn = lambda x, y: np.einsum("ij,ij->i", np.cross(x, y), d)
        far = self.normal[other]
        within = turn(n, out) * turn(n, far) > 0
        within &= turn(out, far) * turn(n, far) > 0
        crest = np.maximum(self.height[own], self.height[other])
        crest = np.where(within & (np.einsum("ij,ij->i", n, out) > 0), np.maximum(top, crest), crest)
        self.edges = crest, own, other

    def passes(self, rest_of):
        """For each rest the lowest height from which another rest is reached."""
        crest, own, other = self.edges
        parent = np.arange(len(self.sink))

        def root(x):
            while parent[x] != x:
                parent[x] = parent[parent[x]]
                x = parent[x]
            return x

        holds = {}
        for face, rest in rest_of.items():
            holds.setdefault(face, set()).add(rest)
        lowest = {}
        for k in np.argsort(crest):
            a, b = root(own[k]), root(other[k])
            if a == b:
                continue
            ha, hb = holds.pop(a, set()), holds.pop(b, set())
            both = ha | hb
            if len(both) > 1:
                for rest in both:
                    lowest.setdefault(rest, crest[k])
            parent[a] = b
            if both:
                holds[b] = both
        return lowest


class Rest:
    def __init__(self, body, u, touch, kind):
        self.u, self.kind = u, kind
        self.height = body.height(u)[0]
        self.foot = body.g + u * self.height
        each = [body.p.places(k, u) for k in touch]
        self.touch = touch = np.repeat(touch, [len(p) for p in each])
        self.places = np.concatenate(each)
        self.names = set(body.p.names[touch])
        e, f = across(u)
        self.flat = np.stack(((self.places - self.foot) @ e, (self.places - self.foot) @ f), 1)
        self.edges = []
        if kind == "flat":
            hull = ConvexHull(self.flat)
            for (a, b), eq in zip(hull.simplices, hull.equations):
                out = eq[0] * e + eq[1] * f
                ends = [[t for t, q in zip(touch, self.places) if np.linalg.norm(q - self.places[k]) < TOUCH] for k in (a, b)]
                self.edges.append([body.p.names[touch[[a, b]]], -eq[2], ends, out])
            self.margin = min(edge[1] for edge in self.edges)
        elif len(touch) == 2:
            self.margin = np.linalg.norm(self.flat, axis=1).min()
        else:
            self.margin = None


def over(body, rest, ends, out):
    """The highest on the way over an edge with what it joins kept on the ground."""
    pair = body.onward(rest.u, out, ends)

    def at(angle):
        turn = np.atleast_1d(angle)[:, None]
        return body.many(np.cos(turn) * rest.u + np.sin(turn) * out, pair)

    def look(u):
        """The height over both places, and how far something else comes below them."""
        h = body.p.reach(u)
        return np.maximum(h[:, pair].min(1), -1e9) - u @ body.g, h.max(1) - np.maximum(h[:, pair].min(1), -1e9)

    angles = np.radians(np.arange(1, 721) * 0.25)
    high, beyond = look(at(angles))
    falls = np.r_[high[0] < rest.height, np.diff(high) < 0]
    k = int(np.argmax(falls | (beyond > 1e-9)))
    before = high[k - 1] if k else rest.height
    lo, hi = (angles[k - 1] if k else 0.0), angles[k]
    if beyond[k] > 1e-9:
        for _ in range(45):
            mid = (lo + hi) / 2
            lo, hi = (lo, mid) if look(at(mid))[1][0] > 1e-9 else (mid, hi)
        end = max(before, look(at(lo))[0][0])
        if high[k] >= before:
            return end
    top = minimize_scalar(lambda x: -look(at(x))[0][0], bounds=(max(0, k - 1) * angles[0], lo if beyond[k] > 1e-9 else hi), method="bounded", options={"xatol": 1e-10})
    return max(before, -top.fun)


def sunk(rest, soft):
    """Grounds (z = p0 + p1 x + p2 y in the rest's own axes) within `soft` over hard ground wherever it is touched: the corners
    of what they may be. A ball's distance from a plane is quasi-concave in these three, and so least at a corner."""
    if rest.kind == "flat":
        places = rest.flat[ConvexHull(rest.flat).vertices]
        rows = np.column_stack((np.ones(len(places)), places))
        space = np.r_[np.column_stack((rows, np.full(len(rows), -soft))), np.column_stack((-rows, np.zeros(len(rows))))]
        return HalfspaceIntersection(space, np.array((soft / 2, 0, 0))).intersections
    level = np.array([(soft, 0, 0)])
    if len(rest.flat) < 2:
        return level
    a, b = rest.flat
    slope = (b - a) * soft / ((b - a) @ (b - a))
    return np.r_[level, [(-slope @ a, *slope), (slope @ b, *-slope)]]


def find(body, n):
    """Rests, and where each face of the chords falls to."""
    rough = Chords(body, n)
    rests, of = [], {}
    def known(chords):
        of.clear()
        for face in np.unique(chords.sink):
            u, touch, kind = body.down(chords.normal[face])
            same = [k for k, r in enumerate(rests) if np.linalg.norm(r.u - u) < 1e-5]
            if not same:
                rests.append(Rest(body, u, touch, kind))
            of[int(face)] = same[0] if same else len(rests) - 1
    known(rough)
    chords = Chords(body, n, [p for r in rests for p in r.places])
    known(chords)
    share = np.zeros(len(rests))
    for face, s in zip(chords.sink, chords.share):
        share[of[int(face)]] += s
    return rests, chords, of, share
