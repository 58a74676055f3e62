//! Candidates ranked without solving anew, against frames solved anew.

mod generated;

use std::sync::Arc;

use frame::{Edit, Frame, Hold, Loads, Model, Response};
use geometry::DVec3;
use strength::ranking::{Aim, Ranking, best};
use strength::{Built, Candidate, Profile, Stress, build, candidates};

use generated::tower;

fn shape(text: &str) -> shape::Shape {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

/// Use as a part of its limit of the whole of a solved frame, from its sections' forces at ends and along loaded beams and bends.
fn largest(model: &Model, profiles: &[Profile], frame: &Frame, r: &Response, spread: &[bool]) -> f64 {
    let mut most = 0.0f64;
    for (i, b) in model.beams.iter().enumerate() {
        for (k, p) in b.pieces.iter().enumerate() {
            let n = match p.segment {
                geometry::Segment::Arc { sweep, .. } => (sweep / 10f64.to_radians()).ceil() as usize,
                _ if spread.get(i) == Some(&true) => 4,
                _ => 1,
            };
            for j in 0..=n {
                let passed = frame.passed(r, i, k, p.segment.length() * j as f64 / n as f64);
                most = most.max(Stress::of(&passed, &profiles[b.section]).utilisation);
            }
        }
    }
    most
}

struct Ready {
    shape: shape::Shape,
    built: Built,
    holds: Vec<Vec<Hold>>,
    loads: Vec<(usize, Loads, f64)>,
    section: usize,
}

fn ready(text: &str, section: usize) -> Ready {
    let shape = shape(text);
    let built = build(&shape, &[]);
    let places = &built.model.nodes;
    let by = |key: &dyn Fn(DVec3) -> f64| {
        let mut all: Vec<usize> = (0..places.len()).collect();
        all.sort_by(|&a, &b| key(places[a]).total_cmp(&key(places[b])));
        all
    };
    let (low, high, far) = (by(&|p| p.z), by(&|p| -p.z), by(&|p| p.x));
    let pins = |n: &[usize]| n.iter().flat_map(|&k| Hold::pinned(k)).collect::<Vec<_>>();
    let holds = vec![pins(&low[..4]), pins(&far[..4])];
    let push =
        |node: usize, f: [f64; 3]| Loads { nodal: vec![(node, [f[0], f[1], f[2], 0.0, 0.0, 0.0])], ..Loads::default() };
    let mut weight = push(high[0], [300.0, 100.0, -50.0]);
    weight.field = DVec3::new(0.5, 0.0, -9.81);
    let loads = vec![
        (0, push(high[0], [1000.0, -700.0, -2000.0]), 0.8),
        (0, weight, 1.0),
        (1, push(high[1], [-300.0, 800.0, -1500.0]), 0.5),
    ];
    Ready { shape, built, holds, loads, section }
}

/// Twice the energy of a frame: the work of its loads, those along beams as their clamped ends hand them on.
fn energy(frame: &Frame, r: &Response, beams: usize) -> f64 {
    2.0 * frame.energies(&r.motions)[..beams].iter().sum::<f64>()
}

/// Every `step`-th candidate against the frame with it, solved anew: stiffness and largest use to 1e-8; and nobody who was
/// not told is better than those who were.
fn against_brute_force(r: &Ready, step: usize) -> usize {
    let m = &r.built.model;
    let frame = Frame::new(m.clone()).unwrap();
    let held: Vec<frame::Held<'_>> = r.holds.iter().map(|h| frame.held(h).unwrap()).collect();
    let solve = |f: &Frame| -> Vec<Response> {
        r.loads
            .iter()
            .map(|(h, l, _)| f.held(&r.holds[*h]).unwrap().solve(std::slice::from_ref(l)).unwrap().remove(0))
            .collect()
    };
    let before = solve(&frame);
    let aims: Vec<Aim<'_>> = r
        .loads
        .iter()
        .zip(&before)
        .map(|((h, _, limit), response)| Aim {
            name: String::new(),
            held: &held[*h],
            response,
            stiff: true,
            limit: Some(*limit),
        })
        .collect();
    let ranking = Ranking::new(&r.built, &frame, &aims).unwrap();
    let reach = r.shape.design.sections[r.section].shape.properties().gyration_y();
    let (all, _) = candidates(&r.shape, &r.built, reach);
    let spread: Vec<bool> = m.beams.iter().map(|_| true).collect();
    // Brings no weight, as an added tube is said to.
    let mut light = m.clone();
    let mut section = light.sections[r.section];
    section.density = 0.0;
    light.sections.push(section);
    let mut profiles = r.built.profiles.clone();
    profiles.push(profiles[r.section]);
    let anew = |c: &Candidate| {
        let mut new = light.clone();
        for e in ranking.beams(c, light.sections.len() - 1) {
            if let Edit::Add(b) = e {
                new.beams.push(b);
            }
        }
        let f = Frame::new(new.clone()).unwrap();
        let after = solve(&f);
        let gains: Vec<f64> = before
            .iter()
            .zip(&after)
            .map(|(b, a)| energy(&frame, b, m.beams.len()) / energy(&f, a, new.beams.len()) - 1.0)
            .collect();
        let used =
            after.iter().zip(&r.loads).map(|(a, l)| largest(&new, &profiles, &f, a, &spread) / l.2).fold(0.0, f64::max);
        (gains, used)
    };
    let mut seen = 0;
    for c in all.iter().step_by(step) {
        let trial = ranking.trial(ranking.beams(c, r.section), None).unwrap();
        let (gains, used) = anew(c);
        for (g, w) in trial.gains().iter().zip(&gains) {
            assert!((g - w).abs() < 1e-8 * (1.0 + w.abs()), "{c:?}: {g} {w}");
        }
        let got = trial.used().unwrap();
        assert!((got / used - 1.0).abs() < 1e-8, "{c:?}: {got} {used}");
        assert!(trial.used_at_least().unwrap() <= used * (1.0 + 1e-8));
        seen += 1;
    }
    // The list of the best, by the frames' own numbers.
    let masses: Vec<f64> = all.iter().map(|c| m.nodes[c.nodes[0]].distance(m.nodes[c.nodes[1]])).collect();
    let told = best(&ranking, r.section, &all, &masses, 5);
    let now =
        before.iter().zip(&r.loads).map(|(b, l)| largest(m, &profiles, &frame, b, &spread) / l.2).fold(0.0, f64::max);
    let worth = |i: usize, used: f64| (now - used) / masses[i];
    let mut by_use: Vec<f64> = told.iter().map(|t| worth(t.candidate, t.used.unwrap())).collect();
    by_use.sort_by(|a, b| b.total_cmp(a));
    for (i, c) in all.iter().enumerate().step_by(step) {
        let used = ranking.trial(ranking.beams(c, r.section), None).unwrap().used().unwrap();
        if !told.iter().any(|t| t.candidate == i) {
            assert!(worth(i, used) <= by_use[4] + 1e-12, "{i} {used} {by_use:?}");
        }
    }
    seen
}

#[test]
fn candidates_of_a_tower_are_ranked_as_frames_solved_anew() {
    let seen = against_brute_force(&ready(&tower(5), 1), 3);
    assert!(seen > 50, "{seen}");
}

#[test]
fn candidates_of_the_demo_are_ranked_as_frames_solved_anew() {
    let r = ready(include_str!("../../../examples/gorse.toml"), 0);
    let seen = against_brute_force(&r, 15);
    assert!(seen > 15, "{seen}");
}
