//! Makes frames at random, solves them and prints both as JSON for `reference/frames.py`: `frames COUNT SEED`.

mod lattice;

use frame::{Carrier, Frame, Hold, Loads, Lump, Model, buckling, vibration};
use geometry::{DMat3, DVec3};
use serde_json::{Value, json};

use lattice::{Dice, described, holds, lattice, loads, v};

fn solved(model: &Model, holds: &[Hold], loads: &Loads) -> Value {
    let f = Frame::new(model.clone()).expect("a frame");
    let held = f.held(holds).expect("held");
    let r = held.solve(std::slice::from_ref(loads)).expect("solved").remove(0);
    json!({
        "model": described(model),
        "holds": holds.iter().map(|h| json!({"node": h.node, "along": v(h.along), "turn": h.turn, "by": h.by})).collect::<Vec<_>>(),
        "loads": { "nodal": loads.nodal, "spread": loads.spread.iter().map(|s| json!([s.0, v(s.1)])).collect::<Vec<_>>(), "field": v(loads.field) },
        "motions": r.motions, "end_forces": r.end_forces, "reactions": r.reactions, "residual": r.residual,
    })
}

fn main() {
    let args: Vec<u64> = std::env::args().skip(1).map(|a| a.parse().expect("a number")).collect();
    let (count, seed) = (args.first().copied().unwrap_or(100), args.get(1).copied().unwrap_or(1));
    let mut out = Vec::new();
    for k in 0..count {
        let d = &mut Dice(seed.wrapping_mul(1_000_003).wrapping_add(k));
        let (links, shear, slanting, spread) = (k % 2 == 1, k % 3 != 0, k % 4 > 1, k % 5 > 1);
        let beams = 12 + d.pick(60);
        let model = lattice(d, beams, 4, links, shear);
        let holds = holds(d, model.nodes.len(), slanting);
        let loads = loads(d, &model, spread);
        let mut one = solved(&model, &holds, &loads);
        // Modes of the same frame, its beams in parts, with masses.
        let parts = 2 + d.pick(2);
        let mut fine = model.refined(|_, _| parts).model;
        for _ in 0..d.pick(3) {
            // Some at their nodes, some beside them, and some twice at one node.
            let nodes: Vec<usize> = (0..1 + d.pick(4)).map(|_| d.pick(model.nodes.len())).collect();
            let a = d.vector();
            let own = DMat3::from_diagonal(DVec3::new(1.0, 2.0, 2.5)) * (0.5 + a.x.abs());
            fine.lumps.push(Lump {
                at: model.nodes[0] + d.vector(),
                mass: 20.0 + 80.0 * d.roll(),
                inertia: own,
                nodes: nodes
                    .into_iter()
                    .map(|node| {
                        let arm = if d.pick(2) == 0 { DVec3::ZERO } else { d.vector() * 0.1 };
                        Carrier { node, arm, weight: 0.5 + d.roll() }
                    })
                    .collect(),
            });
        }
        let still: Vec<Hold> = holds.iter().map(|h| Hold { by: 0.0, ..*h }).collect();
        one["fine"] = described(&fine);
        one["hz"] = match vibration(fine.clone(), &still, 8) {
            Ok(m) => json!(m.iter().map(|m| m.value).collect::<Vec<_>>()),
            Err(e) => panic!("frame {k}: {e:?}"),
        };
        // Under loads on nodes alone: then every part carries one tension.
        let plain = Loads { nodal: loads.nodal.clone(), ..Loads::default() };
        one["factors"] = match buckling(fine, &still, &plain, 4) {
            Ok(b) => json!(b.modes.iter().map(|m| m.value).collect::<Vec<_>>()),
            Err(e) => panic!("frame {k}: {e:?}"),
        };
        out.push(one);
    }
    println!("{}", json!({ "frames": out }));
}
