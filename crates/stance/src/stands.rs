//! The ground under stands.

use design::Stance;
use geometry::{DVec2, DVec3};
use serde::Serialize;
use shape::Shape;

use crate::ground::{self, Ground};

/// A stand as the frame rests on it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Foot {
    /// The tube that rests on it.
    pub tube: String,
    /// Where the tube's underside is, m.
    pub at: DVec3,
    /// Height that the stand gives it, m.
    pub height: f64,
    /// How much higher the underside is than that: not zero where stands do not agree, m.
    pub gap: f64,
}

/// A tube steeper than this (share of the vertical square to it) rests on no stand: its underside is no place to lift.
const UPRIGHT: f64 = 0.1;

/// The plane under stands and the places that rest on them, or why there is none.
pub(crate) fn ground(shape: &Shape, stance: &Stance) -> Result<(Ground, Vec<Foot>), String> {
    let mut lines = Vec::new();
    for s in &stance.stands {
        let t = &shape.tubes[shape.index(&s.under)];
        let Some(&station) = t.chain.crossings(0, s.x).first() else {
            return Err(format!("{} does not reach over the stand that is put under it", t.name));
        };
        let (i, _) = t.chain.locate(station);
        let (at, along) = (t.chain.point(station), t.chain.tangent(station));
        // The section there: its frame follows the material, turned with the tangent.
        let f = &t.frames[i];
        let frame = geometry::Frame::new(at, along, f.u).or_else(|| geometry::Frame::new(at, along, f.v));
        let Some(frame) = frame else { return Err(format!("{} has no direction over its stand", t.name)) };
        lines.push((t.name.clone(), frame, t.outline, s.height, s.top));
    }
    let plan: Vec<DVec2> = lines.iter().map(|l| l.1.origin.truncate()).collect();
    let depth = |i: usize, g: &Ground| {
        let (_, frame, outline, ..) = &lines[i];
        let down = frame.across(-g.normal);
        let share = down.length();
        (share > UPRIGHT).then(|| outline.support(down / share) / share)
    };
    if let Some(i) = (0..lines.len()).find(|&i| depth(i, &Ground::new(0.0, 0.0, 0.0)).is_none()) {
        return Err(format!("{} is too steep to rest on a stand", lines[i].0));
    }
    let ground = ground::fitted(&plan, |i, g| {
        // A height over the plane along its normal is this much more straight up.
        let up = 1.0 / g.normal.z;
        // A section looks the same upside down: its top is as far over its axis as its underside is under it.
        let half = if lines[i].4 { -depth(i, g)? } else { depth(i, g)? };
        Some(lines[i].1.origin.z - up * (lines[i].3 + half))
    })
    .ok_or("its stands do not hold it: it takes three that are not on one line")?;
    let feet = (0..lines.len())
        .filter_map(|i| {
            let half = depth(i, &ground)?;
            let at = lines[i].1.origin - ground.normal * half;
            let (tube, height) = (lines[i].0.clone(), lines[i].3 - if lines[i].4 { 2.0 * half } else { 0.0 });
            Some(Foot { tube, at, height, gap: ground.over(at) - height })
        })
        .collect();
    Ok((ground, feet))
}
