//! What the frame carries.

use super::*;
use crate::read::{DEFAULT_BUCKLING, DEFAULT_STRENGTH, DEFAULT_USE};
use crate::units::Quantity;

impl Writer<'_> {
    /// Mounts, loads, settings of strength.
    pub(super) fn strength(&mut self) {
        let d = self.design;
        for m in &d.mounts {
            self.head(&format!("[mount.{}]", key_of(&m.name)));
            self.key("of", quote(d.carried_name(m.of)));
            self.key("at", list(m.at.iter().map(|p| self.point(p))));
        }
        for l in &d.loads {
            self.load(l);
        }
        self.settings();
    }

    fn amounts(&self, v: DVec3, quantity: Quantity) -> String {
        let unit = quantity.plain_unit(self.design.units);
        list(v.to_array().map(|x| decimal_text(x, unit)))
    }

    fn load(&mut self, l: &Load) {
        self.head(&format!("[load.{}]", key_of(&l.name)));
        if !l.forces.is_empty() {
            let force = |f: &PointForce| {
                let mut keys = vec![("at", self.point(&f.at))];
                // One of the two must stand there.
                if f.force != DVec3::ZERO || f.moment == DVec3::ZERO {
                    keys.push(("force", self.amounts(f.force, Quantity::Force)));
                }
                if f.moment != DVec3::ZERO {
                    keys.push(("moment", self.amounts(f.moment, Quantity::Moment)));
                }
                inline(&keys)
            };
            self.key("forces", list(l.forces.iter().map(force)));
        }
        if !l.spread.is_empty() {
            let spread = |s: &SpreadForce| {
                inline(&[("along", self.tube(&s.along)), ("force", self.amounts(s.force, Quantity::Force))])
            };
            self.key("spread", list(l.spread.iter().map(spread)));
        }
        if l.g != DVec3::ZERO {
            self.key("g", direction(l.g));
        }
        if !l.held.is_empty() {
            let held = |h: &Held| {
                let mut keys = vec![("at", self.point(&h.at))];
                if h.along != [true; 3] {
                    let letters: String = AXES.into_iter().zip(h.along).filter(|(_, on)| *on).map(|(a, _)| a).collect();
                    keys.push(("along", quote(&letters)));
                }
                if h.turns {
                    keys.push(("turns", "true".to_owned()));
                }
                if h.by != DVec3::ZERO {
                    keys.push(("by", self.vector(h.by)));
                }
                inline(&keys)
            };
            self.key("held", list(l.held.iter().map(held)));
        }
        if let Some(most) = l.most {
            self.key("most", self.length(most));
        }
        self.number("use", l.utilisation, DEFAULT_USE, plain);
        self.number("buckling", l.buckling, DEFAULT_BUCKLING, plain);
        self.measure("collapse", l.collapse, 0.0);
        self.text("note", &l.note);
    }

    fn settings(&mut self) {
        let (s, d) = (&self.design.strength, DEFAULT_STRENGTH);
        if *s == d {
            return;
        }
        self.head("[strength]");
        if !s.sets.is_empty() {
            self.key("sets", list(s.sets.iter().map(|set| quote(set.word()))));
        }
        if let Some(mass) = s.mass {
            self.key("mass", decimal_text(mass, Unit::Kg));
        }
        self.number("rest", s.rest, d.rest, plain);
        if let Some(rig) = &s.rig {
            let pair = |p: &[PointRef; 2]| list(p.iter().map(|p| self.point(p)));
            self.key("rig", inline(&[("front", pair(&rig.front)), ("rear", pair(&rig.rear))]));
        }
        if s.modes != d.modes {
            self.key("modes", s.modes.to_string());
        }
        self.measure("drop", s.drop, d.drop);
        self.measure("least_wall", s.least_wall, d.least_wall);
    }
}
