//! Load cases of designs.

use std::path::Path;
use std::sync::Arc;

use strength::{Depth, strength};

fn shape(name: &str) -> shape::Shape {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(path).expect("an example");
    let design = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, name, &text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

#[test]
fn every_case_of_the_demo_is_worked_out_and_in_balance() {
    let a = strength(&shape("gorse.toml"), Depth::Live);
    let names: Vec<&str> = a.cases.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["bump", "corner", "stop", "twist", "tow", "roof_corner"]);
    assert!(a.without.is_empty(), "{:?}", a.without);
    for c in &a.cases {
        assert!(c.residual < 1e-9, "{}: {}", c.name, c.residual);
    }
}

#[test]
fn tyres_push_with_what_weighs_on_them() {
    // Three times the weight of all, level forces for a corner and a stop: Newton's second law.
    let shape = shape("gorse.toml");
    let a = strength(&shape, Depth::Live);
    let weight = shape::mass::laden(&shape).mass * 9.806_65;
    for (name, g) in [("bump", [0.0, 0.0, -3.0]), ("corner", [0.0, -1.2, -1.0]), ("stop", [1.1, 0.0, -1.0])] {
        let c = a.cases.iter().find(|c| c.name == name).unwrap();
        assert_eq!(c.reactions.len(), 4, "{name}");
        let push = c.reactions.iter().map(|r| r.force).sum::<geometry::DVec3>();
        let want = -geometry::DVec3::from_array(g) * weight;
        assert!(push.distance(want) < 1e-6 * weight, "{name}: {push} {want}");
    }
    // Pressed to the right (y points left), the right tyres, the twins', bear more.
    let corner = a.cases.iter().find(|c| c.name == "corner").unwrap();
    let up = |left: bool| {
        let on = |n: &str| n.ends_with('~') != left;
        corner.reactions.iter().filter(|r| on(&r.name)).map(|r| r.force.z).sum::<f64>()
    };
    assert!(up(false) > up(true), "{} {}", up(false), up(true));
}
