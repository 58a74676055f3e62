"""Cutting plans against a general integer programming solver: least cost, and the fewest sticks at that cost.

Questions are made here at random, of seven kinds: uniform lengths; triplets without waste; two or three large pieces to a
stick; sticks cut up without waste; a frame's lengths with kerf and trim; the same from several stick lengths at odd prices
with offcuts on hand; a few pieces with the seller's cuts to pay, from two suppliers that charge for delivery.
`crates/stock/examples/solve.rs` plans them with the full limit.

The same questions go to HiGHS (by scipy's `milp`), as an arc-flow model (Valério de Carvalho, Annals of Operations
Research 86, 1999; from memory): positions along a stick that pieces can end at, longest piece first; an arc for each piece
that can lie there; one arc that closes a stick of each kind. Cost and number of sticks are one objective, the cost times a
number above any number of sticks. Fees and deliveries are in it as they stand: a layer of arcs for each fee, a yes or no for
each supplier. Where HiGHS needs longer than its time limit the question is counted as undecided there, and its bounds are
held against the plan.

Costs must be equal to 1e-6 and numbers of sticks equal, wherever both say proven. Prints how many of each kind are proven by
either, and the time of both in this run: planning only, without starting programs or reading JSON; HiGHS without building
the model. Exits with 1 if any differ, or if a plan does not pass the program's own check.

`cutting_stock.py [COUNT [SEED [SECONDS]]]`: questions in all, and the time limit of HiGHS for each.
"""

import json
import random
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from program import example

COUNT, SEED, SECONDS = 42, 1, 3.0
SAME = 1e-6
BIG = 1000  # above any number of sticks here
STEP = BIG // 10  # costs are whole tenths and sticks fewer than this: the objective shows both
SETTLED = 0.9  # a bound of the whole objective this near below a plan's leaves nothing between: its steps are whole


def uniform(r):
    return {"pieces": [r.randint(20, 100) for _ in range(r.choice([60, 120]))], "sticks": [{"length": 150, "price": 10}]}


def triplets(r):
    pieces = []
    for _ in range(r.choice([10, 20])):
        a = r.randint(380, 490)
        b = r.randint(250, (1000 - a) // 2)
        pieces += [a, b, 1000 - a - b]
    return {"pieces": pieces, "sticks": [{"length": 1000, "price": 10}]}


def large(r):
    return {"pieces": [r.randint(266, 400) for _ in range(50)], "sticks": [{"length": 1000, "price": 10}]}


def planted(r):
    pieces = []
    for _ in range(8):
        cuts = [0, *sorted(r.sample(range(20, 580), r.randint(1, 4))), 600]
        pieces += [b - a for a, b in zip(cuts, cuts[1:])]
    return {"pieces": pieces, "sticks": [{"length": 600, "price": 70}]}


def tubes(r, count):
    """Most lengths twice, left and right, in steps of 10 mm that keep the other solver's model small."""
    return [l for _ in range(count) for l in [r.randint(15, 260) * 10] * r.choice([1, 2, 2])]


def frame(r):
    return {"pieces": tubes(r, 30), "kerf": 10, "trim": 20, "sticks": [{"length": 6000, "price": 70}]}


def rack(r):
    sticks = [{"length": 6000, "price": r.randint(600, 750) / 10}, {"length": 7500, "price": r.randint(750, 950) / 10},
              {"length": 3000, "price": r.randint(300, 400) / 10}]
    sticks += [{"length": r.randint(60, 500) * 10, "count": r.randint(1, 2)} for _ in range(r.randint(0, 4))]
    return {"pieces": tubes(r, 12), "kerf": 10, "trim": 20, "sticks": sticks}


def suppliers(r):
    sticks = [{"length": r.choice([4000, 5000, 6000, 7500]), "price": r.randint(300, 900) / 10,
               "cut_fee": r.choice([0, 0, 1.5, 2.5]), "supplier": r.choice(["near", "far"])} for _ in range(r.randint(2, 4))]
    sticks.append({"length": 6000, "price": 95, "supplier": "near"})
    sticks += [{"length": r.randint(60, 500) * 10, "count": 1} for _ in range(r.randint(0, 2))]
    return {"pieces": tubes(r, 7), "kerf": 10, "trim": 0, "sticks": sticks,
            "deliveries": {"near": r.choice([0, 10]), "far": r.choice([5, 25, 60])}}


KINDS = [uniform, triplets, large, planted, frame, rack, suppliers]


class Model:
    """The arc-flow model of one question."""

    def __init__(self, q):
        kerf, trim = q.get("kerf", 0), q.get("trim", 0)
        kinds = [dict(s, room=s["length"] - trim + kerf) for s in q["sticks"]]
        weights = sorted((p + kerf for p in q["pieces"]), reverse=True)
        demand = {w: weights.count(w) for w in dict.fromkeys(weights)}
        charges = q.get("deliveries", {})
        fees = sorted({0.0 if "count" in k else k.get("cut_fee", 0.0) for k in kinds})
        cost, integer, upper = [], [], []
        rows, cols, values, low, high = [], [], [], [], []

        def variable(price, top):
            cost.append(price)
            integer.append(1)
            upper.append(top)
            return len(cost) - 1

        def row(entries, least, most):
            for v, x in entries:
                rows.append(len(low))
                cols.append(v)
                values.append(x)
            low.append(least)
            high.append(most)

        covered = {w: [] for w in demand}
        orders = {s: variable(c * BIG, 1) for s, c in charges.items()}
        for fee in fees:
            own = [k for k in kinds if (0.0 if "count" in k else k.get("cut_fee", 0.0)) == fee]
            top = max(k["room"] for k in own)
            ends, arcs = {0}, []
            for w, n in demand.items():
                starts, begins = set(ends), set()
                for _ in range(n):
                    starts = {s for s in starts if s + w <= top} - begins
                    if not starts:
                        break
                    begins |= starts
                    starts = {s + w for s in starts}
                    ends |= starts
                arcs += [(s, s + w, w) for s in begins]
            closing = {k["room"] for k in own}
            nodes = sorted(ends | closing)
            flow = {v: [] for v in nodes}
            for s, e, w in arcs:
                v = variable(fee * BIG, demand[w])
                flow[s].append((v, -1))
                flow[e].append((v, 1))
                covered[w].append((v, 1))
            for s, e in zip(nodes, nodes[1:]):
                if s > 0:
                    v = variable(0, len(weights))
                    flow[s].append((v, -1))
                    flow[e].append((v, 1))
            for k in own:
                bought = "count" not in k
                v = variable((k.get("price", 0) * BIG if bought else 0) + 1, min(k.get("count", len(weights)), len(weights)))
                flow[k["room"]].append((v, -1))
                flow[0].append((v, 1))
                if bought and charges.get(k.get("supplier"), 0) > 0:
                    row([(v, 1), (orders[k["supplier"]], -len(weights))], -np.inf, 0)
            for entries in flow.values():
                row(entries, 0, 0)
        for w, n in demand.items():
            row(covered[w], n, np.inf)
        self.cost, self.integer = np.array(cost, float), np.array(integer)
        self.bounds = Bounds(0, np.array(upper, float))
        self.rows = LinearConstraint(coo_matrix((values, (rows, cols)), (len(low), len(cost))).tocsc(), low, high)

    def solve(self, seconds):
        start = time.perf_counter()
        found = milp(self.cost, integrality=self.integer, bounds=self.bounds, constraints=self.rows,
                     options={"time_limit": seconds, "mip_rel_gap": 0.0})
        taken = time.perf_counter() - start
        return found, taken


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else COUNT
    r = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else SEED)
    seconds = float(sys.argv[3]) if len(sys.argv) > 3 else SECONDS
    questions = [(KINDS[n % len(KINDS)], KINDS[n % len(KINDS)](r)) for n in range(count)]
    lines = "".join(json.dumps(q) + "\n" for _, q in questions)
    plans = [json.loads(line) for line in example("solve", given=lines).splitlines()]
    wrong = []
    table = {kind: [0, 0, 0, 0.0, 0.0, 0.0] for kind in KINDS}
    for n, ((kind, q), plan) in enumerate(zip(questions, plans, strict=True)):
        row = table[kind]
        who = f"question {n}, {kind.__name__}"
        if plan["wrong"] or plan["unplaced"]:
            wrong.append(f"{who}: {plan['wrong']}, {plan['unplaced']} unplaced")
        # With charges for delivery the number of sticks is the fewest from the same suppliers only.
        ours = plan["proven"] and (plan["fewest"] or kind is suppliers)
        found, taken = Model(q).solve(seconds)
        row[0] += 1
        row[1] += ours
        row[3] += plan["seconds"]
        row[4] += taken
        row[5] = max(row[5], plan["seconds"])
        value = plan["cost"] * BIG + plan["sticks"]
        if found.status == 0:
            row[2] += 1
            best = round(found.fun, 3)
            least = np.floor(best / STEP) * STEP / BIG
            sticks = round(best - least * BIG)
            if plan["proven"] and abs(plan["cost"] - least) > SAME:
                wrong.append(f"{who}: cost {plan['cost']} against {least}")
            if plan["cost_bound"] > least + SAME:
                wrong.append(f"{who}: bound {plan['cost_bound']} above {least}")
            if ours and kind is not suppliers and plan["sticks"] != sticks:
                wrong.append(f"{who}: {plan['sticks']} sticks against {sticks}")
            if value < best - SETTLED:
                wrong.append(f"{who}: the plan is better than the best, {value} against {best}")
        else:
            if found.mip_dual_bound is not None and value < found.mip_dual_bound - SETTLED:
                wrong.append(f"{who}: {value} is below the bound {found.mip_dual_bound}")
            if found.fun is not None and ours and kind is not suppliers and found.fun < value - SETTLED:
                wrong.append(f"{who}: {found.fun} was found, {value} is called proven")
    print("kind        count  proven  HiGHS  seconds  longest  HiGHS s  ratio")
    total = [0, 0, 0, 0.0, 0.0, 0.0]
    for kind, row in table.items():
        print(f"{kind.__name__:10} {row[0]:6} {row[1]:7} {row[2]:6} {row[3]:8.3f} {row[5]:8.3f} {row[4]:8.2f} "
              f"{row[4] / max(row[3], 1e-9):6.1f}")
        total = [max(a, b) if k == 5 else a + b for k, (a, b) in enumerate(zip(total, row))]
    print(f"{'all':10} {total[0]:6} {total[1]:7} {total[2]:6} {total[3]:8.3f} {total[5]:8.3f} {total[4]:8.2f} "
          f"{total[4] / max(total[3], 1e-9):6.1f}")
    for line in wrong:
        print(line)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
