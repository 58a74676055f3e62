//! Things that are defined and never used: allowed, and often a slip.

use super::fields::Reader;
use crate::model::{Design, Span};

impl Reader<'_> {
    /// Remarks on materials, sections and dies that nothing uses.
    pub fn note_unused(&mut self, design: &Design) {
        let mut materials = vec![false; design.materials.len()];
        let mut sections = vec![false; design.sections.len()];
        let mut dies = vec![false; design.dies.len()];
        let mut suppliers = vec![false; design.suppliers.len()];
        let use_it = |list: &mut Vec<bool>, i: usize| {
            if let Some(used) = list.get_mut(i) {
                *used = true;
            }
        };
        design.sections.iter().for_each(|s| use_it(&mut materials, s.material.0));
        design.plates.iter().for_each(|p| use_it(&mut materials, p.material.0));
        design.tubes.iter().for_each(|t| use_it(&mut sections, t.section.0));
        design.rack.sticks.iter().for_each(|s| use_it(&mut sections, s.section.0));
        let stands = design.stances.iter().flat_map(|s| &s.stands);
        stands.filter_map(|s| s.section).for_each(|s| use_it(&mut sections, s.0));
        design.rack.sticks.iter().filter_map(|s| s.supplier).for_each(|s| use_it(&mut suppliers, s.0));
        design.tubes.iter().filter_map(|t| t.die).for_each(|d| use_it(&mut dies, d.0));
        design.curves.iter().filter_map(|c| c.die).for_each(|d| use_it(&mut dies, d.0));
        let mut unused: Vec<(&str, &str, Span)> = Vec::new();
        let items = [
            ("material", &self.names.materials, &materials),
            ("section", &self.names.sections, &sections),
            ("die", &self.names.dies, &dies),
            ("supplier", &self.names.suppliers, &suppliers),
        ];
        for (kind, index, used) in items {
            let idle = index.items.iter().zip(used).filter(|(_, used)| !**used);
            unused.extend(idle.map(|(item, _)| (kind, item.name, item.span())));
        }
        for (kind, name, span) in unused {
            let help = format!("take it out if it is not wanted, or check the names that use a {kind}");
            self.note(span, format!("{kind} `{name}` is not used"), "used by nothing", help);
        }
    }
}
