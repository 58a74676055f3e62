//! Named measures.

mod common;

use common::{WHEELS, near, stand, words};
use shape::Level;
use stance::Taken;

const FRAME: &str = r#"
[point]
a = [0, 200, 500]
b = [300, 200, 900]
c = [0, 600, 500]
[tube.one]
section = "t"
path = ["a", "b"]
mirror = true
[tube.bar]
section = "t"
path = ["a", "a~"]
[plate.foot]
thickness = 4
material = "S355J2H"
outline = { origin = "a", x = [1, 0, 0], y = [0, 1, 0], corners = [[0, 0], [50, 0], [50, 50]] }
"#;

fn all(measures: &str) -> Vec<Taken> {
    stand(&format!("{WHEELS}{FRAME}{measures}")).measures
}

fn one(from: &str, to: &str, more: &str) -> f64 {
    let m = all(&format!("[measure.m]\nfrom = {{ {from} }}\nto = {{ {to} }}\n{more}\n"));
    m[0].value.unwrap_or_else(|| panic!("{:?}", m[0].why))
}

#[test]
fn distances_between_points_tubes_and_planes() {
    let (a, b, c) = ("point = \"a\"", "point = \"b\"", "point = \"c\"");
    near(one(a, b, ""), 0.5, 1e-12);
    near(one(a, b, "along = \"z\""), 0.4, 1e-12);
    near(one(b, a, "along = \"x\""), -0.3, 1e-12);
    near(one(c, "tube = \"bar\"", ""), 0.39, 1e-12);
    near(one(c, "tube = \"bar\"", "along = \"y\""), -0.4, 1e-12);
    near(one("tube = \"one\"", "tube = \"one~\"", ""), 0.38, 1e-12);
    near(one(a, "ground = true", ""), 0.5, 1e-12);
    near(one("tube = \"bar\"", "ground = true", ""), 0.49, 1e-12);
    near(one("ground = true", "point = \"b\"", "along = \"z\""), 0.9, 1e-12);
    near(one(b, "plane = { x = 1000 }", ""), 0.7, 1e-12);
    near(one(b, "plane = { x = -100 }", "along = \"x\""), -0.4, 1e-12);
    near(one("tube = \"bar\"", "plane = { z = 505 }", ""), 0.0, 1e-12);
    near(one("plane = { z = 100 }", "ground = true", ""), 0.1, 1e-12);
    near(one(b, "plane = { plate = \"foot\" }", ""), 0.398, 1e-12);
}

#[test]
fn angles_between_lines_and_planes() {
    let angle = "angle = true";
    let slope = (4.0f64 / 3.0).atan();
    near(one("tube = \"one\"", "ground = true", angle), slope, 1e-12);
    near(one("tube = \"one\"", "tube = \"bar\"", angle), std::f64::consts::FRAC_PI_2, 1e-12);
    near(one("tube = \"one\"", "tube = \"one~\"", angle), 0.0, 1e-12);
    near(one("plane = { x = 0 }", "ground = true", angle), std::f64::consts::FRAC_PI_2, 1e-12);
    near(one("tube = \"bar\"", "plane = { y = 0 }", angle), std::f64::consts::FRAC_PI_2, 1e-12);
}

#[test]
fn limits_are_held_in_every_stance_and_what_cannot_be_taken_says_why() {
    let a = stand(&format!(
        "{WHEELS}{FRAME}[stance.one]\n[stance.two]\nwheels = [{{ wheel = \"front\", radius = 280 }}, {{ wheel = \"rear\", radius = 280 }}]\n\
         [measure.seat]\nfrom = {{ ground = true }}\nto = {{ point = \"a\" }}\nwanted = 500\nwithin = 5\n\
         [measure.odd]\nfrom = {{ point = \"a\" }}\nto = {{ tube = \"one\" }}\nangle = true\nmost_angle = 10\n\
         [measure.side]\nfrom = {{ plane = {{ x = 0 }} }}\nto = {{ ground = true }}\n"
    ));
    let within: Vec<_> = a.measures.iter().map(|m| (m.name.as_str(), m.stance.as_deref(), m.within)).collect();
    assert_eq!(
        within,
        [
            ("seat", Some("one"), Some(true)),
            ("seat", Some("two"), Some(false)),
            ("odd", None, None),
            ("side", Some("one"), None),
            ("side", Some("two"), None)
        ]
    );
    assert_eq!(words(&a, Level::Mend), ["seat is less than wanted (two)"]);
    let none = words(&a, Level::NotChecked);
    assert!(none.contains(&"odd can't be measured: a point has no direction"), "{none:?}");
    assert!(none.contains(&"side can't be measured (one): its planes are not parallel"), "{none:?}");
}
