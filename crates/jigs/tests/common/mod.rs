//! Designs for tests, from a few lines of text.
#![allow(dead_code)]

use std::sync::Arc;

use shape::Shape;

/// A file's head: a round tube `t` (40 x 2), a box tube `b` (50 x 80 x 3), a box tube `deep` (60 x 101.6).
const HEAD: &str = r#"
[section.t]
shape = "round"
od = OD40
wall = OD2
material = "E355+N"
[section.b]
shape = "box"
width = OD50
height = OD80
wall = OD3
corner = OD6
material = "S355J2H"
[section.deep]
shape = "box"
width = OD60
height = OD101.6
wall = OD3
corner = OD6
material = "S355J2H"
"#;

/// A shape in millimetres.
pub fn shape(body: &str) -> Shape {
    make("mm", body, 1.0)
}

/// The same design in inches: numbers after `OD` in the text are millimetres.
pub fn make(units: &str, body: &str, per: f64) -> Shape {
    let text = format!("[design]\nname = \"Test\"\nunits = \"{units}\"\n{HEAD}{body}");
    let mut out = String::new();
    for (i, part) in text.split("OD").enumerate() {
        if i == 0 {
            out.push_str(part);
            continue;
        }
        let end = part.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(part.len());
        let v: f64 = part[..end].parse().unwrap();
        out.push_str(&format!("{}{}", v / per, &part[end..]));
    }
    let reading = design::read(&out).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &out)));
    shape::resolve(Arc::new(reading.design)).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &out)))
}

#[track_caller]
pub fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b}");
}
