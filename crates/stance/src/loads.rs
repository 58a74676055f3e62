//! What each wheel carries, and over which edge it tips.

use geometry::{DVec2, DVec3};
use serde::Serialize;
use shape::mass::MassProperties;

use crate::GRAVITY;
use crate::ground::Ground;
use crate::settle::solve;
use crate::wheels::{Hub, Standing};

/// Wheels whose contacts lie within this along the car are on one axle, m: more than any castor or toe moves them, far
/// less than two axles' tyres need between them.
const ONE_AXLE: f64 = 0.1;

/// An axle.
#[derive(Clone, Debug, Serialize)]
pub struct Axle {
    /// Its wheels, left to right.
    pub wheels: Vec<String>,
    /// Station of its contacts along the ground, m.
    pub station: f64,
    /// Distance across between its outermost contacts, m.
    pub track: f64,
    /// Load, N.
    pub load: Option<f64>,
    /// Share of the weight on all wheels.
    pub share: Option<f64>,
    #[serde(skip)]
    pub(crate) members: Vec<usize>,
}

/// How wheel loads were told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// Three wheels: statics.
    Statics,
    /// From springs or tyres.
    Springs,
    /// Four held wheels on two axles: each axle takes half of the rolling moment.
    EqualRoll,
    /// Other held wheels: loads vary linearly over the ground.
    EqualWheels,
}

/// To which side an edge lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Front.
    Front,
    /// Rear.
    Rear,
}

/// An edge that the car tips over.
#[derive(Clone, Debug, Serialize)]
pub struct Edge {
    /// To which side.
    pub side: Side,
    /// The two wheels (or stands) whose contacts it joins.
    pub wheels: [String; 2],
    /// Distance of the foot of the centre of gravity from it, m; negative outside.
    pub distance: f64,
    /// Tilt at which the centre of gravity stands over it, rad; negative if it is past it on level ground.
    pub angle: f64,
}

/// Axles, loads and edges of a stance.
#[derive(Clone, Debug, Serialize)]
pub struct Loads {
    /// Weight of everything on board, N.
    pub weight: f64,
    /// How the loads were told.
    pub rule: Rule,
    /// Axles, front to rear.
    pub axles: Vec<Axle>,
    /// Distance along between the first and the last axle, m.
    pub wheelbase: f64,
    /// Mean of the tracks of axles with two wheels or more, m.
    pub track: Option<f64>,
    /// Height of the centre of gravity over the ground, m.
    pub height: f64,
    /// How far the centre of gravity lies to the left of the first and last axles' middles, m.
    pub offset: f64,
    /// Static stability factor, T / 2h; none where an axle has one wheel: the edges tell.
    pub stability_factor: Option<f64>,
    /// Edges that it tips over.
    pub edges: Vec<Edge>,
}

/// Axles of wheels, front to rear.
pub(crate) fn axles(wheels: &[Standing], ground: &Ground) -> Vec<Axle> {
    let places: Vec<DVec3> = wheels.iter().map(|w| ground.place(w.contact)).collect();
    let mut order: Vec<usize> = (0..wheels.len()).collect();
    order.sort_by(|&a, &b| places[b].x.total_cmp(&places[a].x));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for i in order {
        match groups.last_mut() {
            Some(g) if places[g[0]].x - places[i].x < ONE_AXLE => g.push(i),
            _ => groups.push(vec![i]),
        }
    }
    groups
        .into_iter()
        .map(|mut members| {
            members.sort_by(|&a, &b| places[b].y.total_cmp(&places[a].y));
            let n = members.len() as f64;
            Axle {
                wheels: members.iter().map(|&i| wheels[i].name.clone()).collect(),
                station: members.iter().map(|&i| places[i].x).sum::<f64>() / n,
                track: places[members[0]].y - places[members[members.len() - 1]].y,
                load: None,
                share: None,
                members,
            }
        })
        .collect()
}

/// Loads, with the wheels' own filled in where they are not known yet.
pub(crate) fn loads(wheels: &mut [Standing], ground: &Ground, all: &MassProperties, solved: bool) -> Loads {
    let mut axles = axles(wheels, ground);
    let weight = all.mass * GRAVITY;
    let centre = ground.place(all.centre);
    let places: Vec<DVec2> = wheels.iter().map(|w| ground.place(w.contact).truncate()).collect();
    let two_by_two = axles.len() == 2 && axles.iter().all(|a| a.members.len() == 2);
    let rule = match wheels.len() {
        _ if solved => Rule::Springs,
        3 => Rule::Statics,
        4 if two_by_two => Rule::EqualRoll,
        _ => Rule::EqualWheels,
    };
    let found: Option<Vec<f64>> = match rule {
        Rule::Springs => None,
        Rule::EqualRoll => Some(equal_roll(&axles, &places, weight, centre)),
        Rule::Statics | Rule::EqualWheels => equal_wheels(&places, weight, centre),
    };
    if let Some(f) = found {
        wheels.iter_mut().zip(f).for_each(|(w, f)| w.load = Some(f));
    }
    for a in &mut axles {
        a.load = a.members.iter().map(|&i| wheels[i].load).sum();
        a.share = a.load.filter(|_| weight > 0.0).map(|l| l / weight);
    }
    let tracks: Vec<f64> = axles.iter().filter(|a| a.members.len() > 1).map(|a| a.track).collect();
    let track = (!tracks.is_empty()).then(|| tracks.iter().sum::<f64>() / tracks.len() as f64);
    let wheelbase = axles.first().map_or(0.0, |a| a.station) - axles.last().map_or(0.0, |a| a.station);
    let middle = |a: &Axle| a.members.iter().map(|&i| places[i].y).sum::<f64>() / a.members.len() as f64;
    let middles = [axles.first(), axles.last()].map(|a| a.map_or(0.0, middle));
    // With one wheel on an axle it tips over slanting edges, nearer than half a track: T / 2h would say too much.
    let paired = tracks.len() == axles.len();
    let stability_factor = track.filter(|_| paired && centre.z > 0.0).map(|t| t / (2.0 * centre.z));
    let names: Vec<&str> = wheels.iter().map(|w| w.name.as_str()).collect();
    let on_ground: Vec<usize> = (0..wheels.len()).filter(|&i| wheels[i].state != Hub::Lifted).collect();
    Loads {
        weight,
        rule,
        wheelbase,
        track,
        height: centre.z,
        offset: centre.y - 0.5 * (middles[0] + middles[1]),
        stability_factor,
        edges: edges(&names, &places, &on_ground, centre),
        axles,
    }
}

/// Two axles of two wheels: axle loads by moments along, and half of the moment across on each.
fn equal_roll(axles: &[Axle], places: &[DVec2], weight: f64, centre: DVec3) -> Vec<f64> {
    let mut out = vec![0.0; places.len()];
    let (front, rear) = (&axles[0], &axles[1]);
    let ahead = (centre.x - rear.station) / (front.station - rear.station);
    let share = [weight * ahead, weight * (1.0 - ahead)];
    let middle = |a: &Axle| 0.5 * (places[a.members[0]].y + places[a.members[1]].y);
    let moment = weight * centre.y - share[0] * middle(front) - share[1] * middle(rear);
    for (a, load) in axles.iter().zip(share) {
        let half = 0.5 * moment / a.track;
        out[a.members[0]] = 0.5 * load + half;
        out[a.members[1]] = 0.5 * load - half;
    }
    out
}

/// Loads α + β x + γ y: the only ones for three wheels, those of equally soft wheels otherwise.
fn equal_wheels(places: &[DVec2], weight: f64, centre: DVec3) -> Option<Vec<f64>> {
    let mean: DVec2 = places.iter().sum::<DVec2>() / places.len() as f64;
    let terms = |p: DVec2| [1.0, p.x - mean.x, p.y - mean.y];
    let mut rows = vec![vec![0.0; 4]; 3];
    for &p in places {
        let t = terms(p);
        for i in 0..3 {
            for j in 0..3 {
                rows[i][j] += t[i] * t[j];
            }
        }
    }
    for (row, t) in rows.iter_mut().zip(terms(centre.truncate())) {
        row[3] = weight * t;
    }
    let x = solve(rows)?;
    Some(places.iter().map(|&p| terms(p).iter().zip(&x).map(|(t, x)| t * x).sum()).collect())
}

/// Edges of the hull of the contacts, from the front round by the left.
pub(crate) fn edges(names: &[&str], places: &[DVec2], on_ground: &[usize], centre: DVec3) -> Vec<Edge> {
    let mut sorted = on_ground.to_vec();
    sorted.sort_by(|&a, &b| places[a].x.total_cmp(&places[b].x).then(places[a].y.total_cmp(&places[b].y)));
    // Andrew's monotone chain, anticlockwise.
    let mut hull: Vec<usize> = Vec::new();
    let mut chain = |order: &mut dyn Iterator<Item = usize>| {
        let base = hull.len();
        for i in order {
            while hull.len() >= base + 2 {
                let (a, b) = (places[hull[hull.len() - 2]], places[hull[hull.len() - 1]]);
                if (b - a).perp_dot(places[i] - b) > 0.0 {
                    break;
                }
                hull.pop();
            }
            hull.push(i);
        }
        hull.pop();
    };
    chain(&mut sorted.iter().copied());
    chain(&mut sorted.iter().rev().copied());
    if hull.len() < 3 {
        return Vec::new();
    }
    (0..hull.len())
        .map(|k| {
            let (i, j) = (hull[k], hull[(k + 1) % hull.len()]);
            let along = (places[j] - places[i]).normalize();
            let distance = along.perp_dot(centre.truncate() - places[i]);
            // Outward is to the right of an anticlockwise edge.
            let out = DVec2::new(along.y, -along.x);
            let side = match (out.x.abs() > out.y.abs(), out.x > 0.0, out.y > 0.0) {
                (true, true, _) => Side::Front,
                (true, false, _) => Side::Rear,
                (false, _, true) => Side::Left,
                (false, _, false) => Side::Right,
            };
            Edge { side, wheels: [names[i].to_owned(), names[j].to_owned()], distance, angle: distance.atan2(centre.z) }
        })
        .collect()
}
