//! Networks made at random, the same from the same seed.
#![allow(dead_code)]

use adjust::{Axis, Kind, Network, Observation, Point, Tilt};
use glam::{DQuat, DVec3};

/// Numbers that look random (splitmix64).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn below(&mut self, n: usize) -> usize {
        ((self.roll() * n as f64) as usize).min(n - 1)
    }

    pub fn vector(&mut self) -> DVec3 {
        DVec3::new(self.roll(), self.roll(), self.roll()) * 2.0 - 1.0
    }

    /// Standard normal, by Box and Muller.
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (1.0 - self.roll(), self.roll());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    pub fn normals(&mut self) -> DVec3 {
        DVec3::new(self.normal(), self.normal(), self.normal())
    }
}

/// What a measurement would read without error, worked out here anew. `tilt` as in the method page.
pub fn truth(kind: &Kind, at: &dyn Fn(&str) -> DVec3, tilt: [f64; 2], level_of: f64) -> f64 {
    let turn = DQuat::from_scaled_axis(DVec3::new(tilt[0], tilt[1], 0.0));
    let seen = |v: DVec3| turn.inverse() * v;
    let way = |a: &str, b: &str| at(b) - at(a);
    match kind {
        Kind::Distance { from, to } => way(from, to).length(),
        Kind::LevelDistance { from, to } => seen(way(from, to)).truncate().length(),
        Kind::Height { point, .. } => seen(at(point)).z - level_of,
        Kind::Rise { from, to } => seen(way(from, to)).z,
        Kind::Offset { from, to, along } => match along {
            Axis::X => seen(way(from, to)).x,
            Axis::Y => seen(way(from, to)).y,
        },
        Kind::FromPlane { point, through, normal } => (at(point) - *through).dot(normal.normalize()),
        Kind::FromString { point, from, to } => {
            let h = seen(way(from, to)).truncate().normalize();
            h.perp_dot(seen(way(from, point)).truncate())
        }
        Kind::Slope { from, to } => {
            let q = seen(way(from, to));
            (q.z / q.length()).asin()
        }
        Kind::Bevel { at: o, one, other } => way(o, one).angle_between(way(o, other)),
    }
}

/// A network of `n` points in a box of 2 m by 1 m by 1 m, off its design by `off`, taken with noise times `noise`.
pub struct Made {
    pub network: Network,
    pub places: Vec<DVec3>,
    pub tilt: [f64; 2],
}

pub fn name(i: usize) -> String {
    format!("p{i}")
}

/// `mixed`: all kinds of measurements, a tilt that is unknown, three corners held. Otherwise distances alone, nothing held.
pub fn network(d: &mut Dice, n: usize, mixed: bool, noise: f64) -> Made {
    let design: Vec<DVec3> = (0..n).map(|_| d.vector() * DVec3::new(1.0, 0.5, 0.5)).collect();
    let off = 0.004;
    let held = if mixed { 3 } else { 0 };
    let places: Vec<DVec3> =
        design.iter().enumerate().map(|(i, p)| if i < held { *p } else { *p + d.normals() * off }).collect();
    let tilt = if mixed { [d.normal() * 0.01, d.normal() * 0.01] } else { [0.0; 2] };
    let points = (0..n)
        .map(|i| if i < held { Point::fixed(&name(i), design[i]) } else { Point::free(&name(i), design[i]) })
        .collect();
    let mut kinds = Vec::new();
    for b in 1..n {
        for a in 0..b {
            if b - a <= 6 || d.roll() < 0.3 {
                kinds.push((Kind::Distance { from: name(a), to: name(b) }, 0.001));
            }
        }
    }
    if mixed {
        for i in 0..n {
            let [a, b, c] = [i, (i + 1) % n, (i + 3) % n].map(name);
            let way = design[(i + 1) % n] - design[i];
            kinds.push((Kind::Height { point: a.clone(), setup: format!("s{}", i % 2) }, 0.0007));
            match i % 6 {
                0 => kinds.push((Kind::LevelDistance { from: a, to: b }, 0.0012)),
                1 => kinds.push((Kind::Rise { from: a, to: b }, 0.0005)),
                2 => kinds
                    .push((Kind::Offset { from: a, to: b, along: if i % 4 == 0 { Axis::X } else { Axis::Y } }, 0.001)),
                3 if way.truncate().length() > 0.2 => {
                    kinds.push((Kind::FromString { point: c, from: a, to: b }, 0.0015))
                }
                4 if way.truncate().length() > 0.2 => kinds.push((Kind::Slope { from: a, to: b }, 0.002)),
                5 => {
                    let angle = way.angle_between(design[(i + 3) % n] - design[i]);
                    if (0.2..2.9).contains(&angle) {
                        kinds.push((Kind::Bevel { at: a, one: b, other: c }, 0.003));
                    }
                }
                _ => kinds.push((
                    Kind::FromPlane { point: a, through: DVec3::new(0.1, 0.0, 0.0), normal: DVec3::new(1.0, 1.0, 0.0) },
                    0.001,
                )),
            }
        }
    }
    let at = |s: &str| places[s[1..].parse::<usize>().unwrap()];
    let observations = kinds
        .into_iter()
        .enumerate()
        .map(|(i, (kind, sigma))| {
            let level = if matches!(&kind, Kind::Height { setup, .. } if setup == "s0") { 0.31 } else { -0.22 };
            let value = truth(&kind, &at, tilt, level) + d.normal() * sigma * noise;
            Observation::new(&format!("o{i}"), kind, value, sigma)
        })
        .collect();
    let tilt_kind = if mixed { Tilt::Unknown } else { Tilt::Level };
    Made { network: Network { points, observations, setups: vec![], tilt: tilt_kind }, places, tilt }
}

/// The points of a kind in the order in which it names them.
pub fn named(kind: &Kind) -> Vec<&str> {
    match kind {
        Kind::Distance { from, to }
        | Kind::LevelDistance { from, to }
        | Kind::Rise { from, to }
        | Kind::Offset { from, to, .. }
        | Kind::Slope { from, to } => vec![from, to],
        Kind::Height { point, .. } | Kind::FromPlane { point, .. } => vec![point],
        Kind::FromString { point, from, to } => vec![point, from, to],
        Kind::Bevel { at, one, other } => vec![at, one, other],
    }
}

/// The same network with every second measurement taken up to some 30 mm beside its points.
pub fn beside(d: &mut Dice, made: &mut Made) {
    let places = &made.places;
    let at = |s: &str| places[s[1..].parse::<usize>().unwrap()];
    for o in made.network.observations.iter_mut().step_by(2) {
        let names = named(&o.kind);
        let marks: Vec<DVec3> = names.iter().map(|_| d.vector() * 0.03).collect();
        let there = |s: &str| at(s) + names.iter().position(|n| *n == s).map_or(DVec3::ZERO, |k| marks[k]);
        let more = truth(&o.kind, &there, made.tilt, 0.0) - truth(&o.kind, &at, made.tilt, 0.0);
        o.value += more;
        o.marks = marks;
    }
}
