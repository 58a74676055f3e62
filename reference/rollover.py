"""What happens to both demo designs when they go over, worked out anew from the design file alone.

`layout.py` places tubes and points, `standing.py` weighs (with the wheels at droop), `hard.py` says how far each hard thing
reaches. `tipping.py` then finds everything in ways of its own: a rest is a hollow of the height of the centre of gravity over
the ground, as a function of the ground's direction. Hollows are looked for from the hull (Qhull) of points all over the
surfaces, and followed down on the true surfaces by minimax (scipy's SLSQP) and Newton's method. Over each edge the body is
rolled in steps of a quarter of a degree with both places kept on the ground. The lowest pass is found on the points' hull by joining faces
from below; shares are its faces' solid angles, each fallen from as `docs/methods/rollover.md` says. Sunk ground is the corners
of a polytope (Qhull's half spaces). Openings are cut and ellipses found in `ways.py`. Of the program's own answer two things are
taken: the mass of a person (see `mass.py`) and the capsules that a person is drawn as; both are held against a survey in the
program's own tests.

Each design is also taken with some tubes giving way, a skin that holds, a mass to one side, softer ground, and people of another
size.

Limits, from the way in which each number is found here:
- ground, heights, margins, contacts, rooms, areas: equations solved to rounding: 1e-8, 1e-7 for margins;
- energies: points of a circle lie inside it by r (1 - cos(pi / 360)), 13 um for the largest wheel: m g times that is 0.1 J;
- shares: here of points 1 degree apart, there of chords within 1 mm. A fall that passes near a corner goes one way or the other.
  With points half as far apart these shares moved by 2e-4 at most: 1e-3;
- ellipses: the program is sure of a thousandth of the size.

Prints the largest differences; exits with 1 if any is over.
"""

import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from hard import bodies
from layout import unit
from outlines import across
from program import PROGRAM, ROOT, TARGET
from stance import Tally
from standing import G as GRAVITY
from standing import Car
from tipping import Body, find, over, sunk
from ways import Opening, area

# Variants: the same designs with some things giving way, others heavier, softer ground and smaller people.
VARIANTS = {
    "gorse": [
        ("[tube.front_hoop]\n", "[tube.front_hoop]\nhard = false\n"),
        ("[tube.roof_rail]\n", "[tube.roof_rail]\nhard = false\n"),
        ("[skin.nose]\n", "[skin.nose]\nhard = true\n"),
        ("[mass.gearbox]\n", "[mass.crate]\nat = [-200, 450, 300]\nkg = 90\nsize = [300, 200, 400]\n[mass.gearbox]\n"),
        ("[limits]\n", "[rollover]\nsoft = 120\nmarginal = 150\n[limits]\nopening = [450, 450]\n"),
    ],
    "wren": [
        ("[tube.main_hoop]\n", "[tube.main_hoop]\nhard = false\n"),
        ("[mass.engine]\n", "[mass.spare]\nat = [10, 12, 20]\nkg = 60\nsize = [6, 9, 8]\nhard = false\n[mass.engine]\n"),
        ("[limits]\n", "[rollover]\nsoft = 4\n[limits]\nopening = [14, 25]\n"),
    ],
}
SIDES = {"left": (0, 1, 0), "right": (0, -1, 0), "nose": (1, 0, 0), "tail": (-1, 0, 0)}
EXACT, MARGIN, ENERGY, SHARE, ELLIPSE = 1e-8, 1e-7, 0.1, 1e-3, 1.1e-3
ROUND = 360  # points round a circle


def case(tally, who, told, body, car, people, soft, marginal):

    rests, chords, of, share = find(body, ROUND)
    lowest = chords.passes(of)
    a = told["rollover"]["attitudes"]
    mine = []
    for k, got in enumerate(a):
        d = [np.linalg.norm(r.u - got["normal"]) for r in rests]
        mine.append(int(np.argmin(d)))
    tally.equal("rests", who, sorted(mine), list(range(len(rests))))
    person = [car.mm(v) for v in car.file.get("limits", {}).get("opening", ("330 mm", "580 mm"))]
    for k, (got, room) in enumerate(zip(a, told["rooms"])):
        r, name = rests[mine[k]], f"{who}, {k + 1} {room['words']}"
        tally.near("ground", name, np.linalg.norm(r.u - got["normal"]), 0, EXACT)
        tally.near("height", name, got["height"], r.height, EXACT)
        tally.near("share", name, got["share"], share[mine[k]], SHARE)
        tally.equal("touches", name, sorted({c["body"] for c in got["contacts"]}), sorted(r.names))
        places = np.concatenate([c["at"] for c in got["contacts"]])
        apart = np.linalg.norm(places[:, None] - r.places[None], axis=2)
        tally.near("places", name, max(apart.min(0).max(), apart.min(1).max()), 0, MARGIN)
        tally.equal("kind", name, got["kind"] == "flat", r.kind == "flat")
        tally.near("margin", name, got["margin"], r.margin, MARGIN)
        tally.equal("marginal", name, got["marginal"], bool(r.margin < marginal))
        tally.equal("edges", name, len(got["edges"]), len(r.edges))
        for e in got["edges"]:
            names, margin, joins, out = min(r.edges, key=lambda x: abs(np.array(e["ends"]) @ x[3] - x[3] @ r.foot - x[1]).max())
            tally.equal("edge over", name, set(e["over"]), set(names))
            tally.near("edge margin", f"{name}, over {e['over']}", e["margin"], margin, MARGIN)
            want = body.mass * GRAVITY * (max(over(body, r, joins, out), lowest[mine[k]]) - r.height)
            tally.near("edge energy", f"{name}, over {e['over']}", e["energy"], want, ENERGY)
        ground, planes = r.foot, sunk(r, soft)
        for p in room["people"]:
            for part in p["parts"]:
                balls = [b for b in people[p["name"]] if b["part"] == part["part"]]
                ends = [(np.array(c), b["radius"]) for b in balls for c in b["ends"]]
                least = min((ground - c) @ r.u - q for c, q in ends)
                tally.near("room", f"{name}, {p['name']}'s {part['part']}", part["hard"], least, EXACT)
                worst = np.inf
                for c, q in ends:
                    x = np.array([(c - ground) @ e for e in across(r.u)])
                    far = ((ground - c) @ r.u - planes[:, 0] - planes[:, 1:] @ x) / np.hypot(1, np.hypot(planes[:, 1], planes[:, 2]))
                    worst = min(worst, far.min() - q)
                tally.near("soft room", f"{name}, {p['name']}'s {part['part']}", part["soft"], worst, EXACT)
        up = -r.u
        for o in car.openings:
            got_way = next(w for w in room["ways"] if w["opening"] == o.name)
            outward = o.n if (o.middle - body.g) @ o.n > 0 else -o.n
            raised = max(0.0, -outward @ up) * person[0]
            left, scale = o.over(ground + up * raised, up, person)
            way = f"{name}, {o.name}"
            tally.near("raised", way, got_way["raised"], raised, EXACT)
            tally.near("area", way, got_way["area"], area(left), EXACT)
            k_told = got_way["ellipse"][0] / person[0]
            tally.near("ellipse", way, k_told / scale if scale else k_told + 1, 1, ELLIPSE)
            tally.equal("passes", way, got_way["passes"], scale >= 1)
    paths(tally, who, told["rollover"], [rests[k] for k in mine], body)
    holds(tally, who, told["rollover"]["sensitivity"], rests, body)


def paths(tally, who, told, rests, body):
    weight = body.mass * GRAVITY
    for p in told["paths"]:
        name, start = f"{who}, over its {p['side']}", rests[p["from"]]
        tally.equal("path begins", name, p["from"], min(range(len(rests)), key=lambda k: rests[k].u[2]))
        _, _, joins, out = min((e for e in start.edges if set(e[0]) == set(p["over"])), key=lambda e: -(e[3] @ SIDES[p["side"]]))
        tally.near("path's first crest", name, p["steps"][0]["needed"], weight * (over(body, start, joins, out) - start.height), ENERGY)
        height = start.height
        for s in p["steps"]:
            tally.near("path's height", name, s["height"], body.height(np.array(s["normal"]))[0], EXACT)
            tally.near("path's balance", name, s["needed"] - s["released"], weight * (s["height"] - height), 1e-6)
            height = s["height"]
        tally.near("path's end", name, height, rests[p["rests"]].height, EXACT)


def holds(tally, who, told, rests, body):
    """A rest is there with the centre of gravity moved by a little less than it may, and gone with a little more; or comes."""
    flat = min(r.margin for r in rests if r.kind == "flat")
    lost = told["lost"]["distance"]
    # One on round places may go before.
    tally.near("first rest lost", who, lost, flat if len(told["lost"]["bodies"]) > 2 else min(flat, lost), MARGIN)
    shifts = [(told["lost"], -1)] + [(s, 1) for s in told["gained"][:1]]
    tally.near("holds", who, told["holds"], min(s["distance"] for s, _ in shifts), 1e-12)
    for shift, more in shifts:
        for part in (0.95, 1.05):
            moved = object.__new__(Body)
            moved.p, moved.mass, moved.g = body.p, body.mass, body.g + part * shift["distance"] * np.array(shift["direction"])
            tally.equal("rests with the centre moved", f"{who}, {part} of {shift}", moved.stands(unit(np.array(shift["normal"]))), (part < 1) == (more < 0))


def main():
    failed = 0
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        for lines, wrong in pool.map(one, [(n, v) for n in sys.argv[1:] or ("gorse", "wren") for v in (False, True)]):
            print("\n".join(lines))
            failed += wrong
    print("0 failed" if not failed else f"{failed} differ")
    return 1 if failed else 0


def one(what):
    """What is told of a design or its variant, and how much of it differs."""
    name, varied = what
    own = ROOT / "examples" / f"{name}.toml"
    design = TARGET / "rollover" / ("varied" if varied else "as_it_is") / name / own.name
    shutil.rmtree(design.parent, ignore_errors=True)
    design.parent.mkdir(parents=True)
    if (own.parent / name).is_dir():
        shutil.copytree(own.parent / name, design.parent / name)
    text = own.read_text()
    for old, new in VARIANTS[name] if varied else []:
        assert text.count(old) == 1, f"{old} is not once in {own.name}"
        text = text.replace(old, new)
    design.write_text(text)
    return design_over(f"{name}, varied" if varied else name, design)


def design_over(name, design):
    run = lambda verb: json.loads(subprocess.run([PROGRAM, verb, design, "--json"], capture_output=True, text=True, check=True).stdout)
    told, tally = run("rollover")["over"], Tally()
    people = {p["name"]: p["parts"] for p in run("shape")["people"]}
    car = Car(design)
    car.openings = [Opening(car, n, s, t) for n, s in car.file.get("opening", {}).items() for t in car.twins(s)]
    hubs = [w.hub - [0, 0, w.droop] for w in car.wheels]
    mass, centre, _ = car.weight({}, hubs)
    settings = car.file.get("rollover", {})
    soft, marginal = (car.mm(settings.get(k, d)) for k, d in (("soft", "50 mm"), ("marginal", "20 mm")))
    tally.near("soft", name, told["soft"], soft, 1e-12)
    gives = any(not m.get("hard", True) and "size" in m for m in car.file.get("mass", {}).values())
    gives |= any(not t.get("hard", True) for t in car.file["tube"].values())
    gives |= any(not s.get("hard", False) for s in car.file.get("skin", {}).values())
    tally.equal("something gives way", name, told["whole"] is not None, gives)
    for what in ("hard", "whole"):
        if told[what]:
            case(tally, f"{name}, {what}", told[what], Body(bodies(car, hubs, what == "whole"), centre, mass), car, people, soft, marginal)
    lines = [f"differs: {w}" for w in tally.wrong]
    lines.append(f"{name}: " + ", ".join(f"{n} x {what}" for what, n in sorted(tally.same.items())))
    lines.append("   worst: " + ", ".join(f"{what} {off:.1e}" for what, off in sorted(tally.worst.items()) if off))
    return lines, len(tally.wrong)


if __name__ == "__main__":
    sys.exit(main())
