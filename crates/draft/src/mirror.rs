//! Symmetry: found, made exact, and used.

use drawing::Placed;
use geometry::{DMat3, DVec3, SAME_PLACE};
use rustc_hash::FxHashMap;

use crate::tube::Tube;
use crate::{Options, Told, count};

/// What a tube's mirror image is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mate {
    /// Not there.
    None,
    /// The tube itself, run the other way.
    Itself,
    /// The tube itself, since it lies in the plane.
    Lies,
    /// Another tube.
    Twin(usize),
}

/// Where the centre plane was, and how everything was brought to it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Centre {
    placed: Placed,
}

impl Centre {
    /// Where a place went.
    pub fn place(&self, p: DVec3) -> DVec3 {
        self.placed.point(p)
    }
}

/// So large a part of the tubes must have their images, or there is no symmetry to speak of.
const ENOUGH: f64 = 0.5;
/// One plane is better than another from this difference of their parts on.
const BETTER: f64 = 0.02;
/// Images are one place within this, m, once they were made exact.
const EXACT: f64 = 1e-6;

fn image(p: DVec3, axis: usize, at: f64) -> DVec3 {
    let mut q = p;
    q[axis] = 2.0 * at - q[axis];
    q
}

fn alike(a: &[DVec3], b: impl Iterator<Item = DVec3>, within: f64) -> bool {
    a.iter().zip(b).all(|(p, q)| p.distance(q) <= within)
}

/// The mates of all tubes in a plane square to an axis.
fn mates(tubes: &[Tube], axis: usize, at: f64, within: f64) -> Vec<Mate> {
    let size = 4.0 * within;
    let middle = |t: &Tube| (t.end(0) + t.end(1)) / 2.0;
    let cell = |p: DVec3| (p / size).floor().to_array().map(|v| v as i64);
    let mut cells: FxHashMap<[i64; 3], Vec<usize>> = FxHashMap::default();
    for (k, t) in tubes.iter().enumerate() {
        cells.entry(cell(middle(t))).or_default().push(k);
    }
    let mut out = vec![Mate::None; tubes.len()];
    for k in 0..tubes.len() {
        if out[k] != Mate::None {
            continue;
        }
        let t = &tubes[k];
        let corners = &t.chain.corners;
        if corners.iter().all(|p| (p[axis] - at).abs() <= within) {
            out[k] = Mate::Lies;
            continue;
        }
        let mirrored: Vec<DVec3> = corners.iter().map(|p| image(*p, axis, at)).collect();
        let same = |o: &Tube| {
            let radii =
                |a: &[f64], b: &mut dyn Iterator<Item = f64>| a.iter().zip(b).all(|(x, y)| (x - y).abs() <= within);
            let there = alike(&o.chain.corners, mirrored.iter().copied(), within)
                && radii(&o.radii, &mut t.radii.iter().copied());
            let back = alike(&o.chain.corners, mirrored.iter().rev().copied(), within)
                && radii(&o.radii, &mut t.radii.iter().rev().copied());
            (there || back) && o.layer == t.layer && o.state == t.state && o.chain.corners.len() == corners.len()
        };
        if same(t) {
            out[k] = Mate::Itself;
            continue;
        }
        let c = cell(image(middle(t), axis, at));
        let mut near = (-1..=1).flat_map(|x| (-1..=1).flat_map(move |y| (-1..=1).map(move |z| [x, y, z])));
        let twin = near.find_map(|d| {
            let list = cells.get(&[c[0] + d[0], c[1] + d[1], c[2] + d[2]])?;
            list.iter().copied().find(|&j| j != k && out[j] == Mate::None && same(&tubes[j]))
        });
        if let Some(j) = twin {
            (out[k], out[j]) = (Mate::Twin(j), Mate::Twin(k));
        }
    }
    out
}

/// The part of the tubes off the plane that have their images.
fn part(mates: &[Mate]) -> f64 {
    let off = mates.iter().filter(|m| **m != Mate::Lies).count();
    let with = mates.iter().filter(|m| matches!(m, Mate::Itself | Mate::Twin(_))).count();
    if off == 0 { 0.0 } else { with as f64 / off as f64 }
}

/// Finds the plane in which most tubes have an image, brings it to y = 0, and makes the images exact.
pub(crate) fn find(tubes: &mut [Tube], options: &Options, ours: bool, told: &mut Told) -> Option<Centre> {
    // What this program wrote is as it was meant.
    let within = if ours { EXACT } else { options.within };
    let ends = |axis: usize| {
        let mut v: Vec<f64> = tubes.iter().flat_map(|t| t.chain.corners.iter().map(move |p| p[axis])).collect();
        v.sort_by(f64::total_cmp);
        v
    };
    let mut best: Option<(usize, f64, f64, f64)> = None;
    let axes: &[usize] = if ours || options.forward.is_some() { &[1] } else { &[1, 0] };
    for &axis in axes {
        let v = ends(axis);
        let (lo, hi) = (*v.first()?, *v.last()?);
        let at =
            if ours { vec![0.0] } else { vec![0.0, (lo + hi) / 2.0, (v[(v.len() - 1) / 2] + v[v.len() / 2]) / 2.0] };
        for at in at {
            let p = part(&mates(tubes, axis, at, within));
            // A frame that is alike both ways is longer than wide.
            let wins = best.is_none_or(|(_, _, b, width)| {
                p > b + BETTER || (p > b - BETTER && axis == 0 && hi - lo < width * 0.8 && p >= ENOUGH)
            });
            if wins {
                best = Some((axis, at, p, hi - lo));
            }
        }
    }
    let Some((axis, at, found, _)) = best.filter(|b| b.2 >= ENOUGH) else {
        let most = best.map_or(0.0, |b| b.2 * 100.0);
        told.guess(format!(
            "no centre plane: on the best one {most:.0} % of the tubes have an image within {} mm; a larger --within may \
             find more",
            within * 1e3
        ));
        if !ours && options.forward.is_none() {
            told.guess("x points forward and y to the left; --forward says otherwise");
        }
        return None;
    };
    let snapped = mates(tubes, axis, at, within);
    let placed = if axis == 1 {
        Placed { map: DMat3::IDENTITY, by: DVec3::new(0.0, -at, 0.0) }
    } else {
        // The drawing's y becomes forward, its x the right.
        let map = DMat3::from_cols(DVec3::NEG_Y, DVec3::X, DVec3::Z);
        Placed { map, by: DVec3::new(0.0, at, 0.0) }
    };
    for t in tubes.iter_mut() {
        let corners: Vec<DVec3> = t.chain.corners.iter().map(|p| placed.point(*p)).collect();
        t.set_corners(&corners);
    }
    let before: Vec<Vec<DVec3>> = tubes.iter().map(|t| t.chain.corners.clone()).collect();
    snap(tubes, &snapped);
    let moved = tubes.iter().zip(&before).flat_map(|(t, b)| t.chain.corners.iter().zip(b).map(|(p, q)| p.distance(*q)));
    let moved = moved.fold(0.0, f64::max);
    for k in 0..tubes.len() {
        if let Mate::Twin(j) = snapped[k] {
            tubes[k].pair_rank = tubes[k].rank.min(tubes[j].rank);
        }
    }
    let twins = snapped.iter().filter(|m| matches!(m, Mate::Twin(_))).count();
    let whole = format!("{:.0} % of the tubes", found * 100.0);
    if axis == 0 {
        told.guess(format!(
            "the drawing is alike on both sides of a plane across its x ({whole}): that is the centre plane, and the \
             drawing's y points forward; --forward says otherwise"
        ));
    } else if at.abs() > SAME_PLACE {
        told.guess(format!(
            "the drawing is alike on both sides of the plane {:.2} mm beside its x axis ({whole}): that is the centre plane now",
            at * 1e3
        ));
    } else {
        told.done(format!("the drawing is alike on both sides of its centre plane ({whole})"));
    }
    if !ours && axis == 1 && options.forward.is_none() {
        told.guess("x points forward; if it points to the rear, say --forward -x");
    }
    if moved > SAME_PLACE {
        told.done(format!("images were made exact, by {:.3} mm at most", moved * 1e3));
    }
    if twins > 0 {
        told.done(format!(
            "{} written once, with the twin on the right by `mirror`",
            count(twins / 2, "tube is", "tubes are")
        ));
    }
    Some(Centre { placed })
}

/// Makes images exact: twins meet half way.
fn snap(tubes: &mut [Tube], mates: &[Mate]) {
    let over = |p: DVec3| image(p, 1, 0.0);
    for k in 0..tubes.len() {
        let own = tubes[k].chain.corners.clone();
        match mates[k] {
            Mate::None => {}
            Mate::Lies => {
                let flat: Vec<DVec3> = own.iter().map(|p| DVec3::new(p.x, 0.0, p.z)).collect();
                tubes[k].set_corners(&flat);
            }
            Mate::Itself => {
                let even: Vec<DVec3> = own.iter().zip(own.iter().rev()).map(|(a, b)| (*a + over(*b)) / 2.0).collect();
                tubes[k].set_corners(&even);
            }
            Mate::Twin(j) if j > k => {
                let mut other = tubes[j].chain.corners.clone();
                let back = over(own[0]).distance(other[0]) > over(own[0]).distance(other[other.len() - 1]);
                if back {
                    other.reverse();
                }
                let even: Vec<DVec3> = own.iter().zip(&other).map(|(a, b)| (*a + over(*b)) / 2.0).collect();
                let mut there: Vec<DVec3> = even.iter().map(|p| over(*p)).collect();
                if back {
                    there.reverse();
                }
                let was = tubes[k].clone();
                if tubes[k].set_corners(&even) {
                    let radii =
                        if back { tubes[k].radii.iter().rev().copied().collect() } else { tubes[k].radii.clone() };
                    tubes[j].radii = radii;
                    if !tubes[j].set_corners(&there) {
                        tubes[k] = was;
                    }
                }
            }
            Mate::Twin(_) => {}
        }
    }
}

/// The mates once everything is in its place.
pub(crate) fn pair(tubes: &mut [Tube], told: &mut Told) -> Vec<Mate> {
    let out = mates(tubes, 1, 0.0, EXACT);
    let alone = out.iter().filter(|m| **m == Mate::None).count();
    if alone > 0 {
        told.done(format!("{} on one side only", count(alone, "tube is", "tubes are")));
    }
    out
}

/// A tube that is written.
#[derive(Clone, Debug)]
pub(crate) struct Kept {
    pub tube: Tube,
    /// With its twin.
    pub mirror: bool,
    /// It is its own image.
    pub itself: bool,
}

/// Corners of a tube nearer than this are one point of the design, m.
const ONE_POINT: f64 = 2e-6;

/// Leaves out what has shrunk to a point on its way.
pub(crate) fn drop_points(tubes: &mut Vec<Tube>, told: &mut Told) {
    let before = tubes.len();
    tubes.retain(|t| t.chain.corners.windows(2).all(|w| w[0].distance(w[1]) > ONE_POINT));
    if tubes.len() < before {
        told.guess(format!(
            "left out: {} between ends that were brought together: is --within too large?",
            count(before - tubes.len(), "tube", "tubes")
        ));
    }
}

/// Of twins the left one is kept; what crosses the plane runs from left to right.
pub(crate) fn keep(tubes: Vec<Tube>, mates: &[Mate]) -> Vec<Kept> {
    let left = |t: &Tube| t.chain.corners.iter().map(|p| p.y).sum::<f64>() >= 0.0;
    let names: Vec<Option<String>> = tubes.iter().map(|t| t.name.clone()).collect();
    let ranks: Vec<usize> = tubes.iter().map(|t| t.rank).collect();
    let mut out = Vec::new();
    for (k, mut t) in tubes.into_iter().enumerate() {
        let mate = mates.get(k).copied().unwrap_or(Mate::None);
        match mate {
            Mate::Twin(j) => {
                if !left(&t) {
                    continue;
                }
                t.rank = t.rank.min(ranks[j]);
                t.name = t.name.or(names[j].clone()).map(|n| n.trim_end_matches('~').to_owned());
            }
            Mate::Itself if t.end(0).y < 0.0 => {
                let corners: Vec<DVec3> = t.chain.corners.iter().rev().copied().collect();
                t.radii.reverse();
                t.set_corners(&corners);
            }
            _ => {}
        }
        out.push(Kept { tube: t, mirror: matches!(mate, Mate::Twin(_)), itself: mate == Mate::Itself });
    }
    out
}
