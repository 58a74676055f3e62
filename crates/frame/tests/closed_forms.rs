//! Statics against handbook formulas and published worked examples.

use std::f64::consts::PI;

use frame::{Beam, Carrier, Frame, HeldError, Hold, HoldError, Loads, Lump, Model, Piece, Section, Way};
use geometry::{Chain, DMat3, DVec3};

/// 38.1 x 2.413 mm, steel, without shear deformation.
fn tube() -> Section {
    Section {
        youngs: 210e9,
        shear: 81e9,
        density: 7850.0,
        area: 270.53e-6,
        shear_areas: [f64::INFINITY; 2],
        second: [43264e-12; 2],
        torsion: 86528e-12,
    }
}

/// A section that bends and twists but does not stretch.
fn thin() -> Section {
    Section { area: 1e6, ..tube() }
}

fn straight(nodes: &[DVec3], pairs: &[[usize; 2]], towards: DVec3, section: Section) -> Model {
    Model {
        nodes: nodes.to_vec(),
        sections: vec![section],
        beams: pairs
            .iter()
            .map(|&p| Beam::straight(p, p.map(|n| nodes[n]), 0, towards).expect("a direction"))
            .collect(),
        lumps: Vec::new(),
    }
}

/// A beam along a bent path between two nodes.
fn bent(corners: &[DVec3], radii: &[f64], section: Section) -> Model {
    let chain = Chain::new(corners, radii).expect("a chain");
    let frames = chain.frames(DVec3::new(0.3, 0.5, 0.8)).expect("directions");
    let pieces = chain.segments.iter().zip(&frames).map(|(&segment, &frame)| Piece { segment, frame }).collect();
    let nodes = vec![corners[0], corners[corners.len() - 1]];
    Model { nodes, sections: vec![section], beams: vec![Beam { nodes: [0, 1], pieces, section: 0 }], lumps: vec![] }
}

fn at(node: usize, force: DVec3, moment: DVec3) -> Loads {
    Loads { nodal: vec![(node, frame::six::six(force, moment))], ..Loads::default() }
}

#[track_caller]
fn near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "{got} is not {want}");
}

#[test]
fn cantilever_gives_by_bending_shear_and_twist() {
    let s = Section { shear_areas: [130e-6, 140e-6], second: [40e-9, 60e-9], ..tube() };
    let m = straight(&[DVec3::ZERO, DVec3::new(0.0, 1.2, 0.0)], &[[0, 1]], DVec3::Z, s);
    let f = Frame::new(m).unwrap();
    let held = f.held(&Hold::fixed(0)).unwrap();
    let a = &held
        .solve(&[
            at(1, DVec3::Z * 100.0, DVec3::Y * 30.0),
            at(1, DVec3::X * 100.0, DVec3::ZERO),
            at(1, DVec3::Y * 1e4, DVec3::ZERO),
        ])
        .unwrap();
    // u lies along z: a load along z bends about x, which is v or its opposite.
    near(a[0].motions[1][2], 100.0 * 1.2f64.powi(3) / (3.0 * 210e9 * 60e-9) + 100.0 * 1.2 / (81e9 * 130e-6), 1e-12);
    near(a[0].motions[1][4], 30.0 * 1.2 / (81e9 * 86528e-12), 1e-12);
    near(a[1].motions[1][0], 100.0 * 1.2f64.powi(3) / (3.0 * 210e9 * 40e-9) + 100.0 * 1.2 / (81e9 * 140e-6), 1e-12);
    near(a[2].motions[1][1], 1e4 * 1.2 / (210e9 * 270.53e-6), 1e-12);
    for r in a {
        assert!(r.residual < 1e-14, "{}", r.residual);
    }
}

#[test]
fn even_load_on_a_held_beam() {
    let (l, q) = (2.0, 300.0);
    let nodes = [DVec3::ZERO, DVec3::X * (l / 2.0), DVec3::X * l];
    let f = Frame::new(straight(&nodes, &[[0, 1], [1, 2]], DVec3::Z, tube())).unwrap();
    let holds: Vec<Hold> = [0, 2].into_iter().flat_map(Hold::fixed).collect();
    let held = f.held(&holds).unwrap();
    let loads = Loads { spread: vec![(0, DVec3::NEG_Z * q), (1, DVec3::NEG_Z * q)], ..Loads::default() };
    let r = &held.solve(&[loads]).unwrap()[0];
    near(-r.motions[1][2], q * l.powi(4) / (384.0 * 210e9 * 43264e-12), 1e-12);
    let (node, foot) = r.reactions[0];
    assert_eq!(node, 0);
    near(foot[2], q * l / 2.0, 1e-12);
    near(-foot[4], q * l * l / 12.0, 1e-12);
    // In the middle M = q L² / 24, seen from either beam.
    let mid = f.passed(r, 0, 0, l / 2.0);
    near(mid.moment.length(), q * l * l / 24.0, 1e-11);
    // Its own weight does the same.
    let own = 7850.0 * 270.53e-6;
    let weight = Loads { field: DVec3::NEG_Z * (q / own), ..Loads::default() };
    let w = &held.solve(&[weight]).unwrap()[0];
    near(w.motions[1][2], r.motions[1][2], 1e-12);
}

#[test]
fn quarter_of_a_ring() {
    // Castigliano, bending and twist: in its plane P R³ π/4 / EI; out of it P R³ (π/4 / EI + (3π/4 - 2) / GJ).
    // (Formulas of any handbook; also Timoshenko, Strength of Materials, part I; from memory.)
    let r = 0.8;
    let m = bent(&[DVec3::ZERO, DVec3::X * r, DVec3::new(r, r, 0.0)], &[r], thin());
    let f = Frame::new(m).unwrap();
    let held = f.held(&Hold::fixed(0)).unwrap();
    let a = held
        .solve(&[
            at(1, DVec3::Y * 50.0, DVec3::ZERO),
            at(1, DVec3::Z * 50.0, DVec3::ZERO),
            at(1, DVec3::X * 50.0, DVec3::ZERO),
        ])
        .unwrap();
    let k = 50.0 * r.powi(3);
    let (ei, gj) = (210e9 * 43264e-12, 81e9 * 86528e-12);
    // Fixed at (0, 0) running along x, its end at (r, r) running along y. P along x: lever R cos φ.
    near(a[2].motions[1][0], k * PI / 4.0 / ei, 1e-9);
    near(a[1].motions[1][2], k * (PI / 4.0 / ei + (0.75 * PI - 2.0) / gj), 1e-9);
    // P along y: lever R (1 - sin φ).
    near(a[0].motions[1][1], k * (0.75 * PI - 2.0) / ei, 1e-9);
}

#[test]
fn bent_beam_under_its_own_weight_is_the_limit_of_short_straight_ones() {
    let corners = [DVec3::ZERO, DVec3::new(0.2, 0.0, 0.7), DVec3::new(0.9, 0.3, 0.8), DVec3::new(1.2, 0.8, 0.1)];
    let radii = [0.18, 0.22];
    let exact = bent(&corners, &radii, tube());
    let chain = Chain::new(&corners, &radii).unwrap();
    let chords = |n: usize| {
        let mut nodes = vec![corners[0]];
        for s in &chain.segments {
            let parts = if matches!(s, geometry::Segment::Leg { .. }) { 1 } else { n };
            nodes.extend((1..=parts).map(|k| s.point(s.length() * k as f64 / parts as f64)));
        }
        let pairs: Vec<[usize; 2]> = (1..nodes.len()).map(|i| [i - 1, i]).collect();
        straight(&nodes, &pairs, DVec3::new(0.1, 0.9, 0.2), tube())
    };
    let load = |end: usize| Loads {
        nodal: vec![(end, [30.0, -20.0, 50.0, 4.0, 5.0, -6.0])],
        field: DVec3::new(1.0, 2.0, -9.81),
        ..Loads::default()
    };
    let solve = |m: Model| {
        let end = if m.beams.len() == 1 { 1 } else { m.nodes.len() - 1 };
        let f = Frame::new(m).unwrap();
        let held = f.held(&Hold::fixed(0)).unwrap();
        held.solve(&[load(end)]).unwrap()[0].motions[end]
    };
    let want = solve(exact);
    let error = |n: usize| {
        let got = solve(chords(n));
        (0..6).map(|i| (got[i] - want[i]).abs() / want[i].abs()).fold(0.0, f64::max)
    };
    let (coarse, fine) = (error(16), error(64));
    assert!(fine < 1e-4, "{fine}");
    let order = (coarse / fine).log(4.0);
    assert!((order - 2.0).abs() < 0.02, "chords approach it with the square of their length: {order}");
}

#[test]
fn worked_space_frame() {
    // Logan, A First Course in the Finite Element Method, 4th ed., example 5.8 (kip, inch); six digits re-solved from the
    // printed inputs by an independent frame program.
    let nodes = [DVec3::ZERO, DVec3::NEG_X * 100.0, DVec3::NEG_Z * 100.0, DVec3::NEG_Y * 100.0];
    let s = Section {
        youngs: 30000.0,
        shear: 10000.0,
        density: 0.0,
        area: 10.0,
        shear_areas: [f64::INFINITY; 2],
        second: [100.0; 2],
        torsion: 50.0,
    };
    let f = Frame::new(straight(&nodes, &[[1, 0], [2, 0], [3, 0]], DVec3::new(1.0, 1.0, 1.0), s)).unwrap();
    let holds: Vec<Hold> = (1..4).flat_map(Hold::fixed).collect();
    let held = f.held(&holds).unwrap();
    let r = &held.solve(&[at(0, DVec3::Y * -50.0, DVec3::X * -1000.0)]).unwrap()[0];
    // Each to half of its last printed digit.
    let want =
        [(7.098e-5, 5e-9), (-0.01400, 5e-6), (-2.352e-3, 5e-7), (-3.996e-3, 5e-7), (1.780e-5, 5e-9), (-1.033e-4, 5e-8)];
    for (g, (w, half)) in r.motions[0].iter().zip(want) {
        assert!((g - w).abs() <= half, "{g} is not {w}");
    }
    assert!(r.residual < 1e-13);
}

#[test]
fn worked_gabled_frame() {
    // Logan, problem 5.30 (kip, inch), loads of 30 on both tops: feet carry 11.6877, 30
    // and 1810.0745, as printed in the tests of an open frame library and re-solved.
    let p = |x: f64, z: f64| DVec3::new(x, 0.0, z);
    let nodes = [p(0.0, 0.0), p(0.0, 360.0), p(180.0, 480.0), p(420.0, 480.0), p(600.0, 360.0), p(600.0, 0.0)];
    let s = Section {
        youngs: 30000.0,
        shear: 1e4,
        density: 0.0,
        area: 12.0,
        shear_areas: [f64::INFINITY; 2],
        second: [200.0; 2],
        torsion: 100.0,
    };
    let pairs = [[0, 1], [1, 2], [2, 3], [3, 4], [4, 5]];
    let f = Frame::new(straight(&nodes, &pairs, DVec3::Y, s)).unwrap();
    let holds: Vec<Hold> = [0, 5].into_iter().flat_map(Hold::fixed).collect();
    let held = f.held(&holds).unwrap();
    let tops = Loads {
        nodal: vec![(2, [0.0, 0.0, -30.0, 0.0, 0.0, 0.0]), (3, [0.0, 0.0, -30.0, 0.0, 0.0, 0.0])],
        ..Loads::default()
    };
    let r = &held.solve(&[tops]).unwrap()[0];
    let [left, right] = [r.reactions[0].1, r.reactions[1].1];
    near(left[0], 11.6877, 1e-5);
    near(left[2], 30.0, 1e-12);
    near(left[4].abs(), 1810.0745, 1e-6);
    near(right[0], -11.6877, 1e-5);
    near(right[4], -left[4], 1e-10);
}

#[test]
fn rigid_links_carry_what_statics_says() {
    // The same cantilever, its root node 0.2 m to the side and its tip node 0.1 m above: one frame, other nodes.
    let plain = straight(&[DVec3::ZERO, DVec3::X], &[[0, 1]], DVec3::Z, tube());
    let mut linked = plain.clone();
    linked.nodes = vec![DVec3::new(0.0, 0.2, 0.0), DVec3::new(1.0, 0.0, 0.1)];
    let (a, b) = (Frame::new(plain).unwrap(), Frame::new(linked).unwrap());
    let (ha, hb) = (a.held(&Hold::fixed(0)).unwrap(), b.held(&Hold::fixed(0)).unwrap());
    let force = DVec3::new(40.0, -70.0, 90.0);
    let r = DVec3::new(0.0, 0.0, 0.1);
    let ra = &ha.solve(&[at(1, force, r.cross(force))]).unwrap()[0];
    let rb = &hb.solve(&[at(1, force, DVec3::ZERO)]).unwrap()[0];
    let turn = DVec3::new(ra.motions[1][3], ra.motions[1][4], ra.motions[1][5]);
    let want = DVec3::new(ra.motions[1][0], ra.motions[1][1], ra.motions[1][2]) + turn.cross(r);
    let got = DVec3::new(rb.motions[1][0], rb.motions[1][1], rb.motions[1][2]);
    assert!(got.distance(want) < 1e-15 + 1e-11 * want.length(), "{got} {want}");
}

#[test]
fn a_mass_between_four_places_presses_as_levers_say() {
    // A 100 kg mass nearer to one side of a table of four legs: each leg by its levers, no leg bent by the mass itself.
    let tops = [[0.0, 0.0], [1.0, 0.0], [1.0, 0.6], [0.0, 0.6]].map(|[x, y]| DVec3::new(x, y, 0.5));
    let mut nodes = tops.to_vec();
    nodes.extend(tops.map(|t| t - DVec3::Z * 0.5));
    let mut m = straight(&nodes, &[[4, 0], [5, 1], [6, 2], [7, 3]], DVec3::X, tube());
    m.lumps.push(Lump {
        at: DVec3::new(0.25, 0.3, 0.9),
        mass: 100.0,
        inertia: DMat3::ZERO,
        nodes: (0..4).map(Carrier::at).collect(),
    });
    let f = Frame::new(m).unwrap();
    let holds: Vec<Hold> = (4..8).flat_map(Hold::fixed).collect();
    let held = f.held(&holds).unwrap();
    let r = &held.solve(&[Loads { field: DVec3::NEG_Z * 10.0, ..Loads::default() }]).unwrap()[0];
    let own = 7850.0 * 270.53e-6 * 0.5 * 10.0;
    for (node, share) in [(4, 0.375), (5, 0.125), (6, 0.125), (7, 0.375)] {
        let foot = r.reactions.iter().find(|x| x.0 == node).unwrap().1;
        near(foot[2], 1000.0 * share + own, 1e-12);
    }
    // Sideways: the resultant acts 0.4 above the tops.
    let side = &held.solve(&[Loads { field: DVec3::X * 10.0, ..Loads::default() }]).unwrap()[0];
    let moment: f64 = side.reactions.iter().map(|(n, f)| f[4] + nodes[*n].z * f[0] - nodes[*n].x * f[2]).sum();
    near(moment, -(1000.0 * 0.9 + 4.0 * own * 0.25), 1e-11);
}

#[test]
fn what_is_not_held_is_named() {
    let nodes = [DVec3::ZERO, DVec3::X, DVec3::new(0.0, 3.0, 0.0), DVec3::new(1.0, 3.0, 0.0)];
    let f = Frame::new(straight(&nodes, &[[0, 1], [2, 3]], DVec3::Z, tube())).unwrap();
    let loose = |holds: &[Hold]| match f.held(holds) {
        Err(HeldError::Hold(HoldError::Loose(l))) => l,
        other => panic!("{other:?}"),
    };
    // Nothing held: both pieces, six ways each.
    let all = loose(&[]);
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].ways.len(), 6);
    // The first is fixed; the second is pinned at both ends: it turns about its own line.
    let holds: Vec<Hold> = Hold::fixed(0).into_iter().chain([2, 3].into_iter().flat_map(Hold::pinned)).collect();
    let one = loose(&holds);
    assert_eq!(one.len(), 1);
    assert_eq!(one[0].nodes, [2, 3]);
    let [Way::Turn { through, axis, advance }] = one[0].ways[..] else { panic!("{one:?}") };
    assert!(axis.cross(DVec3::X).length() < 1e-9 && advance.abs() < 1e-9);
    assert!((through.y - 3.0).abs() < 1e-9 && through.z.abs() < 1e-9, "{through}");
    // Held sideways and up at both ends and against turning: it slides along.
    let mut holds: Vec<Hold> = Hold::fixed(0).to_vec();
    for n in [2, 3] {
        holds.extend([DVec3::Y, DVec3::Z].map(|along| Hold { node: n, along, turn: false, by: 0.0 }));
    }
    holds.push(Hold { node: 2, along: DVec3::X, turn: true, by: 0.0 });
    let one = loose(&holds);
    let [Way::Slide(d)] = one[0].ways[..] else { panic!("{one:?}") };
    assert!(d.cross(DVec3::X).length() < 1e-9);
}

#[test]
fn slanting_supports_and_moved_ones() {
    // A bar held at its end on a slope: the reaction is square to the slope.
    let nodes = [DVec3::ZERO, DVec3::X];
    let f = Frame::new(straight(&nodes, &[[0, 1]], DVec3::Z, tube())).unwrap();
    let slope = DVec3::new(0.6, 0.0, 0.8);
    let mut holds = Hold::fixed(0).to_vec();
    holds.push(Hold { node: 1, along: slope * 7.0, turn: false, by: 0.0 });
    let held = f.held(&holds).unwrap();
    let r = &held.solve(&[at(1, DVec3::new(10.0, 5.0, -100.0), DVec3::ZERO)]).unwrap()[0];
    let push = r.reactions[1].1;
    let force = DVec3::new(push[0], push[1], push[2]);
    assert!(force.cross(slope).length() < 1e-9 * force.length(), "{force}");
    let u = DVec3::new(r.motions[1][0], r.motions[1][1], r.motions[1][2]);
    assert!(u.dot(slope).abs() < 1e-18);
    // Lifted by 3 mm at its end: M = 3 EI u / L² at the root.
    let mut holds = Hold::fixed(0).to_vec();
    holds.push(Hold { node: 1, along: DVec3::Z, turn: false, by: 0.003 });
    let held = f.held(&holds).unwrap();
    let r = &held.solve(&[Loads::default()]).unwrap()[0];
    near(r.motions[1][2], 0.003, 1e-14);
    near(r.reactions[0].1[4].abs(), 3.0 * 210e9 * 43264e-12 * 0.003, 1e-11);
    near(r.reactions[1].1[2], 3.0 * 210e9 * 43264e-12 * 0.003, 1e-11);
    // The same freedom twice, alike and not.
    holds.push(Hold { node: 1, along: DVec3::NEG_Z, turn: false, by: -0.003 });
    assert!(f.held(&holds).is_ok());
    holds.push(Hold { node: 1, along: DVec3::Z, turn: false, by: 0.001 });
    assert!(matches!(f.held(&holds), Err(HeldError::Hold(HoldError::TwoAmounts(8)))));
}
