//! Load cases: the design's own, published ones, the car in each rest attitude.

use design::{Load, PointRef};
use frame::{Carrier, Hold, Loads, handed_on};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::places::Placed;
use crate::sets::Published;

/// Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901).
pub const GRAVITY: f64 = 9.806_65;

/// What a case must keep to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Wanted {
    /// Largest displacement, m.
    pub most: Option<f64>,
    /// Largest use.
    pub utilisation: f64,
    /// Least factor to buckling; 0: none wanted.
    pub buckling: f64,
    /// How far it is pushed past yielding where that is asked for, m; 0: not at all.
    pub collapse: f64,
}

/// A case.
#[derive(Clone, Debug)]
pub struct Case {
    /// Its name.
    pub name: String,
    /// Where it comes from: a key of the design, or a published source with its clause.
    pub source: String,
    /// Loads.
    pub loads: Loads,
    /// What is held.
    pub holds: Vec<Hold>,
    /// What stays where it is while the frame buckles, if its holds only stop it from drifting.
    pub stays: Option<Vec<Hold>>,
    /// What balances the loads, in words.
    pub carried: &'static str,
    /// What it must keep to.
    pub wanted: Wanted,
    /// What is published of it, if it is.
    pub published: Option<Published>,
    /// Pushes on the frame that are told as what holds it, if its holds carry nothing, N.
    pub pushes: Vec<Pushed>,
    /// How the whole frame goes besides, where its holds only stop it from drifting.
    pub goes: Option<Goes>,
    /// Wheels that would have to pull at the ground, and are off it.
    pub lifted: Vec<String>,
    /// The forces that the load itself puts on the frame, to be drawn; a spread one stands in the middle of its tube.
    pub acts: Vec<Act>,
}

/// A push on the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Pushed {
    /// Whose.
    pub name: String,
    /// Where, m.
    pub at: DVec3,
    /// N.
    pub force: DVec3,
}

/// A force of a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Act {
    /// Where, m.
    pub at: DVec3,
    /// N.
    pub force: DVec3,
    /// N m.
    pub moment: DVec3,
}

/// Why there is no case, and what would help.
pub(crate) type Why = (String, &'static str);

/// A small rigid motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Goes {
    /// How this place moves.
    pub about: DVec3,
    /// By so much, m.
    pub by: DVec3,
    /// And what is round it turns about it, rad.
    pub turn: DVec3,
}

impl Goes {
    /// The motion of a place, m and rad.
    pub fn at(&self, p: DVec3) -> frame::six::Six {
        frame::six::six(self.by + self.turn.cross(p - self.about), self.turn)
    }
}

/// Why there is no such case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NoCase {
    /// Its name.
    pub name: String,
    /// Why, in words.
    pub why: String,
    /// What would help.
    pub help: String,
}

/// The case of a load of the design.
pub(crate) fn own(shape: &Shape, placed: &Placed, load: &Load) -> Result<Case, NoCase> {
    let no = |why: String, help: &str| NoCase { name: load.name.clone(), why, help: help.to_owned() };
    let mut loads = Loads { field: load.g * GRAVITY, ..Loads::default() };
    // A load with a part left out is another load: none is told.
    let at = |p: &PointRef| {
        placed.node(p).ok_or_else(|| {
            no(format!("its point {} lies on no tube", shape.design.point_name(p)), "place the point `on` a tube")
        })
    };
    let mut acts = Vec::new();
    for f in &load.forces {
        let node = at(&f.at)?;
        // A place that is hardly off a joint along its tube is one node with it, and may still stand beside it.
        let place = shape.place(&f.at);
        let arm = place - placed.built.model.nodes[node];
        loads.nodal.push((node, frame::six::six(f.force, f.moment + arm.cross(f.force))));
        acts.push(Act { at: place, force: f.force, moment: f.moment });
    }
    for s in &load.spread {
        let tube = shape.index(&s.along);
        let beams: Vec<usize> = placed.built.along(tube).collect();
        let length: f64 = beams.iter().map(|&b| placed.built.model.beams[b].length()).sum();
        if length == 0.0 {
            let why = format!("{} is temporary and carries nothing", shape.tubes[tube].name);
            return Err(no(why, "spread the force along a tube that stays"));
        }
        loads.spread.extend(beams.into_iter().map(|b| (b, s.force / length)));
        let chain = &shape.tubes[tube].chain;
        acts.push(Act { at: chain.point(chain.length() / 2.0), force: s.force, moment: DVec3::ZERO });
    }
    loads.nodal.extend(wheels_pressed(shape, placed, loads.field, false));
    let wanted =
        Wanted { most: load.most, utilisation: load.utilisation, buckling: load.buckling, collapse: load.collapse };
    let source = format!("load.{}", load.name);
    if load.held.is_empty() {
        let Stood { loads, holds, stays, pushes, lifted } =
            on_wheels(shape, placed, loads).map_err(|(why, help)| no(why, help))?;
        let carried = "what the tyres must push with at their contacts, the least that balances it";
        return Ok(Case {
            name: load.name.clone(),
            source,
            loads,
            holds,
            stays: Some(stays),
            carried,
            wanted,
            published: None,
            pushes,
            goes: None,
            lifted,
            acts,
        });
    }
    let mut holds = Vec::new();
    for h in &load.held {
        let node = at(&h.at)?;
        if let Some(other) = placed.taken(&h.at) {
            let [here, there] = [&h.at, other].map(|p| shape.design.point_name(p));
            let why = format!("it holds {here}, which is beside {there} at one place along their tube");
            return Err(no(why, crate::places::APART));
        }
        for (i, along) in DVec3::AXES.into_iter().enumerate() {
            if h.along[i] {
                holds.push(Hold { node, along, turn: false, by: h.by[i] });
            }
            if h.turns {
                holds.push(Hold { node, along, turn: true, by: 0.0 });
            }
        }
    }
    let carried = "the places that it holds";
    let name = load.name.clone();
    Ok(Case {
        name,
        source,
        loads,
        holds,
        stays: None,
        carried,
        wanted,
        published: None,
        pushes: Vec::new(),
        goes: None,
        lifted: Vec::new(),
        acts,
    })
}

/// A force and moment as six numbers about the origin.
fn about_origin(at: DVec3, force: DVec3, moment: DVec3) -> [f64; 6] {
    frame::six::six(force, moment + at.cross(force))
}

/// The whole of the loads on a frame, about the origin.
pub(crate) fn whole(placed: &Placed, loads: &Loads) -> [f64; 6] {
    let m = &placed.built.model;
    let mut sum = [0.0; 6];
    let mut add = |w: [f64; 6]| sum = frame::six::sum(&sum, &w);
    for (n, f) in &loads.nodal {
        add(about_origin(m.nodes[*n], frame::six::first(f), frame::six::last(f)));
    }
    let mut spread: Vec<(usize, DVec3)> = loads.spread.clone();
    spread.extend(m.beams.iter().enumerate().map(|(i, b)| {
        let s = &m.sections[b.section];
        (i, loads.field * (s.density * s.area))
    }));
    for (b, q) in spread {
        let beam = &m.beams[b];
        let mut at = DVec3::ZERO;
        let mut length = 0.0;
        for p in &beam.pieces {
            let (l, c) = (p.segment.length(), centre(&p.segment));
            at += c * l;
            length += l;
        }
        add(about_origin(at / length, q * length, DVec3::ZERO));
    }
    for l in &m.lumps {
        add(about_origin(l.at, loads.field * l.mass, DVec3::ZERO));
    }
    sum
}

/// Middle of a leg's or an arc's length.
fn centre(s: &geometry::Segment) -> DVec3 {
    match *s {
        geometry::Segment::Leg { from, along, length } => from + along * (length / 2.0),
        geometry::Segment::Arc { centre, axis, start, radius, sweep } => {
            let half = sweep / 2.0;
            let out = start * half.cos() + axis.cross(start) * half.sin();
            centre + out * (radius * half.sin() / half)
        }
    }
}

/// What wheels press their mounts with in a field, m/s²: they are no part of the model. `hung`: they hang at their droop.
pub(crate) fn wheels_pressed(
    shape: &Shape,
    placed: &Placed,
    field: DVec3,
    hung: bool,
) -> Vec<(usize, frame::six::Six)> {
    let mut out = Vec::new();
    if field == DVec3::ZERO {
        return out;
    }
    for (b, c) in shape.bodies.iter().zip(&placed.carriers) {
        if b.kind == BodyKind::Wheel && !c.is_empty() {
            let weight = frame::six::six(field * b.mass, DVec3::ZERO);
            let wheel = shape.design.wheels.iter().find(|w| hung && w.name == b.name.trim_end_matches('~'));
            let at = b.centre - DVec3::Z * wheel.map_or(0.0, |w| w.droop);
            out.extend(handed_on(at, c, &placed.built.model.nodes, &weight));
        }
    }
    out
}

/// A car on its wheels.
pub(crate) struct Stood {
    /// The loads with the wheels' pushes.
    loads: Loads,
    /// Holds at three places, of which the reactions come out as zero.
    holds: Vec<Hold>,
    /// What stays while it buckles.
    stays: Vec<Hold>,
    /// Each wheel's push at its contact.
    pushes: Vec<Pushed>,
    /// Wheels that would have to pull.
    lifted: Vec<String>,
}

/// A tyre that pulls with less than this part of the largest push only rounds.
const PULLS: f64 = 1e-9;

/// Adds to the loads what the wheels must push with, the least that balances them, and holds the frame so that nothing is
/// pulled. A tyre does not pull: those that would have to, the worst first, are off the ground.
pub(crate) fn on_wheels(shape: &Shape, placed: &Placed, mut loads: Loads) -> Result<Stood, Why> {
    let wheels: Vec<(DVec3, &[Carrier], &str)> = shape
        .bodies
        .iter()
        .zip(&placed.carriers)
        .filter(|(b, c)| b.kind == BodyKind::Wheel && !c.is_empty())
        .map(|(b, c)| (contact(shape, b), c.as_slice(), b.name.as_str()))
        .collect();
    let help = "say what is `held`, or give the wheels mounts with the places that their wishbones or axles bolt to";
    if wheels.len() < 3 {
        return Err(("nothing holds it: it names nothing as held, and not three wheels have mounts".to_owned(), help));
    }
    let sum = whole(placed, &loads);
    let mut on: Vec<usize> = (0..wheels.len()).collect();
    let forces = loop {
        let places: Vec<DVec3> = on.iter().map(|&i| wheels[i].0).collect();
        let forces = match least(&places, &sum) {
            Some(f) => f,
            None if on.len() == wheels.len() => {
                return Err(("its wheels stand on one line: they can't hold it".to_owned(), help));
            }
            None => {
                let why = "its tyres would have to pull at the ground: it tips over, or leaves it".to_owned();
                return Err((why, "ask for less, or say what is `held`"));
            }
        };
        let most = forces.iter().map(|f| f.length()).fold(0.0, f64::max);
        match (0..on.len()).min_by(|&a, &b| forces[a].z.total_cmp(&forces[b].z)) {
            Some(k) if forces[k].z < -PULLS * most => _ = on.remove(k),
            _ => break forces,
        }
    };
    let (mut pushes, mut feet) = (Vec::new(), Vec::new());
    for (i, w) in wheels.iter().enumerate() {
        let force = on.iter().position(|&k| k == i).map_or(DVec3::ZERO, |k| forces[k]);
        pushes.push(Pushed { name: w.2.to_owned(), at: w.0, force });
        let nodal = handed_on(w.0, w.1, &placed.built.model.nodes, &frame::six::six(force, DVec3::ZERO));
        if force.z > 0.0 {
            feet.extend(crate::stays::foot(&placed.built.model.nodes, w.0, &nodal, DVec3::Z));
        }
        loads.nodal.extend(nodal);
    }
    let lifted = (0..wheels.len()).filter(|i| !on.contains(i)).map(|i| wheels[i].2.to_owned()).collect();
    let nodes: Vec<usize> = wheels.iter().map(|w| w.1[0].node).collect();
    let Some(holds) = three(&placed.built.model.nodes, &nodes) else {
        return Err(("the places that carry the wheels lie on one line".to_owned(), help));
    };
    let stays = crate::stays::stays(&placed.built.model.nodes, &feet, DVec3::Z);
    Ok(Stood { loads, holds, stays, pushes, lifted })
}

/// The least forces at places that balance a whole of loads about the origin: Aᵀ (A Aᵀ)⁻¹ (-whole), with A from forces to
/// their whole. `None` if fewer than three places, or places on one line, can't.
fn least(places: &[DVec3], sum: &[f64; 6]) -> Option<Vec<DVec3>> {
    if places.len() < 3 {
        return None;
    }
    let columns: Vec<[f64; 6]> =
        places.iter().flat_map(|at| DVec3::AXES.map(|a| about_origin(*at, a, DVec3::ZERO))).collect();
    let mut square = frame::six::Mat6::ZERO;
    for c in &columns {
        for i in 0..6 {
            for j in 0..6 {
                square.0[i][j] += c[i] * c[j];
            }
        }
    }
    let k = square.inverse()?.apply(&sum.map(|x| -x));
    let force = |c: &[[f64; 6]]| DVec3::from_array([0, 1, 2].map(|a| c[a].iter().zip(&k).map(|(x, y)| x * y).sum()));
    Some(columns.chunks_exact(3).map(force).collect())
}

/// Where a wheel stands, with its tyre loaded, on a level ground.
fn contact(shape: &Shape, b: &shape::Body) -> DVec3 {
    let name = b.name.trim_end_matches('~');
    let loaded = shape.design.wheels.iter().find(|w| w.name == name).map_or(0.0, |w| w.loaded);
    b.centre - DVec3::Z * loaded
}

/// Holds that stop all rigid motion and nothing else, at three of the nodes: the first two that are farthest apart, and the
/// one farthest from their line.
pub(crate) fn three(places: &[DVec3], nodes: &[usize]) -> Option<Vec<Hold>> {
    let mut far = (0.0, nodes[0], nodes[0]);
    for (i, &a) in nodes.iter().enumerate() {
        for &b in &nodes[i + 1..] {
            let d = places[a].distance(places[b]);
            if d > far.0 {
                far = (d, a, b);
            }
        }
    }
    let (length, a, b) = far;
    if length == 0.0 {
        return None;
    }
    let t = (places[b] - places[a]) / length;
    let off = |n: usize| (places[n] - places[a]).cross(t).length();
    let &c = nodes.iter().max_by(|&&i, &&j| off(i).total_cmp(&off(j)))?;
    if off(c) < 1e-3 * length {
        return None;
    }
    let normal = t.cross(places[c] - places[a]).normalize();
    let hold = |node, along| Hold { node, along, turn: false, by: 0.0 };
    let mut out: Vec<Hold> = DVec3::AXES.map(|d| hold(a, d)).to_vec();
    out.extend([hold(b, normal), hold(b, normal.cross(t)), hold(c, normal)]);
    Some(out)
}
