"""One solver, one frame, one process: `speed_solvers.py SOLVER FRAME.npz REPEATS ANSWER.npy`, for `frame_speed.py`.

Each solver gets the frame as arrays, or as a model in its own terms where it has them, and starts the clock there: what is
timed is stiffness, order of the unknowns, factors, six cases, and the forces at the beams' ends where the solver works them
out by itself. The first of the repeats is not timed if there are more: from it is the memory, the peak above what the process
held when the clock started. Prints JSON; writes the motions, case after case, and end forces if there are any.
"""

import json
import sys
import time

import numpy as np
import scipy.sparse as sp

DIRECTIONS = ["FX", "FY", "FZ", "MX", "MY", "MZ"]
WAYS = ["DX", "DY", "DZ", "RX", "RY", "RZ"]


class Arrays:
    """A frame as arrays, and its stiffness by the textbook (Przemieniecki, Theory of Matrix Structural Analysis, 1968), all
    beams at a time."""

    def __init__(self, file):
        f = np.load(file)
        self.nodes, self.pairs, self.u, self.section = f["nodes"], f["pairs"], f["u"], f["section"]
        self.sections, self.fixed, self.loads = f["sections"], f["fixed"], f["loads"]
        self.size = 6 * len(self.nodes)

    def beams(self):
        """Axes, stiffness in those, and unknowns of each beam."""
        d = self.nodes[self.pairs[:, 1]] - self.nodes[self.pairs[:, 0]]
        L = np.sqrt(np.einsum("bi,bi->b", d, d))
        x = d / L[:, None]
        v = np.cross(x, self.u)
        v /= np.sqrt(np.einsum("bi,bi->b", v, v))[:, None]
        axes = np.stack([x, np.cross(v, x), v], axis=1)
        E, G, A, Iu, Iv, J = self.sections[self.section].T
        k = np.zeros((len(L), 12, 12))
        for i, c in ((0, E * A / L), (3, G * J / L)):
            k[:, i, i] = k[:, i + 6, i + 6] = c
            k[:, i, i + 6] = k[:, i + 6, i] = -c
        for y, r, I, s in ((1, 5, Iv, 1.0), (2, 4, Iu, -1.0)):
            c = E * I / L**3
            k[:, y, y] = k[:, y + 6, y + 6] = 12 * c
            k[:, y, y + 6] = k[:, y + 6, y] = -12 * c
            for t in (r, r + 6):
                k[:, y, t] = k[:, t, y] = 6 * c * L * s
                k[:, y + 6, t] = k[:, t, y + 6] = -6 * c * L * s
            k[:, r, r] = k[:, r + 6, r + 6] = 4 * c * L * L
            k[:, r, r + 6] = k[:, r + 6, r] = 2 * c * L * L
        rows = (6 * self.pairs[:, :, None] + np.arange(6)).reshape(-1, 12)
        return axes, k, rows

    def assembled(self, half):
        """Stiffness of the free unknowns as rows, columns, values (`half`: those on and below the diagonal), and the rest."""
        axes, k, rows = beams = self.beams()
        count = len(k)
        k = axes.transpose(0, 2, 1)[:, None] @ k.reshape(count, 4, 3, 12)
        k = (k.reshape(count, 12, 4, 3) @ axes[:, None]).reshape(count, 12, 12)
        free = np.flatnonzero(~self.fixed.ravel())
        number = np.full(self.size, -1)
        number[free] = np.arange(len(free))
        mine = number[rows]
        i, j = np.broadcast_to(mine[:, :, None], k.shape), np.broadcast_to(mine[:, None, :], k.shape)
        keep = ((i >= j) & (j >= 0)) if half else ((i >= 0) & (j >= 0))
        return i[keep], j[keep], k[keep], free, beams

    def finish(self, free, x, beams):
        """Motions of all nodes, and forces on the beams' ends, for each case."""
        u = np.zeros((self.size, x.shape[1]))
        u[free] = x
        axes, k, rows = beams
        turned = (axes[:, None] @ u[rows].reshape(len(k), 4, 3, -1)).reshape(len(k), 12, -1)
        ends = (k[:, 6:] @ turned).reshape(len(k), 2, 3, -1)
        ends = (axes.transpose(0, 2, 1)[:, None] @ ends).reshape(len(k), 6, -1)
        return u.T, ends.transpose(2, 0, 1)


def scipy_splu(file):
    import scipy
    import scipy.sparse.linalg as spl

    a = Arrays(file)

    def run():
        i, j, k, free, beams = a.assembled(False)
        matrix = sp.coo_matrix((k, (i, j)), shape=(len(free),) * 2).tocsc()
        lu = spl.splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        return a.finish(free, lu.solve(a.loads[:, free].T.copy()), beams)

    return run, f"scipy {scipy.__version__} (SuperLU)"


def cholmod(file):
    import cvxopt
    from cvxopt import cholmod as c

    a = Arrays(file)
    c.options["supernodal"] = 2

    def run():
        i, j, k, free, beams = a.assembled(True)
        matrix = cvxopt.spmatrix(cvxopt.matrix(k), cvxopt.matrix(i), cvxopt.matrix(j), (len(free),) * 2)
        factor = c.symbolic(matrix)
        c.numeric(matrix, factor)
        x = cvxopt.matrix(a.loads[:, free].T.copy())
        c.solve(factor, x)
        return a.finish(free, np.array(x), beams)

    return run, f"CHOLMOD (cvxopt {cvxopt.__version__})"


def pardiso(file):
    import pypardiso

    a = Arrays(file)
    # Symmetric, positive definite. It looks for its library on the disk, which is not to be timed.
    solver = pypardiso.PyPardisoSolver(mtype=2)

    def run():
        i, j, k, free, beams = a.assembled(True)
        # It wants the rows of the upper half: the columns of the lower.
        matrix = sp.coo_matrix((k, (j, i)), shape=(len(free),) * 2).tocsr()
        matrix.sort_indices()
        solver._check_A(matrix)
        solver.set_phase(13)
        x = solver._call_pardiso(matrix, np.asfortranarray(a.loads[:, free].T))
        solver.free_memory(everything=True)
        return a.finish(free, x, beams)

    return run, f"PARDISO (pypardiso {pypardiso.__version__})"


def opensees(file, system="ProfileSPD", numberer="RCM"):
    import openseespy.opensees as ops

    a = Arrays(file)
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for n, p in enumerate(a.nodes.tolist()):
        ops.node(n + 1, *p)
    for n in np.flatnonzero(a.fixed.any(axis=1)).tolist():
        ops.fix(n + 1, *a.fixed[n].astype(int).tolist())
    # Along a beam, its z is across what is given here and it; that is v, with the beam's u.
    axes = a.beams()[0]
    for b, ((i, j), s, v) in enumerate(zip(a.pairs.tolist(), a.section.tolist(), axes[:, 2].tolist())):
        E, G, A, Iu, Iv, J = a.sections[s].tolist()
        ops.geomTransf("Linear", b + 1, *v)
        ops.element("elasticBeamColumn", b + 1, i + 1, j + 1, A, E, G, J, Iu, Iv, b + 1)
    nodes = [n + 1 for n in range(len(a.nodes))]
    pushed = [[(n + 1, *load) for n, load in enumerate(c.reshape(-1, 6).tolist()) if any(load)] for c in a.loads]

    def run():
        ops.wipeAnalysis()
        ops.reset()
        ops.constraints("Plain")
        ops.numberer(numberer)
        ops.system(system)
        # One factorisation for all cases.
        ops.algorithm("Linear", "-factorOnce")
        ops.integrator("LoadControl", 1.0)
        ops.analysis("Static", "-noWarnings")
        for k, case in enumerate(pushed):
            ops.timeSeries("Constant", k + 1)
            ops.pattern("Plain", k + 1, k + 1)
            for load in case:
                ops.load(*load)
            assert ops.analyze(1) == 0
            run.took(lambda: [ops.nodeDisp(n) for n in nodes])
            ops.remove("loadPattern", k + 1)
            ops.remove("timeSeries", k + 1)

    return run, f"OpenSees {ops.version()} ({system}, {numberer})"


def pynite(file):
    from importlib.metadata import version

    from Pynite import FEModel3D

    a = Arrays(file)
    f = FEModel3D()
    for n, p in enumerate(a.nodes.tolist()):
        f.add_node(f"N{n}", *p)
    f.add_material("steel", *a.sections[0, :2].tolist(), 0.3, 0.0)
    for k, (_, _, A, Iu, Iv, J) in enumerate(a.sections.tolist()):
        f.add_section(f"S{k}", A, Iu, Iv, J)
    for b, ((i, j), s) in enumerate(zip(a.pairs.tolist(), a.section.tolist())):
        f.add_member(f"M{b}", f"N{i}", f"N{j}", "steel", f"S{s}")
    for n in np.flatnonzero(a.fixed.any(axis=1)).tolist():
        f.def_support(f"N{n}", *a.fixed[n].tolist())
    for k, c in enumerate(a.loads):
        for n, load in enumerate(c.reshape(-1, 6).tolist()):
            for d, x in zip(DIRECTIONS, load):
                if x:
                    f.add_node_load(f"N{n}", d, x, case=f"L{k}")
        f.add_load_combo(f"C{k}", {f"L{k}": 1.0})

    def run():
        f.analyze_linear(check_stability=False)
        run.took(lambda: [
            [[getattr(node, w)[f"C{k}"] for w in WAYS] for node in f.nodes.values()] for k in range(len(a.loads))
        ])

    return run, f"PyNite {version('PyNiteFEA')}"


SOLVERS = {"scipy": scipy_splu, "cholmod": cholmod, "pardiso": pardiso, "opensees": opensees, "pynite": pynite}


def memory(what):
    """A line of /proc/self/status in bytes."""
    return next(int(x.split()[1]) * 1024 for x in open("/proc/self/status") if x.startswith(what))


def main():
    solver, file, repeats, out, *more = sys.argv[1:]
    run, version = SOLVERS[solver](file, *more)
    seconds, answers = [], []
    for k in range(int(repeats)):
        aside = 0.0
        answers = []

        def took(read):
            nonlocal aside
            clock = time.perf_counter()
            answers.append(read())
            aside += time.perf_counter() - clock

        run.took = took
        if k == 0:
            before = memory("VmRSS")
            with open("/proc/self/clear_refs", "w") as f:
                f.write("5")
        clock = time.perf_counter()
        direct = run()
        seconds.append(time.perf_counter() - clock - aside)
        if k == 0:
            peak = memory("VmHWM") - before
    u, ends = direct if direct else (np.array(answers), np.zeros(0))
    np.save(out, np.concatenate([u.ravel(), ends.ravel()]))
    print(json.dumps({"seconds": seconds[1:] or seconds, "memory": peak, "version": version}))


if __name__ == "__main__":
    main()
