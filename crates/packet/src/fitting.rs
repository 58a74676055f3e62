//! Where a piece sits on the tubes that it is cut to: what the fitter marks on them.

use std::f64::consts::TAU;

use cutting::{Piece, setup};
use geometry::{DVec3, SAME_PLACE, Segment};
use review::Review;
use serde::Serialize;
use shape::{End, Tube};

/// Where one end of a piece sits on another tube.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seat {
    /// The piece.
    pub piece: String,
    /// Its end.
    pub end: End,
    /// The other tube.
    pub on: String,
    /// The end of the other tube that distances are measured from: its long point there.
    pub measured_from: End,
    /// Where the end's footprint begins and ends, along the other tube's centreline, m.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Where the middle of the footprint is, off the other tube's axis: towards its scribe line, and towards 90 degrees
    /// from it, m; none on a bend.
    pub middle: Option<[f64; 2]>,
}

impl Seat {
    /// Where round the other tube the middle of the footprint is, from that tube's scribe line, rad.
    pub fn turn(&self) -> Option<f64> {
        self.middle.map(|[up, right]| right.atan2(up).rem_euclid(TAU))
    }
}

/// The seats of an end, in the order of the tubes that it is cut to. Mitres and plane cuts have none.
pub fn seats(r: &Review, p: &Piece, end: End) -> Vec<Seat> {
    let (tube, cut) = (&r.shape.tubes[p.tube], p.end(end));
    if cut.kind != "cope" {
        return Vec::new();
    }
    let (f, out) = (setup::forward(tube, end), tube.outward(end));
    let hosts = cut.to.iter().filter_map(|name| r.cutting.pieces.iter().find(|q| q.name == *name));
    hosts
        .filter_map(|host| {
            let contact: Vec<DVec3> = cut
                .profile
                .fibres
                .iter()
                .filter(|x| x.host == Some(host.tube))
                .map(|x| (tube.outline.point(tube.outline.station(x.round)), x.outer))
                .map(|(q, reach)| out.origin + f.u * q.x + f.v * q.y + out.t * reach)
                .collect();
            seat(r, host, &contact).map(|(measured_from, [from, to], middle)| Seat {
                piece: p.name.clone(),
                end,
                on: host.name.clone(),
                measured_from,
                from,
                to,
                middle,
            })
        })
        .collect()
}

/// From which end of a tube, between what distances and where round it points of its surface lie.
fn seat(r: &Review, host: &Piece, contact: &[DVec3]) -> Option<(End, [f64; 2], Option<[f64; 2]>)> {
    let tube = &r.shape.tubes[host.tube];
    let stations = contact.iter().map(|q| station(tube, *q));
    let (lo, hi) = stations.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| (a.min(s), b.max(s)));
    if lo > hi {
        return None;
    }
    // An end that is left long is trimmed some time: the other one is there to measure from.
    let from = if host.ends[0].left_long > 0.0 && host.ends[1].left_long == 0.0 { End::End } else { End::Start };
    let length = tube.chain.length();
    let [lo, hi] = if from == End::Start { [lo, hi] } else { [length - hi, length - lo] };
    let long = host.end(from).profile.long;
    let middle = contact.iter().sum::<DVec3>() / contact.len() as f64;
    Some((from, [lo + long, hi + long], off_axis(tube, middle)))
}

/// Distance along a tube's centreline from its start point to where a place is nearest, beyond its ends too, m.
fn station(tube: &Tube, q: DVec3) -> f64 {
    let length = tube.chain.length();
    let (s, _) = tube.chain.nearest(q);
    if s < SAME_PLACE {
        (q - tube.chain.point(0.0)).dot(tube.chain.first_tangent())
    } else if s > length - SAME_PLACE {
        length + (q - tube.chain.point(length)).dot(tube.chain.last_tangent())
    } else {
        s
    }
}

/// Where a place is off a tube's axis: towards its scribe line and towards 90 degrees from it, m; none on a bend.
fn off_axis(tube: &Tube, q: DVec3) -> Option<[f64; 2]> {
    let (s, _) = tube.chain.nearest(q);
    let (k, _) = tube.chain.locate(s);
    matches!(tube.chain.segments[k], Segment::Leg { .. })
        .then(|| tube.frames[k].across(q - tube.chain.point(s)).to_array())
}
