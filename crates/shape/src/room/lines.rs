//! The helmet under the lines that the hoops and their braces hold up: Formula SAE Rules 2026, F.5.6.

use design::Room as Limits;
use geometry::convex::Core;
use geometry::{DVec2, DVec3};
use serde::Serialize;

use crate::Shape;
use crate::bodies::Body;
use crate::finding::{Finding, Level, Value, less};
use crate::tube::{End, Tube};

/// A helmet's clearance to a line over it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HelmetLine {
    /// The hoop that the line starts at the top of.
    pub hoop: String,
    /// The hoop at whose top, or the brace at whose foot, it ends.
    pub other: String,
    /// Whether that is a brace's foot.
    pub foot: bool,
    /// The line's ends, m.
    pub from: DVec3,
    /// See `from`.
    pub to: DVec3,
    /// From the helmet to the line, seen from the side, m; negative where the helmet stands out beyond it.
    pub distance: f64,
}

/// A helmet and the rear face of a main hoop whose braces run forward: it may not be farther back.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RearFace {
    /// The hoop.
    pub hoop: String,
    /// The braces that run forward.
    pub braces: Vec<String>,
    /// How far the helmet stays ahead of the hoop's rear face at the height of its middle, m; negative where it reaches
    /// behind it.
    pub distance: f64,
}

/// The tubes that hold the lines up.
pub struct Over<'a> {
    main: Option<&'a Tube>,
    front: Option<&'a Tube>,
    braces: Vec<&'a Tube>,
    /// Braces of the main hoop that run forward, if none runs rearward.
    forward: Vec<&'a Tube>,
}

/// The clause.
const CLAUSE: &str = "limits.helmet; Formula SAE Rules 2026, F.5.6";

/// Places looked at along a hoop for its highest: about a centimetre apart, over which a bend's top falls by far less
/// than a millimetre.
const STATIONS: usize = 400;

/// The foot of a brace: its lower end.
fn foot(t: &Tube) -> DVec3 {
    let [a, b] = End::BOTH.map(|e| t.outward(e).origin);
    if a.z < b.z { a } else { b }
}

/// The highest place of a hoop's surface in the upright plane at y, or of the whole hoop if it does not come there.
fn top(t: &Tube, y: f64) -> DVec3 {
    let at = |s: f64| {
        let tangent = t.chain.tangent(s);
        t.chain.point(s) + DVec3::Z * t.outline.reach() * (1.0 - tangent.z * tangent.z).max(0.0).sqrt()
    };
    let highest = |stations: &mut dyn Iterator<Item = f64>| stations.map(at).max_by(|a, b| a.z.total_cmp(&b.z));
    let length = t.chain.length();
    highest(&mut t.chain.crossings(1, y).into_iter())
        .or_else(|| highest(&mut (0..=STATIONS).map(|k| length * k as f64 / STATIONS as f64)))
        .unwrap_or_else(|| at(0.0))
}

impl<'a> Over<'a> {
    /// By the words in the tubes' roles.
    pub fn find(shape: &'a Shape) -> Over<'a> {
        let role = |t: &Tube| shape.design.tubes[t.id.0].role.as_deref().unwrap_or("").to_lowercase();
        let brace = |r: &str| r.contains("brace") || r.contains("stay");
        let hoop = |name: &str| {
            shape
                .tubes
                .iter()
                .filter(|t| role(t).contains(name) && !brace(&role(t)))
                .max_by(|a, b| a.extent(DVec3::Z).total_cmp(&b.extent(DVec3::Z)))
        };
        let (main, front) = (hoop("main hoop"), hoop("front hoop"));
        let (mut braces, mut forward) = (Vec::new(), Vec::new());
        if let Some(m) = main {
            let index = shape.tubes.iter().position(|t| std::ptr::eq(t, m));
            let behind = top(m, 0.0).x;
            let joined = |k: usize| {
                shape
                    .joints
                    .iter()
                    .any(|j| j.members.iter().any(|x| Some(x.tube) == index) && j.members.iter().any(|x| x.tube == k))
            };
            let of_hoop = shape.tubes.iter().enumerate().filter(|(k, t)| brace(&role(t)) && joined(*k)).map(|(_, t)| t);
            (braces, forward) = of_hoop.partition(|t| foot(t).x < behind);
            if !braces.is_empty() {
                forward.clear();
            }
            // Where some are called rear braces, those are meant.
            if braces.iter().any(|t| role(t).contains("rear")) {
                braces.retain(|t| role(t).contains("rear"));
            }
        }
        Over { main, front, braces, forward }
    }

    /// What can't be checked for want of roles.
    pub fn not_checked(&self) -> Option<Finding> {
        let missing: Vec<&str> = [
            (self.main.is_none(), "`main hoop`"),
            (self.front.is_none(), "`front hoop`"),
            (self.braces.is_empty() && self.forward.is_empty(), "`rear brace`"),
        ]
        .into_iter()
        .filter_map(|(m, name)| m.then_some(name))
        .collect();
        (!missing.is_empty()).then(|| {
            let what = match (self.main, self.front) {
                (Some(_), Some(_)) => "the line from the main hoop's top to the foot of its rear brace",
                (Some(_), None) if !self.braces.is_empty() => "the line from the main hoop's top to the front hoop's",
                _ => "the lines between hoop tops and brace feet",
            };
            let help = format!(
                "give the tubes concerned a `role` with the words {}; a brace must join the main hoop and have its foot behind it",
                missing.join(", ")
            );
            Finding::new(Level::NotChecked, "room", format!("helmets were not held against {what}")).help(help)
        })
    }

    /// A body's helmet before the main hoop's rear face, if its braces run forward.
    pub fn rear_face(&self, b: &Body) -> Option<RearFace> {
        let (main, (c, r)) = (self.main.filter(|_| !self.forward.is_empty())?, helmet(b)?);
        let back = |s: f64| {
            let tangent = main.chain.tangent(s);
            main.chain.point(s).x - main.outline.reach() * (1.0 - tangent.x * tangent.x).max(0.0).sqrt()
        };
        let at = main.chain.crossings(2, c.z);
        // Over the hoop's top, the top's own rear face.
        let face = at.into_iter().map(back).reduce(f64::max).unwrap_or_else(|| top(main, c.y).x - main.outline.reach());
        let braces = self.forward.iter().map(|t| t.name.clone()).collect();
        Some(RearFace { hoop: main.name.clone(), braces, distance: c.x - r - face })
    }

    /// The lines over a body's helmet.
    pub fn lines(&self, b: &Body) -> Vec<HelmetLine> {
        let (Some(main), Some((c, r))) = (self.main, helmet(b)) else { return Vec::new() };
        let from = top(main, c.y);
        let line = |other: &Tube, to: DVec3, foot: bool| HelmetLine {
            hoop: main.name.clone(),
            other: other.name.clone(),
            foot,
            from,
            to,
            distance: clearance(from, to, c, r),
        };
        let front = self.front.map(|f| line(f, top(f, c.y), false));
        front.into_iter().chain(self.braces.iter().map(|t| line(t, foot(t), true))).collect()
    }
}

/// Centre and radius of a body's helmet.
fn helmet(b: &Body) -> Option<(DVec3, f64)> {
    b.parts.iter().find(|p| p.0 == "helmet").and_then(|p| match &p.1.core {
        Core::Segment(c, _) => Some((*c, p.1.margin)),
        _ => None,
    })
}

/// From a ball to a line between two places, seen from the side. Negative where its middle stands out over the line.
fn clearance(from: DVec3, to: DVec3, centre: DVec3, radius: f64) -> f64 {
    let flat = |p: DVec3| DVec2::new(p.x, p.z);
    let (a, b, c) = (flat(from), flat(to), flat(centre));
    let along = (b - a).normalize_or_zero();
    let up = if along.x < 0.0 { -along.perp() } else { along.perp() };
    let s = along.dot(c - a);
    let length = a.distance(b);
    let distance = c.distance(a + along * s.clamp(0.0, length));
    // Beyond an end of the line a helmet is out only where it is also higher than that end.
    let beyond = (s < 0.0 && c.y <= a.y) || (s > length && c.y <= b.y);
    if up.dot(c - a) > 0.0 && !beyond { -distance - radius } else { distance - radius }
}

/// A helmet behind the rear face.
pub fn behind(b: &Body, r: &RearFace) -> Option<Finding> {
    let what = format!("the helmet of {} reaches behind the rear face of {}, whose braces run forward", b.name, r.hoop);
    less(r.distance, 0.0).then(|| {
        Finding::new(Level::Look, "room", what)
            .tubes(std::iter::once(r.hoop.clone()).chain(r.braces.iter().cloned()))
            .at(helmet(b).map_or(b.centre, |h| h.0))
            .measured(Value::Length(r.distance))
            .limit(Value::Length(0.0), "Formula SAE Rules 2026, F.5.6")
            .help("move the seat forward, or brace the hoop rearward")
    })
}

/// What comes too near a line.
pub fn findings(b: &Body, lines: &[HelmetLine], limits: &Limits) -> Vec<Finding> {
    lines
        .iter()
        .filter(|l| less(l.distance, limits.helmet))
        .map(|l| {
            let end = if l.foot { "foot" } else { "top" };
            let line = format!("the line from the top of {} to the {end} of {}", l.hoop, l.other);
            let (level, what) = if less(l.distance, 0.0) {
                (Level::Mend, format!("the helmet of {} stands out over {line}", b.name))
            } else {
                (Level::Look, format!("the helmet of {} comes near {line}", b.name))
            };
            let at = helmet(b).map_or(b.centre, |h| h.0);
            Finding::new(level, "room", what)
                .tubes([l.hoop.clone(), l.other.clone()])
                .at(at)
                .measured(Value::Length(l.distance))
                .limit(Value::Length(limits.helmet), CLAUSE)
                .help("raise the hoop or its brace, or lower or lean the seat")
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn under_over_and_past_a_line() {
        let (a, b) = (DVec3::new(0.0, 0.0, 1.0), DVec3::new(1.0, 0.3, 1.0));
        let at = |x: f64, z: f64| clearance(a, b, DVec3::new(x, 0.0, z), 0.15);
        assert!((at(0.5, 0.8) - 0.05).abs() < 1e-12);
        assert!((at(0.5, 1.1) + 0.25).abs() < 1e-12);
        assert!((at(-0.3, 0.6) - 0.35).abs() < 1e-12, "behind and lower");
        assert!((at(-0.3, 1.4) + 0.65).abs() < 1e-12, "behind and higher");
        // Down and back from the hoop's top: a helmet ahead of it is under, one behind it out.
        let foot = DVec3::new(-1.0, 0.0, 0.0);
        let half = 0.5f64.sqrt();
        assert!((clearance(a, foot, DVec3::new(0.0, 0.0, 0.5), 0.15) - (0.5 * half - 0.15)).abs() < 1e-12);
        assert!((clearance(a, foot, DVec3::new(-1.0, 0.0, 0.5), 0.15) + 0.5 * half + 0.15).abs() < 1e-12);
    }
}
