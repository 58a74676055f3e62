"""Every piece of the demo designs worked out anew from the design file, and compared with the packet's JSON.

`layout.py` reads the file and places everything, and finds by the order rule what each end is cut to; `rays.py` follows
fibres; here lengths, profiles, settings, bends and volumes come from both and are held against what the program says,
number by number; `sticks.py` then holds the cutting plan against these lengths and the file's rack. Lengths and reaches within a micrometre, angles within a millionth of a degree, volumes within the
error of the sums (5e-5), unless said otherwise beside the check. Prints how many numbers were compared; exits with 1 if any differs.
"""

import json
import subprocess
import sys
import tempfile
from collections import Counter
from math import degrees, pi, radians
from pathlib import Path

import numpy as np

import sticks
from layout import MIRROR, Layout, unit
from program import PROGRAM, ROOT
from rays import Ends, area, cylinder, perimeter, wall

LENGTH = 1e-3  # mm
ANGLE = radians(1e-6)
DENSE = 2880  # fibres round an end when extremes are looked for
LAYERS = 9
VOLUME = 5e-5
CONVEX = 1e-3  # mm: a radial cut is searched among this many depths of the wall, and may differ by so much
DEPTHS = 33
SLIVER = 1e-9
FIT = 1.0  # mm: gap that fits, where the design says nothing
OVERCUT = 0.3  # mm: hole saws cut that much over their size; common practice, no source


class Tally:
    def __init__(self):
        self.same, self.wrong, self.worst = Counter(), [], {}

    def near(self, what, who, got, want, limit):
        off = abs(got - want)
        self.worst[what] = max(self.worst.get(what, 0.0), off)
        if off <= limit:
            self.same[what] += 1
        else:
            self.wrong.append(f"{what} of {who}: program {got:.7g}, here {want:.7g}")

    def equal(self, what, who, got, want):
        if got == want:
            self.same[what] += 1
        else:
            self.wrong.append(f"{what} of {who}: program {got}, here {want}")

    def turn(self, what, who, got, want, limit=ANGLE):
        self.near(what, who, (got - want + pi) % (2 * pi) - pi, 0.0, limit)


def plate_plane(layout):
    """The face of the plate that an end stands on: the one on the tube's side."""
    def plane(tube, end):
        name = tube.wish(end)["plane"]["plate"]
        twin = name.endswith("~") != tube.twin
        plate = layout.file["plate"][name.rstrip("~")]
        if plate.get("side", "centred") != "above":
            raise ValueError(f"{name}: only plates above their outline are known here")
        o = plate["outline"]
        n = unit(np.cross(o["x"], o["y"])) * (MIRROR if twin else 1)
        origin = layout.place(o["origin"], False)[0] * (MIRROR if twin else 1)
        upper = origin + n * layout.mm(plate["thickness"])
        inside = tube.point(tube.length / 2)
        return (upper, -n) if (inside - origin) @ n > 0 else (origin, n)
    return plane


def crossing(p, d, q, e):
    """Nearest places of two lines: how far along the first, and the vector from it to the second."""
    n = np.cross(d, e)
    s = np.cross(q - p, e) @ n / (n @ n)
    u = np.cross(q - p, d) @ n / (n @ n)
    return s, q + e * u - (p + d * s), q + e * u


def extreme(follow, total, sign):
    """The largest reach (sign 1) or least (-1) among dense fibres, looked at again more closely where it is."""
    where = np.arange(DENSE) * total / DENSE
    value = sign * follow(where)
    best, step = where[np.argmax(value)], total / DENSE
    for _ in range(4):
        where = np.linspace(best - 2 * step, best + 2 * step, 81)
        value = sign * follow(where % total)
        best, step = where[np.argmax(value)], step / 20
    return sign * value.max()


def ends_of(tally, layout, ends, tube, piece):
    total = perimeter(tube.section)
    reach, centres, beyond = [], [], 0.0
    for end in (False, True):
        cut, who = piece["ends"][end], f"{'end' if end else 'start'} of {tube.name}"
        kind, hosts = ends.cuts[tube.name, end]
        tally.equal("kind of cut", who, cut["kind"], kind)
        tally.equal("what it is cut to", who, sorted(cut["to"]), sorted(h.name for h in hosts))
        tally.near("end point", who, np.linalg.norm(np.array(cut["at"]) * 1e3 - tube.at(end)), 0, LENGTH)
        if hosts and kind == "cope":
            tally.equal("tube it is nearest", who, cut["to"][0], hosts[0].name)
        out = tube.out(end)
        fibres = cut["profile"]["fibres"]
        where = np.array([f["round"] for f in fibres]) * 1e3
        found = {}
        for key, depth in (("outer", 0.0), ("inner", 1.0)):
            s, met = ends.follow(tube, end, wall(tube, end, where, depth))
            found[key], found[key + " met"] = s, met
            got = np.array([f[key] for f in fibres]) * 1e3
            off = np.abs(got - s)
            # Two fibres stand astride each change of host, within a micrometre of it: either host may be met there.
            near = np.array([min((x - y) % total for x, y in ((where[i], where[i - 1]), (where[(i + 1) % len(where)], where[i]))) < 2e-3
                             for i in range(len(where))])
            for o, n in zip(off, near):
                if not n:
                    tally.near("fibre", f"{key} {who}", o, 0, LENGTH)
        depths = np.linspace(0, 1, DEPTHS)
        least = np.min([ends.follow(tube, end, wall(tube, end, where, d))[0] for d in depths], axis=0)
        for f, l, n in zip(fibres, least, near):
            if not n:
                tally.near("radial cut", who, f["radial"] * 1e3, l, CONVEX)
        bare = lambda depth: lambda x: ends.follow(tube, end, wall(tube, end, x, depth))[0]
        long = max(extreme(bare(d), total, 1) for d in (0.0, 1.0))
        short = min(extreme(bare(d), total, -1) for d in (0.0, 1.0))
        tally.near("long point", who, cut["profile"]["long"] * 1e3, long, LENGTH)
        tally.near("short point", who, cut["profile"]["short"] * 1e3, short, LENGTH)
        left = layout.mm(tube.wish(end).get("long", 0))
        tally.near("left long", who, cut["left_long"] * 1e3, left, SLIVER)
        centre = 0.0
        if kind == "cope":
            place, along = hosts[0].nearest(tube.at(end))
            centre = crossing(tube.at(end), out, place, along)[0]
        elif kind == "plane":
            origin, outward = ends.planes[tube.name, end]
            centre = (origin - tube.at(end)) @ outward / (out @ outward)
        if not any(s.get("on_bend") for s in cut["setups"]):
            tally.near("notch centre", who, cut["centre"] * 1e3, centre, LENGTH)
        else:
            centre = cut["centre"] * 1e3  # held against a straight notch below
        reach.append((long, short, left, fibres[0]["outer"] * 1e3))
        centres.append(centre)
        beyond += volume_beyond(ends, tube, end, total)
        setups(tally, layout, ends, tube, end, cut, who, where, found)
    return reach, centres, beyond


def volume_beyond(ends, tube, end, total):
    s = tube.section
    cells = (np.arange(DENSE) + 0.5) * total / DENSE
    points, weights = np.polynomial.legendre.leggauss(LAYERS)
    if s["shape"] == "round":
        ratio = np.full(DENSE, 1 - 2 * s["wall"] / s["od"])
    else:
        r = s["corner"]
        hx, hy = s["height"] / 2 - r, s["width"] / 2 - r
        edge = np.cumsum([hy, pi / 2 * r, 2 * hx, pi / 2 * r, 2 * hy, pi / 2 * r, 2 * hx, pi / 2 * r, hy])
        round_ = np.searchsorted(edge, cells) % 2 == 1
        ratio = np.where(round_, 1 - s["wall"] / r, 1.0)
    sum_ = 0.0
    for x, w in zip(points, weights):
        depth = (x + 1) / 2
        reach = ends.follow(tube, end, wall(tube, end, cells, depth))[0]
        sum_ += w / 2 * s["wall"] * total / DENSE * (reach * (1 - depth * (1 - ratio))).sum()
    return sum_


def scale(layout, angle):
    return pi / 2 - angle if layout.file["notcher"]["square_reads"] == 90 else angle


def setups(tally, layout, ends, tube, end, cut, who, where, found):
    kind, hosts = ends.cuts[tube.name, end]
    out, at = tube.out(end), tube.at(end)
    def saw(setup, n):
        n = n if n @ out > 0 else -n
        angle = float(np.arctan2(np.linalg.norm(np.cross(n, out)), n @ out))
        tally.near("saw angle", who, setup["angle"], angle, ANGLE)
        tally.near("scale", who, setup["scale"], scale(layout, angle), ANGLE)
        if angle > 1e-7:
            tally.turn("saw turn", who, setup["turn"], tube.turn(end, n - out * (n @ out)))
        if tube.section["shape"] == "box":
            u, v = tube.frame(end)
            # A straight cut p·n = 0 runs over the top face with this slope along v, over the right-hand one along u.
            tally.near("slope on faces", who, setup["faces"][0], np.arctan((n @ v) / (n @ out)), ANGLE)
            tally.near("slope on faces", who, setup["faces"][1], np.arctan((n @ u) / (n @ out)), ANGLE)
    if kind != "cope":
        tally.equal("set-ups", who, len(cut["setups"]), 1)
        saw(cut["setups"][0], ends.planes[tube.name, end][1])
        return
    seen = [n for n in range(len(hosts)) if (found["outer met"] == n).any()]
    tally.equal("set-ups", who, sorted(s["against"] for s in cut["setups"]), sorted(hosts[n].name for n in seen))
    for setup in cut["setups"]:
        n = [h.name for h in hosts].index(setup["against"])
        host = hosts[n]
        if setup["tool"] == "saw":
            u, v = host.frame(False)
            face = max((u, -u, v, -v), key=lambda w: -(w @ out))
            saw(setup, face)
            half = host.section["height"] / 2 if abs(face @ u) > 0.5 else host.section["width"] / 2
            flat = (host.nearest(at)[0] + face * (half + layout.gap) - at) @ face / (out @ face)
            # How far fibres go on behind the face, square to it.
            worst = 0.0
            for depth in (0.0, 1.0):
                x = np.arange(DENSE) * perimeter(tube.section) / DENSE
                p = wall(tube, end, x, depth)
                s, met = ends.follow(tube, end, p)
                behind = -((p + np.outer(s, out) - at - out * flat) @ face)
                worst = max(worst, behind[met == n].max(initial=0.0))
            tally.near("gap of a flat cut", who, setup["gap"] * 1e3, worst, 5e-3)
            continue
        if setup["tool"] == "template":
            tally.equal("template", who, host.section["shape"], "box")
            continue
        place, along = host.nearest(at)
        centre, apart, q = crossing(at, out, place, along)
        deeper = 0.0
        if setup["on_bend"]:
            deeper, left = straight_notch(layout, ends, tube, end, n, q, along)
            tally.near("gap of a straight notch on a bend", who, setup["gap"] * 1e3, left, ON_BEND)
        else:
            tally.equal("gap on a straight host", who, setup["gap"], 0)
        lean = -along if along @ out > 0 else along
        square = float(np.arcsin(min(1.0, abs(along @ out))))
        tally.near("saw angle", who, setup["angle"], square, ANGLE)
        tally.near("scale", who, setup["scale"], scale(layout, square), ANGLE)
        turn = tube.turn(end, lean)
        if square < 1.7e-4:
            turn %= pi
            tally.near("saw turn", who, (setup["turn"] - turn + pi / 2) % pi - pi / 2, 0, ANGLE)
        else:
            tally.turn("saw turn", who, setup["turn"], turn)
        tally.near("offset", who, setup["offset"] * 1e3, np.linalg.norm(apart), LENGTH)
        if np.linalg.norm(apart) > LENGTH:
            tally.turn("offset turn", who, setup["offset_turn"], tube.turn(end, apart))
        tally.near("notch centre of a saw", who, setup["centre"] * 1e3, centre - deeper, ON_BEND if deeper else LENGTH)
        od = host.section["od"]
        tally.near("notch diameter", who, setup["diameter"] * 1e3, od + 2 * layout.gap, LENGTH)
        saw_sizes = [(layout.mm(s["od"]), layout.mm(s["depth"])) for s in layout.file["notcher"]["saws"]]
        fit = layout.mm(layout.file.get("limits", {}).get("fit", FIT))
        fitting = [s for s in saw_sizes if od - OVERCUT < s[0] <= od + 2 * fit] or saw_sizes
        through = [s for s in fitting if s[1] >= setup["depth"] * 1e3] or fitting
        best = min(through, key=lambda s: (round(abs(s[0] - od - 2 * layout.gap), 6), -s[1]))
        tally.near("saw size", who, setup["saw"]["od"] * 1e3, best[0], SLIVER)
        tally.near("saw at hand", who, setup["saw"]["depth"] * 1e3, best[1], SLIVER)
        # From the first touch of the wall to the last: where the outside or the inside meets this tube.
        touched = []
        x = np.arange(DENSE) * perimeter(tube.section) / DENSE
        for depth in (0.0, 1.0):
            p = wall(tube, end, x, depth)
            s, met = ends.follow(tube, end, p)
            touched.append(((p + np.outer(s, out)) @ along)[met == n])
            # Where the contact ends, halved between the fibre that touches and the one that does not.
            k = np.flatnonzero((met == n) != (np.roll(met, -1) == n))
            if len(k):
                total = perimeter(tube.section)
                first = (met == n)[k]
                a, b = x[k], x[k] + total / DENSE
                lo, hi = np.where(first, a, b), np.where(first, b, a)
                for _ in range(24):
                    mid = (lo + hi) / 2
                    m = ends.follow(tube, end, wall(tube, end, mid % total, depth))[1] == n
                    lo, hi = np.where(m, mid, lo), np.where(m, hi, mid)
                p = wall(tube, end, lo % total, depth)
                touched.append((p + np.outer(ends.follow(tube, end, p)[0], out)) @ along)
        touched = np.concatenate(touched)
        if not len(touched):
            tally.wrong.append(f"{who}: a saw for {host.name}, which no fibre meets")
            continue
        tally.near("saw travel", who, setup["depth"] * 1e3, touched.max() - touched.min(), TRAVEL)


def straight_notch(layout, ends, tube, end, n, q, along):
    """How much deeper a notch about a bend's tangent must go to seat, and the largest gap it leaves, square to the bend:
    by dense fibres. Slopes of the bend come from its centreline: a surface is square to the way to it."""
    host, out, worst = ends.cuts[tube.name, end][1][n], tube.out(end), []
    x = np.arange(DENSE) * perimeter(tube.section) / DENSE
    for depth in (0.0, 1.0):
        p = wall(tube, end, x, depth)
        s, met = ends.follow(tube, end, p)
        lo, hi = cylinder(p, out, q, along, host.section["od"] / 2 + layout.gap)
        here = (met == n) & (lo < hi)
        for o, a, b in zip(p[here], s[here], lo[here]):
            place = o + a * out
            worst.append((a - b, abs(unit(place - host.nearest(place)[0]) @ out)))
    least = min(w[0] for w in worst)
    return -least, max((w[0] - least) * w[1] for w in worst)


ON_BEND = 5e-3  # mm: both sides look at separate fibres
TRAVEL = 0.01  # mm: the place where another tube ends the contact is known to a micrometre, times its slope


def bends(tally, layout, tube, piece, reach):
    plan = piece["bends"]
    if not tube.arcs:
        tally.equal("bends", tube.name, plan, None)
        return 0.0
    die = layout.file["die"][tube.spec["die"]]
    grip, offset = layout.mm(die["grip"]), layout.mm(die["offset"])
    over = [reach[0][0] + reach[0][2], reach[1][0] + reach[1][2]]
    lack = [max(0.0, grip - tube.straights[0] - over[0]), max(0.0, grip - tube.straights[-1] - over[1])]
    back = lack[1] < lack[0]
    tally.equal("worked from", tube.name, plan["from"], "end" if back else "start")
    corners = tube.corners[::-1] if back else tube.corners
    straights = tube.straights[::-1] if back else tube.straights
    at = min(lack) + over[back]
    tally.near("grip", tube.name, plan["grip_extra"] * 1e3, min(lack), LENGTH)
    tests = [(0.0, 0.0)] + [(t["got"], t["set"]) for t in die["tests"]]
    normals = [unit(np.cross(corners[k] - corners[k - 1], corners[k + 1] - corners[k])) for k in range(1, len(corners) - 1)]
    tally.equal("bends", tube.name, len(plan["bends"]), len(normals))
    u, v = tube.frame(False)
    r = tube.section["od"] / 2
    for k, bend in enumerate(plan["bends"]):
        who = f"bend {k + 1} of {tube.name}"
        a, b = unit(corners[k + 1] - corners[k]), unit(corners[k + 2] - corners[k + 1])
        turn = float(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
        at += straights[k]
        tally.near("bend angle", who, bend["angle"], turn, ANGLE)
        tally.near("straight", who, bend["straight"] * 1e3, straights[k], LENGTH)
        tally.near("arc", who, bend["arc"] * 1e3, tube.radii * turn, LENGTH)
        tally.near("start of bend", who, bend["start"] * 1e3, at, LENGTH)
        tally.near("bend mark", who, bend["mark"] * 1e3, at - offset, LENGTH)
        rotation = 0.0
        if k:
            # Looking along the feed, clockwise is right-handed about it.
            rotation = float(np.arctan2(np.cross(normals[k - 1], normals[k]) @ a, normals[k - 1] @ normals[k]))
        tally.turn("rotation", who, bend["rotation"], rotation)
        want = degrees(turn)
        tally.near("bender set", who, degrees(bend["setting"]["set"]), float(np.interp(want, *zip(*tests))), 1e-6)
        tally.equal("within the test bends", who, bend["setting"]["extrapolated"], not tests[1][0] <= want <= tests[-1][0])
        tally.near("stretch", who, bend["strain"], r / tube.radii, 1e-9)
        # Volume kept and no stretch along the section: each fibre's wall thins as its length grows.
        for got, sign in zip(bend["walls"], (1, -1)):
            tally.near("wall in a bend", who, got * 1e3, tube.section["wall"] / ((tube.radii + sign * r) / tube.radii), LENGTH)
        at += tube.radii * turn
    tally.near("last straight", tube.name, plan["last_straight"] * 1e3, straights[-1], LENGTH)
    return min(lack)


def pieces(tally, layout, ends, packet):
    named = {p["name"]: p for p in packet["pieces"]}
    tally.equal("names of pieces", "the frame", [p["name"] for p in packet["pieces"]], [t.name for t in layout.tubes if not t.provisional])
    total, blanks = 0.0, {}
    for tube in layout.tubes:
        if tube.provisional:
            continue
        piece, who = named[tube.name], tube.name
        reach, centres, beyond = ends_of(tally, layout, ends, tube, piece)
        grip = bends(tally, layout, tube, piece, reach)
        want = {
            "between_points": tube.length,
            "between_centres": tube.length + sum(centres),
            "over_long": tube.length + reach[0][0] + reach[1][0],
            "over_short": tube.length + reach[0][1] + reach[1][1],
            "on_scribe": tube.length + reach[0][3] + reach[1][3],
            "chord": float(np.linalg.norm(tube.corners[-1] - tube.corners[0])),
            "blank": tube.length + sum(r[0] + r[2] for r in reach) + grip,
        }
        for key, value in want.items():
            tally.near(key.replace("_", " "), who, piece["lengths"][key] * 1e3, value, 2 * LENGTH)
        blanks[who] = (tube.spec["section"], want["blank"])
        volume = area(tube.section) * tube.length + beyond
        tally.near("volume", who, piece["volume"] * 1e9 / volume, 1.0, VOLUME)
        tally.near("mass", who, piece["mass"] / (7850e-9 * volume), 1.0, VOLUME)
        total += 0.0 if tube.temporary else 7850e-9 * volume
    sticks.check(tally, layout, blanks, packet)
    tally.near("mass of all pieces", "the frame", packet["summary"]["cut_kg"] / total, 1.0, VOLUME)


def main():
    failed = 0
    for name in sys.argv[1:] or ("gorse", "wren"):
        design = ROOT / "examples" / f"{name}.toml"
        layout = Layout(design)
        with tempfile.TemporaryDirectory() as out:
            run = subprocess.run([PROGRAM, "packet", design, "--out", out], capture_output=True, text=True)
            if run.returncode not in (0, 1):  # 1: written, with something to mend
                raise RuntimeError(run.stderr)
            packet = json.loads((Path(out) / "packet.json").read_text())
        tally = Tally()
        pieces(tally, layout, Ends(layout, plate_plane(layout)), packet)
        shown = Counter()
        for w in tally.wrong:
            shown[w.split(":")[0]] += 1
            if shown[w.split(":")[0]] == 1 and len(shown) <= 60:
                print("differs:", w)
        print(f"{name}: " + ", ".join(f"{n} x {what}" for what, n in sorted(tally.same.items())))
        print("   worst: " + ", ".join(f"{what} {off:.1e}" for what, off in sorted(tally.worst.items()) if off))
        print(f"   {sum(tally.same.values())} numbers agree, {len(tally.wrong)} differ")
        failed += len(tally.wrong)
    print("0 failed" if not failed else f"{failed} differ")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
