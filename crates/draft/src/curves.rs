//! Runs and drawn curves as bent tubes.

use curve::{Answer, Line, Run as How};
use drawing::Span;
use geometry::{Chain, DVec3};
use rayon::prelude::*;

use crate::bends::{corners, in_parts};
use crate::join::{Curve, Run};
use crate::layers::{Bender, Layer};
use crate::mirror::Centre;
use crate::tally::Tally;
use crate::tube::{Tube, chain};
use crate::{Options, Told};

/// A radius within this part of a die's is that die's.
const ITS_OWN: f64 = 0.01;
/// Straights are planned this much longer, m, and bends so much smaller, rad, than the die needs: corners are rounded.
const SPARE: (f64, f64) = (0.5e-3, 0.1 * std::f64::consts::PI / 180.0);
/// Places on an arc that is bent anew.
const ARC_PLACES: usize = 48;

/// Turns runs and curves into tubes; gives back the curves that have no die.
pub(crate) fn bend(
    runs: Vec<Run>,
    curves: Vec<Curve>,
    layers: &[Layer],
    options: &Options,
    told: &mut Told,
) -> (Vec<Tube>, Vec<Curve>) {
    let mut tubes = Vec::new();
    let mut anew = Vec::new();
    let mut tally = Tally::default();
    for r in runs {
        let (at, radii) = corners(&r.spans);
        tally.long += usize::from(r.spans.iter().any(in_parts));
        let Ok((c, radii)) = chain(&at, &radii) else {
            tally.kinked += 1;
            continue;
        };
        let bare = Tube {
            layer: r.layer,
            name: r.name.clone(),
            state: r.state.clone(),
            whole: r.whole,
            chain: c,
            radii,
            rank: r.rank,
            pair_rank: r.rank,
            remarks: Vec::new(),
        };
        let layer = &layers[r.layer];
        if !bare.radii.is_empty() && !can_be_bent(&bare, layer) {
            tally.sharp += 1;
            tubes.extend(legs(&bare));
            continue;
        }
        match layer.bender.as_ref().filter(|_| !bare.radii.is_empty()) {
            None => {
                tally.other += usize::from(!bare.radii.is_empty() && !r.whole);
                tubes.push(bare);
            }
            Some(_) if r.whole => tubes.push(bare),
            Some(b) => match on_die(&bare, b, options.curve_within) {
                Some((tube, off)) => {
                    if off > 0.0 {
                        tally.fillets.push(off);
                    }
                    tubes.push(tube);
                }
                None => anew.push(curve_of(&r, &bare)),
            },
        }
    }
    let (with, without): (Vec<Curve>, Vec<Curve>) = curves.into_iter().partition(|c| layers[c.layer].bender.is_some());
    tally.drawn = with.len();
    let all: Vec<Curve> = with.into_iter().chain(anew).collect();
    let bent: Vec<Option<(Tube, bool)>> = all
        .par_iter()
        .map(|c| layers[c.layer].bender.as_ref().and_then(|b| solved(c, b, options.curve_within)))
        .collect();
    let mut left = without;
    for (c, t) in all.into_iter().zip(bent) {
        match t {
            Some((tube, within)) => {
                tally.bent += 1;
                tally.far += usize::from(!within);
                tubes.push(tube);
            }
            None => left.push(c),
        }
    }
    tubes.sort_by_key(|t| t.rank);
    tally.left = left.len();
    tally.tell(options.curve_within, told);
    (tubes, left)
}

/// Whether its section can have its bends: a round one, of a radius beyond its own outside.
fn can_be_bent(tube: &Tube, layer: &Layer) -> bool {
    // A tenth of a millimetre more than what a design file refuses: radii are rounded when they are written.
    layer.is_round() && tube.radii.len() <= MOST_BENDS && tube.radii.iter().all(|r| *r > layer.bulk() + 1e-4)
}

/// Bends of a tube: a design file has 200 points in a path.
const MOST_BENDS: usize = 190;

/// A tube's corners joined by straight tubes.
fn legs(tube: &Tube) -> Vec<Tube> {
    let straight = |(k, w): (usize, &[DVec3])| {
        let chain = Chain::new(w, &[]).ok()?;
        let name = tube.name.as_ref().map(|n| if k == 0 { n.clone() } else { format!("{n}_{}", k + 1) });
        Some(Tube { chain, radii: Vec::new(), name, ..tube.clone() })
    };
    tube.chain.corners.windows(2).enumerate().filter_map(straight).collect()
}

/// A drawn bent tube on its die: as it is, or with the die's radius at the same corners if that is near enough. Also
/// how far that is from the drawing, m.
fn on_die(tube: &Tube, b: &Bender, within: f64) -> Option<(Tube, f64)> {
    let radius = b.die.radius;
    let own = tube.radii.iter().all(|r| (r - radius).abs() <= ITS_OWN * radius);
    let turns = tube.chain.corners.windows(3).map(|w| (w[1] - w[0]).angle_between(w[2] - w[1]));
    let off = tube.radii.iter().zip(turns).map(|(r, a)| (r - radius).abs() * (1.0 / (a / 2.0).cos() - 1.0));
    let off = off.fold(0.0, f64::max);
    // A fillet keeps its corner, however it was rounded; a long arc is a curve, and its corner nothing that was drawn.
    let fillets = tube.radii.iter().all(|r| *r <= FILLET * radius);
    if !own && !fillets && off > within {
        return None;
    }
    let (chain, radii) = chain(&tube.chain.corners, &vec![radius; tube.radii.len()]).ok()?;
    if radii.iter().any(|r| *r != radius) {
        return None;
    }
    let mut out = Tube { chain, radii, ..tube.clone() };
    if off > MENTION {
        out.remarks.push(format!("drawn with another radius: up to {:.2} mm off it", off * 1e3));
    }
    Some((out, if off > MENTION { off } else { 0.0 }))
}

/// An arc of up to so many times the die's radius is a fillet.
const FILLET: f64 = 3.0;
/// Less than this is not worth a word, m.
const MENTION: f64 = 1e-5;

/// A bent run as a line to follow.
fn curve_of(r: &Run, tube: &Tube) -> Curve {
    let mut points: Vec<DVec3> = Vec::new();
    for s in &r.spans {
        let n = if matches!(s, Span::Arc { .. }) { ARC_PLACES } else { 1 };
        points.extend((0..=n).map(|k| s.at(k as f64 / n as f64)));
    }
    Curve { layer: r.layer, name: tube.name.clone(), state: tube.state.clone(), points, rank: r.rank }
}

/// A curve on a die; whether it stays within the tolerance. `None` if nothing can be made of it at all.
fn solved(c: &Curve, b: &Bender, within: f64) -> Option<(Tube, bool)> {
    let line = Line::new(&c.points, How::Straight).ok()?;
    let ends = b.die.ends.map(|e| if e > 0.0 { e + SPARE.0 } else { e });
    let die = curve::Die { between: b.die.between + SPARE.0, ends, most: b.die.most - SPARE.1, ..b.die };
    let answer: Answer = curve::solve(&line, &die, within);
    let best = answer.best()?;
    let radii = vec![b.die.radius; best.corners.len() - 2];
    let chain = Chain::new(&best.corners, &radii).ok()?;
    let mut remarks = vec![format!("bent anew: never more than {:.2} mm off the drawing", best.deviation * 1e3)];
    if answer.is_proved() {
        remarks.push("no fewer bends can do that".into());
    }
    let tube = Tube {
        layer: c.layer,
        name: c.name.clone(),
        state: c.state.clone(),
        whole: false,
        chain,
        radii,
        rank: c.rank,
        pair_rank: c.rank,
        remarks,
    };
    Some((tube, answer.fewest.is_some()))
}

/// Curves brought to where the centre plane was brought to.
pub(crate) fn moved(mut curves: Vec<Curve>, centre: &Option<Centre>) -> Vec<Curve> {
    if let Some(c) = centre {
        for p in curves.iter_mut().flat_map(|c| &mut c.points) {
            *p = c.place(*p);
        }
    }
    curves
}
