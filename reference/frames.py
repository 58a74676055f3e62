"""Frames against matrices out of a textbook, solved by scipy, and against PyNite.

Frames from `crates/frame/examples/frames.rs` (lattices moved a little; sections stiffer about one axis; with and without
shear deformation; beams off their nodes, held by rigid links; supports along any direction, moved ones; loads on nodes,
along beams, on masses) are taken to

- scipy: local matrices of twelve by twelve as printed in Przemieniecki, Theory of Matrix Structural Analysis (1968), for
  stiffness with shear; consistent mass and the stiffness from tension are integrated here from the shape functions of
  Friedman and Kosmatka (Computers & Structures 47, 1993; formulas from memory). Assembled, turned, linked and held anew
  here, by eliminating freedoms through a null-space basis. Motions, reactions, end forces within 1e-8 of their largest;
  natural frequencies and buckling factors of the same beams in parts within 1e-6;
- PyNite, where there is neither shear deformation, nor links, nor slanting supports, nor loads along beams: motions
  within 1e-8.

Larger plain frames, and how long they take: `frame_speed.py`. `frames.py [COUNT [SEED]]`.
"""

import json
import sys

import numpy as np
import scipy.linalg
import scipy.sparse as sp
import scipy.sparse.linalg as spl

from program import example

COUNT, SEED = 100, 1
STATIC = 1e-8
MODES = 1e-6


def skew(r):
    return np.array([[0, -r[2], r[1]], [r[2], 0, -r[0]], [-r[1], r[0], 0]])


class Bar:
    """A straight beam in its own axes: x along it, y along u, z along v."""

    def __init__(self, beam, section):
        self.start, self.end = np.array(beam["start"]), np.array(beam["end"])
        self.nodes, self.s = beam["nodes"], section
        d = self.end - self.start
        self.length = np.linalg.norm(d)
        x = d / self.length
        u = np.array(beam["u"])
        u = u - x * (x @ u)
        u /= np.linalg.norm(u)
        self.axes = np.array([x, u, np.cross(x, u)])
        E, G, L = section["E"], section["G"], self.length
        Iu, Iv = section["I"]
        shear = [0.0 if a is None else 1.0 / a for a in section["As"]]
        # Bending along y turns about z (v): with Iv and the shear area along u; along z about y (u).
        self.phi_y = 12 * E * Iv * shear[0] / (G * L * L)
        self.phi_z = 12 * E * Iu * shear[1] / (G * L * L)

    def stiffness(self):
        s, L = self.s, self.length
        E, G, A, J = s["E"], s["G"], s["A"], s["J"]
        Iu, Iv = s["I"]
        k = np.zeros((12, 12))
        py, pz = self.phi_y, self.phi_z
        k[0, 0] = k[6, 6] = E * A / L
        k[0, 6] = -E * A / L
        k[3, 3] = k[9, 9] = G * J / L
        k[3, 9] = -G * J / L
        a = 12 * E * Iv / (L**3 * (1 + py))
        k[1, 1] = k[7, 7] = a
        k[1, 7] = -a
        k[1, 5] = k[1, 11] = a * L / 2
        k[5, 7] = k[7, 11] = -a * L / 2
        k[5, 5] = k[11, 11] = (4 + py) * E * Iv / (L * (1 + py))
        k[5, 11] = (2 - py) * E * Iv / (L * (1 + py))
        a = 12 * E * Iu / (L**3 * (1 + pz))
        k[2, 2] = k[8, 8] = a
        k[2, 8] = -a
        k[2, 4] = k[2, 10] = -a * L / 2
        k[4, 8] = k[8, 10] = a * L / 2
        k[4, 4] = k[10, 10] = (4 + pz) * E * Iu / (L * (1 + pz))
        k[4, 10] = (2 - pz) * E * Iu / (L * (1 + pz))
        return k + np.triu(k, 1).T

    def even_load(self, q):
        """Nodal loads of an even load (own axes): the same with and without shear deformation."""
        L = self.length
        p = np.zeros(12)
        for i in range(3):
            p[i] = p[6 + i] = q[i] * L / 2
        p[5], p[11] = q[1] * L * L / 12, -q[1] * L * L / 12
        p[4], p[10] = -q[2] * L * L / 12, q[2] * L * L / 12
        return p

    def shapes(self, xi):
        """Rows: displacement along x, y, z and turns about x, y, z; and the slopes of y and z and the twist."""
        L = self.length
        n = np.zeros((6, 12))
        slope = np.zeros((3, 12))
        n[0, 0], n[0, 6] = 1 - xi, xi
        n[3, 3], n[3, 9] = 1 - xi, xi
        slope[2, 3], slope[2, 9] = -1 / L, 1 / L
        for phi, w, t, sign in [(self.phi_y, 1, 5, 1.0), (self.phi_z, 2, 4, -1.0)]:
            c = 1 / (1 + phi)
            w1 = c * (2 * xi**3 - 3 * xi**2 - phi * xi + 1 + phi)
            t1 = c * L * (xi**3 - (2 + phi / 2) * xi**2 + (1 + phi / 2) * xi)
            w2 = c * (-2 * xi**3 + 3 * xi**2 + phi * xi)
            t2 = c * L * (xi**3 - (1 - phi / 2) * xi**2 - phi / 2 * xi)
            d1 = c * (6 * xi**2 - 6 * xi - phi) / L
            e1 = c * (3 * xi**2 - 2 * (2 + phi / 2) * xi + 1 + phi / 2)
            d2 = c * (-6 * xi**2 + 6 * xi + phi) / L
            e2 = c * (3 * xi**2 - 2 * (1 - phi / 2) * xi - phi / 2)
            a1 = c * 6 * (xi**2 - xi) / L
            b1 = c * (3 * xi**2 - (4 + phi) * xi + 1 + phi)
            a2 = -a1
            b2 = c * (3 * xi**2 - (2 - phi) * xi)
            n[w, w], n[w, t], n[w, w + 6], n[w, t + 6] = w1, sign * t1, w2, sign * t2
            n[t, w], n[t, t], n[t, w + 6], n[t, t + 6] = sign * a1, b1, sign * a2, b2
            slope[w - 1, w], slope[w - 1, t] = d1, sign * e1
            slope[w - 1, w + 6], slope[w - 1, t + 6] = d2, sign * e2
        return n, slope

    def integrate(self, of):
        points, weights = np.polynomial.legendre.leggauss(6)
        return sum(of(*self.shapes((1 + x) / 2)) * w for x, w in zip(points, weights)) * self.length / 2

    def mass(self):
        s = self.s
        Iu, Iv = s["I"]
        m = np.diag([s["A"]] * 3 + [Iu + Iv, Iu, Iv]) * s["rho"]
        return self.integrate(lambda n, _: n.T @ m @ n)

    def geometric(self, tension):
        Iu, Iv = self.s["I"]
        g = np.diag([1, 1, (Iu + Iv) / self.s["A"]]) * tension
        return self.integrate(lambda _, d: d.T @ g @ d)

    def to_nodes(self, places):
        """Own motions of both ends from the motions of both nodes."""
        t = np.zeros((12, 12))
        for k, p in enumerate([self.start, self.end]):
            r = p - places[self.nodes[k]]
            carry = np.block([[np.eye(3), -skew(r)], [np.zeros((3, 3)), np.eye(3)]])
            turn = np.kron(np.eye(2), self.axes)
            t[6 * k : 6 * k + 6, 6 * k : 6 * k + 6] = turn @ carry
        return t


class Model:
    def __init__(self, m):
        self.nodes = np.array(m["nodes"])
        self.bars = [Bar(b, m["sections"][b["section"]]) for b in m["beams"]]
        self.turns = [b.to_nodes(self.nodes) for b in self.bars]
        self.lumps = m["lumps"]
        self.n = 6 * len(self.nodes)

    def rows(self, b):
        return np.concatenate([np.arange(6 * k, 6 * k + 6) for k in b.nodes])

    def assemble(self, of):
        i, j, x = [], [], []
        for b, t in zip(self.bars, self.turns):
            k = t.T @ of(b) @ t
            r = self.rows(b)
            i.append(np.repeat(r, 12))
            j.append(np.tile(r, 12))
            x.append(k.ravel())
        c = np.concatenate
        return sp.csc_matrix((c(x), (c(i), c(j))), shape=(self.n, self.n))

    def carriers(self, lump):
        """From the motions of the nodes to that of the lump: least squares of a rigid motion, by weight."""
        ids = [n for n, _, _ in lump["nodes"]]
        w = np.array([w for _, w, _ in lump["nodes"]])
        arms = np.array([a for _, _, a in lump["nodes"]])
        p = self.nodes[ids] + arms
        centre = w @ p / w.sum()
        d = np.zeros((6, self.n))
        t = sum(wi * (skew(r).T @ skew(r)) for wi, r in zip(w, p - centre))
        inverse = np.linalg.pinv(t, rcond=1e-6, hermitian=True) if len(ids) > 1 else np.zeros((3, 3))
        rest = np.eye(3) - inverse @ t
        arm = np.array(lump["at"]) - centre
        for k, wi, r, a in zip(ids, w, p - centre, arms):
            turn = np.hstack([inverse @ (wi * skew(r)), rest * wi / w.sum()])
            move = np.hstack([np.eye(3) * wi / w.sum(), np.zeros((3, 3))]) - skew(arm) @ turn
            # A place beside its node goes with the node's turn, too.
            beside = np.block([[np.eye(3), -skew(a)], [np.zeros((3, 3)), np.eye(3)]])
            d[:, 6 * k : 6 * k + 6] += np.vstack([move, turn]) @ beside
        return d

    def load(self, loads):
        p = np.zeros(self.n)
        for node, f in loads["nodal"]:
            p[6 * node : 6 * node + 6] += f
        q = [np.array(loads["field"]) * b.s["rho"] * b.s["A"] for b in self.bars]
        for beam, f in loads["spread"]:
            q[beam] = q[beam] + f
        for b, t, f in zip(self.bars, self.turns, q):
            if np.any(f):
                p[self.rows(b)] += t.T @ b.even_load(b.axes @ f)
        for lump in self.lumps:
            force = np.concatenate([np.array(loads["field"]) * lump["mass"], np.zeros(3)])
            p += self.carriers(lump).T @ force
        self.q = q
        return p

    def basis(self, holds):
        """A basis of the motions that the supports allow, and one motion that they force."""
        rows = []
        for h in holds:
            r = np.zeros(self.n)
            d = np.array(h["along"]) / np.linalg.norm(h["along"])
            at = 6 * h["node"] + (3 if h["turn"] else 0)
            r[at : at + 3] = d
            rows.append((r, h["by"]))
        nodes = sorted({h["node"] for h in holds})
        free = [k for k in range(self.n) if k // 6 not in nodes]
        held = np.concatenate([np.arange(6 * k, 6 * k + 6) for k in nodes])
        c = np.array([r[held] for r, _ in rows])
        by = np.array([b for _, b in rows])
        null = scipy.linalg.null_space(c)
        forced = np.zeros(self.n)
        forced[held] = np.linalg.lstsq(c, by, rcond=None)[0]
        z = sp.lil_matrix((self.n, len(free) + null.shape[1]))
        for k, i in enumerate(free):
            z[i, k] = 1
        for a, i in enumerate(held):
            for b in range(null.shape[1]):
                z[i, len(free) + b] = null[a, b]
        return z.tocsc(), forced


def solve(m, holds, loads):
    model = Model(m)
    k = model.assemble(Bar.stiffness)
    p = model.load(loads)
    z, forced = model.basis(holds)
    u = forced + z @ spl.spsolve((z.T @ k @ z).tocsc(), z.T @ (p - k @ forced))
    reaction = k @ u - p
    ends = []
    for b, t, q in zip(model.bars, model.turns, model.q):
        f = b.stiffness() @ (t @ u[model.rows(b)]) - b.even_load(b.axes @ q)
        turn = np.kron(np.eye(2), b.axes)
        ends.append((turn.T @ f[6:]))
    return model, u, reaction, np.array(ends)


def off(got, want, scale=None):
    return np.abs(np.asarray(got) - want).max() / (scale or np.abs(want).max())


def statics(frame):
    model, u, reaction, ends = solve(frame["model"], frame["holds"], frame["loads"])
    size = np.linalg.norm(np.ptp(model.nodes, axis=0))
    scale = np.array([1, 1, 1, size, size, size])
    got = np.array(frame["motions"]) * scale
    worst = off(got, u.reshape(-1, 6) * scale)
    held = np.array([r for n, r in frame["reactions"]])
    want = reaction.reshape(-1, 6)[[n for n, _ in frame["reactions"]]]
    worst = max(worst, off(held / scale, want / scale))
    return max(worst, off(np.array(frame["end_forces"]) / scale, ends / scale)), u


def modes(frame):
    model = Model(frame["fine"])
    still = [dict(h, by=0.0) for h in frame["holds"]]
    z, _ = model.basis(still)
    k = model.assemble(Bar.stiffness)
    mass = model.assemble(Bar.mass).toarray()
    for lump in model.lumps:
        d = model.carriers(lump)
        own = scipy.linalg.block_diag(lump["mass"] * np.eye(3), np.array(lump["inertia"]))
        mass += d.T @ own @ d
    kz = (z.T @ k @ z).toarray()
    mz = z.T @ mass @ z
    want = scipy.linalg.eigh(kz, mz, subset_by_index=[0, len(frame["hz"]) - 1], eigvals_only=True)
    worst = max(abs(np.array(frame["hz"]) / (np.sqrt(want) / (2 * np.pi)) - 1))
    plain = {"nodal": frame["loads"]["nodal"], "spread": [], "field": [0, 0, 0]}
    _, _, _, ends = solve({**frame["fine"], "lumps": []}, still, plain)
    tension = [b.axes[0] @ e[:3] for b, e in zip(model.bars, ends)]
    of = dict(zip(map(id, model.bars), tension))
    g = model.assemble(lambda b: b.geometric(of[id(b)]))
    gz = (z.T @ g @ z).toarray()
    # -G x = (1/λ) K x: the largest first.
    inverse = scipy.linalg.eigh(-gz, kz, eigvals_only=True)[::-1]
    # Fewer than four were found only if no more are above zero.
    inverse = inverse[:4][inverse[:4] > 1e-11 * abs(inverse).max()]
    assert len(inverse) == len(frame["factors"]), f"{len(frame['factors'])} ways to buckle, not {len(inverse)}"
    if not len(inverse):
        return worst, 0.0
    return worst, max(abs(np.array(frame["factors"]) * inverse - 1))


def plain(frame):
    m = frame["model"]
    square = all(
        np.count_nonzero(h["along"]) == 1 and h["by"] == 0 for h in frame["holds"]
    )
    linked = any(
        not np.allclose([b["start"], b["end"]], [m["nodes"][n] for n in b["nodes"]], atol=1e-12) for b in m["beams"]
    )
    shear = any(s["As"] != [None, None] for s in m["sections"])
    return square and not linked and not shear and not frame["loads"]["spread"] and not any(frame["loads"]["field"])


def pynite(frame):
    """PyNite's model of a plain frame, ready to be solved. It turns a section about its own idea of upright."""
    from Pynite import FEModel3D

    m = frame["model"]
    f = FEModel3D()
    for i, p in enumerate(m["nodes"]):
        f.add_node(f"N{i}", *p)
    f.add_material("steel", m["sections"][0]["E"], m["sections"][0]["G"], 0.3, 0.0)
    for i, s in enumerate(m["sections"]):
        # Its Iy is about its y, which is u here.
        f.add_section(f"S{i}", s["A"], s["I"][0], s["I"][1], s["J"])
    for i, b in enumerate(m["beams"]):
        f.add_member(f"M{i}", f"N{b['nodes'][0]}", f"N{b['nodes'][1]}", "steel", f"S{b['section']}")
        member = f.members[f"M{i}"]
        t = member.T()[:3, :3]
        u = np.array(b["u"])
        # Turn about its x that brings its y to u.
        member.rotation = np.degrees(np.arctan2(t[2] @ u, t[1] @ u))
        if not np.allclose(member.T()[1, :3], u, atol=1e-9):
            member.rotation *= -1
        assert np.allclose(member.T()[1, :3], u, atol=1e-9), "PyNite's axes are understood"
    for node in {h["node"] for h in frame["holds"]}:
        fix = [False] * 6
        for h in frame["holds"]:
            if h["node"] == node:
                fix[(3 if h["turn"] else 0) + int(np.flatnonzero(h["along"])[0])] = True
        f.def_support(f"N{node}", *fix)
    for node, load in frame["loads"]["nodal"]:
        for d, x in zip(["FX", "FY", "FZ", "MX", "MY", "MZ"], load):
            f.add_node_load(f"N{node}", d, x)
    return f


def pynite_motions(f, count):
    names = ["DX", "DY", "DZ", "RX", "RY", "RZ"]
    return np.array([[getattr(f.nodes[f"N{i}"], d)["Combo 1"] for d in names] for i in range(count)])


def main():
    count = sys.argv[1] if len(sys.argv) > 1 else str(COUNT)
    seed = sys.argv[2] if len(sys.argv) > 2 else str(SEED)
    out = json.loads(example("frames", count, seed))
    worst_static = worst_hz = worst_factor = worst_pynite = 0.0
    by_pynite = 0
    for i, frame in enumerate(out["frames"]):
        static, u = statics(frame)
        hz, factor = modes(frame)
        assert static < STATIC, f"frame {i}: statics differ by {static:.1e}"
        assert hz < MODES and factor < MODES, f"frame {i}: modes differ by {hz:.1e}, {factor:.1e}"
        worst_static, worst_hz, worst_factor = max(worst_static, static), max(worst_hz, hz), max(worst_factor, factor)
        if plain(frame):
            f = pynite(frame)
            f.analyze_linear(check_stability=False)
            got = pynite_motions(f, len(frame["motions"]))
            difference = off(frame["motions"], got)
            assert difference < STATIC, f"frame {i}: PyNite differs by {difference:.1e}"
            worst_pynite, by_pynite = max(worst_pynite, difference), by_pynite + 1
    assert by_pynite > 0, "no frame was plain enough for PyNite"
    print(f"{len(out['frames'])} frames beside textbook matrices: statics within {worst_static:.1e}, frequencies "
          f"{worst_hz:.1e}, buckling {worst_factor:.1e}; {by_pynite} beside PyNite within {worst_pynite:.1e}")


if __name__ == "__main__":
    main()
