//! What several tests need; none needs all of it.
#![allow(dead_code)]

use design::*;

/// The same design as if it had been read from nowhere: without places in a text.
pub fn without_spans(design: &Design) -> Design {
    let mut d = design.clone();
    d.source = "".into();
    let point = |p: &mut PointRef| p.span = 0..0;
    let tube = |t: &mut TubeRef| t.span = 0..0;
    if let Datum::Under(t) | Datum::Over(t) = &mut d.datum {
        tube(t);
    }
    d.sections.iter_mut().for_each(|s| s.span = 0..0);
    d.dies.iter_mut().for_each(|s| s.span = 0..0);
    d.rack.sticks.iter_mut().for_each(|s| s.span = 0..0);
    d.suppliers.iter_mut().for_each(|s| s.span = 0..0);
    for s in &mut d.stages {
        s.span = 0..0;
        tube(&mut s.until);
    }
    for p in &mut d.points {
        p.span = 0..0;
        match &mut p.placement {
            Placement::On { tube: t, .. } => tube(t),
            Placement::From { point: p, .. } => point(p),
            Placement::At(_) => {}
        }
    }
    for s in d.jig.saddles.iter_mut().flatten() {
        s.span = 0..0;
        tube(&mut s.tube);
        match &mut s.on {
            SaddleOn::Tube(t) => tube(t),
            SaddleOn::Flat(PlaneSpec::Point { point: p, .. }) => point(p),
            _ => {}
        }
    }
    for t in &mut d.tubes {
        (t.span, t.path_span) = (0..0, 0..0);
        t.out_after.iter_mut().for_each(tube);
        t.path.iter_mut().for_each(point);
        for end in [&mut t.start, &mut t.end] {
            end.span = None;
            end.to.iter_mut().for_each(tube);
            if let CutSpec::Plane(PlaneSpec::Point { point: p, .. }) = &mut end.cut {
                point(p);
            }
        }
    }
    for p in &mut d.plates {
        p.span = 0..0;
        match &mut p.outline {
            PlateOutline::Points(points) => points.iter_mut().for_each(point),
            PlateOutline::Flat { origin, .. } => point(origin),
        }
        for hole in &mut p.holes {
            if let HoleAt::Point(p) = &mut hole.at {
                point(p);
            }
        }
    }
    let place = |place: &mut Place| {
        if let Place::Point(p) = place {
            p.span = 0..0;
        }
    };
    for m in &mut d.masses {
        m.span = 0..0;
        place(&mut m.at);
    }
    for w in &mut d.wheels {
        w.span = 0..0;
        place(&mut w.at);
    }
    for o in &mut d.occupants {
        o.span = 0..0;
        place(&mut o.hip);
        if let Some(hands) = &mut o.hands {
            place(hands);
        }
    }
    for s in &mut d.stances {
        s.span = 0..0;
        s.stands.iter_mut().for_each(|s| s.under.span = 0..0);
        s.without.iter_mut().for_each(|r| r.span = 0..0);
    }
    for o in &mut d.openings {
        o.span = 0..0;
        o.edge.iter_mut().for_each(|p| p.span = 0..0);
    }
    for m in &mut d.measures {
        m.span = 0..0;
        for of in [&mut m.from, &mut m.to] {
            match of {
                Measured::Point(p) | Measured::Plane(PlaneSpec::Point { point: p, .. }) => p.span = 0..0,
                Measured::Tube(t) => t.span = 0..0,
                _ => {}
            }
        }
    }
    for m in &mut d.mounts {
        m.span = 0..0;
        m.at.iter_mut().for_each(|p| p.span = 0..0);
    }
    for l in &mut d.loads {
        l.span = 0..0;
        l.forces.iter_mut().for_each(|f| f.at.span = 0..0);
        l.spread.iter_mut().for_each(|s| s.along.span = 0..0);
        l.held.iter_mut().for_each(|h| h.at.span = 0..0);
    }
    if let Some(rig) = &mut d.strength.rig {
        rig.front.iter_mut().chain(&mut rig.rear).for_each(|p| p.span = 0..0);
    }
    d.skins.iter_mut().for_each(|s| s.span = 0..0);
    for c in &mut d.curves {
        c.span = 0..0;
        if let CurvePoints::Places(places) = &mut c.points {
            places.iter_mut().for_each(place);
        }
    }
    d.obstacles.iter_mut().for_each(|s| s.span = 0..0);
    d
}

/// Reads a text that must be valid.
pub fn read_valid(text: &str) -> Design {
    match read(text) {
        Ok(reading) => reading.design,
        Err(problems) => panic!("{text}\n{}", render(&problems, "text", text)),
    }
}

/// A file that uses every table and nearly every key.
pub const FULL: &str = include_str!("full.toml");
