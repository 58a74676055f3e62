//! Where points are: as designed, or as measured on what was built.

use std::collections::BTreeMap;

use design::{Design, PointId, PointRef};
use geometry::DVec3;

/// Points that are elsewhere than the design says: each point or twin by itself, m. What depends on them follows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moved {
    places: BTreeMap<(PointId, bool), DVec3>,
}

impl Moved {
    /// Puts a point, or its twin, at a place. A point on the centre plane is its own twin.
    pub fn put(&mut self, design: &Design, id: PointId, twin: bool, at: DVec3, designed: DVec3) {
        debug_assert!(id.0 < design.points.len());
        self.places.insert((id, twin), at);
        if designed.y.abs() < geometry::SAME_PLACE {
            self.places.insert((id, !twin), at);
        }
    }

    /// Whether nothing is moved.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// Where a point or its twin was put.
    pub fn get(&self, id: PointId, twin: bool) -> Option<DVec3> {
        self.places.get(&(id, twin)).copied()
    }
}

/// Places of all points and of their twins, m.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    own: Vec<DVec3>,
    twin: Vec<DVec3>,
    /// Whether some are not mirror images.
    pub(crate) apart: bool,
}

/// A place or its mirror image.
pub(crate) fn twin(p: DVec3, twin: bool) -> DVec3 {
    if twin { DVec3::new(p.x, -p.y, p.z) } else { p }
}

impl Places {
    /// Twins are mirror images.
    pub(crate) fn mirrored(own: Vec<DVec3>) -> Places {
        let twin = own.iter().map(|&p| twin(p, true)).collect();
        Places { own, twin, apart: false }
    }

    /// Each by itself.
    pub(crate) fn apart(own: Vec<DVec3>, twin: Vec<DVec3>) -> Places {
        Places { own, twin, apart: true }
    }

    /// The points themselves, in the design's order.
    pub fn own(&self) -> &[DVec3] {
        &self.own
    }

    /// Where a point or its twin is.
    pub fn at(&self, r: &PointRef) -> DVec3 {
        self.of(r.id, r.twin)
    }

    /// The same by number.
    pub fn of(&self, id: PointId, twin: bool) -> DVec3 {
        if twin { self.twin[id.0] } else { self.own[id.0] }
    }

    /// Whether a point is its own twin.
    pub(crate) fn is_centre(&self, id: PointId) -> bool {
        self.own[id.0].distance(self.twin[id.0]) < geometry::SAME_PLACE
    }

    /// Where what a twin is the mirror image of has its point: for a twin, the other side's place seen in the mirror. The
    /// same as [`Places::at`] as long as twins are mirror images.
    pub(crate) fn seen(&self, r: &PointRef, mirrored: bool) -> DVec3 {
        twin(self.of(r.id, r.twin != mirrored), mirrored)
    }
}
