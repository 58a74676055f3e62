//! Where tubes meet between their ends: ends that land on another tube, and tubes that cross.

use geometry::{Chain, DVec3, SAME_PLACE, Segment};

use crate::boxes::{Bounds, Boxes};
use crate::layers::{Layer, Source};
use crate::tube::{Tube, part};
use crate::{Told, count, listed};

/// Boxes of all segments of tubes, and whose they are.
pub(crate) struct Segments {
    boxes: Boxes,
    owner: Vec<(usize, usize)>,
}

fn bounds(s: &Segment) -> Bounds {
    let l = s.length();
    match *s {
        Segment::Leg { .. } => Bounds::of(&[s.point(0.0), s.point(l)]),
        // An arc bows from its chord by its sagitta.
        Segment::Arc { radius, sweep, .. } => {
            Bounds::of(&[s.point(0.0), s.point(l)]).grown(radius * (1.0 - (sweep / 2.0).cos()))
        }
    }
}

impl Segments {
    pub fn new<'a>(chains: impl Iterator<Item = &'a Chain>) -> Segments {
        let (mut all, mut owner) = (Vec::new(), Vec::new());
        for (k, c) in chains.enumerate() {
            for (i, s) in c.segments.iter().enumerate() {
                all.push(bounds(s));
                owner.push((k, i));
            }
        }
        Segments { boxes: Boxes::new(all), owner }
    }

    /// Tubes that come within a distance of a box, each once, in order.
    pub fn near(&self, what: &Bounds, within: f64) -> Vec<usize> {
        let mut out = Vec::new();
        self.boxes.near(&what.grown(within), |i| out.push(self.owner[i].0));
        out.sort_unstable();
        out.dedup();
        out
    }
}

/// Brings ends that are within the tolerance of another tube's centreline on to it.
pub(crate) fn land(tubes: &mut [Tube], within: f64, told: &mut Told) {
    let (mut landed, mut most) = (0, 0f64);
    // A tube that something lands on may itself be brought on to another: the second time finds it there.
    for round in 0..2 {
        let segments = Segments::new(tubes.iter().map(|t| &t.chain));
        for k in 0..tubes.len() {
            for e in 0..2 {
                let p = tubes[k].end(e);
                let near = segments.near(&Bounds::of(&[p]), within);
                // An end that meets ends is at a joint of its own.
                let within = tubes[k].tolerance(within);
                let ends = |j: &usize| [0, 1].iter().any(|f| tubes[*j].end(*f).distance(p) <= within);
                let host = near.into_iter().filter(|j| *j != k && !ends(j)).find_map(|j| {
                    let c = &tubes[j].chain;
                    let (s, d) = c.nearest(p);
                    (d <= within && s > within && s < c.length() - within).then(|| c.point(s))
                });
                if let Some(at) = host
                    && at != p
                {
                    let d = at.distance(p);
                    if tubes[k].set_end(e, at) && round == 0 && d > SAME_PLACE {
                        landed += 1;
                        most = most.max(d);
                    }
                }
            }
        }
    }
    if landed > 0 {
        told.done(format!(
            "{} on to the centreline of the tube that {} on, by {:.3} mm at most",
            count(landed, "end was brought", "ends were brought"),
            if landed == 1 { "it lands" } else { "they land" },
            most * 1e3
        ));
    }
}

/// Tubes at less than this angle (3.4 minutes of arc), rad, run along each other and do not cross.
const ALONG: f64 = 1e-3;

/// Leaves out what lies along another tube from end to end: nobody welds one tube into another.
pub(crate) fn once(tubes: &mut Vec<Tube>, layers: &[Layer], within: f64, told: &mut Told) {
    let segments = Segments::new(tubes.iter().map(|t| &t.chain));
    let places = |t: &Tube| (0..=8).map(|k| t.chain.point(t.chain.length() * k as f64 / 8.0)).collect::<Vec<_>>();
    let longer = |j: usize, k: usize| {
        let (a, b) = (tubes[j].chain.length(), tubes[k].chain.length());
        // Of two alike that counts whose size is known.
        let guessed = |k: usize| layers[tubes[k].layer].source == Source::Guessed;
        let before = || (guessed(j), tubes[j].rank) < (guessed(k), tubes[k].rank);
        if (a - b).abs() <= within { before() } else { a > b }
    };
    let covered: Vec<bool> = (0..tubes.len())
        .map(|k| {
            let at = places(&tubes[k]);
            let on = |j: usize| at.iter().all(|p| tubes[j].chain.nearest(*p).1 <= within);
            let near = segments.near(&Bounds::of(&at[4..5]), within);
            !tubes[k].whole && near.into_iter().any(|j| j != k && longer(j, k) && on(j))
        })
        .collect();
    let n = covered.iter().filter(|c| **c).count();
    if n > 0 {
        let mut of: Vec<&str> =
            covered.iter().zip(tubes.iter()).filter(|c| *c.0).map(|(_, t)| layers[t.layer].drawn.as_str()).collect();
        of.sort_unstable();
        of.dedup();
        told.guess(format!(
            "left out: {} all along another tube (on {})",
            count(n, "line that lies", "lines that lie"),
            listed(&of)
        ));
        let mut k = 0;
        tubes.retain(|_| {
            k += 1;
            !covered[k - 1]
        });
    }
}

/// Where two centrelines come nearest in their insides, if nearer than the tolerance: distances from both starts.
fn crossing(a: &Chain, b: &Chain, within: f64) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (s, &at) in a.segments.iter().zip(&a.starts) {
        for t in &b.segments {
            let near = bounds(s).grown(within);
            let (near, o) = (near, bounds(t));
            if !(near.lo.cmple(o.hi).all() && o.lo.cmple(near.hi).all()) {
                continue;
            }
            // From several places on the one to the nearest on the other and back, until it stands still.
            let starts = if matches!((s, t), (Segment::Leg { .. }, Segment::Leg { .. })) { 1 } else { 5 };
            for k in 0..starts {
                let mut p = s.point(s.length() * (k as f64 + 0.5) / starts as f64);
                if let (Segment::Leg { from, along, length }, Segment::Leg { from: q, along: e, length: m }) = (*s, *t)
                {
                    let c = along.dot(e);
                    if 1.0 - c * c < ALONG * ALONG {
                        continue;
                    }
                    let w = q - from;
                    let u = ((w.dot(along) - c * w.dot(e)) / (1.0 - c * c)).clamp(0.0, length);
                    let v = (from + along * u - q).dot(e).clamp(0.0, m);
                    p = from + along * (q + e * v - from).dot(along).clamp(0.0, length);
                } else {
                    for _ in 0..60 {
                        let q = b.point(b.nearest(p).0);
                        p = a.point(a.nearest(q).0);
                    }
                }
                let (v, _) = b.nearest(p);
                let (u, d) = a.nearest(b.point(v));
                let inside = |x: f64, l: f64| x > within && x < l - within;
                if a.tangent(u).cross(b.tangent(v)).length() < ALONG {
                    continue;
                }
                let here = u >= at - SAME_PLACE && u <= at + s.length() + SAME_PLACE;
                let new = out.iter().all(|o| (o.0 - u).abs() > within);
                if d <= within && here && new && inside(u, a.length()) && inside(v, b.length()) {
                    out.push((u, v));
                }
            }
        }
    }
    out
}

/// Splits tubes where they cross others that run through: of two the thicker runs, then the bent, then the longer.
pub(crate) fn split(tubes: Vec<Tube>, layers: &[Layer], within: f64, told: &mut Told) -> Vec<Tube> {
    let segments = Segments::new(tubes.iter().map(|t| &t.chain));
    let mut cuts: Vec<Vec<(f64, DVec3)>> = vec![Vec::new(); tubes.len()];
    let mut stuck = 0;
    let on_arc = |k: usize, s: f64| matches!(tubes[k].chain.segments[tubes[k].chain.locate(s).0], Segment::Arc { .. });
    for k in 0..tubes.len() {
        let mut near = Vec::new();
        for s in &tubes[k].chain.segments {
            near.extend(
                segments
                    .near(&bounds(s), within)
                    .into_iter()
                    .filter(|j| *j > k && !(tubes[k].whole && tubes[*j].whole)),
            );
        }
        near.sort_unstable();
        near.dedup();
        for j in near {
            for (u, v) in crossing(&tubes[k].chain, &tubes[j].chain, within) {
                let first = runs_through(&tubes[k], &tubes[j], layers);
                let (k_on_arc, j_on_arc) = (on_arc(k, u), on_arc(j, v));
                if k_on_arc && j_on_arc {
                    stuck += 1;
                } else if j_on_arc || (!k_on_arc && !first) {
                    cuts[k].push((u, tubes[j].chain.point(v)));
                } else {
                    cuts[j].push((v, tubes[k].chain.point(u)));
                }
            }
        }
    }
    let n: usize = cuts.iter().map(Vec::len).sum();
    if n > 0 {
        told.guess(format!(
            "{}: of two tubes that cross the thicker runs through, then the bent one, then the longer; the other is two pieces",
            count(n, "crossing split", "crossings split")
        ));
    }
    if stuck > 0 {
        told.guess(format!("{} of two bends left as they are", count(stuck, "crossing", "crossings")));
    }
    tubes.into_iter().zip(cuts).flat_map(|(t, c)| pieces(t, c, within)).collect()
}

/// Whether the first of two that cross runs through. Twins cross alike on both sides: only what mirrors alike counts,
/// until nothing else is left.
fn runs_through(a: &Tube, b: &Tube, layers: &[Layer]) -> bool {
    let key = |t: &Tube| {
        let round = |m: f64| (m / 1e-5).round() as i64;
        (round(layers[t.layer].bulk()), t.is_bent(), round(t.chain.length()))
    };
    let (x, y) = (key(a), key(b));
    if x != y { x > y } else { a.pair_rank <= b.pair_rank }
}

fn pieces(t: Tube, mut cuts: Vec<(f64, DVec3)>, within: f64) -> Vec<Tube> {
    if cuts.is_empty() {
        return vec![t];
    }
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    cuts.dedup_by(|b, a| b.0 - a.0 <= within);
    let mut from = (0.0, t.end(0));
    let mut out = Vec::new();
    cuts.push((t.chain.length(), t.end(1)));
    for (k, to) in cuts.into_iter().enumerate() {
        let (mut corners, radii) = part(&t.chain, from.0, to.0);
        let last = corners.len() - 1;
        (corners[0], corners[last]) = (from.1, to.1);
        if let Ok((chain, radii)) = crate::tube::chain(&corners, &radii) {
            let name = t.name.as_ref().map(|n| if k == 0 { n.clone() } else { format!("{n}_{}", k + 1) });
            out.push(Tube { chain, radii, name, ..t.clone() });
        }
        from = to;
    }
    out
}
