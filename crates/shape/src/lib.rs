//! The resolved frame: located points, tube centrelines, joints, mass properties.
//!
//! [`resolve`] turns a valid [`Design`] into a [`Shape`], or into problems that point at the lines of the file. A shape
//! knows where everything is; it does not know how anything is cut, how it stands or what it carries.

pub mod bodies;
pub mod contacts;
pub mod finding;
pub mod joints;
mod locate;
pub mod mass;
pub mod openings;
pub mod places;
pub mod plates;
pub mod room;
pub mod skins;
pub mod tube;

use std::sync::Arc;

use design::{Datum, Design, PointRef, Problem, TubeRef};
use geometry::DVec3;

pub use bodies::Body;
pub use finding::{Finding, Level, Value};
pub use joints::{Joint, Member, Role};
pub use places::{Moved, Places};
pub use plates::Plate;
pub use skins::{Skin, Skins};
pub use tube::{End, Tube};

/// A design located in space.
#[derive(Clone, Debug)]
pub struct Shape {
    /// The design it was made from.
    pub design: Arc<Design>,
    /// Every tube, twins included, in fitting order; a twin follows its tube.
    pub tubes: Vec<Tube>,
    /// Places of the design's points and of their twins, m.
    pub places: Places,
    /// Where tubes meet.
    pub joints: Vec<Joint>,
    /// Every plate, twins included.
    pub plates: Vec<Plate>,
    /// Occupants, wheels and masses, twins included.
    pub bodies: Vec<Body>,
    /// Skins: none until [`Shape::with_skins`] is told their meshes.
    pub skins: Skins,
    /// Ways out, twins included.
    pub openings: Vec<openings::Opening>,
    /// The height that drawings measure from, m.
    pub datum: f64,
}

impl Shape {
    /// Place of a point or of its twin.
    pub fn place(&self, p: &PointRef) -> DVec3 {
        self.places.at(p)
    }

    /// Index in [`Shape::tubes`] of a tube or of its twin. A twin that does not exist is the tube itself.
    pub fn index(&self, t: &TubeRef) -> usize {
        tube::index_of(&self.tubes, t.id, t.twin)
    }

    /// Index of the tube with a name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.tubes.iter().position(|t| t.name == name)
    }

    /// With its skins placed: one mesh for each skin of the design, in order, or why there is none.
    pub fn with_skins(mut self, meshes: &[Result<mesh::Mesh, String>]) -> Shape {
        self.skins = skins::place(&self.design, meshes);
        self
    }

    /// Findings about the shape: joints, loose ends, loose pieces, touching tubes, tubes through bodies.
    pub fn findings(&self) -> Vec<Finding> {
        let mut out = joints::findings(self);
        out.extend(contacts::findings(self));
        out
    }
}

/// Locates a design in space.
pub fn resolve(design: Arc<Design>) -> Result<Shape, Vec<Problem>> {
    resolve_moved(design, &Moved::default())
}

/// The same with points that are elsewhere than the design says, each twin by itself: what was built is seldom its own
/// mirror image. What is placed by them follows; all else is as designed. Plates of moved points lie in their mean plane.
pub fn resolve_moved(design: Arc<Design>, moved: &Moved) -> Result<Shape, Vec<Problem>> {
    let located = locate::locate(&design, moved)?;
    let tubes = tube::expand(&design, &located)?;
    let places = located.places;
    let plates = plates::expand(&design, &places)?;
    let bodies = bodies::expand(&design, &places);
    let openings = openings::expand(&design, &places, &tubes);
    let joints = joints::find(&design, &places, &tubes);
    let tube_at = |t: &TubeRef| &tubes[tube::index_of(&tubes, t.id, t.twin)];
    let datum = match &design.datum {
        Datum::Z(z) => *z,
        Datum::Under(t) => -tube_at(t).extent(DVec3::NEG_Z),
        Datum::Over(t) => tube_at(t).extent(DVec3::Z),
    };
    Ok(Shape { design, tubes, places, joints, plates, bodies, skins: Skins::default(), openings, datum })
}
