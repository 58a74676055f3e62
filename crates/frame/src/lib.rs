//! Mechanics of frames of beams.
//!
//! A [`Model`] is nodes, straight and curved beams with rigid links at their ends, and masses. [`Frame::new`] makes it
//! ready, [`Frame::held`] holds it, [`Held::solve`] loads it. SI units; axes are those of the places given.
//!
//! ```
//! use frame::{Beam, Frame, Hold, Loads, Model, Section};
//! use glam::DVec3;
//!
//! // A cantilever of 1 m, 38.1 x 2.413 mm, with 100 N on its end.
//! let section = Section {
//!     youngs: 210e9, shear: 81e9, density: 7850.0, area: 270.53e-6, shear_areas: [f64::INFINITY; 2],
//!     second: [43264e-12; 2], torsion: 86528e-12,
//! };
//! let nodes = vec![DVec3::ZERO, DVec3::X];
//! let beam = Beam::straight([0, 1], [nodes[0], nodes[1]], 0, DVec3::Z).unwrap();
//! let frame = Frame::new(Model { nodes, sections: vec![section], beams: vec![beam], lumps: vec![] }).unwrap();
//! let held = frame.held(&Hold::fixed(0)).unwrap();
//! let loads = Loads { nodal: vec![(1, [0.0, 0.0, -100.0, 0.0, 0.0, 0.0])], ..Loads::default() };
//! let answer = &held.solve(&[loads]).unwrap()[0];
//! let by_hand = 100.0 / (3.0 * 210e9 * 43264e-12);
//! assert!((answer.motions[1][2] + by_hand).abs() < 1e-12);
//! ```

mod carry;
pub mod collapse;
mod dense;
mod eigen;
mod element;
mod factor;
mod field;
mod flexibility;
mod linear;
mod model;
mod modes;
mod pattern;
mod refine;
pub mod six;
mod supports;
mod update;

pub use carry::handed_on;
pub use flexibility::{Cut, Passed};
pub use linear::{Frame, FrameError, Held, HeldError, Response};
pub use model::{Beam, Carrier, Hold, Loads, Lump, Model, Piece, Section};
pub use modes::{Buckling, Mode, ModesError, buckling, buckling_staying, vibration};
pub use refine::Refined;
pub use supports::{HoldError, Loose, Way, pieces};
pub use update::{After, Change, Edit, Influence};
