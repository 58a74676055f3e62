//! Ways out in a rest attitude.

use design::Closure;
use geometry::DVec3;
use rollover::Attitude;
use shape::Shape;
use shape::openings::{FLAT, Passage};
use std::cell::OnceCell;

/// What the ground leaves of one opening.
#[derive(Clone, Debug, serde::Serialize)]
pub struct WayOut {
    /// Name of the opening.
    pub opening: String,
    /// How it is closed.
    pub closure: Closure,
    /// Clear area over the ground, m².
    pub area: f64,
    /// The largest ellipse of a person's proportions: its width and height, m.
    pub ellipse: [f64; 2],
    /// Whether a person passes, in the plane that fits the opening's corners best.
    pub passes: bool,
    /// How far the farthest corner lies from that plane, m: more than `shape::openings::FLAT` makes all of this a guess.
    pub off: f64,
    /// By how much the ellipse is too narrow and too short, m.
    pub missing: [f64; 2],
    /// How far the ground stands in its way: by which it was taken to be higher, for the room outside, m.
    pub raised: f64,
    /// What is left of it, m, in the frame's axes: pieces, each its corners in order.
    pub left: Vec<Vec<DVec3>>,
    /// The largest ellipse, where it lies; none where nothing is left.
    pub fits: Option<Fits>,
}

/// An ellipse in space.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Fits {
    /// Its centre, m.
    pub centre: DVec3,
    /// Its half axes, m: across and along the person.
    pub half: [DVec3; 2],
}

impl Fits {
    /// The point of its rim at an angle from the first half axis, rad.
    pub fn rim(&self, angle: f64) -> DVec3 {
        self.centre + self.half[0] * angle.cos() + self.half[1] * angle.sin()
    }
}

/// Every opening over the ground of an attitude: flat ones that a person passes first, then the widest.
///
/// Whoever comes out needs room outside too. The way is taken to run on, square to the opening, for as far as a person
/// is wide: an opening that looks at the ground counts only as far as it stands that much over it.
///
/// `whole` keeps what each opening is without ground, once it was asked for.
pub fn ways(shape: &Shape, a: &Attitude, centre: DVec3, whole: &[OnceCell<Passage>]) -> Vec<WayOut> {
    let person = shape.design.room.opening;
    let up = -a.normal;
    let ground = a.normal * (a.normal.dot(centre) + a.height);
    let mut out: Vec<WayOut> = shape
        .openings
        .iter()
        .zip(whole)
        .filter(|(o, _)| o.fault.is_none())
        .map(|(o, whole)| {
            let outward = if o.frame.t.dot(o.frame.origin - centre) < 0.0 { -o.frame.t } else { o.frame.t };
            let raised = (-outward.dot(up) * person[0]).max(0.0);
            let over = (ground + up * raised, up);
            let clipped;
            let p = if o.stands_over(over) {
                whole.get_or_init(|| o.passage(None, person))
            } else {
                clipped = o.passage(Some(over), person);
                &clipped
            };
            let scale = p.person.map_or(0.0, |f| f.scale);
            WayOut {
                opening: o.name.clone(),
                closure: o.closure,
                area: p.area,
                ellipse: person.map(|d| d * scale),
                passes: p.passes,
                off: o.off,
                missing: p.missing,
                raised,
                left: p.left.iter().map(|piece| piece.iter().map(|q| o.place(*q)).collect()).collect(),
                fits: p.person.map(|f| {
                    let way = |turn: f64| o.frame.u * turn.cos() + o.frame.v * turn.sin();
                    let [across, along] = person.map(|d| d * f.scale / 2.0);
                    Fits {
                        centre: o.place(f.centre),
                        half: [way(f.turn) * across, way(f.turn + std::f64::consts::FRAC_PI_2) * along],
                    }
                }),
            }
        })
        .collect();
    // Flat ones that pass come before what passes as a guess only.
    let sure = |w: &WayOut| w.passes && w.off <= FLAT;
    out.sort_by(|a, b| sure(b).cmp(&sure(a)).then(b.ellipse[0].total_cmp(&a.ellipse[0])));
    out
}
