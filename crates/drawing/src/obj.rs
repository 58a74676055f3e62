//! OBJ: vertices and the lines that join them; groups and objects are layers.

use glam::DVec3;
use rustc_hash::FxHashSet;

use crate::{Drawing, Drawn, Error, Form, MOST_SPANS, Span, error};

/// Reads vertices and lines. A file that has no lines but faces gives the faces' edges, each once.
///
/// # Errors
/// The line that is wrong, and why.
pub fn read(bytes: &[u8]) -> Result<Drawing, Error> {
    let mut out = Drawing { y_up: true, ..Drawing::default() };
    let mut vertices: Vec<DVec3> = Vec::new();
    let mut edges: Vec<(String, [usize; 2], usize)> = Vec::new();
    let mut seen = FxHashSet::default();
    let (mut object, mut group) = (String::new(), String::new());
    let mut spans = 0;
    for (k, line) in bytes.split(|&c| c == b'\n').enumerate() {
        let number = k + 1;
        let line = line.trim_ascii();
        if line.is_empty() || line[0] == b'#' {
            continue;
        }
        let line = String::from_utf8_lossy(line);
        if line.ends_with('\\') {
            return error(number, "lines that go on in the next are not read");
        }
        let mut words = line.split_ascii_whitespace();
        let word = words.next().unwrap_or("");
        match word {
            "v" => {
                let mut p = [0.0; 3];
                for v in &mut p {
                    match words.next().and_then(|w| w.parse::<f64>().ok()).filter(|v| v.is_finite()) {
                        Some(x) => *v = x,
                        None => return error(number, "`v` needs three numbers"),
                    }
                }
                vertices.push(DVec3::from(p));
            }
            "l" | "f" => {
                let ids = words.map(|w| index(w, vertices.len(), number)).collect::<Result<Vec<_>, _>>()?;
                spans += ids.len();
                if spans > MOST_SPANS {
                    return error(number, format!("more than {MOST_SPANS} lines"));
                }
                if ids.len() < 2 {
                    return error(number, format!("`{word}` needs two vertices or more"));
                }
                let layer = || if group.is_empty() || group == "default" { object.clone() } else { group.clone() };
                if word == "l" {
                    let span = |w: &[usize]| Span::Line { from: vertices[w[0]], to: vertices[w[1]] };
                    let form = Form::Spans(ids.windows(2).map(span).collect());
                    out.drawn.push(Drawn { layer: layer(), name: None, tags: Vec::new(), form, line: number });
                } else {
                    for (i, &a) in ids.iter().enumerate() {
                        let b = ids[(i + 1) % ids.len()];
                        if seen.insert([a.min(b), a.max(b)]) {
                            edges.push((layer(), [a, b], number));
                        }
                    }
                }
            }
            "o" => {
                // Copies are numbered: `frame.001`.
                let name = line[1..].trim();
                let bare =
                    name.rsplit_once('.').filter(|(_, n)| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()));
                bare.map_or(name, |b| b.0).clone_into(&mut object);
                group.clear();
            }
            "g" => line[1..].trim().clone_into(&mut group),
            "curv" | "curv2" | "surf" => out.leave_out("free-form curves and surfaces of an OBJ", number),
            _ => {}
        }
    }
    if out.drawn.is_empty() {
        if !edges.is_empty() {
            out.guessed.push("there are no lines in it, so every edge of its faces is a tube".into());
        }
        out.drawn.extend(edges.into_iter().map(|(layer, [a, b], line)| {
            let form = Form::Spans(vec![Span::Line { from: vertices[a], to: vertices[b] }]);
            Drawn { layer, name: None, tags: Vec::new(), form, line }
        }));
    } else if let Some(e) = edges.first() {
        let line = e.2;
        out.left_out.push(crate::LeftOut {
            what: "edges of faces, since there are lines".into(),
            count: edges.len(),
            line,
        });
    }
    Ok(out)
}

/// A vertex's place in the list: counted from 1, or back from the newest.
fn index(word: &str, count: usize, line: usize) -> Result<usize, Error> {
    let Ok(i) = word.split('/').next().unwrap_or("").parse::<i64>() else {
        return error(line, format!("`{word}` is no number of a vertex"));
    };
    let n = count as i64;
    let at = if i < 0 { n.saturating_add(i) } else { i - 1 };
    if i == 0 || at < 0 || at >= n {
        return error(line, format!("there is no vertex {i} before it"));
    }
    Ok(at as usize)
}
