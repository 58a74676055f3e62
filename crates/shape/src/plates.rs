//! Plates in space and flat.

use design::{Design, HoleAt, PlateId, PlateOutline, PlateSide, Problem};
use geometry::{DVec2, DVec3, Frame, polygon};

use crate::places::Places;

/// A plate, or a twin.
#[derive(Clone, Debug)]
pub struct Plate {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// The plate of the design.
    pub id: PlateId,
    /// Whether this is the twin.
    pub twin: bool,
    /// Origin of its flat coordinates on the outline's plane; `t` is the normal towards "above", x lies along `u`,
    /// y along `v`.
    pub frame: Frame,
    /// Corners in flat coordinates, anticlockwise, m.
    pub corners: Vec<DVec2>,
    /// Holes: centre in flat coordinates and diameter, m.
    pub holes: Vec<(DVec2, f64)>,
    /// Thickness, m.
    pub thickness: f64,
    /// Its two faces, as heights over the outline's plane: lower and upper, m.
    pub faces: (f64, f64),
    /// Area less holes, m².
    pub area: f64,
    /// kg.
    pub mass: f64,
}

impl Plate {
    /// The face on the side of a point: a point of it and its normal, pointing out of the plate.
    pub fn near_face(&self, from: DVec3) -> (DVec3, DVec3) {
        let above = (from - self.frame.origin).dot(self.frame.t) > 0.5 * (self.faces.0 + self.faces.1);
        let (h, n) = if above { (self.faces.1, self.frame.t) } else { (self.faces.0, -self.frame.t) };
        (self.frame.origin + self.frame.t * h, n)
    }

    /// Holes (centre and diameter) that lie within the outline and clear of it and of those before them: what runs
    /// into an edge or into another hole is no hole of a solid.
    pub fn whole_holes(&self) -> Vec<(DVec2, f64)> {
        let n = self.corners.len();
        let edges = || (0..n).map(|k| (self.corners[k], self.corners[(k + 1) % n]));
        let mut out: Vec<(DVec2, f64)> = Vec::new();
        for &(c, d) in &self.holes {
            let clear = edges().all(|(a, b)| {
                let along = b - a;
                let t = ((c - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
                c.distance(a + along * t) > 0.5 * d
            });
            let inside = edges()
                .filter(|(a, b)| (a.y > c.y) != (b.y > c.y))
                .fold(false, |odd, (a, b)| odd != (c.x < a.x + (b.x - a.x) * (c.y - a.y) / (b.y - a.y)));
            if clear && inside && out.iter().all(|h| h.0.distance(c) > 0.5 * (h.1 + d)) {
                out.push((c, d));
            }
        }
        out
    }

    /// A place in space of flat coordinates, at a height over the outline's plane.
    pub fn place(&self, p: DVec2, height: f64) -> DVec3 {
        self.frame.place(p) + self.frame.t * height
    }
}

/// An outline's corners may lie off their common plane by this much: a tenth of a millimetre, less than a sheet's own
/// flatness, so that points given to a tenth still make a plate.
const FLAT: f64 = 1e-4;

pub(crate) fn expand(design: &Design, places: &Places) -> Result<Vec<Plate>, Vec<Problem>> {
    let mut out = Vec::new();
    let mut problems = Vec::new();
    for i in 0..design.plates.len() {
        let mut push = |plate: Result<Plate, Box<Problem>>| match plate {
            Ok(p) => out.push(p),
            Err(e) => problems.push(*e),
        };
        push(plate(design, places, i, false));
        if design.plates[i].mirror {
            push(plate(design, places, i, true).map(mirrored));
        }
    }
    // A twin's trouble only repeats its plate's.
    problems.dedup();
    if problems.is_empty() { Ok(out) } else { Err(problems) }
}

fn mirrored(plate: Plate) -> Plate {
    Plate {
        name: design::twin_name(&plate.name, true),
        twin: true,
        // In the mirrored frame v runs the other way, so flat y does too.
        frame: plate.frame.mirrored(),
        corners: plate.corners.iter().rev().map(|c| DVec2::new(c.x, -c.y)).collect(),
        holes: plate.holes.iter().map(|h| (DVec2::new(h.0.x, -h.0.y), h.1)).collect(),
        ..plate
    }
}

/// A plate, or what its twin is the mirror image of.
fn plate(design: &Design, places: &Places, i: usize, mirror: bool) -> Result<Plate, Box<Problem>> {
    let p = &design.plates[i];
    let fail = |message: String, label: &str| Err(Box::new(Problem::error(message, p.span.clone(), label)));
    let at = |r: &design::PointRef| places.seen(r, mirror);
    let (frame, mut corners) = match &p.outline {
        PlateOutline::Points(refs) => {
            let pts: Vec<DVec3> = refs.iter().map(at).collect();
            // Newell's normal: right for any simple polygon, whichever corner is hollow.
            let n = (0..pts.len())
                .map(|k| (pts[k] - pts[0]).cross(pts[(k + 1) % pts.len()] - pts[0]))
                .fold(DVec3::ZERO, |s, x| s + x);
            let Some(mut frame) = Frame::new(pts[0], n, pts[1] - pts[0]) else {
                return fail(format!("plate `{}` has no area", p.name), "its corners lie on one line");
            };
            let over = |q: &DVec3| (*q - pts[0]).dot(frame.t);
            if places.apart {
                // Built corners are seldom in one plane: the plate lies in their mean plane.
                frame.origin += frame.t * (pts.iter().map(over).sum::<f64>() / pts.len() as f64);
            } else if pts.iter().any(|q| over(q).abs() > FLAT) {
                return fail(format!("plate `{}` is not flat", p.name), "its corners do not lie in one plane");
            }
            (frame, pts.iter().map(|q| frame.across(*q - pts[0])).collect::<Vec<_>>())
        }
        PlateOutline::Flat { origin, x, y, corners } => {
            let Some(frame) = Frame::new(at(origin), x.cross(*y), *x) else {
                return fail(format!("plate `{}` has no plane", p.name), "`x` and `y` point the same way");
            };
            (frame, corners.clone())
        }
    };
    if polygon::crosses_itself(&corners) || polygon::signed_area(&corners).abs() < FLAT * FLAT {
        return fail(
            format!("the outline of plate `{}` crosses itself", p.name),
            "list the corners in order round the plate",
        );
    }
    // With corners clockwise, "above" is the other side.
    let flip = polygon::signed_area(&corners) < 0.0;
    let side = match (p.side, flip) {
        (PlateSide::Above, true) => PlateSide::Below,
        (PlateSide::Below, true) => PlateSide::Above,
        (s, _) => s,
    };
    if flip {
        corners.reverse();
    }
    let h = p.thickness;
    let faces = match side {
        PlateSide::Centred => (-h / 2.0, h / 2.0),
        PlateSide::Above => (0.0, h),
        PlateSide::Below => (-h, 0.0),
    };
    let holes: Vec<(DVec2, f64)> = p
        .holes
        .iter()
        .map(|hole| match &hole.at {
            HoleAt::Flat(c) => (*c, hole.d),
            HoleAt::Point(r) => (frame.across(at(r) - frame.origin), hole.d),
        })
        .collect();
    let cut: f64 = holes.iter().map(|h| std::f64::consts::PI * h.1 * h.1 / 4.0).sum();
    let area = polygon::signed_area(&corners) - cut;
    let mass = area * h * design.materials[p.material.0].density;
    Ok(Plate {
        name: p.name.clone(),
        id: PlateId(i),
        twin: false,
        frame,
        corners,
        holes,
        thickness: h,
        faces,
        area,
        mass,
    })
}
