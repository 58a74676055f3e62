"""Outlines of everything on board as points: what tubes, plates, masses and skins look like from the side, and how low they are."""

import numpy as np

from layout import MIRROR, UNITS, unit

STEP = 1e-3  # m: apart on lines
ROUND = np.linspace(0, 2 * np.pi, 721)[:-1]


def drop(t, p, n):
    """How far the outside lies under the centreline at a place of a tube, along -n, mm."""
    _, run = t.nearest(p)
    share = np.sqrt(1 - (run @ n) ** 2)  # of the vertical in the section's own plane
    if t.section["shape"] == "round":
        return t.section["od"] / 2 / share
    return support(t, (n - run * (run @ n)) / share, *t.frame(False)) / share


def support(t, d, u, v):
    """How far a section reaches along d from its centre."""
    s = t.section
    a, b = d @ u, d @ v
    return (s["height"] / 2 - s["corner"]) * abs(a) + (s["width"] / 2 - s["corner"]) * abs(b) + s["corner"] * np.hypot(a, b)


def across(run):
    u = unit(np.cross(run, (1.0, 0, 0) if abs(run[0]) < 0.9 else (0, 1.0, 0)))
    return u, np.cross(run, u)


def along(a, b, step):
    n = max(2, int(np.ceil(np.linalg.norm(b - a) / step)) + 1)
    return a + np.linspace(0, 1, n)[:, None] * (b - a)


def arc_places(arc, n):
    centre, axis, out, radius, turn = arc
    y, t = np.cross(axis, out), np.linspace(0, turn, n)[:, None]
    return (centre + (out * np.cos(t) + y * np.sin(t)) * radius) * 1e-3, y * np.cos(t) - out * np.sin(t)


def lowest(t, n):
    """Least height along n of a tube over the origin, m."""
    best = np.inf
    if t.section["shape"] == "box":
        u, v = t.frame(False)
        return min(p @ n for p in t.corners) * 1e-3 - support(t, -n, u, v) * 1e-3
    r = t.section["od"] / 2 * 1e-3
    for a, b in t.legs:
        best = min(best, min(a @ n, b @ n) * 1e-3 - r * np.sqrt(max(0.0, 1 - (unit(b - a) @ n) ** 2)))
    for arc in t.arcs:
        p, run = arc_places(arc, 4001)
        best = min(best, (p @ n - r * np.sqrt(np.maximum(0, 1 - (run @ n) ** 2))).min())
    return best


def outline(t, left, step):
    """Points of a tube's outline seen along `left`: both sides of its legs and bends, and its round ends."""
    if t.section["shape"] == "box":
        u, v = t.frame(False)
        a, b, r = t.section["height"] / 2 - t.section["corner"], t.section["width"] / 2 - t.section["corner"], t.section["corner"]
        rim = [a * sa * u + b * sb * v + r * (np.cos(ROUND)[:, None] * u + np.sin(ROUND)[:, None] * v) for sa in (1, -1) for sb in (1, -1)]
        ends = np.concatenate(rim)
        run = unit(t.corners[-1] - t.corners[0])
        m = np.cross(run, left)
        # Seen end on it is its ends alone.
        if np.linalg.norm(m) < 1e-12:
            return np.concatenate([c + ends for c in (t.corners[0], t.corners[-1])]) * 1e-3
        m = unit(m)
        far = [s * m * r + np.sign(s * m @ u) * a * u + np.sign(s * m @ v) * b * v for s in (1, -1)]
        out = [c + ends for c in (t.corners[0], t.corners[-1])] + [along(t.corners[0] + f, t.corners[-1] + f, step * 1e3) for f in far]
        return np.concatenate(out) * 1e-3
    r, out = t.section["od"] / 2, []
    for k, (a, b) in enumerate(t.legs):
        run = unit(b - a)
        u, v = across(run)
        m = np.cross(run, left)
        m = unit(m) if np.linalg.norm(m) > 1e-9 else u
        out += [along(a + s * m * r, b + s * m * r, step * 1e3) for s in (1, -1)]
        rim = (np.cos(ROUND)[:, None] * u + np.sin(ROUND)[:, None] * v) * r
        if k == 0:
            out.append(a + rim)
        if k == len(t.legs) - 1:
            out.append(b + rim)
        if np.linalg.norm(np.cross(run, left)) < 1e-3:
            out += [a + rim, b + rim]
    out = [o * 1e-3 for o in out]
    for arc in t.arcs:
        p, run = arc_places(arc, max(8, int(arc[3] * arc[4] * 1e-3 / step) + 2))
        m = np.cross(run, left)
        size = np.linalg.norm(m, axis=1)
        steep = size < 0.05
        m = m / np.maximum(size, 1e-12)[:, None]
        out += [p[~steep] + m[~steep] * r * 1e-3, p[~steep] - m[~steep] * r * 1e-3]
        for q, d in zip(p[steep], run[steep]):
            u, v = across(d)
            out.append(q + (np.cos(ROUND)[:, None] * u + np.sin(ROUND)[:, None] * v) * r * 1e-3)
    return np.concatenate(out)


def prism(car, spec, twin):
    """Corners of a plate's two faces, m."""
    o, layout = spec["outline"], car.layout
    x, n = unit(np.array(o["x"], float)), unit(np.cross(o["x"], o["y"]))
    y = np.cross(n, x)
    flat = np.array([[layout.mm(v) for v in c] for c in o["corners"]])
    area = sum(flat[k - 1][0] * flat[k][1] - flat[k - 1][1] * flat[k][0] for k in range(len(flat)))
    h = layout.mm(spec["thickness"])
    n = n if area > 0 else -n
    faces = {"above": (0.0, h), "below": (-h, 0.0), "centred": (-h / 2, h / 2)}[spec.get("side", "centred")]
    base = layout.place(o["origin"], False)[0] + flat[:, :1] * x + flat[:, 1:] * y
    return [(base + n * f) * 1e-3 * (MIRROR if twin else 1) for f in faces]


def skins(car):
    for name, s in car.file.get("skin", {}).items():
        verts, faces, part = [], {}, None
        for line in (car.design.parent / s["file"]).read_text().splitlines():
            w = line.split()
            if w and w[0] == "v":
                verts.append([float(v) for v in w[1:4]])
            elif w and w[0] in "og":
                part = w[1]
            elif w and w[0] == "f":
                faces.setdefault(part, []).append([int(v.split("/")[0]) - 1 for v in w[1:4]])
        if set(s) - {"file", "unit", "parts", "gap", "mirror", "hard"}:
            raise ValueError(f"skin {name} is not known here")
        v = np.array(verts) * UNITS[s["unit"]] * 1e-3
        tri = np.array([f for p, fs in faces.items() if p in s.get("parts", faces) for f in fs])
        for twin in car.twins(s):
            yield name + "~" * twin, (v * (MIRROR if twin else 1)), tri


def things(car, stand):
    """Everything under which the ground may be, with points of its outline: name and kind."""
    out = []
    for t in car.layout.tubes:
        if not t.temporary:
            out.append((t.name, "tube", lowest(t, stand.n), outline(t, stand.left, STEP)))
    for name, spec in car.file.get("plate", {}).items():
        for twin in car.twins(spec):
            a, b = prism(car, spec, twin)
            k = len(a)
            lines = [along(p[i], p[(i + 1) % k], STEP) for p in (a, b) for i in range(k)] + [along(a[i], b[i], STEP) for i in range(k)]
            out.append((name + "~" * twin, "plate", np.concatenate((a, b)), np.concatenate(lines)))
    for name, centre, size, _ in car.masses(stand.stance):
        if not size.any():
            continue  # a point reaches nowhere
        c = centre + np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]) * size / 2
        lines = [along(c[i], c[i | bit], STEP) for bit in (1, 2, 4) for i in range(8) if not i & bit]
        out.append((name, "mass", c, np.concatenate(lines)))
    for name, v, tri in skins(car):
        edges = {tuple(sorted((t[k], t[k - 1]))) for t in tri for k in range(3)}
        out.append((name, "skin", v[np.unique(tri)], np.concatenate([along(v[i], v[j], STEP) for i, j in edges])))
    base = np.array((0, 0, stand.abc[0])) @ stand.n
    return [(n, k, (low if np.ndim(low) == 0 else (low @ stand.n).min()) - base, p) for n, k, low, p in out]


def ramp(x, z, r):
    """Angle of the line tangent to a tyre of radius r that touches a place x ahead of its hub, z over the ground."""
    rho = np.hypot(x, z - r)
    with np.errstate(invalid="ignore"):
        return np.where(rho > r, np.arcsin(np.minimum(1, r / rho)) - np.arctan2(r - z, x), np.pi)
