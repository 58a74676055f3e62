//! The saddles that the design file asks for.

use design::{PlaneSpec, SaddleAt, SaddleOn, SaddleWish};
use geometry::DVec3;
use shape::{End, Finding, Level, Role, Shape};

use super::{Host, SaddleAsk, Where};

/// One for each end that lands on a tube which passes there.
pub fn everywhere(shape: &Shape) -> Vec<SaddleAsk> {
    let drawn = |i: usize| shape.tubes[i].state != design::TubeState::Provisional;
    let mut out = Vec::new();
    for j in &shape.joints {
        for m in j.members.iter().filter(|m| m.role != Role::Through && drawn(m.tube)) {
            let passes = j.members.iter().filter(|h| h.role == Role::Through && h.tube != m.tube && drawn(h.tube));
            let Some(h) = passes.min_by(|a, b| a.offset.total_cmp(&b.offset)) else { continue };
            let end = if m.role == Role::Start { End::Start } else { End::End };
            out.push(SaddleAsk {
                held: shape.tubes[m.tube].name.clone(),
                host: Host::Tube(shape.tubes[h.tube].name.clone()),
                at: Where::Joint(end),
            });
        }
    }
    out.sort_by_key(|s| shape.find(&s.held));
    out
}

/// What the file asks for, and what of it can't be understood on this frame; `None` if it does not say.
pub fn asked(shape: &Shape) -> Option<(Vec<SaddleAsk>, Vec<Finding>)> {
    let wishes = shape.design.jig.saddles.as_ref()?;
    let own = everywhere(shape);
    let (mut asks, mut findings) = (Vec::new(), Vec::new());
    for w in wishes {
        let held = shape.design.tube_name(&w.tube);
        match ask(shape, w, &held, &own) {
            Ok(a) => asks.push(a),
            Err((why, help)) => {
                let what = format!("no saddle for {held}: {why}");
                findings.push(Finding::new(Level::Look, "jigs", what).help(help).tubes([held]));
            }
        }
    }
    Some((asks, findings))
}

type Fault = (String, &'static str);

fn ask(shape: &Shape, w: &SaddleWish, held: &str, own: &[SaddleAsk]) -> Result<SaddleAsk, Fault> {
    let index = shape.find(held).ok_or_else(|| (format!("there is no tube {held}"), "name a tube of the design"))?;
    let chain = &shape.tubes[index].chain;
    let length = chain.length();
    let at = match w.at {
        SaddleAt::Start => Where::Joint(End::Start),
        SaddleAt::End => Where::Joint(End::End),
        SaddleAt::Along(at) => {
            let s = if at < 0.0 { length + at } else { at };
            if !(0.0..=length).contains(&s) {
                return Err(("it is not that long".to_owned(), "`at` counts from its start, from its end if negative"));
            }
            Where::Station(s)
        }
    };
    let host = match &w.on {
        SaddleOn::Tube(t) => Host::Tube(shape.design.tube_name(t)),
        SaddleOn::Passing => own
            .iter()
            .find(|a| a.held == held && a.at == at)
            .map(|a| a.host.clone())
            .ok_or_else(|| ("no tube passes at that end".to_owned(), "say with `on` or `flat` what it sits on"))?,
        SaddleOn::Flat(plane) => {
            let near = chain.point(match at {
                Where::Joint(End::Start) => 0.0,
                Where::Joint(End::End) => length,
                Where::Station(s) => s,
            });
            let (point, normal) = flat(shape, plane, near)
                .ok_or_else(|| ("its flat is not there".to_owned(), "name a plate of the design, or give a plane"))?;
            // It looks to the tube, from whichever side that stands.
            let side = if (near - point).dot(normal) < 0.0 { -1.0 } else { 1.0 };
            Host::Flat { point, normal: normal * side }
        }
    };
    Ok(SaddleAsk { held: held.to_owned(), host, at })
}

/// A point of a flat and its unit normal; of a plate the face nearest to a place.
fn flat(shape: &Shape, plane: &PlaneSpec, near: DVec3) -> Option<(DVec3, DVec3)> {
    match plane {
        PlaneSpec::Axis { axis, value } => {
            let n = DVec3::AXES[(*axis).min(2)];
            Some((n * *value, n))
        }
        PlaneSpec::Point { point, normal } => Some((shape.place(point), normal.try_normalize()?)),
        PlaneSpec::Plate { plate, twin } => {
            let of = |p: &&shape::Plate| p.id == *plate && p.twin == *twin;
            shape.plates.iter().find(of).map(|p| p.near_face(near))
        }
    }
}
