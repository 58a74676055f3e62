"""How both demo designs stand, worked out anew from the design file alone.

`layout.py` places tubes and points, `mass.py` weighs. Everything else is found in a way of its own, after the words of
`docs/methods/stance.md`: the ground by scipy's root finder from forces on every wheel, the outline from the side as many points
on the surfaces, angles as the least over those points, obstacles crossed in small steps, wheels swept in small steps of steer.
A few stances and obstacles are added to the demos' own, so that stops, stands that disagree, steps that are too high and
places that scrape occur. The mass of a person is the program's (`shape` with and without), see `mass.py`.

Limits, from the way in which each number is found here:
- ground, loads, centres, tipping: equations of the method solved to 1e-12; the outline of a bend is told by the program exactly
  and found here at 4000 places, R (0.8 mrad)^2 / 8 < 0.1 um: 1e-6 m, 1e-6 rad, 1e-6 of a load;
- masses and centres: see `mass.py`;
- ramp angles: points at most 1 mm apart on lines, 1/720 of a turn on circles: a circle of radius r lies outside its points by
  r (1 - cos(pi / 720)) < 0.3 um; bends stand 0.02 mm off as chords in the program: 0.03 mm at the governing place's distance;
- obstacles: the program looks until it is sure of 0.1 mm; here points 1 mm apart and steps of 0.25 mm: 0.1 mm over, 0.1 mm under;
- room: the program is sure of 0.1 mm; here the steer is refined by scipy from steps of 1 degree, centrelines from steps of 1 mm.

Prints the largest differences; exits with 1 if any is over.
"""

import json
import re
import shutil
import subprocess
import sys
from collections import Counter

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.spatial import ConvexHull

from layout import unit
from outlines import along, arc_places, things
from program import PROGRAM, ROOT, TARGET
from roads import Cells, Drive, Road
from standing import Car, G, Standing

HEIGHT, ANGLE, LOAD = 1e-6, 1e-6, 1e-6
CHORD = 3e-5  # m
CROSSING = 1.2e-4  # m
FAILS = 2e-3  # m
ROOM = 1.2e-4  # m

MORE = {"gorse": """
[stance.slack]
springs = true
wheels = [{ wheel = "front", radius = 300 }]
without = ["engine", "gearbox"]
[stance.twisted]
wheels = [{ wheel = "front", hub = 40 }, { wheel = "rear", hub = -30 }]
part = [{ mass = "tank", part = 0 }]
[stance.askew]
stands = [
  { under = "rail", x = 600, height = 650 },
  { under = "rail_front~", x = 1300, height = 640 },
  { under = "rail_rear", x = -1300, height = 700 },
]
without = ["driver", "passenger"]
[stance.four]
stands = [
  { under = "rail", x = 600, height = 600 },
  { under = "rail~", x = 600, height = 650 },
  { under = "rail_rear", x = -1350, height = 640 },
  { under = "rail_rear~", x = -1350, height = 700 },
]
[obstacle.boulder]
profile = [[0, 0], [150, 250], [300, 250], [450, 0]]
[obstacle.wall]
kerb = 330
[obstacle.loading]
ramp = { height = 800, angle = 24 }
[obstacle.short_hump]
hump = { length = 900, height = 260 }
""", "wren": """
[stance.stops]
springs = true
wheels = [{ wheel = "rear", radius = 12, loaded = "11 1/2" }]
[stance.nose_down]
wheels = [{ wheel = "front", hub = 3 }, { wheel = "rear", hub = -3 }]
[obstacle.loading]
ramp = { height = 30, angle = 22 }
[obstacle.log]
profile = [[0, 0], [6, 8], [12, 8], [18, 0]]
"""}


ADDED = {word for more in MORE.values() for word in re.findall(r"(?m)^\[\w+\.(\w+)\]", more)}


class Tally:
    def __init__(self):
        self.worst, self.same, self.wrong = {}, Counter(), []

    def near(self, what, who, got, want, limit):
        off = abs(got - want) if got is not None and want is not None else (0.0 if got is want else np.inf)
        self.worst[what] = max(self.worst.get(what, 0.0), off)
        if off <= limit:
            self.same[what] += 1
        else:
            self.wrong.append(f"{what}: {who}: told {got}, here {want}")

    def equal(self, what, who, got, want):
        if got == want:
            self.same[what] += 1
        else:
            self.wrong.append(f"{what}: {who}: told {got}, here {want}")


def ramp(x, z, r):
    """Angle of the line tangent to a tyre of radius r that touches a place x ahead of its hub, z over the ground."""
    rho = np.hypot(x, z - r)
    return np.where(rho > r, np.arcsin(np.minimum(1, r / np.maximum(rho, 1e-9))) - np.arctan2(r - z, x), np.pi)


def ground(tally, who, stand, told):
    tally.near("ground, normal", who, np.abs(np.array(told["ground"]["normal"]) - stand.n).max(), 0, ANGLE)
    tally.near("ground, height", who, told["ground"]["height"], stand.n[2] * stand.abc[0], HEIGHT)
    tally.near("nose up", who, told["nose_up"], float(np.arcsin(np.array((1.0, 0, 0)) @ stand.n)), ANGLE)
    tally.near("mass", who, told["mass"]["mass"] / stand.mass, 1, 1e-9)
    tally.near("centre of mass", who, np.abs(np.array(told["mass"]["centre"]) - stand.centre).max(), 0, 2e-6)
    tally.near("inertia", who, np.abs(np.array(told["mass"]["inertia"]).reshape(3, 3) - stand.inertia).max() / stand.inertia.max(), 0, 2e-6)
    tally.near("centre of gravity", who, np.abs(np.array(told["centre"]) - stand.view(stand.centre)).max(), 0, 2e-6)


def feet(stand):
    """Places at which it stands, in the ground's axes."""
    if "stands" in stand.stance:
        t = stand.car.layout
        out = []
        for s in stand.stance["stands"]:
            p = t.named[s["under"]].crossing(0, t.mm(s["x"]), None) * 1e-3
            out.append(stand.view(np.array((p[0], p[1], stand.under(p)))))
        return np.array(out)
    return stand.view(np.array([stand.contact(h, r) for h, r in zip(stand.hubs, stand.loaded)]))


def tips(points, centre):
    """Over each edge of the contacts' hull: direction outward, and the angle."""
    hull = ConvexHull(points[:, :2])
    return sorted(float(np.arctan2(-(e[:2] @ centre[:2] + e[2]), centre[2])) for e in hull.equations)


def loads(tally, who, stand, told):
    contacts = feet(stand)
    for (w, *_), hub, r, got, load, c in zip(stand.spec, stand.hubs, stand.loaded, told["wheels"], stand.loads, contacts):
        name = f"{who}, {w.name}"
        tally.near("hub", name, np.abs(np.array(got["hub"]) - hub).max(), 0, HEIGHT)
        tally.near("loaded radius", name, got["loaded"], r, HEIGHT)
        tally.near("contact", name, np.abs(stand.view(np.array(got["contact"])) - c).max(), 0, HEIGHT)
        tally.near("wheel load", name, got["load"] / (stand.mass * G), load / (stand.mass * G), LOAD)
    t = told["loads"]
    front, rear = contacts[:2], contacts[2:]
    tally.near("weight", who, t["weight"] / (stand.mass * G), 1, 1e-9)
    tracks = [abs(a[0][1] - a[1][1]) for a in (front, rear)]
    for axle, pair, track, load in zip(t["axles"], (front, rear), tracks, (sum(stand.loads[:2]), sum(stand.loads[2:]))):
        tally.near("axle load", who, axle["load"] / (stand.mass * G), load / (stand.mass * G), LOAD)
        tally.near("axle share", who, axle["share"], load / (stand.mass * G), LOAD)
        tally.near("track", who, axle["track"], track, HEIGHT)
    tally.near("wheelbase", who, t["wheelbase"], front[:, 0].mean() - rear[:, 0].mean(), HEIGHT)
    h = stand.view(stand.centre)[2]
    tally.near("stability factor", who, t["stability_factor"], np.mean(tracks) / 2 / h, 1e-5)
    edges = sorted(e["angle"] for e in t["edges"])
    for got, want in zip(edges, tips(contacts, stand.view(stand.centre)), strict=True):
        tally.near("tipping", who, got, want, 1e-5)


def heights(tally, who, named, told):
    told = {(p["name"].split("/")[0], p["kind"]): p["height"] for p in told["lowest"]}
    tally.equal("what has a lowest place", who, sorted(set(told) ^ {(n, k) for n, k, *_ in named}), [])
    for name, kind, low, _ in named:
        if (name, kind) in told:
            tally.near(f"lowest of a {kind}", f"{who}, {name}", told[name, kind], low, 2e-6)


def axles(stand):
    """Hubs (forward, up) and radii of the two axles: the means of their tyres."""
    hubs = stand.view(np.array(stand.hubs))
    return [(hubs[k:k + 2, [0, 2]].mean(0), float(np.mean(stand.loaded[k:k + 2]))) for k in (0, 2)]


def angles(tally, who, stand, named, told):
    (front, rf), (rear, rr) = axles(stand)
    points = [(n, stand.view(p)) for n, k, _, p in named]
    for what, hub, r, side in (("approach", front, rf, 1), ("departure", rear, rr, -1)):
        best = (np.pi / 2, None)
        for name, p in points:
            x = (p[:, 0] - hub[0]) * side
            a = ramp(x[x > 0], p[x > 0, 2], r)
            if len(a) and a.min() < best[0]:
                best = (float(a.min()), name)
        judge(tally, what, who, told[what], best, CHORD / 0.4)
    best = (np.pi, None)
    for name, p in points:
        f, r = front[0] - p[:, 0], p[:, 0] - rear[0]
        on = (f > 0) & (r > 0)
        a, b = ramp(f[on], p[on, 2], rf), ramp(r[on], p[on, 2], rr)
        s = np.where((a < np.pi / 2) & (b < np.pi / 2), a + b, np.pi)
        if len(s) and s.min() < best[0]:
            best = (float(s.min()), name)
    judge(tally, "breakover", who, told["breakover"], best, 2 * CHORD / 0.8)


def judge(tally, what, who, told, best, limit):
    if best[1] is None:
        tally.equal(what, who, told, None)
    elif told is None:
        tally.wrong.append(f"{what}: {who}: told none, here {best}")
    else:
        tally.near(what, f"{who}: {told['name']} or {best[1]}", told["angle"], best[0], limit)


def crossings(tally, who, stand, named, told):
    both = axles(stand)
    cells = Cells(np.concatenate([stand.view(p)[:, [0, 2]] for *_, p in named]))
    for got in told["crossings"]:
        name = f"{who}, {got['obstacle']}"
        spec = stand.car.file["obstacle"][got["obstacle"]]
        if got["obstacle"] in ADDED and who.split(", ")[1] not in ADDED | {"laden"}:
            continue
        road = Road(stand.car, spec)
        if "kerb" in spec and road.points[-1][1] >= min(r for _, r in both):
            tally.equal("gets over", name, got["over"], False)
            continue
        drive = Drive(both, cells, road)
        least, at = drive.least()
        if got["least"] is None:
            tally.wrong.append(f"{name}: nothing told, here {least}")
            continue
        tally.equal("gets over", name, got["over"], bool(least > 0))
        fails = got["least"]["clearance"] < 0
        tally.near("clearance that fails" if fails else "clearance", f"{name} at {at:.4f}", got["least"]["clearance"], least, FAILS if fails else CROSSING)
        there = drive.clear(got["least"]["front_axle"])
        tally.near("clearance where told", name, got["least"]["clearance"], there, FAILS if fails else CROSSING)


def room(tally, car, told):
    tubes = [t for t in car.layout.tubes if not t.temporary]
    for w, got in zip(car.wheels, told, strict=True):
        def apart(p, steer):
            c, s = np.cos(steer), np.sin(steer)
            d = p - w.hub
            x, y, z = c * d[:, 0] + s * d[:, 1], -s * d[:, 0] + c * d[:, 1], d[:, 2]
            z = z - np.clip(z, -w.droop, w.bump)
            return np.hypot(np.maximum(0, np.hypot(x, z) - w.radius), np.maximum(0, np.abs(y) - w.width / 2))

        best = (np.inf, None)
        some = np.radians(np.arange(-np.degrees(w.steer), np.degrees(w.steer) + 0.1, 8.0)) if w.steer else np.zeros(1)
        rough = {t.name: min(apart(spots(t), a).min() for a in some) - t.reach() * 1e-3 for t in tubes}
        for t in sorted(tubes, key=lambda t: rough[t.name]):
            # Between two of the rough steers, 8 degrees apart, no place of a tyre moves farther than this.
            if rough[t.name] - np.radians(4) * np.hypot(w.radius, w.width / 2) * (w.steer > 0) > best[0]:
                break
            p, r = (outline_box(t), 0.0) if t.section["shape"] == "box" else (spots(t), t.section["od"] / 2e3)
            steers = np.radians(np.arange(-np.degrees(w.steer), np.degrees(w.steer) + 0.5, 1.0)) if w.steer else np.zeros(1)
            each = np.array([apart(p, a).min() for a in steers])
            if each.min() - r > best[0] + 0.02:
                continue
            k = each.argmin()
            d = each[k]
            if len(steers) > 1:
                lo, hi = steers[max(0, k - 1)], steers[min(len(steers) - 1, k + 1)]
                d = min(d, minimize_scalar(lambda a: apart(p, a).min(), bounds=(lo, hi), method="bounded", options={"xatol": 1e-7}).fun)
            if d - r < best[0]:
                best = (float(d - r), t.name)
        tally.equal("nearest tube of a wheel", w.name, got["tube"], best[1])
        tally.near("room of a wheel", w.name, got["distance"], best[0], ROOM)


def spots(t):
    """Places of the centreline, 2 mm apart."""
    out = [along(a, b, 2.0) * 1e-3 for a, b in t.legs]
    return np.concatenate(out + [arc_places(a, max(2, int(a[3] * a[4] / 2)))[0] for a in t.arcs])


def outline_box(t):
    """Points over the surface of a box: 4 mm apart along it, 1 degree round its corners, 2 mm over its flats."""
    u, v = t.frame(False)
    s = t.section
    a, b, r = s["height"] / 2 - s["corner"], s["width"] / 2 - s["corner"], s["corner"]
    q = np.radians(np.arange(0, 360, 5.0))
    rim = [np.stack((sa * a + r * np.cos(q), sb * b + r * np.sin(q)), -1) for sa in (1, -1) for sb in (1, -1)]
    for f in np.arange(-1, 1.01, 0.1):
        rim.append(np.array([(a + r, f * b), (-a - r, f * b), (f * a, b + r), (f * a, -b - r)]))
    rim = np.concatenate(rim)
    keep = [k for k, c in enumerate(rim) if max(abs(c[0]) - a, 0) ** 2 + max(abs(c[1]) - b, 0) ** 2 > (r - 1e-6) ** 2]
    flat = rim[keep][:, :1] * u + rim[keep][:, 1:] * v
    run = np.linspace(0, 1, int(t.length / 2) + 2)[:, None]
    line = t.corners[0] + run * (t.corners[-1] - t.corners[0])
    return (line[:, None] + flat[None]).reshape(-1, 3) * 1e-3


def measures(tally, car, stands, told):
    lay = car.layout
    spec = car.file["measure"]
    for got in told:
        m, who = spec[got["name"]], f"{got['name']} in {got['stance']}"
        a, b = m["from"], m["to"]
        if "ground" in a:
            stand, named = stands[got["stance"]]
            want = next(low for n, _, low, _ in named if n == b["tube"])
        elif m.get("along"):
            axis = "xyz".index(m["along"])
            want = (car.at(b["point"]) - car.at(a["point"]))[axis]
        elif m.get("angle"):
            t = lay.named[a["tube"]]
            want = float(np.arcsin(abs(unit(t.corners[-1] - t.corners[0])[2])))
        else:
            t = lay.named[a["tube"]]
            n = np.array(b["plane"]["normal"], float)
            ends = [(c * 1e-3 - car.at(b["plane"]["point"])) @ n for c in t.corners]
            run = unit(t.corners[-1] - t.corners[0])
            want = min(abs(e) for e in ends) - t.section["od"] / 2e3 * np.sqrt(1 - (run @ n) ** 2)
        tally.near("measure", who, got["value"], want, 2e-6)


def main():
    failed = 0
    for name in sys.argv[1:] or ("gorse", "wren"):
        own = ROOT / "examples" / f"{name}.toml"
        design = TARGET / "stance" / own.name
        shutil.rmtree(design.parent, ignore_errors=True)
        design.parent.mkdir()
        if (own.parent / name).is_dir():
            shutil.copytree(own.parent / name, design.parent / name)
        design.write_text(own.read_text() + MORE[name])
        told = json.loads(subprocess.run([PROGRAM, "stance", design, "--json"], capture_output=True, text=True, check=True).stdout)["stance"]
        car, tally, stands = Car(design), Tally(), {}
        tally.equal("stances", name, [s["name"] for s in told["stances"]], list(car.file["stance"]))
        for got in told["stances"]:
            who = f"{name}, {got['name']}"
            stand = Standing(car, car.file["stance"][got["name"]])
            named = things(car, stand)
            stands[got["name"]] = (stand, named)
            ground(tally, who, stand, got)
            heights(tally, who, named, got)
            if "stands" not in stand.stance:
                loads(tally, who, stand, got)
                angles(tally, who, stand, named, got)
                crossings(tally, who, stand, named, got)
            else:
                for s, off in zip(got["stands"], stand.off, strict=True):
                    tally.near("off a stand", who, abs(s["gap"]), abs(off), HEIGHT)
        room(tally, car, told["rooms"])
        measures(tally, car, stands, told["measures"])
        for w in tally.wrong:
            print("differs:", w)
        print(f"{name}: " + ", ".join(f"{n} x {what}" for what, n in sorted(tally.same.items())))
        print("   worst: " + ", ".join(f"{what} {off:.1e}" for what, off in sorted(tally.worst.items()) if off))
        failed += len(tally.wrong)
    print("0 failed" if not failed else f"{failed} differ")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
