"""Solids of ISO 10303-21 files read by an exact CAD kernel.

Has the frame and every piece of both demo designs written, and the cut piece of generated joints of all kinds, and reads
them with OpenCASCADE: one solid each, one closed shell, valid; its volume against the program's, which comes from an
integral over fibres; names and sections of the frame's products. Edges are sampled: each lies on the tube's own outside
or bore, or runs through the wall, and those of a cut on what the end is cut to. These surfaces are worked out here from
the design (for generated joints from corners and sizes). Joints of which the program says that it made no solid, or that
an edge is off by more than its tolerance, are counted; so few may be.

Prints the worst of each; exits with 1 if anything is over. To look at other joints: `step.py [COUNT [SEED]]`.
"""

import json
import sys
import tempfile
import tomllib
from collections import Counter
from multiprocessing import Pool
from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_RetDone
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.STEPControl import STEPControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDF import TDF_Label
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_EDGE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
from OCP.collections import Sequence_TDF_Label

from layout import Layout
from program import ROOT, example

COUNT, SEED = 204, 7
VOLUME = 1e-6
EDGE = 0.01  # mm; the program states a nanometre, or says otherwise
ON = 0.05  # mm: an edge of which every place is as near as this to what the end is cut to is an edge of the cut
SIDE = 1e-3  # mm: an edge of which every place is as near as this to a side of the tube bounds that side
SAMPLES = 24
FEW = 0.03  # part of the joints of which no solid may be made
DESIGNS = ("gorse", "wren")


def unit(v):
    return v / np.linalg.norm(v)


class Skin:
    """Surfaces of a tube, in mm: its outside, or that moved inward."""

    def __init__(self, corners, radii, size, upright):
        self.size, self.u = size, np.array(upright, float)
        c = [np.array(p, float) for p in corners]
        self.legs, self.arcs, start = [], [], c[0]
        for k in range(1, len(c) - 1):
            a, b = unit(c[k] - c[k - 1]), unit(c[k + 1] - c[k])
            turn, axis = np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b), unit(np.cross(a, b))
            back = radii[k - 1] * np.tan(turn / 2)
            enter = c[k] - a * back
            self.legs.append((start, enter))
            out = -np.cross(axis, a)
            self.arcs.append((enter - out * radii[k - 1], axis, out, radii[k - 1], turn))
            start = c[k] + b * back
        self.legs.append((start, c[-1]))

    def off(self, p, inward):
        """Distance of each point from the surface."""
        if self.size["shape"] != "round":
            (a, b), s = self.legs[0], self.size
            v = np.cross(unit(b - a), self.u)
            q = np.abs(np.stack([(p - a) @ self.u, (p - a) @ v], 1))
            half, r = np.array([s["height"], s["width"]]) / 2 - inward, max(s["corner"] - inward, 0)
            over = q - (half - r)
            return np.abs(np.linalg.norm(np.maximum(over, 0), axis=1) + np.minimum(over.max(1), 0) - r)
        r, best = self.size["od"] / 2 - inward, np.full(len(p), np.inf)
        for k, (a, b) in enumerate(self.legs):
            length = np.linalg.norm(b - a)
            if length < 1e-9:
                continue
            t = (b - a) / length
            s = (p - a) @ t
            # End legs may run on past their end points.
            on = (s > (-1e-6 if k else -np.inf)) & (s < (length + 1e-6 if k + 1 < len(self.legs) else np.inf))
            d = np.abs(np.linalg.norm(np.cross(p - a, t), axis=1) - r)
            best = np.where(on, np.minimum(best, d), best)
        for centre, axis, out, ring, turn in self.arcs:
            d = p - centre
            z = d @ axis
            flat = d - np.outer(z, axis)
            at = np.arctan2(flat @ np.cross(axis, out), flat @ out)
            on = (at > -1e-6) & (at < turn + 1e-6)
            best = np.where(on, np.minimum(best, np.abs(np.hypot(np.linalg.norm(flat, axis=1) - ring, z) - r)), best)
        return best


def each(shape, kind):
    e = TopExp_Explorer(shape, kind)
    while e.More():
        yield e.Current()
        e.Next()


def volume(shape):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props, 1e-9)
    return props.Mass()


def edges(shape):
    seen = []
    down = TopoDS.Edge if hasattr(TopoDS, "Edge") else TopoDS.Edge_s
    for e in each(shape, TopAbs_EDGE):
        if any(e.IsSame(s) for s in seen):
            continue
        seen.append(e)
        c = BRepAdaptor_Curve(down(e))
        a, b = c.FirstParameter(), c.LastParameter()
        points = [c.Value(a + (b - a) * k / SAMPLES) for k in range(SAMPLES + 1)]
        yield np.array([(p.X(), p.Y(), p.Z()) for p in points])


def run_along(points, skin):
    """Whether an edge is straight along a leg: between two sides, or a step in a cut."""
    t = points[-1] - points[0]
    straight = np.linalg.norm(np.cross(points - points[0], unit(t)), axis=1).max() < 1e-7
    return straight and any(np.linalg.norm(np.cross(unit(t), unit(b - a))) < 1e-6 for a, b in skin.legs if np.linalg.norm(b - a) > 1e-9)


def seam(points, skin):
    """Whether an edge lies in a plane in which a leg meets a bend, or along a bend."""
    for centre, axis, out, _, turn in skin.arcs:
        first, last = np.cross(axis, out), -np.cross(axis, out) * np.cos(turn) + out * np.sin(turn)
        d = points - centre
        if np.abs(d @ first).max() < 1e-6 or np.abs(d @ last).max() < 1e-6:
            return True
        z = d @ axis
        if np.ptp(z) < 1e-6 and np.ptp(np.linalg.norm(d - np.outer(z, axis), axis=1)) < 1e-6:
            return True
    return False


def check(job):
    """What is wrong with one file, and its figures."""
    file, wanted, own, hosts, planes = job
    reader = STEPControl_Reader()
    if reader.ReadFile(str(file)) != IFSelect_RetDone:
        return [f"{file}: can't be read"], {}
    reader.TransferRoots()
    shape = reader.OneShape()
    wrong, figures = [], {}
    solids, shells = list(each(shape, TopAbs_SOLID)), list(each(shape, TopAbs_SHELL))
    if len(solids) != 1 or len(shells) != 1 or not BRep_Tool.IsClosed_s(shells[0]):
        wrong.append(f"{file}: {len(solids)} solids, {len(shells)} shells, or one that is open")
    if not BRepCheck_Analyzer(shape).IsValid():
        wrong.append(f"{file}: not valid")
    figures["volume"] = abs(volume(shape) / (wanted * 1e9) - 1)
    if figures["volume"] > VOLUME:
        wrong.append(f"{file}: volume off by {figures['volume']:.2e}")
    if own is None:
        return wrong, figures
    wall = own.size["wall"]
    counts = Counter()
    # The file is in the piece's own axes: x along its first leg, scribe line up.
    start, t = own.legs[0][0], unit(own.legs[0][1] - own.legs[0][0])
    axes = np.stack([t, np.cross(own.u, t), own.u])
    for q in edges(shape):
        p = start + q @ axes
        at_own = min(own.off(p, 0).max(), own.off(p, wall).max())
        offs = [skin.off(p, -gap) for skin, gap in hosts] + [np.abs((p - o) @ n) for o, n in planes]
        at_cut = min((o.max() for o in offs), default=np.inf)
        # An edge may cross from one of them to the next only at its ends, so that one of them holds all of it.
        riser = run_along(p, own)
        if at_cut < ON and not riser and not (at_own < ON and seam(p, own)):
            counts["cut"] += 1
            figures["cut"] = max(figures.get("cut", 0), at_cut)
            # Others run through the wall, some of them near a side.
            if at_own < SIDE:
                figures["own"] = max(figures.get("own", 0), at_own)
            if at_cut > EDGE:
                wrong.append(f"{file}: an edge of the cut from {p[0]} to {p[-1]} is off by {at_cut:.4f}, {at_own:.4f} mm")
        elif at_own < EDGE and (riser or seam(p, own)):
            figures["own"] = max(figures.get("own", 0), at_own)
        elif not riser:
            wrong.append(f"{file}: an edge from {p[0]} to {p[-1]} lies on nothing: {at_own:.4f} {at_cut:.4f} mm")
    if counts["cut"] < 4:
        wrong.append(f"{file}: {counts['cut']} edges of cuts")
    return wrong, figures


def millimetres(size):
    return {k: v if k == "shape" else v * 1e3 for k, v in size.items()}


def joints(cases, folder, told):
    """Jobs for generated joints, and which of them have no solid."""
    jobs, without, loose = [], [], 0.0
    for k, case in enumerate(cases):
        why, off, vol = told[(f"{k:04}", case["name"])]
        if why:
            without.append(f"{case['kind']}: {why}")
            continue
        loose = max(loose, off)
        skin = lambda t: Skin(np.array(t["corners"]) * 1e3, np.array(t["radii"]) * 1e3, millimetres(t["size"]), t["upright"])
        planes = [(np.array(p["origin"]) * 1e3, np.array(p["outward"])) for p in case["beyond"]]
        planes += [(np.array(p["origin"]) * 1e3, np.array(p["outward"])) for h in case["hosts"] for p in h["limits"]]
        tube = skin(case["tube"])
        # The other end is cut square.
        ends = [(tube.legs[0][0], tube.legs[0][1] - tube.legs[0][0]), (tube.legs[-1][1], tube.legs[-1][1] - tube.legs[-1][0])]
        planes += [(p, unit(d)) for p, d in ends]
        # A host's seams bound its faces: both sides of one hold an edge on it.
        hosts = [(skin(h), case["gap"] * 1e3) for h in case["hosts"]]
        jobs.append((folder / f"{k:04}" / f"{case['name']}.step", vol, tube, hosts, planes))
    return jobs, without, loose


def demo(name, folder, told):
    """Jobs for a demo design: its edges on the surface of any other tube, or in one plane each."""
    layout = Layout(ROOT / "examples" / f"{name}.toml")
    skins = {}
    for t in layout.tubes:
        u, v = t.frame(False)
        roll = np.radians(t.spec.get("roll", 0)) * (-1 if t.twin else 1)
        skins[t.name] = Skin(t.corners, [t.radii] * len(t.corners), t.section, u * np.cos(roll) + v * np.sin(roll))
    jobs, without = [], []
    for (design, piece), (why, _, vol) in told.items():
        if design == name and vol is not None:
            if why:
                without.append(f"{piece}: {why}")
            else:
                jobs.append((folder / name / f"{piece}.step", vol, None, None, None))
    return jobs, without


def label(of):
    name = TDataStd_Name()
    return name.Get().ToExtString() if of.FindAttribute(TDataStd_Name.GetID_s(), name) else None


def frame(name, folder, told):
    """The frame's file: products' names and sections, and every solid."""
    document = TDocStd_Document(TCollection_ExtendedString("frame"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    file = folder / name / "frame.step"
    if reader.ReadFile(str(file)) != IFSelect_RetDone or not reader.Transfer(document):
        return [f"{file}: can't be read"], {}
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    free, parts = Sequence_TDF_Label(), Sequence_TDF_Label()
    tool.GetFreeShapes(free)
    wrong = []
    design = tomllib.loads((ROOT / "examples" / f"{name}.toml").read_text())["design"]["name"]
    if free.Length() != 1 or label(free.Value(1)) != design:
        return [f"{file}: {free.Length()} products at the top, the first {label(free.Value(1))!r}"], {}
    XCAFDoc_ShapeTool.GetComponents_s(free.Value(1), parts)
    wanted = {piece: vol for (d, piece), (why, _, vol) in told.items() if d == name and not why}
    seen, worst = Counter(), 0.0
    for k in range(1, parts.Length() + 1):
        target = TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(parts.Value(k), target)
        part = label(target)
        seen[part] += 1
        shape = XCAFDoc_ShapeTool.GetShape_s(target)
        if not BRepCheck_Analyzer(shape).IsValid():
            wrong.append(f"{file}: {part} is not valid")
        if wanted.get(part) is not None:
            worst = max(worst, abs(volume(shape) / (wanted[part] * 1e9) - 1))
    if set(seen) != set(wanted) or max(seen.values()) > 1:
        wrong.append(f"{file}: products {set(seen) ^ set(wanted)}")
    if worst > VOLUME:
        wrong.append(f"{file}: a volume is off by {worst:.2e}")
    return wrong, {"volume": worst}


def call(job):
    return frame(*job[1:]) if job[0] == "frame" else check(job[1])


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else SEED
    cases = json.loads(example("joints", count, seed))
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        files = [ROOT / "examples" / f"{d}.toml" for d in DESIGNS]
        for k, case in enumerate(cases):
            files.append(folder / f"{k:04}.toml")
            files[-1].write_text(case["design"])
        told = {}
        for line in example("solids", folder, *files).splitlines():
            design, piece, vol, off, why = line.split("\t")
            told[design, piece] = (why, float(off) if off else 0.0, None if vol == "-" else float(vol))
        jobs, without, loose = joints(cases, folder, told)
        jobs = [("piece", j) for j in jobs]
        wrong = []
        for name in DESIGNS:
            more, missing = demo(name, folder, told)
            wrong += [f"{name}: no solid of {m}" for m in missing]
            jobs += [("frame", name, folder, told)] + [("piece", j) for j in more]
        jobs.sort(key=lambda j: j[0] != "frame")
        with Pool(2) as pool:
            results = pool.map(call, jobs, chunksize=1)
    worst = Counter()
    for more, figures in results:
        wrong += more
        for k, v in figures.items():
            worst[k] = max(worst[k], v)
    if len(without) > FEW * count:
        wrong.append(f"{len(without)} joints without a solid")
    print(f"{len(jobs)} files read, {sum(j[0] == 'frame' for j in jobs)} of them frames; {len(without)} of {count} joints without a solid")
    print(f"volumes within {worst['volume']:.1e}; edges of cuts within {worst['cut']:.1e} mm of what they are cut to, all edges")
    print(f"within {worst['own']:.1e} mm of their tube; by the program's own account within {loose * 1e3:.1e} mm")
    for kind, n in Counter(without).items():
        print(f"  without: {n} {kind}")
    for w in wrong[:40]:
        print("wrong:", w)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
