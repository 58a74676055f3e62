//! Bodies at random.

use geometry::{Chain, DVec3};
use proptest::prelude::*;
use rollover::{HardBody, HardShape, Rollover, Settings, rollover};

/// A vector within a box.
pub fn vector(size: f64) -> impl Strategy<Value = DVec3> {
    (-1.0..1.0, -1.0..1.0, -1.0..1.0).prop_map(move |(x, y, z)| DVec3::new(x, y, z) * size)
}

/// A round bar with up to two bends, a wheel, a ball, a block, as plain numbers so that it can be moved.
#[derive(Clone, Debug)]
pub enum Plain {
    Bar(Vec<DVec3>, f64),
    Wheel(DVec3, DVec3, f64, f64, f64),
    Ball(DVec3, f64),
    Points(Vec<DVec3>),
}

/// Any of them.
pub fn plain() -> impl Strategy<Value = Plain> {
    let bar = (prop::collection::vec(vector(1.0), 2..5), 0.01..0.05f64).prop_map(|(c, r)| Plain::Bar(c, r));
    let wheel = (vector(1.0), vector(1.0), 0.2..0.4f64, 0.1..0.3f64, 0.0..0.05f64)
        .prop_map(|(c, a, r, w, s)| Plain::Wheel(c, a, r, w, s));
    let ball = (vector(1.0), 0.05..0.3f64).prop_map(|(c, r)| Plain::Ball(c, r));
    let points = prop::collection::vec(vector(1.0), 1..9).prop_map(Plain::Points);
    prop_oneof![bar, wheel, ball, points]
}

/// The bodies after every place went through `f`, which keeps shapes; sizes times `scale`.
pub fn bodies(list: &[Plain], scale: f64, f: &dyn Fn(DVec3) -> DVec3) -> Vec<HardBody> {
    let way = |d: DVec3| f(d) - f(DVec3::ZERO);
    let mut out = Vec::new();
    for (i, p) in list.iter().enumerate() {
        let shape = match p {
            Plain::Bar(c, r) => {
                let moved: Vec<DVec3> = c.iter().map(|&p| f(p)).collect();
                let radii = vec![0.08 * scale; c.len() - 2];
                match Chain::new(&moved, &radii) {
                    Ok(chain) => HardShape::Bar { chain, radius: r * scale },
                    Err(_) => HardShape::Points(moved),
                }
            }
            Plain::Wheel(c, a, r, w, s) => HardShape::Wheel {
                centre: f(*c),
                axle: way(*a),
                radius: r * scale,
                width: w * scale,
                shoulder: s * scale,
            },
            Plain::Ball(c, r) => HardShape::Ball { centre: f(*c), radius: r * scale },
            Plain::Points(list) => HardShape::Points(list.iter().map(|&p| f(p)).collect()),
        };
        out.push(HardBody { name: format!("body {i}"), shape });
    }
    out
}

/// With chords as fine as the bodies are large.
pub fn ask(bodies: &[HardBody], centre: DVec3, scale: f64) -> Option<Rollover> {
    let mut s = Settings::new(centre, 2.0);
    s.gap *= scale;
    rollover(bodies, &s).ok()
}
