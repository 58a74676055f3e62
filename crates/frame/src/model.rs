//! A frame as data.

use geometry::{DMat3, DVec3, Frame, Segment};

use crate::six::Six;

/// Stiffness, mass and size of a cross-section. `u` and `v` are the directions of a [`Frame`] square to the beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Shear modulus, Pa.
    pub shear: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Area, m².
    pub area: f64,
    /// Areas in shear along u and along v, m². Infinite: no shear deformation.
    pub shear_areas: [f64; 2],
    /// Second moments about u (∫v² dA) and about v (∫u² dA), m⁴.
    pub second: [f64; 2],
    /// Torsion constant, m⁴.
    pub torsion: f64,
}

/// A leg or an arc of a beam, with the directions of its section where it starts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Where it runs.
    pub segment: Segment,
    /// Directions at its start.
    pub frame: Frame,
}

impl Piece {
    /// Directions and place at a distance from its start.
    pub fn at(&self, s: f64) -> Frame {
        match self.segment {
            Segment::Leg { .. } => self.frame.at(self.segment.point(s)),
            Segment::Arc { axis, radius, .. } => self.frame.turned(axis, s / radius).at(self.segment.point(s)),
        }
    }
}

/// A beam between two nodes, joined to each by a rigid link from the node to its own end.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    /// Its nodes.
    pub nodes: [usize; 2],
    /// Its centreline, end to end: pieces that follow each other.
    pub pieces: Vec<Piece>,
    /// Index of its section.
    pub section: usize,
}

impl Beam {
    /// A straight beam from node to node; `towards` gives the direction u of its section.
    ///
    /// `None` if both nodes are one place, or `towards` lies along the beam.
    pub fn straight(nodes: [usize; 2], places: [DVec3; 2], section: usize, towards: DVec3) -> Option<Beam> {
        let d = places[1] - places[0];
        let frame = Frame::new(places[0], d, towards)?;
        let segment = Segment::Leg { from: places[0], along: frame.t, length: d.length() };
        Some(Beam { nodes, pieces: vec![Piece { segment, frame }], section })
    }

    /// Where its centreline starts.
    pub fn start(&self) -> DVec3 {
        self.pieces[0].segment.point(0.0)
    }

    /// Where its centreline ends.
    pub fn end(&self) -> DVec3 {
        let last = &self.pieces[self.pieces.len() - 1].segment;
        last.point(last.length())
    }

    /// Length along it, m.
    pub fn length(&self) -> f64 {
        self.pieces.iter().map(|p| p.segment.length()).sum()
    }
}

/// A rigid mass that some nodes carry between them without being stiffened by it.
#[derive(Clone, Debug, PartialEq)]
pub struct Lump {
    /// Its centre.
    pub at: DVec3,
    /// kg.
    pub mass: f64,
    /// About its centre, kg m².
    pub inertia: DMat3,
    /// Who carries it.
    pub nodes: Vec<Carrier>,
}

/// A place that carries part of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carrier {
    /// The node that it is joined to rigidly.
    pub node: usize,
    /// From the node to the place, m.
    pub arm: DVec3,
    /// How much of it the place carries beside the others.
    pub weight: f64,
}

impl Carrier {
    /// A node itself, with weight 1.
    pub fn at(node: usize) -> Carrier {
        Carrier { node, arm: DVec3::ZERO, weight: 1.0 }
    }
}

/// A frame: nodes, beams, masses.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Model {
    /// Places of the nodes, m.
    pub nodes: Vec<DVec3>,
    /// Sections.
    pub sections: Vec<Section>,
    /// Beams.
    pub beams: Vec<Beam>,
    /// Masses.
    pub lumps: Vec<Lump>,
}

/// One freedom of a node, held or moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    /// The node.
    pub node: usize,
    /// Unit direction of the motion, or axis of the turn.
    pub along: DVec3,
    /// Whether the turn about `along` is meant.
    pub turn: bool,
    /// By how much it is moved, m or rad; 0 if it is held still.
    pub by: f64,
}

impl Hold {
    /// A node held in all three directions, free to turn.
    pub fn pinned(node: usize) -> [Hold; 3] {
        DVec3::AXES.map(|along| Hold { node, along, turn: false, by: 0.0 })
    }

    /// A node held in all six freedoms.
    pub fn fixed(node: usize) -> [Hold; 6] {
        std::array::from_fn(|i| Hold { node, along: DVec3::AXES[i % 3], turn: i > 2, by: 0.0 })
    }
}

/// Loads that act together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Loads {
    /// Forces and moments on nodes, N and N m.
    pub nodal: Vec<(usize, Six)>,
    /// Forces spread evenly along beams, N/m.
    pub spread: Vec<(usize, DVec3)>,
    /// What every mass is pressed with for each kilogram, N/kg: gravity, or an acceleration turned round.
    pub field: DVec3,
}
