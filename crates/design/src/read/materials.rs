//! `[material.NAME]`.

use super::fields::{At, Fields, Node, Reader, clip};
use crate::builtin::{builtin_material, builtin_materials};
use crate::keys::{self, Kind, Value};
use crate::model::{Material, MaterialId};
use crate::suggest::nearest;

/// Structural steel, EN 1993-1-1 3.2.6.
pub const DEFAULT_YOUNGS: f64 = 210e9;
/// The same.
pub const DEFAULT_POISSON: f64 = 0.3;
/// EN 1991-1-1 table A.4 has 77.0 to 78.5 kN/m³; 7850 kg/m³ is what steel tables use.
pub const DEFAULT_DENSITY: f64 = 7850.0;
/// When a design does not say where its figures come from.
pub const DEFAULT_SOURCE: &str = "figures of the design file, which names no source";

/// Shear modulus of an isotropic material.
pub fn default_shear(youngs: f64, poisson: f64) -> f64 {
    youngs / (2.0 * (1.0 + poisson))
}

impl<'a> Reader<'a> {
    /// The materials that the file defines.
    pub fn materials(&mut self) -> Vec<Option<Material>> {
        let items = self.names.materials.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::MATERIAL, format!("material `{}`", clip(item.name)))?;
                self.material(&f, item.name)
            })
            .collect()
    }

    fn material(&mut self, f: &Fields<'a>, name: &str) -> Option<Material> {
        let yield_strength = self.number(f, "yield");
        let tensile_strength = self.number(f, "tensile");
        let youngs = self.number(f, "youngs").unwrap_or(DEFAULT_YOUNGS);
        let poisson = self.number(f, "poisson").unwrap_or(DEFAULT_POISSON);
        let shear = self.number(f, "shear").unwrap_or_else(|| default_shear(youngs, poisson));
        let density = self.number(f, "density").unwrap_or(DEFAULT_DENSITY);
        let elongation = self.number(f, "elongation");
        let source = self.text(f, "source").unwrap_or_else(|| DEFAULT_SOURCE.to_owned());
        let (yield_strength, tensile_strength) = (yield_strength?, tensile_strength?);
        if yield_strength > tensile_strength {
            let message = format!("{} yields above its tensile strength", f.what);
            let help = "check the two figures: `tensile` is the larger";
            self.error(f.span_of("yield"), message, "more than `tensile`", help);
            return None;
        }
        Some(Material {
            name: name.to_owned(),
            yield_strength,
            tensile_strength,
            youngs,
            shear,
            poisson,
            density,
            elongation,
            source,
        })
    }

    /// A reference to a material: one that the file defines, or a built-in one.
    pub fn material_at(&mut self, f: &Fields<'a>, key: &str) -> Option<MaterialId> {
        let node = f.get(key)?;
        let Some(name) = node.get_ref().as_str() else {
            self.wrong_type(node, f.at(key), &Value::Name(Kind::Material));
            return None;
        };
        if let Some(position) = self.names.materials.position(name) {
            return Some(MaterialId(position));
        }
        let Some(builtin) = builtin_material(name) else {
            self.unknown_material(node, f.at(key), name);
            return None;
        };
        let defined = self.names.materials.items.len();
        let known = self.used_builtin.iter().position(|m| m.name == name);
        let position = known.unwrap_or_else(|| {
            self.used_builtin.push(builtin.clone());
            self.used_builtin.len() - 1
        });
        Some(MaterialId(defined + position))
    }

    fn unknown_material(&mut self, node: &Node<'_>, at: At<'_>, name: &str) {
        if self.is_full() {
            return self.leave_out();
        }
        let own = self.names.materials.items.iter().map(|i| i.name);
        let all: Vec<&str> = own.chain(builtin_materials().iter().map(|m| m.name.as_str())).collect();
        let help = match nearest(name, all.iter().copied()) {
            Some(near) => format!("did you mean \"{near}\"?"),
            None => {
                let quoted: Vec<String> = builtin_materials().iter().map(|m| format!("\"{}\"", m.name)).collect();
                format!("add it as [material.NAME], or use one that is built in: {}", quoted.join(", "))
            }
        };
        let message = format!("{at} names material `{}`, which is not there", clip(name));
        self.error(node.span(), message, "no such material", help);
    }
}
