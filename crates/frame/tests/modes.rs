//! Vibration and buckling against closed forms and published benchmarks.

use std::f64::consts::PI;

use frame::{Beam, Carrier, Hold, Loads, Lump, Model, ModesError, Section, buckling, vibration};
use geometry::{DMat3, DVec3};

#[track_caller]
fn near(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs(), "{got} is not {want}, but by {}", got / want - 1.0);
}

fn square(side: f64, youngs: f64, density: f64) -> Section {
    Section {
        youngs,
        shear: youngs / 2.6,
        density,
        area: side * side,
        shear_areas: [f64::INFINITY; 2],
        second: [side.powi(4) / 12.0; 2],
        // Saint-Venant for a square.
        torsion: 0.140_577 * side.powi(4),
    }
}

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

fn lines(nodes: &[DVec3], pairs: &[[usize; 2]], towards: DVec3, section: Section) -> Model {
    Model {
        nodes: nodes.to_vec(),
        sections: vec![section],
        beams: pairs.iter().map(|&p| Beam::straight(p, p.map(|n| nodes[n]), 0, towards).unwrap()).collect(),
        lumps: Vec::new(),
    }
}

fn hold(node: usize, along: DVec3, turn: bool) -> Hold {
    Hold { node, along, turn, by: 0.0 }
}

/// Held to the plane of x and z.
fn in_plane(nodes: usize) -> Vec<Hold> {
    (0..nodes).flat_map(|n| [hold(n, DVec3::Y, false), hold(n, DVec3::X, true), hold(n, DVec3::Z, true)]).collect()
}

#[test]
fn euler_columns() {
    let m = |parts: usize| lines(&[DVec3::ZERO, DVec3::Z], &[[0, 1]], DVec3::X, tube()).refined(|_, _| parts).model;
    let push = Loads { nodal: vec![(1, [0.0, 0.0, -1e3, 0.0, 0.0, 0.0])], ..Loads::default() };
    let ei = 210e9 * 43264e-12;
    let foot = Hold::fixed(0);
    // Free at the top: π² EI / (2 L)², twice, as it may go either way.
    let mut errors = Vec::new();
    for parts in [2, 4] {
        let b = buckling(m(parts), &foot, &push, 2).unwrap();
        near(b.modes[0].value, b.modes[1].value, 1e-9);
        errors.push(b.modes[0].value * 1e3 / (PI * PI * ei / 4.0) - 1.0);
        near(b.response.reactions[0].1[2], 1e3, 1e-12);
    }
    // Cubic parts of length l are too stiff by (k l)⁴ / 720 (series of the stability functions).
    for (e, parts) in errors.iter().zip([2.0, 4.0]) {
        near(*e, (PI / 2.0 / parts).powi(4) / 720.0, 0.05);
    }
    // Pinned at both ends (held against turning about its own line): 89.67 kN, for E = 210 GPa.
    let pinned =
        [Hold::pinned(0).to_vec(), vec![hold(0, DVec3::Z, true), hold(1, DVec3::X, false), hold(1, DVec3::Y, false)]]
            .concat();
    let b = buckling(m(8), &pinned, &push, 1).unwrap();
    near(b.modes[0].value, 89.67, 1e-4);
    near(b.modes[0].value * 1e3 / (PI * PI * ei) - 1.0, (PI / 8.0).powi(4) / 720.0, 0.05);
    // Fixed at both ends.
    let fixed =
        [foot.to_vec(), (0..2).flat_map(|i| [hold(1, DVec3::AXES[i], false), hold(1, DVec3::AXES[i], true)]).collect()]
            .concat();
    let b = buckling(m(16), &fixed, &push, 1).unwrap();
    near(b.modes[0].value * 1e3 / (4.0 * PI * PI * ei) - 1.0, (PI / 8.0).powi(4) / 720.0, 0.05);
    // Pulled: nothing buckles.
    let pull = Loads { nodal: vec![(1, [0.0, 0.0, 1e3, 0.0, 0.0, 0.0])], ..Loads::default() };
    assert!(buckling(m(4), &foot, &pull, 2).unwrap().modes.is_empty());
}

#[test]
fn shear_lowers_the_buckling_load_as_engesser_says() {
    // P = P_E / (1 + P_E / GA_s), Engesser 1889 (Timoshenko and Gere, 2.17; from memory).
    let s = Section { shear_areas: [20e-6; 2], ..tube() };
    let euler = PI * PI * 210e9 * 43264e-12 / 4.0 / 0.25;
    let want = euler / (1.0 + euler / (81e9 * 20e-6));
    let push = Loads { nodal: vec![(1, [0.0, 0.0, -1e3, 0.0, 0.0, 0.0])], ..Loads::default() };
    let error = |parts: usize| {
        let m = lines(&[DVec3::ZERO, DVec3::Z * 0.5], &[[0, 1]], DVec3::X, s).refined(|_, _| parts).model;
        buckling(m, &Hold::fixed(0), &push, 1).unwrap().modes[0].value * 1e3 / want - 1.0
    };
    let (coarse, fine) = (error(8), error(32));
    assert!(fine > 0.0 && fine < 2e-5, "{fine}");
    // Each part shears evenly: the error falls with the square of its length.
    near((coarse / fine).log(4.0), 2.0, 0.02);
}

#[test]
fn portal_sways() {
    // Equal EI, h = L: pinned feet 1.8213 EI/h², fixed feet 7.379 EI/h² (roots of kh tan kh = 6 and kh cot kh = -6;
    // Timoshenko and Gere, chapter 2), stretching left out.
    let s = Section { area: 10.0, ..tube() };
    let p = |x: f64, z: f64| DVec3::new(x, 0.0, z);
    let nodes = [p(0.0, 0.0), p(0.0, 1.0), p(1.0, 1.0), p(1.0, 0.0)];
    let m = lines(&nodes, &[[0, 1], [1, 2], [2, 3]], DVec3::Y, s).refined(|_, _| 8).model;
    let push = Loads { nodal: [1, 2].map(|n| (n, [0.0, 0.0, -1.0, 0.0, 0.0, 0.0])).to_vec(), ..Loads::default() };
    let ei = 210e9 * 43264e-12;
    let mut holds = in_plane(m.nodes.len());
    for n in [0, 3] {
        holds.extend([DVec3::X, DVec3::Z].map(|d| hold(n, d, false)));
    }
    near(buckling(m.clone(), &holds, &push, 1).unwrap().modes[0].value / ei, 1.8213, 1e-4);
    for n in [0, 3] {
        holds.push(hold(n, DVec3::Y, true));
    }
    near(buckling(m, &holds, &push, 1).unwrap().modes[0].value / ei, 7.379, 1e-4);
}

#[test]
fn pin_ended_double_cross() {
    // NAFEMS FV2 (R0015): eight arms of 5 m, 0.125 square, E 200 GPa, 8000 kg/m³, ends pinned, in the plane:
    // 11.336; 17.709 twice and five times; 45.345; 57.390 seven times. As printed in a program's open verification manual.
    let mut nodes = vec![DVec3::ZERO];
    nodes.extend((0..8).map(|k| {
        let (s, c) = (PI / 4.0 * f64::from(k)).sin_cos();
        DVec3::new(5.0 * c, 0.0, 5.0 * s)
    }));
    let pairs: Vec<[usize; 2]> = (1..9).map(|k| [0, k]).collect();
    // The printed values are of thin beams that do not stretch and whose sections' turning has no inertia: a millionfold area
    // of a millionth of the density.
    let real = square(0.125, 200e9, 8000.0);
    let section = Section { area: real.area * 1e6, density: real.density * 1e-6, ..real };
    let of = |parts: usize| {
        let m = lines(&nodes, &pairs, DVec3::Y, section).refined(|_, _| parts).model;
        let mut holds = in_plane(m.nodes.len());
        for n in 1..9 {
            holds.extend([DVec3::X, DVec3::Z].map(|d| hold(n, d, false)));
        }
        vibration(m, &holds, 16).unwrap().iter().map(|m| m.value).collect::<Vec<f64>>()
    };
    let hz = of(16);
    let want = [(11.336, 1), (17.709, 7), (45.345, 1), (57.390, 7)];
    let all: Vec<f64> = want.iter().flat_map(|&(f, n)| std::iter::repeat_n(f, n)).collect();
    assert_eq!(hz.len(), all.len());
    for (g, w) in hz.iter().zip(&all) {
        near(*g, *w, 1e-4);
    }
    // Stretching parts the seven into two, that move the middle, and five, that do not.
    let m = lines(&nodes, &pairs, DVec3::Y, real).refined(|_, _| 8).model;
    let mut holds = in_plane(m.nodes.len());
    for n in 1..9 {
        holds.extend([DVec3::X, DVec3::Z].map(|d| hold(n, d, false)));
    }
    let hz = vibration(m, &holds, 8).unwrap();
    near(hz[1].value, hz[2].value, 1e-9);
    assert!(hz[3].value > hz[2].value * 1.001);
    near(hz[3].value, hz[7].value, 1e-9);
}

#[test]
fn cantilever_with_masses_to_the_side() {
    // NAFEMS FV4: masses of 10000 and 1000 kg, 2 m to the sides of the end of a rod of 10 m, 0.5 m thick.
    let d = 0.5f64;
    let section = Section {
        youngs: 200e9,
        shear: 200e9 / 2.6,
        density: 8000.0,
        area: PI * d * d / 4.0,
        shear_areas: [f64::INFINITY; 2],
        second: [PI * d.powi(4) / 64.0; 2],
        torsion: PI * d.powi(4) / 32.0,
    };
    let mut m = lines(&[DVec3::ZERO, DVec3::X * 10.0], &[[0, 1]], DVec3::Z, section).refined(|_, _| 10).model;
    for (y, mass) in [(2.0, 10000.0), (-2.0, 1000.0)] {
        m.lumps.push(Lump { at: DVec3::new(10.0, y, 0.0), mass, inertia: DMat3::ZERO, nodes: vec![Carrier::at(1)] });
    }
    let hz = vibration(m, &Hold::fixed(0), 6).unwrap();
    for (got, want) in hz.iter().zip([1.723, 1.727, 7.413, 9.972, 18.155, 26.957]) {
        near(got.value, want, 4e-3);
    }
}

#[test]
fn right_angled_frame() {
    // Legs of 240, section 30 x 3, E 71240, ν 0.31, 5e-9 (N, mm, t): 11.2732 and 30.5269, in an open test of a beam library
    // (the frame is Argyris's).
    let (h, b) = (30.0f64, 3.0f64);
    let torsion = h * b.powi(3) * (1.0 / 3.0 - 0.21 * b / h * (1.0 - (b / h).powi(4) / 12.0));
    let section = Section {
        youngs: 71240.0,
        shear: 71240.0 / 2.62,
        density: 5e-9,
        area: b * h,
        shear_areas: [f64::INFINITY; 2],
        second: [h * b.powi(3) / 12.0, b * h.powi(3) / 12.0],
        torsion,
    };
    let nodes = [DVec3::ZERO, DVec3::X * 240.0, DVec3::new(240.0, 240.0, 0.0)];
    let mut m = lines(&nodes, &[[0, 1], [1, 2]], DVec3::Z, section);
    // Wide in its own plane: u lies along the wide side, and ∫v² about u is the small one.
    m.beams = vec![
        Beam::straight([0, 1], [nodes[0], nodes[1]], 0, DVec3::Y).unwrap(),
        Beam::straight([1, 2], [nodes[1], nodes[2]], 0, DVec3::X).unwrap(),
    ];
    let hz = vibration(m.refined(|_, _| 16).model, &Hold::fixed(0), 2).unwrap();
    // That library's beams are in part thicker in theory; an independent frame program gave 11.28 and 30.71.
    near(hz[0].value, 11.2732, 2e-3);
    near(hz[1].value, 30.5269, 7e-3);
    near(hz[1].value, 30.71, 5e-4);
}

#[test]
fn a_free_bar_floats_and_rings() {
    // Free at both ends: six rigid motions, then 22.3733 / (2π L²) √(EI/ρA), twice.
    let m = lines(&[DVec3::ZERO, DVec3::Z], &[[0, 1]], DVec3::X, tube()).refined(|_, _| 16).model;
    let hz = vibration(m, &[], 8).unwrap();
    assert!(hz[..6].iter().all(|m| m.value < 1e-2), "{:?}", hz.iter().map(|m| m.value).collect::<Vec<_>>());
    let want = 22.373_285 / (2.0 * PI) * (210e9 * 43264e-12 / (7850.0 * 270.53e-6_f64)).sqrt();
    // The turning of sections lowers it a little.
    near(hz[6].value, want, 1.5e-2);
    near(hz[6].value, hz[7].value, 1e-9);
}

#[test]
fn a_mass_between_many_nodes_swings_as_one() {
    // A heavy mass between two springy posts: two posts' stiffness against its mass; sideways 12 EI / L³ each.
    let p = |x: f64, z: f64| DVec3::new(x, 0.0, z);
    let nodes = [p(0.0, 0.0), p(0.0, 1.0), p(0.8, 0.0), p(0.8, 1.0)];
    let s = Section { density: 1e-6, area: 10.0, ..tube() };
    let mut m = lines(&nodes, &[[0, 1], [2, 3]], DVec3::Y, s);
    m.lumps.push(Lump {
        at: p(0.4, 1.0),
        mass: 500.0,
        inertia: DMat3::ZERO,
        nodes: vec![Carrier::at(1), Carrier::at(3)],
    });
    let mut holds = in_plane(4);
    for n in [0, 2] {
        holds.extend([hold(n, DVec3::X, false), hold(n, DVec3::Z, false), hold(n, DVec3::Y, true)]);
    }
    for n in [1, 3] {
        holds.push(hold(n, DVec3::Y, true));
    }
    let hz = vibration(m, &holds, 1).unwrap();
    let k: f64 = 2.0 * 12.0 * 210e9 * 43264e-12;
    near(hz[0].value, (k / 500.0).sqrt() / (2.0 * PI), 1e-6);
}

#[test]
fn loose_frames_do_not_buckle_quietly() {
    let m = lines(&[DVec3::ZERO, DVec3::Z], &[[0, 1]], DVec3::X, tube());
    let push = Loads { nodal: vec![(1, [0.0, 0.0, -1.0, 0.0, 0.0, 0.0])], ..Loads::default() };
    assert!(matches!(buckling(m, &[], &push, 1), Err(ModesError::Held(_))));
}
