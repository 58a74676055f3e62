"""Rest attitudes against a mesh library and a direct computation.

Bodies of points from `crates/rollover/examples/hulls.rs` (clouds, eggs, boxes, lattices and prisms with many points in
one plane, each turned, stretched, with its centre of gravity anywhere inside) are taken to

- scipy's ConvexHull (Qhull): its triangles merged where they lie in one plane, feet, margins to every edge, the fall
  from face to face and the shares worked out here anew with numpy: every face, every corner of a support, margins
  within 1e-9 of the size, shares within 1e-9;
- trimesh's stable poses with the same centre: the same rests; shares within 1e-9
  where all faces are triangles. It knows no faces with more corners: where a face of
  several triangles is no rest, each of them falls for itself, so there the rests are compared and the shares only
  printed.

A rest whose margin is under 1e-9 of the size is decided by rounding: none may occur. Prints times as ratios: the
program against both, at 2,000 points in the same run. `rest_attitudes.py [COUNT [SEED]]`.
"""

import json
import sys
import time

import numpy as np
import trimesh
from scipy.spatial import ConvexHull

from program import example

COUNT, SEED, BIG = 240, 1, 2000
MARGIN = 1e-9  # of the size
SHARE = 1e-9
TRIMESH_SHARE = 1e-9
ONE_PLANE = 1e-10  # of the size


def solid_angle(a, b, c):
    x, y, z = (np.linalg.norm(v, axis=-1) for v in (a, b, c))
    top = np.einsum("...i,...i", a, np.cross(b, c))
    dot = lambda p, q: np.einsum("...i,...i", p, q)
    return 2 * np.arctan2(top, x * y * z + dot(a, b) * z + dot(b, c) * x + dot(c, a) * y)


def direct(points, centre):
    """Faces as (normal, corners in order, foot, height, margins, share, sink)."""
    hull = ConvexHull(points)
    size = np.ptp(points, axis=0).max()
    of = np.full(len(hull.simplices), -1)
    groups = []
    for s in range(len(of)):
        if of[s] >= 0:
            continue
        of[s], group = len(groups), [s]
        for t in group:
            for u in hull.neighbors[t]:
                normal, offset = hull.equations[s][:3], hull.equations[s][3]
                if of[u] < 0 and np.all(np.abs(points[hull.simplices[u]] @ normal + offset) <= ONE_PLANE * size):
                    of[u] = len(groups)
                    group.append(u)
        groups.append(group)
    faces = []
    for g, group in enumerate(groups):
        normal = hull.equations[group[0]][:3]
        ids = np.unique(hull.simplices[group])
        middle = points[ids].mean(axis=0)
        e = np.cross(normal, [1, 0, 0] if abs(normal[0]) < 0.7 else [0, 1, 0])
        e /= np.linalg.norm(e)
        f = np.cross(normal, e)
        flat = np.stack([(points[ids] - middle) @ e, (points[ids] - middle) @ f], axis=1)
        ids = ids[np.argsort(np.arctan2(flat[:, 1], flat[:, 0]))]
        # Corners in the middle of straight edges are none.
        changed = True
        while changed and len(ids) > 3:
            changed = False
            for k in range(len(ids)):
                a, b, c = points[ids[k - 1]], points[ids[k]], points[ids[(k + 1) % len(ids)]]
                if np.linalg.norm(np.cross(b - a, c - a)) <= ONE_PLANE * size * np.linalg.norm(c - a):
                    ids = np.delete(ids, k)
                    changed = True
                    break
        corners = points[ids]
        height = -(hull.equations[group[0]][3] + normal @ centre)
        foot = centre + normal * height
        ends = np.roll(corners, -1, axis=0)
        inward = np.cross(normal, ends - corners)
        inward /= np.linalg.norm(inward, axis=1)[:, None]
        margins = np.einsum("ij,ij->i", foot - corners, inward)
        fan = solid_angle(corners[0] - centre, corners[1:-1] - centre, corners[2:] - centre)
        areas = np.einsum("ij,j->i", np.cross(corners[1:-1] - corners[0], corners[2:] - corners[0]), normal)
        centroid = ((corners[0] + corners[1:-1] + corners[2:]) / 3 * areas[:, None]).sum(axis=0) / areas.sum()
        falls = None
        if margins.min() < -ONE_PLANE * size:
            own = np.einsum("ij,ij->i", centroid - corners, inward)
            at = np.where(margins < 0, own / (own - margins), np.inf)
            k = int(at.argmin())
            pair = {ids[k], ids[(k + 1) % len(ids)]}
            # The triangle that lies beyond: the one across from the triangle with an edge on that line.
            line = (points[list(pair)[1]] - points[list(pair)[0]])
            line /= np.linalg.norm(line)
            for s in group:
                for m in range(3):
                    two = [v for v in range(3) if v != m]
                    edge = points[hull.simplices[s][two]]
                    if of[hull.neighbors[s][m]] != g and np.all(
                        np.linalg.norm(np.cross(edge - points[list(pair)[0]], line), axis=1) <= ONE_PLANE * size
                    ):
                        falls = of[hull.neighbors[s][m]]
        faces.append([normal, corners, foot, height, margins, fan.sum() / (4 * np.pi), falls])
    for i, f in enumerate(faces):
        j = i
        for _ in range(len(faces)):
            if faces[j][6] is None:
                break
            j = faces[j][6]
        f.append(j)
    return faces, size


def from_segments(p, corners):
    a, b = corners, np.roll(corners, -1, axis=0)
    t = np.clip(np.einsum("ij,ij->i", p - a, b - a) / np.einsum("ij,ij->i", b - a, b - a), 0, 1)
    return np.linalg.norm(a + (b - a) * t[:, None] - p, axis=1).min()


def nearest(normals, n):
    d = np.linalg.norm(normals - n, axis=1)
    return int(d.argmin()), d.min()


def compare(case, failures, worst, name):
    fail = lambda what: failures.append(f"{name}: {what}")
    if "error" in case:
        return fail(case["error"])
    points, centre, answer = np.array(case["points"]), np.array(case["centre"]), case["answer"]
    faces, size = direct(points, centre)
    normals = np.array([f[0] for f in faces])
    rests = {i for i, f in enumerate(faces) if f[6] is None}
    shares = np.zeros(len(faces))
    for f in faces:
        shares[f[7]] += f[5]
    least = min(abs(m) for f in faces for m in f[4])
    if least < MARGIN * size and any(abs(faces[i][4].min()) < MARGIN * size for i in range(len(faces))):
        return fail("a foot on an edge: decided by rounding")
    ours = {nearest(normals, np.array(a["normal"])) + (k,) for k, a in enumerate(answer["attitudes"])}
    if {o[0] for o in ours} != rests or any(o[1] > 1e-9 for o in ours):
        return fail(f"{len(ours)} rests, {len(rests)} by the direct computation")
    if len(answer["sensitivity"]["gained"]) + len(ours) != len(faces):
        return fail("other faces")
    for face, _, k in ours:
        _, corners, foot, height, margins, _, _, _ = faces[face]
        a = answer["attitudes"][k]
        edges = np.array([e["ends"] for e in a["edges"]])
        if len(edges) != len(corners):
            fail(f"a support of {len(edges)} corners, {len(corners)} by the direct computation")
            continue
        order = [nearest(corners, e)[0] for e in edges[:, 0]]
        worst["corner"] = max(worst["corner"], np.linalg.norm(corners[order] - edges[:, 0], axis=1).max() / size)
        mine = np.array([e["margin"] for e in a["edges"]])
        worst["margin"] = max(worst["margin"], np.abs(margins[order] - mine).max() / size)
        worst["margin"] = max(worst["margin"], abs(margins.min() - a["margin"]) / size)
        worst["height"] = max(worst["height"], abs(height - a["height"]) / size)
        worst["share"] = max(worst["share"], abs(shares[face] - a["share"]))
    for s in answer["sensitivity"]["gained"]:
        face, off = nearest(normals, np.array(s["normal"]))
        if face in rests or off > 1e-9:
            fail("a face that is none")
            continue
        want = from_segments(faces[face][2], faces[face][1])
        worst["gained"] = max(worst["gained"], abs(want - s["distance"]) / size)
    mesh = trimesh.Trimesh(points, ConvexHull(points).simplices, process=False)
    began = time.perf_counter()
    poses, chances = mesh.compute_stable_poses(center_mass=centre)
    took = time.perf_counter() - began
    # trimesh counts rests whose normals agree to three decimals as one.
    key = lambda n: tuple(np.around(n, decimals=3) + 0.0)
    mine = {}
    for a in answer["attitudes"]:
        mine[key(a["normal"])] = mine.get(key(a["normal"]), 0) + a["share"]
    theirs = {key(-p[2, :3]): c for p, c in zip(poses, chances)}
    near = lambda n: min(mine, key=lambda m: np.abs(np.array(m) - n).max())
    if len(mine) != len(theirs) or any(np.abs(np.array(near(n)) - n).max() > 0.0021 for n in theirs):
        fail(f"{len(mine)} rests, {len(theirs)} by trimesh")
    else:
        off = max(abs(mine[near(n)] - c) for n, c in theirs.items())
        simple = all(len(f[1]) == 3 for f in faces) or case["kind"] == "box"
        worst["trimesh" if simple else "trimesh, many corners"] = max(
            worst["trimesh" if simple else "trimesh, many corners"], off
        )
    return took


def main():
    count, seed = (int(a) for a in (sys.argv[1:3] + [COUNT, SEED][len(sys.argv) - 1 :]))
    cases = json.loads(example("hulls", count, seed, BIG))
    failures = []
    limits = {"corner": MARGIN, "margin": MARGIN, "height": MARGIN, "gained": MARGIN, "share": SHARE, "trimesh": TRIMESH_SHARE}
    worst = dict.fromkeys([*limits, "trimesh, many corners"], 0.0)
    kinds, rests = {}, 0
    for n, case in enumerate(cases):
        took = compare(case, failures, worst, f"body {n}, {case['kind']}")
        kinds[case["kind"]] = kinds.get(case["kind"], 0) + 1
        rests += len(case.get("answer", {}).get("attitudes", []))
        if case["kind"] == "big" and took is not None:
            points = np.array(case["points"])
            qhull = min(timed(lambda: ConvexHull(points)) for _ in range(5))
            whole = timed(lambda: direct(points, np.array(case["centre"])))
            ours = case["seconds"]
            print(
                f"{len(points)} points on the hull: {1e3 * ours:.1f} ms; trimesh's stable poses {took / ours:.0f} times that, "
                f"the direct computation (loops of Python on Qhull's faces, not tuned) {whole / ours:.0f} times, Qhull's hull alone {qhull / ours:.1f} times"
            )
    print(f"{len(cases)} bodies ({', '.join(f'{v} {k}' for k, v in kinds.items())}), {rests} rests")
    for what, value in worst.items():
        limit = limits.get(what)
        print(f"   {what:<24}worst {value:.1e}" + (f"   limit {limit:.0e}" if limit else "   not held to a limit"))
        if limit and value > limit:
            failures.append(f"{what}: {value:.2e} is over {limit:.0e}")
    for f in failures[:40]:
        print("over:", f)
    return 1 if failures else 0


def timed(f):
    began = time.perf_counter()
    f()
    return time.perf_counter() - began


if __name__ == "__main__":
    sys.exit(main())
