//! The design file: parse, validate, explain, edit.
//!
//! [`read`] turns text into a [`Design`] or into a list of [`Problem`]s, each with the place in the text and what to
//! do. No file is touched here: reading and writing files is the program's business.

mod builtin;
pub mod csv;
mod document;
mod edit;
pub mod keys;
pub mod measured;

pub mod model;
pub mod problem;
mod read;
mod render;
pub mod rules;
mod schema;
mod section_properties;
mod starter;
pub mod steel_list;
mod suggest;
pub mod units;
mod write;

pub use builtin::{BuiltinSection, builtin_material, builtin_materials, builtin_section, builtin_sections, person_at};
pub use document::{Change, Document, Fate, Refusal, Taken};
pub use edit::{Edit, Setting};
pub use model::*;
pub use problem::{Problem, Severity};
pub use read::{LARGEST_FILE, Reading, read};
pub use render::{render, render_coloured};
pub use schema::schema;
pub use section_properties::SectionProperties;
pub use starter::starter;
pub use suggest::nearest;
pub use write::write;
