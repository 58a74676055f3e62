//! Prints what the jigs are of a design file, as JSON, for `reference/jigs.py`; with a folder, also writes each saddle there as
//! STL in millimetres, for `reference/saddles.py`: `sheets DESIGN [FOLDER]`.

use std::sync::Arc;

use geometry::DMat3;
use jigs::{Ask, World, stands};

/// A tilt for the readings that are plumb: told to the script with the rest.
const NOSE: f64 = 0.02;
const SIDE: f64 = -0.013;

fn stl(m: &jigs::saddle::Mesh) -> Vec<u8> {
    let mut out = vec![b' '; 80];
    out.extend((m.triangles.len() as u32).to_le_bytes());
    for t in &m.triangles {
        let [p, q, r] = t.map(|i| m.points[i as usize] * 1e3);
        for v in [(q - p).cross(r - p).normalize_or_zero(), p, q, r] {
            for c in v.to_array() {
                out.extend((c as f32).to_le_bytes());
            }
        }
        out.extend([0, 0]);
    }
    out
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let path = args.first().ok_or("sheets DESIGN [FOLDER]")?;
    let text = std::fs::read_to_string(path)?;
    let reading = design::read(&text).map_err(|p| design::render(&p, path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, path, &text))?;
    let rotation = DMat3::from_rotation_x(SIDE) * DMat3::from_rotation_y(NOSE);
    let world = World::tilted(rotation, Some(-0.4));
    let mut wanted = stands::suggest(&shape, 0.55);
    wanted.world = world;
    let ask = Ask { world: Some(world), stands: Some(wanted), ..Ask::default() };
    let answer = jigs::jigs(&shape, &ask, |l| 1e-3 + l * 1e-3);
    if let Some(folder) = args.get(1) {
        for (i, s) in answer.saddles.iter().enumerate() {
            std::fs::write(format!("{folder}/{i}.stl"), stl(&s.mesh))?;
        }
    }
    let rows = [rotation.row(0), rotation.row(1), rotation.row(2)];
    println!("{}", serde_json::json!({ "rotation": rows, "floor": -0.4, "jigs": answer }));
    Ok(())
}
