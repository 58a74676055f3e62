//! A hollow section, as it lies at a joint.

use serde::Serialize;

/// Outline of a hollow section, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "form", rename_all = "lowercase")]
pub enum Form {
    /// Round.
    Round {
        /// Outside diameter.
        od: f64,
    },
    /// Square or rectangular.
    Box {
        /// Across the plane of chord and brace (a chord: across the plane of azimuth 0): b.
        across: f64,
        /// In that plane: h.
        depth: f64,
    },
}

/// What a tube is made of.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Steel {
    /// Yield strength, Pa.
    pub yield_strength: f64,
    /// Tensile strength, Pa.
    pub tensile_strength: f64,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Elongation at break, if it is known.
    pub elongation: Option<f64>,
}

/// A hollow section, as it lies at the joint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hollow {
    /// Outline.
    pub form: Form,
    /// Wall, m.
    pub wall: f64,
    /// Area, m².
    pub area: f64,
    /// Elastic moduli for bending in the plane of chord and brace, and across it (a chord: in the planes of azimuth 0 and of a
    /// right angle), m³.
    pub elastic: [f64; 2],
    /// Plastic moduli, in the same order, m³.
    pub plastic: [f64; 2],
    /// Torsion modulus, m³.
    pub twist: f64,
    /// Steel.
    pub steel: Steel,
}

impl Hollow {
    /// Whether it is round.
    pub fn round(&self) -> bool {
        matches!(self.form, Form::Round { .. })
    }

    /// Extent across the plane: d or b.
    pub fn across(&self) -> f64 {
        match self.form {
            Form::Round { od } => od,
            Form::Box { across, .. } => across,
        }
    }

    /// Extent in the plane: d or h.
    pub fn depth(&self) -> f64 {
        match self.form {
            Form::Round { od } => od,
            Form::Box { depth, .. } => depth,
        }
    }

    /// As it lies to a plane at an azimuth: a box is turned by a right angle if that is nearer.
    pub(super) fn seen(mut self, azimuth: f64) -> Hollow {
        if self.round() || azimuth.sin().abs() < azimuth.cos().abs() {
            return self;
        }
        if let Form::Box { across, depth } = self.form {
            self.form = Form::Box { across: depth, depth: across };
        }
        self.elastic.reverse();
        self.plastic.reverse();
        self
    }

    /// Largest stress of a shear force: round exactly for a thin wall, a box as the mean over its shorter walls, Pa.
    pub(super) fn sheared(&self, v: f64) -> f64 {
        match self.form {
            Form::Round { .. } => 2.0 * v.abs() / self.area,
            Form::Box { across, depth } => v.abs() * (across + depth) / (across.min(depth) * self.area),
        }
    }

    /// Largest stress of bending moments in and across the plane, Pa.
    pub(super) fn bending(&self, m: [f64; 2]) -> f64 {
        if self.round() {
            m[0].hypot(m[1]) / self.elastic[0]
        } else {
            m[0].abs() / self.elastic[0] + m[1].abs() / self.elastic[1]
        }
    }
}
