"""Ways in, by moving points in small steps.

Takes each demo design's bodies in fitting order. A standing tube is everything within its outline, between the reaches
of its fibres at its two ends: copes, ears and mitres as they are cut, hollow between the ears. A piece that moves is a cloud of points on its
surface, closer at its ends. Told ways are walked backward from the final place: straight moves 1 mm a step at first and then 5 mm, turns
so that no point goes farther than 1 mm a step within 100 mm of home, and 4 mm after that. No
point may lie deeper than 0.2 mm in what stands, nor a point of what stands in the piece, over what it is in its place
(these bodies are made of straight steps between fibres): that is printed too. Pairs that the program says
overlap are left out. Ways that need play are walked by a piece whose ends are cut back by it; ways at an earlier turn past what
stands by then.

Where the program finds no way, 24 straight directions of a sphere and along the piece's own axes are walked too: each
must run into something, or else the program missed a way.

Prints a table; exits with 1 if a told way is blocked or a way was missed.

Distances here know nothing of sweeps, parallelograms, chords or rays.
"""

import json
import sys

import numpy as np

from program import example

DEEP = 2e-4
DESIGNS = ("examples/gorse.toml", "examples/wren.toml")
STEPS = np.concatenate([np.arange(0.0, 0.1, 1e-3), np.arange(0.1, 4.5, 5e-3)])
TURNED = 1e-3, 0.1, 4e-3
ROUGH = np.concatenate([np.arange(0.0, 0.1, 2e-3), np.arange(0.1, 4.5, 1e-2)])


def half(size):
    if size["shape"] == "round":
        r = size["od"] / 2
        return r, r, r
    return size["height"] / 2, size["width"] / 2, size["corner"]


def depth(size, x, y):
    """How deep places of a section lie within its outline."""
    hx, hy, r = half(size)
    ox, oy = np.abs(x) - (hx - r), np.abs(y) - (hy - r)
    return r - np.hypot(np.maximum(ox, 0), np.maximum(oy, 0)) - np.minimum(np.maximum(ox, oy), 0)


def perimeter(size):
    hx, hy, r = half(size)
    return 4 * (hx + hy - 2 * r) + 2 * np.pi * r


def rounds(size, x, y):
    """Distance round the outline, of places near it: from the middle of the top towards +y."""
    hx, hy, r = half(size)
    if size["shape"] == "round":
        return np.mod(np.arctan2(y, x), 2 * np.pi) * r
    fx, fy, q = hx - r, hy - r, np.pi / 2 * r
    turn = np.arctan2(np.abs(y) - fy, np.abs(x) - fx)
    corner = (np.abs(x) > fx) & (np.abs(y) > fy)
    flat = np.where(np.abs(x) - hx > np.abs(y) - hy, np.clip(np.abs(y), 0, fy), fy + q + np.clip(fx - np.abs(x), 0, fx))
    first = np.where(corner, fy + np.clip(turn, 0, np.pi / 2) * r, flat)
    quarter = fy + q + fx
    d = np.where(x >= 0, first, 2 * quarter - first)
    return np.where(y >= 0, d, np.mod(4 * quarter - d, 4 * quarter))


def outline(size, n):
    """Places evenly round the outline."""
    hx, hy, r = half(size)
    if size["shape"] == "round":
        a = 2 * np.pi * np.arange(n) / n
        return np.column_stack([r * np.cos(a), r * np.sin(a)])
    fx, fy = hx - r, hy - r
    pts = []
    for sx, sy, a0 in ((1, 1, 0), (-1, 1, np.pi / 2), (-1, -1, np.pi), (1, -1, 3 * np.pi / 2)):
        pts += [(sx * fx + r * np.cos(a0 + t), sy * fy + r * np.sin(a0 + t)) for t in np.linspace(0, np.pi / 2, 5)]
    pts.append(pts[0])
    pts = np.array(pts)
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(pts, axis=0).T))])
    at = along[-1] * np.arange(n) / n
    return np.column_stack([np.interp(at, along, pts[:, 0]), np.interp(at, along, pts[:, 1])])


class Body:
    def __init__(self, d):
        self.name, self.size, self.way, self.overlaps = d["name"], d["size"], d["way"], set(d["overlaps"])
        self.told, self.remedies = d, d["remedies"]
        self.segments = [{k: np.array(v) if isinstance(v, list) else v for k, v in s.items()} for s in d["segments"]]
        self.ends = [np.array(e) for e in d["ends"]]
        self.placed = {}
        # How far from its end points each end is hollow for what comes in through its mouth.
        self.solid = [max(0.0, -e[:, 1:].min()) + 0.5 * max(half(self.size)[:2]) for e in self.ends]
        self.points = self.cloud()
        self.low, self.high = self.points.min(0), self.points.max(0)

    def shorter(self, play):
        """The same piece with both ends cut back along the tube."""
        d = dict(self.told)
        d["ends"] = [[[r, a - play, b - play] for r, a, b in e] for e in d["ends"]]
        other = Body(d)
        other.placed = {}
        return other

    def reach(self, end, x, y):
        """How far beyond its end point the tube reaches at places of its section."""
        e = self.ends[end]
        at = rounds(self.size, x, y)
        outer, inner = (np.interp(at, e[:, 0], e[:, k], period=perimeter(self.size)) for k in (1, 2))
        # Through the wall the cut runs from the outside's reach to the inside's.
        return outer + (inner - outer) * np.clip(depth(self.size, x, y) / self.size["wall"], 0, 1)

    def cloud(self):
        out = []
        reach = max(half(self.size)[:2])
        places = outline(self.size, 48)
        last = len(self.segments) - 1
        for k, s in enumerate(self.segments):
            if "from" in s:
                a = -self.reach(0, *places.T) if k == 0 else np.zeros(len(places))
                b = s["length"] + (self.reach(1, *places.T) if k == last else np.zeros(len(places)))
                for (x, y), lo, hi in zip(places, a, b):
                    if hi <= lo:
                        continue
                    near = np.linspace(0, min(3 * reach, (hi - lo) / 2), 14)
                    at = np.unique(np.concatenate([lo + near, hi - near, np.arange(lo, hi, 0.012)]))
                    out.append(s["from"] + s["u"] * x + s["v"] * y + np.outer(at, s["along"]))
            else:
                t = np.linspace(0, s["sweep"], max(4, int(s["sweep"] * s["radius"] / 0.008)))
                side = np.cross(s["axis"], s["start"])
                ring = np.outer(np.cos(t), s["start"]) + np.outer(np.sin(t), side)
                for x, y in outline(self.size, 24):
                    out.append(s["centre"] + ring * (s["radius"] + x) + s["axis"] * y)
        return np.vstack(out)

    def place(self, other):
        """How deep it sinks into another in its place: linear steps between fibres, chords of corners."""
        if other.name not in self.placed:
            self.placed[other.name] = max(0.0, meets(self, other, HOME))
        return self.placed[other.name]

    def deepest(self, p):
        """How deep the deepest of some points lies within."""
        near = ((p > self.low - 0.01) & (p < self.high + 0.01)).all(1)
        p = p[near]
        best, last = -np.inf, len(self.segments) - 1
        if not len(p):
            return best
        for k, s in enumerate(self.segments):
            if "from" in s:
                d = p - s["from"]
                t, x, y = d @ s["along"], d @ s["u"], d @ s["v"]
                lo = -self.reach(0, x, y) if k == 0 else 0.0
                hi = s["length"] + (self.reach(1, x, y) if k == last else 0.0)
                within = depth(self.size, x, y)
                # Between a cope's ears the tube is hollow: only the wall counts.
                mouth = (t < self.solid[0]) if k == 0 else np.zeros(len(t), bool)
                mouth |= (t > s["length"] - self.solid[1]) if k == last else False
                within = np.where(mouth, np.minimum(within, self.size["wall"] - within), within)
                best = max(best, np.minimum(within, np.minimum(t - lo, hi - t)).max())
            else:
                d = p - s["centre"]
                z = d @ s["axis"]
                side = np.cross(s["axis"], s["start"])
                a = np.arctan2(d @ side, d @ s["start"])
                across = np.hypot(np.hypot(d @ s["start"], d @ side) - s["radius"], z)
                inside = np.where((a >= 0) & (a <= s["sweep"]), half(self.size)[0] - across, -np.inf)
                best = max(best, inside.max())
        return best


HOME = (np.eye(3), np.zeros(3))


def shifted(pose, by):
    return pose[0], pose[1] + by


def screw(turn, part):
    """Where a piece is after a part of a turn (rad), by Rodrigues' formula."""
    k, at = np.array(turn["axis"]), np.array(turn["at"])
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    r = np.eye(3) + np.sin(part) * cross + (1 - np.cos(part)) * cross @ cross
    return r, at - r @ at + k * (turn["slide"] * part / turn["angle"])


def meets(piece, other, pose):
    """How deep a moved piece and another lie in each other; -inf where their boxes are clear."""
    return next(pairs(piece, [other], pose))[0]


def pairs(piece, standing, pose):
    """Of each standing body how deep the moved piece and it lie in each other, and the body; those whose boxes are clear come
    last, as one of no depth."""
    r, t = pose
    moved = piece.points @ r.T + t
    low, high = moved.min(0), moved.max(0)
    lows, highs = np.array([b.low for b in standing]), np.array([b.high for b in standing])
    near = ~((high < lows - 1e-3) | (low > highs + 1e-3)).any(1)
    for k in np.flatnonzero(near):
        other = standing[k]
        back = other.points
        # Of the other's points only those in the piece's box can lie in it.
        back = back[((back > low - 0.01) & (back < high + 0.01)).all(1)]
        yield max(other.deepest(moved), piece.deepest((back - t) @ r)), other
    yield -np.inf, None


def walk(piece, standing, poses):
    """How much deeper than in its place the piece sinks into anything on its way, and into what; stops at the first that
    is too deep."""
    worst = (-np.inf, None)
    for pose in poses if standing else ():
        for deep, other in pairs(piece, standing, pose):
            if deep > DEEP:
                deep -= piece.place(other)
            if deep > worst[0]:
                worst = (deep, other.name)
            if deep > DEEP:
                return worst
    return worst


def straight(pose, d, steps, length=np.inf):
    return (shifted(pose, d * s) for s in steps if s <= length)


def turned(piece, turn):
    arm = np.linalg.norm(np.cross(piece.points - np.array(turn["at"]), np.array(turn["axis"])), axis=1).max()
    rate = np.hypot(arm, turn["slide"] / turn["angle"])
    fine, until, rough = TURNED
    parts = np.concatenate([np.arange(0, until, fine), np.arange(until, rate * turn["angle"], rough)]) / rate
    return (screw(turn, a) for a in np.append(parts[parts < turn["angle"]], turn["angle"]))


def walk_way(piece, standing, way):
    pose, last = HOME, way["last"]
    found = (-np.inf, None)
    if last and last["kind"] == "slide":
        d = np.array(last["from"])
        found = walk(piece, standing, straight(HOME, d, STEPS, last["length"]))
        pose = shifted(HOME, d * last["length"])
    elif last:
        found = walk(piece, standing, turned(piece, last["turn"]))
        pose = screw(last["turn"], last["turn"]["angle"])
    out = walk(piece, standing, straight(pose, np.array(way["from"]), STEPS))
    return max(found, out, key=lambda f: f[0])


def main():
    failures, told, none = [], 0, 0
    lattice = []
    for k in range(20):
        z, a = 1 - (2 * k + 1) / 20, 2.399963 * k
        lattice.append(np.array([np.sqrt(1 - z * z) * np.cos(a), np.sqrt(1 - z * z) * np.sin(a), z]))
    for design in DESIGNS:
        bodies = [Body(d) for d in json.loads(example("assembly", design, "--json"))]
        worst, ways, missed, swings, plays, earlier, without = -np.inf, 0, 0, 0, 0, 0, 0
        place = {b.name: k for k, b in enumerate(bodies)}

        def judge(piece, standing, way, what):
            nonlocal worst, swings
            found = walk_way(piece, standing, way)
            worst = max(worst, found[0])
            swings += bool(way["last"]) and way["last"]["kind"] == "swing"
            if found[0] > DEEP:
                failures.append(f"{design}: {piece.name} {what}sinks {1e3 * found[0]:.2f} mm into {found[1]} on its way")

        for k, piece in enumerate(bodies):
            standing = [b for b in bodies[:k] if b.name not in piece.overlaps]
            if piece.way:
                ways += 1
                judge(piece, standing, piece.way, "")
                continue
            without += 1
            for remedy in piece.remedies:
                if remedy["kind"] == "play":
                    plays += 1
                    judge(piece.shorter(remedy["play"]), standing, remedy["way"], f"{1e3 * remedy['play']:.1f} mm shorter ")
                elif remedy["kind"] == "earlier":
                    earlier += 1
                    judge(piece, [b for b in standing if place[b.name] < place[remedy["before"]]], remedy["way"], f"before {remedy['before']} ")
            axis = piece.segments[0].get("along")
            for d in lattice + [axis, -axis, np.array([1.0, 0, 0]), np.array([-1.0, 0, 0])]:
                if walk(piece, standing, straight(HOME, d, ROUGH))[0] <= DEEP:
                    missed += 1
                    failures.append(f"{design}: {piece.name} leaves freely along {np.round(d, 3)}")
                    break
        told += ways + plays + earlier
        none += without
        in_place = max((v for b in bodies for v in b.placed.values()), default=0)
        print(
            f"{design}: {len(bodies)} pieces; walked {ways} ways as cut, {plays} with play, {earlier} at an earlier turn, {swings} of all by a swing;"
            f" deepest {1e3 * worst:.3f} mm of {1e3 * DEEP:.1f}; {without} without a way as cut, {missed} missed; in place {1e3 * in_place:.3f} mm",
            flush=True,
        )
    for f in failures[:40]:
        print("over:", f)
    print(f"{told + none} passed, 0 failed" if not failures else f"{len(failures)} failed")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
