//! Designs for tests, from a few lines of text.
#![allow(dead_code)]

use std::sync::Arc;

use shape::{Level, Shape};
use stance::{Answer, Stood};

/// A file's head: millimetres, a thin round tube `t` (20 x 1), a box tube `b` (50 x 80 x 3).
pub const HEAD: &str = r#"
[design]
name = "Test"
[section.t]
shape = "round"
od = 20
wall = 1
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
"#;

/// Four light wheels of loaded radius 300 at x = 1000 and -1000, y = 700: the ground is z = 0.
pub const WHEELS: &str = r#"
[wheel.front]
at = [1000, 700, 300]
radius = 300
width = 150
kg = 10
mirror = true
[wheel.rear]
at = [-1000, 700, 300]
radius = 300
width = 150
kg = 10
mirror = true
"#;

pub fn shape(body: &str) -> Shape {
    let text = format!("{HEAD}{}", gathered(body));
    let reading = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)));
    shape::resolve(Arc::new(reading.design)).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)))
}

/// The same file with its points in one table.
fn gathered(body: &str) -> String {
    let (mut points, mut rest, mut within) = (String::from("[point]\n"), String::new(), false);
    for line in body.lines() {
        if line.starts_with('[') {
            within = line.trim() == "[point]";
            if within {
                continue;
            }
        }
        let to = if within { &mut points } else { &mut rest };
        to.push_str(line);
        to.push('\n');
    }
    points + &rest
}

pub fn stand(body: &str) -> Answer {
    stance::stand(&shape(body))
}

/// The one stance of a file.
pub fn only(body: &str) -> Stood {
    let mut a = stand(body);
    assert_eq!(a.stances.len(), 1);
    a.stances.remove(0)
}

pub fn words(a: &Answer, level: Level) -> Vec<&str> {
    a.findings.iter().filter(|f| f.level == level).map(|f| f.what.as_str()).collect()
}

#[track_caller]
pub fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b}");
}

/// A cross tube (named) of the thin section, its underside at a height over the ground, in the side view at x.
pub fn cross(name: &str, x: f64, under: f64) -> String {
    let z = under + 10.0;
    format!(
        "[point]\n{name}_p = [{x}, 300, {z}]\n[tube.{name}]\nsection = \"t\"\npath = [\"{name}_p\", \"{name}_p~\"]\n"
    )
}
