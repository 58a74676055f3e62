//! What is found for a brace.

use serde::{Serialize, Serializer};

use super::range::NotChecked;
use super::weld::Throat;

/// How a brace's force is passed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Kind {
    /// Square on the chord, which carries the force away as a beam.
    T,
    /// The same, inclined.
    Y,
    /// Through the chord, to braces on its other side.
    X,
    /// To a brace on the same side.
    K,
    /// The same, one of the two stands square on the chord.
    N,
    /// To or from two others on the same side.
    KT,
}

/// How a joint fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// The chord's face, or the whole round chord, is bent through.
    ChordFace,
    /// A box chord's side walls yield or buckle.
    SideWalls,
    /// The chord is sheared.
    ChordShear,
    /// The brace tears a piece out of the chord's wall.
    Punching,
    /// The brace fails at the weld, where the chord's face is too soft to load all of it.
    Brace,
    /// A box chord is racked out of square.
    Distortion,
}

/// What one mode of failure bears, N or N m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Resistance {
    /// How it would fail.
    pub mode: Mode,
    /// Force along the brace, or moment.
    pub value: f64,
}

/// One way in which a brace's force is passed on, and what that bears.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Which.
    pub kind: Kind,
    /// Force along the brace that counts, N: what its neighbours share is in it.
    pub force: f64,
    /// Each mode's resistance.
    pub modes: Vec<Resistance>,
    /// The least.
    pub governing: Resistance,
    /// Force ÷ the least resistance.
    pub utilisation: f64,
}

/// A bending moment at the brace's end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bending {
    /// N m, without sign.
    pub moment: f64,
    /// Each mode's resistance, or why there is none.
    #[serde(serialize_with = "either")]
    pub modes: Result<Vec<Resistance>, NotChecked>,
    /// The least.
    pub governing: Option<Resistance>,
}

/// A brace that was checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Checked {
    /// How its force is passed on: more than one if the force splits.
    pub parts: Vec<Part>,
    /// Factor on the parts' resistances for braces in another plane; it is in them.
    pub planes: f64,
    /// Use by the force alone.
    pub axial: f64,
    /// Moment in the plane of chord and brace.
    pub in_plane: Bending,
    /// Moment across it.
    pub out_of_plane: Bending,
    /// Use of the chord itself between the braces, where the tables want that.
    pub chord: Option<f64>,
    /// Use of the whole: force and moments by the standard's formula, or the chord if that is more. `None` if a moment that
    /// matters is covered by no formula.
    pub utilisation: Option<f64>,
}

/// What was found for a brace.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Its name.
    pub brace: String,
    /// Resistance and use, or why there is none.
    pub outcome: Result<Checked, NotChecked>,
    /// Its weld.
    pub weld: Throat,
}

/// The list, or the reason in its stead.
fn either<S: Serializer>(modes: &Result<Vec<Resistance>, NotChecked>, s: S) -> Result<S::Ok, S::Error> {
    match modes {
        Ok(list) => list.serialize(s),
        Err(e) => e.serialize(s),
    }
}

impl Mode {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Mode::ChordFace => "bending of the chord's face",
            Mode::SideWalls => "the chord's side walls",
            Mode::ChordShear => "shear of the chord",
            Mode::Punching => "punching through the chord's wall",
            Mode::Brace => "failure of the brace's end",
            Mode::Distortion => "distortion of the chord",
        }
    }
}

impl Checked {
    /// The way of passing on that uses most.
    pub fn worst(&self) -> Option<&Part> {
        self.parts.iter().max_by(|a, b| a.utilisation.total_cmp(&b.utilisation))
    }
}
