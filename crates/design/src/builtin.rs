//! Materials and sections that a design may use without defining them.

mod materials;
mod people;
mod sections;

pub use materials::{builtin_material, builtin_materials};
pub use people::person_at;
pub use sections::{BuiltinSection, builtin_section, builtin_sections};
