"""A demo's load pushed past yielding, against a model with large displacements and yielding written here from textbooks.

The straight bars, joints, rigid arms, sections' outlines and loads come from `crates/strength/examples/push.rs`, cut about
twice as fine as the program cuts its own. All mechanics is of this file, and of another kind than the program's:

- elements by displacements, not by forces: cubics with shear deformation (Przemieniecki 1968), one axial strain along the
  element with the mean square of its slopes in it, Lobatto's three places; a bar's axes turn with the mean of its ends'
  turns, then onto its chord (after Crisfield, Non-linear Finite Element Analysis, vol. 2, 1997);
- the forces on the nodes are the slope of the stored energy, by differences of the deformations for every motion of every
  node: they are in balance with the energy to rounding, whatever the turns;
- sections are fibres in two layers, placed here from the outline, pulled and sheared: elastic to von Mises' yield stress, then
  the same small slope, the elastic range moving along (kinematic hardening); the way back to the yield by halving;
- the load's way is given step by step, Newton's steps are searched along for where the work stops falling.

Compares the loads along the way, up to well past the peak, with the program's: within 1 %. Prints the times' ratio.
`collapse.py [FILE LOAD TRAVEL_MM]`.
"""

import json
import sys
import time

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl
from scipy.spatial.transform import Rotation

import turns
from program import example

WITHIN = 0.01
AROUND, LAYERS = 32, 2
PLACES = np.array([0.0, 0.5, 1.0])
WEIGHTS = np.array([1, 4, 1]) / 6
STEP = 1.5e-3  # m, of the place told
BALANCE = 1e-4
# Legs whose elastic stress at FACTOR times the load is over NEAR of the yield stress are cut finest: in these shares.
FACTOR, NEAR = 2.6, 0.5
GRADED = [0.02, 0.03, 0.06, 0.12, 0.27, 0.27, 0.12, 0.06, 0.03, 0.02]


def ring(od, wall):
    """Fibres of a round tube: y, z, area."""
    out = []
    for k in range(LAYERS):
        b = od / 2 - wall * k / LAYERS
        a = b - wall / LAYERS
        r = np.sqrt((a * a + b * b) / 2)  # the layer's second moment is exact
        angle = 2 * np.pi * (np.arange(AROUND) + 0.5) / AROUND
        area = np.pi * (b * b - a * a) / AROUND
        out.append(np.stack([r * np.cos(angle), r * np.sin(angle), np.full(AROUND, area)], axis=1))
    return np.concatenate(out)


def box(width, height, wall, corner):
    """Fibres of a box: each layer's middle line, in equal parts."""
    out = []
    for k in range(LAYERS):
        t = wall / LAYERS
        inset = t * (k + 0.5)
        w, h, r = width / 2 - inset, height / 2 - inset, max(corner - inset, 0.0)
        n = 2000
        line = []
        for cx, cy, turn in [(w - r, h - r, 0), (r - w, h - r, 1), (r - w, r - h, 2), (w - r, r - h, 3)]:
            a = (turn + np.linspace(0, 1, n)) * np.pi / 2
            line.append(np.stack([cx + r * np.cos(a), cy + r * np.sin(a)], axis=1))
        line = np.concatenate(line)
        line = np.concatenate([line, line[:1]])
        s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
        at = s[-1] * (np.arange(AROUND) + 0.5) / AROUND
        places = np.stack([np.interp(at, s, line[:, i]) for i in range(2)], axis=1)
        out.append(np.column_stack([places, np.full(AROUND, s[-1] * t / AROUND)]))
    return np.concatenate(out)


def factors(k):
    """A stiffness of symmetric shape, in an order that keeps its factors thin."""
    return spl.splu(k, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}, diag_pivot_thresh=0.01)


def cut(m, bar, shares):
    """A bar in parts: new nodes on its line."""
    a, b = np.array(bar["start"]), np.array(bar["end"])
    out, start, node = [], a, bar["nodes"][0]
    for k, share in enumerate(np.cumsum(shares)):
        last = k == len(shares) - 1
        end = b if last else a + share * (b - a)
        if not last:
            m["nodes"].append(list(end))
        to = bar["nodes"][1] if last else len(m["nodes"]) - 1
        out.append(dict(bar, nodes=[node, to], start=start, end=end))
        start, node = end, to
    return out


def finer(m):
    """Legs that come near yielding, as far as the elastic frame tells, in parts that are short at their ends."""
    frame = Frame(m)
    f = frame.free
    inner, _, k = frame.at(frame.x0, turns.identity(frame.n), np.zeros((3, 2, *frame.y.shape)), True)
    step = np.zeros(6 * frame.n)
    step[f] = spl.spsolve(k[f][:, f], frame.load[f])
    q, _, _ = frame.kinematics(*frame.moved(frame.x0, turns.identity(frame.n), step * 1e-3))
    most = np.zeros(len(frame.length))
    for g in (0, 2):
        ky = frame.bend[0, g, 0] * q[1] + frame.bend[0, g, 1] * q[3]
        kz = frame.bend[1, g, 0] * q[2] + frame.bend[1, g, 1] * q[4]
        strain = np.abs((q[0] / frame.length)[:, None] + ky[:, None] * frame.z - kz[:, None] * frame.y).max(axis=1)
        most = np.maximum(most, strain * frame.E / frame.fy * 1e3)
    bars = []
    for bar, use in zip(m["bars"], most):
        near = use * FACTOR > NEAR
        bars += cut(m, bar, [1.0] if bar["bend"] else GRADED if near else [0.5, 0.5])
    return Frame(dict(m, bars=bars))


class Frame:
    def __init__(self, m):
        self.x0 = np.array(m["nodes"])
        self.n = len(self.x0)
        bars = m["bars"]
        self.nodes = np.array([b["nodes"] for b in bars])
        ends = np.array([[b["start"], b["end"]] for b in bars])
        self.arms = ends - self.x0[self.nodes]
        d = ends[:, 1] - ends[:, 0]
        self.length = np.linalg.norm(d, axis=1)
        x = d / self.length[:, None]
        u = np.array([b["u"] for b in bars])
        u -= x * np.sum(x * u, axis=1)[:, None]
        u /= np.linalg.norm(u, axis=1)[:, None]
        self.axes = np.stack([x, u, np.cross(x, u)], axis=2)  # columns
        self.frame = Rotation.from_matrix(self.axes).as_quat()
        kinds = []
        for s in m["sections"]:
            f = None
            if s["outline"]:
                f = ring(*s["outline"]["round"]) if "round" in s["outline"] else box(*s["outline"]["box"])
            kinds.append(f)
        of = [b["section"] for b in bars]
        fibres = np.array([kinds[k] for k in of])
        self.y, self.z, self.a = fibres[..., 0], fibres[..., 1], fibres[..., 2]

        def prop(k):
            return np.array([m["sections"][i][k] for i in of])

        self.E, self.G, self.J = prop("E"), prop("G"), prop("J")
        self.fy, self.hard = prop("yield"), prop("hardening")
        shear = np.array([m["sections"][i]["As"] for i in of])
        L = self.length
        # Bending about z moves along y and shears the area along y (u).
        iz, iy = np.sum(self.a * self.y**2, axis=1), np.sum(self.a * self.z**2, axis=1)
        self.shear = self.G[:, None] * shear
        # One shear stress all round a closed wall (Bredt): the lever that gives both G J and its torque.
        self.lever = np.sqrt(self.J / np.sum(self.a, axis=1))
        phi = np.stack([12 * self.E * iy / (self.shear[:, 1] * L**2), 12 * self.E * iz / (self.shear[:, 0] * L**2)])
        # Curvature from the turns of start and end: axis, place, end.
        self.bend = np.stack(
            [[(6 * s - 4 - p) / (1 + p) / L, (6 * s - 2 + p) / (1 + p) / L] for p in phi for s in PLACES]
        ).reshape(2, 3, 2, -1)
        self.slide = phi / (2 * (1 + phi))  # shear angle from the sum of both turns
        held = np.zeros((self.n, 6), bool)
        for h in m["holds"]:
            along = np.array(h["along"])
            assert np.count_nonzero(along) == 1, "supports along the axes"
            held[h["node"], (3 if h["turn"] else 0) + int(np.flatnonzero(along)[0])] = True
        self.free = np.flatnonzero(~held.ravel())
        self.load = np.zeros((self.n, 6))
        for node, f in m["nodal"]:
            self.load[node] += f
        self.load = self.load.ravel()
        self.rows = (6 * self.nodes[:, :, None] + np.arange(6)).reshape(-1, 12)

    def deformations(self, p, r):
        """Stretch; turns of the start about y and z, of the end; twist. `p` ends' places, `r` ends' turns of the axes."""
        d = p[1] - p[0]
        length = np.linalg.norm(d, axis=-1)
        # Without cancellation: l - L = (l² - L²) / (l + L).
        d0 = self.axes[:, :, 0] * self.length[:, None]
        stretch = np.sum((d - d0) * (d + d0), axis=-1) / (length + self.length)
        apart = turns.vector(turns.times(r[1], turns.back(r[0])))
        mean = turns.times(turns.of(apart / 2), r[0])
        # Onto the chord by the smallest turn.
        e, m = d / length[..., None], turns.apply(mean, np.array([1.0, 0.0, 0.0]))
        axis = np.cross(m, e)
        sine = np.linalg.norm(axis, axis=-1)
        angle = np.arctan2(sine, np.sum(m * e, axis=-1))
        axis *= np.where(sine > 1e-300, angle / np.maximum(sine, 1e-300), 1.0)[..., None]
        own = turns.back(turns.times(turns.of(axis), mean))
        a, b = (turns.vector(turns.times(own, r[k])) for k in range(2))
        return np.stack([stretch, a[..., 1], a[..., 2], b[..., 1], b[..., 2], b[..., 0] - a[..., 0]])

    def kinematics(self, x, turned):
        """Deformations, and their slopes for the twelve motions of both nodes."""
        r = [turned[self.nodes[:, k]] for k in range(2)]
        own = [turns.times(r[k], self.frame) for k in range(2)]
        arm = [turns.apply(r[k], self.arms[:, k]) for k in range(2)]
        p = [x[self.nodes[:, k]] + arm[k] for k in range(2)]
        q = self.deformations(p, own)
        h = 1e-5
        # Every motion forward and back, all at once: sign, motion, bar.
        places, axes = ([np.tile(v, (2, 12, 1, 1)) for v in of] for of in (p, own))
        for sign, way in enumerate((h, -h)):
            for k in range(2):
                for i in range(3):
                    step = np.zeros(3)
                    step[i] = way
                    turn = turns.of(step)
                    places[k][sign, 6 * k + i] += step
                    places[k][sign, 6 * k + 3 + i] += turns.apply(turn, arm[k]) - arm[k]
                    axes[k][sign, 6 * k + 3 + i] = turns.times(turn, own[k])
        moved = self.deformations(places, axes)
        return q, (moved[:, 0] - moved[:, 1]) / (2 * h), p

    def material(self, strain, sheared, lasting, tangent):
        """Stresses, their slopes (pull by pull, pull by shear, shear by shear) and lasting strains of all fibres."""
        E, G = self.E[:, None], self.G[:, None]
        h = (self.E * self.hard / (1 - self.hard))[:, None]
        fy = self.fy[:, None]

        def at(e, g):
            s0 = E * (e - lasting[0]) - h * lasting[0]
            t0 = G * (g - lasting[1]) - h / 3 * lasting[1]
            over = np.sqrt(s0**2 + 3 * t0**2) > fy
            a, b = np.broadcast_to(E + h, e.shape)[over], np.broadcast_to(3 * G + h, e.shape)[over]
            s1, t1, f1 = s0[over], t0[over], np.broadcast_to(fy, e.shape)[over]
            # The multiplier lies where the stress is down at the yield: halved until it is there.
            low = np.zeros_like(s1)
            high = np.sqrt(s1**2 + 3 * t1**2) / (np.minimum(a, b) * f1)
            for _ in range(60):
                x = (low + high) / 2
                far = (s1 / (1 + a * x)) ** 2 + 3 * (t1 / (1 + b * x)) ** 2 > f1**2
                low, high = np.where(far, x, low), np.where(far, high, x)
            x = (low + high) / 2
            pe, pg = lasting[0].copy(), lasting[1].copy()
            pe[over] += x * s1 / (1 + a * x)
            pg[over] += 3 * x * t1 / (1 + b * x)
            return np.stack([E * (e - pe), G * (g - pg)]), np.stack([pe, pg]), over

        stress, now, over = at(strain, sheared)
        if not tangent:
            return stress, None, now
        slope = np.stack([np.broadcast_to(E, strain.shape), np.zeros_like(strain), np.broadcast_to(G, strain.shape)]).copy()
        if over.any():
            # Slopes by differences: good enough for Newton's steps.
            d = 1e-8
            by_e = (at(strain + d, sheared)[0] - at(strain - d, sheared)[0]) / (2 * d)
            by_g = (at(strain, sheared + d)[0] - at(strain, sheared - d)[0]) / (2 * d)
            for k, v in enumerate([by_e[0], (by_e[1] + by_g[0]) / 2, by_g[1]]):
                slope[k][over] = v[over]
        return stress, slope, now

    def bars(self, q, lasting, tangent):
        """The bars' own forces, their slope, and the lasting strains: incremental energy's slopes."""
        n, L = len(self.length), self.length
        row = np.zeros((6, n))
        row[0] = 1 / L
        strain0 = q[0] / L
        for a, b in [(1, 3), (2, 4)]:
            strain0 = strain0 + (2 * q[a] ** 2 - q[a] * q[b] + 2 * q[b] ** 2) / 30
            row[a], row[b] = (4 * q[a] - q[b]) / 30, (4 * q[b] - q[a]) / 30
        forces = np.zeros((6, n))
        stiff = np.zeros((6, 6, n))
        now = np.empty_like(lasting)
        for g in range(3):
            ky = self.bend[0, g, 0] * q[1] + self.bend[0, g, 1] * q[3]
            kz = self.bend[1, g, 0] * q[2] + self.bend[1, g, 1] * q[4]
            strain = strain0[:, None] + ky[:, None] * self.z - kz[:, None] * self.y
            sheared = np.broadcast_to((self.lever * q[5] / L)[:, None], strain.shape)
            stress, slope, now[g] = self.material(strain, sheared, lasting[g], tangent)
            stress = stress * self.a
            b = np.zeros((4, 6, n))
            b[0] = row
            b[1, 1], b[1, 3] = self.bend[0, g]
            b[2, 2], b[2, 4] = self.bend[1, g]
            b[3, 5] = 1 / L
            # Each section strain's part in a fibre's stretch, or in its shear.
            arm = [np.ones_like(self.z), self.z, -self.y, np.broadcast_to(self.lever[:, None], self.z.shape)]
            s = np.stack([np.sum(stress[int(k == 3)] * x, axis=1) for k, x in enumerate(arm)])
            forces += WEIGHTS[g] * L * np.einsum("sqn,sn->qn", b, s)
            # Tension does work where the bow grows.
            for i, j, c in [(1, 1, 4), (3, 3, 4), (1, 3, -1), (3, 1, -1), (2, 2, 4), (4, 4, 4), (2, 4, -1), (4, 2, -1)]:
                stiff[i, j] += WEIGHTS[g] * L * s[0] * c / 30
            if tangent:
                d = np.array([[np.sum(slope[int(j == 3) + int(k == 3)] * self.a * x * y, axis=1)
                               for k, x in enumerate(arm)] for j, y in enumerate(arm)])
                stiff += WEIGHTS[g] * L * np.einsum("sqn,stn,tpn->qpn", b, d, b, optimize=True)
        for (a, b), w, area in [((1, 3), 0, self.shear[:, 1]), ((2, 4), 1, self.shear[:, 0])]:
            k = area * L * self.slide[w] ** 2
            for i in (a, b):
                forces[i] += k * (q[a] + q[b])
                for j in (a, b):
                    stiff[i, j] += k
        return forces, stiff, now

    def at(self, x, turned, lasting, tangent=False):
        """Forces that hold the nodes there; the lasting strains; the stiffness."""
        q, slopes, p = self.kinematics(x, turned)
        own, stiff, now = self.bars(q, lasting, tangent)
        per_bar = np.einsum("qin,qn->ni", slopes, own)
        inner = np.zeros(6 * self.n)
        np.add.at(inner, self.rows, per_bar)
        if not tangent:
            return inner, now, None
        k = np.einsum("qin,qpn,pjn->nij", slopes, stiff, slopes, optimize=True)
        # The chord turns: its force stays along it. Moments' share is left out, the search along the step makes up for it.
        d = p[1] - p[0]
        length = np.linalg.norm(d, axis=1)
        e = d / length[:, None]
        across = (np.eye(3) - e[:, :, None] * e[:, None, :]) * (own[0] / length)[:, None, None]
        k[:, 0:3, 0:3] += across
        k[:, 6:9, 6:9] += across
        k[:, 0:3, 6:9] -= across
        k[:, 6:9, 0:3] -= across
        i, j = np.repeat(self.rows, 12, axis=1).ravel(), np.tile(self.rows, (1, 12)).ravel()
        return inner, now, sp.csc_matrix((k.ravel(), (i, j)), shape=(6 * self.n, 6 * self.n))

    def moved(self, x, turned, step):
        s = step.reshape(-1, 6)
        return x + s[:, :3], turns.times(turns.of(s[:, 3:]), turned)

    def push(self, told, along, travel):
        """The path: way of the place told, factor; and the time it took."""
        x, turned = self.x0.copy(), turns.identity(self.n)
        lasting = np.zeros((3, 2, *self.y.shape))
        before = lasting
        factor, path, f = 0.0, [(0.0, 0.0)], self.free
        load = self.load
        size = np.abs(load).max()
        _, _, k = self.at(x, turned, lasting, True)
        step = STEP / 2
        while path[-1][0] < travel:
            ahead = np.zeros(6 * self.n)
            ahead[f] = factors(k[f][:, f]).solve(load[f])
            if load @ ahead < 0:
                ahead = -ahead
            way = abs(ahead.reshape(-1, 6)[told, :3] @ along)
            found = None
            while found is None and step > STEP / 1000:
                found = self.point(x, turned, lasting, ahead * (step / way), factor, size)
                if found is None:
                    step /= 2
            assert found is not None, f"no point after {path[-1]}"
            x, turned, before, factor, rounds = found
            # Yielding is taken to go on: the slope of this step, not that of springing back.
            _, now, k = self.at(x, turned, lasting, True)
            lasting = now
            path.append(((x - self.x0)[told] @ along, factor))
            step = min(STEP, step * (1.4 if rounds < 8 else 1.0))
        return np.array(path)

    def point(self, x, turned, lasting, moved, factor, size):
        f, load = self.free, self.load
        x, turned = self.moved(x, turned, moved)
        inner, _, k = self.at(x, turned, lasting, True)
        for rounds in range(1, 25):
            lam = factor
            solve = factors(k[f][:, f])
            by_load, by_rest = solve.solve(load[f]), solve.solve(-inner[f])
            lam = -(load[f] @ by_rest) / (load[f] @ by_load)
            rest = lam * load[f] - inner[f]
            if np.abs(rest).max() <= BALANCE * max(abs(lam) * size, 1e-2 * size):
                return x, turned, None, lam, rounds
            step = np.zeros(6 * self.n)
            step[f] = by_rest + lam * by_load
            first = -(step @ inner)
            share, low, high = 1.0, (0.0, first), None
            for look in range(8):
                x1, t1 = self.moved(x, turned, step * share)
                i1, _, k1 = self.at(x1, t1, lasting, True)
                now = -(step @ i1)
                if first <= 0 or abs(now) <= 0.6 * first or (look == 0 and now > 0):
                    break
                if now > 0:
                    low = (share, now)
                else:
                    high = (share, now)
                share = (low[0] + high[0]) / 2
            x, turned, inner, k = x1, t1, i1, k1
        return None


def main():
    args = sys.argv[1:] if len(sys.argv) > 1 else ["examples/gorse.toml", "roof_corner", "45"]
    file, load = args[:2]
    m = json.loads(example("push", *args))
    frame = finer(m)
    clock = time.perf_counter()
    path = frame.push(m["told"], np.array(m["along"]), m["travel"])
    seconds = time.perf_counter() - clock
    ours = np.array(m["curve"])
    at = ours[1:-1, 0]
    at = at[at < min(m["travel"], path[-1, 0])]
    want = np.interp(at, path[:, 0], path[:, 1])
    got = np.interp(at, ours[:, 0], ours[:, 1])
    worst = np.argmax(np.abs(got / want - 1))
    peaks = ours[:, 1].max(), path[:, 1].max()
    print(f"{load} of {file}: {m['our_bars']} bars here, {len(frame.length)} there; peak {peaks[0]:.4f} beside {peaks[1]:.4f}, "
          f"{peaks[0] / peaks[1] - 1:+.2%}; worst {got[worst] / want[worst] - 1:+.2%} at {at[worst] * 1e3:.1f} mm; "
          f"there it takes {seconds / m['seconds']:.0f} times as long")
    assert abs(peaks[0] / peaks[1] - 1) < WITHIN, "the peaks differ"
    assert abs(got[worst] / want[worst] - 1) < WITHIN, "the paths differ"


if __name__ == "__main__":
    main()
