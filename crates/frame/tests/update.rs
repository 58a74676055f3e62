//! Changed frames against frames solved anew.

use frame::{Beam, Edit, Frame, Hold, Loads, Model, Section};
use geometry::DVec3;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

fn section(size: f64) -> Section {
    let s = size * size;
    Section {
        youngs: 210e9,
        shear: 81e9,
        density: 7850.0,
        area: 1e-4 * s,
        shear_areas: [5e-5 * s, 4e-5 * s],
        second: [2e-8 * s * s, 1.2e-8 * s * s],
        torsion: 3e-8 * s * s,
    }
}

fn beam(nodes: [usize; 2], places: &[DVec3], section: usize) -> Beam {
    let d = places[nodes[1]] - places[nodes[0]];
    Beam::straight(nodes, nodes.map(|n| places[n]), section, d.any_orthonormal_vector()).unwrap()
}

/// A cube with two diagonals, its corners moved about.
fn cube(shifts: &[f64]) -> Model {
    let corners: Vec<DVec3> = (0..8)
        .map(|i| {
            let p = DVec3::new(f64::from(i & 1), f64::from(i >> 1 & 1), f64::from(i >> 2));
            p + DVec3::new(shifts[3 * i as usize], shifts[3 * i as usize + 1], shifts[3 * i as usize + 2]) * 0.2
        })
        .collect();
    let mut pairs: Vec<[usize; 2]> = Vec::new();
    for a in 0..8usize {
        for bit in [1, 2, 4] {
            if a & bit == 0 {
                pairs.push([a, a | bit]);
            }
        }
    }
    pairs.extend([[0, 3], [5, 6]]);
    let beams = pairs.iter().enumerate().map(|(i, &p)| beam(p, &corners, i % 2)).collect();
    Model { nodes: corners, sections: vec![section(1.0), section(1.6)], beams, lumps: vec![] }
}

fn loads(forces: &[f64]) -> Loads {
    let nodal = (0..8).map(|n| (n, std::array::from_fn(|i| 1e3 * forces[6 * n + i]))).collect();
    Loads { nodal, ..Loads::default() }
}

#[test]
fn a_change_is_a_frame_solved_anew() {
    let mut runner = TestRunner::new_with_rng(
        Config { cases: 200, failure_persistence: None, ..Config::default() },
        TestRng::deterministic_rng(RngAlgorithm::ChaCha),
    );
    let all = (
        prop::collection::vec(-1.0..1.0, 24),
        prop::collection::vec(-1.0..1.0, 48),
        0usize..8,
        1usize..7,
        0usize..14,
        any::<bool>(),
    );
    runner
        .run(&all, |(shifts, forces, a, step, gone, two)| {
            let m = cube(&shifts);
            let f = Frame::new(m.clone()).unwrap();
            let holds: Vec<Hold> = Hold::fixed(0).into_iter().chain(Hold::pinned(3)).collect();
            let held = f.held(&holds).unwrap();
            let load = loads(&forces);
            let before = held.solve(std::slice::from_ref(&load)).unwrap().remove(0);
            let influence = held.influence(&(0..8).collect::<Vec<_>>()).unwrap();
            let mut added = vec![beam([a, (a + step) % 8], &m.nodes, 1)];
            if two {
                added.push(beam([(a + 1) % 8, (a + step + 2) % 8], &m.nodes, 0));
                prop_assume!((step + 1) % 8 != 0);
            }
            // One beam of a smaller section, one left out, one or two more.
            let thin = (gone + 1 + step) % 14;
            prop_assume!(thin != gone);
            let edits: Vec<Edit> = added
                .iter()
                .map(|b| Edit::Add(b.clone()))
                .chain([Edit::Remove(gone), Edit::Resize(thin, section(0.7))])
                .collect();
            let change = influence.change(&edits).expect("still one piece");
            let mut new = m.clone();
            new.sections.push(section(0.7));
            new.beams[thin].section = 2;
            let count = added.len();
            new.beams.extend(added);
            new.beams.remove(gone);
            let anew = Frame::new(new).unwrap();
            let want = anew.held(&holds).unwrap().solve(std::slice::from_ref(&load)).unwrap().remove(0);
            let after = change.after(&before);
            let got = after.motions();
            let size = want.motions.iter().flatten().fold(0.0f64, |m, x| m.max(x.abs()));
            for (g, w) in got.iter().flatten().zip(want.motions.iter().flatten()) {
                prop_assert!((g - w).abs() < 1e-8 * size, "{g} {w}");
            }
            let further = after.all_further();
            let force_size = want.end_forces.iter().flatten().fold(0.0f64, |m, x| m.max(x.abs()));
            let kept = (0..m.beams.len()).filter(|&i| i != gone);
            let forces = kept.map(|i| {
                let n = m.beams[i].nodes;
                assert!(
                    n.iter().all(|&k| after.further(k).iter().zip(&further[k]).all(|(a, b)| (a - b).abs() < 1e-15))
                );
                after.end_force(i, n.map(|k| &further[k])).unwrap()
            });
            let all: Vec<[f64; 6]> = forces.chain(after.added()).collect();
            assert_eq!(all.len(), want.end_forces.len());
            assert_eq!(after.added().len(), count);
            for (g, w) in all.iter().flatten().zip(want.end_forces.iter().flatten()) {
                prop_assert!((g - w).abs() < 1e-8 * force_size, "{g} {w}");
            }
            prop_assert!(after.end_force(gone, [&[0.0; 6]; 2]).is_none());
            let work = |r: &[[f64; 6]]| {
                load.nodal.iter().map(|(n, p)| p.iter().zip(&r[*n]).map(|(a, b)| a * b).sum::<f64>()).sum::<f64>()
            };
            let (before_work, after_work) = (work(&before.motions), work(&want.motions));
            let saved = change.work_saved(&before.motions);
            prop_assert!((saved - (before_work - after_work)).abs() < 1e-8 * before_work.abs().max(after_work.abs()));
            Ok(())
        })
        .unwrap();
}

#[test]
fn taking_away_what_holds_a_piece_is_no_change() {
    // A bar on a bar: without the lower one, the upper one is loose.
    let nodes = vec![DVec3::ZERO, DVec3::Z, DVec3::Z * 2.0];
    let beams = vec![beam([0, 1], &nodes, 0), beam([1, 2], &nodes, 0)];
    let f = Frame::new(Model { nodes, sections: vec![section(1.0)], beams, lumps: vec![] }).unwrap();
    let held = f.held(&Hold::fixed(0)).unwrap();
    let influence = held.influence(&[0, 1, 2]).unwrap();
    assert!(influence.change(&[Edit::Remove(0)]).is_none());
    // Not prepared: no answer.
    assert!(held.influence(&[0, 1]).unwrap().change(&[Edit::Remove(1)]).is_none());
}

/// A bend under its own weight that gets a thinner wall: what it gives under that changes, too.
#[test]
fn a_bend_of_another_section_under_its_own_weight() {
    use frame::Piece;
    use geometry::{Frame as Axes, Segment};
    let nodes = vec![DVec3::ZERO, DVec3::new(1.0, 1.0, 0.0), DVec3::new(2.0, 0.5, 0.7)];
    // A quarter of a circle from the first to the second node, about (1, 0, 0).
    let segment = Segment::Arc {
        centre: DVec3::X,
        axis: DVec3::NEG_Z,
        start: DVec3::NEG_X,
        radius: 1.0,
        sweep: std::f64::consts::FRAC_PI_2,
    };
    let axes = Axes::new(DVec3::ZERO, DVec3::Y, DVec3::X).unwrap();
    assert!(segment.point(std::f64::consts::FRAC_PI_2).distance(nodes[1]) < 1e-12);
    let bend = Beam { nodes: [0, 1], pieces: vec![Piece { segment, frame: axes }], section: 0 };
    let mut model =
        Model { beams: vec![bend, beam([1, 2], &nodes, 0)], nodes, sections: vec![section(1.0)], lumps: vec![] };
    let holds: Vec<Hold> = Hold::fixed(0).into_iter().chain(Hold::pinned(2)).collect();
    let load = Loads { field: DVec3::new(1.0, -2.0, -9.81), ..Loads::default() };
    let f = Frame::new(model.clone()).unwrap();
    let held = f.held(&holds).unwrap();
    let before = held.solve(std::slice::from_ref(&load)).unwrap().remove(0);
    let influence = held.influence(&[0, 1, 2]).unwrap();
    // Softer in every way, and no two ways alike; as heavy as before.
    let mut thin = section(0.8);
    (thin.area, thin.torsion) = (0.5e-4, 1e-8);
    thin.density = section(1.0).density * section(1.0).area / thin.area;
    let change = influence.change(&[Edit::Resize(0, thin)]).unwrap();
    let after = change.after(&before);
    model.sections.push(thin);
    model.beams[0].section = 1;
    let anew = Frame::new(model).unwrap();
    let want = anew.held(&holds).unwrap().solve(&[load]).unwrap().remove(0);
    let further = after.all_further();
    for (g, w) in after.motions().iter().flatten().zip(want.motions.iter().flatten()) {
        assert!((g - w).abs() < 1e-10 * 1e-3, "{g} {w}");
    }
    for i in 0..2 {
        let n = f.model().beams[i].nodes;
        let got = after.end_force(i, n.map(|k| &further[k])).unwrap();
        for (g, w) in got.iter().zip(&want.end_forces[i]) {
            assert!((g - w).abs() < 1e-9 * 10.0, "{g} {w}");
        }
    }
    // Stiffer one way and softer another has no such update.
    let mut mixed = section(0.8);
    mixed.torsion = 1e-7;
    assert!(influence.change(&[Edit::Resize(0, mixed)]).is_none());
}
