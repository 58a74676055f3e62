"""End cuts against an exact CAD kernel.

Rebuilds generated joints as solids of OpenCASCADE from their corners, radii and sizes alone, runs every fibre of the
end as a line against the solids' faces, and compares where it first comes in with what the program says: within one
micrometre, outside and inside of the wall. Volumes of the cut pieces are compared with the kernel's booleans: within
one part in a million. Prints a table by kind of joint; exits with 1 if anything is over.

Fibres that all but graze a surface are decided by the last digits: there the kernel may miss what the program hits, or
the other way round. Such a fibre passes only if the program's point lies on the kernel's surface and the ray runs along
it there; they are counted in a column of their own.

Some of the bar may lie behind what is met first and before the plane at which it ends (past a second tube, a bend, or
the corner of a rolled box). A boolean leaves that material standing, hung on its neighbours, where the program's fibres
stop at the first touch: the piece could not be put in otherwise. So a volume that is less than the boolean's passes only
if it agrees with an integral of the kernel's own lines over the wall. Such volumes are counted in a column of their own;
none may exceed the boolean's, unless a host (by another of its legs) bites the tube behind the half of its last leg that
belongs to this end: then the boolean is taken of that half alone. Where the boolean fails altogether the integral stands in for it, and that is counted too.

The planes at which fibres that miss are cut, the planes of mitres, and where on the section each fibre starts are
worked out anew from the corners, the roll and the size. To look at other joints:
`end_cuts.py [COUNT [SEED]]`.

Times: the kernel's lines against the program's profile of as many fibres, which also finds the radial cut and the long
and short points; the kernel's boolean against the program's profile and volume, at the accuracy that is checked here.
The kernel is called from Python, which costs it some of that: the ratios say how large a step is, no more.
"""

import json
import sys
import time
from collections import defaultdict
from math import acos

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeVertex, BRepBuilderAPI_MakeWire
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeHalfSpace, BRepPrimAPI_MakePrism, BRepPrimAPI_MakeTorus
from OCP.GC import GC_MakeArcOfCircle
from OCP.GProp import GProp_GProps
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.TopAbs import TopAbs_IN, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.gp import gp_Ax2, gp_Dir, gp_Lin, gp_Pln, gp_Pnt, gp_Vec

from program import example

LIMIT = 1e-3  # mm: one micrometre
VOLUME_LIMIT = 1e-6
COUNT, SEED = 612, 1  # volumes are taken of the first half: the booleans are slow
# The integral of lines errs by about the step at the end of what is met times a cell.
DEPTHS, ROUND = 11, 2880
LINES_LIMIT = 5e-5
START_LIMIT = 1e-6  # mm: starts of fibres follow from the corners without a root to find
VERTICAL = 0.9999  # a tube that is steeper counts as vertical: its scribe line faces forward
GRAZE = 0.02  # cosine between ray and normal under which a ray grazes


def pnt(v):
    return gp_Pnt(*[float(c) for c in v])


def direction(v):
    return gp_Dir(*[float(c) for c in v])


def unit(v):
    return v / np.linalg.norm(v)


def round_rect(origin, u, v, half_x, half_y, r):
    """A face: half_x along u, half_y along v, corners of radius r."""
    at = lambda x, y: origin + u * x + v * y
    fx, fy = half_x - r, half_y - r
    wire = BRepBuilderAPI_MakeWire()
    if r < 1e-9:
        c = [(half_x, half_y), (-half_x, half_y), (-half_x, -half_y), (half_x, -half_y)]
        for k in range(4):
            wire.Add(BRepBuilderAPI_MakeEdge(pnt(at(*c[k])), pnt(at(*c[(k + 1) % 4]))).Edge())
        return BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()
    s = r * np.sqrt(0.5)
    corners = [(fx, fy, 1, 1), (-fx, fy, -1, 1), (-fx, -fy, -1, -1), (fx, -fy, 1, -1)]
    ends = []
    for k, (cx, cy, sx, sy) in enumerate(corners):
        a, b = (at(cx + sx * r, cy), at(cx, cy + sy * r))
        if k % 2:
            a, b = b, a
        ends.append((a, at(cx + sx * s, cy + sy * s), b))
    for k in range(4):
        a, m, b = ends[k]
        wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(pnt(a), pnt(m), pnt(b)).Value()).Edge())
        wire.Add(BRepBuilderAPI_MakeEdge(pnt(b), pnt(ends[(k + 1) % 4][0])).Edge())
    return BRepBuilderAPI_MakeFace(wire.Wire(), True).Face()


def bar(a, b, u, size, grow, inside=False):
    """A straight bar from a to b, its section grown outward; or its bore."""
    t = unit(b - a)
    length = float(np.linalg.norm(b - a))
    if size["shape"] == "round":
        r = size["od"] * 500 - (size["wall"] * 1e3 if inside else 0) + grow
        return BRepPrimAPI_MakeCylinder(gp_Ax2(pnt(a), direction(t)), r, length).Solid()
    w, h, c, t0 = (size[k] * 1e3 for k in ("width", "height", "corner", "wall"))
    less = t0 if inside else 0.0
    face = round_rect(a, u, np.cross(t, u), h / 2 - less + grow, w / 2 - less + grow, max(c - less, 0) + grow)
    return BRepPrimAPI_MakePrism(face, gp_Vec(*(t * length))).Shape()


def half_space(plane, inward=False):
    """Everything behind the plane, or before it."""
    o, n = np.array(plane["origin"]) * 1e3, np.array(plane["outward"])
    side = o + n * (10 if inward else -10)
    face = BRepBuilderAPI_MakeFace(gp_Pln(pnt(o), direction(n))).Face()
    return BRepPrimAPI_MakeHalfSpace(face, pnt(side)).Solid()


def solids(tube, grow, inside=False):
    """A tube as separate solids, legs and bends; or its bore."""
    c = [np.array(p) * 1e3 for p in tube["corners"]]
    u = np.array(tube["upright"])
    out = []
    start = c[0]
    # A host that stops at a plane runs past its last corner and is cut there.
    if tube.get("limits"):
        c[0] = c[0] - unit(c[1] - c[0]) * 200
        c[-1] = c[-1] + unit(c[-1] - c[-2]) * 200
        start = c[0]
    for k in range(1, len(c) - 1):
        a, b = unit(c[k] - c[k - 1]), unit(c[k + 1] - c[k])
        turn = acos(np.clip(np.dot(a, b), -1, 1))
        radius = tube["radii"][k - 1] * 1e3
        back = radius * np.tan(turn / 2)
        axis = unit(np.cross(a, b))
        enter = c[k] - a * back
        centre = enter + np.cross(axis, a) * radius
        out.append(bar(start, enter, u, tube["size"], grow, inside))
        r = tube["size"]["od"] * 500 - (tube["size"]["wall"] * 1e3 if inside else 0) + grow
        ax = gp_Ax2(pnt(centre), direction(axis), direction(unit(enter - centre)))
        out.append(BRepPrimAPI_MakeTorus(ax, radius, r, turn).Solid())
        start = c[k] + b * back
    out.append(bar(start, c[-1], u, tube["size"], grow, inside))
    for plane in tube.get("limits", []):
        # Kept where (p - origin) . outward <= 0; the solid on the other side is taken away.
        away = half_space({"origin": plane["origin"], "outward": plane["outward"]}, inward=True)
        out = [BRepAlgoAPI_Cut(s, away).Shape() for s in out]
    return out


def crossings(cutter, line):
    cutter.Perform(line, -3000.0, 3000.0)
    hits = sorted(cutter.WParameter(i + 1) for i in range(cutter.NbPnt()))
    # A line through an edge meets both its faces.
    return [h for i, h in enumerate(hits) if i == 0 or h - hits[i - 1] > 1e-7]


def first_entry(cutters, planes, point, out, after):
    line = gp_Lin(pnt(point), direction(out))
    best = np.inf
    for cutter in cutters:
        hits = crossings(cutter, line)
        for a, b in zip(hits[0::2], hits[1::2]):
            if b > after:
                best = min(best, a)
                break
    for o, n in planes:
        rise = np.dot(out, n)
        if rise < 0:  # the solid lies beyond
            best = min(best, np.dot(o - point, n) / rise)
    return best


def off_surface(parts, point):
    """Distance of a point from the nearest surface, from inside as from outside: from the shells, not the solids."""
    vertex = BRepBuilderAPI_MakeVertex(pnt(point)).Vertex()
    best = np.inf
    for part in parts:
        shells = TopExp_Explorer(part, TopAbs_SHELL)
        while shells.More():
            best = min(best, BRepExtrema_DistShapeShape(vertex, shells.Current()).Value())
            shells.Next()
    return best


def grazing(parts, planes, mine, theirs, out):
    """Whether two answers differ only because the ray all but grazes: the program's point lies on a surface or a plane,
    and at one of the two points the ray runs along the surface, so that a hundredth of a millimetre on it is still there."""
    on_plane = min((abs(np.dot(mine - o, n)) for o, n in planes), default=np.inf)
    if min(off_surface(parts, mine), on_plane) > LIMIT:
        return False
    step = 1e-2
    return any(
        np.isfinite(p).all() and off_surface(parts, p) < LIMIT and off_surface(parts, p + out * step) < GRAZE * step
        for p in (mine, theirs)
    )


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-9)
    return props.Mass()


def last_leg(case):
    """Where the leg that is cut starts, the direction out of it, upright, and the volume of all before it."""
    tube = case["tube"]
    c = [np.array(p) * 1e3 for p in tube["corners"]]
    at = np.array(case["at"]) * 1e3
    if np.linalg.norm(c[-1] - at) > 1e-6:
        c.reverse()
    u = np.array(tube["upright"])
    far, rest = c[0], 0.0
    if len(c) > 2:
        # Legs and bends before the last leg are whole.
        turned = {**tube, "corners": [p * 1e-3 for p in c], "radii": tube["radii"][::-1]}
        whole, bore = (solids(turned, 0.0, hollow)[:-1] for hollow in (False, True))
        rest = sum(volume(a) - volume(b) for a, b in zip(whole, bore))
        a, b = unit(c[-2] - c[-3]), unit(c[-1] - c[-2])
        far = c[-2] + b * tube["radii"][::-1][-1] * 1e3 * np.tan(acos(np.dot(a, b)) / 2)
    # The bar runs from the far end to well past the joint; its upright direction holds for either way of running.
    run = unit(at - far)
    if len(c) > 2:
        u = unit(np.cross(run, [0.3, 0.5, 0.8]))
    return far, run, u, rest


def lines_volume(case, cutters, planes, depths=DEPTHS, round_each=ROUND):
    """Volume by lines through the middles of equal cells of the wall: Gauss's rule would gain nothing, there are steps."""
    far, run, u, rest = last_leg(case)
    at, size = np.array(case["at"]) * 1e3, case["tube"]["size"]
    v, wall, round_ = np.cross(run, u), size["wall"] * 1e3, size["shape"] == "round"
    total = 0.0
    for layer in range(depths):
        depth = wall * (layer + 0.5) / depths
        if round_:
            fx, fy, r = 0.0, 0.0, size["od"] * 500 - depth
        else:
            r = max(size["corner"] * 1e3 - depth, 0.0)
            fx, fy = (size[k] * 500 - depth - r for k in ("height", "width"))
        # Sides and corners in turn: corner's middle, side that follows.
        quarter, sides = np.pi / 2 * r, (2 * fx, 2 * fy, 2 * fx, 2 * fy)
        middles = ((fx, fy), (-fx, fy), (-fx, -fy), (fx, -fy))
        whole = 4 * quarter + sum(sides)
        sum_ = 0.0
        for k in range(round_each):
            d = whole * (k + 0.5) / round_each
            for n, side in enumerate(sides):
                turn = n * np.pi / 2
                if quarter > 0 and d < quarter:
                    a = turn + d / r
                    p = middles[n] + r * np.array((np.cos(a), np.sin(a)))
                    break
                d -= quarter
                if d < side:
                    a = turn + np.pi / 2
                    p = middles[n] + r * np.array((np.cos(a), np.sin(a))) + d * np.array((-np.sin(a), np.cos(a)))
                    break
                d -= side
            sum_ += first_entry(cutters, planes, at + u * p[0] + v * p[1], run, case["start_counting"] * 1e3)
        total += wall / depths * whole * (sum_ / round_each + np.linalg.norm(at - far))
    return total + rest


def piece_volume(case, parts, counted=False):
    """By booleans; with `counted`, hosts bite only where the program starts to count."""
    tube = case["tube"]
    far, run, u, rest = last_leg(case)
    size = tube["size"]
    at = far + run * np.dot(np.array(case["at"]) * 1e3 - far, run)
    if counted:
        start = at + run * case["start_counting"] * 1e3
        whole = (bar(far, start, u, size, 0, hollow) for hollow in (False, True)) if np.dot(start - far, run) > 1e-6 else ()
        rest += sum(sign * volume(s) for sign, s in zip((1, -1), whole))
        far = start
    solid = BRepAlgoAPI_Cut(bar(far, at + run * 400, u, size, 0), bar(far - run, at + run * 401, u, size, 0, True)).Shape()
    for s in parts:
        solid = BRepAlgoAPI_Cut(solid, s).Shape()
    for p in case["beyond"]:
        solid = BRepAlgoAPI_Cut(solid, half_space(p)).Shape()
    depth = (size["od"] if size["shape"] == "round" else size["height"]) * 500 - size["wall"] * 500
    inside = far + run * 20 + u * depth
    explorer = TopExp_Explorer(solid, TopAbs_SOLID)
    while explorer.More():
        s = TopoDS.Solid(explorer.Current()) if hasattr(TopoDS, "Solid") else TopoDS.Solid_s(explorer.Current())
        if BRepClass3d_SolidClassifier(s, pnt(inside), 1e-7).State() == TopAbs_IN:
            return volume(s) + rest
        explorer.Next()
    return None


def bends(tube):
    """Corners in mm, and of each bend: where it starts, its axis, centre, radius, angle and where it ends."""
    c = [np.array(p) * 1e3 for p in tube["corners"]]
    out = []
    for k in range(1, len(c) - 1):
        a, b = unit(c[k] - c[k - 1]), unit(c[k + 1] - c[k])
        turn, axis = np.arctan2(np.linalg.norm(np.cross(a, b)), np.dot(a, b)), unit(np.cross(a, b))
        radius = tube["radii"][k - 1] * 1e3
        back = radius * np.tan(turn / 2)
        enter = c[k] - a * back
        out.append((enter, axis, enter + np.cross(axis, a) * radius, radius, turn, c[k] + b * back))
    return c, out


def nearest_of_axis(tube, p):
    """The place of a tube's axis nearest to a point, and the axis's direction there."""
    c, arcs = bends(tube)
    found = []
    starts, ends = [c[0]] + [a[5] for a in arcs], [a[0] for a in arcs] + [c[-1]]
    for a, b in zip(starts, ends):
        t = unit(b - a)
        found.append((a + t * np.clip(np.dot(p - a, t), 0, np.linalg.norm(b - a)), t))
    for enter, axis, centre, radius, turn, _ in arcs:
        x = unit(enter - centre)
        y = np.cross(axis, x)
        angle = np.clip(np.arctan2(np.dot(p - centre, y), np.dot(p - centre, x)), 0, turn)
        found.append((centre + (x * np.cos(angle) + y * np.sin(angle)) * radius, y * np.cos(angle) - x * np.sin(angle)))
    return min(found, key=lambda f: np.linalg.norm(f[0] - p))


def scribe_frame(case):
    """Up and clockwise (looking from start to end) at the end that is cut: from the scribe line's rule, carried through
    the bends; a twin's scribe line is the mirror image of its tube's."""
    tube = case["tube"]
    flip = np.array((1, -1, 1)) if tube["twin"] else np.ones(3)
    c, arcs = bends({**tube, "corners": [np.array(p) * flip for p in tube["corners"]]})
    t = unit(c[1] - c[0])
    if arcs:
        u = unit(arcs[0][0] - arcs[0][2])
    else:
        z = np.array((1.0, 0, 0)) if abs(t[2]) > VERTICAL else np.array((0, 0, 1.0))
        u = unit(z - t * np.dot(z, t))
    v = np.cross(t, u)
    roll = tube["roll"]
    u, v = u * np.cos(roll) + v * np.sin(roll), v * np.cos(roll) - u * np.sin(roll)
    if case["at_end"]:
        for _, axis, _, _, turn, _ in arcs:
            rotate = lambda w: w * np.cos(turn) + np.cross(axis, w) * np.sin(turn) + axis * np.dot(axis, w) * (1 - np.cos(turn))
            u, v = rotate(u), rotate(v)
    # Clockwise stays clockwise in the image.
    return u * flip, -v * flip if tube["twin"] else v * flip


def wall_points(size, d):
    """Outside and inside of the wall, a distance (mm) round the outside from the top's middle: flat coordinates."""
    wall = size["wall"] * 1e3
    if size["shape"] == "round":
        r = size["od"] * 500
        e = np.array((np.cos(d / r), np.sin(d / r)))
        return r * e, (r - wall) * e
    hx, hy, r = size["height"] * 500, size["width"] * 500, size["corner"] * 1e3
    inner = (hx - wall, hy - wall, max(r - wall, 0.0))
    sides = [hy - r, 2 * (hx - r), 2 * (hy - r), 2 * (hx - r), hy - r]
    for side in range(5):
        if d <= sides[side]:
            part = d / sides[side]
            def on_side(hx, hy, r):
                a, b = [((hx, 0), (hx, hy - r)), ((hx - r, hy), (r - hx, hy)), ((-hx, hy - r), (-hx, r - hy)),
                        ((r - hx, -hy), (hx - r, -hy)), ((hx, r - hy), (hx, 0))][side]
                return np.array(a) * (1 - part) + np.array(b) * part
            return on_side(hx, hy, r), on_side(*inner)
        d -= sides[side]
        if d <= np.pi / 2 * r:
            a = side * np.pi / 2 + d / r
            sx, sy = ((1, 1), (-1, 1), (-1, -1), (1, -1))[side]
            corner = lambda hx, hy, r: np.array((sx * (hx - r) + r * np.cos(a), sy * (hy - r) + r * np.sin(a)))
            return corner(hx, hy, r), corner(*inner)
        d -= np.pi / 2 * r
    raise ValueError("beyond the perimeter")


def plane_off(case):
    """How far the program's plane lies from the one that the corners give: at the end point and in direction."""
    out, at = np.array(case["out"]), np.array(case["at"]) * 1e3
    if case["partner"]:
        c = [np.array(p) * 1e3 for p in case["partner"]["corners"]]
        if np.linalg.norm(c[-1] - at) > np.linalg.norm(c[0] - at):
            c.reverse()
        n = -unit(out - unit(c[-1] - c[-2]))
        point = at + n * case["gap"] * 500
    elif case["hosts"]:
        point, t = nearest_of_axis(case["hosts"][0], at)
        n = -unit(out - t * np.dot(out, t))
    else:
        return None
    o, m = np.array(case["beyond"][0]["origin"]) * 1e3, np.array(case["beyond"][0]["outward"])
    return max(abs(np.dot(o - point, n)), 100 * float(np.linalg.norm(m - n)))


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    print(f"generating {count} joints from seed {seed}", flush=True)
    cases = json.loads(example("joints", count, seed))
    rows = defaultdict(lambda: dict(joints=0, fibres=0, worst=0.0, starts=0.0, grazing=0, volumes=0, behind=0, bitten=0, planes=0, **{"no piece": 0}, volume=0.0, lines=0.0, theirs=0.0, ours=0.0, solid=0.0, ours_too=0.0))
    failures = []
    for n, case in enumerate(cases):
        row = rows[case["kind"]]
        grow = case["gap"] * 1e3 if case["hosts"] else 0.0
        parts = [s for h in case["hosts"] for s in solids(h, grow)]
        cutters = []
        for s in parts:
            cutter = IntCurvesFace_ShapeIntersector()
            cutter.Load(s, 1e-9)
            cutters.append(cutter)
        planes = [(np.array(p["origin"]) * 1e3, np.array(p["outward"])) for p in case["beyond"]]
        off = plane_off(case)
        if off is not None:
            row["planes"] += 1
            if off > LIMIT:
                failures.append(f"joint {n}, {case['kind']}: plane off by {off:.6f} mm")
        u, v = scribe_frame(case)
        for d, po, _, pi_, _ in case["fibres"]:
            for own, point in zip(wall_points(case["tube"]["size"], d * 1e3), (po, pi_)):
                off = np.linalg.norm(np.array(case["at"]) * 1e3 + u * own[0] + v * own[1] - np.array(point) * 1e3)
                row["starts"] = max(row["starts"], off)
                if off > START_LIMIT:
                    failures.append(f"joint {n}, {case['kind']}: a fibre starts {off:.6f} mm off")
        out, after = np.array(case["out"]), case["start_counting"] * 1e3
        began = time.perf_counter()
        for _, po, so, pi_, si in case["fibres"]:
            for point, s in ((po, so), (pi_, si)):
                point = np.array(point) * 1e3
                want = first_entry(cutters, planes, point, out, after)
                row["fibres"] += 1
                off = abs(want - s * 1e3)
                if off <= LIMIT:
                    row["worst"] = max(row["worst"], off)
                    continue
                if grazing(parts, planes, point + out * s * 1e3, point + out * want, out):
                    row["grazing"] += 1
                else:
                    failures.append(f"joint {n}, {case['kind']}: kernel {want:.6f}, program {s * 1e3:.6f} mm")
        row["theirs"] += time.perf_counter() - began
        row["ours"] += case["seconds"]
        row["joints"] += 1
        if n < count // 2:
            began = time.perf_counter()
            v = piece_volume(case, parts)
            row["solid"] += time.perf_counter() - began
            row["ours_too"] += case["seconds"] + case["volume_seconds"]
            part = -np.inf if v is None else (case["volume"] * 1e9 - v) / v
            row["volumes"] += 1
            if part > VOLUME_LIMIT:
                v = piece_volume(case, parts, counted=True)
                row["bitten"] += 1
                part = np.inf if v is None else (case["volume"] * 1e9 - v) / v
            if part < -VOLUME_LIMIT:
                row["no piece" if v is None else "behind"] += 1
                lines = lines_volume(case, cutters, planes)
                off = abs(case["volume"] * 1e9 - lines) / lines
                row["lines"] = max(row["lines"], off)
                if off > LINES_LIMIT:
                    failures.append(f"joint {n}, {case['kind']}: volume off by {part:.2e}, by lines {off:.2e}")
                continue
            row["volume"] = max(row["volume"], abs(part))
            if part > VOLUME_LIMIT:
                failures.append(f"joint {n}, {case['kind']}: volume off by {part:.2e}")
    print(f"{'kind':<20}{'joints':>7}{'lines':>8}{'worst um':>10}{'grazing':>9}{'planes':>8}{'volumes':>9}{'worst part':>12}{'behind':>8}{'worst part':>12}{'lines':>8}{'solids':>8}  times slower")
    for kind, r in rows.items():
        print(
            f"{kind:<20}{r['joints']:>7}{r['fibres']:>8}{r['worst'] * 1e3:>10.5f}{r['grazing']:>9}{r['planes']:>8}{r['volumes']:>9}"
            f"{r['volume']:>12.1e}{r['behind']:>8}{r['lines']:>12.1e}{r['theirs'] / r['ours']:>8.0f}{r['solid'] / r['ours_too']:>8.0f}"
        )
    total = {k: sum(r[k] for r in rows.values()) for k in ("joints", "fibres", "grazing", "planes", "volumes", "behind", "bitten", "no piece", "theirs", "ours", "solid", "ours_too")}
    print(
        f"{total['joints']} joints, {total['fibres']} lines, {total['grazing']} of them grazing, {total['planes']} planes, "
        f"starts within {1e6 * max(r['starts'] for r in rows.values()):.0e} nm, {total['volumes']} volumes, {total['behind']} of them with material behind what is met first, {total['bitten']} bitten by a host elsewhere too, {total['no piece']} where the kernel's boolean failed. "
        f"An end takes the program {1e6 * total['ours'] / total['joints']:.0f} us; the kernel's lines take "
        f"{total['theirs'] / total['ours']:.0f} times that, its booleans {total['solid'] / total['ours_too']:.0f} times."
    )
    if total["grazing"] > 0.005 * total["fibres"]:
        failures.append("more than one line in two hundred grazes: the check says too little")
    for f in failures[:40]:
        print("over:", f)
    print(f"{total['joints']} passed, 0 failed" if not failures else f"{len(failures)} over the limit")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
