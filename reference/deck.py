"""Decks that `tubewright strength FILE --deck` writes, read by others.

Decks of the demos, of a frame of boxes with the published sets, and of supports that slant or are moved are

- read here, with nothing taken from our code: local matrices of a straight beam without shear deformation as printed in
  Przemieniecki, Theory of Matrix Structural Analysis (1968), links and supports as the deck's equations, solved through
  the freedoms that the equations leave. Ways within 1e-8 of the largest of what the deck says that Tubewright makes of it;
- solved by CalculiX (Debian package `calculix-ccx`, 2.20), user element U1: 2e-5 of the largest way. It prints seven
  digits, and its element is the further off the shorter the chords of a bend are (1e-5 at 5 degrees, 2e-7 without bends).
  Not where a support is moved: U1 leaves that out.

How far bends as chords and shear left out matter is printed: the whole answer beside the deck's.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl

from program import PROGRAM, ROOT

STATIC = 1e-8
PRINTED = 2e-5

BOXES = """
[design]
name = "Boxes"
[section.t]
shape = "box"
width = 30
height = 60
wall = 3
material = "S355J2H"
[section.r]
shape = "round"
od = 40
wall = 3
material = "E355+N"
[material.S355J2H]
yield = 355
tensile = 470
elongation = 22
source = "EN 10210-1"
[die.d]
od = 40
radius = 120
[point]
a = [0, 600, 0]
b = [0, 600, 1200]
c = [900, 600, 0]
d = [900, 600, 900]
e = [-800, 600, 0]
m = { on = "main_leg", part = 0.4 }
n = { on = "front", part = 0.15, by = [0, 5, 0] }
[tube.main_leg]
section = "t"
path = ["a", "b"]
mirror = true
role = "main hoop"
[tube.main_top]
section = "t"
path = ["b", "b~"]
role = "main hoop"
[tube.front]
section = "r"
die = "d"
path = ["c", "d", "d~", "c~"]
role = "front hoop"
[tube.roof]
section = "r"
path = ["b", "d"]
mirror = true
role = "roof side"
[tube.bar]
section = "t"
path = ["m", "n"]
mirror = true
role = "side"
[tube.stay]
section = "t"
path = ["b", "e"]
mirror = true
role = "rear brace"
[mass.box]
at = [300, 100, 500]
kg = 200
[mount.box]
of = "box"
at = ["m", "m~", "n", "n~"]
[load.sunk]
g = [0.3, 0.2, -1]
spread = [{ along = "bar", force = [0, 500, 300] }]
held = [{ at = "a", turns = true }, { at = "a~", by = [0, 0, -5] }, { at = "c" }, { at = "c~" }]
[strength]
sets = ["student-frame", "touring-cage", "work-machine"]
mass = 1200
"""


def numbers(line):
    return [float(x) for x in line.split(",") if x.strip()]


def read(path):
    """A deck's cards, and what it says of the answer."""
    deck = {"nodes": {}, "elements": [], "equations": [], "fixed": {}, "loads": [], "answer": {}}
    materials, sections = {}, {}
    card, words, material, section, left, terms = "", {}, None, None, 0, []
    for line in path.read_text().splitlines():
        if line.startswith("** answer "):
            n, *u = line.split()[2:]
            deck["answer"][int(n)] = [float(x) for x in u]
        if line.startswith("**"):
            continue
        if line.startswith("*"):
            card, *rest = [x.strip() for x in line[1:].split(",")]
            words = dict(x.split("=") for x in rest if "=" in x)
            words = {k.strip(): v.strip() for k, v in words.items()}
            if card == "MATERIAL":
                material = words["NAME"]
            if card == "BEAM SECTION":
                section = sections.setdefault(words["ELSET"], [words["MATERIAL"]])
            left = 0
            continue
        if card == "NODE PRINT":
            continue
        x = numbers(line)
        if card == "NODE":
            deck["nodes"][int(x[0])] = np.array(x[1:])
        elif card == "ELEMENT":
            deck["elements"].append((int(x[1]), int(x[2]), words["ELSET"]))
        elif card == "ELASTIC":
            materials[material] = x
        elif card == "BEAM SECTION":
            section.append(x)
        elif card == "EQUATION":
            if left == 0:
                left, terms = int(x[0]), []
                continue
            terms += [(int(x[i]), int(x[i + 1]), x[i + 2]) for i in range(0, len(x), 3)]
            left -= len(x) // 3
            if left == 0:
                deck["equations"].append(terms)
        elif card == "BOUNDARY":
            for k in range(int(x[1]), int(x[2]) + 1):
                deck["fixed"][(int(x[0]), k)] = x[3] if len(x) > 3 else 0.0
        elif card == "CLOAD":
            deck["loads"].append((int(x[0]), int(x[1]), x[2]))
    deck["sections"] = {k: (materials[v[0]], v[1], np.array(v[2])) for k, v in sections.items()}
    return deck


def local(a, b, section):
    """Stiffness in the beam's own axes, and those axes."""
    (E, nu), (A, i11, _, i22, _), u = section
    d = b - a
    L = np.linalg.norm(d)
    x = d / L
    u = u - x * (x @ u)
    u /= np.linalg.norm(u)
    G = E / 2 / (1 + nu)
    k = np.zeros((12, 12))
    for i, c in ((0, E * A / L), (3, G * (i11 + i22) / L)):
        k[i, i] = k[i + 6, i + 6] = c
        k[i, i + 6] = k[i + 6, i] = -c
    # Deflections along y turn about z, those along z about y the other way.
    for y, r, I, s in ((1, 5, i11, 1.0), (2, 4, i22, -1.0)):
        c = E * I / L**3
        p = [y, r, y + 6, r + 6]
        h = c * np.array([
            [12, 6 * L * s, -12, 6 * L * s],
            [6 * L * s, 4 * L * L, -6 * L * s, 2 * L * L],
            [-12, -6 * L * s, 12, -6 * L * s],
            [6 * L * s, 2 * L * L, -6 * L * s, 4 * L * L],
        ])
        k[np.ix_(p, p)] += h
    return k, np.array([x, u, np.cross(x, u)])


def solve(deck):
    """Every node's motion."""
    at = {n: i for i, n in enumerate(deck["nodes"])}
    size = 6 * len(at)
    f = lambda n, k: 6 * at[n] + k - 1
    rows, cols, values = [], [], []
    used = set()
    for a, b, group in deck["elements"]:
        k, axes = local(deck["nodes"][a], deck["nodes"][b], deck["sections"][group])
        T = np.kron(np.eye(4), axes)
        k = T.T @ k @ T
        p = [6 * at[a] + i for i in range(6)] + [6 * at[b] + i for i in range(6)]
        used.update(p)
        rows += np.repeat(p, 12).tolist()
        cols += np.tile(p, 12).tolist()
        values += k.ravel().tolist()
    K = sp.csc_matrix((values, (rows, cols)), (size, size))
    force = np.zeros(size)
    for n, k, x in deck["loads"]:
        force[f(n, k)] += x
    # Freedoms: u = C q + g. The first term of an equation follows from its others; chains are followed through.
    follows = {f(*e[0][:2]): (e[0][2], [(f(n, k), c) for n, k, c in e[1:]]) for e in deck["equations"]}
    fixed = {f(n, k): x for (n, k), x in deck["fixed"].items()}
    memo = {}

    def expand(i):
        if i not in memo:
            if i in fixed:
                memo[i] = ({}, fixed[i])
            elif i in follows:
                lead, terms = follows[i]
                out, const = {}, 0.0
                for j, c in terms:
                    sub, value = expand(j)
                    const -= c / lead * value
                    for q, w in sub.items():
                        out[q] = out.get(q, 0.0) - c / lead * w
                memo[i] = (out, const)
            else:
                memo[i] = ({i: 1.0}, 0.0)
        return memo[i]

    g = np.zeros(size)
    r, c, v = [], [], []
    for i in range(size):
        terms, g[i] = expand(i)
        for q, w in terms.items():
            r.append(i), c.append(q), v.append(w)
    C = sp.csc_matrix((v, (r, c)), (size, size))
    free = np.unique([q for q in c if q in used])
    C = C[:, free]
    S = (C.T @ K @ C).tocsc()
    lu = spl.splu(S)
    rhs = C.T @ (force - K @ g)
    q = lu.solve(rhs)
    q += lu.solve(rhs - S @ q)
    u = (C @ q + g).reshape(-1, 6)
    return {n: u[i] for n, i in at.items()}


def worst(a, b):
    """Largest difference of ways and of turns, as parts of the largest of each."""
    n = sorted(b)
    x, y = np.array([a[i] for i in n]), np.array([b[i] for i in n])
    return max(np.abs(x[:, k] - y[:, k]).max() / np.abs(y[:, k]).max() for k in (slice(0, 3), slice(3, 6)))


def calculix(path):
    run = subprocess.run(["ccx", path.stem], cwd=path.parent, capture_output=True, text=True)
    dat = path.with_suffix(".dat")
    assert dat.exists(), f"{path.name}: {run.stdout[-2000:]}"
    rows = [l.split() for l in dat.read_text().splitlines()]
    return {int(r[0]): [float(x) for x in r[1:]] for r in rows if len(r) == 7 and r[0].isdigit()}


def check(design, folder):
    subprocess.run([PROGRAM, "strength", design, "--deck", folder], check=True, capture_output=True)
    out = subprocess.run([PROGRAM, "strength", design, "--json"], check=True, capture_output=True, text=True).stdout
    answer = json.loads(out)["strength"]
    cases, nodes = {c["name"]: c for c in answer["cases"]}, len(answer["nodes"])
    ours, theirs, simpler, count, solved = 0.0, 0.0, 0.0, 0, 0
    for path in sorted(folder.glob("*.inp")):
        deck = read(path)
        name = next(l for l in path.read_text().splitlines() if l.startswith("** case: "))[9:].rsplit(" (", 1)[0]
        a = worst(solve(deck), deck["answer"])
        moved = any(x != 0.0 for x in deck["fixed"].values())
        b = 0.0 if moved else worst(calculix(path), deck["answer"])
        assert a < STATIC, f"{path.name}: read anew {a:.1e}"
        assert b < PRINTED, f"{path.name}: CalculiX {b:.1e}"
        ours, theirs, count, solved = max(ours, a), max(theirs, b), count + 1, solved + (not moved)
        whole = np.linalg.norm(cases[name]["moved"]["by"])
        joints = range(1, nodes + 1)
        bent = max(np.linalg.norm(deck["answer"][n][:3]) for n in joints)
        # At rest the deck's ways are against three places, not against the ground.
        if not name.startswith("at rest"):
            simpler = max(simpler, abs(bent / whole - 1))
    assert solved > 0
    print(
        f"{design.name}: {count} decks; read anew {ours:.1e}, {solved} of them by CalculiX {theirs:.1e}; chords without shear move "
        f"{100 * simpler:.2f} % otherwise at most"
    )


def main():
    with tempfile.TemporaryDirectory() as tmp:
        tmp = Path(tmp)
        boxes = tmp / "boxes.toml"
        boxes.write_text(BOXES)
        designs = [ROOT / "examples/gorse.toml", ROOT / "examples/wren.toml", boxes]
        designs = [Path(p).resolve() for p in sys.argv[1:]] or designs
        for i, d in enumerate(designs):
            if "[load." in d.read_text() or "sets = " in d.read_text():
                check(d, tmp / str(i))


if __name__ == "__main__":
    main()
