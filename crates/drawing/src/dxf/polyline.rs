//! Polylines: light ones, and old ones with their vertices in entities of their own.

use std::f64::consts::TAU;

use glam::{DMat3, DVec3};

use super::entity::Raw;
use crate::{Error, Form, Span};

/// A corner in the polyline's plane, and the bulge of what follows it: the tangent of a quarter of the arc's angle.
#[derive(Clone, Copy, Default)]
struct Corner {
    at: DVec3,
    bulge: f64,
}

/// Flatter than this, an arc is a line: its height is under a billionth of its chord.
const FLAT: f64 = 2e-9;

/// A light polyline.
pub(super) fn light(raw: &Raw) -> Result<Form, Error> {
    let z = raw.number(38)?.unwrap_or(0.0);
    let mut corners: Vec<Corner> = Vec::new();
    for t in raw.own() {
        match (t.code, corners.last_mut()) {
            (10, _) => corners.push(Corner { at: DVec3::new(t.number()?, 0.0, z), bulge: 0.0 }),
            (20, Some(c)) => c.at.y = t.number()?,
            (42, Some(c)) => c.bulge = t.number()?,
            _ => {}
        }
    }
    Ok(spans(&corners, raw.integer(70)? & 1 == 1, &raw.plane()?))
}

/// An old polyline with its vertices; `Err` in the inner place: what is left out, in words.
pub(super) fn old(head: &Raw, vertices: &[Raw]) -> Result<Result<Form, String>, Error> {
    let flags = head.integer(70)?;
    if flags & (16 | 64) != 0 {
        return Ok(Err("faces and solids".into()));
    }
    let z = head.number(30)?.unwrap_or(0.0);
    let space = flags & 8 != 0;
    let mut corners = Vec::with_capacity(vertices.len());
    for v in vertices {
        // Control points of a smoothed polyline are not on it.
        if v.integer(70)? & 16 != 0 {
            continue;
        }
        let p = v.point(10)?;
        let at = if space { p } else { DVec3::new(p.x, p.y, z) };
        corners.push(Corner { at, bulge: if space { 0.0 } else { v.number(42)?.unwrap_or(0.0) } });
    }
    let plane = if space { DMat3::IDENTITY } else { head.plane()? };
    if flags & 4 != 0 {
        return Ok(Ok(Form::Curve(corners.iter().map(|c| plane * c.at).collect())));
    }
    Ok(Ok(spans(&corners, flags & 1 == 1, &plane)))
}

fn spans(corners: &[Corner], closed: bool, plane: &DMat3) -> Form {
    let n = corners.len();
    let last = if closed && n > 1 { n } else { n.saturating_sub(1) };
    let span = |k: usize| {
        let (a, b) = (corners[k], corners[(k + 1) % n]);
        bulged(a.at, b.at, a.bulge, plane)
    };
    Form::Spans((0..last).map(span).collect())
}

fn bulged(a: DVec3, b: DVec3, bulge: f64, plane: &DMat3) -> Span {
    let chord = b - a;
    let line = Span::Line { from: *plane * a, to: *plane * b };
    if bulge.abs() < FLAT || chord.length() == 0.0 {
        return line;
    }
    // Left of the chord by half of it, over the tangent of half the angle.
    let left = DVec3::new(-chord.y, chord.x, 0.0);
    let centre = (a + b) / 2.0 + left * ((1.0 - bulge * bulge) / (4.0 * bulge));
    let sweep = (4.0 * bulge.abs().atan()).min(TAU);
    let arc =
        Span::Arc { centre: *plane * centre, axis: plane.z_axis * bulge.signum(), start: *plane * (a - centre), sweep };
    if centre.is_finite() { arc } else { line }
}
