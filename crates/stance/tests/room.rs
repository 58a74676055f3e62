//! Wheels' room, against closed forms and brute force.

mod common;

use common::{near, stand, words};
use geometry::DVec3;
use shape::Level;

const WHEEL: &str = "[wheel.w]\nat = [0, 700, 300]\nradius = 300\nwidth = 200\nkg = 10\nmirror = true\n[wheel.back]\nat = [-3000, 700, 300]\nradius = 300\nwidth = 200\nkg = 10\nmirror = true\n";

fn tube(a: [f64; 3], b: [f64; 3], section: &str) -> String {
    format!("[point]\na = {a:?}\nb = {b:?}\n[tube.x]\nsection = \"{section}\"\npath = [\"a\", \"b\"]\n")
}

#[test]
fn straight_travel_has_closed_forms() {
    let with = |extra: &str, t: String| {
        let text = WHEEL.replacen("kg = 10", &format!("kg = 10\n{extra}"), 1);
        stand(&format!("{text}{t}")).rooms[0].clone()
    };
    // Inboard, along x: 700 - 100 - 500 - 10.
    near(with("", tube([-500.0, 500.0, 300.0], [500.0, 500.0, 300.0], "t")).distance, 0.09, 1e-6);
    // Over the tread, across: 700 - 600 - 10 less a bump of 60.
    let over = |extra| with(extra, tube([0.0, 500.0, 700.0], [0.0, 900.0, 700.0], "t"));
    near(over("").distance, 0.09, 1e-6);
    let r = over("bump = 60");
    near(r.distance, 0.03, 1e-6);
    near(r.travel, 0.06, 1e-9);
    // A box over the tread: 80 high, upright.
    near(with("bump = 20", tube([0.0, 500.0, 700.0], [0.0, 900.0, 700.0], "b")).distance, 0.04, 1e-6);
    // At the corner between side and tread.
    let d = with("", tube([-500.0, 530.0, 640.0], [500.0, 530.0, 640.0], "t")).distance;
    near(d, 0.07f64.hypot(0.04) - 0.01, 1e-6);
}

#[test]
fn steer_is_searched_to_its_bound() {
    for (x, y) in [(260.0, 480.0), (150.0, 450.0), (-200.0, 430.0), (330.0, 700.0)] {
        let text = WHEEL.replacen("kg = 10", "kg = 10\nsteer = 30\nbump = 50\ndroop = 60", 1);
        let a = stand(&format!("{text}{}", tube([x, y, 150.0], [x, y, 800.0], "t")));
        let found = a.rooms[0].distance;
        // Every steer and height of the wheel, as a solid disc with square edges.
        let mut least = f64::INFINITY;
        for i in 0..=3000 {
            let s = (-30.0 + 60.0 * i as f64 / 3000.0f64).to_radians();
            let d = DVec3::new(x / 1e3, y / 1e3 - 0.7, 0.0);
            let across = ((d.y * s.cos() - d.x * s.sin()).abs() - 0.1).max(0.0);
            let along = ((d.x * s.cos() + d.y * s.sin()).abs() - 0.3).max(0.0);
            least = least.min(across.hypot(along) - 0.01);
        }
        if least > 0.0 {
            near(found, least, 1.5e-4);
        } else {
            assert!(found <= 1e-4);
            assert!(words(&a, Level::Mend).iter().any(|w| w.contains("w touches x")), "{:?}", a.findings);
        }
    }
}
