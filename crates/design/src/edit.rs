//! What may be done to a document.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One change of a design. Lengths in m, angles in rad, masses in kg, stresses in Pa, forces in N, whatever the file's
/// units are.
///
/// A name may be that of a twin (`sill~`): then its original is meant, and coordinates are mirrored back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "edit", rename_all = "snake_case")]
pub enum Edit {
    /// Puts a point at coordinates; one that was on a tube or at an offset from another is so no longer.
    SetPoint {
        /// The point.
        point: String,
        /// Where to, m.
        at: [f64; 3],
    },
    /// Puts a point on a tube's centreline, so that it moves with the tube; coordinates that it had are gone.
    PlaceOnTube {
        /// The point.
        point: String,
        /// The tube.
        tube: String,
        /// Distance along its centreline from its start, m.
        length: f64,
    },
    /// Adds a point at coordinates, after the others.
    AddPoint {
        /// Its name.
        point: String,
        /// Where, m.
        at: [f64; 3],
    },
    /// Takes a point out, and out of the tubes that run through it. Refused if anything else needs it.
    RemovePoint {
        /// The point.
        point: String,
    },
    /// Renames a point everywhere.
    RenamePoint {
        /// The point.
        point: String,
        /// Its new name.
        to: String,
    },
    /// Adds a straight or bent tube.
    AddTube {
        /// Its name.
        tube: String,
        /// Name of its section.
        section: String,
        /// Names of its points.
        path: Vec<String>,
        /// The tube that it is fitted before; after all others if there is none.
        before: Option<String>,
    },
    /// Takes a tube out, and out of the ends that are cut to it. Refused if a point or the datum needs it.
    RemoveTube {
        /// The tube.
        tube: String,
    },
    /// Renames a tube everywhere.
    RenameTube {
        /// The tube.
        tube: String,
        /// Its new name.
        to: String,
    },
    /// Moves a tube in the fitting order.
    MoveTube {
        /// The tube.
        tube: String,
        /// The tube that it is fitted before; after all others if there is none.
        before: Option<String>,
    },
    /// Marks a tube as provisional, or as decided.
    SetProvisional {
        /// The tube.
        tube: String,
        /// Whether it is provisional.
        provisional: bool,
    },
    /// Sets a key of a table, adding it if it is not there.
    SetKey {
        /// The table at the top of the file, such as `tube` or `limits`.
        table: String,
        /// The name within it, for tables that have names.
        name: Option<String>,
        /// The key, or the way to it: `["end", "gap"]`.
        key: Vec<String>,
        /// The value.
        value: Setting,
    },
    /// Takes a key out of a table, so that its default holds.
    RemoveKey {
        /// The table at the top of the file.
        table: String,
        /// The name within it, for tables that have names.
        name: Option<String>,
        /// The key, or the way to it.
        key: Vec<String>,
    },
}

/// A value for [`Edit::SetKey`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// Text, a word of a choice, or a name.
    Text(String),
    /// `true` or `false`.
    Flag(bool),
    /// A whole number.
    Whole(i64),
    /// A quantity, in SI.
    Number(f64),
    /// Quantities, in SI.
    Numbers(Vec<f64>),
    /// Names.
    Names(Vec<String>),
}
