//! A whole file from a [`Design`].
//!
//! What is written is read back as the same design, to the last bit of every number. What a file leaves out because it is
//! the default is left out here too.

mod jig;
mod standing;
mod strength;

use std::fmt::Write as _;

use glam::{DVec2, DVec3};

use crate::builtin::{builtin_material, builtin_section};
use crate::model::*;
use crate::read::{
    DEFAULT_BACK, DEFAULT_DENSITY, DEFAULT_HELMET, DEFAULT_KNEE, DEFAULT_POISSON, DEFAULT_ROOM, DEFAULT_SOURCE,
    DEFAULT_THIGH, DEFAULT_YOUNGS, default_corner, default_limits, default_paper, default_shear,
};
use crate::units::{NumberText, Unit, decimal_text, length_text};

const AXES: [&str; 3] = ["x", "y", "z"];

/// Writes a complete design file.
pub fn write(design: &Design) -> String {
    let mut w = Writer { design, out: String::new() };
    w.header();
    w.materials();
    w.sections();
    w.dies();
    w.points();
    w.tubes();
    w.plates();
    w.riders();
    w.shop();
    w.standing();
    w.strength();
    w.out
}

/// Text as a TOML string.
pub(crate) fn quote(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// A length as a TOML value.
pub(crate) fn length(si: f64, units: Units) -> String {
    match length_text(si, units) {
        NumberText::Number(text) => text,
        NumberText::Fraction(text) => quote(&text),
    }
}

/// A TOML array.
fn list(items: impl IntoIterator<Item = String>) -> String {
    format!("[{}]", items.into_iter().collect::<Vec<_>>().join(", "))
}

/// A TOML inline table.
fn inline(keys: &[(&str, String)]) -> String {
    let keys: Vec<String> = keys.iter().map(|(key, value)| format!("{key} = {value}")).collect();
    format!("{{ {} }}", keys.join(", "))
}

fn degrees(rad: f64) -> String {
    decimal_text(rad, Unit::Degree)
}

fn plain(number: f64) -> String {
    decimal_text(number, Unit::One)
}

fn direction(v: DVec3) -> String {
    list(v.to_array().map(plain))
}

struct Writer<'a> {
    design: &'a Design,
    out: String,
}

impl Writer<'_> {
    fn head(&mut self, header: &str) {
        if !self.out.is_empty() {
            self.out.push('\n');
        }
        self.out.push_str(header);
        self.out.push('\n');
    }

    fn key(&mut self, key: &str, value: impl AsRef<str>) {
        // Writing to a String does not fail.
        let _ = writeln!(self.out, "{key} = {}", value.as_ref());
    }

    fn text(&mut self, key: &str, text: &Option<String>) {
        if let Some(text) = text {
            self.key(key, quote(text));
        }
    }

    fn flag(&mut self, key: &str, value: bool, default: bool) {
        if value != default {
            self.key(key, value.to_string());
        }
    }

    fn number(&mut self, key: &str, value: f64, default: f64, text: fn(f64) -> String) {
        if value != default {
            self.key(key, text(value));
        }
    }

    fn measure(&mut self, key: &str, value: f64, default: f64) {
        if value != default {
            self.key(key, self.length(value));
        }
    }

    fn length(&self, si: f64) -> String {
        length(si, self.design.units)
    }

    fn vector(&self, v: DVec3) -> String {
        list(v.to_array().map(|x| self.length(x)))
    }

    fn flat(&self, v: DVec2) -> String {
        list(v.to_array().map(|x| self.length(x)))
    }

    fn point(&self, r: &PointRef) -> String {
        quote(&self.design.point_name(r))
    }

    fn tube(&self, r: &TubeRef) -> String {
        quote(&self.design.tube_name(r))
    }

    fn place(&self, place: &Place) -> String {
        match place {
            Place::At(at) => self.vector(*at),
            Place::Point(point) => self.point(point),
        }
    }

    fn material(&self, id: MaterialId) -> String {
        quote(&self.design.materials[id.0].name)
    }

    fn header(&mut self) {
        let d = self.design;
        self.head("[design]");
        self.key("name", quote(&d.name));
        if d.units == Units::In {
            self.key("units", "\"in\"");
        }
        match &d.datum {
            Datum::Z(z) if *z == 0.0 => {}
            Datum::Z(z) => self.key("datum", inline(&[("z", self.length(*z))])),
            Datum::Under(tube) => self.key("datum", inline(&[("under", self.tube(tube))])),
            Datum::Over(tube) => self.key("datum", inline(&[("over", self.tube(tube))])),
        }
        if d.paper != default_paper(d.units) {
            self.key("paper", if d.paper == Paper::A4 { "\"A4\"" } else { "\"Letter\"" });
        }
        self.text("by", &d.by);
        self.text("note", &d.note);
    }

    /// How many materials the file must define: the built-in ones after them are found by their names, in the order in
    /// which sections and plates first use them.
    fn defined_materials(&self) -> usize {
        let d = self.design;
        let used = d.sections.iter().map(|s| s.material).chain(d.plates.iter().map(|p| p.material));
        let mut order = Vec::new();
        for id in used {
            if !order.contains(&id.0) {
                order.push(id.0);
            }
        }
        let builtin = |m: &Material| builtin_material(&m.name) == Some(m);
        let mut defined = d.materials.len();
        while defined > 0 && builtin(&d.materials[defined - 1]) {
            defined -= 1;
        }
        while order.iter().copied().filter(|i| *i >= defined).ne(defined..d.materials.len()) {
            defined += 1;
        }
        defined
    }

    fn materials(&mut self) {
        for m in &self.design.materials[..self.defined_materials()] {
            self.head(&format!("[material.{}]", key_of(&m.name)));
            self.key("yield", decimal_text(m.yield_strength, Unit::MPa));
            self.key("tensile", decimal_text(m.tensile_strength, Unit::MPa));
            let stress = |x| decimal_text(x, Unit::MPa);
            self.number("youngs", m.youngs, DEFAULT_YOUNGS, stress);
            self.number("shear", m.shear, default_shear(m.youngs, m.poisson), stress);
            self.number("poisson", m.poisson, DEFAULT_POISSON, plain);
            self.number("density", m.density, DEFAULT_DENSITY, plain);
            if let Some(elongation) = m.elongation {
                self.key("elongation", decimal_text(elongation, Unit::Percent));
            }
            if m.source != DEFAULT_SOURCE {
                self.key("source", quote(&m.source));
            }
        }
    }

    fn sections(&mut self) {
        for s in &self.design.sections {
            self.head(&format!("[section.{}]", key_of(&s.name)));
            let size = s.size.as_deref().filter(|size| builtin_section(size).is_some_and(|b| b.shape == s.shape));
            match (size, s.shape) {
                (Some(size), _) => self.key("size", quote(size)),
                (None, SectionShape::Round { od, wall }) => {
                    self.key("shape", "\"round\"");
                    self.key("od", self.length(od));
                    self.key("wall", self.length(wall));
                }
                (None, SectionShape::Box { width, height, wall, corner }) => {
                    self.key("shape", "\"box\"");
                    self.key("width", self.length(width));
                    self.key("height", self.length(height));
                    self.key("wall", self.length(wall));
                    self.measure("corner", corner, default_corner(wall));
                }
            }
            self.key("material", self.material(s.material));
        }
    }

    fn dies(&mut self) {
        for die in &self.design.dies {
            self.head(&format!("[die.{}]", key_of(&die.name)));
            self.key("od", self.length(die.od));
            self.key("radius", self.length(die.radius));
            self.measure("grip", die.grip, 0.0);
            self.measure("between", die.between, 0.0);
            if let Some(angle) = die.max_angle {
                self.key("max_angle", degrees(angle));
            }
            self.measure("offset", die.offset, 0.0);
            if !die.tests.is_empty() {
                let tests = die.tests.iter().map(|t| inline(&[("set", degrees(t.set)), ("got", degrees(t.got))]));
                self.key("tests", list(tests));
            }
        }
    }

    fn points(&mut self) {
        if self.design.points.is_empty() {
            return;
        }
        self.head("[point]");
        for point in &self.design.points {
            let value = match &point.placement {
                Placement::At(at) => self.vector(*at),
                Placement::From { point, by } => inline(&[("from", self.point(point)), ("by", self.vector(*by))]),
                Placement::On { tube, along, by } => {
                    let mut keys = vec![("on", self.tube(tube))];
                    match *along {
                        Along::Length(at) => keys.push(("at", self.length(at))),
                        Along::Part(part) => keys.push(("part", plain(part))),
                        Along::Plane { axis, value, pick } => {
                            keys.push((AXES[axis.min(2)], self.length(value)));
                            keys.extend(pick.map(|p| ("pick", p.to_string())));
                        }
                    }
                    if *by != DVec3::ZERO {
                        keys.push(("by", self.vector(*by)));
                    }
                    inline(&keys)
                }
            };
            self.key(&key_of(&point.name), value);
        }
    }

    fn tubes(&mut self) {
        for tube in &self.design.tubes {
            self.head(&format!("[tube.{}]", key_of(&tube.name)));
            self.key("section", quote(&self.design.sections[tube.section.0].name));
            self.key("path", list(tube.path.iter().map(|p| self.point(p))));
            self.bends(tube);
            self.flag("mirror", tube.mirror, false);
            self.end("start", &tube.start);
            self.end("end", &tube.end);
            self.number("roll", tube.roll, 0.0, degrees);
            self.flag("provisional", tube.state == TubeState::Provisional, false);
            self.flag("temporary", tube.state == TubeState::Temporary, false);
            if let Some(after) = &tube.out_after {
                self.key("out_after", self.tube(after));
            }
            if let Some(part) = tube.splice {
                self.key("splice", self.length(part));
            }
            self.flag("hard", tube.hard, true);
            self.text("role", &tube.role);
            self.text("note", &tube.note);
        }
    }

    fn bends(&mut self, tube: &Tube) {
        let die = tube.die.map(|id| &self.design.dies[id.0]);
        let by_die = die.is_some_and(|die| tube.bend_radii.iter().all(|r| *r == die.radius));
        match tube.bend_radii[..] {
            [] => {}
            _ if by_die => {}
            [first, ref rest @ ..] if rest.iter().all(|r| *r == first) => {
                self.key("bend_radius", self.length(first));
            }
            ref all => self.key("bend_radius", list(all.iter().map(|r| self.length(*r)))),
        }
        if let Some(die) = die {
            self.key("die", quote(&die.name));
        }
    }

    fn end(&mut self, key: &str, end: &EndSpec) {
        let mut keys = Vec::new();
        match &end.cut {
            CutSpec::ByOrder => {}
            // `to` alone means a cope.
            CutSpec::Cope if !end.to.is_empty() => {}
            CutSpec::Cope => keys.push(("cut", quote("cope"))),
            CutSpec::Mitre => keys.push(("cut", quote("mitre"))),
            CutSpec::Square => keys.push(("cut", quote("square"))),
            CutSpec::Plane(plane) => {
                keys.push(("cut", quote("plane")));
                keys.push(("plane", self.plane(plane)));
            }
        }
        if !end.to.is_empty() {
            keys.push(("to", list(end.to.iter().map(|t| self.tube(t)))));
        }
        keys.extend(end.gap.map(|gap| ("gap", self.length(gap))));
        if end.long != 0.0 {
            keys.push(("long", self.length(end.long)));
        }
        if !keys.is_empty() {
            self.key(key, inline(&keys));
        }
    }

    fn plane(&self, plane: &PlaneSpec) -> String {
        match plane {
            PlaneSpec::Axis { axis, value } => inline(&[(AXES[(*axis).min(2)], self.length(*value))]),
            PlaneSpec::Point { point, normal } => {
                inline(&[("point", self.point(point)), ("normal", direction(*normal))])
            }
            PlaneSpec::Plate { plate, twin } => {
                inline(&[("plate", quote(&twin_name(&self.design.plates[plate.0].name, *twin)))])
            }
        }
    }

    fn plates(&mut self) {
        for plate in &self.design.plates {
            self.head(&format!("[plate.{}]", key_of(&plate.name)));
            self.key("thickness", self.length(plate.thickness));
            self.key("material", self.material(plate.material));
            let outline = match &plate.outline {
                PlateOutline::Points(points) => list(points.iter().map(|p| self.point(p))),
                PlateOutline::Flat { origin, x, y, corners } => inline(&[
                    ("origin", self.point(origin)),
                    ("x", direction(*x)),
                    ("y", direction(*y)),
                    ("corners", list(corners.iter().map(|c| self.flat(*c)))),
                ]),
            };
            self.key("outline", outline);
            match plate.side {
                PlateSide::Centred => {}
                PlateSide::Above => self.key("side", "\"above\""),
                PlateSide::Below => self.key("side", "\"below\""),
            }
            if !plate.holes.is_empty() {
                let holes = plate.holes.iter().map(|hole| {
                    let at = match &hole.at {
                        HoleAt::Flat(at) => self.flat(*at),
                        HoleAt::Point(point) => self.point(point),
                    };
                    inline(&[("at", at), ("d", self.length(hole.d))])
                });
                self.key("holes", list(holes));
            }
            self.flag("mirror", plate.mirror, false);
            self.text("note", &plate.note);
        }
    }

    fn riders(&mut self) {
        let kg = |kg| decimal_text(kg, Unit::Kg);
        for mass in &self.design.masses {
            self.head(&format!("[mass.{}]", key_of(&mass.name)));
            self.key("at", self.place(&mass.at));
            self.key("kg", kg(mass.kg));
            if mass.size != DVec3::ZERO {
                self.key("size", self.vector(mass.size));
            }
            self.flag("mirror", mass.mirror, false);
            self.flag("hard", mass.hard, true);
            self.text("note", &mass.note);
        }
        for wheel in &self.design.wheels {
            self.head(&format!("[wheel.{}]", key_of(&wheel.name)));
            self.key("at", self.place(&wheel.at));
            self.key("radius", self.length(wheel.radius));
            self.key("width", self.length(wheel.width));
            self.key("kg", kg(wheel.kg));
            self.measure("loaded", wheel.loaded, wheel.radius);
            self.measure("bump", wheel.bump, 0.0);
            self.measure("droop", wheel.droop, 0.0);
            self.number("steer", wheel.steer, 0.0, degrees);
            if let Some(s) = wheel.spring {
                let free = self.length(s.free);
                self.key("spring", inline(&[("rate", decimal_text(s.rate, Unit::NPerMm)), ("free", free)]));
            }
            if let Some(rate) = wheel.tyre_rate {
                self.key("tyre_rate", decimal_text(rate, Unit::NPerMm));
            }
            self.flag("mirror", wheel.mirror, false);
        }
        for o in &self.design.occupants {
            self.head(&format!("[occupant.{}]", key_of(&o.name)));
            self.key("hip", self.place(&o.hip));
            self.key("stature", self.length(o.stature));
            self.key("kg", kg(o.kg));
            self.number("back", o.back, DEFAULT_BACK.to_radians(), degrees);
            self.number("thigh", o.thigh, DEFAULT_THIGH.to_radians(), degrees);
            self.number("knee", o.knee, DEFAULT_KNEE.to_radians(), degrees);
            self.measure("helmet", o.helmet, DEFAULT_HELMET);
            if o.sex == Sex::Female {
                self.key("sex", quote("female"));
            }
            if o.figure == Figure::Template {
                self.key("figure", quote("template"));
            }
            if let Some(hands) = &o.hands {
                self.key("hands", self.place(hands));
            }
            self.flag("mirror", o.mirror, false);
        }
    }

    fn shop(&mut self) {
        let d = self.design;
        if d.notcher != Notcher::default() {
            self.head("[notcher]");
            if d.notcher.square_reads_90 {
                self.key("square_reads", "90");
            }
            if !d.notcher.saws.is_empty() {
                let saw = |s: &Saw| inline(&[("od", self.length(s.od)), ("depth", self.length(s.depth))]);
                self.key("saws", list(d.notcher.saws.iter().map(saw)));
            }
        }
        if d.rack != Rack::default() {
            self.head("[rack]");
            if !d.rack.currency.is_empty() {
                self.key("currency", quote(&d.rack.currency));
            }
            self.key("kerf", self.length(d.rack.kerf));
            self.measure("trim", d.rack.trim, 0.0);
            self.measure("useful", d.rack.useful, 0.0);
            for stick in &d.rack.sticks {
                self.head("[[rack.stick]]");
                self.key("section", quote(&d.sections[stick.section.0].name));
                self.key("length", self.length(stick.length));
                if let Some(count) = stick.count {
                    self.key("count", count.to_string());
                }
                self.flag("ordered", stick.ordered, false);
                self.number("price", stick.price, 0.0, plain);
                match stick.per {
                    Per::Stick => {}
                    Per::Metre => self.key("per", quote("m")),
                    Per::Foot => self.key("per", quote("ft")),
                }
                self.number("cut_fee", stick.cut_fee, 0.0, plain);
                if let Some(id) = stick.supplier {
                    self.key("supplier", quote(&d.suppliers[id.0].name));
                }
                self.text("place", &stick.place);
            }
        }
        for s in &d.suppliers {
            self.head(&format!("[supplier.{}]", key_of(&s.name)));
            self.number("delivery", s.delivery, 0.0, plain);
            self.text("note", &s.note);
        }
        for s in &d.stages {
            self.head(&format!("[stage.{}]", key_of(&s.name)));
            self.key("until", self.tube(&s.until));
            self.text("note", &s.note);
        }
        self.jig();
        if !d.rule_sets.is_empty() {
            self.head("[rules]");
            self.key("sets", list(d.rule_sets.iter().map(|s| quote(s))));
        }
        let default = default_limits(d.units);
        if d.limits != default || d.room != DEFAULT_ROOM {
            self.head("[limits]");
            self.measure("gap", d.limits.gap, default.gap);
            self.measure("fit", d.limits.fit, default.fit);
            self.measure("touch", d.limits.touch, default.touch);
            self.measure("round", d.limits.round, default.round);
            self.number("round_angle", d.limits.round_angle, default.round_angle, degrees);
            if d.limits.welded != default.welded {
                self.key("welded", quote(d.limits.welded.letter()));
            }
            self.room();
        }
    }
}

/// A name as a TOML key.
fn key_of(name: &str) -> String {
    toml_edit::Key::new(name).display_repr().into_owned()
}
