//! A curve written down as a tube: the edits that add its points and itself.

use design::units::{Decimal, Unit};
use design::{CurvePoints, Design, Edit, Place, SectionShape, Setting, Units};
use geometry::{DVec3, SAME_PLACE};

use super::Bent;
use crate::Review;

/// How the tube is to be called and what it is made of; what is left out is guessed where there is but one guess.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// Name of the tube; default the curve's.
    pub tube: Option<&'a str>,
    /// Name of its section; default the only round one that the die takes.
    pub section: Option<&'a str>,
}

/// A die takes tube that differs from its own size by no more than this, m: as the design file's reader has it.
const SAME_SIZE: f64 = 2e-4;

/// The edits that write the chain that is taken, and the name of the tube. Corners are rounded to 0.1 mm or 0.005 in, for
/// which the chain has room.
///
/// # Errors
/// What is missing, in words.
pub fn edits(r: &Review, b: &Bent, asked: Asked<'_>) -> Result<(Vec<Edit>, String), String> {
    let design = &r.shape.design;
    let c = design.curves.iter().find(|c| c.name == b.curve).ok_or("the curve has gone")?;
    let t = b.chain().ok_or(format!("nothing was made of curve {}", b.curve))?;
    let section = section(design, b, asked.section)?;
    let taken = |name: &str| design.tubes.iter().any(|t| t.name == name);
    let tube = asked.tube.map_or_else(|| free(&c.name, taken), str::to_owned);
    let mut edits = Vec::new();
    let mut path = Vec::new();
    let mut names: Vec<String> = design.points.iter().map(|p| p.name.clone()).collect();
    let n = t.corners.len();
    for (i, &at) in t.corners.iter().enumerate() {
        let is_end = i == 0 || i + 1 == n;
        if is_end && let Some(there) = named(r, &c.points, i > 0, at) {
            path.push(there);
            continue;
        }
        let word = if i == 0 {
            format!("{tube}_start")
        } else if i + 1 == n {
            format!("{tube}_end")
        } else {
            format!("{tube}_{i}")
        };
        let name = free(&word, |name| names.iter().any(|p| p == name));
        names.push(name.clone());
        edits.push(Edit::AddPoint { point: name.clone(), at: rounded(at, design.units) });
        path.push(name);
    }
    edits.push(Edit::AddTube { tube: tube.clone(), section, path, before: None });
    let mut set = |key: &str, value| {
        let (table, name, key) = ("tube".to_owned(), Some(tube.clone()), vec![key.to_owned()]);
        edits.push(Edit::SetKey { table, name, key, value });
    };
    if t.bends > 0 {
        set("die", Setting::Text(b.die.clone()));
    }
    if c.mirror {
        set("mirror", Setting::Flag(true));
    }
    Ok((edits, tube))
}

/// The round section that the die takes.
fn section(design: &Design, b: &Bent, asked: Option<&str>) -> Result<String, String> {
    if let Some(name) = asked {
        return Ok(name.to_owned());
    }
    let od = design.dies.iter().find(|d| d.name == b.die).map_or(0.0, |d| d.od);
    let fits = design.sections.iter().filter(|s| match s.shape {
        SectionShape::Round { od: own, .. } => (own - od).abs() <= SAME_SIZE,
        SectionShape::Box { .. } => false,
    });
    let fits: Vec<&str> = fits.map(|s| s.name.as_str()).collect();
    match fits[..] {
        [only] => Ok(only.to_owned()),
        [] => Err(format!("no section of this design goes into die {}", b.die)),
        _ => Err(format!("die {} takes several sections: {}", b.die, fits.join(", "))),
    }
}

/// The point of the design that a curve's end is: the one that it names, or one that is there.
fn named(r: &Review, points: &CurvePoints, last: bool, at: DVec3) -> Option<String> {
    let design = &r.shape.design;
    if let CurvePoints::Places(places) = points {
        let end = if last { places.last() } else { places.first() };
        if let Some(Place::Point(p)) = end {
            return Some(design.point_name(p));
        }
    }
    let there = r.shape.places.own().iter().position(|p| p.distance(at) <= SAME_PLACE)?;
    Some(design.points[there].name.clone())
}

/// A name that is free: itself, or with a number.
fn free(name: &str, taken: impl Fn(&str) -> bool) -> String {
    if !taken(name) {
        return name.to_owned();
    }
    (2..).map(|k| format!("{name}_{k}")).find(|n| !taken(n)).unwrap_or_default()
}

/// A place as it will be read back from its rounded decimals.
fn rounded(p: DVec3, units: Units) -> [f64; 3] {
    let (unit, size, step) = match units {
        Units::Mm => (Unit::Mm, 1e-3, 0.1),
        Units::In => (Unit::In, 0.0254, 0.005),
    };
    p.to_array().map(|x| {
        let text = format!("{:.3}", (x / size / step).round() * step);
        Decimal::parse(&text).map_or(x, |d| d.to_si(unit))
    })
}
