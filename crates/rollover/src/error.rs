//! Why there is no answer.

use geometry::HullError;

/// What keeps hard bodies from having rest attitudes.
#[derive(Clone, Debug, PartialEq)]
pub enum RolloverError {
    /// No body at all.
    Nothing,
    /// A body that can't be.
    Body {
        /// Its name.
        body: String,
        /// What is wrong with it.
        what: String,
    },
    /// A setting, the mass or the centre of gravity that can't be.
    Setting(
        /// Which, and what is wrong with it.
        &'static str,
    ),
    /// The bodies enclose no room.
    Hull(HullError),
    /// The centre of gravity lies outside of everything hard: it can't rest as drawn.
    CentreOutside {
        /// How far outside, m.
        by: f64,
        /// The bodies that it lies beyond.
        beyond: Vec<String>,
    },
}

impl std::fmt::Display for RolloverError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            RolloverError::Nothing => write!(f, "nothing hard to stand on: give tubes, wheels or masses with extents"),
            RolloverError::Body { body, what } => write!(f, "`{body}`: {what}"),
            RolloverError::Setting(what) => write!(f, "{what}"),
            RolloverError::Hull(HullError::Flat { thickness, .. }) => {
                write!(f, "everything hard lies within {thickness} m of one plane: it has no room to roll over")
            }
            RolloverError::Hull(e) => write!(f, "{e}"),
            RolloverError::CentreOutside { by, beyond } => write!(
                f,
                "the centre of gravity lies {by} m outside of everything hard, beyond {}: check the masses, or mark \
                 what is missing as hard",
                beyond.join(", ")
            ),
        }
    }
}

impl std::error::Error for RolloverError {}
