//! Sizes of tube as people write them.

use design::SectionShape;

/// A size of tube.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Size {
    pub shape: SectionShape,
    /// Its name among the sizes built in.
    pub built_in: Option<String>,
}

/// A first number under this is taken to be inches where no unit is given: no tube of a frame is under 8 mm, nor over 8 in.
const INCHES: f64 = 8.0;

impl Size {
    /// As people write it.
    pub fn name(&self) -> String {
        let mm = |m: f64| plain(m * 1e3);
        match (&self.built_in, self.shape) {
            (Some(name), _) => name.clone(),
            (None, SectionShape::Round { od, wall }) => format!("{} x {} mm", mm(od), mm(wall)),
            (None, SectionShape::Box { width, height, wall, .. }) => {
                format!("{} x {} x {} mm", mm(width), mm(height), mm(wall))
            }
        }
    }

    /// Keys and values of a section in a design file.
    pub fn keys(&self) -> Vec<(&'static str, String)> {
        let mm = |m: f64| format!("\"{} mm\"", plain(m * 1e3));
        match (&self.built_in, self.shape) {
            (Some(name), _) => vec![("size", format!("{name:?}"))],
            (None, SectionShape::Round { od, wall }) => {
                vec![("shape", "\"round\"".into()), ("od", mm(od)), ("wall", mm(wall))]
            }
            (None, SectionShape::Box { width, height, wall, .. }) => {
                vec![("shape", "\"box\"".into()), ("width", mm(width)), ("height", mm(height)), ("wall", mm(wall))]
            }
        }
    }
}

/// Without digits that a size does not have.
fn plain(v: f64) -> String {
    let s = format!("{v:.4}");
    s.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A size: a built-in name, or two or three numbers with `x` between, and a unit.
pub(crate) fn read(text: &str) -> Option<Size> {
    if let Some(b) = design::builtin_section(text.trim()) {
        return Some(Size { shape: b.shape, built_in: Some(b.name.clone()) });
    }
    let text = text.trim().to_lowercase().replace('×', "x");
    let (numbers, unit) = match (text.strip_suffix("mm"), text.strip_suffix("in").or(text.strip_suffix('"'))) {
        (Some(t), _) => (t, Some(1e-3)),
        (None, Some(t)) => (t, Some(0.0254)),
        (None, None) => (text.as_str(), None),
    };
    let v: Vec<f64> = numbers.split('x').map(|n| n.trim().parse().ok()).collect::<Option<_>>()?;
    let unit = unit.unwrap_or(if *v.first()? < INCHES { 0.0254 } else { 1e-3 });
    sized(&v.iter().map(|n| n * unit).collect::<Vec<_>>())
}

fn sized(v: &[f64]) -> Option<Size> {
    let shape = match *v {
        [od, wall] if wall > 0.0 && 2.0 * wall < od && od < 1.0 => SectionShape::Round { od, wall },
        [width, height, wall] if wall > 0.0 && 2.0 * wall < width.min(height) && width.max(height) < 1.0 => {
            SectionShape::Box { width, height, wall, corner: 2.0 * wall }
        }
        _ => return None,
    };
    Some(Size { shape, built_in: None })
}

/// A size within a layer's name, such as `CAGE_45x2.5` or `rail 60 X 80 X 3`.
pub(crate) fn within(name: &str) -> Option<Size> {
    let plain: Vec<char> = name.to_lowercase().replace('×', "x").chars().collect();
    for from in 0..plain.len() {
        // A number begins here, and is not the rest of a word or of another number.
        if !plain[from].is_ascii_digit() && plain[from] != '.' {
            continue;
        }
        let word = |c: char| (c.is_alphanumeric() && c != 'ø') || c == '.';
        if from > 0 && word(plain[from - 1]) {
            continue;
        }
        let of_size = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ' ' | 'x');
        let rest: String = plain[from..].iter().take_while(|c| of_size(c)).collect();
        let rest = rest.trim_matches(|c| c == ' ' || c == 'x');
        if rest.contains('x')
            && let Some(s) = read(rest)
        {
            return Some(s);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_people_write_them() {
        let round = |od, wall| SectionShape::Round { od, wall };
        assert_eq!(read("45x2.5").unwrap().shape, round(0.045, 0.0025));
        assert_eq!(read("1.75 x 0.095").unwrap().shape, round(1.75 * 0.0254, 0.095 * 0.0254));
        assert_eq!(read("CHS 48.3 x 3.0").unwrap().built_in.as_deref(), Some("CHS 48.3 x 3.0"));
        let SectionShape::Box { width, height, wall, .. } = read("60 x 80 x 3 mm").unwrap().shape else { panic!() };
        assert_eq!([width, height, wall], [0.06, 0.08, 0.003]);
        for bad in ["", "x", "45", "45x", "45x30", "45 x -2", "a x b", "1 x 2 x 3 x 4", "9e9 x 1", "nan x nan"] {
            assert_eq!(read(bad), None, "{bad}");
        }
    }

    #[test]
    fn in_a_name() {
        assert_eq!(within("CAGE_42x2.6").unwrap().name(), "42 x 2.6 mm");
        assert_eq!(within("rail 61 X 83 X 3").unwrap().name(), "61 x 83 x 3 mm");
        assert_eq!(within("Rohr Ø38.1×2.4 hinten").unwrap().name(), "38.1 x 2.4 mm");
        for none in ["0", "hoop", "box2", "layer 3", "x", "a45x2", "v1.2"] {
            assert_eq!(within(none), None, "{none}");
        }
    }
}
