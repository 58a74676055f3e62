//! Designs for tests, from a few lines of text.
#![allow(dead_code)]

use std::sync::Arc;

use geometry::DVec2;
use mesh::Mesh;
use shape::{Level, Shape};
use stance::{Answer, Stood};

/// A file's head: millimetres, a thin round tube `t` (20 x 1), a box tube `b` (50 x 80 x 3).
pub const HEAD: &str = r#"
[design]
name = "Test"
[section.t]
shape = "round"
od = 20
wall = 1
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
"#;

/// Four light wheels of loaded radius 300 at x = 1000 and -1000, y = 700: the ground is z = 0.
pub const WHEELS: &str = r#"
[wheel.front]
at = [1000, 700, 300]
radius = 300
width = 150
kg = 10
mirror = true
[wheel.rear]
at = [-1000, 700, 300]
radius = 300
width = 150
kg = 10
mirror = true
"#;

pub fn shape(body: &str) -> Shape {
    let text = format!("{HEAD}{}", gathered(body));
    let reading = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)));
    shape::resolve(Arc::new(reading.design)).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)))
}

/// The same file with its points in one table.
fn gathered(body: &str) -> String {
    let (mut points, mut rest, mut within) = (String::from("[point]\n"), String::new(), false);
    for line in body.lines() {
        if line.starts_with('[') {
            within = line.trim() == "[point]";
            if within {
                continue;
            }
        }
        let to = if within { &mut points } else { &mut rest };
        to.push_str(line);
        to.push('\n');
    }
    points + &rest
}

pub fn stand(body: &str) -> Answer {
    stance::stand(&shape(body))
}

/// The one stance of a file.
pub fn only(body: &str) -> Stood {
    let mut a = stand(body);
    assert_eq!(a.stances.len(), 1);
    a.stances.remove(0)
}

pub fn words(a: &Answer, level: Level) -> Vec<&str> {
    a.findings.iter().filter(|f| f.level == level).map(|f| f.what.as_str()).collect()
}

#[track_caller]
pub fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b}");
}

/// A cross tube (named) of the thin section, its underside at a height over the ground, in the side view at x.
pub fn cross(name: &str, x: f64, under: f64) -> String {
    let z = under + 10.0;
    format!(
        "[point]\n{name}_p = [{x}, 300, {z}]\n[tube.{name}]\nsection = \"t\"\npath = [\"{name}_p\", \"{name}_p~\"]\n"
    )
}

/// The outline of every tube in side view as points.
pub fn points(shape: &Shape) -> Vec<DVec2> {
    let mut out = Vec::new();
    for t in &shape.tubes {
        for i in 0..=24 {
            let p = t.chain.point(t.chain.length() * i as f64 / 24.0);
            for k in 0..60 {
                let q = t.frames[0]
                    .at(p)
                    .place(t.outline.point(t.outline.station(t.outline.perimeter() * k as f64 / 60.0)));
                out.push(DVec2::new(q.x, q.z));
            }
        }
    }
    out
}

/// The least distance of places in side view from a road as points, a tenth of a millimetre or so apart, on wheels of radius
/// 300 at 1000 and -1000: driven in steps of `step`, m.
pub fn brute(outline: &[DVec2], road: &dyn Fn(f64) -> f64, from: f64, to: f64, stride: f64) -> f64 {
    let r = 0.3;
    // The hub's path on a grid, by the definition.
    let step = 0.002;
    let n = ((to - from + 8.0) / step) as usize;
    let x0 = from - 4.0;
    let hub: Vec<f64> = (0..=n)
        .map(|i| {
            let x = x0 + i as f64 * step;
            (-300..=300)
                .map(|k| {
                    let d = r * k as f64 / 300.0;
                    road(x + d) + (r * r - d * d).sqrt()
                })
                .fold(f64::NEG_INFINITY, f64::max)
        })
        .collect();
    let at = |x: f64| {
        let f = (x - x0) / step;
        let i = (f as usize).min(n - 1);
        hub[i] + (hub[i + 1] - hub[i]) * (f - i as f64)
    };
    let (lo, hi) = (from - 0.5, to + 0.5);
    let points: Vec<DVec2> = {
        let m = ((hi - lo) / 0.0005) as usize;
        let mut v: Vec<DVec2> =
            (0..=m).map(|i| lo + (hi - lo) * i as f64 / m as f64).map(|x| DVec2::new(x, road(x))).collect();
        let faces: Vec<DVec2> = v
            .windows(2)
            .filter(|w| (w[1].y - w[0].y).abs() > 0.001)
            .flat_map(|w| (0..=100).map(|k| w[0].lerp(w[1], k as f64 / 100.0)).collect::<Vec<_>>())
            .collect();
        v.extend(faces);
        v
    };
    let top = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let mut least = f64::INFINITY;
    let mut s = from - 1.5;
    while s < to + 3.5 {
        let f = DVec2::new(s, at(s));
        let (mut near, mut far) = (s - 0.5, s - 2.0 - 1e-9);
        for _ in 0..50 {
            let mid = 0.5 * (near + far);
            if (f - DVec2::new(mid, at(mid))).length() < 2.0 { near = mid } else { far = mid }
        }
        let e = (f - DVec2::new(near, at(near))).normalize();
        let placed = |q: &DVec2| f + e.rotate(*q - DVec2::new(1.0, 0.3));
        for q in outline.iter().map(placed) {
            // The road straight under it is as near at most; none is nearer to what is higher over the top of all road than that.
            if q.y > road(q.x) {
                least = least.min(q.y - road(q.x));
            }
            if q.y - top > least {
                continue;
            }
            // Only road that could be nearer than the least so far.
            let reach = least;
            let a = points.partition_point(|p| p.x < q.x - reach);
            for p in points[a..].iter().take_while(|p| p.x <= q.x + reach) {
                let d = p.distance(q);
                if d < least {
                    least = d;
                }
            }
        }
        s += stride;
    }
    least
}

/// A mesh from corners in metres and triangles, cut into named parts before these triangles.
pub fn mesh(corners: &[[f64; 3]], triangles: &[[usize; 3]], parts: &[(usize, &str)]) -> Mesh {
    let mut obj = String::new();
    for [x, y, z] in corners {
        obj += &format!("v {x:?} {y:?} {z:?}\n");
    }
    for (k, [a, b, c]) in triangles.iter().enumerate() {
        for (_, name) in parts.iter().filter(|p| p.0 == k) {
            obj += &format!("o {name}\n");
        }
        obj += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
    }
    mesh::read(obj.as_bytes()).unwrap()
}

/// The stances of a file whose skins are these meshes, in order.
pub fn skinned(body: &str, meshes: &[Mesh]) -> (Shape, Answer) {
    let meshes: Vec<Result<Mesh, String>> = meshes.iter().cloned().map(Ok).collect();
    let shape = shape(body).with_skins(&meshes);
    let answer = stance::stand(&shape);
    (shape, answer)
}
