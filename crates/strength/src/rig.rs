//! Torsion and bending stiffness, as a rig measures them.

use frame::{Carrier, Frame, HeldError, Hold, Loads, handed_on};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::places::Placed;

/// What a rig measures.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rigged {
    /// Names of the places: front left and right, rear left and right.
    pub places: [String; 4],
    /// Couple at the front for its twist against the rear, N m/rad.
    pub torsion: f64,
    /// Force in the middle for its sag, N/m.
    pub bending: f64,
    /// Names of the joints that the force in the middle is spread over.
    pub middle: Vec<String>,
    /// Each tube's share of the energy that the torsion rig puts in, the largest first.
    pub torsion_shares: Vec<(String, f64)>,
    /// The same for the bending rig.
    pub bending_shares: Vec<(String, f64)>,
}

/// Joints that lie within this part of the wheelbase of its middle carry the bending rig's force.
const MIDDLE: f64 = 0.1;

/// Places on the rig stand apart across the car by more than this part of how far front and rear are apart.
const NARROW: f64 = 0.02;

/// Of those, the ones in this lowest part of the height there: the floor, where the seats stand.
const FLOOR: f64 = 0.25;

/// The rig's four nodes: those that the design names, or for each wheel of the first and last axle the place of its mount
/// that is lowest.
fn nodes(shape: &Shape, placed: &Placed) -> Option<[usize; 4]> {
    if let Some(r) = &shape.design.strength.rig {
        let [a, b] = &r.front;
        let [c, d] = &r.rear;
        return Some([placed.bearing(a)?, placed.bearing(b)?, placed.bearing(c)?, placed.bearing(d)?]);
    }
    let places = &placed.built.model.nodes;
    let lowest = |c: &[Carrier]| c.iter().map(|c| c.node).min_by(|&i, &j| places[i].z.total_cmp(&places[j].z));
    let mut wheels: Vec<(DVec3, usize)> = shape
        .bodies
        .iter()
        .zip(&placed.carriers)
        .filter(|(b, _)| b.kind == BodyKind::Wheel)
        .filter_map(|(b, c)| Some((b.centre, lowest(c)?)))
        .collect();
    wheels.sort_by(|a, b| b.0.x.total_cmp(&a.0.x));
    let n = wheels.len();
    if n < 4 {
        return None;
    }
    let pair = |a: (DVec3, usize), b: (DVec3, usize)| if a.0.y > b.0.y { [a.1, b.1] } else { [b.1, a.1] };
    let ([a, b], [c, d]) = (pair(wheels[0], wheels[1]), pair(wheels[n - 2], wheels[n - 1]));
    Some([a, b, c, d])
}

fn shares(shape: &Shape, placed: &Placed, frame: &Frame, r: &frame::Response) -> Vec<(String, f64)> {
    let energies = frame.energies(&r.motions);
    let whole: f64 = energies.iter().sum();
    let mut of = vec![0.0; shape.tubes.len()];
    for (e, (tube, _)) in energies.iter().zip(&placed.built.beams) {
        of[*tube] += e / whole;
    }
    let mut out: Vec<(String, f64)> =
        shape.tubes.iter().zip(of).filter(|x| x.1 > 0.0).map(|(t, s)| (t.name.clone(), s)).collect();
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    out
}

/// How the rig holds and loads the frame.
pub(crate) struct Setup {
    places: [usize; 4],
    /// Joints that the bending force is spread over.
    middle: Vec<usize>,
    /// In torsion.
    pub torsion: (Vec<Hold>, Loads),
    /// In bending.
    pub bending: (Vec<Hold>, Loads),
}

/// `None` if no four places are found.
pub(crate) fn setup(shape: &Shape, placed: &Placed) -> Option<Setup> {
    let all = nodes(shape, placed)?;
    let [fl, fr, rl, rr] = all;
    let places = &placed.built.model.nodes;
    let hold = |node: usize, along: DVec3| Hold { node, along, turn: false, by: 0.0 };
    // Six holds and no more: nothing is stiffened by the rig. At the front one side's height is held; as the load there
    // is a couple, it carries nothing.
    let six = vec![
        hold(rl, DVec3::X),
        hold(rl, DVec3::Y),
        hold(rl, DVec3::Z),
        hold(rr, DVec3::X),
        hold(rr, DVec3::Z),
        hold(fl, DVec3::Z),
    ];
    let apart = |l: usize, r: usize| places[l].y - places[r].y;
    let force = apart(fl, fr).recip();
    // Places hardly apart across the car twist nothing that is as long as it is.
    let long = (places[fl].x + places[fr].x - places[rl].x - places[rr].x).abs() / 2.0;
    let least = NARROW * long;
    if !force.is_finite() || apart(fl, fr).abs() <= least || apart(rl, rr).abs() <= least {
        return None;
    }
    let couple = vec![(fl, [0.0, 0.0, force, 0.0, 0.0, 0.0]), (fr, [0.0, 0.0, -force, 0.0, 0.0, 0.0])];
    // In bending four places stand on the rig.
    let mut seven = six.clone();
    seven.push(hold(fr, DVec3::Z));
    let (front, rear) = ((places[fl].x + places[fr].x) / 2.0, (places[rl].x + places[rr].x) / 2.0);
    let (half, reach) = ((front + rear) / 2.0, (front - rear).abs() * MIDDLE);
    // The lowest there: the floor, where the seats stand.
    let near: Vec<usize> = (0..places.len()).filter(|&n| (places[n].x - half).abs() <= reach).collect();
    let low = near.iter().map(|&n| places[n].z).fold(f64::INFINITY, f64::min);
    let high = near.iter().map(|&n| places[n].z).fold(f64::NEG_INFINITY, f64::max);
    let middle: Vec<usize> = near.into_iter().filter(|&n| places[n].z <= low + (high - low) * FLOOR).collect();
    if middle.is_empty() {
        return None;
    }
    let centre = middle.iter().map(|&n| places[n]).sum::<DVec3>() / middle.len() as f64;
    let weights: Vec<Carrier> = middle.iter().copied().map(Carrier::at).collect();
    let pushed = handed_on(centre, &weights, places, &[0.0, 0.0, -1.0, 0.0, 0.0, 0.0]);
    let loads = |nodal| Loads { nodal, ..Loads::default() };
    Some(Setup { places: all, middle, torsion: (six, loads(couple)), bending: (seven, loads(pushed)) })
}

/// What the rig measures on a frame made ready; `None` if it finds no four places.
///
/// # Errors
///
/// If the places don't hold the frame, as one that is in two pieces.
pub(crate) fn rig(shape: &Shape, placed: &Placed, frame: &Frame) -> Option<Result<Rigged, HeldError>> {
    setup(shape, placed).map(|s| measure(shape, placed, frame, &s))
}

fn measure(shape: &Shape, placed: &Placed, frame: &Frame, s: &Setup) -> Result<Rigged, HeldError> {
    let [fl, fr, rl, rr] = s.places;
    let places = &placed.built.model.nodes;
    let one = |(holds, loads): &(Vec<Hold>, Loads)| {
        Ok(frame.held(holds)?.solve(std::slice::from_ref(loads)).map_err(HeldError::Frame)?.remove(0))
    };
    let (twist, sag) = (one(&s.torsion)?, one(&s.bending)?);
    // A unit couple: the twist is how much the front turns, seen along x, less what the rear does.
    let turn = |l: usize, r: usize| (twist.motions[l][2] - twist.motions[r][2]) / (places[l].y - places[r].y);
    let torsion = (turn(fl, fr) - turn(rl, rr)).recip();
    // The way of the force is the mean of the joints' it is spread over: its work over its size.
    let work = |(n, f): &(usize, frame::six::Six)| f.iter().zip(&sag.motions[*n]).map(|(a, b)| a * b).sum::<f64>();
    let way: f64 = s.bending.1.nodal.iter().map(work).sum();
    let name = |n: usize| placed.built.names[n].clone();
    Ok(Rigged {
        places: s.places.map(name),
        torsion,
        bending: way.recip(),
        middle: s.middle.iter().map(|&n| name(n)).collect(),
        torsion_shares: shares(shape, placed, frame, &twist),
        bending_shares: shares(shape, placed, frame, &sag),
    })
}
