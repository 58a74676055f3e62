//! Spans that run on smoothly as the corners of a bent tube.

use std::f64::consts::PI;

use drawing::Span;
use geometry::DVec3;

/// An arc of more than this (170 degrees) is bent in parts: its corner would lie eleven radii off and more.
const WHOLE: f64 = 170.0 * PI / 180.0;
/// No part of such an arc turns more than this (120 degrees), rad.
const PART: f64 = 120.0 * PI / 180.0;
/// Lines that turn by less than this (about 6 minutes of arc) run straight on: over a metre it is 2 mm.
pub(crate) const STRAIGHT_ON: f64 = 0.002;

/// Whether it is an arc that is bent in parts.
pub(crate) fn in_parts(span: &Span) -> bool {
    matches!(span, Span::Arc { sweep, .. } if *sweep > WHOLE)
}

/// Corners and radii of a run of spans, each going on smoothly from the one before.
pub(crate) fn corners(spans: &[Span]) -> (Vec<DVec3>, Vec<f64>) {
    let mut parts: Vec<Span> = Vec::new();
    for s in spans {
        match (*s, parts.last_mut()) {
            (Span::Line { to, .. }, Some(Span::Line { to: last, .. })) => *last = to,
            (Span::Arc { centre, axis, sweep, .. }, _) if in_parts(s) => {
                let n = (sweep / PART).ceil();
                parts.extend((0..n as usize).map(|k| {
                    let start = s.at(k as f64 / n) - centre;
                    Span::Arc { centre, axis, start, sweep: sweep / n }
                }));
            }
            _ => parts.push(*s),
        }
    }
    let mut out = vec![parts[0].at(0.0)];
    let mut radii = Vec::new();
    for (k, s) in parts.iter().enumerate() {
        if let Span::Arc { start, sweep, .. } = *s {
            let radius = start.length();
            let own = s.at(0.0) + s.way(0.0) * (radius * (sweep / 2.0).tan());
            let line = |k: Option<usize>| k.and_then(|k| parts.get(k)).filter(|s| matches!(s, Span::Line { .. }));
            // Between two drawn lines the corner is where those meet: they are as long as the tube, and the arc is not.
            let between = match (line(k.checked_sub(1)), line(Some(k + 1))) {
                (Some(a), Some(b)) => meeting(a, b),
                _ => None,
            };
            out.push(between.filter(|p| p.distance(own) < radius).unwrap_or(own));
            radii.push(radius);
        }
    }
    out.push(parts[parts.len() - 1].at(1.0));
    (out, radii)
}

/// The place half way between two lines where they pass nearest.
fn meeting(a: &Span, b: &Span) -> Option<DVec3> {
    let (p, d, q, e) = (a.at(0.0), a.way(0.0), b.at(0.0), b.way(0.0));
    let across = d.dot(e);
    let spread = 1.0 - across * across;
    // Nearly parallel lines meet anywhere.
    if spread < 1e-6 {
        return None;
    }
    let w = q - p;
    let s = (w.dot(d) - across * w.dot(e)) / spread;
    let t = (across * w.dot(d) - w.dot(e)) / spread;
    Some((p + d * s + q + e * t) / 2.0)
}

/// Arcs of a radius put into the sharp corners of a run of lines, as far as the lines are long enough. Gives runs: a
/// corner without room, or which turns back, ends one.
pub(crate) fn rounded(spans: &[Span], radius: Option<f64>) -> Vec<Vec<Span>> {
    let mut out: Vec<Vec<Span>> = Vec::new();
    for (k, s) in spans.iter().enumerate() {
        let turn = |a: &Span, b: &Span| a.way(1.0).angle_between(b.way(0.0));
        let smooth = k > 0 && turn(&spans[k - 1], s) <= STRAIGHT_ON;
        let mut bent = 0.0;
        if let (Some(r), true) = (radius, k > 0 && !smooth) {
            let before = &spans[k - 1];
            if let (Span::Line { from, to }, Span::Line { to: end, .. }) = (*before, *s) {
                let angle = turn(before, s);
                let back = r * (angle / 2.0).tan();
                // Half of a line between two bends is for each of them.
                let half = |k: usize, whole: f64| if k == 0 || k + 1 == spans.len() { whole } else { whole / 2.0 };
                let room = half(k - 1, from.distance(to)).min(half(k, to.distance(end)));
                if angle < WHOLE && back <= room {
                    let (a, b) = (before.way(1.0), s.way(0.0));
                    let axis = a.cross(b).normalize_or(DVec3::Z);
                    let start = -axis.cross(a) * r;
                    let begin = to - a * back;
                    if let Some(run) = out.last_mut() {
                        if let Some(Span::Line { to, .. }) = run.last_mut() {
                            *to = begin;
                        }
                        run.push(Span::Arc { centre: begin - start, axis, start, sweep: angle });
                        bent = back;
                    }
                }
            }
        }
        let s = match *s {
            Span::Line { from, to } if bent > 0.0 => Span::Line { from: from + s.way(0.0) * bent, to },
            s => s,
        };
        if s.length() <= geometry::SAME_PLACE {
            continue;
        }
        match out.last_mut() {
            Some(run) if smooth || bent > 0.0 => run.push(s),
            _ => out.push(vec![s]),
        }
    }
    out
}
