//! Sizes of tube as people write them.

use design::SectionShape;

/// A size of tube.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Size {
    pub shape: SectionShape,
    /// Its name among the sizes built in.
    pub built_in: Option<String>,
    /// Whether it was said in inches.
    pub inches: bool,
}

/// A first number under this is taken to be inches where no unit is given: no tube of a frame is under 8 mm, nor over 8 in.
const INCHES: f64 = 8.0;

/// A tube is more than three and a half times as wide as its wall is thick; else two numbers are a flat bar, or a box.
const THICKEST: f64 = 3.5;

impl Size {
    /// Its lengths in its unit, in the order in which people say them.
    fn lengths(&self) -> Vec<String> {
        let list = match self.shape {
            SectionShape::Round { od, wall } => vec![od, wall],
            SectionShape::Box { width, height, wall, .. } => vec![width, height, wall],
        };
        list.into_iter().map(|m| plain(m / if self.inches { 0.0254 } else { 1e-3 })).collect()
    }

    /// Whether a shape is of this size, within a tenth of a millimetre; a box may lie or stand.
    pub fn is(&self, other: SectionShape) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-4;
        match (self.shape, other) {
            (SectionShape::Round { od, wall }, SectionShape::Round { od: o, wall: w }) => near(od, o) && near(wall, w),
            (SectionShape::Box { width, height, wall, .. }, SectionShape::Box { width: w, height: h, wall: t, .. }) => {
                near(wall, t) && ((near(width, w) && near(height, h)) || (near(width, h) && near(height, w)))
            }
            _ => false,
        }
    }

    fn unit(&self) -> &'static str {
        if self.inches { "in" } else { "mm" }
    }

    /// As people write it.
    pub fn name(&self) -> String {
        match &self.built_in {
            Some(name) => name.clone(),
            None => format!("{} {}", self.lengths().join(" x "), self.unit()),
        }
    }

    /// Keys and values of a section in a design file.
    pub fn keys(&self) -> Vec<(&'static str, String)> {
        if let Some(name) = &self.built_in {
            return vec![("size", format!("{name:?}"))];
        }
        let (shape, names): (&str, &[&str]) = match self.shape {
            SectionShape::Round { .. } => ("round", &["od", "wall"]),
            SectionShape::Box { .. } => ("box", &["width", "height", "wall"]),
        };
        let lengths = names.iter().copied().zip(self.lengths()).map(|(k, v)| (k, format!("\"{v} {}\"", self.unit())));
        std::iter::once(("shape", format!("{shape:?}"))).chain(lengths).collect()
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
        return Some(Size { shape: b.shape, built_in: Some(b.name.clone()), inches: b.name.ends_with("in") });
    }
    let text = text.trim().to_lowercase().replace('×', "x");
    let (numbers, unit) = match (text.strip_suffix("mm"), text.strip_suffix("in").or(text.strip_suffix('"'))) {
        (Some(t), _) => (t, Some(1e-3)),
        (None, Some(t)) => (t, Some(0.0254)),
        (None, None) => (text.as_str(), None),
    };
    let v: Vec<f64> = numbers.split('x').map(number).collect::<Option<_>>()?;
    let unit = unit.unwrap_or(if *v.first()? < INCHES { 0.0254 } else { 1e-3 });
    sized(&v.iter().map(|n| n * unit).collect::<Vec<_>>(), unit != 1e-3)
}

fn sized(v: &[f64], inches: bool) -> Option<Size> {
    let shape = match *v {
        [od, wall] if wall > 0.0 && THICKEST * wall < od && od < 1.0 => SectionShape::Round { od, wall },
        [width, height, wall] if wall > 0.0 && THICKEST * wall < width.min(height) && width.max(height) < 1.0 => {
            SectionShape::Box { width, height, wall, corner: 2.0 * wall }
        }
        _ => return None,
    };
    Some(Size { shape, built_in: None, inches })
}

/// A size within a layer's name, such as `CAGE_45x2.5`, `rail 60 X 80 X 3` or `1 3/4 x .095`, and what is left of the name
/// without it. A box stands on its smaller side, as those that are built in do.
pub(crate) fn within(name: &str) -> Option<(Size, String)> {
    let plain: Vec<char> = name.to_lowercase().replace('×', "x").chars().collect();
    // A flat bar or a plate is no tube.
    let words: String = plain.iter().collect();
    if ["flat", "plate", "bar "].iter().any(|w| words.contains(w)) {
        return None;
    }
    let digit = |k: usize| plain.get(k).is_some_and(char::is_ascii_digit);
    for from in 0..plain.len() {
        // A number begins here, and is not the rest of a word or of another number.
        let begins = digit(from) || (plain[from] == '.' && digit(from + 1));
        if !begins {
            continue;
        }
        let word = |c: char| (c.is_alphanumeric() && c != 'ø') || matches!(c, '.' | ',' | '/' | '-');
        if from > 0 && word(plain[from - 1]) {
            continue;
        }
        let of_size = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | ' ' | 'x');
        let rest: String = plain[from..].iter().take_while(|c| of_size(c)).collect();
        let rest = rest.trim_end_matches([' ', 'x', ',', '.', '/']);
        if let Some(mut s) = rest.contains('x').then(|| read(rest)).flatten() {
            if let SectionShape::Box { width, height, .. } = &mut s.shape
                && width > height
            {
                std::mem::swap(width, height);
            }
            let left = plain[..from].iter().chain(&plain[from + rest.chars().count()..]).collect();
            return Some((s, left));
        }
    }
    None
}

/// A number with a decimal point or comma, or a fraction such as `1 3/4`.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let Some((before, below)) = text.split_once('/') else { return text.parse().ok() };
    let (whole, above) = before.trim().rsplit_once([' ', '-']).unwrap_or(("0", before.trim()));
    let below: u32 = below.trim().parse().ok().filter(|b| *b > 0)?;
    Some(whole.trim().parse::<u32>().ok()? as f64 + above.parse::<u32>().ok()? as f64 / below as f64)
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
        let read = |name| within(name).map(|(s, left)| (s.name(), left)).unwrap();
        assert_eq!(read("CAGE_42x2.6"), ("42 x 2.6 mm".into(), "cage_".into()));
        assert_eq!(read("rail 61 X 83 X 3"), ("61 x 83 x 3 mm".into(), "rail ".into()));
        assert_eq!(read("Rohr Ø38.1×2.4 hinten"), ("38.1 x 2.4 mm".into(), "rohr ø hinten".into()));
        assert_eq!(read("HOOP 1.75x.12"), ("1.75 x 0.12 in".into(), "hoop ".into()));
        assert_eq!(read("post 33.7x2,6"), ("33.7 x 2.6 mm".into(), "post ".into()));
        assert_eq!(read("brace 1 3/4 x .095"), ("1.75 x 0.095 in".into(), "brace ".into()));
        // A box stands on its smaller side.
        assert_eq!(read("RHS 80x40x3").0, "40 x 80 x 3 mm");
        for none in ["FLAT 50x6", "RHS 100x40", "1/2x3", "0", "hoop", "box2", "layer 3", "x", "a45x2", "v1.2"] {
            assert_eq!(within(none), None, "{none}");
        }
    }
}
