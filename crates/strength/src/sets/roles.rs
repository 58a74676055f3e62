//! Which tube is which: by the words in the tubes' roles, and never by guess.

use design::TubeState;
use geometry::{DVec3, Segment};
use shape::{End, Shape, Tube};

use crate::build::Spot;

/// Tubes with one role, as a main hoop of one bent tube or of two halves.
pub(super) struct Group {
    pub tubes: Vec<usize>,
    /// Its lower ends.
    pub feet: Vec<Spot>,
    /// Its top on the centre plane, or its highest place.
    pub top: Spot,
    /// Tube and ends, left first, of the stretch that is its top; of one station where the top is round.
    pub bar: (usize, [Spot; 2]),
    /// Whether the top is a straight leg.
    pub straight: bool,
}

/// The design's tubes by role.
pub(super) struct Roles<'a> {
    pub shape: &'a Shape,
    pub main: Option<Group>,
    pub front: Option<Group>,
    /// Feet of the braces that join the main hoop.
    pub braces: Vec<Spot>,
    /// Side members.
    pub sides: Vec<usize>,
    pub bulkhead: Vec<usize>,
    pub harness: Vec<usize>,
    /// Upper members that run fore and aft.
    pub roof_sides: Vec<usize>,
    /// What the loads scale with, kg, and in words.
    pub mass: (f64, String),
}

/// Places looked at along a hoop for its highest.
const STATIONS: usize = 400;

/// An end in this lowest part of a hoop's height is a foot.
const LOW: f64 = 0.25;

/// A leg that rises by less than this part of its length is a top: 15°.
const LEVEL: f64 = 0.26;

/// A place this far off the centre plane is on one side, m.
pub(super) const CENTRE: f64 = 1e-3;

/// A spot with a name of its own, for where no joint is.
pub(super) fn spot(shape: &Shape, tube: usize, station: f64, words: &str) -> Spot {
    Spot { tube, station, name: format!("{words} of {}", shape.tubes[tube].name) }
}

pub(super) fn at(shape: &Shape, s: &Spot) -> DVec3 {
    shape.tubes[s.tube].chain.point(s.station)
}

/// `left` or `right`.
pub(super) fn side(y: f64) -> &'static str {
    if y > 0.0 { "left" } else { "right" }
}

pub(super) fn names(shape: &Shape, tubes: &[usize]) -> String {
    let list: Vec<&str> = tubes.iter().map(|&t| shape.tubes[t].name.as_str()).collect();
    list.join(", ")
}

fn end(t: &Tube, e: End) -> (f64, DVec3) {
    let s = if e == End::Start { 0.0 } else { t.chain.length() };
    (s, t.chain.point(s))
}

/// A tube's lower end.
fn foot(shape: &Shape, tube: usize) -> Spot {
    let t = &shape.tubes[tube];
    let [a, b] = End::BOTH.map(|e| end(t, e));
    spot(shape, tube, if a.1.z < b.1.z { a.0 } else { b.0 }, "foot")
}

fn group(shape: &Shape, tubes: Vec<usize>) -> Option<Group> {
    let place = |&(t, s): &(usize, f64)| shape.tubes[t].chain.point(s);
    let all = || {
        tubes.iter().flat_map(|&t| {
            let l = shape.tubes[t].chain.length();
            (0..=STATIONS).map(move |k| (t, l * k as f64 / STATIONS as f64))
        })
    };
    let highest = all().max_by(|a, b| place(a).z.total_cmp(&place(b).z))?;
    let lowest = all().map(|a| place(&a).z).reduce(f64::min)?;
    let height = place(&highest).z - lowest;
    let ends = tubes.iter().flat_map(|&t| End::BOTH.map(|e| (t, end(&shape.tubes[t], e))));
    let feet =
        ends.filter(|(_, (_, p))| p.z < lowest + LOW * height).map(|(t, (s, _))| spot(shape, t, s, "foot")).collect();
    let middle = tubes
        .iter()
        .flat_map(|&t| shape.tubes[t].chain.crossings(1, 0.0).into_iter().map(move |s| (t, s)))
        .max_by(|a, b| place(a).z.total_cmp(&place(b).z))
        .filter(|m| place(m).z > lowest + (1.0 - LOW) * height);
    let top = middle.unwrap_or(highest);
    // The highest level leg.
    let legs = tubes.iter().flat_map(|&t| {
        let c = &shape.tubes[t].chain;
        c.segments.iter().zip(&c.starts).filter_map(move |(s, &from)| match s {
            Segment::Leg { length, along, .. } if along.z.abs() < LEVEL => Some((t, [from, from + length])),
            _ => None,
        })
    });
    let mid = |l: &(usize, [f64; 2])| shape.tubes[l.0].chain.point((l.1[0] + l.1[1]) / 2.0).z;
    let leg = legs.max_by(|a, b| mid(a).total_cmp(&mid(b))).filter(|l| mid(l) > lowest + (1.0 - LOW) * height);
    let straight = leg.is_some();
    let (tube, mut stations) = leg.unwrap_or((top.0, [top.1; 2]));
    let y = |s: f64| shape.tubes[tube].chain.point(s).y;
    if y(stations[0]) < y(stations[1]) {
        stations.reverse();
    }
    let corner = |s: f64| spot(shape, tube, s, if straight { "upper corner" } else { "top" });
    let bar = (tube, stations.map(corner));
    Some(Group { tubes, feet, top: spot(shape, top.0, top.1, "top"), bar, straight })
}

impl Group {
    /// Its feet stand on both sides.
    pub fn stands(&self, shape: &Shape) -> bool {
        let y = |s: &Spot| at(shape, s).y;
        self.feet.iter().any(|f| y(f) > CENTRE) && self.feet.iter().any(|f| y(f) < -CENTRE)
    }

    /// The stations of its top stretch in rising order.
    pub fn stretch(&self) -> [f64; 2] {
        let [a, b] = [self.bar.1[0].station, self.bar.1[1].station];
        [a.min(b), a.max(b)]
    }
}

impl<'a> Roles<'a> {
    pub fn find(shape: &'a Shape) -> Roles<'a> {
        let d = &shape.design;
        let role = |t: &Tube| d.tubes[t.id.0].role.as_deref().unwrap_or("").to_lowercase();
        let brace = |r: &str| r.contains("brace") || r.contains("stay");
        let with = |wanted: &dyn Fn(&str) -> bool| -> Vec<usize> {
            let stays = |t: &Tube| t.state != TubeState::Temporary;
            (0..shape.tubes.len()).filter(|&i| stays(&shape.tubes[i]) && wanted(&role(&shape.tubes[i]))).collect()
        };
        let main = group(shape, with(&|r| r.contains("main hoop") && !brace(r)));
        let front = group(shape, with(&|r| r.contains("front hoop") && !brace(r)));
        let joined = |k: usize| {
            let hoop = |t: usize| main.as_ref().is_some_and(|m| m.tubes.contains(&t));
            shape.joints.iter().any(|j| j.members.iter().any(|m| hoop(m.tube)) && j.members.iter().any(|m| m.tube == k))
        };
        let braces = with(&|r| brace(r)).into_iter().filter(|&k| joined(k)).map(|k| foot(shape, k)).collect();
        let mass = d.strength.mass.map_or_else(
            || {
                let m = shape::mass::laden(shape).mass;
                (m, format!("the laden design's own mass, {m:.0} kg with people"))
            },
            |m| (m, format!("strength.mass, {m:.0} kg")),
        );
        Roles {
            shape,
            braces,
            sides: with(&|r| r.contains("side") && !r.contains("roof") && !brace(r)),
            bulkhead: with(&|r| r.contains("bulkhead") && !brace(r) && !r.contains("support")),
            harness: with(&|r| r.contains("harness") && !brace(r)),
            roof_sides: with(&|r| r.contains("roof side")),
            main,
            front,
            mass,
        }
    }

    /// The group, or why there is none, in words.
    pub fn need<'b>(&self, group: &'b Option<Group>, word: &str) -> Result<&'b Group, String> {
        match group {
            None => Err(format!("no tube has the role `{word}`")),
            Some(g) if !g.stands(self.shape) => {
                Err(format!("the {word} ({}) has no foot on each side", names(self.shape, &g.tubes)))
            }
            Some(g) => Ok(g),
        }
    }
}
