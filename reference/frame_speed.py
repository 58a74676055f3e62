"""How long statics takes, beside other solvers, on the same frames in one run.

Frames from `crates/frame/examples/speed.rs`: lattices of straight round tubes between joints 0.6 m apart, moved a little;
four joints across (a tower) or as many along as across (a block); six load cases. The clock runs from the changed model to
motions and forces at the beams' ends, six cases: not while Python starts, files are read or a model is built from commands.

- scipy: stiffness by textbook matrices, all beams at a time in numpy (`speed_solvers.py`); SuperLU, made symmetric;
- CHOLMOD (package cvxopt) and PARDISO (pypardiso): the same matrices, compiled sparse Cholesky factors;
- OpenSees (openseespy): its linear beams, one factorisation for all cases, the quickest at each size of those in `SYSTEMS`;
  its results are not fetched on the clock;
- CalculiX: user element U1; the time of a run that reads and looks through the deck alone is taken off; it factorises for
  each case and prints the motions;
- PyNite, up to 2,000 beams; it works out forces in beams when it is asked for them, after the clock.

Each solver and frame has processes of its own, one thread unless said otherwise, taken in turns. Of the repeats in a process
the quickest counts, of the processes the median; memory is the peak above what the process held when the clock started, in its
first repeat. Nobody is timed on a wrong answer: motions and end forces within 1e-8 of their largest (CalculiX prints seven
digits: 2e-5); where one is wrong at a size, that is said and it is left out there.

`frame_speed.py`: the answers at 150, 1,500 and 20,000 tubes by scipy, at 150 by PyNite and CalculiX. Prints ratios.
`frame_speed.py full [ROUNDS]`: all of it, some half an hour; needs `speed-requirements.txt`. Writes `frame-speed.md` and
`.json` into the target folder, `docs/methods/frame-speed.svg`.
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from program import ROOT, TARGET, built
from speed_plot import plot

SAME, PRINTED = 1e-8, 2e-5
# Sizes asked for; the lattices have 147, 1,493 and 19,675 beams as towers.
QUICK = [("tower", 190), ("tower", 1550), ("tower", 20000)]
FULL = [("tower", 190), ("tower", 1550), ("tower", 5000), ("tower", 20000), ("block", 190), ("block", 1550), ("block", 20000)]
SYSTEMS = [("SparseSYM", "RCM"), ("SparseSYM", "Plain"), ("BandSPD", "Plain")]
# Blocks from this number of beams on have too wide a band.
WIDE = 10_000
# Longest for a process, s; from how long on a frame is solved once a process, and once in all.
LIMIT, SLOW, SLOWEST = 100, 5, 20
ROUNDS = 3
OURS = "Tubewright"
PYNITE_MOST = 2000
SPEED = TARGET / "release" / "examples" / "speed"
HERE = Path(__file__).resolve().parent


class Frame:
    def __init__(self, shape, size, folder):
        self.shape, self.size = shape, size
        out = json.loads(subprocess.run([SPEED, "model", shape, str(size)], check=True, stdout=subprocess.PIPE).stdout)
        m = out["model"]
        self.nodes, self.beams = len(m["nodes"]), len(m["beams"])
        fixed = np.zeros((self.nodes, 6), bool)
        for h in out["holds"]:
            fixed[h["node"], 3 * h["turn"] + int(np.argmax(np.abs(h["along"])))] = True
        loads = np.zeros((len(out["cases"]), self.nodes, 6))
        for k, case in enumerate(out["cases"]):
            for node, load in case:
                loads[k, node] += load
        self.file = folder / f"{shape}-{size}.npz"
        self.cases = len(loads)
        beams = m["beams"]
        np.savez(
            self.file, nodes=m["nodes"], pairs=[b["nodes"] for b in beams], u=[b["u"] for b in beams],
            section=[b["section"] for b in beams], fixed=fixed, loads=loads.reshape(self.cases, -1),
            sections=[[s["E"], s["G"], s["A"], *s["I"], s["J"]] for s in m["sections"]],
        )
        self.ours = None

    def parts(self, answer):
        """Displacements, turns, forces and moments; the latter two are empty where a solver was not asked for them."""
        if len(answer) == self.cases * 6 * self.nodes:
            u, ends = answer.reshape(self.cases, -1, 6), np.zeros((self.cases, 0, 6))
        else:
            u, ends = answer[: self.cases * 6 * self.nodes], answer[self.cases * 6 * self.nodes :]
            u, ends = u.reshape(self.cases, -1, 6), ends.reshape(self.cases, -1, 6)
        return [u[..., :3], u[..., 3:], ends[..., :3], ends[..., 3:]]

    def differs(self, answer):
        pairs = zip(self.parts(answer), self.parts(self.ours))
        return max(np.abs(a - b).max() / np.abs(b).max() for a, b in pairs if a.size)


def run(name, frame, repeats, folder, more=(), lenient=False):
    """One process: what it says, with the difference of its answer from ours. None if it takes too long or, `lenient`, if
    it has no answer or a wrong one."""
    out = folder / "answer.npy"
    threads = "2" if name.endswith("two threads") else "1"
    env = {**os.environ, **{k: threads for k in ["RAYON_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"]}}
    solver = name.split(",")[0]
    if solver == OURS:
        command = [SPEED, "time", frame.shape, str(frame.size), str(repeats), out]
    elif solver == "CalculiX":
        command = [sys.executable, HERE / "speed_deck.py", frame.file, folder, str(repeats), out]
    else:
        command = [sys.executable, HERE / "speed_solvers.py", solver.lower(), frame.file, str(repeats), out, *more]
    try:
        done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=LIMIT)
    except subprocess.TimeoutExpired:
        return None
    if done.returncode != 0 and lenient:
        print(f"{name}, {frame.shape} {frame.beams}: no answer: {done.stderr[-200:]}", file=sys.stderr)
        return None
    assert done.returncode == 0, f"{name}, {frame.shape} {frame.beams}: {done.stderr[-1000:]}"
    said = json.loads(next(line for line in done.stdout.splitlines() if line.startswith("{")))
    if solver == OURS:
        phases = said["phases"][1:] or said["phases"]
        said["seconds"], said["best"] = [sum(p) for p in phases], min(phases, key=sum)
        answer = np.fromfile(out)
        # Case after case, each with its motions and then its end forces.
        answer = answer.reshape(frame.cases, -1)
        answer = np.concatenate([answer[:, : 6 * frame.nodes].ravel(), answer[:, 6 * frame.nodes :].ravel()])
        frame.ours = answer if frame.ours is None else frame.ours
    else:
        answer = np.load(out)
    said["off"], said["took"] = frame.differs(answer), min(said["seconds"])
    within = PRINTED if solver == "CalculiX" else SAME
    wrong = f"{name}, {frame.shape} {frame.beams}: differs by {said['off']:.1e}"
    if said["off"] >= within and lenient:
        print(wrong + ", not timed", file=sys.stderr)
        return None
    assert said["off"] < within, wrong
    return said


def frames(folder, wanted):
    built("speed")
    return [Frame(*w, folder) for w in wanted]


def quick(folder):
    for k, frame in enumerate(frames(folder, QUICK)):
        ours = run(OURS, frame, 3, folder)
        said = []
        for name in ["scipy", "PyNite", "CalculiX"] if k == 0 else ["scipy"]:
            r = run(name, frame, 2, folder)
            said.append(f"{name} takes {r['took'] / ours['took']:.1f} times as long, differs by {r['off']:.1e}")
        print(f"{frame.beams} beams, {6 * frame.nodes} unknowns, {frame.cases} cases: " + "; ".join(said))


def present(name):
    package = {"CHOLMOD": "cvxopt", "PARDISO": "pypardiso", "OpenSees": "openseespy.opensees"}.get(name.split(",")[0])
    found = not package or subprocess.run([sys.executable, "-c", f"import {package}"], capture_output=True).returncode == 0
    if not found:
        print(f"{name}: {package} is not installed, left out")
    return found


def full(folder, rounds):
    names = [OURS, f"{OURS}, two threads", "scipy", "CHOLMOD", "PARDISO", "PARDISO, two threads", "OpenSees", "CalculiX", "PyNite"]
    names = [n for n in names if present(n)]
    all_frames = frames(folder, FULL)
    results = {}
    for k in range(rounds + 1):
        # The first round finds out how often a frame can be solved.
        for frame in all_frames:
            for name in names:
                if name == "PyNite" and frame.beams > PYNITE_MOST:
                    continue
                r = results.setdefault((name, frame.shape, frame.beams), {"took": [], "memory": []})
                more = r.get("system", ())
                if k == 0 and name == "OpenSees":
                    tried = {s: run(name, frame, 1, folder, s) for s in (SYSTEMS if frame.shape == "tower" or frame.beams < WIDE else SYSTEMS[:1])}
                    tried = {s: t for s, t in tried.items() if t}
                    if not tried:
                        r["first"] = LIMIT
                        continue
                    r["system"] = min(tried, key=lambda s: tried[s]["took"])
                    r["first"] = tried[r["system"]]["took"]
                    said = tried[r["system"]]
                elif k == 0:
                    said = run(name, frame, 1, folder, lenient=True)
                    r["first"] = said["took"] if said else LIMIT
                elif r["first"] >= SLOWEST:
                    continue
                else:
                    said = run(name, frame, 1 if r["first"] > SLOW else 1 + int(min(max(1 / r["first"], 2), 30)), folder, more)
                if said and (k > 0 or r["first"] >= SLOWEST):
                    r["took"].append(said["took"])
                    r["memory"].append(said["memory"])
                if said:
                    r["off"] = max(said["off"], r.get("off", 0.0))
                    r["version"] = said.get("version", "")
                    if "best" in said and k > 0:
                        r.setdefault("phases", []).append(said["best"])
        print(f"round {k} done", file=sys.stderr, flush=True)
        if k > 0:
            keep(names, all_frames, results)


def figure(x):
    """Three digits."""
    return f"{x:,.0f}" if x >= 100 else f"{x:.3g}"


def told(names, all_frames, results):
    out = []
    for shape in ["tower", "block"]:
        sizes = sorted({f.beams for f in all_frames if f.shape == shape})
        ours = {n: statistics.median(results[OURS, shape, n]["took"]) for n in sizes}
        out.append(f"\n| {shape}, of | " + " | ".join(f"{n:,} tubes" for n in sizes) + " |\n| --- |" + " --- |" * len(sizes))
        for name in names:
            cells = []
            for n in sizes:
                r = results.get((name, shape, n))
                if not r or not r["took"]:
                    cells.append("none" if r else "")
                    continue
                took, memory = statistics.median(r["took"]), statistics.median(r["memory"])
                beside = "" if name == OURS else f" ({took / ours[n]:.1f})"
                cells.append(f"{figure(1e3 * took)} ms{beside}, {figure(memory / 1e6)} MB")
            out.append(f"| {name} | " + " | ".join(cells) + " |")
    out.append("")
    for (name, shape, n), r in results.items():
        phases = [f"{1e3 * statistics.median(p):.3g}" for p in zip(*r.get("phases", []))]
        out.append(f"{name}, {shape} {n}: {len(r['took'])} processes, off {r.get('off', 0):.1e} {r.get('version')} {' '.join(phases)}")
    return "\n".join(out) + "\n"


def keep(names, all_frames, results):
    """Writes the tables, the plot and all figures; after each round, so that a run may be ended early."""
    (TARGET / "frame-speed.md").write_text(told(names, all_frames, results))
    lines = {(shape, what): {} for shape in ["tower", "block"] for what in ["took", "memory"]}
    for (name, shape, n), r in results.items():
        for what, scale in (("took", 1e3), ("memory", 1e-6)):
            if r["took"]:
                lines[shape, what].setdefault(name, []).append((n, scale * statistics.median(r[what])))
    titles = {"tower": "four joints across", "block": "as many joints along as across"}
    panels = [[(titles[s], unit, lines[s, what]) for s in titles] for what, unit in (("took", "ms"), ("memory", "MB"))]
    (ROOT / "docs/methods/frame-speed.svg").write_text(plot(panels))
    kept = [{"name": a, "shape": b, "beams": n, **r} for (a, b, n), r in results.items()]
    (TARGET / "frame-speed.json").write_text(json.dumps(kept, indent=1))


def main():
    with tempfile.TemporaryDirectory() as tmp:
        folder = Path(tmp)
        if sys.argv[1:2] != ["full"]:
            quick(folder)
            return
        full(folder, int(sys.argv[2]) if len(sys.argv) > 2 else ROUNDS)
    print((TARGET / "frame-speed.md").read_text())


if __name__ == "__main__":
    main()
