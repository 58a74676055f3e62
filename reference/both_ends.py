"""Tubes cut at both ends, against an exact CAD kernel: lengths over long and short points, between centres, and volume.

The joints are made here, at random from a seed, and written as one design file that the program reads like any other;
the kernel has the same corners and sizes. Ends of every kind meet every other, on round and on box tubes. The kernel cuts
the whole piece by booleans, both ends at once, and runs lines along both edges of the wall to both ends; where its boolean fails, the lengths
alone are held, and that is counted. To look at
others: `both_ends.py [ROUNDS [SEED]]`, each round being 32 tubes. Prints the largest differences; exits with 1 if any is over.
"""

import json
import subprocess
import sys
import tempfile
from itertools import product
from pathlib import Path

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
from OCP.TopAbs import TopAbs_IN, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from end_cuts import VERTICAL, bar, crossings, direction, gp_Lin, half_space, pnt, unit, volume, wall_points
from program import PROGRAM

LENGTH = 1e-3  # mm
VOLUME = 1e-6
KINDS = ("round", "offset", "box", "plane")
ROUNDS, SEED = 2, 1
GAP = 0.4  # mm, at every joint
AROUND = 720  # lines round each edge, before the extremes are looked at more closely


def upright(t):
    top = np.array((1.0, 0, 0)) if abs(t[2]) > VERTICAL else np.array((0, 0, 1.0))
    return unit(top - t * (t @ top))


def number(v):
    return "[" + ", ".join(f"{c:.9f}" for c in v) + "]"


class Joint:
    """A tube with what stands at both its ends, in mm."""

    def __init__(self, k, kinds, shape, dice):
        self.name, self.kinds, self.dice = f"b{k}", kinds, dice
        place, turn = np.array((300.0, 900.0 + 3000.0 * k, 100.0)), unit(dice.normal(size=3))
        length = dice.uniform(350, 700)
        self.a, self.b = place - turn * length / 2, place + turn * length / 2
        if shape == "round":
            self.size = {"shape": "round", "od": dice.uniform(20, 34), "wall": dice.uniform(1.2, 2.5)}
        else:
            self.size = {"shape": "box", "width": dice.uniform(18, 26), "height": dice.uniform(18, 26), "wall": 2.0, "corner": dice.uniform(2.5, 5)}
        self.size = {n: v if n == "shape" else round(v, 3) for n, v in self.size.items()}
        self.ends = [self.end(n, kind) for n, kind in enumerate(kinds)]

    def end(self, n, kind):
        """A plane, or the other tube: its ends and size."""
        out = unit(self.b - self.a) * (1 if n else -1)
        at, side = (self.a, self.b)[n], unit(np.cross(out, self.dice.normal(size=3)))
        lean = np.radians(self.dice.uniform(0, 40))
        if kind == "plane":
            return {"plane": unit(out * np.cos(lean) + side * np.sin(lean)), "at": at}
        run = side * np.cos(lean) + out * np.sin(lean)
        # The box is wide enough, and turned as it happens to be; the round tube takes the branch with its offset.
        size = ({"shape": "box", "width": 60.0, "height": 70.0, "wall": 3.0, "corner": 6.0} if kind == "box"
                else {"shape": "round", "od": round(self.dice.uniform(56, 64), 3), "wall": 3.0})
        off = np.cross(run, out)
        middle = at + unit(off) * (self.dice.uniform(2, 6) if kind == "offset" else 0.0)
        return {"ends": (middle - run * 250, middle + run * 250), "size": size, "at": at}

    def text(self):
        points, rest = [f"{self.name}_a = {number(self.a)}", f"{self.name}_b = {number(self.b)}"], []
        section = lambda name, s: f"[section.{name}]\nmaterial = \"E355+N\"\n" + "".join(
            f"{k} = {json.dumps(v)}\n" for k, v in s.items())
        rest.append(section(self.name, self.size))
        tube = f'[tube.{self.name}]\nsection = "{self.name}"\npath = ["{self.name}_a", "{self.name}_b"]\n'
        for n, e in enumerate(self.ends):
            word, host = ("start", "end")[n], f"{self.name}_h{n}"
            if "plane" in e:
                tube += f'{word} = {{ plane = {{ point = "{self.name}_{"ab"[n]}", normal = {number(e["plane"])} }} }}\n'
                continue
            points += [f"{host}_{m} = {number(p)}" for m, p in enumerate(e["ends"])]
            rest.append(section(host, e["size"]))
            rest.append(f'[tube.{host}]\nsection = "{host}"\npath = ["{host}_0", "{host}_1"]\n')
            tube += f'{word} = {{ to = ["{host}"] }}\n'
        return points, rest, tube

    def solids(self):
        """What is taken away at each end."""
        out = []
        for e in self.ends:
            if "plane" in e:
                out.append(half_space({"origin": e["at"] * 1e-3, "outward": -e["plane"]}))
            else:
                a, b = e["ends"]
                out.append(bar(a, b, upright(unit(b - a)), e["size"], GAP))
        return out

    def volume(self, solids):
        """Of the piece: the full bar as cut less its bore as cut, each by booleans. Not a number where one of them fails:
        the kernel then leaves the bar whole where a host severs it, and it still reaches out behind the host."""
        t, far = unit(self.b - self.a), 90.0
        u, middle = upright(t), (self.a + self.b) / 2
        found = []
        for bore in (False, True):
            piece = bar(self.a - t * far, self.b + t * far, u, self.size, 0, bore)
            for s in solids:
                piece = BRepAlgoAPI_Cut(piece, s).Shape()
            explorer = TopExp_Explorer(piece, TopAbs_SOLID)
            while explorer.More():
                s = TopoDS.Solid(explorer.Current()) if hasattr(TopoDS, "Solid") else TopoDS.Solid_s(explorer.Current())
                held = lambda p: BRepClass3d_SolidClassifier(s, pnt(p), 1e-7).State() == TopAbs_IN
                if held(middle) and not held(self.a - t * (far - 1)) and not held(self.b + t * (far - 1)):
                    found.append(volume(s))
                explorer.Next()
        return found[0] - found[1] if len(found) == 2 else np.nan

    def reach(self, n, solid):
        """How far an end reaches beyond its end point: longest and shortest, over both edges of the wall."""
        t = unit(self.b - self.a)
        u, out, e = upright(t), t * (1 if n else -1), self.ends[n]
        v = np.cross(t, u)
        cutter = None
        if "plane" not in e:
            cutter = IntCurvesFace_ShapeIntersector()
            cutter.Load(solid, 1e-9)

        def along(d, edge):
            q = wall_points(self.size, d % total)[edge]
            p = e["at"] + u * q[0] + v * q[1]
            if cutter is None:
                return (e["at"] - p) @ e["plane"] / (out @ e["plane"])
            return crossings(cutter, gp_Lin(pnt(p), direction(out)))[0]

        s = self.size
        total = np.pi * s["od"] * 1e3 if s["shape"] == "round" else 1e3 * (2 * (s["width"] + s["height"]) - (8 - 2 * np.pi) * s["corner"])
        found = []
        for edge, sign in product((0, 1), (1, -1)):
            step = total / AROUND
            where = np.arange(AROUND) * step
            value = np.array([sign * along(d, edge) for d in where])
            best = where[np.argmax(value)]
            for _ in range(3):
                where = np.linspace(best - 1.5 * step, best + 1.5 * step, 25)
                value = np.array([sign * along(d, edge) for d in where])
                best, step = where[np.argmax(value)], step / 8
            found.append(sign * value.max())
        return max(found), min(found)

    def centre(self, n):
        e = self.ends[n]
        if "plane" in e:
            return 0.0
        out = unit(self.b - self.a) * (1 if n else -1)
        a, b = e["ends"]
        run, cross = unit(b - a), np.cross(out, unit(b - a))
        return np.cross(a - e["at"], run) @ cross / (cross @ cross)


def metres(size):
    return {k: v if k == "shape" else v * 1e-3 for k, v in size.items()}


def main():
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    dice = np.random.default_rng(int(sys.argv[2]) if len(sys.argv) > 2 else SEED)
    kinds = [(a, b, s) for _ in range(rounds) for a in KINDS for b in KINDS for s in ("round", "box")]
    joints = [Joint(k, (a, b), s, dice) for k, (a, b, s) in enumerate(kinds)]
    points, rest, tubes = [], [], []
    for j in joints:
        p, r, t = j.text()
        points, rest, tubes = points + p, rest + r, tubes + [t]
    text = f'[design]\nname = "Both ends"\n[limits]\ngap = {GAP}\n[point]\n' + "\n".join([*points, *rest, *tubes])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "both.toml"
        path.write_text(text)
        run = subprocess.run([PROGRAM, "cutting", path, "--json"], capture_output=True, text=True)
    if run.returncode not in (0, 1):
        print(run.stderr[:2000])
        return 1
    pieces = {p["name"]: p for p in json.loads(run.stdout)["pieces"]}
    worst, over, failed = {}, [], 0
    for j in joints:
        j.size = metres(j.size)
        for e in j.ends:
            if "size" in e:
                e["size"] = metres(e["size"])
        piece, solids = pieces[j.name], j.solids()
        length = float(np.linalg.norm(j.b - j.a))
        reach = [j.reach(n, s) for n, s in enumerate(solids)]
        got = piece["lengths"]
        solid = j.volume(solids)
        offs = {
            "over long points": (abs(got["over_long"] * 1e3 - length - reach[0][0] - reach[1][0]), 2 * LENGTH),
            "over short points": (abs(got["over_short"] * 1e3 - length - reach[0][1] - reach[1][1]), 2 * LENGTH),
            "between centres": (abs(got["between_centres"] * 1e3 - length - j.centre(0) - j.centre(1)), 2 * LENGTH),
        }
        if np.isnan(solid):
            failed += 1
        else:
            offs["volume"] = abs(piece["volume"] * 1e9 / solid - 1), VOLUME
        for what, (off, limit) in offs.items():
            worst[what] = max(worst.get(what, 0.0), off)
            if not off <= limit:
                over.append(f"{what} of {j.name} ({' and '.join(j.kinds)}, {j.size['shape']}): off by {off:.3g}")
    print(f"{len(joints)} tubes cut at both ends; worst: " + ", ".join(f"{k} {v:.1e}" for k, v in worst.items()) + f" (mm; volume as a part); {failed} volumes not compared: the kernel's boolean failed")
    if failed * 8 > len(joints):
        over.append("the kernel's booleans fail on more than one tube in eight: the check says too little")
    for o in over[:20]:
        print("over:", o)
    print(f"{len(joints) * 4 - failed} passed, 0 failed" if not over else f"{len(over)} over the limit")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
