"""What happens to both demo designs when they go over, worked out anew from the design file alone."""

import json
import shutil
import subprocess
import sys
import time
from itertools import combinations

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, HalfspaceIntersection

from hard import bodies
from layout import unit
from outlines import across
from program import PROGRAM, ROOT, TARGET
from standing import G as GRAVITY
from standing import Car
from stance import Tally

ROUND = 360
TOUCH = 1e-7  # m: places nearer to the ground than this touch it


class Body:
    """Hard pieces with a centre of gravity: h(u) - u.G is how high that stands over the ground with the normal u."""

    def __init__(self, pieces, centre, mass):
        rng = np.random.default_rng(1)
        u = rng.normal(size=(20000, 3))
        u /= np.linalg.norm(u, axis=1)[:, None]
        best, keep = np.full(len(u), -np.inf), np.zeros(len(pieces.names), bool)
        for part in np.array_split(u, 20):
            h = pieces.reach(part)
            keep |= (h >= h.max(1)[:, None] - 2e-3).any(0)
        self.p, self.g, self.mass = pieces.pick(keep), centre, mass

    def height(self, u):
        return self.p.reach(u).max(1) - np.atleast_2d(u) @ self.g

    def down(self, u):
        """The bottom of the hollow of the height that u lies in, and what touches there: by minimax, then by Newton's steps."""
        for _ in range(200):
            e, f = across(u)
            near = np.flatnonzero(self.p.reach(u)[0] > self.p.reach(u).max() - 0.02)
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
                           bounds=[(-0.01, 0.01)] * 2 + [(-50, 50)], constraints={"type": "ineq", "fun": lift, "jac": slope},
                           options={"ftol": 1e-13, "maxiter": 60})
            new = at(got.x)
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
        for _ in range(30):
            d = unit(self.p.place(pair[1], u) - self.p.place(pair[0], u))
            gap = self.p.reach(u)[0][pair[1]] - self.p.reach(u)[0][pair[0]]
            if abs(gap) < 1e-15:
                break
            u = unit(u - d * (d @ u))
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


def solid_angle(a, b, c):
    x, y, z = (np.linalg.norm(v, axis=-1) for v in (a, b, c))
    dot = lambda p, q: np.einsum("...i,...i", p, q)
    return 2 * np.arctan2(dot(a, np.cross(b, c)), x * y * z + dot(a, b) * z + dot(b, c) * x + dot(c, a) * y)


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
        lone = np.array([np.setdiff1d(tri[g], (a, b))[0] for g, a, b in zip(other, p, q)])
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
        self.u, self.touch, self.kind = u, touch, kind
        self.height = body.height(u)[0]
        self.foot = body.g + u * self.height
        self.places = np.array([body.p.place(k, u) for k in touch])
        self.names = set(body.p.names[touch])
        e, f = across(u)
        self.flat = np.stack(((self.places - self.foot) @ e, (self.places - self.foot) @ f), 1)
        self.edges = []
        if kind == "flat":
            hull = ConvexHull(self.flat)
            for (a, b), eq in zip(hull.simplices, hull.equations):
                out = eq[0] * e + eq[1] * f
                ends = [[t for t, q in zip(touch, self.places) if np.linalg.norm(q - self.places[k]) < TOUCH] for k in (a, b)]
                self.edges.append([body.p.names[touch[[a, b]]], -eq[2], body.onward(u, out, ends), out])
            self.margin = min(edge[1] for edge in self.edges)
        elif len(touch) == 2:
            self.margin = np.linalg.norm(self.flat, axis=1).min()
        else:
            self.margin = None


def over(body, rest, pair, out):
    """The highest on the way over an edge with both pieces kept on the ground."""
    def at(angle):
        return body.both(np.cos(angle) * rest.u + np.sin(angle) * out, pair)

    def beyond(u):
        h = body.p.reach(u)[0]
        return h.max() - h[pair].max()

    step, last = np.radians(0.25), rest.height
    for k in range(1, 720):
        u = at(k * step)
        h = body.p.reach(u)[0][pair[0]] - u @ body.g
        if beyond(u) > 1e-9:
            lo, hi = (k - 1) * step, k * step
            for _ in range(45):
                mid = (lo + hi) / 2
                lo, hi = (lo, mid) if beyond(at(mid)) > 1e-9 else (mid, hi)
            last = max(last, body.height(at(lo))[0])
            if h < last:
                h = -np.inf
            else:
                return last
        if h < last:
            top = minimize_scalar(lambda x: -body.height(at(x))[0], bounds=(max(0, k - 2) * step, k * step), method="bounded", options={"xatol": 1e-10})
            return max(last, -top.fun)
        last = h
    raise ValueError("no crest")


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
    import os
    if os.environ.get("DBG"):
        for k, r in enumerate(rests): print(k, r.u, r.names, r.touch, r.kind, r.height, r.margin, body.p.reach(r.u)[0][r.touch]-body.p.reach(r.u).max())
    share = np.zeros(len(rests))
    for face, s in zip(chords.sink, chords.share):
        share[of[int(face)]] += s
    return rests, chords, of, share


def case(tally, who, told, body, car, people, soft, marginal):
    began = time.perf_counter()
    rests, chords, of, share = find(body, ROUND)
    lowest = chords.passes(of)
    print(who, len(rests), "rests", len(of), "sinks", len(chords.sink), "faces", f"{time.perf_counter() - began:.1f} s")
    a = told["rollover"]["attitudes"]
    mine = []
    for k, got in enumerate(a):
        d = [np.linalg.norm(r.u - got["normal"]) for r in rests]
        mine.append(int(np.argmin(d)))
    tally.equal("rests", who, sorted(mine), list(range(len(rests))))
    person = [car.mm(v) for v in car.file.get("limits", {}).get("opening", ("330 mm", "580 mm"))]
    for k, (got, room) in enumerate(zip(a, told["rooms"])):
        r, name = rests[mine[k]], f"{who}, {k + 1} {room['words']}"
        tally.near("ground", name, np.linalg.norm(r.u - got["normal"]), 0, 1e-8)
        tally.near("height", name, got["height"], r.height, 1e-8)
        tally.near("share", name, got["share"], share[mine[k]], 5e-3)
        tally.equal("touches", name, sorted({c["body"] for c in got["contacts"]}), sorted(r.names))
        tally.equal("kind", name, got["kind"] == "flat", r.kind == "flat")
        tally.near("margin", name, got["margin"], r.margin, 1e-7)
        tally.equal("marginal", name, got["marginal"], bool(r.margin < marginal))
        tally.equal("edges", name, len(got["edges"]), len(r.edges))
        for e in got["edges"]:
            middle = np.mean(e["ends"], 0)
            names, margin, pair, out = min(r.edges, key=lambda x: abs(np.array(e["ends"]) @ x[3] - x[3] @ r.foot - x[1]).max())
            tally.equal("edge over", name, set(e["over"]), set(names))
            tally.near("edge margin", f"{name}, over {e['over']}", e["margin"], margin, 1e-7)
            want = body.mass * GRAVITY * (max(over(body, r, pair, out), lowest[mine[k]]) - r.height)
            tally.near("edge energy", f"{name}, over {e['over']}", e["energy"], want, 0.05)
        ground, planes = r.foot, sunk(r, soft)
        for p in room["people"]:
            for part in p["parts"]:
                balls = [b for b in people[p["name"]] if b["part"] == part["part"]]
                ends = [(np.array(c), b["radius"]) for b in balls for c in b["ends"]]
                least = min((ground - c) @ r.u - q for c, q in ends)
                tally.near("room", f"{name}, {p['name']}'s {part['part']}", part["hard"], least, 1e-8)
                worst = np.inf
                for c, q in ends:
                    x = np.array([(c - ground) @ e for e in across(r.u)])
                    far = ((ground - c) @ r.u - planes[:, 0] - planes[:, 1:] @ x) / np.hypot(1, np.hypot(planes[:, 1], planes[:, 2]))
                    worst = min(worst, far.min() - q)
                tally.near("soft room", f"{name}, {p['name']}'s {part['part']}", part["soft"], worst, 1e-6)
        up = -r.u
        for o in car.openings:
            got_way = next(w for w in room["ways"] if w["opening"] == o.name)
            outward = o.n if (o.middle - body.g) @ o.n > 0 else -o.n
            raised = max(0.0, -outward @ up) * person[0]
            left, scale = o.over(ground + up * raised, up, person)
            way = f"{name}, {o.name}"
            tally.near("raised", way, got_way["raised"], raised, 1e-8)
            tally.near("area", way, got_way["area"], area(left), 1e-8)
            k_told = got_way["ellipse"][0] / person[0]
            tally.near("ellipse", way, k_told / scale if scale else k_told + 1, 1, 1.1e-3)
            tally.equal("passes", way, got_way["passes"], scale >= 1)
    return rests


def main():
    failed = 0
    for name in sys.argv[1:] or ("gorse", "wren"):
        own = ROOT / "examples" / f"{name}.toml"
        design = TARGET / "rollover" / own.name
        shutil.rmtree(design.parent, ignore_errors=True)
        design.parent.mkdir()
        if (own.parent / name).is_dir():
            shutil.copytree(own.parent / name, design.parent / name)
        design.write_text(own.read_text())
        run = lambda verb: json.loads(subprocess.run([PROGRAM, verb, design, "--json"], capture_output=True, text=True, check=True).stdout)
        told, tally = run("rollover")["over"], Tally()
        people = {p["name"]: p["parts"] for p in run("shape")["people"]}
        car = Car(design)
        car.openings = [Opening(car, n, s, t) for n, s in car.file.get("opening", {}).items() for t in car.twins(s)]
        hubs = [w.hub - [0, 0, w.droop] for w in car.wheels]
        mass, centre, _ = car.weight({}, hubs)
        settings = car.file.get("rollover", {})
        soft, marginal = (car.mm(settings.get(k, d)) for k, d in (("soft", "50 mm"), ("marginal", "20 mm")))
        tally.near("soft", name, told["soft"], soft, 1e-12)
        for what in ("hard", "whole"):
            if told[what]:
                case(tally, f"{name}, {what}", told[what], Body(bodies(car, hubs, what == "whole"), centre, mass), car, people, soft, marginal)
        for w in tally.wrong:
            print("differs:", w)
        print(f"{name}: " + ", ".join(f"{n} x {what}" for what, n in sorted(tally.same.items())))
        print("   worst: " + ", ".join(f"{what} {off:.1e}" for what, off in sorted(tally.worst.items()) if off))
        failed += len(tally.wrong)
    print("0 failed" if not failed else f"{failed} differ")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
