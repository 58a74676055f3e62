//! Which tubes stand, and where the points are that hold them.

use std::collections::{BTreeMap, BTreeSet};

use adjust::fit::{Pair, best_fit};
use design::measured::Measured;
use design::{Design, Placement, PointId, PointRef, TubeState};
use geometry::{DMat3, DVec3};
use glam::DQuat;
use shape::{Moved, Shape};

use crate::network::{Net, designed};
use crate::spots::point_name;
use crate::{Doubt, Place, bent};

/// Numbers of the tubes that stand, in fitting order: up to the one that the sheet names, and what the shop has tacked or
/// welded; without either, those with two places measured on them.
pub(crate) fn standing(shape: &Shape, m: &Measured, net: &Net, done: &[String]) -> Vec<usize> {
    let last = m.standing.as_ref().map(|t| {
        // Its twin goes with it.
        let i = shape.index(t);
        (i..shape.tubes.len()).take_while(|&k| shape.tubes[k].id == shape.tubes[i].id).last().unwrap_or(i)
    });
    let said = last.is_some() || !done.is_empty();
    (0..shape.tubes.len())
        .filter(|&k| {
            let t = &shape.tubes[k];
            let there = last.is_some_and(|l| k <= l) || done.contains(&t.name);
            t.state != TubeState::Provisional && (there || (!said && measured_on(shape, net, k).len() >= 2))
        })
        .collect()
}

/// Numbers of the measured places on a tube: its path's points, points placed on it, marks.
fn measured_on(shape: &Shape, net: &Net, tube: usize) -> BTreeSet<usize> {
    let t = &shape.tubes[tube];
    let design = &shape.design;
    let mut out: BTreeSet<usize> =
        net.marks.iter().enumerate().filter(|(_, m)| **m == Some(tube)).map(|(k, _)| k).collect();
    for r in &design.tubes[t.id.0].path {
        out.extend(net.number(&point_name(shape, &flipped(r, t.twin))));
    }
    for (i, p) in design.points.iter().enumerate() {
        let Placement::On { tube: host, by, .. } = &p.placement else { continue };
        if host.id != t.id || *by != DVec3::ZERO {
            continue;
        }
        for twin in [false, true] {
            let r = PointRef { id: PointId(i), twin, span: p.span.clone() };
            // On a tube without a twin both a point and its twin are on it if they lie there.
            if shape.tubes[tube].chain.nearest(shape.place(&r)).1 < geometry::SAME_PLACE {
                out.extend(net.number(&point_name(shape, &r)));
            }
        }
    }
    out
}

fn flipped(r: &PointRef, twin: bool) -> PointRef {
    PointRef { twin: r.twin != twin, ..r.clone() }
}

/// Places with less spread across their line than this are on one line, m.
const LINE: f64 = 1e-3;

/// The motion that takes designed places to found ones: turned and slid as well as it goes, turned as little as it must be
/// where places on one line leave a turn open.
fn motion(pairs: &[(DVec3, DVec3)]) -> impl Fn(DVec3) -> DVec3 {
    let n = pairs.len().max(1) as f64;
    let from = pairs.iter().map(|p| p.0).sum::<DVec3>() / n;
    let to = pairs.iter().map(|p| p.1).sum::<DVec3>() / n;
    let far = pairs.iter().max_by(|a, b| a.0.distance(from).total_cmp(&b.0.distance(from)));
    let line = far.and_then(|f| (f.0 - from).try_normalize());
    let across = |p: DVec3| line.map_or(0.0, |l| (p - from).reject_from_normalized(l).length());
    let turn = if pairs.len() >= 3 && pairs.iter().any(|p| across(p.0) > LINE) {
        let pairs: Vec<Pair> = pairs.iter().map(|(d, f)| Pair { measured: *d, design: *f, weight: 1.0 }).collect();
        best_fit(&pairs).map_or(DMat3::IDENTITY, |f| f.turn)
    } else {
        // The line of the designed places, to the line that fits the found ones best.
        let along: DVec3 = line.map_or(DVec3::ZERO, |l| pairs.iter().map(|p| (p.1 - to) * (p.0 - from).dot(l)).sum());
        match (line, along.try_normalize()) {
            (Some(l), Some(a)) => DMat3::from_quat(DQuat::from_rotation_arc(l, a)),
            _ => DMat3::IDENTITY,
        }
    };
    move |p| to + turn * (p - from)
}

/// Where the design's points are: those that were measured, and those of standing tubes that can't be (a bend's corner): they
/// go with their tube, which has its designed form but for what the places measured on it ask.
pub(crate) fn moved(shape: &Shape, standing: &[usize], net: &Net, places: &[Place]) -> Moved {
    let design = &shape.design;
    let found: BTreeMap<&str, DVec3> = places.iter().map(|p| (p.name.as_str(), p.at)).collect();
    let mut out = Moved::default();
    for i in 0..design.points.len() {
        for twin in [false, true] {
            let r = PointRef { id: PointId(i), twin, span: design.points[i].span.clone() };
            if let Some(at) = found.get(point_name(shape, &r).as_str()) {
                out.put(design, r.id, twin, *at, shape.place(&r));
            }
        }
    }
    // Corners that no reading can place.
    let mut led = BTreeSet::new();
    for &k in standing {
        let t = &shape.tubes[k];
        let on = measured_on(shape, net, k);
        let pairs: Vec<(DVec3, DVec3)> = on
            .iter()
            .filter_map(|&n| Some((designed(net, n), *found.get(net.network.points[n].name.as_str())?)))
            .collect();
        if pairs.is_empty() {
            continue;
        }
        let motion = motion(&pairs);
        for r in &design.tubes[t.id.0].path {
            let r = flipped(r, t.twin);
            if !rides(design, &r) && out.get(r.id, r.twin).is_none() {
                let at = shape.place(&r);
                out.put(design, r.id, r.twin, motion(at), at);
                led.insert((r.id, r.twin));
            }
        }
    }
    // What is loose or contradicted is no ground to bend a tube otherwise.
    let known = |p: &&Place| !matches!(p.doubt, Some(Doubt::Contradicted(_) | Doubt::Loose));
    let found = places.iter().filter(known).map(|p| (p.name.as_str(), p.at)).collect();
    bend(shape, standing, net, &found, &led, &mut out);
    out
}

/// What is placed on another tube goes with that one.
fn rides(design: &Design, r: &PointRef) -> bool {
    matches!(design.points[r.id.0].placement, Placement::On { .. })
}

/// Moves corners that went along with their tube's designed form, so that its axis passes what was measured on it.
fn bend(
    shape: &Shape,
    standing: &[usize],
    net: &Net,
    found: &BTreeMap<&str, DVec3>,
    led: &BTreeSet<(PointId, bool)>,
    out: &mut Moved,
) {
    let design = &shape.design;
    // Where its other points are by now: a foot on a rail is where that rail is.
    let Ok(now) = shape::resolve_moved(design.clone(), out) else { return };
    for &k in standing {
        let t = &shape.tubes[k];
        let tube = &design.tubes[t.id.0];
        let path: Vec<PointRef> = tube.path.iter().map(|r| flipped(r, t.twin)).collect();
        let given: Vec<DVec3> = path.iter().map(|r| now.place(r)).collect();
        let free: Vec<bool> = path.iter().map(|r| led.contains(&(r.id, r.twin))).collect();
        let on = measured_on(shape, net, k);
        let seen: Vec<DVec3> =
            on.iter().filter_map(|&n| found.get(net.network.points[n].name.as_str()).copied()).collect();
        let corners = bent::corners(&given, &free, &tube.bend_radii, &seen);
        for ((r, at), _) in path.iter().zip(corners).zip(&free).filter(|x| *x.1) {
            out.put(design, r.id, r.twin, at, shape.place(r));
        }
    }
}
