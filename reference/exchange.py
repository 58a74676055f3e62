"""Exchange files read by independent readers.

Writes the packets of the demo designs and reads them back: meshes with trimesh and a glTF validator, drawings with
ezdxf, tables and JSON with the standard library, the codes on labels with zxing. Prints what was checked; exits with 1
if anything is wrong.
"""

import csv
import json
import os
import struct
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import ezdxf
import numpy as np
import pypdfium2
import trimesh
import zxingcpp

import centrelines

ROOT = Path(__file__).resolve().parent.parent
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
PROGRAM = TARGET / "release" / "tubewright"
VOLUME_LIMIT = 1e-3
# Of a round tube's mesh in frame.glb.
SIDES = 96
# Coordinates in frame.glb are of 32 bits: 1.2e-7 of some 2 m.
ROUNDED = 5e-7
counts = {"passed": 0, "failed": 0}


def check(ok, what):
    counts["passed" if ok else "failed"] += 1
    if not ok:
        print("wrong:", what)


def perimeter(size):
    if size["shape"] == "round":
        return np.pi * size["od"]
    return 2 * (size["width"] + size["height"]) - (8 - 2 * np.pi) * size["corner"]


def centroid(piece, tube):
    """Centroid of a straight round piece, by an integral over its fibres as they stand in packet.json."""
    start, end = np.array(tube["corners"][0]), np.array(tube["corners"][-1])
    length = np.linalg.norm(end - start)
    along, u = (end - start) / length, np.array(tube["scribe"])
    v = np.cross(along, u)
    outer = piece["size"]["od"] / 2
    wall = piece["size"]["wall"]
    count = 7200
    turn = (np.arange(count) + 0.5) * 2 * np.pi / count
    reach = lambda cut, key: np.interp(turn, [f["round"] / outer for f in cut["profile"]["fibres"]],
                                       [f[key] for f in cut["profile"]["fibres"]], period=2 * np.pi)
    ends = [[reach(cut, key) for key in ("inner", "outer")] for cut in piece["ends"]]
    volume, moment = 0.0, np.zeros(3)
    for node, weight in zip(*np.polynomial.legendre.leggauss(6)):
        part = (node + 1) / 2
        radius = outer - wall + part * wall
        # From inside to outside of the wall a cut is taken to run straight, as in the mesh.
        low, high = (inside + part * (outside - inside) for inside, outside in ends)
        area = weight / 2 * wall * radius * 2 * np.pi / count
        left = length + low + high
        volume += area * left.sum()
        moment += area * ((((length + high) ** 2 - low**2) / 2).sum() * along
                          + radius * ((left * np.cos(turn)).sum() * u + (left * np.sin(turn)).sum() * v))
    return start + moment / volume


def centroid_limit(piece):
    """How far a polygon of SIDES sides may move a piece's centroid.

    Between circle and polygon, slivers of a share e = (2 pi / SIDES)^2 / 6 of the whole disc are lost outside and of
    the bore gained inside. They run from end to end, so that their centroid lies within half of both ends' depths of
    the piece's along the tube, and within the radius times depth over length across it. An end's chords stray from a
    wave of half its depth that goes twice round by e times the depth on the mean.
    """
    e = (2 * np.pi / SIDES) ** 2 / 6
    depth = sum(cut["profile"]["long"] - cut["profile"]["short"] for cut in piece["ends"])
    outer = piece["size"]["od"] / 2
    bore = outer - piece["size"]["wall"]
    slivers = (outer**2 + bore**2) / (outer**2 - bore**2)
    return e * depth * (slivers * (0.5 + outer / piece["lengths"]["over_short"]) + 1) + ROUNDED


def meshes(folder, packet):
    pieces = {p["name"]: p for p in packet["pieces"]}
    plates = {p["name"]: p for p in packet["plates"]}
    scene = trimesh.load(folder / "frame.glb", force="scene")
    names = set(scene.geometry)
    check(names == set(pieces) | set(plates), f"node names of frame.glb: {names ^ (set(pieces) | set(plates))}")
    tubes = {t["name"]: t for t in packet["tubes"]}
    worst, total, away, nearest, held = 0.0, 0.0, 0.0, 0.0, 0
    for name, mesh in scene.geometry.items():
        mesh.merge_vertices()
        check(mesh.is_watertight, f"{name} is not closed")
        check(mesh.is_winding_consistent, f"{name} is wound both ways")
        if name in pieces:
            off = mesh.volume / pieces[name]["volume"] - 1
            # A polygon of 96 sides holds 0.07 % less than its circle, outside and bore alike.
            check(abs(off) < VOLUME_LIMIT, f"volume of {name} is off by {off:.2e}")
            worst, total = max(worst, abs(off)), total + mesh.volume
            if pieces[name]["size"]["shape"] == "round" and not pieces[name]["bends"]:
                # y up, z forward, x left in the glTF.
                off = np.linalg.norm(mesh.center_mass[[2, 0, 1]] - centroid(pieces[name], tubes[name]))
                shift = centroid_limit(pieces[name])
                nearest = max(nearest, off / shift)
                check(off < shift, f"centroid of {name} is off by {off:.2e} m, more than {shift:.2e}")
                away, held = max(away, off), held + 1
    stl = trimesh.load(folder / "frame.stl")
    check(stl.is_watertight and stl.is_winding_consistent, "frame.stl is not closed or wound both ways")
    wanted = sum(p["volume"] for p in packet["pieces"])
    plate = 0.0
    for name, p in plates.items():
        # Holes are polygons too, so a plate has a little more left.
        spare = VOLUME_LIMIT * sum(np.pi * d * d / 4 for _, d in p["holes"]) * p["thickness"]
        off = scene.geometry[name].volume - p["area"] * p["thickness"]
        check(abs(off - spare / 2) < spare / 2 + 1e-5 * p["area"] * p["thickness"], f"volume of {name} is off by {off:.2e} m3")
        # A body with a hole through it has one handle for each: Euler's number falls by two.
        check(scene.geometry[name].euler_number == 2 - 2 * len(p["holes"]), f"holes of {name} in frame.glb")
        plate += scene.geometry[name].volume
    off = (stl.volume * 1e-9 - plate) / wanted - 1
    check(abs(off) < VOLUME_LIMIT, f"volume of frame.stl is off by {off:.2e}")
    check(abs(total / wanted - 1) < VOLUME_LIMIT, "volume of frame.glb")
    # y up, z forward, x left in the glTF; x forward, y left, z up in the STL.
    lo, hi = scene.bounds
    for k, axis in enumerate((2, 0, 1)):
        check(abs(stl.bounds[0][k] - 1e3 * lo[axis]) < 0.01, "bounds of STL and glTF differ")
        check(abs(stl.bounds[1][k] - 1e3 * hi[axis]) < 0.01, "bounds of STL and glTF differ")
    data = (folder / "frame.glb").read_bytes()
    magic, version, length = struct.unpack("<4sII", data[:12])
    check(magic == b"glTF" and version == 2 and length == len(data), "header of frame.glb")
    return len(names), (f"volume of a piece off by at most {worst:.3%}, of the frame by {off:.3%}; "
                        f"centroids of {held} straight round pieces by {away * 1e6:.0f} um, {nearest:.0%} of their limits")


def gltf(folder, packet):
    """`frame.glb` by the validator of those who publish the format, and what its materials are called."""
    run = subprocess.run(["node", ROOT / "web" / "tools" / "gltf.mjs", folder / "frame.glb"], capture_output=True, text=True)
    check(run.returncode == 0, f"the glTF validator: {run.stderr[-500:]}")
    if run.returncode != 0:
        return "nothing"
    issues = json.loads(run.stdout)[0]["issues"]
    found = {kind: issues[kind] for kind in ("numErrors", "numWarnings", "numInfos", "numHints")}
    check(not any(found.values()), f"frame.glb: {found}, such as {issues['messages'][:1]}")
    data = (folder / "frame.glb").read_bytes()
    doc = json.loads(data[20 : 20 + struct.unpack("<I", data[12:16])[0]])
    materials = [m["name"] for m in doc["materials"]]
    colours = [tuple(m["pbrMetallicRoughness"]["baseColorFactor"]) for m in doc["materials"]]
    check(len(set(materials)) == len(set(colours)) == len(materials), f"materials of frame.glb: {materials}")
    of = {n["name"]: materials[doc["meshes"][n["mesh"]]["primitives"][0]["material"]] for n in doc["nodes"]}
    wanted = {p["name"]: f"{p['section']}, {p['material']}" for p in packet["pieces"]}
    check(all(of.get(name) == material for name, material in wanted.items()), "materials of pieces in frame.glb")
    check(all(of[p["name"]].startswith("plate, ") for p in packet["plates"]), "materials of plates in frame.glb")
    return f"{len(materials)} materials"


def printed(fibres, key, least, around, word):
    """A cut's line as drawn with "out of the tube" up and the print outward.

    Looking at the outside of a tube with its end up, clockwise (seen from start to end) runs to the right; turned over,
    with its start up, it runs to the left.
    """
    line = [[f["round"] * 1e3, (f[key] - least) * 1e3] for f in fibres]
    line.append([around, line[0][1]])
    if word == "start":
        line = [[around - x, y] for x, y in reversed(line)]
    return np.array(line)


def audited(doc, path):
    audit = doc.audit()
    check(not audit.errors and not audit.fixes, f"{path.name}: {audit.errors[:1]} {audit.fixes[:1]}")


def points_of(space):
    return np.array([p for e in space.query("LWPOLYLINE") for p in e.get_points("xy")])


def picture(path, points):
    """An SVG at 1:1 that shows the lines of its DXF: same points, wherever its top left corner is."""
    root = ElementTree.parse(path).getroot()
    size = [float(root.get(side).removesuffix("mm")) for side in ("width", "height")]
    box = [float(v) for v in root.get("viewBox").split()]
    check(root.get("width").endswith("mm") and root.get("height").endswith("mm") and box == [0, 0, *size],
          f"{path.name} is not 1:1")
    lines = [e for e in root if e.tag.split("}")[1] in ("polyline", "polygon")]
    shown = np.array([[float(v) for v in p.split(",")] for e in lines for p in e.get("points").split()])
    wanted = points * [1, -1]
    same = shown.shape == wanted.shape and np.ptp(shown - wanted, axis=0).max() < 2e-4
    check(same, f"{path.name} and its DXF differ")
    check(shown.min() > -1e-4 and (size - shown.max(axis=0)).min() > -1e-4, f"lines of {path.name} are cut off")
    layers = {e.get("class") for e in root if e.get("class")}
    check(layers <= set(LAYERS), f"layers of {path.name}: {layers}")
    return [e.text for e in root if e.get("class") == "note"]


LAYERS = ("cut-outside", "cut-inside", "contact", "mark", "note")


def cut(doc, name):
    """The outline of what a cutter is to cut out: one closed line, anticlockwise, and nothing twice."""
    space = doc.modelspace()
    used = {e.dxf.layer for e in space}
    check(used <= set(LAYERS) <= {l.dxf.name for l in doc.layers}, f"layers of {name}: {used}")
    outer = space.query('LWPOLYLINE[layer=="cut-outside"]')
    check(len(outer) == 1 and outer[0].closed, f"{name}: one closed outline")
    points = np.array(outer[0].get_points("xy"))
    after = np.roll(points, -1, axis=0)
    check((points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]).sum() > 0, f"{name}: its outline is clockwise")
    check(np.linalg.norm(after - points, axis=1).min() > 1e-6, f"{name}: its outline has a side of no length")
    # The line of contact, which is not cut, runs on the edge where the outside of the wall touches first.
    sides = [tuple(sorted((a.tobytes(), b.tobytes()))) for e in space.query('LWPOLYLINE[layer!="contact"]')
             for a, b in zip(np.array(e.get_points("xy")), np.array(e.get_points("xy"))[1:])]
    check(len(sides) == len(set(sides)), f"{name}: a line is there twice")
    holes = [(c.dxf.layer, c.dxf.center.x, c.dxf.center.y, c.dxf.radius) for c in space.query("CIRCLE")]
    check(all(h[0] == "cut-inside" for h in holes) and len(holes) == len(set(holes)), f"{name}: its holes")
    # A mark along the cut would be gone with the cut.
    low, high = points.min(axis=0), points.max(axis=0)
    for e in space.query('LWPOLYLINE[layer=="mark"]'):
        flat = np.array(e.get_points("xy"))
        check(all(not (np.ptp(flat[:, 0]) == 0 and abs(flat[0, 0] - edge) < 1e-6) for edge in (low[0], high[0])),
              f"{name}: a mark runs along the edge")
    return points


def drawings(folder, packet):
    seen = 0
    for piece in packet["pieces"]:
        for end, word in zip(piece["ends"], ("start", "end")):
            stem = folder / "templates" / f"{piece['name'].replace('~', '.twin')}-{word}"
            dxf, svg = (stem.with_name(stem.name + kind) for kind in (".dxf", ".svg"))
            if not dxf.exists():
                reach = [f["radial"] for f in end["profile"]["fibres"]]
                check(max(reach) - min(reach) < 2e-6, f"{stem.name} has no template but is not square")
                continue
            seen += 1
            around = perimeter(piece["size"]) * 1e3
            doc = ezdxf.readfile(dxf)
            check(doc.units == ezdxf.units.MM, f"{stem.name}.dxf is not in mm")
            audited(doc, dxf)
            space = doc.modelspace()
            points = cut(doc, f"{stem.name}.dxf")
            check(abs(np.ptp(points[:, 0]) - around) < 1e-3, f"{stem.name}.dxf is not as wide as the tube is round")
            fibres = end["profile"]["fibres"]
            least = min(f["radial"] for f in fibres)
            wanted = printed(fibres, "radial", least, around, word)[::-1]
            # Fibres that are one on paper are one point.
            apart = np.append(True, np.linalg.norm(np.diff(wanted, axis=0), axis=1) > 5e-7)
            line = points[1:-1]
            check(line.shape == wanted[apart].shape and np.abs(line - wanted[apart]).max() < 1e-5,
                  f"{stem.name}.dxf: points differ from packet.json")
            words = {t.dxf.layer: [] for t in space.query("TEXT")}
            for t in space.query("TEXT"):
                words[t.dxf.layer].append(t.dxf.text)
            check(words == {"mark": [f"{piece['name']} {word}"], "note": ["the line is the finished edge:", "kerf outside the line"]},
                  f"{stem.name}.dxf: its words are {words}")
            contact = space.query('LWPOLYLINE[layer=="contact"]')
            check(len(contact) == 1 and not contact[0].closed, f"{stem.name}.dxf: one open line of contact")
            points = np.array(contact[0].get_points("xy"))
            wanted = printed(fibres, "outer", least, around, word)
            check(np.abs(points[: len(wanted)] - wanted).max() < 1e-5, f"{stem.name}.dxf: contact differs from packet.json")
            # The tips of the arrows and the quarters.
            marks = [np.array(e.get_points("xy"))[:, 0] for e in space.query('LWPOLYLINE[layer=="mark"]')]
            tips = sorted(x.min() if x.min() < around / 2 else x.max() for x in marks)
            check(np.abs(np.array(tips) - around * np.arange(5) / 4).max() < 1e-5, f"{stem.name}.dxf: scribe marks at {tips}")
            check(picture(svg, points_of(space)) == words["note"], f"words of {svg.name}")
    for plate in packet["plates"]:
        stem = folder / "plates" / plate["name"].replace("~", ".twin")
        dxf, svg = (stem.with_name(stem.name + kind) for kind in (".dxf", ".svg"))
        doc = ezdxf.readfile(dxf)
        check(doc.units == ezdxf.units.MM, f"{plate['name']}.dxf is not in mm")
        audited(doc, dxf)
        space = doc.modelspace()
        outline = cut(doc, dxf.name)
        holes = np.array([[c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius] for c in space.query("CIRCLE")]).reshape(-1, 3)
        wanted = 1e3 * np.array([[*at, d] for at, d in plate["holes"]]).reshape(-1, 3)
        check(holes.shape == wanted.shape and np.allclose(holes, wanted, rtol=0, atol=1e-5), f"holes of {plate['name']}")
        check(outline.shape == np.shape(plate["corners"])
              and np.abs(outline - 1e3 * np.array(plate["corners"])).max() < 1e-5, f"outline of {plate['name']}")
        notes = [t for t in space.query("TEXT") if t.dxf.layer == "note"]
        words = [t.dxf.text for t in notes]
        check(picture(svg, points_of(space)) == words, f"words of {svg.name}")
        inches = packet["design"]["units"] == "in"
        thick = plate["thickness"] / (0.0254 if inches else 0.001)
        first = words[0].removeprefix(f"{plate['name']}: ").removesuffix(f" {'in' if inches else 'mm'} thick.")
        check(abs(float(first.rsplit(", ", 1)[1]) - thick) < 6e-3, f"{dxf.name} says {words[0]}")
        check(words[-1] == "Lines are the finished edge. Outer edges: kerf outside the line; holes: kerf inside.",
              f"{dxf.name} does not say where the kerf goes")
        check(max(t.dxf.insert.y + t.dxf.height for t in notes) < outline[:, 1].min(), f"words of {dxf.name} stand on the part")
        seen += 1
    return seen


def tables(folder, packet):
    inches = packet["design"]["units"] == "in"
    unit, metres = ("in", 0.0254) if inches else ("mm", 0.001)
    sticks = {c["name"]: k["mark"] for x in packet["stock"]["sections"] for k in x["sticks"] for c in k["cuts"]}
    with open(folder / "pieces.csv", newline="") as f:
        rows = list(csv.DictReader(f))
    check(len(rows) == len(packet["pieces"]), "rows of pieces.csv")
    for row, piece in zip(rows, packet["pieces"]):
        check(row["name"] == piece["name"], "order of pieces.csv")
        length = float(row[f"over long points ({unit})"]) * metres
        check(abs(length - piece["lengths"]["over_long"]) < 6e-5 * metres, f"length of {piece['name']} in pieces.csv")
        # The pound is 0.453 592 37 kg by definition.
        mass, kg = ("mass (lb)", 0.45359237) if inches else ("mass (kg)", 1.0)
        scale = {"number": lambda p: p["number"], mass: lambda p: p["mass"] / kg}
        for key, name in (("blank", "blank"), ("over_short", "over short points"), ("between_centres", "between notch centres"),
                          ("between_points", "between points"), ("on_scribe", "on scribe"), ("chord", "chord")):
            scale[f"{name} ({unit})"] = lambda p, key=key: p["lengths"][key] / metres
        for column, value in scale.items():
            check(abs(float(row[column]) - value(piece)) < 6e-5, f"{column} of {piece['name']} in pieces.csv")
        for end, word in zip(piece["ends"], ("start", "end")):
            check(row[f"{word} cut"] == end["kind"] and row[f"{word} to"] == "; ".join(end["to"]), f"{word} of {piece['name']}")
            columns = {
                "angle from square (deg)": lambda s: np.degrees(s["angle"]) if "angle" in s else None,
                "scale (deg)": lambda s: np.degrees(s["scale"]) if "scale" in s else None,
                "turn (deg)": lambda s: np.degrees(s["turn"]) if "turn" in s else None,
                f"offset ({unit})": lambda s: s["offset"] / metres if "offset" in s else None,
                f"notch diameter ({unit})": lambda s: s["diameter"] / metres if "diameter" in s else None,
                f"saw size ({unit})": lambda s: s["saw"]["od"] / metres if s.get("saw") else None,
                f"saw travel ({unit})": lambda s: s["depth"] / metres if "depth" in s else None,
            }
            for column, value in columns.items():
                shown = row[f"{word} {column}"].split("; ")
                wanted = [value(s) for s in end["setups"]]
                same = len(shown) == len(wanted) and all(
                    v == "" if w is None else v != "" and abs(float(v) - w) < 6e-5 for v, w in zip(shown, wanted))
                check(same, f"{column} at the {word} of {piece['name']}: {shown}, not {wanted}")
            tools = [s["tool"].replace("hole-saw", "hole saw") for s in end["setups"]]
            check(row[f"{word} tool"] == "; ".join(tools), f"tools at the {word} of {piece['name']}")
            lengths = {"left long": end["left_long"], "reach long": end["profile"]["long"], "reach short": end["profile"]["short"]}
            for column, value in lengths.items():
                shown = float(row[f"{word} {column} ({unit})"])
                check(abs(shown - value / metres) < 6e-5, f"{column} at the {word} of {piece['name']}")
        words = [row[key] for key in ("section", "material", "state", "stick")]
        wanted = [piece["section"], piece["material"], piece["state"], sticks.get(piece["name"], "")]
        check(words == wanted, f"words of {piece['name']} in pieces.csv: {words}")
        check(None not in row and None not in row.values(), f"columns of {piece['name']} in pieces.csv")
    with open(folder / "bends-lra.csv", newline="") as f:
        lra = list(csv.DictReader(f))
    bent = [p for p in packet["pieces"] if p["bends"]]
    for piece in bent:
        rows = [r for r in lra if r["piece"] == piece["name"]]
        for r, b in zip(rows, piece["bends"]["bends"]):
            mark = float(r[f"mark from blank's working end ({unit})"])
            check(abs(mark - b["mark"] / metres) < 6e-5, f"mark of {piece['name']} in bends-lra.csv")
            wanted = b["setting"] and np.degrees(b["setting"]["set"])
            shown = r["set (deg)"] and float(r["set (deg)"])
            check(shown == "" if wanted is None else abs(shown - wanted) < 6e-7, f"setting of {piece['name']} in bends-lra.csv")
        check(len(rows) == 1 + len(piece["bends"]["bends"]), f"bends of {piece['name']} in bends-lra.csv")


LINK = "http://192.0.2.7:4870/shop/{piece}?token=0123456789abcdef0123456789abcdef"


def codes(folder, packet):
    """Every label's code, read from the printed page at 200 dots an inch by a barcode reader."""
    doc = pypdfium2.PdfDocument(folder / "packet.pdf")
    seen = []
    for page in doc:
        if "scan to tick it off" in page.get_textpage().get_text_range():
            seen += [c.text for c in zxingcpp.read_barcodes(page.render(scale=200 / 72).to_pil())]
    wanted = [LINK.replace("{piece}", p["name"]) for p in packet["pieces"]]
    check(sorted(seen) == sorted(wanted), f"codes on labels: {len(seen)} read of {len(wanted)}")
    return len(seen)


def main():
    for name in ("gorse", "wren"):
        design = ROOT / "examples" / f"{name}.toml"
        if not design.exists():
            check(False, f"{design} is not there")
            continue
        with tempfile.TemporaryDirectory() as out:
            run = subprocess.run([PROGRAM, "packet", design, "--out", out, "--link", LINK], capture_output=True, text=True)
            check(run.returncode in (0, 1), f"packet {name}: {run.stderr}")
            folder = Path(out)
            packet = json.loads((folder / "packet.json").read_text())
            bodies, volumes = meshes(folder, packet)
            flat = drawings(folder, packet)
            tables(folder, packet)
            unit = packet["design"]["units"]
            drawn, far = centrelines.lines(folder, packet, audited, check)
            bent, away = centrelines.bent(folder, packet, check)
            materials = gltf(folder, packet)
            read = codes(folder, packet)
            print(f"{name}: {len(packet['pieces'])} pieces, {bodies} closed bodies of {materials}, {flat} flat drawings, {read} codes read; {volumes}; "
                  f"{drawn} lines and arcs off by at most {far:.1e} {unit}, {bent} pieces bent by one table off the other by {away:.1e} {unit}")
    print(f"{counts['passed']} passed, {counts['failed']} failed")
    return 1 if counts["failed"] else 0


if __name__ == "__main__":
    sys.exit(main())
