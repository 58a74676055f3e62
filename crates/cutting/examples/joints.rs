//! Makes joints of all kinds at random and prints them with their cuts as JSON, for `reference/end_cuts.py`, which
//! rebuilds them with an exact CAD kernel: `joints COUNT SEED`.
//!
//! What is printed of a tube (corners, radii, size, upright direction) and of what it is cut to (names, mid-plane,
//! mitre plane) is geometry; no ray, root or profile of this program goes into it.

use std::sync::Arc;
use std::time::Instant;

use cutting::profile::{EndRays, profile};
use cutting::{Detail, EndKind, plan, solids, volume};
use geometry::DVec3;
use serde_json::{Value, json};
use shape::{End, Shape};

/// Numbers from 0 to 1, the same on every machine.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.next()
    }

    fn pick<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[(self.next() * list.len() as f64) as usize % list.len()]
    }
}

const KINDS: [&str; 34] = [
    "round on round",
    "equal rounds",
    "offset axes",
    "near tangent",
    "wider than host",
    "round on box",
    "box on round",
    "box on box",
    "two hosts",
    "three hosts",
    "on a bend",
    "mitre",
    "plane",
    "on a mitred corner",
    "on a bend's seam",
    "on a bend's arc",
    "box on a bend",
    "box on mitred corner",
    "unequal mitre",
    "box mitre",
    "mirrored twin",
    "bent branch",
    "on a coped tube",
    "sharp box on box",
    "round on sharp box",
    "near parallel",
    "box near parallel",
    "just tangent",
    "two that pass",
    "equal on a bend",
    "wider on a bend",
    "box on mitred boxes",
    "plane on box",
    "mirrored boxes",
];

/// A design of a kind; the tube to look at is `branch`, the end to look at its `end`.
fn design(kind: &str, d: &mut Dice) -> String {
    let host_od = d.between(30.0, 70.0);
    let mut od = host_od * d.between(0.45, 0.98);
    let angle = match kind {
        "near parallel" | "box near parallel" => d.between(8.0, 25.0f64),
        _ => d.between(25.0, 90.0f64),
    }
    .to_radians();
    let mut offset = d.between(-0.1, 0.1) * host_od;
    let gap = d.pick(&["0", "0", "0.5"]);
    let (mut host, mut branch) = ("round", "round");
    match kind {
        "equal rounds" => (od, offset) = (host_od, 0.0),
        "offset axes" => offset = d.between(-0.5, 0.5) * (host_od - od),
        "near tangent" => offset = 0.5 * (host_od - od) - d.between(0.02, 0.3),
        "just tangent" => offset = 0.5 * (host_od - od),
        "equal on a bend" => od = host_od,
        "wider on a bend" => od = host_od * d.between(1.1, 1.4),
        "wider than host" => od = host_od * d.between(1.1, 1.6),
        "round on box" => host = "box",
        "round on sharp box" => host = "sharp",
        "sharp box on box" => (host, branch) = ("box", "sharp"),
        "box near parallel" | "box on mitred boxes" | "mirrored boxes" => (host, branch) = ("box", "box"),
        "box on round" => branch = "box",
        "box on box" => (host, branch) = ("box", "box"),
        "box on a bend" | "box on mitred corner" | "box mitre" | "plane on box" => branch = "box",
        _ => {}
    }
    let section = |name: &str, shape: &str, od: f64, d: &mut Dice| match shape {
        "round" => format!(
            "[section.{name}]\nshape = \"round\"\nod = {od:.3}\nwall = {:.2}\nmaterial = \"E355+N\"\n",
            d.between(1.2, 3.5)
        ),
        _ => {
            let wall = d.between(1.5, 3.0);
            let (width, height) = (od * d.between(0.75, 1.1), od * d.between(0.9, 1.4));
            // Sharper than its wall is thick: the bore's corner is a point.
            let corner = if shape == "sharp" { wall * d.between(0.05, 0.9) } else { wall * d.between(1.3, 2.5) };
            format!(
                "[section.{name}]\nshape = \"box\"\nwidth = {width:.2}\nheight = {height:.2}\nwall = {wall:.2}\ncorner = {:.2}\nmaterial = \"S355J2H\"\n",
                corner.min(0.49 * width.min(height))
            )
        }
    };
    let mut text = format!("[design]\nname = \"joint\"\n[limits]\ngap = {gap}\n");
    text += &section("h", host, host_od, d);
    text += &section("b", branch, od, d);
    // Everything is turned into a general position about the vertical and tilted a little.
    let (turn, tilt) = (d.between(0.0, std::f64::consts::TAU), d.between(-0.5, 0.5));
    let place = |p: DVec3| {
        let q = DVec3::new(p.x * tilt.cos() - p.z * tilt.sin(), p.y, p.x * tilt.sin() + p.z * tilt.cos());
        let q = DVec3::new(q.x * turn.cos() - q.y * turn.sin(), q.x * turn.sin() + q.y * turn.cos(), q.z);
        // What is mirrored stands clear of its image.
        q + DVec3::new(120.0, if kind.starts_with("mirrored") { 1500.0 } else { 350.0 }, 80.0)
    };
    let mut points = String::from("[point]\n");
    let mut point = |name: &str, p: DVec3| {
        let q = place(p);
        points += &format!("{name} = [{:.9}, {:.9}, {:.9}]\n", q.x, q.y, q.z);
    };
    point("ha", DVec3::new(-600.0, 0.0, 0.0));
    point("hb", DVec3::new(600.0, 0.0, 0.0));
    let far = DVec3::new(-500.0 * angle.cos(), offset, 500.0 * angle.sin());
    let bend = BEND * host_od;
    let on_bend = match kind {
        _ if kind.ends_with("on a bend") && kind != "on a bend" => Some(bent_host(kind, bend, angle, d)),
        "on a bend's seam" | "on a bend's arc" => Some(bent_host(kind, bend, angle, d)),
        _ => None,
    };
    let (far, foot_at) = match &on_bend {
        Some((_, far, foot)) => (*far, *foot),
        None => (far, DVec3::new(0.0, offset, 0.0)),
    };
    point("far", far);
    point("foot", foot_at);
    let mut tubes = String::new();
    let roll = if host != "round" { format!("roll = {:.2}\n", d.between(-30.0, 30.0)) } else { String::new() };
    let own_roll = if branch != "round" { format!("roll = {:.2}\n", d.between(-45.0, 45.0)) } else { String::new() };
    let reverse = d.next() < 0.5;
    let path = |a: &str, b: &str| if reverse { format!("\"{b}\", \"{a}\"") } else { format!("\"{a}\", \"{b}\"") };
    let mut to = vec!["host"];
    let corner = kind.ends_with("mitre") || kind.contains("on mitred") || kind.contains("on a mitred");
    let mut cut = String::new();
    match kind {
        "on a bend" => {
            // The host bends at `hm`; the branch comes down on the arc or near its seam.
            point("hm", DVec3::new(0.0, 0.0, 0.0));
            point("hc", DVec3::new(500.0 * 0.6, d.between(-300.0, 300.0), -500.0 * 0.8));
            tubes += &format!(
                "[tube.host]\nsection = \"h\"\nbend_radius = {:.1}\npath = [\"ha\", \"hm\", \"hc\"]\n",
                3.2 * host_od
            );
        }
        _ if let Some((leg, ..)) = on_bend => {
            point("hm", DVec3::ZERO);
            point("hc", leg);
            tubes +=
                &format!("[tube.host]\nsection = \"h\"\nbend_radius = {bend:.9}\npath = [\"ha\", \"hm\", \"hc\"]\n");
        }
        _ if corner => {
            point("corner", DVec3::ZERO);
            let other = if kind.ends_with("mitre") && kind != "unequal mitre" { "b" } else { "h" };
            tubes += &format!("[tube.host]\nsection = \"{other}\"\npath = [\"ha\", \"corner\"]\n{roll}");
            point("hd", DVec3::new(d.between(100.0, 500.0), d.between(-500.0, 500.0), d.between(-400.0, -100.0)));
            if !kind.ends_with("mitre") {
                tubes += &format!("[tube.host2]\nsection = \"h\"\npath = [\"corner\", \"hd\"]\n{roll}");
                to.push("host2");
            }
        }
        "mirrored twin" | "mirrored boxes" => {
            tubes += &format!("[tube.host]\nsection = \"h\"\npath = [\"ha\", \"hb\"]\nmirror = true\n{roll}")
        }
        _ => tubes += &format!("[tube.host]\nsection = \"h\"\npath = [\"ha\", \"hb\"]\n{roll}"),
    }
    if kind == "on a coped tube" {
        // Stands on the host, itself coped to it; the branch meets both by the order alone.
        point("top", DVec3::new(d.between(100.0, 300.0), d.between(-300.0, 300.0), 400.0));
        tubes += "[tube.post]\nsection = \"b\"\npath = [\"top\", \"foot\"]\n";
    }
    if kind == "two that pass" {
        // Both run through where the branch ends: their axes pass each other within a few mm.
        let z = d.between(-3.0, 3.0);
        let (x, y) = (d.between(-200.0, 200.0), d.between(250.0, 400.0));
        point("c1", DVec3::new(-x, -y, z - 60.0));
        point("c2", DVec3::new(x, y, z + 60.0));
        tubes += "[tube.cross]\nsection = \"h\"\npath = [\"c1\", \"c2\"]\n";
        to.push("cross");
    }
    if kind == "two hosts" || kind == "three hosts" {
        point("p1", DVec3::new(d.between(5.0, 25.0), d.between(-10.0, 10.0), 0.0));
        point("p2", DVec3::new(d.between(100.0, 200.0), d.between(-80.0, 80.0), 500.0));
        tubes += "[tube.post]\nsection = \"b\"\npath = [\"p1\", \"p2\"]\nstart = { cut = \"square\" }\n";
        to.push("post");
    }
    if kind == "three hosts" {
        point("p3", DVec3::new(0.0, 30.0, -10.0));
        point("p4", DVec3::new(d.between(-100.0, 100.0), 500.0, d.between(50.0, 150.0)));
        tubes += "[tube.side]\nsection = \"b\"\npath = [\"p3\", \"p4\"]\nstart = { cut = \"square\" }\n";
        to.push("side");
    }
    let foot = if corner { "corner" } else { "foot" };
    match kind {
        "on a coped tube" => {}
        _ if kind.ends_with("mitre") => {}
        "plane" | "plane on box" => {
            let n = (place(far) - place(DVec3::new(0.0, offset, 0.0))).normalize();
            let m = (n + DVec3::new(d.between(-0.7, 0.7), d.between(-0.7, 0.7), d.between(-0.7, 0.7))).normalize();
            cut = format!("plane = {{ point = \"foot\", normal = [{:.9}, {:.9}, {:.9}] }}", m.x, m.y, m.z);
        }
        _ => {
            let list: Vec<String> = to.iter().map(|t| format!("\"{t}\"")).collect();
            cut = format!("to = [{}]", list.join(", "));
        }
    }
    let wish = if cut.is_empty() {
        String::new()
    } else {
        format!("{} = {{ {cut} }}\n", if reverse { "start" } else { "end" })
    };
    let (route, more) = match kind {
        "bent branch" => {
            // Its last leg is the branch of a straight tube; before it there is a bend and another leg.
            let (back, turn) = ((far - foot_at).normalize(), d.between(20.0f64, 60.0).to_radians());
            let to = DVec3::new(d.between(-1.0, 1.0), d.between(-1.0, 1.0), d.between(-1.0, 1.0));
            point("away", far + (back * turn.cos() + back.cross(to).normalize() * turn.sin()) * 500.0);
            let list = if reverse { "\"foot\", \"far\", \"away\"" } else { "\"away\", \"far\", \"foot\"" };
            (list.to_string(), format!("bend_radius = {:.1}\n", BEND * od))
        }
        "mirrored twin" | "mirrored boxes" => (path("far", foot), "mirror = true\n".to_string()),
        _ => (path("far", foot), String::new()),
    };
    tubes += &format!("[tube.branch]\nsection = \"b\"\npath = [{route}]\n{more}{wish}{own_roll}");
    format!("{text}{points}{tubes}")
}

/// The program places a change of host to a micrometre round the tube; fibres nearer than two stand astride one, m.
const CHANGE: f64 = 2e-6;

/// Centreline radius of a bend, in diameters.
const BEND: f64 = 3.2;

/// A host that runs along x and bends at the origin: where its second leg ends, and a branch's far point and foot, the
/// foot within 3 mm of a seam between leg and arc or anywhere along the arc.
fn bent_host(kind: &str, radius: f64, angle: f64, d: &mut Dice) -> (DVec3, DVec3, DVec3) {
    let turn = d.between(30.0f64, 75.0).to_radians();
    let about = d.between(0.0, std::f64::consts::TAU);
    // Towards the centre of the arc, from its start.
    let inward = DVec3::new(0.0, about.cos(), about.sin());
    let enter = DVec3::X * (-radius * (turn / 2.0).tan());
    let along = |t: f64| DVec3::X * t.cos() + inward * t.sin();
    let at = |t: f64| enter + inward * radius + (DVec3::X * t.sin() - inward * t.cos()) * radius;
    let (foot, run) = match kind {
        "on a bend's seam" if d.next() < 0.5 => (at(turn) + along(turn) * d.between(-3.0, 3.0), along(turn)),
        "on a bend's seam" => (enter + DVec3::X * d.between(-3.0, 3.0), DVec3::X),
        _ => {
            let t = turn * d.next();
            (at(t), along(t))
        }
    };
    let side = run.cross(DVec3::new(d.between(-1.0, 1.0), d.between(-1.0, 1.0), d.between(-1.0, 1.0))).normalize();
    (along(turn) * 600.0, foot + (side * angle.sin() - run * angle.cos()) * 500.0, foot)
}

fn tube(shape: &Shape, i: usize) -> Value {
    let t = &shape.tubes[i];
    json!({
        "corners": t.chain.corners,
        "radii": shape.design.tubes[t.id.0].bend_radii,
        "size": shape.design.sections[t.section.0].shape,
        "upright": t.frames[0].u,
        "roll": shape.design.tubes[t.id.0].roll,
        "twin": t.twin,
    })
}

fn main() -> Result<(), String> {
    let arg = |k: usize, or: u64| {
        std::env::args().nth(k).map_or(Ok(or), |a| a.parse().map_err(|_| format!("{a}: not a number")))
    };
    let (count, mut dice) = (arg(1, 320)?, Dice(arg(2, 1)?));
    let mut cases = Vec::new();
    for n in 0..count {
        let kind = KINDS[n as usize % KINDS.len()];
        let name = if kind.starts_with("mirrored") { "branch~" } else { "branch" };
        let (text, shape, plans, i, end) = loop {
            let text = design(kind, &mut dice);
            let reading = design::read(&text).map_err(|p| design::render(&p, kind, &text))?;
            let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, kind, &text))?;
            let plans = plan::plan(&shape);
            let i = shape.find(name).ok_or("no branch")?;
            // The end that is cut is the one that the design says something of, or the mitred one. A bent host's other
            // leg may run into the branch's far end: such a design is thrown again.
            let cut: Vec<End> =
                End::BOTH.into_iter().filter(|e| plans[i][*e as usize].kind != EndKind::Square(0.0)).collect();
            match cut[..] {
                [end] => break (text, shape, plans, i, end),
                [] => return Err(format!("{kind}: neither end is cut\n{text}")),
                _ => {}
            }
        };
        let all = solids::all(&shape, &plans);
        let t = &shape.tubes[i];
        let p = &plans[i][end as usize];
        let start = Instant::now();
        let rays = EndRays::new(&shape, t, end, p, &all);
        let spent_profile = {
            std::hint::black_box(profile(&rays, Detail { fibres: 72 }));
            start.elapsed().as_secs_f64()
        };
        // The volume at the accuracy that is checked.
        let sheet = profile(&rays, Detail::SHEET);
        let start = Instant::now();
        std::hint::black_box(volume::beyond(&rays, t, &sheet, Detail::SHEET));
        let spent_volume = start.elapsed().as_secs_f64();
        let cutting = cutting::cut(&shape, Detail::SHEET);
        let piece = cutting.pieces.iter().find(|p| p.name == name).ok_or("no piece")?;
        let fibres: Vec<Value> = piece.ends[end as usize]
            .profile
            .fibres
            .windows(2)
            .enumerate()
            // Every fifth, and all that stand where one tube is left and another met: those all but graze.
            .filter(|(k, w)| k % 5 == 0 || w[1].round - w[0].round < CHANGE)
            .flat_map(|(_, w)| w.iter().take(if w[1].round - w[0].round < CHANGE { 2 } else { 1 }))
            .map(|f| {
                let (po, pi) = rays.wall(t.outline.station(f.round));
                json!([f.round, rays.place(po, 0.0), f.outer, rays.place(pi, 0.0), f.inner])
            })
            .collect();
        let plane = |h: &geometry::HalfSpace| json!({ "origin": h.origin, "outward": h.outward });
        let (hosts, planes): (Vec<Value>, Vec<Value>) = match &p.kind {
            EndKind::Cope(h) => (
                h.iter()
                    .map(|&k| {
                        let mut v = tube(&shape, k);
                        // Where the host itself stops: planes that it is kept within.
                        let mut limits = Vec::new();
                        for e in End::BOTH {
                            let h = match &plans[k][e as usize].kind {
                                EndKind::Plane(h, _) => *h,
                                EndKind::Cope(to) => plan::mid_plane(&shape.tubes[k], e, &shape.tubes[to[0]]),
                                EndKind::Square(_) => continue,
                            };
                            limits.push(json!({ "origin": h.origin, "outward": -h.outward }));
                        }
                        v["limits"] = json!(limits);
                        v
                    })
                    .collect(),
                vec![plane(&plan::mid_plane(t, end, &shape.tubes[h[0]]))],
            ),
            EndKind::Plane(h, other) => {
                let grow = if other.is_some() { p.gap / 2.0 } else { 0.0 };
                (Vec::new(), vec![plane(&h.grown(grow))])
            }
            EndKind::Square(_) => (Vec::new(), Vec::new()),
        };
        let partner = match p.kind {
            EndKind::Plane(_, Some(o)) => tube(&shape, o),
            _ => Value::Null,
        };
        cases.push(json!({
            "partner": partner,
            "kind": kind,
            "design": text,
            "name": name,
            "at_end": end == End::End,
            "tube": tube(&shape, i),
            "out": t.outward(end).t,
            "at": t.outward(end).origin,
            "start_counting": if t.is_straight() { -t.end_leg(end) / 2.0 } else { -t.end_leg(end) },
            "gap": p.gap,
            "hosts": hosts,
            "beyond": planes,
            "fibres": fibres,
            "volume": piece.volume,
            "seconds": spent_profile,
            "volume_seconds": spent_volume,
        }));
    }
    println!("{}", serde_json::to_string(&cases).map_err(|e| e.to_string())?);
    Ok(())
}
