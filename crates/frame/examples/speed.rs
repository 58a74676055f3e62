//! Plain frames of a given size, and how long their statics takes, for `reference/frame_speed.py`:
//!
//! - `speed model SHAPE SIZE`: the frame, its supports and six load cases as JSON;
//! - `speed time SHAPE SIZE REPEATS FILE`: solves them REPEATS times from the changed model on; prints the seconds of each
//!   phase and the memory as JSON, and writes motions and end forces, case after case, to FILE as little-endian f64.
//!
//! SHAPE is `tower` (four nodes across) or `block` (as many nodes along as across).

mod lattice;

use std::fs;
use std::time::Instant;

use frame::{Frame, Hold, Loads, Model, Response};
use serde_json::json;

use lattice::{Dice, described, holds, lattice, loads, v};

const CASES: usize = 6;

fn made(shape: &str, size: usize) -> (Model, Vec<Hold>, Vec<Loads>) {
    let d = &mut Dice(size as u64);
    let across = if shape == "tower" { 4 } else { usize::MAX };
    let mut model = lattice(d, size, across, false, false);
    // Round tubes: every solver turns sections in its own way.
    for s in &mut model.sections {
        s.second[1] = s.second[0];
        s.torsion = 2.0 * s.second[0];
    }
    let holds = holds(d, model.nodes.len(), false);
    let cases = (0..CASES).map(|_| loads(d, &model, false)).collect();
    (model, holds, cases)
}

/// A line of `/proc/self/status`, in bytes; nothing on systems without it.
fn memory(what: &str) -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with(what))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|k| k * 1024)
}

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [verb, shape, size, rest @ ..] = &args[..] else { panic!("model or time, a shape, a size") };
    let (model, holds, cases) = made(shape, size.parse().expect("a number of beams"));
    if verb == "model" {
        println!(
            "{}",
            json!({
                "model": described(&model),
                "holds": holds.iter().map(|h| json!({"node": h.node, "along": v(h.along), "turn": h.turn})).collect::<Vec<_>>(),
                "cases": cases.iter().map(|l| &l.nodal).collect::<Vec<_>>(),
            })
        );
        return;
    }
    let [repeats, file] = rest else { panic!("how often, and a file for the answers") };
    let mut phases: Vec<[f64; 3]> = Vec::new();
    let mut answers: Vec<Response> = Vec::new();
    let mut peak = None;
    for k in 0..repeats.parse().expect("how often") {
        let changed = model.clone();
        let before = memory("VmRSS");
        if k == 0 {
            // The peak starts anew from here, where the system can do that.
            let _ = fs::write("/proc/self/clear_refs", "5");
        }
        let clock = Instant::now();
        let frame = Frame::new(changed).expect("a frame");
        let ready = clock.elapsed();
        let held = frame.held(&holds).expect("held");
        let factorised = clock.elapsed();
        answers = held.solve(&cases).expect("solved");
        let solved = clock.elapsed();
        phases.push([ready, factorised - ready, solved - factorised].map(|t| t.as_secs_f64()));
        if k == 0 {
            peak = memory("VmHWM").zip(before).map(|(peak, before)| peak.saturating_sub(before));
        }
    }
    let bytes: Vec<u8> = answers
        .iter()
        .flat_map(|r| r.motions.iter().flatten().chain(r.end_forces.iter().flatten()))
        .flat_map(|x| x.to_le_bytes())
        .collect();
    fs::write(file, bytes).expect("a file that can be written");
    println!("{}", json!({ "phases": phases, "memory": peak }));
}
