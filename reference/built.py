"""A workshop played through: frames built askew, measured, and found again by the program.

For each frame the demo design `wren.toml` has a dozen of its joints somewhere else, by up to some millimetres. A sheet of tape
distances and heights is written for it and given to `tubewright build --json`; what it says is held against the frame that was
measured:

- tapes between the crossings of axes, read without error: every distance within 1e-8 m, heights of the tilted frame too;
- tapes on faces of the rails, which lie on the tubes as they really run and not as designed: within 0.3 mm, the size of what
  the method leaves out;
- tapes with error: of the distances told 95 % within 1.96 of their told standard deviations, as closely as so many can say;
- a tape misread by 30 mm in each frame: left out, or named among those that contradict one another, every time; and in three frames
  of four nothing else is (one sound reading in a thousand is taken for wrong, and a frame has some 70);
- `cutting --built --json`: pieces between two measured joints reach from the one to the other as found, within 1e-9 m.

`built.py [FRAMES [SEED]]`.
"""

import json
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from program import PROGRAM, ROOT

FRAMES, SEED = 12, 1
POINTS = [n + s for n in ("rail_front", "rail_rear", "main_foot", "harness_end", "brace_rear", "front_foot", "brace_front") for s in ("", "~")]
TAPE, HEIGHT = 0.8e-3, 0.4e-3
RAIL = 0.0254  # half of a rail's width and height, m
EXACT, FACES, ENDS = 1e-8, 0.3e-3, 1e-9


def run(*words):
    out = subprocess.run([PROGRAM, *words, "--json"], stdout=subprocess.PIPE, text=True)
    if out.returncode == 2:
        sys.exit(f"{words}: failed")
    return json.loads(out.stdout)


def turned(a, b):
    """Level axes of a frame that leans by small angles a about x and b about y."""
    v = np.array([a, b, 0.0])
    t = np.linalg.norm(v)
    k = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]]) / t
    return np.eye(3) + np.sin(t) * k + (1 - np.cos(t)) * k @ k


class Shop:
    def __init__(self, folder, rng):
        self.design = folder / "wren.toml"
        self.sheet = folder / "wren.measured.toml"
        shutil.copy(ROOT / "examples" / "wren.toml", self.design)
        places = {p["name"]: np.array(p["at"]) for p in run("shape", str(self.design))["points"]}
        flip = np.array([1.0, -1.0, 1.0])
        self.designed = {n: places[n.rstrip("~")] * (flip if n.endswith("~") else 1.0) for n in POINTS}
        self.rng = rng

    def askew(self, by):
        return {n: p + self.rng.uniform(-by, by, 3) for n, p in self.designed.items()}

    def write(self, lines):
        self.sheet.write_text("[sheet]\nunits = \"mm\"\nstanding = \"front_hoop\"\n" + "\n".join(lines) + "\n")
        return run("build", str(self.design))

    def tapes(self, real, share, noise):
        lines = [f"[good_to]\ntape = {TAPE * 1e3}\nheight = {HEIGHT * 1e3}\n[tape]"]
        pairs = [(a, b) for i, a in enumerate(POINTS) for b in POINTS[:i] if self.rng.random() < share]
        for k, (a, b) in enumerate(pairs):
            l = np.linalg.norm(real[a] - real[b]) + noise * self.rng.normal() * TAPE
            lines.append(f't{k} = {{ from = "{a}", to = "{b}", reads = {l * 1e3:.10f} }}')
        return lines, len(pairs)

    def heights(self, real, noise):
        lean = turned(*self.rng.normal(0, 0.008, 2))
        lines = ["[height]"]
        for k, p in enumerate(POINTS):
            z = (lean.T @ real[p])[2] + 0.4 + noise * self.rng.normal() * HEIGHT
            lines.append(f'h{k} = {{ of = "{p}", reads = {z * 1e3:.10f} }}')
        return lines, lean[:, 2]


def distances(fit):
    at = {p["name"]: np.array(p["at"]) for p in fit["places"]}
    return {(a, b): np.linalg.norm(at[a] - at[b]) for i, a in enumerate(POINTS) for b in POINTS[:i]}


def main():
    args = [int(a) for a in sys.argv[1:]]
    count, seed = (args + [FRAMES, SEED][len(args) :])[:2]
    rng = np.random.default_rng(seed)
    exact = faces = ends = 0.0
    inside = told = found_it = alone = 0
    with tempfile.TemporaryDirectory() as folder:
        shop = Shop(Path(folder), rng)
        for _ in range(count):
            # Without error, between axes.
            real = shop.askew(0.004)
            tapes, _ = shop.tapes(real, 1.0, 0.0)
            heights, up = shop.heights(real, 0.0)
            b = shop.write(tapes + heights)
            off = [abs(d - np.linalg.norm(real[p] - real[q])) for (p, q), d in distances(b["fit"]).items()]
            exact = max(exact, max(off))
            # How it leans is told in the design's axes, in which the frame lies as well as it goes: a turn as small as its askewness.
            if np.arccos(min(1.0, np.dot(b["fit"]["up"], up))) > 0.01:
                sys.exit("it leans another way")
            found = {p["name"]: np.array(p["at"]) for p in b["fit"]["places"]}
            for piece in run("cutting", str(shop.design), "--built")["pieces"]:
                joints = [e["joint"] for e in piece["ends"]]
                if piece["bends"] is None and all(j in found for j in joints):
                    for e, j in zip(piece["ends"], joints):
                        ends = max(ends, np.abs(np.array(e["at"]) - found[j]).max())
            # On the outsides of the rails as they run.
            tapes, n = shop.tapes(real, 1.0, 0.0)
            way = {}
            for side in ("", "~"):
                t = real["rail_front" + side] - real["rail_rear" + side]
                t /= np.linalg.norm(t)
                out = np.array([0.0, -1.0 if side else 1.0, 0.0])
                way[side] = (lambda v: v / np.linalg.norm(v))(out - t * (out @ t)) * RAIL
            on = lambda p: real[p] + (way["~" if p.endswith("~") else ""] if p.startswith("rail") else 0.0)
            lines = [tapes[0]]
            for line in tapes[1:]:
                a, b_ = line.split('"')[1], line.split('"')[3]
                named = lambda p: f"{p} outside" if p.startswith("rail") else p
                l = np.linalg.norm(on(a) - on(b_))
                lines.append(f'{line.split(" ")[0]} = {{ from = "{named(a)}", to = "{named(b_)}", reads = {l * 1e3:.10f} }}')
            b = shop.write(lines)
            off = [abs(d - np.linalg.norm(real[p] - real[q])) for (p, q), d in distances(b["fit"]).items()]
            faces = max(faces, max(off))
            # With error.
            tapes, n = shop.tapes(real, 0.6, 1.0)
            heights, _ = shop.heights(real, 1.0)
            b = shop.write(tapes + heights)
            for c in b["fit"]["checks"]:
                p, q = c["between"]
                if p in real and q in real:
                    told += 1
                    inside += abs(c["built"] - np.linalg.norm(real[p] - real[q])) <= 1.96 * c["sigma"]
            # One misread.
            k = 1 + int(rng.integers(n))
            head, rest = tapes[k].split("reads = ")
            tapes[k] = f"{head}reads = {float(rest.rstrip(' }')) + 30:.10f} }}"
            b = shop.write(tapes + heights)
            wrong = [r["title"] for r in b["fit"]["readings"] if r["fate"] == "wrong"]
            named = [set(g) for g in b["fit"]["contradictions"]]
            found_it += f"tape t{k - 1}" in wrong or any(f"tape t{k - 1}" in g for g in named)
            alone += len(wrong) + len(named) == 1
    print(f"{count} frames; without error {exact:.1e} m, on faces {faces * 1e3:.2f} mm, ends of pieces {ends:.1e} m")
    share = inside / told
    # Distances of one frame hang together: as if there were a tenth as many.
    spread = 4 * np.sqrt(0.95 * 0.05 / (told / 10))
    print(f"of {told} distances with error {share:.1%} within 1.96 of their deviations; misread tapes found {found_it} of {count}, alone {alone}")
    if exact > EXACT or faces > FACES or ends > ENDS:
        sys.exit("over the limit")
    if abs(share - 0.95) > spread:
        sys.exit(f"95 % expected, to {spread:.1%}")
    if found_it < count or alone < 0.75 * count:
        sys.exit("too few misread tapes found")


if __name__ == "__main__":
    main()
