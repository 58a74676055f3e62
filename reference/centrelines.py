"""Centrelines built anew with numpy: those of `centrelines.dxf` from corners and radii, bent ones from their two tables."""

import csv

import ezdxf
import numpy as np

# In the design's units. Coordinates are written to the last bit; a reader turns an arc's plane and back.
EXACT = 1e-9
# A table's last digit, in the design's units.
DIGIT = 1e-4


def pieces_of(corners, radii):
    """A tube as straights (start, end) and arcs (start, middle, end, radius, centre), those of no length left out."""
    corners = [np.array(c) for c in corners]
    out, at = [], corners[0]
    for before, corner, after, radius in zip(corners, corners[1:], corners[2:], radii):
        one, two = corner - before, after - corner
        one, two = one / np.linalg.norm(one), two / np.linalg.norm(two)
        angle = np.arctan2(np.linalg.norm(np.cross(one, two)), one @ two)
        if angle < 1e-7:
            continue
        start, end = corner - one * radius * np.tan(angle / 2), corner + two * radius * np.tan(angle / 2)
        inward = (two - one) / np.linalg.norm(two - one)
        centre = corner + inward * radius / np.cos(angle / 2)
        out += [("LINE", at, start), ("ARC", start, centre - inward * radius, end, radius, centre)]
        at = end
    out.append(("LINE", at, corners[-1]))
    return [p for p in out if p[0] == "ARC" or np.linalg.norm(p[2] - p[1]) > 1e-7]


def lines(folder, packet, audited, check):
    """`centrelines.dxf`, entity by entity. Gives how many there are and how far the worst is off."""
    path = folder / "centrelines.dxf"
    doc = ezdxf.readfile(path)
    audited(doc, path)
    inches = packet["design"]["units"] == "in"
    metres = 0.0254 if inches else 0.001
    check(doc.units == (ezdxf.units.IN if inches else ezdxf.units.MM), "units of centrelines.dxf")
    check(doc.dxfversion == "AC1015", "release of centrelines.dxf")
    check("TUBEWRIGHT" in doc.appids, "centrelines.dxf does not tell whose its extended data is")
    found = iter(doc.modelspace())
    worst, count = 0.0, 0
    for tube in packet["tubes"]:
        for wanted in pieces_of(tube["corners"], tube["bend_radii"]):
            e = next(found, None)
            if e is None or e.dxftype() != wanted[0]:
                check(False, f"centrelines.dxf: {tube['name']} is not {wanted[0]} here")
                return count, worst
            count += 1
            if wanted[0] == "LINE":
                there = [e.dxf.start, e.dxf.end]
                here = wanted[1:3]
            else:
                turn = (e.dxf.end_angle - e.dxf.start_angle) % 360
                there = list(e.vertices([e.dxf.start_angle, e.dxf.start_angle + turn / 2, e.dxf.end_angle]))
                there.append(e.ocs().to_wcs(e.dxf.center))
                here = [*wanted[1:4], wanted[5]]
                off = abs(e.dxf.radius - wanted[4] / metres)
                worst = max(worst, off)
                check(off < EXACT, f"centrelines.dxf: radius of {tube['name']} is off by {off:.2e}")
            off = max(np.linalg.norm(np.array(a) - b / metres) for a, b in zip(there, here))
            worst = max(worst, off)
            check(off < EXACT, f"centrelines.dxf: {tube['name']} is off by {off:.2e}")
            told = [v for _, v in e.get_xdata("TUBEWRIGHT")]
            state = [] if tube["state"] == "permanent" else [f"state={tube['state']}"]
            check(told == [f"tube={tube['name']}", *state], f"centrelines.dxf: {tube['name']} is called {told}")
            check(e.dxf.layer == tube["section"], f"centrelines.dxf: layer of {tube['name']}")
    check(next(found, None) is None, "centrelines.dxf has more than the tubes")
    return count, worst


def turned(v, axis, angle):
    return v * np.cos(angle) + np.cross(axis, v) * np.sin(angle) + axis * (axis @ v) * (1 - np.cos(angle))


def walked(rows, unit):
    """Ends and corners, and the radii between, of a piece bent by its rows of `bends-lra.csv` alone."""
    at, along, normal = np.zeros(3), np.array([1.0, 0, 0]), np.array([0, 0, 1.0])
    corners, radii = [at], []
    for r in rows:
        at = at + along * float(r[f"straight before ({unit})"])
        if r["angle (deg)"] == "":
            break
        normal = turned(normal, along, np.radians(float(r["rotation (deg)"])))
        angle, radius = np.radians(float(r["angle (deg)"])), float(r[f"centreline radius ({unit})"])
        corners.append(at + along * radius * np.tan(angle / 2))
        radii.append(radius)
        side = np.cross(normal, along)
        at = at + radius * (along * np.sin(angle) + side * (1 - np.cos(angle)))
        along = turned(along, normal, angle)
    return np.array([*corners, at]), radii


def laid(moved, fixed):
    """Points moved and turned, never mirrored, to lie best on others (Kabsch)."""
    a, b = moved - moved.mean(axis=0), fixed - fixed.mean(axis=0)
    u, _, v = np.linalg.svd(a.T @ b)
    keep = np.diag([1, 1, np.sign(np.linalg.det(u @ v))])
    return a @ (u @ keep @ v) + fixed.mean(axis=0)


def bent(folder, packet, check):
    """Both tables of every bent piece beside one another. Gives how many there are and how far the worst is off."""
    unit = packet["design"]["units"]
    with open(folder / "bends-lra.csv", newline="") as f:
        lra = list(csv.DictReader(f))
    with open(folder / "bends-xyz.csv", newline="") as f:
        xyz = list(csv.DictReader(f))
    metres = 0.0254 if unit == "in" else 0.001
    tubes = {t["name"]: np.array(t["corners"]) / metres for t in packet["tubes"]}
    names = [p["name"] for p in packet["pieces"] if p["bends"]]
    order = lambda rows: list(dict.fromkeys(r["piece"] for r in rows))
    check(order(lra) == names and order(xyz) == names, "pieces of the tables of bends")
    worst = 0.0
    for name in names:
        corners, radii = walked([r for r in lra if r["piece"] == name], unit)
        rows = [r for r in xyz if r["piece"] == name]
        given = np.array([[float(r[f"{c} ({unit})"]) for c in "xyz"] for r in rows])
        check(len(corners) == len(given), f"corners of {name} in bends-xyz.csv")
        if len(corners) != len(given):
            continue
        frame = tubes[name]
        check(frame.shape == given.shape
              and min(np.abs(given - f).max() for f in (frame, frame[::-1])) < DIGIT, f"places of {name} in bends-xyz.csv")
        told = [r[f"centreline radius ({unit})"] for r in rows]
        same = told[0] == told[-1] == "" and all(abs(float(t) - r) < DIGIT for t, r in zip(told[1:-1], radii))
        check(same, f"radii of {name} in bends-xyz.csv: {told}")
        off = np.linalg.norm(laid(corners, given) - given, axis=1).max()
        # Each straight, radius and coordinate is half a digit off at most; a radius counts twice by its tangent.
        limit = DIGIT * (1 + 2 * len(corners))
        worst = max(worst, off)
        check(off < limit, f"{name} bent by one table is off by {off:.2e} {unit} from the other")
    return len(names), worst
