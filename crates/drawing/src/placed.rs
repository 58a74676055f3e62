//! Moving what is drawn: turned, scaled, mirrored.

use glam::{DMat3, DVec3};

use crate::{Form, Span};

/// Parts of a linear map that differ by less than this from those of a similarity are one: files give ten digits or so.
const ALIKE: f64 = 1e-9;
/// Places at which an arc is taken that a map makes into an ellipse.
const ELLIPSE_PLACES: usize = 129;

/// A linear map and a shift: `p` goes to `map p + by`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// Turns, scales, mirrors.
    pub map: DMat3,
    /// Then moves.
    pub by: DVec3,
}

impl Placed {
    /// Leaves everything where it is.
    pub const HERE: Placed = Placed { map: DMat3::IDENTITY, by: DVec3::ZERO };

    /// Where a point goes.
    pub fn point(&self, p: DVec3) -> DVec3 {
        self.map * p + self.by
    }

    /// First `inner`, then this.
    pub fn after(&self, inner: &Placed) -> Placed {
        Placed { map: self.map * inner.map, by: self.point(inner.by) }
    }

    /// How much it scales in every direction alike, if it does.
    fn scale(&self) -> Option<f64> {
        let m = self.map;
        let (x, y, z) = (m.x_axis, m.y_axis, m.z_axis);
        let s = x.length();
        let square = [x.dot(y), y.dot(z), z.dot(x)].iter().all(|d| d.abs() <= ALIKE * s * s);
        let even = [y.length(), z.length()].iter().all(|l| (l - s).abs() <= ALIKE * s);
        (s > 0.0 && square && even).then_some(s)
    }

    /// Where a form goes. Arcs stay arcs where the map scales alike in all directions; else what holds them becomes a
    /// curve.
    pub fn form(&self, form: &Form) -> Form {
        match form {
            Form::Curve(points) => Form::Curve(points.iter().map(|p| self.point(*p)).collect()),
            Form::Spans(spans) => {
                let arcs = spans.iter().any(|s| matches!(s, Span::Arc { .. }));
                match self.scale() {
                    None if arcs => {
                        let mut points = Vec::new();
                        for s in spans {
                            let n = if matches!(s, Span::Arc { .. }) { ELLIPSE_PLACES - 1 } else { 1 };
                            points.extend((0..=n).map(|k| self.point(s.at(k as f64 / n as f64))));
                        }
                        Form::Curve(points)
                    }
                    scale => Form::Spans(spans.iter().map(|s| self.span(s, scale.unwrap_or(1.0))).collect()),
                }
            }
        }
    }

    fn span(&self, span: &Span, scale: f64) -> Span {
        match *span {
            Span::Line { from, to } => Span::Line { from: self.point(from), to: self.point(to) },
            Span::Arc { centre, axis, start, sweep } => {
                // A mirror turns right-handed into left-handed.
                let hand = self.map.determinant().signum();
                let axis = (self.map * axis) * (hand / scale);
                Span::Arc { centre: self.point(centre), axis, start: self.map * start, sweep }
            }
        }
    }
}
