//! Small designs for tests.
#![allow(dead_code)]

use std::sync::Arc;

use cutting::{Cutting, Detail, Piece};
use shape::Shape;

/// Sections `h` (host) and `b` (branch), both round, of given sizes in mm, and a box `r` of 50 x 80 x 3.
pub fn head(host: f64, branch: f64, wall: f64) -> String {
    format!(
        r#"
[design]
name = "Test"
[limits]
gap = 0
[section.h]
shape = "round"
od = {host}
wall = {wall}
material = "E355+N"
[section.b]
shape = "round"
od = {branch}
wall = {wall}
material = "E355+N"
[section.r]
shape = "box"
width = 50
height = 80
wall = 3
corner = 6
material = "S355J2H"
"#
    )
}

/// Shape and pieces of a file that must be right.
pub fn cut(text: &str) -> (Shape, Cutting) {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", text)));
    let shape = shape::resolve(Arc::new(reading.design))
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", text)));
    let cutting = cutting::cut(&shape, Detail::SHEET);
    (shape, cutting)
}

/// A piece by name.
pub fn piece<'a>(c: &'a Cutting, name: &str) -> &'a Piece {
    c.pieces.iter().find(|p| p.name == name).unwrap_or_else(|| panic!("no piece {name}"))
}

/// Asserts that two lengths (m) agree within a distance.
#[track_caller]
pub fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b} within {within}");
}
