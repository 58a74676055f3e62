//! Frames at random: lattices of tubes.

use frame::{Beam, Hold, Loads, Model, Section};
use geometry::DVec3;
use glam::DQuat;
use serde_json::{Value, json};

/// Numbers from 0 to 1, the same from the same seed (splitmix64).
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn pick(&mut self, n: usize) -> usize {
        ((self.roll() * n as f64) as usize).min(n - 1)
    }

    pub fn vector(&mut self) -> DVec3 {
        DVec3::new(self.roll(), self.roll(), self.roll()) * 2.0 - 1.0
    }

    pub fn direction(&mut self) -> DVec3 {
        loop {
            let v = self.vector();
            if v.length() > 0.1 && v.length() < 1.0 {
                return v.normalize();
            }
        }
    }
}

fn section(d: &mut Dice, shear: bool) -> Section {
    let od = 0.025 + 0.03 * d.roll();
    let wall = 0.0015 + 0.0015 * d.roll();
    let bore = od - 2.0 * wall;
    let area = std::f64::consts::PI / 4.0 * (od * od - bore * bore);
    let second = std::f64::consts::PI / 64.0 * (od.powi(4) - bore.powi(4));
    // Unlike about both axes, as boxes are.
    let flat = 0.4 + 0.6 * d.roll();
    Section {
        youngs: 210e9,
        shear: 81e9,
        density: 7850.0,
        area,
        shear_areas: if shear { [area * 0.5, area * (0.3 + 0.3 * d.roll())] } else { [f64::INFINITY; 2] },
        second: [second, second * flat],
        torsion: second * (1.0 + flat),
    }
}

/// Nodes of a lattice, moved a little, with beams between neighbours; at most `most` nodes across.
pub fn lattice(d: &mut Dice, beams: usize, most: usize, links: bool, shear: bool) -> Model {
    // About four beams to a node.
    let nodes = (beams / 4).max(4);
    let side = ((nodes as f64).cbrt().ceil() as usize).min(most);
    let mut places = Vec::new();
    let mut cells = Vec::new();
    'all: for x in 0..=nodes {
        for y in 0..side.max(2) {
            for z in 0..side.max(2) {
                if places.len() == nodes {
                    break 'all;
                }
                let jitter = d.vector() * 0.12;
                places.push(DVec3::new(x as f64, y as f64, z as f64) * 0.6 + jitter);
                cells.push([x, y, z]);
            }
        }
    }
    let sections: Vec<Section> = (0..3).map(|_| section(d, shear)).collect();
    let mut model = Model { nodes: places, sections, beams: Vec::new(), lumps: Vec::new() };
    let find: std::collections::BTreeMap<[usize; 3], usize> = cells.iter().enumerate().map(|(i, c)| (*c, i)).collect();
    for (i, c) in cells.iter().enumerate() {
        let steps: [[i64; 3]; 6] = [[0, 0, 1], [0, 1, 0], [1, 0, 0], [0, 1, 1], [1, 1, 0], [1, 0, 1]];
        for (k, s) in steps.iter().enumerate() {
            let to = [0, 1, 2].map(|a| c[a].wrapping_add_signed(s[a] as isize));
            let Some(&j) = find.get(&to) else { continue };
            if k > 2 && (model.beams.len() >= beams || d.roll() < 0.3) {
                continue;
            }
            let shift = |d: &mut Dice| if links && d.roll() < 0.5 { d.vector() * 0.04 } else { DVec3::ZERO };
            let ends = [model.nodes[i] + shift(d), model.nodes[j] + shift(d)];
            let section = d.pick(model.sections.len());
            // Half of them run the other way.
            let (nodes, ends) = if d.roll() < 0.5 { ([i, j], ends) } else { ([j, i], [ends[1], ends[0]]) };
            let towards = loop {
                let t = d.direction();
                if t.cross((ends[1] - ends[0]).normalize()).length() > 0.2 {
                    break t;
                }
            };
            model.beams.push(Beam::straight(nodes, ends, section, towards).expect("a direction"));
        }
    }
    // A node in the last layer may have no neighbour: then it gets one.
    for n in 0..model.nodes.len() {
        if !model.beams.iter().any(|b| b.nodes.contains(&n)) {
            let m = if n > 0 { n - 1 } else { 1 };
            let ends = [model.nodes[m], model.nodes[n]];
            let towards = (ends[1] - ends[0]).any_orthonormal_vector();
            model.beams.push(Beam::straight([m, n], ends, 0, towards).expect("a direction"));
        }
    }
    model
}

/// Fixed at its first node, held at two more.
pub fn holds(d: &mut Dice, nodes: usize, slanting: bool) -> Vec<Hold> {
    let mut out = Hold::fixed(0).to_vec();
    for n in [nodes / 3, 2 * nodes / 3] {
        if n == 0 {
            continue;
        }
        if slanting {
            let q = DQuat::from_axis_angle(d.direction(), 3.0 * d.roll());
            for k in 0..1 + d.pick(3) {
                let by = if d.roll() < 0.5 { 0.002 * (d.roll() - 0.5) } else { 0.0 };
                out.push(Hold { node: n, along: q * DVec3::AXES[k], turn: false, by });
            }
            if d.roll() < 0.5 {
                out.push(Hold { node: n, along: q * DVec3::AXES[0], turn: true, by: 0.001 });
            }
        } else {
            out.extend(Hold::pinned(n));
        }
    }
    out
}

/// Forces and moments on four nodes; spread: on beams and masses, too.
pub fn loads(d: &mut Dice, model: &Model, spread: bool) -> Loads {
    let mut l = Loads::default();
    for _ in 0..4 {
        let f = d.vector() * 2000.0;
        let m = d.vector() * 200.0;
        l.nodal.push((d.pick(model.nodes.len()), [f.x, f.y, f.z, m.x, m.y, m.z]));
    }
    if spread {
        for _ in 0..3 {
            l.spread.push((d.pick(model.beams.len()), d.vector() * 500.0));
        }
        l.field = d.vector() * 20.0;
    }
    l
}

/// A place as JSON.
pub fn v(p: DVec3) -> Value {
    json!(p.to_array())
}

/// A model as JSON.
pub fn described(m: &Model) -> Value {
    json!({
        "nodes": m.nodes.iter().map(|&p| v(p)).collect::<Vec<_>>(),
        "sections": m.sections.iter().map(|s| json!({
            "E": s.youngs, "G": s.shear, "rho": s.density, "A": s.area,
            // No shear deformation is written as none.
            "As": s.shear_areas.map(|a| if a.is_finite() { json!(a) } else { Value::Null }),
            "I": s.second, "J": s.torsion,
        })).collect::<Vec<_>>(),
        "beams": m.beams.iter().map(|b| json!({
            "nodes": b.nodes, "start": v(b.start()), "end": v(b.end()), "u": v(b.pieces[0].frame.u), "section": b.section,
        })).collect::<Vec<_>>(),
        "lumps": m.lumps.iter().map(|l| json!({
            "at": v(l.at), "mass": l.mass, "inertia": l.inertia.to_cols_array_2d(), "nodes": l.nodes.iter().map(|c| json!([c.node, c.weight, v(c.arm)])).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
    })
}
