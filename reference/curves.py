"""Curves turned into legs and bends, held against plain geometry.

Lines from `crates/curve/examples/curves.rs` (arcs, S-curves, a helix, few points, a corner, a closed line, chains and waves at
random) come with their chains as corners. Worked out here anew, from the points alone:

- the line: a centripetal Catmull-Rom spline by scipy's CubicHermiteSpline, or straight from point to point;
- legs and arcs from the corners: tangents that never jump, the radius of the circle through three places of each arc,
  straights no shorter than asked, turns no larger, ends at the line's ends, developed length;
- the distance both ways by dense sampling (k-d trees): under the deviation told, over the lower one told;
- the discrete Frechet distance (dynamic programming), which may be over the deviation by the samples' spacing only;
- fewer bends: whatever is said to be proved is no more than what was found, and for lines in a plane a chain of fewer bends than
  proved is looked for by scipy's minimiser from random corners, in vain.

`curves.py [COUNT [SEED]]`.
"""

import json
import sys

import numpy as np
from scipy.interpolate import CubicHermiteSpline
from scipy.optimize import minimize
from scipy.spatial import cKDTree

from program import example

COUNT, SEED = 39, 1
SPACING = 0.4e-3  # m, between samples of both
ROUND = 1e-8


def spline(points, run, step=None):
    """Places of the line, about a step apart."""
    keep = [points[0]]
    for p in points[1:]:
        if np.linalg.norm(p - keep[-1]) > 1e-7:
            keep.append(p)
    p = np.array(keep)
    chords = np.linalg.norm(np.diff(p, axis=0), axis=1)
    count = [max(2, int(np.ceil(c / (step or SPACING)))) for c in chords]
    if run == "straight" or len(p) == 2:
        parts = [a + (b - a) * np.linspace(0, 1, n, endpoint=False)[:, None] for a, b, n in zip(p, p[1:], count)]
        return np.vstack(parts + [p[-1:]])
    knots = np.concatenate([[0], np.cumsum(np.sqrt(chords))])
    tangents = []
    for i in range(len(p)):
        k = min(max(i, 1), len(p) - 2)
        # The parabola through three points, differentiated at the knot.
        t, q = knots[k - 1 : k + 2], p[k - 1 : k + 2]
        tangents.append(np.array([np.polyval(np.polyder(np.polyfit(t - knots[i], q[:, a], 2)), 0.0) for a in range(3)]))
    f = CubicHermiteSpline(knots, p, np.array(tangents))
    at = np.concatenate([np.linspace(a, b, 3 * n, endpoint=False) for a, b, n in zip(knots, knots[1:], count)] + [knots[-1:]])
    return f(at)


def pieces(corners, radius):
    """Legs as (from, to) and arcs as (centre, to start, to end, turn)."""
    v = np.array(corners)
    ways = np.diff(v, axis=0)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    at, legs, arcs = v[0], [], []
    for i in range(1, len(v) - 1):
        a, b = ways[i - 1], ways[i]
        turn = np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b)
        back = radius * np.tan(turn / 2)
        start, end = v[i] - a * back, v[i] + b * back
        legs.append((at, start))
        inward = (b - a) / np.linalg.norm(b - a) if turn > 1e-9 else np.zeros(3)
        centre = v[i] + inward * radius / np.cos(turn / 2)
        arcs.append((centre, start - centre, end - centre, turn))
        at = end
    legs.append((at, v[-1]))
    return legs, arcs, ways


def sampled(legs, arcs, radius, spacing=SPACING):
    out = []
    for k, (a, b) in enumerate(legs):
        n = max(2, int(np.ceil(np.linalg.norm(b - a) / spacing)))
        out.append(a + (b - a) * np.linspace(0, 1, n)[:, None])
        if k < len(arcs) and arcs[k][3] > 1e-9:
            c, u, w, turn = arcs[k]
            t = np.linspace(0, 1, max(3, int(np.ceil(radius * turn / spacing))))[1:-1, None]
            out.append(c + (np.sin((1 - t) * turn) * u + np.sin(t * turn) * w) / np.sin(turn))
    return np.vstack(out)


def both_ways(a, b):
    return max(cKDTree(b).query(a)[0].max(), cKDTree(a).query(b)[0].max())


def frechet(a, b):
    """Discrete, row by row."""
    d = np.linalg.norm(a[:, None] - b[None], axis=2)
    row = np.maximum.accumulate(d[0])
    for k in range(1, len(a)):
        diagonal = np.minimum(row, np.concatenate([[np.inf], row[:-1]]))
        new = np.empty_like(row)
        last = np.inf
        for j in range(len(row)):
            last = max(min(diagonal[j], last), d[k, j])
            new[j] = last
        row = new
    return row[-1]


def every(places, count):
    return places[np.unique(np.linspace(0, len(places) - 1, count).astype(int))]


def check(case):
    die, answer, radius = case["die"], case["answer"], case["die"]["radius"]
    points = np.array(case["points"])
    line = spline(points, case["run"])
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert abs(length - answer["length"]) < 1e-4 * length, (length, answer["length"])
    worst = 0.0
    for t in answer["tries"]:
        legs, arcs, ways = pieces(t["corners"], radius)
        assert np.array_equal(t["corners"][0], points[0]) and np.array_equal(t["corners"][-1], points[-1])
        along = [(b - a) @ w for (a, b), w in zip(legs, ways)]
        least = [die["between"]] * len(legs)
        least[0], least[-1] = die["ends"]
        if len(legs) > 1:
            assert all(x >= m - ROUND for x, m in zip(along, least)), (along, least)
        for k, (c, u, w, turn) in enumerate(arcs):
            assert turn <= die["most"] + ROUND, np.degrees(turn)
            if turn < 1e-6:
                continue
            # Square to the leg before and behind: the tangent does not jump.
            assert abs(u @ ways[k]) < ROUND and abs(w @ ways[k + 1]) < ROUND
            m = c + (u + w) * (radius / np.linalg.norm(u + w))
            a, b = c + u, c + w
            sides = [np.linalg.norm(b - m), np.linalg.norm(b - a), np.linalg.norm(m - a)]
            area = np.linalg.norm(np.cross(m - a, b - a)) / 2
            if turn > 0.02:
                assert abs(np.prod(sides) / (4 * area) - radius) < 1e-6 * radius, "radius"
        total = sum(along) + sum(radius * a[3] for a in arcs)
        assert abs(total - t["length"]) < 1e-7, (total, t["length"])
        chain = sampled(legs, arcs, radius)
        off = both_ways(line, chain)
        # Samples see a little too much: the nearest of them is half a spacing beside the foot.
        see = SPACING**2 / (8 * max(t["deviation"], SPACING)) + SPACING / 10 if t["deviation"] > SPACING else SPACING
        assert off <= t["deviation"] + see, (case["name"], t["bends"], off, t["deviation"])
        assert off >= t["at_least"] - 5e-6, (case["name"], t["bends"], off, t["at_least"])
        worst = max(worst, t["deviation"] - off)
    if answer["fewest"] is not None:
        t = answer["tries"][answer["fewest"]]
        assert t["deviation"] <= case["within"] and answer["proved"] <= t["bends"]
        assert all(x["deviation"] > case["within"] for x in answer["tries"][: answer["fewest"]])
        legs, arcs, _ = pieces(t["corners"], radius)
        a, b = every(line, 250), every(sampled(legs, arcs, radius), 250)
        gap = max(np.linalg.norm(np.diff(x, axis=0), axis=1).max() for x in (a, b))
        assert frechet(a, b) <= t["deviation"] + gap, (case["name"], frechet(a, b), t["deviation"])
    return worst


def searched(case, dice):
    """A chain of one bend fewer than found, from random corners by a general minimiser: nearer than told, or None."""
    answer, die = case["answer"], case["die"]
    bends = answer["tries"][answer["fewest"]]["bends"] - 1
    told = next((t["deviation"] for t in answer["tries"] if t["bends"] == bends), np.inf)
    points = np.array(case["points"])
    line = every(spline(points, case["run"], 0.004), 160)
    ends = line[0], line[-1]
    best = np.inf
    for _ in range(6):
        k = np.sort(dice.choice(np.arange(5, len(line) - 5), bends, replace=False))
        start = line[k] + dice.normal(0, 0.01, (bends, 3))

        def cost(x, power):
            v = np.vstack([ends[0], x.reshape(-1, 3), ends[1]])
            legs, arcs, ways = pieces(v, die["radius"])
            least = [die["between"]] * len(legs)
            least[0], least[-1] = die["ends"]
            lack = sum(max(0.0, m - (b - a) @ w) for (a, b), w, m in zip(legs, ways, least))
            lack += sum(max(0.0, a[3] - die["most"]) for a in arcs)
            if any(a[3] > 3.0 for a in arcs):
                return 10.0
            chain = every(sampled(legs, arcs, die["radius"], 0.01), 400)
            d = cKDTree(chain).query(line)[0]
            return (d**power).mean() ** (1 / power) + 10 * lack if power < 99 else (d.max(), lack)

        x = start.ravel()
        for power in (4, 16):
            x = minimize(cost, x, args=(power,), method="Powell", options={"maxiter": 3, "xtol": 1e-5, "ftol": 1e-5}).x
        far, lack = cost(x, 99)
        if lack < 1e-6:
            best = min(best, far)
    return best, told


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    cases = json.loads(example("curves", count, seed))
    worst, found, proved, chains = 0.0, 0, 0, 0
    gaps = []
    for case in cases:
        worst = max(worst, check(case))
        answer = case["answer"]
        if answer["fewest"] is not None:
            bends = answer["tries"][answer["fewest"]]["bends"]
            found += 1
            proved += answer["proved"] >= bends
            gaps.append(bends - answer["proved"])
        if case["name"].startswith("chain"):
            chains += 1
            assert answer["fewest"] is not None, case["name"]
    print(f"{len(cases)} lines, {sum(len(c['answer']['tries']) for c in cases)} chains: legs, arcs, straights, turns, ends hold")
    print(f"deviation told is at most {worst * 1e6:.0f} um more than samples see; discrete Frechet distances under it")
    print(f"{found} followed within their tolerance ({chains} chains among them); {proved} with proof that fewer bends can't,")
    print(f"others with a bound {np.mean([g for g in gaps if g > 0] or [0]):.1f} bends lower on average")
    dice = np.random.default_rng(seed)
    small = [c for c in cases if c["answer"]["fewest"] is not None and 2 <= c["answer"]["tries"][c["answer"]["fewest"]]["bends"] <= 4]
    nearer = []
    for case in small[:3]:
        best, told = searched(case, dice)
        assert best > 0.97 * told, (case["name"], best, told)
        nearer.append(best / told)
    print(f"one bend fewer, by a general minimiser from random corners: {', '.join(f'{x:.2f}' for x in nearer)} of the deviation told")


main()
