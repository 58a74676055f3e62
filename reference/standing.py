"""A design file's masses, wheels and stances, worked out anew: the ground under the car and the loads on its wheels."""

import re

import numpy as np
from scipy.optimize import fsolve

import mass as weigh
from layout import MIRROR, UNITS, Layout, amount, unit
from outlines import drop

G = 9.80665


class Wheel:
    def __init__(self, name, spec, layout, twin):
        mm = lambda v: layout.mm(v) * 1e-3
        flip = MIRROR if twin else np.ones(3)
        self.name, self.base = name + "~" * twin, name
        self.hub = np.array([mm(v) for v in spec["at"]]) * flip
        self.radius, self.width, self.kg = mm(spec["radius"]), mm(spec["width"]), amount(spec["kg"], 1.0)
        self.loaded = mm(spec.get("loaded", spec["radius"]))
        self.bump, self.droop, self.steer = mm(spec.get("bump", 0)), mm(spec.get("droop", 0)), np.radians(spec.get("steer", 0))
        self.spring = (rate(spec["spring"]["rate"]), mm(spec["spring"]["free"])) if "spring" in spec else None
        self.tyre = rate(spec["tyre_rate"]) if "tyre_rate" in spec else None


def rate(v):
    """N/m."""
    if isinstance(v, str):
        number, word = v.split()
        return float(number) * {"lb/in": UNITS["lb"] * G / 0.0254, "N/mm": 1e3}[word]
    return float(v) * 1e3


class Car:
    """What a design file holds, in m."""

    def __init__(self, design):
        self.design, self.layout = design, Layout(design)
        f, self.file = self.layout.file, self.layout.file
        self.mm = lambda v: self.layout.mm(v) * 1e-3
        self.wheels = [Wheel(n, s, self.layout, t) for n, s in f["wheel"].items() for t in self.twins(s)]
        frame, cells = weigh.Sum(), {n: weigh.section(s) for n, s in self.layout.sections.items()}
        for t in self.layout.tubes:
            if not t.temporary:
                weigh.tube(frame, t, cells[t.spec["section"]])
        for spec in f.get("plate", {}).values():
            for twin in self.twins(spec):
                weigh.plate(frame, self.layout, spec, twin)
        self.frame = frame
        self.people = {n: self.person(n) for n in f.get("occupant", {})}

    def twins(self, spec):
        return (False, True) if spec.get("mirror") else (False,)

    def at(self, v):
        return self.layout.place(v, False)[0] * 1e-3 if isinstance(v, str) else np.array([self.mm(c) for c in v])

    def person(self, name):
        """Mass, first and second moments of one person: what the program's sum has more with than without."""
        text = re.sub(r"(?ms)^\[(stance|measure|obstacle|mount|load|strength)[.\]].*?(?=^\[(?!\[)|\Z)", "", self.design.read_text())
        sums = []
        for out in (None, name):
            t = text if out is None else re.sub(rf"(?ms)^\[occupant\.{out}\].*?(?=^\[|\Z)", "", text)
            copy = self.design.parent / f"{self.design.stem}_person.toml"
            copy.write_text(t)
            told = weigh.shape(copy)["laden"]
            c, m = np.array(told["centre"]), told["mass"]
            sums.append((m, m * c, np.array(told["inertia"]).reshape(3, 3) + m * (np.eye(3) * (c @ c) - np.outer(c, c))))
        s = weigh.Sum()
        s.mass, s.first, s.second = (a - b for a, b in zip(*sums))
        return s

    def masses(self, stance):
        """Everything that is not a wheel: name, box's middle, size, and its sum."""
        part = {p["mass"]: p["part"] for p in stance.get("part", [])}
        for name, m in self.file.get("mass", {}).items():
            for twin in self.twins(m):
                full = name + "~" * twin
                if full in stance.get("without", []):
                    continue
                s = weigh.Sum()
                centre, size = self.at(m["at"]) * (MIRROR if twin else 1), np.array([self.mm(v) for v in m.get("size", (0, 0, 0))])
                kg = amount(m["kg"], 1.0) * part.get(full, 1.0)
                s.points(centre, kg)
                q = size**2 / 12
                s.own(np.diag(q.sum() - q) * kg)
                yield full, centre, size, s

    def weight(self, stance, hubs):
        total = weigh.Sum()
        total.add(self.frame)
        for *_, s in self.masses(stance):
            total.add(s)
        for name, s in self.people.items():
            if name not in stance.get("without", []):
                total.add(s)
        for w, hub in zip(self.wheels, hubs):
            total.points(hub, w.kg)
            r, b = w.radius, w.width
            total.own(np.diag((r * r / 4 + b * b / 12, r * r / 2, r * r / 4 + b * b / 12)) * w.kg)
        return total.done()


def plane(a, b, c):
    """Normal, and what is forward (in the frame's x, z plane) and left along the ground z = a + bx + cy."""
    n = unit(np.array((-b, -c, 1.0)))
    forward = unit(np.array((1.0, 0, b)))
    return n, forward, np.cross(n, forward)


class Standing:
    def __init__(self, car, stance):
        self.car, self.stance = car, stance
        said = {w["wheel"]: w for w in stance.get("wheels", [])}
        self.spec = []
        for w in car.wheels:
            s = said.get(w.base, {})
            radius = car.mm(s["radius"]) if "radius" in s else w.radius
            loaded = car.mm(s["loaded"]) if "loaded" in s else (radius if "radius" in s else w.loaded)
            sprung = w.spring if stance.get("springs") and "hub" not in s else None
            self.spec.append((w, radius, loaded, sprung, car.mm(s.get("hub", 0))))
        self.stops = {}
        if "stands" in stance:
            self.on_stands()
        else:
            self.on_wheels()
        self.n, self.forward, self.left = plane(*self.abc)
        fitted = [] if stance.get("wheels_off") else self.hubs
        self.mass, self.centre, self.inertia = car.weight(stance, fitted)
        self.loaded = [(h - [h[0], h[1], self.under(h)])[2] / np.hypot(1, self.abc[1]) for h in self.hubs]

    def under(self, p):
        return self.abc[0] + self.abc[1] * p[0] + self.abc[2] * p[1]

    def over(self, p):
        return (np.asarray(p) - [0, 0, self.abc[0]]) @ self.n

    def view(self, p):
        """Forward, left and up, in the ground's own axes."""
        return np.stack((np.asarray(p) @ self.forward, np.asarray(p) @ self.left, self.over(p)), -1)

    def contact(self, hub, r):
        return self.contact_with(self.n, hub, r)

    @staticmethod
    def contact_with(n, hub, r):
        """The lowest place of a disc in the frame's x, z plane."""
        return hub + r * unit(np.array((-n[0], 0, -n[2])))

    def on_stands(self):
        places, high = [], []
        for s in self.stance["stands"]:
            t = self.car.layout.named[s["under"]]
            p = t.crossing(0, self.car.layout.mm(s["x"]), s.get("pick")) * 1e-3
            places.append((t, p))
            high.append(self.car.mm(s["height"]))
        p, high = np.array([p for _, p in places]), np.array(high)
        a, self.abc = np.column_stack((np.ones(len(p)), p[:, :2])), np.zeros(3)
        for _ in range(50):  # heights are square to the ground
            n = plane(*self.abc)[0]
            over = high + [drop(t, p * 1e3, n) * 1e-3 for t, p in places]
            self.abc, *_ = np.linalg.lstsq(a, p[:, 2] - over / n[2], rcond=None)
        self.hubs = [w.hub for w in self.car.wheels]
        self.off = (p[:, 2] - a @ self.abc) * n[2] - over

    def rigid(self):
        n, forward, left = plane(*self.abc)
        m, g, _ = self.car.weight(self.stance, self.hubs)
        c = np.array([self.contact_with(n, h, r) for h, (_, _, r, *_) in zip(self.hubs, self.spec)])
        x, y = c @ forward, c @ left
        front = (g @ forward - x[2]) / (x[0] - x[2])
        axles = np.repeat(m * G * np.array((front, 1 - front)), 2) / 2
        roll = m * G * (g @ left)
        return axles + np.array([roll / (y[0] - y[1]), -roll / (y[0] - y[1]), roll / (y[2] - y[3]), -roll / (y[2] - y[3])]) / 2

    def on_wheels(self):
        """Forces on every wheel and moments on the whole. A hub that would pass its stop is held there, a load that would pull is none."""
        held, lifted = {}, set()
        for _ in range(20):
            def split(u):
                hubs = [w.hub + [0, 0, held.get(w.name, z)] for (w, *_), z in zip(self.spec, u[3:])]
                return u[:3], hubs

            def tyre(w, radius, loaded, p, hub, abc):
                gap = (hub[2] - p) / np.hypot(1, abc[1])
                return w.tyre * (radius - gap) if w.tyre else None, gap - loaded

            def off(u):
                abc, hubs = split(u)
                n, forward, left = plane(*abc)
                m, g, _ = self.car.weight(self.stance, hubs)
                rows, loads, lacks = [], [], []
                down = unit(np.array((-n[0], 0, -n[2])))
                for (w, radius, loaded, sprung, fixed), hub, z in zip(self.spec, hubs, u[3:]):
                    p = abc[0] + abc[1] * hub[0] + abc[2] * hub[1]
                    squeezed, lack = tyre(w, radius, loaded, p, hub, abc)
                    if w.name in lifted:
                        load = 0.0
                        rows.append(z - (fixed if not sprung else -min(sprung[1], w.droop) if w.bump or w.droop else -sprung[1]))
                    elif sprung and w.name not in held:
                        load = sprung[0] * (z + sprung[1]) + w.kg * G
                        rows.append((load - squeezed) / 1e4 if w.tyre else lack)
                    elif w.name in held or not sprung:
                        rows.append(z - held.get(w.name, fixed))
                        if w.tyre is None:
                            lacks.append(lack)
                        load = squeezed
                    loads.append((load, hub + (radius - load / w.tyre if w.tyre else loaded) * down))
                if lacks:  # four rigid wheels: statics of two axles, half the rolling moment on each
                    return np.array(rows + [lacks[0] - lacks[1], lacks[0], lacks[2] + lacks[3]])
                self.loads = [l for l, _ in loads]
                W = m * G
                rows += [sum(self.loads) / W - 1, sum(l * (c @ forward) for l, c in loads) / W - g @ forward,
                         sum(l * (c @ left) for l, c in loads) / W - g @ left]
                return np.array(rows)

            start = np.concatenate(([np.mean([w.hub[2] - loaded for w, _, loaded, *_ in self.spec]), 0, 0],
                                    [held.get(w.name, fixed) for w, _, _, _, fixed in self.spec]))
            u, info, ok, why = fsolve(off, start, xtol=1e-14, full_output=True)
            assert np.abs(info["fvec"]).max() < 1e-9, why
            off(u)
            self.abc, self.hubs = split(u)
            if all(not sprung and w.tyre is None for w, _, _, sprung, _ in self.spec):
                self.loads = self.rigid()
            new = False
            for (w, radius, loaded, sprung, fixed), z, load in zip(self.spec, u[3:], self.loads):
                if sprung and w.name not in held and (w.bump or w.droop):
                    if z > w.bump + 1e-12 or z < -w.droop - 1e-12:
                        held[w.name], new = (w.bump if z > 0 else -w.droop), True
            if not new:
                break
        self.stops = held
