"""A design worked out anew, from its file alone: points, centrelines, scribe lines, and what each end is cut to.

Written from the file's own words and `docs/methods`, with nothing of the program in it. It reads what the two demo
designs use, and stops at what they do not. Lengths are in mm, angles in rad.
"""

import re
import tomllib
from fractions import Fraction
from math import acos, pi, tan

import numpy as np

ONE_JOINT = 0.1
VERTICAL = 0.9999
MIRROR = np.array((1.0, -1.0, 1.0))
UNITS = {"in": 25.4, "ft": 304.8, "mm": 1.0, "lb": 0.45359237, "kg": 1.0}


def unit(v):
    return v / np.linalg.norm(v)


def amount(text, plain):
    """A number, or text such as `1 3/4`, `5 ft 8 in`, `118 lb`."""
    if not isinstance(text, str):
        return float(Fraction(str(text)) * Fraction(str(plain)))
    total, waiting = Fraction(0), Fraction(0)
    sign = -1 if text.startswith("-") else 1
    for word in text.lstrip("-").split():
        if word in UNITS:
            total, waiting = total + waiting * Fraction(str(UNITS[word])), Fraction(0)
        else:
            waiting += Fraction(word)
    return sign * float(total + waiting * Fraction(str(plain)))


class Tube:
    def __init__(self, name, twin, order, spec, section, corners, radii):
        self.name, self.twin, self.order, self.spec, self.section = name, twin, order, spec, section
        self.corners, self.radii = corners, radii
        self.temporary, self.provisional = spec.get("temporary", False), spec.get("provisional", False)
        self.legs, self.arcs = [], []
        start = corners[0]
        for k in range(1, len(corners) - 1):
            a, b = unit(corners[k] - corners[k - 1]), unit(corners[k + 1] - corners[k])
            turn, axis = acos(np.clip(a @ b, -1, 1)), unit(np.cross(a, b))
            enter = corners[k] - a * radii * tan(turn / 2)
            self.legs.append((start, enter))
            out = -np.cross(axis, a)
            self.arcs.append((enter - out * radii, axis, out, radii, turn))
            start = corners[k] + b * radii * tan(turn / 2)
        self.legs.append((start, corners[-1]))
        self.straights = [float(np.linalg.norm(b - a)) for a, b in self.legs]
        self.length = sum(self.straights) + sum(a[3] * a[4] for a in self.arcs)

    def out(self, end):
        return unit(self.corners[-1] - self.corners[-2]) if end else unit(self.corners[0] - self.corners[1])

    def at(self, end):
        return self.corners[-1] if end else self.corners[0]

    def wish(self, end):
        return self.spec.get("end" if end else "start", {})

    def reach(self):
        s = self.section
        if s["shape"] == "round":
            return s["od"] / 2
        return float(np.hypot(s["width"] / 2 - s["corner"], s["height"] / 2 - s["corner"])) + s["corner"]

    def point(self, s):
        for k, straight in enumerate(self.straights):
            a, b = self.legs[k]
            if s <= straight or k == len(self.arcs):
                return a + unit(b - a) * s
            s -= straight
            centre, axis, out, radius, turn = self.arcs[k]
            if s <= radius * turn:
                t = s / radius
                return centre + (out * np.cos(t) + np.cross(axis, out) * np.sin(t)) * radius
            s -= radius * turn
        raise ValueError("beyond the end")

    def crossing(self, axis, value, pick):
        """Where the centreline crosses a plane, in order from the start: by dense steps and halving."""
        s = np.linspace(0, self.length, 4001)
        height = np.array([self.point(x)[axis] - value for x in s])
        found = []
        for k in range(len(s) - 1):
            if height[k] == 0 or height[k] * height[k + 1] < 0:
                lo, hi = s[k], s[k + 1]
                for _ in range(60):
                    mid = (lo + hi) / 2
                    lo, hi = (mid, hi) if (self.point(mid)[axis] - value) * height[k] > 0 else (lo, mid)
                found.append(self.point((lo + hi) / 2))
        if pick is None and len(found) != 1:
            raise ValueError(f"{self.name} crosses {len(found)} times")
        return found[(pick or 1) - 1]

    def nearest(self, p):
        """The place of the centreline nearest to a point, and its direction there."""
        found = []
        for a, b in self.legs:
            t = unit(b - a)
            found.append((a + t * np.clip((p - a) @ t, 0, np.linalg.norm(b - a)), t))
        for centre, axis, out, radius, turn in self.arcs:
            y = np.cross(axis, out)
            a = np.clip(np.arctan2((p - centre) @ y, (p - centre) @ out), 0, turn)
            found.append((centre + (out * np.cos(a) + y * np.sin(a)) * radius, y * np.cos(a) - out * np.sin(a)))
        return min(found, key=lambda f: np.linalg.norm(f[0] - p))

    def frame(self, end, roll=0.0):
        """Towards the scribe line and a quarter turn clockwise from it, looking from start to end; at an end."""
        flip = MIRROR if self.twin else np.ones(3)
        t = unit(self.corners[1] - self.corners[0]) * flip
        if self.arcs:
            u = self.arcs[0][2] * flip
        else:
            top = np.array((1.0, 0, 0)) if abs(t[2]) > VERTICAL else np.array((0, 0, 1.0))
            u = unit(top - t * (t @ top))
        u = u * flip
        if end:
            for _, axis, _, _, turn in self.arcs:
                u = u * np.cos(turn) + np.cross(axis, u) * np.sin(turn) + axis * (axis @ u) * (1 - np.cos(turn))
        run = self.out(True) if end else -self.out(False)
        return u, np.cross(run, u)

    def turn(self, end, d):
        """Angle round the tube of a direction, from the scribe line."""
        u, v = self.frame(end)
        return float(np.arctan2(d @ v, d @ u) % (2 * pi))

    def inside(self, p):
        """Whether a point lies within the outside surface, between the ends."""
        at, t = self.nearest(p)
        d = p - at
        if np.linalg.norm(d) > self.reach() or abs(d @ t) > 1e-6:
            return False
        if self.section["shape"] == "round":
            return np.linalg.norm(d) < self.section["od"] / 2
        u, v = self.frame(False)
        return abs(d @ u) < self.section["height"] / 2 and abs(d @ v) < self.section["width"] / 2


class Layout:
    def __init__(self, path):
        self.file = tomllib.loads(path.read_text())
        f = self.file
        self.plain = UNITS[f["design"].get("units", "mm")]
        self.sections = {n: self.section(s) for n, s in f["section"].items()}
        self.points, self.hosts_of, self.base = {}, {}, {}
        self.tubes = []
        for order, (name, spec) in enumerate(f["tube"].items()):
            self.build(name)
            for twin in (False, True) if spec.get("mirror") else (False,):
                flip = MIRROR if twin else np.ones(3)
                base = self.base[name]
                corners = [c * flip for c in base.corners]
                self.tubes.append(Tube(name + "~" * twin, twin, order, spec, base.section, corners, base.radii))
        for k, t in enumerate(self.tubes):
            t.number = k
        self.named = {t.name: t for t in self.tubes}
        self.gap = amount(f.get("limits", {}).get("gap", 0), self.plain)
        self.uses = [self.place(r, t.twin) for t in self.tubes for r in t.spec["path"]]

    def mm(self, v):
        return amount(v, self.plain)

    def section(self, s):
        if "size" in s:
            od, wall, word = re.fullmatch(r"([\d.]+) x ([\d.]+) (\w+)", s["size"]).groups()
            return {"shape": "round", "od": amount(float(od), UNITS[word]), "wall": amount(float(wall), UNITS[word])}
        out = {k: self.mm(s[k]) for k in ("od", "wall", "width", "height", "corner") if k in s}
        if s["shape"] == "box":
            out.setdefault("corner", 2 * out["wall"])  # EN 10219-2, wall up to 6 mm
        return {"shape": s["shape"], **out}

    def build(self, name):
        if name not in self.base:
            spec = self.file["tube"][name]
            corners = [self.place(r, False)[0] for r in spec["path"]]
            radius = self.mm(self.file["die"][spec["die"]]["radius"]) if "die" in spec else 0.0
            self.base[name] = Tube(name, False, 0, spec, self.sections[spec["section"]], corners, radius)
        return self.base[name]

    def locate(self, name):
        """Place of a point, and the tube that it is put on."""
        if name not in self.points:
            p, host = self.file["point"][name], None
            if isinstance(p, list):
                at = np.array([self.mm(v) for v in p])
            elif "from" in p:
                at = self.place(p["from"], False)[0] + [self.mm(v) for v in p["by"]]
            else:
                host = p["on"]
                tube = self.build(host)
                if "part" in p:
                    at = tube.point(p["part"] * tube.length)
                else:
                    axis = next(a for a in "xyz" if a in p)
                    at = tube.crossing("xyz".index(axis), self.mm(p[axis]), p.get("pick"))
                at = at + [self.mm(v) for v in p.get("by", (0, 0, 0))]
            self.points[name] = (at, host)
        return self.points[name]

    def place(self, ref, twin):
        """Place of a reference, and the tube it is on, by name. What is on the centre plane is its own twin."""
        at, host = self.locate(ref.rstrip("~"))
        other = (ref.endswith("~") != twin) and at[1] != 0
        if host and other and self.file["tube"][host].get("mirror"):
            host += "~"
        return at * (MIRROR if other else 1), host

    def meets(self, tube, end):
        """Tubes at an end, each as passing or ending there."""
        p = tube.at(end)
        here = lambda q: np.linalg.norm(q - p) < ONE_JOINT
        hosts = {h for q, h in self.uses if h and here(q)}
        passing, ending = [], []
        for k in self.tubes:
            if k is tube or k.provisional or (k.temporary and not tube.temporary):
                continue
            if here(k.corners[0]) or here(k.corners[-1]):
                ending.append(k)
            elif k.name in hosts or any(here(c) for c in k.corners[1:-1]) or k.inside(p):
                passing.append(k)
        return passing, ending

    def cut(self, tube, end):
        """How an end is cut, and to what: the order rule of `docs/methods/cutting.md`."""
        wish = tube.wish(end)
        if wish.get("cut") in ("square", "plane"):
            return wish["cut"], []
        if set(wish) - {"long"}:
            raise ValueError(f"{tube.name}: {wish} is not known here")
        passing, ending = self.meets(tube, end)
        stands = lambda k: (k.temporary, k.number) < (tube.temporary, tube.number)
        before = [k for k in ending if stands(k)]
        near = lambda k: (np.linalg.norm(k.nearest(tube.at(end))[0] - tube.at(end)), k.number)
        if passing:
            return "cope", sorted(passing, key=near) + sorted(before, key=near)
        if not ending:
            return "square", []
        if len(before) >= 2:
            return "cope", sorted(before, key=near)
        partner = before[0] if before else ending[0]
        other = next(e for e in (False, True) if np.linalg.norm(partner.at(e) - tube.at(end)) < ONE_JOINT)
        if partner.wish(other).get("cut"):
            raise ValueError(f"{partner.name}: a corner with a cut of its own is not known here")
        return "mitre", [partner]
