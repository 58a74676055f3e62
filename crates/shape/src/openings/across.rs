//! Tubes that run through an opening, and what they leave of it.

use design::TubeState;
use geometry::{DVec2, DVec3, Segment, clip, inset, polygon};

use super::{FLAT, Opening};
use crate::Tube;

/// Tubes whose middle lies within this many times their own reach of the edge run along it: once for its own half,
/// twice, a tube's width, for outlines whose points were taken beside its middle.
const ALONG: f64 = 3.0;

/// A bend is taken in steps of at most this, rad: on a radius of 200 mm its chords stray by 2 mm.
const STEP: f64 = 0.3;

/// Of more pieces than this the largest are kept: in the others nobody passes.
const MOST_PIECES: usize = 200;

/// A tube that runs through an opening.
#[derive(Clone, Debug, PartialEq)]
pub struct Across {
    /// The tube's name.
    pub tube: String,
    /// A place of its middle there, m.
    pub at: DVec3,
}

/// Finds the tubes that run through an opening, and takes them out of what is clear.
pub(super) fn take_out(o: &mut Opening, edge_inset: f64, tubes: &[Tube]) {
    for t in tubes.iter().filter(|t| t.state != TubeState::Temporary) {
        let reach = t.outline.reach();
        let inner = inset::inset(&o.corners, (ALONG * reach).max(edge_inset));
        if inner.is_empty() {
            continue;
        }
        for (a, b) in chords(t) {
            let Some((p, q)) = within(o, a, b, reach + o.off.min(FLAT)) else { continue };
            let Some(at) = inner.iter().find_map(|i| inside(i, p, q)) else { continue };
            let across = Across { tube: t.name.clone(), at: o.place(at) };
            if o.across.last().is_none_or(|known| known.tube != across.tube) {
                o.across.push(across);
            }
            let n = (q - p).try_normalize().unwrap_or(DVec2::X).perp();
            let offset = n.dot(p);
            let sides = [(n, offset + reach), (-n, reach - offset)];
            let pieces = o.clear.iter().flat_map(|c| sides.map(|(n, d)| clip::half_plane(c, n, d)));
            let mut pieces: Vec<Vec<DVec2>> = pieces.flatten().collect();
            pieces.sort_by(|a, b| polygon::signed_area(b).total_cmp(&polygon::signed_area(a)));
            pieces.truncate(MOST_PIECES);
            o.clear = pieces;
        }
    }
}

/// A tube's middle as chords: legs whole, bends in steps.
fn chords(t: &Tube) -> impl Iterator<Item = (DVec3, DVec3)> + '_ {
    t.chain.segments.iter().flat_map(|s| {
        let n = match s {
            Segment::Leg { .. } => 1,
            Segment::Arc { sweep, .. } => (sweep / STEP).ceil().max(1.0) as usize,
        };
        let at = move |k: usize| s.point(s.length() * k as f64 / n as f64);
        (0..n).map(move |k| (at(k), at(k + 1)))
    })
}

/// The part of a chord that lies within a distance of an opening's plane, in flat coordinates.
fn within(o: &Opening, a: DVec3, b: DVec3, distance: f64) -> Option<(DVec2, DVec2)> {
    let (a, b) = (o.frame.local(a), o.frame.local(b));
    let rise = b.x - a.x;
    let (mut from, mut to) = (0.0f64, 1.0f64);
    if rise == 0.0 {
        if a.x.abs() > distance {
            return None;
        }
    } else {
        let (s, t) = ((-distance - a.x) / rise, (distance - a.x) / rise);
        (from, to) = (from.max(s.min(t)), to.min(s.max(t)));
    }
    let flat = |k: f64| {
        let p = a.lerp(b, k);
        DVec2::new(p.y, p.z)
    };
    (from <= to).then(|| (flat(from), flat(to)))
}

/// A place of a segment inside a polygon: the middle of its longest part there.
fn inside(outline: &[DVec2], p: DVec2, q: DVec2) -> Option<DVec2> {
    let d = q - p;
    // Where it crosses the edges, as parts of its length.
    let mut cuts = vec![0.0, 1.0];
    for (a, b) in polygon::edges(outline) {
        let e = b - a;
        let det = d.perp_dot(e);
        let (s, t) = ((a - p).perp_dot(e) / det, (a - p).perp_dot(d) / det);
        if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
            cuts.push(s);
        }
    }
    cuts.sort_by(f64::total_cmp);
    let parts = cuts.windows(2).filter(|w| holds(outline, p + d * ((w[0] + w[1]) / 2.0)));
    let longest = parts.max_by(|v, w| (v[1] - v[0]).total_cmp(&(w[1] - w[0])))?;
    Some(p + d * ((longest[0] + longest[1]) / 2.0))
}

/// Whether a polygon holds a place.
fn holds(outline: &[DVec2], p: DVec2) -> bool {
    let over =
        |(a, b): &(DVec2, DVec2)| (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x;
    polygon::edges(outline).filter(over).count() % 2 == 1
}
