//! Mass properties against closed forms.

mod common;

use common::shape;
use geometry::DVec3;
use shape::mass::{frame, laden};
use std::f64::consts::{FRAC_PI_2, PI};

const STEEL: f64 = 7850.0;

fn near(a: f64, b: f64, part: f64) {
    assert!((a - b).abs() <= part * b.abs().max(1e-9), "{a} is not {b}");
}

/// Area and second moment of the test tube.
fn tube() -> (f64, f64) {
    let (d, b): (f64, f64) = (0.0381, 0.0333);
    (PI / 4.0 * (d * d - b * b), PI / 64.0 * (d.powi(4) - b.powi(4)))
}

#[test]
fn a_bar_is_a_hollow_cylinder() {
    let s = shape("[point]\na = [0, 0, 0]\nb = [2000, 0, 0]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\"]\n");
    let m = frame(&s);
    let (a, i) = tube();
    near(m.mass, STEEL * a * 2.0, 1e-12);
    assert!((m.centre - DVec3::X).length() < 1e-12);
    // m (ro² + ri²) / 2 about the axis; m (3 (ro² + ri²) + L²) / 12 across: any handbook.
    let sq: f64 = 0.01905f64.powi(2) + 0.01665f64.powi(2);
    near(m.inertia.x_axis.x, m.mass * sq / 2.0, 1e-9);
    near(m.inertia.y_axis.y, m.mass * (3.0 * sq + 4.0) / 12.0, 1e-9);
    near(m.inertia.z_axis.z, m.inertia.y_axis.y, 1e-12);
    near(2.0 * i * STEEL * 2.0, m.inertia.x_axis.x, 1e-9);
}

#[test]
fn a_box_bar_stands_upright_and_turns_with_roll() {
    let body = |roll: i32| {
        format!(
            "[point]\na = [0, 0, 0]\nb = [1000, 0, 0]\n[tube.x]\nsection = \"b\"\npath = [\"a\", \"b\"]\nroll = {roll}\n"
        )
    };
    let (up, flat) = (frame(&shape(&body(0))), frame(&shape(&body(90))));
    // 80 high, 50 wide: about y the section adds I over the height, about z over the width. Upright adds more about y.
    assert!(up.inertia.y_axis.y > up.inertia.z_axis.z);
    near(flat.inertia.y_axis.y, up.inertia.z_axis.z, 1e-9);
    near(flat.inertia.z_axis.z, up.inertia.y_axis.y, 1e-9);
}

#[test]
fn a_quarter_bend_has_its_centroid_where_pappus_and_the_arc_put_it() {
    // Legs of exactly the setback leave a quarter circle of centreline radius 200.
    let s = shape(
        "[point]\na = [0, 0, 0]\nb = [200, 0, 0]\nc = [200, 200, 0]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\", \"c\"]\nbend_radius = 200\n",
    );
    let m = frame(&s);
    let (a, i) = tube();
    near(m.mass, STEEL * a * 0.2 * FRAC_PI_2, 1e-12);
    // The centroid of a bent bar lies at (R² + I/A)/R from the centre along each slice: R̄ sin(θ/2)/(θ/2).
    let r = 0.2 + i / (a * 0.2);
    let out = r * (PI / 4.0).sin() / (PI / 4.0);
    let centre = DVec3::new(0.0, 0.2, 0.0) + DVec3::new(1.0, -1.0, 0.0).normalize() * out;
    assert!((m.centre - centre).length() < 2e-5 * 0.2, "{:?} is not {centre:?}", m.centre);
}

#[test]
fn mirrored_tubes_balance_and_temporary_ones_weigh_nothing() {
    let s = shape(
        r#"
[point]
a = [0, 300, 0]
b = [1000, 200, 400]
[tube.side]
section = "t"
path = ["a", "b"]
mirror = true
[tube.hold]
section = "t"
path = ["a", "a~"]
temporary = true
"#,
    );
    let m = frame(&s);
    assert_eq!(s.tubes.len(), 3);
    assert!(m.centre.y.abs() < 1e-12);
    let length = (1.0f64 + 0.01 + 0.16).sqrt();
    near(m.mass, 2.0 * STEEL * tube().0 * length, 1e-12);
    assert!(m.inertia.x_axis.y.abs() < 1e-12 && m.inertia.y_axis.z.abs() < 1e-12);
}

#[test]
fn plates_and_masses_count() {
    let s = shape(
        r#"
[point]
a = [0, 0, 0]
[plate.foot]
thickness = 4
material = "S355J2H"
outline = { origin = "a", x = [1, 0, 0], y = [0, 1, 0], corners = [[0, 0], [100, 0], [100, 200], [0, 200]] }
holes = [{ at = [50, 100], d = 20 }]
[mass.engine]
at = [500, 0, 200]
kg = 60
size = [400, 300, 500]
"#,
    );
    let plate = STEEL * 0.004 * (0.1 * 0.2 - PI * 0.01 * 0.01);
    near(frame(&s).mass, plate, 1e-12);
    let m = laden(&s);
    near(m.mass, plate + 60.0, 1e-12);
    let x = (plate * 0.05 + 60.0 * 0.5) / (plate + 60.0);
    near(m.centre.x, x, 1e-9);
    assert!(m.inertia.x_axis.x > 60.0 * (0.09 + 0.25) / 12.0);
}
