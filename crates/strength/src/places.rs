//! Which nodes carry what, and where the design's places are.

use design::units::{Quantity, show};
use design::{Carried, PointRef};
use frame::Carrier;
use geometry::DVec3;
use shape::bodies::BodyKind;
use shape::{Finding, Level, Shape};

use crate::build::{Built, Spot, build_with};

/// What helps where two points are at one place along a tube.
pub(crate) const APART: &str = "put one of them 1 mm or more further along the tube, or both at one place";

/// How many nodes carry a thing without a mount: its nearest ones.
const NEAREST: usize = 4;

/// The model with the nodes of everything that the design hangs on it.
pub(crate) struct Placed {
    pub built: Built,
    asked: Vec<PointRef>,
    /// For each of the shape's bodies, the places that carry it; for a wheel without a mount, none.
    pub carriers: Vec<Vec<Carrier>>,
    pub findings: Vec<Finding>,
}

/// The mount that asks for a point, in brackets.
fn mounted(d: &design::Design, p: &PointRef) -> String {
    let asks = d.mounts.iter().find(|m| m.at.iter().any(|q| q.id == p.id));
    asks.map_or(String::new(), |m| format!(" (mount {})", m.name))
}

/// A point seen from a thing or from its twin.
fn seen(p: &PointRef, twin: bool) -> PointRef {
    PointRef { twin: p.twin != twin, ..p.clone() }
}

/// The body that a mount carries, or its twin; `None` if there is no twin.
fn body(shape: &Shape, of: Carried, twin: bool) -> Option<usize> {
    let (kind, name) = match of {
        Carried::Mass(id) => (BodyKind::Mass, &shape.design.masses[id.0].name),
        Carried::Occupant(id) => (BodyKind::Occupant, &shape.design.occupants[id.0].name),
        Carried::Wheel(id) => (BodyKind::Wheel, &shape.design.wheels[id.0].name),
    };
    let name = design::twin_name(name, twin);
    shape.bodies.iter().position(|b| b.kind == kind && b.name == name)
}

impl Placed {
    pub(crate) fn new(shape: &Shape) -> Placed {
        Placed::with(shape, &[])
    }

    /// With nodes at places along tubes that don't come from the design's points.
    pub(crate) fn with(shape: &Shape, spots: &[Spot]) -> Placed {
        let d = &shape.design;
        let mut asked: Vec<PointRef> = Vec::new();
        let mut ask = |p: &PointRef| {
            if !asked.iter().any(|q| (q.id, q.twin) == (p.id, p.twin)) {
                asked.push(p.clone());
            }
        };
        // What is held comes first: mounts and forces may stand beside a node, by an arm.
        d.loads.iter().flat_map(|l| &l.held).for_each(|h| ask(&h.at));
        for p in d.strength.rig.iter().flat_map(|r| r.front.iter().chain(&r.rear)) {
            ask(p);
        }
        let bearing = asked.len();
        let mut ask = |p: &PointRef| {
            if !asked.iter().any(|q| (q.id, q.twin) == (p.id, p.twin)) {
                asked.push(p.clone());
            }
        };
        for m in &d.mounts {
            for twin in [false, true] {
                if body(shape, m.of, twin).is_some() {
                    m.at.iter().for_each(|p| ask(&seen(p, twin)));
                }
            }
        }
        d.loads.iter().flat_map(|l| &l.forces).for_each(|f| ask(&f.at));
        let places: Vec<(DVec3, String)> = asked.iter().map(|p| (shape.place(p), d.point_name(p))).collect();
        let built = build_with(shape, &places, spots);
        let mut findings: Vec<Finding> = asked
            .iter()
            .zip(&built.asked)
            .filter(|(_, n)| n.is_none())
            .map(|(p, _)| {
                Finding::new(
                    Level::Mend,
                    "strength",
                    format!(
                        "point {}{} lies on no tube, so nothing can be held or loaded there",
                        d.point_name(p),
                        mounted(d, p)
                    ),
                )
                .at(shape.place(p))
                .help("place it `on` a tube")
            })
            .collect();
        let holds = |m: &design::Mount, p: &PointRef| m.at.iter().any(|q| (q.id, q.twin) == (p.id, p.twin));
        for (i, m) in d.mounts.iter().enumerate() {
            let alike = |o: &&design::Mount| {
                o.of == m.of && o.at.iter().all(|p| holds(m, p)) && m.at.iter().all(|p| holds(o, p))
            };
            if let Some(o) = d.mounts[..i].iter().find(alike) {
                let what =
                    format!("mounts {} and {} are alike: both carry the same at the same places", o.name, m.name);
                findings.push(Finding::new(Level::Look, "strength", what).help("leave one of them out, or move it"));
            }
        }
        findings.extend(built.aside.iter().take(bearing).enumerate().filter_map(|(k, first)| {
            let (here, there) = (&places[k], &places[(*first)?]);
            let apart = show((here.0.distance(there.0) * 1e4).round() / 1e4, Quantity::Length, d.units);
            let what = format!(
                "points {} and {} are {apart} apart, but at one place along their tube: nothing is held or measured at {}",
                there.1, here.1, here.1
            );
            Some(Finding::new(Level::Mend, "strength", what).at(here.0).help(APART))
        }));
        let mut placed = Placed { built, asked, carriers: vec![Vec::new(); shape.bodies.len()], findings: Vec::new() };
        for m in &d.mounts {
            for twin in [false, true] {
                let Some(b) = body(shape, m.of, twin) else { continue };
                let nodes: Vec<Carrier> = m.at.iter().filter_map(|p| placed.carrier(shape, &seen(p, twin))).collect();
                for n in nodes {
                    if !placed.carriers[b].contains(&n) {
                        placed.carriers[b].push(n);
                    }
                }
            }
        }
        let mut bare: Vec<String> = Vec::new();
        for (i, b) in shape.bodies.iter().enumerate() {
            if placed.carriers[i].is_empty() && b.kind != BodyKind::Wheel && b.mass > 0.0 {
                placed.carriers[i] = nearest(&placed.built, b.centre);
                bare.push(b.name.clone());
            }
        }
        // Without loads nothing but frequencies depends on it.
        if !bare.is_empty() && !d.loads.is_empty() {
            let what =
                format!("without a mount on a tube, carried by the {NEAREST} nearest joints: {}", bare.join(", "));
            let help = "give each a `mount` with the places that it is bolted to";
            findings.push(Finding::new(Level::Note, "strength", what).help(help));
        }
        placed.findings = findings;
        placed
    }

    /// Hangs on the model what the frame carries: masses and people where they are mounted, plates on their nearest joints.
    /// Wheels push from outside.
    pub(crate) fn hang(&mut self, shape: &Shape) {
        for (b, nodes) in shape.bodies.iter().zip(&self.carriers) {
            if !nodes.is_empty() && b.kind != BodyKind::Wheel {
                self.built.carry(b.centre, b.mass, b.inertia, nodes);
            }
        }
        for p in shape.plates.iter().filter_map(shape::mass::plate) {
            let nodes = nearest(&self.built, p.centre);
            if !nodes.is_empty() {
                self.built.carry(p.centre, p.mass, p.inertia, &nodes);
            }
        }
    }

    /// The node of a spot by its number.
    pub(crate) fn spot(&self, k: usize) -> Option<usize> {
        *self.built.asked.get(self.asked.len() + k)?
    }

    fn number(&self, p: &PointRef) -> Option<usize> {
        self.asked.iter().position(|q| (q.id, q.twin) == (p.id, p.twin))
    }

    /// The node of a point, which may stand beside it: for forces, that keep their arm.
    pub(crate) fn node(&self, p: &PointRef) -> Option<usize> {
        self.built.asked[self.number(p)?]
    }

    /// A point that carries something, by the node that it stands beside.
    fn carrier(&self, shape: &Shape, p: &PointRef) -> Option<Carrier> {
        let node = self.node(p)?;
        Some(Carrier { arm: shape.place(p) - self.built.model.nodes[node], ..Carrier::at(node) })
    }

    /// The node at a point, to be held or to measure at; `None` if it stands beside it, too.
    pub(crate) fn bearing(&self, p: &PointRef) -> Option<usize> {
        self.node(p).filter(|_| self.taken(p).is_none())
    }

    /// The point whose place the node of another has.
    pub(crate) fn taken(&self, p: &PointRef) -> Option<&PointRef> {
        Some(&self.asked[self.built.aside[self.number(p)?]?])
    }
}

fn nearest(built: &Built, at: DVec3) -> Vec<Carrier> {
    let mut all: Vec<(f64, usize)> = built.model.nodes.iter().map(|p| p.distance(at)).zip(0..).collect();
    // Of those that are as near, the first.
    let nearer = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    if all.len() > NEAREST {
        all.select_nth_unstable_by(NEAREST, nearer);
        all.truncate(NEAREST);
    }
    all.sort_by(nearer);
    all.into_iter().map(|x| Carrier::at(x.1)).collect()
}
