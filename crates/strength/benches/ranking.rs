//! Two thousand tubes to add ranked, beside a hundred frames solved anew: of a generated frame and of the demo.

#[path = "../tests/generated/mod.rs"]
mod generated;

use std::sync::Arc;

use divan::{Bencher, black_box};
use frame::{Frame, Held, Hold, Loads, Model, Response};
use strength::ranking::{Aim, Ranking, best};
use strength::{Built, Candidate, build, candidates};

const RANKED: usize = 2000;
const SOLVED: usize = 100;

fn main() {
    divan::main();
}

struct Ready {
    built: Built,
    holds: Vec<Hold>,
    loads: Vec<Loads>,
    candidates: Vec<Candidate>,
    masses: Vec<f64>,
    section: usize,
}

fn ready(which: &str) -> Ready {
    let (text, section) = match which {
        "tower" => (generated::tower(38), 1),
        _ => (include_str!("../../../examples/gorse.toml").to_owned(), 0),
    };
    let shape = shape::resolve(Arc::new(design::read(&text).expect("valid").design)).expect("a shape");
    let built = build(&shape, &[]);
    let nodes = &built.model.nodes;
    let mut low: Vec<usize> = (0..nodes.len()).collect();
    low.sort_by(|&a, &b| nodes[a].z.total_cmp(&nodes[b].z));
    let holds = low[..4].iter().flat_map(|&n| Hold::pinned(n)).collect();
    let push =
        |n: usize, f: [f64; 3]| Loads { nodal: vec![(n, [f[0], f[1], f[2], 0.0, 0.0, 0.0])], ..Loads::default() };
    let top = low[low.len() - 1];
    let loads = vec![push(top, [1000.0, -700.0, -2000.0]), push(top, [-300.0, 800.0, -1500.0])];
    let (mut all, _) = candidates(&shape, &built, 0.015);
    eprintln!("{which}: {} beams, {} nodes, {} candidates", built.model.beams.len(), nodes.len(), all.len());
    // As many as are asked for: the demo's over again, as far as it takes.
    let there = all.len();
    (0..RANKED).for_each(|i| {
        if i >= there {
            all.push(all[i % there].clone());
        }
    });
    all.truncate(RANKED);
    let masses = all.iter().map(|c| nodes[c.nodes[0]].distance(nodes[c.nodes[1]])).collect();
    Ready { built, holds, loads, candidates: all, masses, section }
}

fn solve(model: Model, r: &Ready) -> Vec<Response> {
    let f = Frame::new(model).expect("a frame");
    let held = f.held(&r.holds).expect("held");
    held.solve(&r.loads).expect("solved")
}

#[divan::bench(args = ["tower", "gorse"], sample_count = 10)]
fn hundred_solves(bencher: Bencher, which: &str) {
    let r = ready(which);
    bencher.bench_local(|| {
        for _ in 0..SOLVED {
            black_box(solve(r.built.model.clone(), &r));
        }
    });
}

fn rank(bencher: Bencher, which: &str, use_too: bool) {
    let r = ready(which);
    let frame = Frame::new(r.built.model.clone()).expect("a frame");
    bencher.bench_local(|| {
        let held: Held<'_> = frame.held(&r.holds).expect("held");
        let solved = held.solve(&r.loads).expect("solved");
        let aims: Vec<Aim<'_>> = solved
            .iter()
            .map(|response| Aim {
                name: String::new(),
                held: &held,
                response,
                stiff: true,
                limit: use_too.then_some(1.0),
            })
            .collect();
        let ranking = Ranking::new(&r.built, &frame, &aims).expect("ready");
        best(&ranking, r.section, &r.candidates, &r.masses, 12).len()
    });
}

#[divan::bench(args = ["tower", "gorse"], sample_count = 10)]
fn two_thousand_by_stiffness(bencher: Bencher, which: &str) {
    rank(bencher, which, false);
}

#[divan::bench(args = ["tower", "gorse"], sample_count = 10)]
fn two_thousand_by_stiffness_and_use(bencher: Bencher, which: &str) {
    rank(bencher, which, true);
}
