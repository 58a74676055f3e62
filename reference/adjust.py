"""Networks of measurements against scipy's general least squares.

Networks from `crates/adjust/examples/networks.rs` (all kinds of measurements, noise, a tilt that is unknown, set-ups of
unknown height, some points fixed; and free ones of distances alone; in half of them every second measurement is taken beside
its points) are taken to

- scipy.optimize.least_squares, with the measurements written here anew as analytic functions and derivatives by complex
  steps. Free networks get the six conditions of the best fit to the design. Places within 1e-9 m, sums of squares,
  tilts, heights of set-ups;
- covariances from that Jacobian with numpy (free ones: the block of the matrix bordered with the conditions); redundancies,
  w and least errors found from the projector I - J Q J', written out in full;
- traces with one more distance, from the Jacobian with that row added and inverted anew;
- scipy.stats for chi-square and normal distributions; scipy's Rotation.align_vectors for best fits.

`adjust.py [COUNT [SEED]]`.
"""

import json
import sys

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation
from scipy.stats import chi2, norm

from program import example

COUNT, SEED = 60, 1
PLACE = 1e-9  # m
SCIPY, LAST = 1e-7, 1e-9  # m: what scipy leaves, and the first of the plain steps
COVARIANCE = 1e-8  # of the largest entry
FIGURE = 1e-7  # redundancies, w
CHANCE = 1e-12
HELD = 1e-9  # m: conditions are held as rows of this weight
FIT = 1e-12


def turn(a, b):
    """Rodrigues' turn by (a, b, 0), analytic in both."""
    k = np.array([[0, 0, b], [0, 0, -a], [-b, a, 0]])
    t = np.sqrt(a * a + b * b)
    if abs(t) < 1e-12:
        return np.eye(3) + k
    return np.eye(3) + np.sin(t) / t * k + (1 - np.cos(t)) / (t * t) * (k @ k)


def length(v):
    return np.sqrt(np.sum(v * v))


class Net:
    def __init__(self, data):
        self.points, self.observations = data["points"], data["observations"]
        self.number = {p["name"]: i for i, p in enumerate(self.points)}
        self.design = np.array([p["at"] for p in self.points])
        self.free = [i for i, p in enumerate(self.points) if p["hold"] == ["Free"] * 3]
        self.setups = sorted({o["kind"]["Height"]["setup"] for o in self.observations if "Height" in o["kind"]})
        self.tilted = data["tilt"] == "Unknown"
        self.open = len(self.free) == len(self.points)
        size = 3 * len(self.free)
        self.levels, self.tilt = size, size + len(self.setups)
        self.size = self.tilt + 2 * self.tilted
        self.sigma = np.array([o["sigma"] for o in self.observations])
        self.read = np.array([o["value"] + o["add"] for o in self.observations])
        middle = self.design.mean(axis=0)
        # Conditions of the best fit: no slide, no turn, about the middle.
        self.conditions = np.zeros((6, self.size))
        for k, i in enumerate(self.free):
            r = self.design[i] - middle
            self.conditions[:3, 3 * k : 3 * k + 3] = np.eye(3)
            self.conditions[3:, 3 * k : 3 * k + 3] = np.array([[0, -r[2], r[1]], [r[2], 0, -r[0]], [-r[1], r[0], 0]])
        self.start = np.zeros(self.size)
        self.start[: self.levels] = self.design[self.free].ravel()

    def calculated(self, u):
        at = self.design.astype(u.dtype)
        at[self.free] = u[: self.levels].reshape(-1, 3)
        level = turn(*u[self.tilt : self.tilt + 2]).T if self.tilted else np.eye(3)
        # Where a measurement was taken beside its points, in the order in which its kind names them.
        beside = {}
        place = lambda name: at[self.number[name]] + beside.get(name, 0)
        way = lambda a, b: place(b) - place(a)
        flat = lambda v: (level @ v)[:2]
        out = []
        for o in self.observations:
            (kind, k), = o["kind"].items()
            beside.clear()
            beside.update(zip((k[n] for n in ("point", "at", "from", "to", "one", "other") if n in k), map(np.array, o["marks"])))
            if kind == "Distance":
                f = length(way(k["from"], k["to"]))
            elif kind == "LevelDistance":
                f = length(flat(way(k["from"], k["to"])))
            elif kind == "Height":
                f = (level @ place(k["point"]))[2] - u[self.levels + self.setups.index(k["setup"])]
            elif kind == "Rise":
                f = (level @ way(k["from"], k["to"]))[2]
            elif kind == "Offset":
                f = (level @ way(k["from"], k["to"]))["XY".index(k["along"])]
            elif kind == "FromPlane":
                n = np.array(k["normal"])
                f = (place(k["point"]) - np.array(k["through"])) @ n / length(n)
            elif kind == "FromString":
                h, q = flat(way(k["from"], k["to"])), flat(way(k["from"], k["point"]))
                f = (h[0] * q[1] - h[1] * q[0]) / length(h)
            elif kind == "Slope":
                q = level @ way(k["from"], k["to"])
                f = np.arcsin(q[2] / length(q))
            elif kind == "Bevel":
                a, b = way(k["at"], k["one"]), way(k["at"], k["other"])
                f = np.arccos(np.sum(a * b) / (length(a) * length(b)))
            else:
                raise ValueError(kind)
            out.append(f)
        return np.array(out)

    def residuals(self, u):
        r = (self.calculated(u) - self.read) / self.sigma
        if self.open:
            r = np.concatenate([r, self.conditions @ (u - self.start) / HELD])
        return r

    def jacobian(self, u):
        step = 1e-30
        columns = []
        for k in range(self.size):
            v = u.astype(complex)
            v[k] += 1j * step
            columns.append(self.residuals(v).imag / step)
        return np.array(columns).T

    def cofactors(self, j):
        if not self.open:
            return np.linalg.inv(j.T @ j)
        # Held to the conditions: the block of the bordered matrix's inverse, in units that keep it even.
        scale = np.sqrt(np.mean(j * j))
        border = np.block([[j.T @ j / scale**2, self.conditions.T], [self.conditions, np.zeros((6, 6))]])
        return np.linalg.inv(border)[: self.size, : self.size] / scale**2


def network(case, worst):
    def within(what, off, limit):
        worst[what] = max(worst.get(what, 0.0), off)
        if not off <= limit:
            sys.exit(f"{what}: {off:.3e} is over {limit:.0e}")

    net = Net(case["network"])
    found = least_squares(net.residuals, net.start, net.jacobian, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    u = found.x
    # It stops at the root of rounding in the sum; two plain steps take its own functions to the end.
    for limit in (SCIPY, LAST):
        step = np.linalg.lstsq(net.jacobian(u), net.residuals(u))[0]
        within(f"scipy's rest under {limit:.0e} m", np.abs(step).max(), limit)
        u = u - step
    ours = np.array([case["points"][i]["at"] for i in net.free]).ravel()
    within("places, m", np.abs(ours - u[: net.levels]).max(), PLACE)
    m = len(net.observations)
    r = net.residuals(u)[:m]
    within("sum of squares", abs(case["sum"] - r @ r) / max(r @ r, 1.0), FIGURE)
    if net.tilted:
        within("tilt, rad", np.abs(np.array(case["tilt"]["tilt"]) - u[net.tilt :]).max(), PLACE)
    for l in case["levels"]:
        within("heights of set-ups, m", abs(l["height"] - u[net.levels + net.setups.index(l["setup"])]), PLACE)
    j = net.jacobian(u)[:m]
    q = net.cofactors(j)
    scale = np.abs(q[: net.levels, : net.levels]).max()
    for k, i in enumerate(net.free):
        own = np.array(case["points"][i]["covariance"]).reshape(3, 3)
        theirs = q[3 * k : 3 * k + 3, 3 * k : 3 * k + 3]
        within("covariance", np.abs(own - theirs).max() / scale, COVARIANCE)
        semi = np.sqrt(chi2.ppf(0.95, 3) * np.linalg.eigvalsh(theirs))[::-1]
        within("half axes", np.abs(semi - case["points"][i]["ellipsoid"]["semi"]).max() / semi[0], 1e-6)
    # Redundancies from the projector in full.
    projector = np.eye(m) - j @ q @ j.T
    z = np.diag(projector)
    freedom = m - net.size + (6 if net.open else 0)
    within("degrees of freedom", abs(case["freedom"] - freedom), 0)
    for i, o in enumerate(case["observations"]):
        within("redundancy", abs(o["redundancy"] - z[i]), FIGURE)
        if o["w"] is not None:
            within("w", abs(o["w"] + r[i] / np.sqrt(z[i])) * np.sqrt(z[i]), FIGURE)
            least = (norm.ppf(0.9995) + norm.ppf(0.8)) / np.sqrt(z[i]) * net.sigma[i]
            within("least error found", abs(o["least_found"] / least - 1) * z[i], FIGURE)
            by = (q @ j[i] * least / net.sigma[i])[: net.levels].reshape(-1, 3)
            far = np.linalg.norm(by, axis=1).max()
            within("what it would move", abs(o["would_move"][1] - far) / max(far, 1e-3) * z[i], FIGURE)
    if case["global"]:
        low, high = chi2.ppf([0.025, 0.975], freedom) / freedom
        within("limits of the factor", max(abs(case["global"]["low"] - low), abs(case["global"]["high"] - high)), 1e-10)
    # One more distance: the first, the middle and the last of the ranking, solved anew.
    gains = case["gains"]
    place = np.array([p["at"] for p in case["points"]])
    for g in (gains[0], gains[len(gains) // 2], gains[-1]):
        way = place[g["to"]] - place[g["from"]]
        row = np.zeros(net.size)
        for end, sign in ((g["from"], -1), (g["to"], 1)):
            if end in net.free:
                k = 3 * net.free.index(end)
                row[k : k + 3] = sign * way / np.linalg.norm(way) / 0.0008
        more = net.cofactors(np.vstack([j, row]))
        trace = np.trace(more[: net.levels, : net.levels])
        within("trace with one more distance", abs(g["after"] - trace) / g["before"], FIGURE)


def main():
    args = [int(a) for a in sys.argv[1:]]
    count, seed = (args + [COUNT, SEED][len(args) :])[:2]
    out = json.loads(example("networks", count, seed))
    worst = {}
    for i, case in enumerate(out["networks"]):
        try:
            network(case, worst)
        except SystemExit as e:
            sys.exit(f"network {i}: {e}")
    for c in out["chances"]:
        pairs = [
            (c["quantile"] / chi2.ppf(c["p"], c["freedom"]), 1.0),
            (c["up_to"], chi2.cdf(c["x"], c["freedom"])),
            (c["normal"], norm.cdf(c["z"])),
        ]
        for own, theirs in pairs:
            worst["chances"] = max(worst.get("chances", 0.0), abs(own - theirs))
    for f in out["fits"]:
        p = f["pairs"]
        a, b, w = (np.array([x[k] for x in p]) for k in ("measured", "design", "weight"))
        ma, mb = w @ a / w.sum(), w @ b / w.sum()
        rotation, _ = Rotation.align_vectors(b - mb, a - ma, weights=w)
        off = rotation.apply(a - ma) + mb - b
        own = np.array(f["fit"]["deviations"])
        worst["best fits, m"] = max(worst.get("best fits, m", 0.0), np.abs(own - off).max())
    if not worst["chances"] <= CHANCE or not worst["best fits, m"] <= FIT:
        sys.exit(f"chances {worst['chances']:.3e}, best fits {worst['best fits, m']:.3e}")
    print(f"{count} networks, {sum(len(c['network']['observations']) for c in out['networks'])} measurements; worst:")
    for what, off in worst.items():
        print(f"  {what:32} {off:.1e}")


main()
