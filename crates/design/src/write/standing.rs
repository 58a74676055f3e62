//! How the car stands, the room round the person, going over.

use super::*;
use crate::read::{DEFAULT_ROLLOVER, DEFAULT_WITHIN, MESH_UNITS, as_drawn};

impl Writer<'_> {
    /// The limits of stance and room, within `[limits]`.
    pub(super) fn room(&mut self) {
        let (r, d) = (self.design.room, DEFAULT_ROOM);
        self.measure("clearance", r.clearance, d.clearance);
        self.number("approach", r.approach, d.approach, degrees);
        self.number("departure", r.departure, d.departure, degrees);
        self.number("breakover", r.breakover, d.breakover, degrees);
        self.number("tilt", r.tilt, d.tilt, degrees);
        self.measure("helmet", r.helmet, d.helmet);
        self.measure("body", r.body, d.body);
        self.measure("padding", r.padding, d.padding);
        if r.opening != d.opening {
            self.key("opening", list(r.opening.map(|x| self.length(x))));
        }
    }

    /// Stances, openings, skins, measures, obstacles, rollover.
    pub(super) fn standing(&mut self) {
        let d = self.design;
        for s in d.stances.iter().filter(|s| **s != as_drawn()) {
            self.stance(s);
        }
        for o in &d.openings {
            self.head(&format!("[opening.{}]", key_of(&o.name)));
            self.key("edge", list(o.edge.iter().map(|p| self.point(p))));
            self.measure("inset", o.inset, 0.0);
            match o.closure {
                Closure::Open => {}
                Closure::Breaks => self.key("closed", quote("breaks")),
                Closure::Lifts => self.key("closed", quote("lifts")),
            }
            self.flag("mirror", o.mirror, false);
            self.text("note", &o.note);
        }
        for s in &d.skins {
            self.skin(s);
        }
        for c in &d.curves {
            self.curve(c);
        }
        for m in &d.measures {
            self.named_measure(m);
        }
        for o in &d.obstacles {
            self.head(&format!("[obstacle.{}]", key_of(&o.name)));
            match &o.shape {
                ObstacleShape::Hump { length, height } => {
                    let keys = [("length", self.length(*length)), ("height", self.length(*height))];
                    self.key("hump", inline(&keys));
                }
                ObstacleShape::Kerb { height } => self.key("kerb", self.length(*height)),
                ObstacleShape::Ramp { height, angle } => {
                    self.key("ramp", inline(&[("height", self.length(*height)), ("angle", degrees(*angle))]));
                }
                ObstacleShape::Profile(points) => self.key("profile", list(points.iter().map(|p| self.flat(*p)))),
            }
            self.measure("clearance", o.clearance, 0.0);
        }
        self.rollover();
    }

    fn stance(&mut self, s: &Stance) {
        self.head(&format!("[stance.{}]", key_of(&s.name)));
        if !s.wheels.is_empty() {
            let wheel = |w: &StanceWheel| {
                let mut keys = vec![("wheel", quote(&self.design.wheels[w.wheel.0].name))];
                if w.hub != 0.0 {
                    keys.push(("hub", self.length(w.hub)));
                }
                keys.extend(w.radius.map(|r| ("radius", self.length(r))));
                keys.extend(w.loaded.map(|r| ("loaded", self.length(r))));
                inline(&keys)
            };
            self.key("wheels", list(s.wheels.iter().map(wheel)));
        }
        if !s.stands.is_empty() {
            let stand = |s: &Stand| {
                let (x, height) = (self.length(s.x), self.length(s.height));
                let mut keys = vec![("under", self.tube(&s.under)), ("x", x)];
                keys.push((if s.top { "top" } else { "height" }, height));
                for (key, value) in [("shim", s.shim), ("foot", s.foot), ("floor", s.floor)] {
                    if value != 0.0 {
                        keys.push((key, self.length(value)));
                    }
                }
                keys.extend(s.section.map(|id| ("section", quote(&self.design.sections[id.0].name))));
                inline(&keys)
            };
            self.key("stands", list(s.stands.iter().map(stand)));
        }
        if !s.without.is_empty() {
            self.key("without", list(s.without.iter().map(|r| quote(&self.design.rider_name(r)))));
        }
        if !s.part.is_empty() {
            let part = |(mass, part): &(MassId, f64)| {
                inline(&[("mass", quote(&self.design.masses[mass.0].name)), ("part", plain(*part))])
            };
            self.key("part", list(s.part.iter().map(part)));
        }
        self.flag("wheels_off", s.wheels_off, false);
        self.flag("springs", s.springs, false);
        self.text("note", &s.note);
    }

    fn skin(&mut self, s: &Skin) {
        self.head(&format!("[skin.{}]", key_of(&s.name)));
        self.key("file", quote(&s.file));
        let unit = MESH_UNITS.iter().find(|u| u.1 == s.unit).map_or("m", |u| u.0);
        self.key("unit", quote(unit));
        if s.at != DVec3::ZERO {
            self.key("at", self.vector(s.at));
        }
        if s.turn != DVec3::ZERO {
            self.key("turn", list(s.turn.to_array().map(degrees)));
        }
        self.flag("mirror", s.mirror, false);
        self.flag("hard", s.hard, false);
        self.measure("gap", s.gap, 0.0);
        if let Some(wheel) = s.rides {
            self.key("rides", quote(&self.design.wheels[wheel.0].name));
        }
        if !s.parts.is_empty() {
            self.key("parts", list(s.parts.iter().map(|p| quote(p))));
        }
    }

    fn curve(&mut self, c: &Curve) {
        self.head(&format!("[curve.{}]", key_of(&c.name)));
        match &c.points {
            CurvePoints::Places(places) => self.key("points", list(places.iter().map(|p| self.place(p)))),
            CurvePoints::File(file) => self.key("file", quote(file)),
        }
        if c.straight {
            self.key("line", quote("straight"));
        }
        self.measure("within", c.within, DEFAULT_WITHIN);
        if let Some(die) = c.die {
            self.key("die", quote(&self.design.dies[die.0].name));
        }
        self.flag("mirror", c.mirror, false);
        self.text("note", &c.note);
    }

    fn named_measure(&mut self, m: &Measure) {
        self.head(&format!("[measure.{}]", key_of(&m.name)));
        for (key, what) in [("from", &m.from), ("to", &m.to)] {
            let what = match what {
                Measured::Point(p) => ("point", self.point(p)),
                Measured::Tube(t) => ("tube", self.tube(t)),
                Measured::Plane(p) => ("plane", self.plane(p)),
                Measured::Ground => ("ground", "true".to_owned()),
                Measured::Datum => ("datum", "true".to_owned()),
            };
            self.key(key, inline(&[what]));
        }
        if let Some(axis) = m.along {
            self.key("along", quote(AXES[axis.min(2)]));
        }
        if m.kind == MeasureKind::Angle {
            self.key("angle", "true");
            for (key, limit) in [("least_angle", m.least), ("most_angle", m.most)] {
                if let Some(x) = limit {
                    self.key(key, degrees(x));
                }
            }
        } else {
            for (key, limit) in [("least", m.least), ("most", m.most)] {
                if let Some(x) = limit {
                    self.key(key, self.length(x));
                }
            }
        }
        self.text("note", &m.note);
    }

    fn rollover(&mut self) {
        let (r, d) = (self.design.rollover, DEFAULT_ROLLOVER);
        if r == d {
            return;
        }
        self.head("[rollover]");
        self.measure("soft", r.soft, d.soft);
        self.measure("marginal", r.marginal, d.marginal);
        if let Some(edge) = r.edge {
            self.key("edge", list(edge.map(|x| self.length(x))));
        }
        if r.tumbles != d.tumbles {
            self.key("tumbles", r.tumbles.to_string());
        }
        if r.seed != d.seed {
            self.key("seed", r.seed.to_string());
        }
        for (key, pair, default) in
            [("speed", r.speed, d.speed), ("spin", r.spin, d.spin), ("friction", r.friction, d.friction)]
        {
            if pair != default {
                self.key(key, list(pair.map(plain)));
            }
        }
        self.number("slope", r.slope, d.slope, degrees);
    }
}
