"""A demo design's cutting plan, held against the design file's own rack: run by `demo.py`.

Every piece once, at the length that `demo.py` has worked out for it; the trim first and a kerf between pieces; sticks as
long, as dear and as many as the file says; what is left over; what is bought, what stays on the rack, and what all costs.
The bound by length alone is counted out here: all pieces end to end, each with a kerf, into sticks less their trim plus
one kerf. No plan may lie below it, nor the printed bound.
"""

from collections import Counter, defaultdict
from itertools import product
from math import ceil

SAME = 1e-5  # mm: the plan is made in whole nanometres, and its lengths come back in them


def least_sticks(need, kinds):
    """How many sticks hold so much length, the longest taken first."""
    count = 0
    for k in sorted(kinds, key=lambda k: -k["room"]):
        takes = ceil((need - SAME) / k["room"])
        takes = max(0, takes if k["count"] is None else min(takes, k["count"]))
        count, need = count + takes, need - takes * k["room"]
    return count


def least_cost(need, kinds):
    """What so much length costs at least, those on hand being free: every mixture of those to be bought is tried."""
    need -= sum(k["room"] * k["count"] for k in kinds if k["count"] is not None)
    buy = [k for k in kinds if k["count"] is None]
    if need <= SAME:
        return 0.0
    most = [range(ceil(need / k["room"]) + 1) for k in buy]
    return min(sum(n * k["price"] for n, k in zip(mix, buy)) for mix in product(*most)
               if sum(n * k["room"] for n, k in zip(mix, buy)) >= need - SAME)


def check(tally, layout, blanks, packet):
    """Holds the plan of a packet against the rack; `blanks` gives each piece's section and length in mm."""
    rack, plan = layout.file["rack"], packet["stock"]
    kerf, trim = layout.mm(rack["kerf"]), layout.mm(rack.get("trim", 0))
    kinds = []
    for s in rack["stick"]:
        length = layout.mm(s["length"])
        kinds.append({"section": s["section"], "length": length, "room": length - trim + kerf, "count": s.get("count"),
                      "price": s.get("price", 0), "place": s.get("place")})
    tally.equal("pieces without a stick", "the plan", [x["unplaced"] for x in plan["sections"] if x["unplaced"]], [])
    seen, used, total = Counter(), Counter(), 0.0
    for x in plan["sections"]:
        mine = [k for k in kinds if k["section"] == x["section"]]
        cost, taken = 0.0, 0.0
        for stick in x["sticks"]:
            kind, who = kinds[stick["kind"]], f"stick {stick['mark']}"
            used[stick["kind"]] += 1
            tally.equal("section of a stick", who, kind["section"], x["section"])
            tally.near("stick length", who, stick["length"] * 1e3, kind["length"], SAME)
            tally.equal("bought", who, stick["bought"], kind["count"] is None)
            tally.equal("place of a stick", who, stick["place"], kind["place"])
            cost += kind["price"] if kind["count"] is None else 0.0
            # Pieces must fit as if each had its own cuts; mitres that share one only lengthen what is left over.
            at, kerfs, saved = trim, 0.0, 0.0
            for n, cut in enumerate(stick["cuts"]):
                section, blank = blanks[cut["name"]]
                seen[cut["name"]] += 1
                tally.equal("section of a piece", cut["name"], section, x["section"])
                tally.equal("saved at a shared cut", cut["name"], 0 <= cut["nested"] and (n > 0 or cut["nested"] == 0), True)
                saved += cut["nested"] * 1e3
                tally.near("start of a cut", cut["name"], cut["from"] * 1e3, at - saved, 2e-3 * (n + 1))
                tally.near("length of a cut", cut["name"], (cut["to"] - cut["from"]) * 1e3, blank, 2e-3)
                taken += blank
                left = kind["length"] - at - blank + saved
                kerfs += min(kerf, max(left, 0.0))
                at += blank + kerf
            over = kind["length"] - at
            tally.equal("room on a stick", who, over + kerf > -2e-3 * len(stick["cuts"]), True)
            tally.near("offcut", who, stick["offcut"] * 1e3, max(0.0, over + saved), 2e-3 * len(stick["cuts"]))
            tally.near("kerfs", who, stick["kerfs"] * 1e3, kerfs, 2e-3 * len(stick["cuts"]))
        lengths = sum(kinds[s["kind"]]["length"] for s in x["sticks"])
        tally.near("length of sticks", x["section"], x["stick_length"] * 1e3, lengths, SAME * len(x["sticks"]))
        tally.near("yield", x["section"], x["yielded"], taken / lengths, 1e-6)
        tally.near("cost of a section", x["section"], x["cost"], cost, 1e-9)
        total += cost
        need = sum(b + kerf for s, b in blanks.values() if s == x["section"])
        sticks, cheapest, bound = least_sticks(need, mine), least_cost(need, mine), x["bound"]
        tally.equal("least sticks by length", x["section"], bound["sticks_by_length"], sticks)
        tally.near("least cost by length", x["section"], bound["cost_by_length"], cheapest, 1e-9)
        tally.equal("bounds in order", x["section"],
                    sticks <= bound["sticks"] <= len(x["sticks"]) and cheapest <= bound["cost"] + 1e-9 <= cost + 2e-9, True)
        tally.equal("proven", x["section"], x["proven"], abs(bound["cost"] - cost) < 1e-9)
    tally.equal("pieces on sticks", "the plan", dict(seen), {name: 1 for name in blanks})
    tally.near("cost", "the plan", plan["cost"], total, 1e-9)
    tally.equal("cost printed", "the plan", packet["summary"]["cost"], plan["cost"])
    bought, kept = defaultdict(int), {}
    for n, kind in enumerate(kinds):
        if kind["count"] is None:
            if used[n]:
                bought[n] = used[n]
        else:
            tally.equal("sticks on hand", f"{kind['section']} {kind['place']}", used[n] <= kind["count"], True)
            kept[n] = (used[n], kind["count"] - used[n])
    tally.equal("purchases", "the plan", {p["kind"]: p["count"] for p in plan["purchases"]}, dict(bought))
    for p in plan["purchases"]:
        tally.near("cost of a purchase", p["section"], p["cost"], p["count"] * kinds[p["kind"]]["price"], 1e-9)
    tally.equal("rack", "the plan", {r["kind"]: (r["used"], r["left"]) for r in plan["rack"]}, kept)
