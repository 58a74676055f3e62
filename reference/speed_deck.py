"""A plain frame of round tubes as a deck for CalculiX (user element U1), for `frame_speed.py`.

Each tube is there twice, once for bending along each direction of its section: I22 of U1 is at fault in version 2.20 (see
`crates/strength/src/deck.rs`). Steps are solved one after the other, each with factors of its own.
"""

import json
import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np

from speed_solvers import Arrays

# What is left to the direction that an element is not for, as a part of the whole, and shear coefficients without shear.
LEFT, STIFF = 1e-13, 1e6


def deck(a, solve):
    """The deck's text, of `speed_solvers.Arrays`; without `solve` it is read and looked through alone."""
    E, G = a.sections[0, :2].tolist()
    t = ["*NODE, NSET=ALL"] + [f"{n + 1}, {x!r}, {y!r}, {z!r}" for n, (x, y, z) in enumerate(a.nodes.tolist())]
    t += ["*USER ELEMENT, TYPE=U1, NODES=2, INTEGRATION POINTS=2, MAXDOF=6"]
    t += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{E!r}, {E / 2 / G - 1!r}"]
    axes, count = a.beams()[0], len(a.pairs)
    for k in (0, 1):
        for b, ((i, j), s, q) in enumerate(zip(a.pairs.tolist(), a.section.tolist(), axes[:, 1 + k].tolist())):
            A, I = a.sections[s, 2], a.sections[s, 3]
            area = A * ((1 - LEFT) if k == 0 else LEFT)
            t += [f"*ELEMENT, TYPE=U1, ELSET=B{k}_{b}", f"{k * count + b + 1}, {i + 1}, {j + 1}"]
            t += [f"*BEAM SECTION, ELSET=B{k}_{b}, MATERIAL=STEEL, SECTION=GENERAL"]
            t += [f"{area:.12e}, {I * (1 - LEFT):.12e}, 0., {I * LEFT:.12e}, {STIFF * A / area:.6e}"]
            t += [", ".join(f"{x:.12e}" for x in q)]
    t += ["*BOUNDARY"] + [f"{n + 1}, {k + 1}, {k + 1}, 0." for n, k in np.argwhere(a.fixed).tolist()]
    for case in a.loads:
        t += ["*STEP", "*STATIC" if solve else "*NO ANALYSIS", "*CLOAD, OP=NEW"]
        t += [f"{i // 6 + 1}, {i % 6 + 1}, {x!r}" for i, x in enumerate(case.tolist()) if x]
        t += ["*NODE PRINT, NSET=ALL", "U", "*END STEP"]
    return "\n".join(t) + "\n"


def run(folder, name):
    """Wall time of CalculiX on a deck, s; and its printed rows."""
    clock = time.perf_counter()
    done = subprocess.run(["ccx", name], cwd=folder, capture_output=True, text=True)
    seconds = time.perf_counter() - clock
    dat = Path(folder) / f"{name}.dat"
    # It ends with 201 where no analysis was asked for.
    assert done.returncode in (0, 201) and dat.exists(), f"CalculiX on {name}: {done.stdout[-1000:]}{done.stderr[-1000:]}"
    rows = [line.split() for line in dat.read_text().splitlines()]
    return seconds, [r for r in rows if len(r) == 7 and r[0].isdigit()]


def main():
    """As `speed_solvers.py`: seconds and memory beyond those of a run that reads the deck alone."""
    file, folder, repeats, out = sys.argv[1:]
    a = Arrays(file)
    Path(folder, "read.inp").write_text(deck(a, False))
    Path(folder, "solve.inp").write_text(deck(a, True))
    peak = lambda: resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    read = [run(folder, "read")[0] for _ in range(int(repeats))]
    before = peak()
    solve = [run(folder, "solve") for _ in range(int(repeats))]
    rows = solve[-1][1]
    assert len(rows) == len(a.loads) * len(a.nodes), f"CalculiX: {len(rows)} rows"
    np.save(out, np.array([[float(x) for x in r[1:]] for r in rows]).ravel())
    least = min(read)
    version = subprocess.run(["ccx", "-v"], capture_output=True, text=True).stdout.split()[-1]
    print(json.dumps({"seconds": [s - least for s, _ in solve], "memory": peak() - before, "version": f"CalculiX {version}"}))


if __name__ == "__main__":
    main()
