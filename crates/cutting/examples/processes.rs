//! Prints the ways to cut every end of a design: `processes FILE`. With a count instead, makes joints at random and
//! prints them with the ways to cut them as JSON, for `reference/processes.py`: `processes COUNT SEED`.

use std::sync::Arc;
use std::time::Instant;

use cutting::{Detail, EndKind, ends, plan};
use serde_json::{Value, json};
use shape::{End, Shape};

/// Numbers from 0 to 1, the same on every machine.
struct Dice(u64);

impl Dice {
    fn between(&mut self, a: f64, b: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        a + (b - a) * ((self.0 >> 11) as f64 / (1u64 << 53) as f64)
    }
}

const KINDS: [&str; 8] = [
    "round on round",
    "like tubes",
    "offset axes",
    "round on box",
    "box on round",
    "two hosts",
    "wrong saw",
    "on a bend",
];

fn design(kind: &str, d: &mut Dice) -> String {
    let host = d.between(34.0, 62.0);
    let part = if kind == "like tubes" { 1.0 } else { d.between(0.35, 0.95) };
    let (od, angle) = (host * part, d.between(38.0, 90.0).to_radians());
    let offset = if kind == "offset axes" { d.between(0.0, 0.25) * (host - od) } else { 0.0 };
    let side = d.between(0.0, std::f64::consts::TAU);
    let (s, c) = angle.sin_cos();
    let far = [-300.0 * c, offset * side.cos() + 300.0 * s * side.sin(), -offset * side.sin() + 300.0 * s * side.cos()];
    let foot = [0.0, offset * side.cos(), -offset * side.sin()];
    let saw = if kind == "wrong saw" { host + d.between(-0.25, 1.9) } else { host };
    let (hs, bs) = (if kind == "round on box" { "r" } else { "h" }, if kind == "box on round" { "r" } else { "b" });
    let bend = if kind == "on a bend" {
        format!("path = [\"a\", \"knee\", \"e\"]\nbend_radius = {:.3}\n", 3.2 * host)
    } else {
        "path = [\"a\", \"c\"]\n".into()
    };
    let t = 0.5f64;
    // The knee lies past the foot, so that the foot stands on the arc's first part.
    let knee = 3.2 * host * (t / 2.0).tan() * 0.6;
    let (to, second) = if kind == "two hosts" {
        let turn = side + d.between(1.0, 2.0);
        let tube = "[tube.host2]\nsection = \"h\"\npath = [\"foot0\", \"g\"]\nend = { cut = \"square\" }\nstart = { cut = \"square\" }\n".to_string();
        let points = format!("foot0 = [0, 0, 0]\ng = [150, {:.6}, {:.6}]\n", 260.0 * turn.sin(), 260.0 * turn.cos());
        ("\"host\", \"host2\"", (points, tube))
    } else {
        ("\"host\"", (String::new(), String::new()))
    };
    format!(
        r#"[design]
name = "Joint"
[limits]
gap = {gap:.3}
[notcher]
saws = [{{ od = {saw:.3}, depth = 400 }}]
[section.h]
shape = "round"
od = {host:.3}
wall = 2
material = "E355+N"
[section.b]
shape = "round"
od = {od:.3}
wall = 2
material = "E355+N"
[section.r]
shape = "box"
width = 30
height = 40
wall = 2
corner = 4
material = "S355J2H"
[point]
a = [-400, 0, 0]
c = [400, 0, 0]
knee = [{knee:.3}, 0, 0]
e = [{ex:.6}, {ey:.6}, 0]
far = [{:.9}, {:.9}, {:.9}]
foot = [{:.9}, {:.9}, {:.9}]
{}
[tube.host]
section = "{hs}"
{bend}
{}
[tube.branch]
section = "{bs}"
path = ["far", "foot"]
end = {{ to = [{to}] }}
"#,
        far[0],
        far[1],
        far[2],
        foot[0],
        foot[1],
        foot[2],
        second.0,
        second.1,
        gap = if d.between(0.0, 1.0) < 0.5 { 0.0 } else { d.between(0.0, 1.5) },
        ex = knee + 400.0 * t.cos(),
        ey = 400.0 * t.sin(),
    )
}

fn tube(shape: &Shape, i: usize) -> Value {
    let t = &shape.tubes[i];
    json!({
        "corners": t.chain.corners,
        "radii": shape.design.tubes[t.id.0].bend_radii,
        "size": shape.design.sections[t.section.0].shape,
        "upright": t.frames[0].u,
    })
}

fn joints(count: usize, seed: u64) -> Result<(), String> {
    let mut dice = Dice(seed);
    let mut cases = Vec::new();
    for n in 0..count {
        let kind = KINDS[n % KINDS.len()];
        let text = design(kind, &mut dice);
        let reading = design::read(&text).map_err(|p| design::render(&p, kind, &text))?;
        let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, kind, &text))?;
        let cutting = cutting::cut(&shape, Detail::SHEET);
        let i = shape.find("branch").ok_or("no branch")?;
        let list = ends::processes(&shape, &cutting, Detail::SHEET);
        let ways = list.iter().find(|e| e.tube == i && e.end == End::End).ok_or("no end")?;
        let plans = plan::plan(&shape);
        let p = &plans[i][1];
        let EndKind::Cope(hosts) = &p.kind else { return Err(format!("{kind}: not coped")) };
        let t = &shape.tubes[i];
        let f = t.outward(End::End);
        let mid = plan::mid_plane(t, End::End, &shape.tubes[hosts[0]]);
        cases.push(json!({
            "kind": kind,
            "tube": tube(&shape, i),
            "hosts": hosts.iter().map(|&h| tube(&shape, h)).collect::<Vec<_>>(),
            "at": f.origin, "out": f.t, "u": f.u, "v": f.v,
            "after": -t.end_leg(End::End) / 2.0,
            "gap": p.gap,
            "middle": { "origin": mid.origin, "outward": mid.outward },
            "candidates": ways.candidates,
            "chosen": ways.simplest().map(|c| c.process),
        }));
    }
    println!("{}", serde_json::to_string(&cases).map_err(|e| e.to_string())?);
    Ok(())
}

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("which design?")?;
    if let Ok(count) = path.parse() {
        let seed = std::env::args().nth(2).map_or(Ok(1), |s| s.parse()).map_err(|_| "which seed?")?;
        return joints(count, seed);
    }
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let start = Instant::now();
    let list = ends::processes(&shape, &cutting, Detail::SHEET);
    let spent = start.elapsed().as_secs_f64();
    for e in &list {
        print!("{:<22} {:<5}", e.piece, e.end.word());
        for (k, c) in e.candidates.iter().enumerate() {
            let mark = if e.chosen == Some(k) { "*" } else { " " };
            print!(
                "{mark}{} {:.3} (set {:.3}, from {:.3}, outside {:.3}) ",
                c.process.word(),
                c.gap * 1e3,
                c.as_set * 1e3,
                c.bound * 1e3,
                c.outside * 1e3
            );
        }
        println!();
    }
    let b = ends::batches::batches(&list, &shape.design.limits);
    println!(
        "{} ends in {:.2} s; {} batches, changes {:?}, weight {} of at least {}",
        list.len(),
        spent,
        b.batches.len(),
        b.changes,
        b.cost,
        b.bound
    );
    Ok(())
}
