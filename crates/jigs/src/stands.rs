//! Stands: how long each is cut, from what, and whether they hold the frame.

use geometry::{DMat3, DVec2, DVec3, Outline};
use serde::Serialize;
use shape::{End, Finding, Level, Shape, Value};

use crate::world::{Face, World, half_depth};

/// Which place of the tube a height is wanted of, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// Its underside.
    Underside(f64),
    /// Its top.
    Top(f64),
    /// Its axis.
    Axis(f64),
    /// As high as it is drawn, with the datum at its height.
    AsDrawn,
}

/// From where a wanted height counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// The level reference: the floor where its reading is 0.
    Floor,
    /// The design's datum.
    Datum,
}

/// A stand that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Support {
    /// Name of the tube.
    pub under: String,
    /// Station: where its axis crosses this x, m.
    pub x: f64,
    /// How high.
    pub wanted: Wanted,
    /// From where.
    pub from: From,
    /// Shims between stand and tube, m.
    pub shim: f64,
    /// The stand's own foot plate, m.
    pub foot: f64,
    /// How much higher than the level reference the floor is there, m.
    pub floor: f64,
}

/// A piece of scrap.
#[derive(Clone, Debug, PartialEq)]
pub struct Scrap {
    /// Its name or mark.
    pub name: String,
    /// Length, m.
    pub length: f64,
}

/// All stands of a frame.
#[derive(Clone, Debug, PartialEq)]
pub struct StandsAsk {
    /// The stands.
    pub supports: Vec<Support>,
    /// Height of the datum (where it crosses x = y = 0) over the level reference, m.
    pub datum_over_floor: f64,
    /// How the frame is to be tilted on them.
    pub world: World,
    /// Scrap on hand.
    pub scrap: Vec<Scrap>,
    /// Width of a saw cut, m.
    pub kerf: f64,
    /// Centre of gravity of what rests on them; by default that of the frame.
    pub centre: Option<DVec3>,
}

/// A stand as it is cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stand {
    /// The tube over it.
    pub under: String,
    /// The tube's underside there as drawn, straight under its axis, m.
    pub at: DVec3,
    /// How high that is to be over the level reference, m.
    pub over_floor: f64,
    /// How high it is to be over the datum, m: this one does not know the floor.
    pub over_datum: f64,
    /// From the tube's underside to its top, plumb, m.
    pub depth: f64,
    /// Length over the middle of its top, without foot plate and shim, m.
    pub length: f64,
    /// Angle of its top from square along the tube, rad, 0 and up.
    pub top: f64,
    /// The tube's end towards which the top falls; none if it is square.
    pub falls: Option<End>,
    /// A box's lower face leans across by this, rad: positive clockwise, looking from start to end.
    pub roll: f64,
    /// Length if its top is cut flush to that face, m; the same as `length` where there is no roll.
    pub flush: f64,
    /// The scrap that it comes from.
    pub scrap: Option<String>,
}

/// Stands and what there is to say of them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stands {
    /// In the order asked; those that can't be are left out.
    pub stands: Vec<Stand>,
    /// How far the centre of gravity lies inside their polygon, m; negative outside. `None` if they span none.
    pub margin: Option<f64>,
    /// How far heights wanted stray from one plane: the largest less the least, m.
    pub rock: f64,
    /// How far out of level (against what is asked) they hold the frame, rad.
    pub tilt: f64,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// Stands that differ by more than this rock: a thick sheet of card slides under one, m.
pub const ROCKS: f64 = 0.5e-3;
/// A frame that is less out of level than this is level: a good spirit level's 0.5 mm/m.
const OUT_OF_LEVEL: f64 = 0.5e-3;
/// Stands within this of one line are on it, m.
const ONE_LINE: f64 = 1e-3;

/// Four stands, or as many as there is room for, under the tube that the datum names and its twin, as drawn.
pub fn suggest(shape: &Shape, datum_over_floor: f64) -> StandsAsk {
    let named = match &shape.design.datum {
        design::Datum::Under(t) | design::Datum::Over(t) => Some(shape.tubes[shape.index(t)].id),
        design::Datum::Z(_) => None,
    };
    let mut supports = Vec::new();
    for t in shape.tubes.iter().filter(|t| Some(t.id) == named) {
        // A fifth from each end: there a bar that is carried at two places sags least (Airy's 0.21, from memory).
        for part in [0.2, 0.8] {
            let x = t.chain.point(t.chain.length() * part).x;
            supports.push(Support {
                under: t.name.clone(),
                x,
                wanted: Wanted::AsDrawn,
                from: From::Datum,
                shim: 0.0,
                foot: 0.0,
                floor: 0.0,
            });
        }
    }
    StandsAsk { supports, datum_over_floor, world: World::SQUARE, scrap: Vec::new(), kerf: 0.0, centre: None }
}

/// Works out stands.
pub fn stands(shape: &Shape, ask: &StandsAsk) -> Stands {
    let mut findings = Vec::new();
    let mut out = Vec::new();
    let up = ask.world.up;
    let datum = DVec3::Z * shape.datum;
    let mut mend = |s: &Support, why: String, help: &str| {
        findings.push(Finding::new(Level::Mend, "jigs", why).tubes([s.under.clone()]).help(help));
    };
    for s in &ask.supports {
        let Some(t) = shape.find(&s.under).map(|i| &shape.tubes[i]) else {
            mend(s, format!("there is no tube {} for a stand to go under", s.under), "name a tube of the design");
            continue;
        };
        let Some(&station) = t.chain.crossings(0, s.x).first() else {
            mend(s, format!("{} does not reach over the stand that is put under it", t.name), "move the stand along x");
            continue;
        };
        let f = t.frame_at(station);
        let Some(half) = half_depth(&f, &t.outline, up) else {
            mend(s, format!("{} is too steep to rest on a stand", t.name), "put the stand under a flatter tube");
            continue;
        };
        let at = f.origin - up * half;
        let base = if s.from == From::Floor { 0.0 } else { ask.datum_over_floor };
        let over_floor = match s.wanted {
            Wanted::Underside(h) => base + h,
            Wanted::Top(h) => base + h - 2.0 * half,
            Wanted::Axis(h) => base + h - half,
            Wanted::AsDrawn => ask.datum_over_floor + (at - datum).dot(up),
        };
        let length = over_floor - s.shim - s.foot - s.floor;
        if !(length > 0.0 && length.is_finite()) {
            let why = format!("{} lies too low for a stand under it", t.name);
            mend(s, why, "set it on the floor, or hold the whole frame higher");
            continue;
        }
        let slope = f.t.dot(up).clamp(-1.0, 1.0).asin();
        let (roll, flush) = match t.outline {
            Outline::Circle { .. } => (0.0, length),
            Outline::RoundRect { half_x, half_y, .. } => {
                // The face that points most downward.
                let (m, depth, _) = Face::towards(&f, -up).of(&f, half_x, half_y);
                let roll = f.t.cross(m).dot(up).atan2(-m.dot(up));
                (roll, length + half - depth / -m.dot(up))
            }
        };
        out.push(Stand {
            under: t.name.clone(),
            at,
            over_floor,
            over_datum: over_floor - ask.datum_over_floor,
            depth: 2.0 * half,
            length,
            top: slope.abs(),
            falls: (slope.abs() > 1e-6).then_some(if slope > 0.0 { End::Start } else { End::End }),
            roll,
            flush,
            scrap: None,
        });
    }
    saw(&mut out, ask, &mut findings);
    let centre = ask.centre.unwrap_or_else(|| shape::mass::frame(shape).centre);
    let (margin, rock, tilt) =
        if ask.supports.is_empty() { (None, 0.0, 0.0) } else { rest(&out, up, centre, &mut findings) };
    Stands { stands: out, margin, rock, tilt, findings }
}

/// Takes the longest first, each from the shortest scrap that holds it.
fn saw(stands: &mut [Stand], ask: &StandsAsk, findings: &mut Vec<Finding>) {
    if ask.scrap.is_empty() {
        return;
    }
    let mut left: Vec<(f64, &str)> = ask.scrap.iter().map(|s| (s.length, s.name.as_str())).collect();
    let mut order: Vec<usize> = (0..stands.len()).collect();
    order.sort_by(|&a, &b| stands[b].length.total_cmp(&stands[a].length));
    for i in order {
        // A top that is not square, or flush to a face, takes the longer of the two.
        let need = stands[i].length.max(stands[i].flush);
        let fits = left.iter_mut().filter(|s| s.0 >= need - geometry::SAME_PLACE);
        match fits.min_by(|a, b| a.0.total_cmp(&b.0)) {
            Some(s) => {
                stands[i].scrap = Some(s.1.to_owned());
                s.0 -= need + ask.kerf;
            }
            None => findings.push(
                Finding::new(
                    Level::Look,
                    "jigs",
                    format!("no scrap is long enough for the stand under {}", stands[i].under),
                )
                .tubes([stands[i].under.clone()])
                .at(stands[i].at)
                .measured(Value::Length(need))
                .help("find a longer piece"),
            ),
        }
    }
}

/// Margin of the centre, rock and tilt.
fn rest(stands: &[Stand], up: DVec3, centre: DVec3, findings: &mut Vec<Finding>) -> (Option<f64>, f64, f64) {
    let u = (DVec3::X - up * up.x).normalize_or(up.any_orthonormal_vector());
    let v = up.cross(u);
    let flat = |p: DVec3| DVec2::new(p.dot(u), p.dot(v));
    let plan: Vec<DVec2> = stands.iter().map(|s| flat(s.at)).collect();
    let hull = hull(&plan);
    let width = |i: usize| {
        let d = (hull[(i + 1) % hull.len()] - hull[i]).normalize_or_zero();
        hull.iter().map(|p| d.perp_dot(*p - hull[i])).fold(0.0, f64::max)
    };
    let what = |text: String| Finding::new(Level::Mend, "jigs", text).tubes(stands.iter().map(|s| s.under.clone()));
    if stands.len() < 3 {
        let n = match stands.len() {
            0 => "no stand holds it".to_owned(),
            1 => "one stand does not hold it".to_owned(),
            _ => "two stands do not hold it".to_owned(),
        };
        findings.push(what(n).help("it takes three that are not on one line"));
        return (None, 0.0, 0.0);
    }
    if hull.len() < 3 || (0..hull.len()).map(width).fold(f64::INFINITY, f64::min) < ONE_LINE {
        findings.push(what("its stands are on one line".to_owned()).help("move one of them off the line"));
        return (None, 0.0, 0.0);
    }
    let c = flat(centre);
    let margin = (0..hull.len())
        .map(|i| (hull[(i + 1) % hull.len()] - hull[i]).normalize_or_zero().perp_dot(c - hull[i]))
        .fold(f64::INFINITY, f64::min);
    if margin < 0.0 {
        findings.push(
            what("its centre of gravity lies outside its stands: it tips off them".to_owned())
                .at(centre)
                .measured(Value::Length(-margin))
                .help("put a stand beyond it"),
        );
    }
    // Heights wanted less heights as drawn, by a plane about their middle.
    let n = stands.len() as f64;
    let middle = plan.iter().copied().sum::<DVec2>() / n;
    let off: Vec<f64> = stands.iter().map(|s| s.over_floor - s.at.dot(up)).collect();
    let mean = off.iter().sum::<f64>() / n;
    let (mut m, mut r) = (DMat3::ZERO, DVec3::ZERO);
    for (p, z) in plan.iter().zip(&off) {
        let q = DVec3::new(p.x - middle.x, p.y - middle.y, 1.0);
        m += DMat3::from_cols(q * q.x, q * q.y, q * q.z);
        r += q * (z - mean);
    }
    let k = m.inverse() * r;
    let left: Vec<f64> =
        plan.iter().zip(&off).map(|(p, z)| z - mean - k.dot(DVec3::new(p.x - middle.x, p.y - middle.y, 1.0))).collect();
    let rock =
        left.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b)) - left.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    let tilt = k.truncate().length().atan();
    if rock > ROCKS {
        findings.push(
            Finding::new(Level::Look, "jigs", "its stands disagree: it rocks on them")
                .tubes(stands.iter().map(|s| s.under.clone()))
                .measured(Value::Length(rock))
                .limit(Value::Length(ROCKS), "a thick sheet of card; our own choice")
                .help("cut all from one datum, or shim the one that is low"),
        );
    }
    if tilt > OUT_OF_LEVEL {
        findings.push(
            Finding::new(Level::Note, "jigs", "the frame is out of level on its stands")
                .measured(Value::Angle(tilt))
                .limit(Value::Angle(OUT_OF_LEVEL), "a good spirit level; our own choice")
                .help("go by the readings that are plumb to the world, for this tilt"),
        );
    }
    (Some(margin), rock, tilt)
}

/// Convex hull, anticlockwise (Andrew's monotone chain).
fn hull(points: &[DVec2]) -> Vec<DVec2> {
    let mut p = points.to_vec();
    p.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |it: &mut dyn Iterator<Item = DVec2>| {
        let mut out: Vec<DVec2> = Vec::new();
        for q in it {
            while out.len() > 1 && (out[out.len() - 1] - out[out.len() - 2]).perp_dot(q - out[out.len() - 1]) <= 0.0 {
                out.pop();
            }
            out.push(q);
        }
        out.pop();
        out
    };
    let mut lower = half(&mut p.iter().copied());
    lower.extend(half(&mut p.iter().rev().copied()));
    lower
}
