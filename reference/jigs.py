"""Readings, heights, bevel angles, stands and diagonals of both demo designs, worked out anew from the design file alone.

`layout.py` places tubes and points. Here each tube's section is turned with numpy by the tilt that the program was given
(`crates/jigs/examples/sheets.rs` prints it), and what a finder shows is found from the turned frame's coordinates. Of panels,
centres and marks are measured again, and each told panel is held against shortest ways by networkx in a graph made from the file: no way
may be shorter than the way round. Which panels there are is not worked out anew; counts of closed forms are in `crates/jigs/tests`.

Prints the worst differences; exits with 1 if any is over.
"""

import json
import sys
from collections import Counter, defaultdict

import networkx
import numpy as np

from layout import VERTICAL, Layout, unit
from program import ROOT, example

LENGTH, ANGLE = 1e-8, 1e-9
AS_HIGH = 0.1  # mm
FACES = ("scribe", "right", "opposite", "left")


class Tally:
    def __init__(self):
        self.worst, self.same, self.wrong = {}, Counter(), []

    def near(self, what, who, got, want, limit):
        off = abs(got - want)
        self.worst[what] = max(self.worst.get(what, 0.0), off)
        self.same[what] += 1
        if not off <= limit:
            self.wrong.append(f"{what}: {who}: told {got}, here {want}")

    def turn(self, what, who, got, want):
        self.near(what, who, (got - want + np.pi) % (2 * np.pi) - np.pi, 0.0, ANGLE)

    def equal(self, what, who, got, want):
        self.same[what] += 1
        if got != want:
            self.wrong.append(f"{what}: {who}: told {got}, here {want}")


def legs(t):
    """Start, direction and the scribe line's direction of each straight leg, carried round the bends."""
    u, _ = t.frame(False)
    out = []
    for k, (a, b) in enumerate(t.legs):
        if k:
            axis, turn = t.arcs[k - 1][1], t.arcs[k - 1][4]
            u = u * np.cos(turn) + np.cross(axis, u) * np.sin(turn) + axis * (axis @ u) * (1 - np.cos(turn))
        out.append((a, unit(b - a), u))
    return out


def section_depth(t, d, run, u):
    """Support of the section in a direction d square to the run."""
    s = t.section
    if s["shape"] == "round":
        return s["od"] / 2 * np.linalg.norm(d)
    v = np.cross(run, u)
    r = s["corner"]
    return (s["height"] / 2 - r) * abs(d @ u) + (s["width"] / 2 - r) * abs(d @ v) + r * np.linalg.norm(d)


def half(t, run, u, up):
    d = up - run * (run @ up)
    q = np.linalg.norm(d)
    return None if q < 0.1 else section_depth(t, d / q, run, u) / q


def reading(tally, who, t, run, u, turn, got):
    """Turned into the world's axes, then read off their third coordinates."""
    run, u = turn @ run, turn @ u
    tally.near("along", who, np.sin(got["along"]["rise"]), run[2], ANGLE)
    v = np.cross(run, u)
    a = got["across"]
    if abs(run[2]) > VERTICAL:
        tally.equal("upright", who, a["on"], "upright")
        return
    tilt = np.hypot(u[2], v[2])
    angle = np.arctan2(-v[2], u[2])  # clockwise turn of the scribe line from the top
    if t.section["shape"] == "round":
        tally.turn("scribe line", who, a["scribe"], angle)
        return
    quarter = FACES.index(a["face"])
    tally.turn("roll", who, a["roll"], angle + quarter * np.pi / 2)
    if abs(a["roll"]) > np.pi / 4 + 1e-6:
        tally.wrong.append(f"{who}: another face is higher")
    tally.near("slope across", who, np.sin(a["slope"]), np.sin(a["roll"]) * tilt, ANGLE)


def ends(tally, lay, datum, turn, floor, t, got):
    for end, e in enumerate(got["ends"]):
        p = t.at(end) * 1e-3
        who = f"{t.name}, {'end' if end else 'start'}"
        run = t.out(True) if end else -t.out(False)
        u, _ = t.frame(bool(end))
        h = half(t, run, u, np.array((0, 0, 1.0)))
        for key, lift in (("axis", 0.0), ("top", h), ("underside", None if h is None else -h)):
            if lift is None:
                tally.equal("too steep", who, e[key], None)
                continue
            # Beyond the square end of the tube there is no surface to touch, unless the end itself is as high.
            along = lift * run[2]
            past = max(along, -t.length - along) if end else max(-along, along - t.length)
            if key != "axis" and past * abs(run[2]) > AS_HIGH:
                tally.equal("beyond the cut", who, e[key], None)
                continue
            q = p + np.array((0, 0, lift * 1e-3))
            for name, want in (("x", q[0]), ("y", q[1]), ("height", q[2] - datum), ("over_floor", (turn @ q)[2] - floor)):
                tally.near(f"{key}, {name}", who, e[key][name], want, LENGTH)


def place(lay, name):
    return lay.place(name.rstrip("~"), name.endswith("~"))[0]


def bevels(tally, lay, told):
    for b in told:
        p, who = place(lay, b["joint"]), f"{b['tube']} and {b['other']} at {b['joint']}"
        (at, d), (to, e) = (lay.named[b[k]].nearest(p) for k in ("tube", "other"))
        cos = float(unit(d) @ unit(e))
        want = np.arctan2(np.linalg.norm(np.cross(d, e)), abs(cos))
        tally.near("bevel", who, b["acute"], want, ANGLE)
        tally.near("supplement", who, b["supplement"], np.pi - want, ANGLE)
        if b["toward"]:
            away = -1 if b["end"] == "end" else 1
            tally.equal("side", who, b["toward"], "end" if away * cos > 0 else "start")
        else:
            tally.near("square", who, cos, 0.0, 2e-6)
        if np.linalg.norm(np.cross(d, e)) > 1e-6:
            n = unit(np.cross(d, e))
            tally.near("apart", who, b["apart"], abs((to - at) @ n) * 1e-3, LENGTH)


def graph(lay, told):
    """Joints on tubes in order along them; which tubes meet at a joint is the program's word."""
    on = defaultdict(set)
    for b in told:
        for k in ("tube", "other"):
            on[b[k]].add(b["joint"])
    g = networkx.Graph()
    for name, joints in on.items():
        t = lay.named[name]
        if t.temporary or t.provisional:
            continue
        dense = [t.point(s) for s in np.linspace(0, t.length, 2001)]
        where = lambda j: int(np.argmin(np.linalg.norm(dense - t.nearest(place(lay, j))[0], axis=1)))
        groups = defaultdict(list)
        for j in joints:
            groups[where(j)].append(j)
        rows = [groups[k] for k in sorted(groups)]
        for row, after in zip(rows, rows[1:] + [[]]):
            for k, a in enumerate(row):
                for b in row[k + 1:] + after:
                    g.add_edge(a, b, weight=float(np.linalg.norm(place(lay, a) - place(lay, b))))
    return g


def panels(tally, lay, told, bevels_told):
    g = graph(lay, bevels_told)
    far = dict(networkx.all_pairs_dijkstra_path_length(g))
    at_joint = defaultdict(set)
    for b in bevels_told:
        at_joint[b["joint"]] |= {b["tube"], b["other"]}
    for p in told:
        who = ", ".join(p["corners"])
        c = [place(lay, n) for n in p["corners"]]
        m, n = len(c), np.array(p["normal"])
        # Between corners no way is shorter than round the panel: sides that run straight on count as their parts.
        side = [far[p["corners"][k]][p["corners"][(k + 1) % m]] for k in range(m)]
        for i in range(m):
            for j in range(i + 1, m):
                way = sum(side[i:j])
                tally.near("way round", who, min(0.0, far[p["corners"][i]][p["corners"][j]] - min(way, sum(side) - way)), 0.0, 1e-3)
        middle = sum(c) / m
        mean = unit(sum(np.cross(c[k] - middle, c[(k + 1) % m] - middle) for k in range(m)))
        tally.near("normal", who, np.linalg.norm(np.cross(n, mean)), 0.0, ANGLE)
        tally.near("out of plane", who, p["out_of_plane"], max(abs((q - middle) @ n) for q in c) * 1e-3, LENGTH)
        tally.equal("diagonals", who, len(p["diagonals"]), m * (m - 3) // 2)
        for d in p["diagonals"]:
            a, b = (place(lay, j) for j in d["joints"])
            tally.near("centres", who, d["centres"], np.linalg.norm(a - b) * 1e-3, LENGTH)
            over = []
            for j, q in zip(d["joints"], (a, b)):
                reach = 0.0
                for name in at_joint[j]:
                    t = lay.named[name]
                    if t.temporary or t.provisional:
                        continue
                    x, run = t.nearest(q)
                    s = n - run * (n @ run)
                    u = t.frame(False)[0] if t.section["shape"] == "box" else None
                    reach = max(reach, (x - q) @ n + section_depth(t, s, run, u))
                over.append(reach)
            tally.near("over the centre", who, max(abs(d["over"][k] - over[k] * 1e-3) for k in (0, 1)), 0.0, LENGTH)
            tally.near("marks", who, d["marks"], np.linalg.norm(b + n * over[1] - a - n * over[0]) * 1e-3, LENGTH)


def stands(tally, lay, datum, turn, told):
    """As they are suggested: a fifth from each end of the datum's tube, the datum 550 mm up, shimless, on a level floor."""
    for s in told["stands"]:
        t = lay.named[s["under"]]
        (_, run, u), up = legs(t)[0], turn[2]
        h = half(t, run, u, up) * 1e-3
        part = min((0.2, 0.8), key=lambda f: np.linalg.norm(t.point(f * t.length) * 1e-3 - up * h - s["at"]))
        low = t.point(part * t.length) * 1e-3 - up * h
        tally.near("place of a stand", s["under"], np.linalg.norm(low - s["at"]), 0.0, LENGTH)
        tally.near("stand", s["under"], s["length"], 0.55 + (low - np.array((0, 0, datum))) @ up, LENGTH)
        tally.near("top of a stand", s["under"], s["top"], abs(np.arcsin(run @ up)), ANGLE)
    tally.near("rock", "all", told["rock"], 0.0, LENGTH)


def main():
    failed = 0
    for name in ("gorse", "wren"):
        path = ROOT / "examples" / f"{name}.toml"
        told = json.loads(example("sheets", path))
        turn, floor, jigs = np.array(told["rotation"]), told["floor"], told["jigs"]
        lay, tally = Layout(path), Tally()
        rail = lay.named[lay.file["design"]["datum"]["under"]]
        datum = (min(c[2] for c in rail.corners) - half(rail, *legs(rail)[0][1:], np.array((0, 0, 1.0)))) * 1e-3
        tally.equal("tubes", name, [t["name"] for t in jigs["tubes"]], [t.name for t in lay.tubes if not t.provisional])
        for got in jigs["tubes"]:
            t = lay.named[got["name"]]
            ends(tally, lay, datum, turn, floor, t, got)
            tally.equal("legs", t.name, len(got["legs"]), len(t.legs))
            for (_, d, u), leg in zip(legs(t), got["legs"]):
                reading(tally, t.name, t, d, u, np.eye(3), leg["square"])
                reading(tally, f"{t.name}, tilted", t, d, u, turn, leg["plumb"])
        bevels(tally, lay, jigs["bevels"])
        panels(tally, lay, jigs["panels"], jigs["bevels"])
        stands(tally, lay, datum, turn, jigs["stands"])
        for w in tally.wrong[:40]:
            print("differs:", w)
        print(f"{name}: " + ", ".join(f"{n} x {what}" for what, n in sorted(tally.same.items())))
        print("   worst: " + ", ".join(f"{what} {off:.1e}" for what, off in sorted(tally.worst.items()) if off))
        failed += len(tally.wrong)
    print("0 failed" if not failed else f"{failed} differ")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
