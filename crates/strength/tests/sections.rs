//! Sections as they lie in space, and their shear.

use std::sync::Arc;

use strength::sections::{box_coefficient, round_coefficient};
use strength::{Depth, strength};

#[test]
fn cowpers_values() {
    // Cowper, J. Appl. Mech. 33 (1966), ν = 0.3: thin round tube 0.531, round bar 0.886, thin square tube 0.436 (from
    // memory; also 2 (1 + ν) / (4 + 3 ν), 6 (1 + ν) / (7 + 6 ν), 20 (1 + ν) / (48 + 39 ν)).
    for (got, want) in [
        (round_coefficient(1.0, 0.3), 2.6 / 4.9),
        (round_coefficient(0.0, 0.3), 7.8 / 8.8),
        (box_coefficient(1.0, 1.0, 0.3), 26.0 / 59.7),
    ] {
        assert!((got - want).abs() < 1e-12, "{got} {want}");
    }
}

/// How far the end of a cantilever of box tube 50 x 80 x 3, 2 m long, goes under 500 N down and 500 N to the left, m.
fn ends(design: &str) -> Vec<[f64; 2]> {
    let d = design::read(design).unwrap_or_else(|p| panic!("{}", design::render(&p, "box.toml", design))).design;
    let a = strength(&shape::resolve(Arc::new(d)).expect("a shape"), Depth::Live);
    assert!(a.without.is_empty(), "{:?}", a.without);
    a.cases.iter().map(|c| [c.moved.by.z, c.moved.by.y]).collect()
}

#[test]
fn a_box_tube_stands_upright_however_it_is_drawn() {
    // Its height is upright: stiff against weight, softer sideways.
    let p = design::SectionShape::Box { width: 0.05, height: 0.08, wall: 0.003, corner: 0.006 };
    let q = p.properties();
    let give = |i: f64, shear: f64| 500.0 * 8.0 / (3.0 * 210e9 * i) + 500.0 * 2.0 / (81e9 * q.area * shear);
    let (b, h) = (0.047, 0.077);
    let (down, across) = (give(q.inertia_y, box_coefficient(b, h, 0.3)), give(q.inertia_z, box_coefficient(h, b, 0.3)));
    assert!(across > 1.5 * down);
    let file = |units: &str,
                size: &str,
                ends: [&str; 2],
                path: &str,
                loaded: &str,
                held: &str,
                force: &str,
                roll: &str| {
        format!(
            "[design]\nname = \"Box\"\nunits = \"{units}\"\n[material.m]\nyield = \"355 MPa\"\ntensile = \"470 MPa\"\n\
             [section.b]\nshape = \"box\"\n{size}\nmaterial = \"m\"\n[point]\np = {}\nq = {}\n[tube.t]\nsection = \"b\"\n\
             path = [{path}]\nmirror = true\n{roll}\n\
             [load.down]\nforces = [{{ at = \"{loaded}\", force = [0, 0, {force}] }}]\n\
             held = [{{ at = \"{held}\", turns = true }}, {{ at = \"{held}~\", turns = true }}]\n\
             [load.across]\nforces = [{{ at = \"{loaded}\", force = [0, {force}, 0] }}]\n\
             held = [{{ at = \"{held}\", turns = true }}, {{ at = \"{held}~\", turns = true }}]\n",
            ends[0], ends[1]
        )
    };
    let mm = "width = 50\nheight = 80\nwall = 3\ncorner = 6";
    let metric = ["[0, 300, 0]", "[2000, 300, 0]"];
    let inch = "width = \"50 mm\"\nheight = \"80 mm\"\nwall = \"3 mm\"\ncorner = \"6 mm\"";
    let inches = ["[0, 12, 0]", "[\"2000 mm\", 12, 0]"];
    let check = |text: &str, want: [f64; 2]| {
        let e = ends(text);
        // The modulus in shear of the file follows from its own Poisson's ratio: a little from 81 GPa.
        assert!((e[0][0] / -want[0] - 1.0).abs() < 2e-3, "{e:?} {want:?}");
        assert!((e[1][1] / -want[1] - 1.0).abs() < 2e-3, "{e:?} {want:?}");
    };
    check(&file("mm", mm, metric, "\"p\", \"q\"", "q", "p", "-500", ""), [down, across]);
    // Drawn the other way, and on the other side.
    check(&file("mm", mm, metric, "\"q\", \"p\"", "q", "p", "-500", ""), [down, across]);
    check(&file("mm", mm, metric, "\"p\", \"q\"", "q~", "p", "-500", ""), [down, across]);
    // On its side.
    check(&file("mm", mm, metric, "\"p\", \"q\"", "q", "p", "-500", "roll = 90"), [across, down]);
    check(&file("in", inch, inches, "\"p\", \"q\"", "q", "p", "\"-500 N\"", ""), [down, across]);
}
