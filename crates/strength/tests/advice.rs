//! What could be added, left out or made smaller, against the design with it done.

use std::sync::Arc;

use strength::{Answer, Depth, Loss, build, candidates, strength};

fn shape(text: &str) -> shape::Shape {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

/// Four corners in the plane y = 500: only the two diagonals can be added.
const FRAME: &str = r#"
[design]
name = "Frame"
[section.t]
shape = "round"
od = 40
wall = 2
material = "S355"
[point]
a = [0, 500, 100]
b = [1000, 500, 100]
c = [1000, 500, 700]
d = [0, 500, 700]
[tube.ab]
section = "t"
path = ["a", "b"]
[tube.bc]
section = "t"
path = ["b", "c"]
[tube.cd]
section = "t"
path = ["c", "d"]
[tube.da]
section = "t"
path = ["d", "a"]
"#;

/// Names of the candidates' joints, sorted, and what was left out: short, long, taken, parallel, sharp, person, thing, opening.
fn found(more: &str) -> (Vec<[String; 2]>, [usize; 8]) {
    let shape = shape(&format!("{FRAME}{more}"));
    let built = build(&shape, &[]);
    let (all, o) = candidates(&shape, &built, 0.02);
    let names = all.iter().map(|c| {
        let mut n = c.nodes.map(|n| built.names[n].clone());
        n.sort();
        n
    });
    (names.collect(), [o.short, o.long, o.taken, o.parallel, o.sharp, o.person, o.thing, o.opening])
}

fn has(list: &[[String; 2]], a: &str, b: &str) -> bool {
    list.contains(&[a.to_owned(), b.to_owned()])
}

#[test]
fn the_diagonals_of_a_square_are_all_that_can_be_added() {
    let (all, out) = found("");
    assert!(all.len() == 2 && has(&all, "a", "c") && has(&all, "b", "d"), "{all:?}");
    assert_eq!(out, [0, 0, 4, 0, 0, 0, 0, 0]);
}

#[test]
fn each_reason_leaves_a_candidate_out_and_is_counted() {
    // A ball of 50 kg on one diagonal.
    let (all, out) = found("[mass.box]\nat = [300, 500, 280]\nkg = 50\nsize = [60, 60, 60]\n");
    assert!(!has(&all, "a", "c") && has(&all, "b", "d"), "{all:?} {out:?}");
    assert_eq!(out, [0, 0, 4, 0, 0, 0, 1, 0]);
    // The same a little aside, out of the way.
    let (all, _) = found("[mass.box]\nat = [300, 560, 280]\nkg = 50\nsize = [60, 60, 60]\n");
    assert!(has(&all, "a", "c"), "{all:?}");
    // A wheel of 500 in the middle.
    let wheel = "[wheel.w]\nat = [500, 500, 400]\nradius = 250\nwidth = 150\nkg = 10\n";
    let (all, out) = found(wheel);
    assert!(all.is_empty() && out == [0, 0, 4, 0, 0, 0, 2, 0], "{all:?} {out:?}");
    // The square is a way out.
    let (all, out) = found("[opening.door]\nedge = [\"a\", \"b\", \"c\", \"d\"]\n");
    assert!(all.is_empty() && out == [0, 0, 4, 0, 0, 0, 0, 2], "{all:?} {out:?}");
    // A tube at 19.8° where the diagonal is at 31.0°: too near to it; and from d to its other end it is 13.5° to the upper edge.
    let sharp = "e = { on = \"bc\", part = 0.6 }\n[tube.ae]\nsection = \"t\"\npath = [\"a\", \"e\"]\n";
    let with = |points: &str| {
        let text = FRAME.replace("[tube.ab]", &format!("{}[tube.ab]", points.split("[tube").next().unwrap()));
        let tubes = points.split_once("[tube").map_or(String::new(), |t| format!("[tube{}", t.1));
        let shape = shape(&format!("{text}{tubes}"));
        let built = build(&shape, &[]);
        let (all, o) = candidates(&shape, &built, 0.02);
        let names: Vec<[String; 2]> = all
            .iter()
            .map(|c| {
                let mut n = c.nodes.map(|n| built.names[n].clone());
                n.sort();
                n
            })
            .collect();
        (names, o)
    };
    let (all, out) = with(sharp);
    assert!(!has(&all, "a", "c") && !has(&all, "d", "e") && out.sharp == 2, "{all:?} {out:?}");
    // A tube beside a diagonal, 80 mm from it and along it, from edge to edge.
    let beside = "e = [160, 500, 100]\nf = [1000, 500, 604]\n[tube.ef]\nsection = \"t\"\npath = [\"e\", \"f\"]\n";
    let (all, out) = with(beside);
    assert!(!has(&all, "a", "c") && out.parallel >= 1, "{all:?} {out:?}");
    // 240 mm away it is not beside any more.
    let away = "e = [480, 500, 100]\nf = [1000, 500, 412]\n[tube.ef]\nsection = \"t\"\npath = [\"e\", \"f\"]\n";
    let (all, out) = with(away);
    assert!(has(&all, "a", "c") && out.parallel == 0, "{all:?} {out:?}");
    // Joints 100 mm apart across a corner, and 2 m apart.
    let short = "e = [60, 500, 100]\nf = [0, 500, 180]\ng = [60, 700, 100]\nh = [0, 700, 180]\n\
                 [tube.eg]\nsection = \"t\"\npath = [\"e\", \"g\"]\n[tube.fh]\nsection = \"t\"\npath = [\"f\", \"h\"]\n";
    let (all, out) = with(short);
    // e and f; a is 60 and 80 mm from them.
    assert!(!has(&all, "e", "f") && out.short == 3, "{all:?} {out:?}");
    let long = "e = [500, 500, 2100]\n[tube.ce]\nsection = \"t\"\npath = [\"c\", \"e\"]\n[tube.de]\nsection = \"t\"\npath = [\"d\", \"e\"]\n";
    let (all, out) = with(long);
    assert!(!has(&all, "a", "e") && out.long == 2, "{all:?} {out:?}");
}

#[test]
fn a_person_is_not_passed_through() {
    let (all, out) = found("[occupant.driver]\nhip = [450, 500, 250]\nstature = 1750\nkg = 75\n");
    assert!(out[5] > 0 && all.len() + out[5] == 2, "{all:?} {out:?}");
}

/// A gable with a brace and an idle bar, loaded at its top.
fn gable(more: &str, change: &dyn Fn(&str) -> String) -> Answer {
    gable_to(more, change, Depth::Full)
}

fn gable_to(more: &str, change: &dyn Fn(&str) -> String, depth: Depth) -> Answer {
    let text = r#"
[design]
name = "Gable"
[section.t]
shape = "round"
od = 40
wall = 2
material = "S355"
[section.light]
shape = "round"
od = 25
wall = 1.5
material = "S355"
[point]
a = [0, 500, 0]
b = [1000, 500, 0]
c = [1000, 500, 600]
d = [0, 500, 600]
e = [500, 700, 1000]
f = [400, 900, 300]
[tube.ad]
section = "t"
path = ["a", "d"]
[tube.bc]
section = "t"
path = ["b", "c"]
[tube.dc]
section = "t"
path = ["d", "c"]
[tube.de]
section = "light"
path = ["d", "e"]
[tube.ce]
section = "t"
path = ["c", "e"]
[tube.ef]
section = "light"
path = ["e", "f"]
[tube.df]
section = "light"
path = ["d", "f"]
[load.side]
forces = [{ at = "e", force = [900, -200, -400] }]
held = [{ at = "a", turns = true }, { at = "b", turns = true }]
use = 0.5
[load.down]
forces = [{ at = "d", force = [0, 100, -3000] }]
held = [{ at = "a", turns = true }, { at = "b", turns = true }]
"#;
    strength(&shape(&format!("{}{more}", change(text))), depth)
}

/// The largest use as a part of its load's limit.
fn largest(a: &Answer) -> f64 {
    a.cases.iter().map(|c| c.used[0].stress.utilisation / c.wanted.utilisation).fold(0.0, f64::max)
}

fn near(a: f64, b: f64) {
    assert!((a / b - 1.0).abs() < 1e-8, "{a} is not {b}");
}

#[test]
fn a_brace_does_what_the_design_with_it_does() {
    let sill = "[tube.sill]\nsection = \"t\"\npath = [\"a\", \"b\"]\n";
    let a = gable(sill, &str::to_owned);
    let v = a.advice.as_ref().unwrap();
    let now = v.now.as_ref().unwrap();
    near(now.part, largest(&a));
    assert!(!v.braces.is_empty() && v.section == "light");
    for b in &v.braces {
        let [p, q] = &b.joins;
        let with =
            gable(&format!("{sill}[tube.more]\nsection = \"light\"\npath = [\"{p}\", \"{q}\"]\n"), &str::to_owned);
        near(b.used.unwrap(), largest(&with));
    }
    // Of those told one lowers the use most for its mass.
    assert!(v.braces.iter().any(|b| b.used.unwrap() < now.part));
}

fn loss<'a>(a: &'a Answer, tube: &str) -> &'a Loss {
    a.advice.as_ref().unwrap().losses.iter().find(|l| l.tube == tube).unwrap()
}

#[test]
fn a_tube_less_and_a_size_smaller_do_what_the_design_without_does() {
    let a = gable("", &str::to_owned);
    // Left out: one of two ways to the top.
    let without = gable("", &|t| t.replace("[tube.ef]\nsection = \"light\"\npath = [\"e\", \"f\"]\n", ""));
    near(loss(&a, "ef").used.unwrap(), largest(&without));
    // The design's own lighter section comes first.
    let s = loss(&a, "ce").smaller.as_ref().unwrap();
    assert_eq!(s.size, "light");
    let with = gable("", &|t| t.replace("[tube.ce]\nsection = \"t\"", "[tube.ce]\nsection = \"light\""));
    near(s.used.unwrap(), largest(&with));
    let area = |od: f64, wall: f64| std::f64::consts::PI * wall * (od - wall);
    let length = (0.5f64 * 0.5 + 0.2 * 0.2 + 0.4 * 0.4).sqrt();
    near(s.saved, (area(0.04, 0.002) - area(0.025, 0.0015)) * length * 7850.0);
    // The softening against a load on one node is that of its way there.
    let k = a.advice.as_ref().unwrap().aims.iter().position(|n| n == "side").unwrap();
    let f = [900.0, -200.0, -400.0];
    let way = |a: &Answer| {
        let n = a.nodes.iter().position(|n| n.0 == "e").unwrap();
        let c = a.cases.iter().find(|c| c.name == "side").unwrap();
        (0..3).map(|i| f[i] * c.motions[n][i]).sum::<f64>()
    };
    near(s.losses[k], 1.0 - way(&a) / way(&with));
    // Where the design has none lighter, the next thinner wall that is listed; where none is, nothing.
    let one = gable("", &|t| {
        t.replace("\"light\"", "\"t\"")
            .replace("[section.light]\nshape = \"round\"\nod = 25\nwall = 1.5\nmaterial = \"S355\"\n", "")
    });
    let s = loss(&one, "ce").smaller.as_ref().unwrap();
    assert_eq!(s.size, "40 x 1.5 mm");
    let thin = gable("", &|t| {
        t.replace("[tube.ce]\nsection = \"t\"", "[tube.ce]\nsection = \"thin\"").replace("\"light\"", "\"t\"").replace(
            "[section.light]\nshape = \"round\"\nod = 25\nwall = 1.5",
            "[section.thin]\nshape = \"round\"\nod = 40\nwall = 1.5",
        )
    });
    near(s.used.unwrap(), largest(&thin));
    assert!(loss(&a, "de").smaller.is_none());
}

#[test]
fn a_tube_that_alone_carries_a_load_is_not_told_as_missed() {
    // A bracket that sticks out with a force at its tip, and a tube with a force between its ends: without them the load has no
    // place to act on. Before, half a tube was left hanging there as if it were the design without it.
    let more = "[tube.bracket]\nsection = \"t\"\n\
                path = [\"d\", \"tip\"]\n[load.hook]\nforces = [{ at = \"tip\", force = [0, 0, -500] }, \
                { at = \"mid\", force = [300, 0, 0] }]\nheld = [{ at = \"a\", turns = true }, { at = \"b\", turns = true }]\n";
    let a = gable(more, &|t| {
        t.replace(
            "f = [400, 900, 300]\n",
            "f = [400, 900, 300]\ntip = [0, 900, 600]\nmid = { on = \"ad\", part = 0.5 }\n",
        )
    });
    for tube in ["bracket", "ad"] {
        assert!(loss(&a, tube).losses.is_none(), "{tube}: {:?}", loss(&a, tube).losses);
    }
    assert!(loss(&a, "ef").losses.is_some());
    let l = &a.advice.as_ref().unwrap().ledger;
    assert!(!l.first_to_go.iter().any(|t| t == "bracket" || t == "ad"), "{:?}", l.first_to_go);
}

#[test]
fn the_ledger_has_every_tube_and_names_the_idle_first() {
    // A bar on two corners that are held: nothing runs through it.
    let a = gable("[tube.idle]\nsection = \"t\"\npath = [\"a\", \"b\"]\n", &str::to_owned);
    let l = &a.advice.as_ref().unwrap().ledger;
    assert_eq!(l.buys, ["side", "down", "use"]);
    assert_eq!(l.rows.len(), 8);
    assert!(l.rows.windows(2).all(|w| w[0].mass >= w[1].mass));
    assert!((l.rows.iter().map(|r| r.share).sum::<f64>() - 1.0).abs() < 1e-12);
    assert_eq!(l.first_to_go[0], "idle");
    let row = |n: &str| l.rows.iter().find(|r| r.tube == n).unwrap();
    assert!(row("idle").per_kg.unwrap() < 1e-6 && row("ce").per_kg.unwrap() > 0.1);
    // One leg less: the other one holds all, far more used.
    assert!(row("bc").buys.as_ref().unwrap()[2] > 0.0);
}

/// A brace tried in collapse: what the design with it carries, pushed as far.
#[test]
fn a_brace_in_collapse_does_what_the_design_with_it_does() {
    let sill = "[tube.sill]\nsection = \"t\"\npath = [\"a\", \"b\"]\n";
    let pushed = |more: &str| {
        let text = |t: &str| t.replace("use = 0.5\n", "use = 0.5\ncollapse = 60\n");
        gable_to(&format!("{sill}{more}"), &text, Depth::Collapse)
    };
    let a = pushed("");
    let peak = |a: &Answer| a.cases.iter().find(|c| c.name == "side").unwrap().crushed.as_ref().unwrap().peak[0];
    let v = a.advice.as_ref().unwrap();
    assert!(!v.pushed.is_empty() && v.pushed.len() <= 4, "{:?}", v.pushed);
    assert!(v.pushed.windows(2).all(|w| w[0].per_kg >= w[1].per_kg));
    for p in &v.pushed {
        assert_eq!(p.load, "side");
        near(p.without, peak(&a));
        let [from, to] = &p.joins;
        let with = pushed(&format!("[tube.more]\nsection = \"light\"\npath = [\"{from}\", \"{to}\"]\n"));
        near(p.with, peak(&with));
        near(p.per_kg, (p.with - p.without) / p.mass);
    }
}
