//! Designs for tests, from a few lines of text.

use std::sync::Arc;

use shape::Shape;

/// A file's head: millimetres, a round tube `t` (38.1 x 2.4) and a box tube `b` (50 x 80 x 3).
pub const HEAD: &str = r#"
[design]
name = "Test"
[section.t]
shape = "round"
od = 38.1
wall = 2.4
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
"#;

/// The shape of a file, or the messages of why not.
pub fn try_shape(body: &str) -> Result<Shape, String> {
    let text = format!("{HEAD}{body}");
    let reading = design::read(&text).map_err(|p| design::render(&p, "test.toml", &text))?;
    shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, "test.toml", &text))
}

/// The shape of a file that must be right.
pub fn shape(body: &str) -> Shape {
    try_shape(body).unwrap_or_else(|e| panic!("{e}"))
}
