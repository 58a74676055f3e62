//! The frame's model from its shape.

use design::TubeState;
use frame::{Beam, Carrier, Lump, Model, Piece};
use geometry::DVec3;
use shape::{Shape, Tube};

use crate::sections::Profile;

/// Places along a tube nearer than this are one node: shorter than a wall is thick, and a beam that short would be a
/// million times as stiff as its neighbours, which costs as many digits.
const TIED: f64 = 1e-3;

/// A place counts as on a tube if it lies within its outside surface, or outside of it by less than this, m: rounding.
const ON: f64 = 1e-6;

/// A frame's model and what its parts are.
#[derive(Clone, Debug)]
pub struct Built {
    /// The model.
    pub model: Model,
    /// Each section's moduli, in the order of the design's sections.
    pub profiles: Vec<Profile>,
    /// For each beam: its tube, and where along it the beam starts, m.
    pub beams: Vec<(usize, f64)>,
    /// What each node is, in the user's names.
    pub names: Vec<String>,
    /// Where a tube that is added at each node starts, and what that place is called: its joint, though the node itself may
    /// stand beside it, at a place that was asked for.
    pub corners: Vec<(DVec3, String)>,
    /// The node of each joint of the shape.
    pub of_joint: Vec<Option<usize>>,
    /// Nodes at the points that were asked for, in the same order; `None` where a point is on no tube.
    pub asked: Vec<Option<usize>>,
    /// For each point that was asked for, the one before it whose place their common node has, if that is another: forces
    /// keep their arm from there, but nothing can be held here.
    pub aside: Vec<Option<usize>>,
}

/// A place along a tube that must be a node.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The tube.
    pub tube: usize,
    /// Where along it, m.
    pub station: f64,
    /// What it is called where no joint is.
    pub name: String,
}

/// A node to be: its place, its name, and where it sits on tubes.
struct Site {
    at: DVec3,
    name: String,
    /// Tube and station.
    on: Vec<(usize, f64)>,
}

/// Builds the model; `asked` are places on tubes that must be nodes, too, with their names. Where a node has several, it is at
/// the first.
pub fn build(shape: &Shape, asked: &[(DVec3, String)]) -> Built {
    build_with(shape, asked, &[])
}

/// As [`build`], with nodes at places along tubes, too: they come after the others in [`Built::asked`].
pub fn build_with(shape: &Shape, asked: &[(DVec3, String)], spots: &[Spot]) -> Built {
    let counts = |t: usize| shape.tubes[t].state != TubeState::Temporary;
    let mut sites: Vec<Site> = Vec::new();
    let mut of_joint = Vec::new();
    for j in &shape.joints {
        let on: Vec<(usize, f64)> = j.members.iter().filter(|m| counts(m.tube)).map(|m| (m.tube, m.station)).collect();
        of_joint.push((!on.is_empty()).then_some(sites.len()));
        if !on.is_empty() {
            sites.push(Site { at: j.at, name: j.name.clone(), on });
        }
    }
    let mut of_asked: Vec<Option<usize>> = asked
        .iter()
        .map(|(at, name)| {
            let at = *at;
            if let Some(k) = sites.iter().position(|s| s.at.distance(at) < TIED) {
                return Some(k);
            }
            let (tube, station) = nearest(shape, at)?;
            sites.push(Site { at, name: name.clone(), on: vec![(tube, station)] });
            Some(sites.len() - 1)
        })
        .collect();
    for spot in spots.iter().filter(|s| counts(s.tube)) {
        let here = |s: &Site| s.on.iter().any(|&(t, at)| t == spot.tube && (at - spot.station).abs() < TIED);
        let known = sites.iter().position(here);
        of_asked.push(Some(known.unwrap_or(sites.len())));
        if known.is_none() {
            let at = shape.tubes[spot.tube].chain.point(spot.station);
            sites.push(Site { at, name: spot.name.clone(), on: vec![(spot.tube, spot.station)] });
        }
    }
    // Ends that meet nothing.
    for (i, t) in shape.tubes.iter().enumerate().filter(|(i, _)| counts(*i)) {
        for (s, word) in [(0.0, "start"), (t.chain.length(), "end")] {
            if !sites.iter().any(|x| x.on.iter().any(|&(k, at)| k == i && (at - s).abs() < TIED)) {
                sites.push(Site { at: t.chain.point(s), name: format!("{word} of {}", t.name), on: vec![(i, s)] });
            }
        }
    }
    let (node_of, mut nodes, mut names) = tie(&sites, shape.tubes.len());
    let corners = nodes.iter().copied().zip(names.iter().cloned()).collect();
    // A node stands for all that is welded together there, and may be at any place of it: what is held is held at its own.
    let mut first: Vec<Option<usize>> = vec![None; nodes.len()];
    let mut aside = vec![None; asked.len()];
    for (k, (at, name)) in asked.iter().enumerate() {
        let Some(n) = of_asked[k].map(|s| node_of[s]) else { continue };
        match first[n] {
            None => {
                first[n] = Some(k);
                if nodes[n].distance(*at) >= TIED {
                    (nodes[n], names[n]) = (*at, name.clone());
                }
            }
            Some(f) if nodes[n].distance(*at) >= TIED => aside[k] = Some(f),
            Some(_) => {}
        }
    }
    let profiles: Vec<Profile> =
        shape.design.sections.iter().map(|s| Profile::new(&s.shape, &shape.design.materials[s.material.0])).collect();
    let mut model =
        Model { nodes, sections: profiles.iter().map(|p| p.section).collect(), beams: Vec::new(), lumps: Vec::new() };
    let mut beams = Vec::new();
    for (i, t) in shape.tubes.iter().enumerate().filter(|(i, _)| counts(*i)) {
        let mut stations: Vec<(f64, usize)> = sites
            .iter()
            .enumerate()
            .flat_map(|(k, s)| s.on.iter().filter(|o| o.0 == i).map(move |o| (o.1, k)))
            .map(|(s, k)| (s, node_of[k]))
            .collect();
        stations.sort_by(|a, b| a.0.total_cmp(&b.0));
        stations.dedup_by(|b, a| b.1 == a.1 && b.0 - a.0 < TIED);
        for pair in stations.windows(2) {
            let [(from, a), (to, b)] = [pair[0], pair[1]];
            let pieces = pieces(t, from, to);
            if !pieces.is_empty() {
                model.beams.push(Beam { nodes: [a, b], pieces, section: t.section.0 });
                beams.push((i, from));
            }
        }
    }
    let of_joint = of_joint.into_iter().map(|k| k.map(|k| node_of[k])).collect();
    let asked = of_asked.into_iter().map(|k| k.map(|k| node_of[k])).collect();
    Built { model, profiles, beams, names, corners, of_joint, asked, aside }
}

/// The tube whose surface a place is deepest under, and where along it.
fn nearest(shape: &Shape, at: DVec3) -> Option<(usize, f64)> {
    shape
        .tubes
        .iter()
        .enumerate()
        .filter(|(_, t)| t.state != TubeState::Temporary)
        .map(|(i, t)| {
            let (s, d) = t.chain.nearest(at);
            (i, s, d - t.outline.reach())
        })
        .filter(|x| x.2 <= ON)
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|x| (x.0, x.1))
}

/// Makes one node of sites that sit at one place of a tube: for each site its node, the nodes' places and names.
fn tie(sites: &[Site], tubes: usize) -> (Vec<usize>, Vec<DVec3>, Vec<String>) {
    let mut head: Vec<usize> = (0..sites.len()).collect();
    fn root(head: &mut [usize], mut i: usize) -> usize {
        while head[i] != i {
            head[i] = head[head[i]];
            i = head[i];
        }
        i
    }
    let mut on: Vec<Vec<(f64, usize)>> = vec![Vec::new(); tubes];
    for (k, s) in sites.iter().enumerate() {
        for &(t, at) in &s.on {
            on[t].push((at, k));
        }
    }
    for list in &mut on {
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        for w in list.windows(2) {
            if w[1].0 - w[0].0 < TIED {
                let [a, b] = [w[0].1, w[1].1].map(|k| root(&mut head, k));
                head[a.max(b)] = a.min(b);
            }
        }
    }
    let (mut nodes, mut names) = (Vec::new(), Vec::new());
    let mut number = vec![usize::MAX; sites.len()];
    let mut out = Vec::with_capacity(sites.len());
    for (k, s) in sites.iter().enumerate() {
        let r = root(&mut head, k);
        if r == k {
            number[k] = nodes.len();
            nodes.push(s.at);
            names.push(s.name.clone());
        }
        out.push(number[r]);
    }
    (out, nodes, names)
}

/// The pieces of a tube from one station to another.
fn pieces(t: &Tube, from: f64, to: f64) -> Vec<Piece> {
    let mut out = Vec::new();
    for (k, segment) in t.chain.segments.iter().enumerate() {
        let start = t.chain.starts[k];
        let (a, b) = ((from - start).max(0.0), (to - start).min(segment.length()));
        // A sliver left by rounding at the border of two segments is nothing.
        if b - a > geometry::SAME_PLACE {
            out.push(Piece { segment: *segment, frame: t.frames[k] }.part(a, b - a));
        }
    }
    out
}

impl Built {
    /// Adds a mass that some nodes carry.
    pub fn carry(&mut self, at: DVec3, mass: f64, inertia: geometry::DMat3, nodes: &[Carrier]) {
        self.model.lumps.push(Lump { at, mass, inertia, nodes: nodes.to_vec() });
    }

    /// The beams of a tube, in order along it.
    pub fn along(&self, tube: usize) -> impl Iterator<Item = usize> {
        self.beams.iter().enumerate().filter(move |(_, b)| b.0 == tube).map(|(i, _)| i)
    }
}
