//! `[stance.NAME]`, `[obstacle.NAME]`, `[measure.NAME]`, `[rollover]`.

use super::fields::{Fields, Node, Reader, clip};
use crate::keys;
use crate::model::*;
use crate::units::{Quantity, show};

/// Settings of a file that says nothing of rollover. Depth, margin, edges, speeds, rates, friction and slope are common
/// practice, no source: a plausible range to look at.
pub const DEFAULT_ROLLOVER: Rollover = Rollover {
    soft: 0.05,
    marginal: 0.02,
    edge: None,
    tumbles: 2000,
    seed: 1,
    speed: [3.0, 20.0],
    spin: [1.0, 8.0],
    friction: [0.4, 0.9],
    slope: 20.0 * std::f64::consts::PI / 180.0,
};

/// Limits of a file that says nothing of them.
pub const DEFAULT_ROOM: Room = Room {
    // 3 in: common practice, no source.
    clearance: 0.0762,
    approach: 0.0,
    departure: 0.0,
    breakover: 0.0,
    tilt: 0.0,
    // Formula SAE Rules 2026, F.5.6.
    helmet: 0.05,
    body: 0.0,
    padding: 0.0,
    // MIL-STD-1472F, whole-body openings at top or bottom, light clothing; from memory.
    opening: [0.33, 0.58],
};

/// The stance of a file that gives none.
pub fn as_drawn() -> Stance {
    Stance {
        name: "drawn".to_owned(),
        wheels: Vec::new(),
        stands: Vec::new(),
        without: Vec::new(),
        part: Vec::new(),
        wheels_off: false,
        springs: false,
        note: None,
        span: 0..0,
    }
}

impl<'a> Reader<'a> {
    /// The stances of the file, or the one as drawn.
    pub fn stances(&mut self) -> Vec<Option<Stance>> {
        let items = self.names.stances.items.clone();
        if items.is_empty() {
            return vec![Some(as_drawn())];
        }
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::STANCE, format!("stance `{}`", clip(item.name)))?;
                let wheels = self.each(&f, "wheels", Self::stance_wheel);
                let stands = self.each(&f, "stands", Self::stand);
                let without = self.each(&f, "without", Self::rider);
                let part = self.each(&f, "part", Self::part);
                let springs = self.flag(&f, "springs").unwrap_or(false);
                let wheels_off = self.flag(&f, "wheels_off").unwrap_or(false);
                let note = self.text(&f, "note");
                if wheels_off && !f.has("stands") {
                    let message = format!("{} has no wheels and no stands", f.what);
                    let help = "add `stands`, or take `wheels_off` out";
                    self.error(f.span_of("wheels_off"), message, "nothing carries it", help);
                    return None;
                }
                if f.has("stands") && (f.has("wheels") || springs) {
                    let message = format!("{} rests on stands and on wheels", f.what);
                    self.error(f.span_of("stands"), message, "one or the other", "take `stands` out, or the wheels");
                    return None;
                }
                Some(Stance {
                    name: item.name.to_owned(),
                    wheels: wheels?,
                    stands: stands?,
                    without: without?,
                    part: part?,
                    wheels_off,
                    springs,
                    note,
                    span: item.span(),
                })
            })
            .collect()
    }

    /// Every item of a list, which may be missing; `None` if one is wrong.
    pub(super) fn each<T>(
        &mut self,
        f: &Fields<'a>,
        key: &'static str,
        read: impl Fn(&mut Self, &Fields<'a>, &'static str, &'a Node<'a>, usize) -> Option<T>,
    ) -> Option<Vec<T>> {
        if !f.has(key) {
            return Some(Vec::new());
        }
        let nodes = self.list(f, key)?;
        let read: Vec<Option<T>> = nodes.iter().enumerate().map(|(i, n)| read(self, f, key, n, i)).collect();
        read.into_iter().collect()
    }

    fn stance_wheel(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<StanceWheel> {
        let f = self.open(node, &keys::STANCE_WHEEL, format!("wheel {} of {}", i + 1, of.what))?;
        let wheel = f.get("wheel").and_then(|n| self.name_at(n, f.at("wheel"), keys::Kind::Wheel));
        let hub = self.number(&f, "hub").unwrap_or(0.0);
        let (radius, loaded) = (self.number(&f, "radius"), self.number(&f, "loaded"));
        if let (Some(radius), Some(loaded)) = (radius, loaded)
            && loaded > radius
        {
            self.larger_loaded(&f, radius);
            return None;
        }
        Some(StanceWheel { wheel: WheelId(wheel?.0), hub, radius, loaded })
    }

    /// Says that a tyre can't be taller under load.
    pub(super) fn larger_loaded(&mut self, f: &Fields<'a>, radius: f64) {
        let message = format!("the tyre of {} is larger under load than without", f.what);
        let label = format!("must be at most {}", show(radius, Quantity::Length, self.units));
        self.error(f.span_of("loaded"), message, label, "`loaded` is from the hub to the ground: check both radii");
    }

    fn stand(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<Stand> {
        let f = self.open(node, &keys::STAND, format!("stand {} of {}", i + 1, of.what))?;
        let under = f.get("under").and_then(|n| self.tube_at(n, f.at("under")));
        let x = self.number(&f, "x");
        let [shim, foot, floor] = ["shim", "foot", "floor"].map(|k| self.number(&f, k).unwrap_or(0.0));
        let section = f.get("section").map(|node| self.name_at(node, f.at("section"), keys::Kind::Section));
        let heights = ["height", "top"].map(|k| self.number(&f, k));
        let top = f.has("top");
        if top == f.has("height") {
            let message = format!("{} {} how high", f.what, if top { "says twice" } else { "does not say" });
            let span = if top { f.span_of("top") } else { f.span.clone() };
            let help = "give `height` of the tube's underside over the ground, or `top` of its top";
            self.error(span, message, "one of `height` and `top`", help);
            return None;
        }
        let height = heights[usize::from(top)];
        let section = match section {
            Some(named) => Some(SectionId(named?.0)),
            None => None,
        };
        Some(Stand { under: under?, x: x?, height: height?, top, shim, foot, floor, section })
    }

    fn part(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<(MassId, f64)> {
        let f = self.open(node, &keys::PART, format!("part {} of {}", i + 1, of.what))?;
        let mass = f.get("mass").and_then(|n| self.name_at(n, f.at("mass"), keys::Kind::Mass));
        let part = self.number(&f, "part");
        Some((MassId(mass?.0), part?))
    }

    fn rider(&mut self, f: &Fields<'a>, key: &'static str, node: &'a Node<'a>, i: usize) -> Option<RiderRef> {
        let at = f.at(key).nth(i);
        // A name of either kind; where it is neither, the message is that for masses.
        let bare = node.get_ref().as_str().map(|s| s.strip_suffix('~').unwrap_or(s));
        let occupant = bare.is_some_and(|name| {
            self.names.occupants.position(name).is_some() && self.names.masses.position(name).is_none()
        });
        if occupant {
            let (id, twin) = self.name_at(node, at, keys::Kind::Occupant)?;
            return Some(RiderRef { id: RiderId::Occupant(OccupantId(id)), twin, span: node.span() });
        }
        let (id, twin) = self.name_at(node, at, keys::Kind::Mass)?;
        Some(RiderRef { id: RiderId::Mass(MassId(id)), twin, span: node.span() })
    }

    /// The obstacles of the file.
    pub fn obstacles(&mut self) -> Vec<Option<Obstacle>> {
        let items = self.names.obstacles.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::OBSTACLE, format!("obstacle `{}`", clip(item.name)))?;
                let shape = self.obstacle_shape(&f);
                let clearance = self.number(&f, "clearance").unwrap_or(0.0);
                Some(Obstacle { name: item.name.to_owned(), shape: shape?, clearance, span: item.span() })
            })
            .collect()
    }

    fn obstacle_shape(&mut self, f: &Fields<'a>) -> Option<ObstacleShape> {
        match f.present(&["hump", "kerb", "ramp", "profile"])[..] {
            ["hump"] => {
                let h = self.table(f, "hump", format!("the hump of {}", f.what))?;
                let (length, height) = (self.number(&h, "length"), self.number(&h, "height"));
                let (length, height) = (length?, height?);
                if height > length / 2.0 {
                    let message = format!("{} is higher than half a circle", h.what);
                    let help = "a hump's top is an arc: make it longer or lower";
                    self.error(h.span_of("height"), message, "more than half its length", help);
                    return None;
                }
                Some(ObstacleShape::Hump { length, height })
            }
            ["kerb"] => Some(ObstacleShape::Kerb { height: self.number(f, "kerb")? }),
            ["ramp"] => {
                let r = self.table(f, "ramp", format!("the ramp of {}", f.what))?;
                let (height, angle) = (self.number(&r, "height"), self.number(&r, "angle"));
                Some(ObstacleShape::Ramp { height: height?, angle: angle? })
            }
            ["profile"] => {
                let nodes = self.list(f, "profile")?;
                let read: Vec<Option<_>> = nodes
                    .iter()
                    .enumerate()
                    .map(|(i, n)| self.pair_at(n, f.at("profile").nth(i), &keys::FLAT))
                    .collect();
                let points: Vec<glam::DVec2> = read.into_iter().collect::<Option<_>>()?;
                for (pair, node) in points.windows(2).zip(&nodes[1..]) {
                    if pair[1].x < pair[0].x {
                        let message = format!("the profile of {} runs backward", f.what);
                        self.error(node.span(), message, "behind the one before", "give its points by rising distance");
                        return None;
                    }
                }
                Some(ObstacleShape::Profile(points))
            }
            [_, second, ..] => {
                let message = format!("{} has two shapes", f.what);
                self.error(f.span_of(second), message, "one too many", "keep one of them");
                None
            }
            _ => {
                let help = "add one of hump, kerb, ramp, profile";
                self.error(f.span.clone(), format!("{} has no shape", f.what), "what is it?", help);
                None
            }
        }
    }

    /// The measures of the file.
    pub fn measures(&mut self) -> Vec<Option<Measure>> {
        let items = self.names.measures.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::MEASURE, format!("measure `{}`", clip(item.name)))?;
                self.measure(&f, item.name, item.span())
            })
            .collect()
    }

    fn measure(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Measure> {
        let from = self.measured(f, "from");
        let to = self.measured(f, "to");
        let angle = self.flag(f, "angle").unwrap_or(false);
        let kind = if angle { MeasureKind::Angle } else { MeasureKind::Distance };
        let along = self.choice(f, "along").and_then(|a| ["x", "y", "z"].iter().position(|x| *x == a));
        let wrong =
            if angle { ["wanted", "least", "most", "along"].as_slice() } else { &["least_angle", "most_angle"] };
        if let [key, ..] = f.present(wrong)[..] {
            let message = format!("{} is {}", f.what, if angle { "an angle" } else { "a distance" });
            let help = if angle {
                "use `least_angle` and `most_angle`"
            } else {
                "set `angle = true`, or use `least` and `most`"
            };
            self.error(f.span_of(key), message, format!("`{key}` does not go with it"), help);
            return None;
        }
        let (mut least, mut most) = if angle {
            (self.number(f, "least_angle"), self.number(f, "most_angle"))
        } else {
            (self.number(f, "least"), self.number(f, "most"))
        };
        if f.has("wanted") != f.has("within") {
            let (there, missing) = if f.has("wanted") { ("wanted", "within") } else { ("within", "wanted") };
            let message = format!("{} has `{there}` but no `{missing}`", f.what);
            self.error(
                f.span_of(there),
                message,
                format!("`{missing}` is missing"),
                "give both, or `least` and `most`",
            );
            return None;
        }
        if f.has("wanted") {
            if let [key, ..] = f.present(&["least", "most"])[..] {
                let message = format!("{} has limits in two ways", f.what);
                self.error(
                    f.span_of(key),
                    message,
                    "with `wanted` one too many",
                    "keep `wanted` and `within`, or this",
                );
                return None;
            }
            let (wanted, within) = (self.number(f, "wanted")?, self.number(f, "within")?);
            (least, most) = (Some(wanted - within), Some(wanted + within));
        }
        if let (Some(l), Some(m)) = (least, most)
            && l > m
        {
            let message = format!("nothing can be within the limits of {}", f.what);
            self.error(f.span.clone(), message, "the least is more than the most", "check both");
            return None;
        }
        let note = self.text(f, "note");
        Some(Measure { name: name.to_owned(), from: from?, to: to?, kind, along, least, most, note, span })
    }

    fn measured(&mut self, f: &Fields<'a>, key: &str) -> Option<Measured> {
        let m = self.table(f, key, format!("`{key}` of {}", f.what))?;
        let help =
            "write one of { point = … }, { tube = … }, { plane = { z = … } }, { ground = true }, { datum = true }";
        match m.present(&["point", "tube", "plane", "ground", "datum"])[..] {
            ["point"] => Some(Measured::Point(self.point_at(m.get("point")?, m.at("point"))?)),
            ["tube"] => Some(Measured::Tube(self.tube_at(m.get("tube")?, m.at("tube"))?)),
            ["plane"] => Some(Measured::Plane(self.plane(&m, "plane")?)),
            ["ground"] if self.flag(&m, "ground")? => Some(Measured::Ground),
            ["datum"] if self.flag(&m, "datum")? => Some(Measured::Datum),
            [_, second, ..] => {
                self.error(m.span_of(second), format!("{} is given twice", m.what), "one too many", help);
                None
            }
            _ => {
                self.error(m.span.clone(), format!("{} is not given", m.what), "of what?", help);
                None
            }
        }
    }

    /// `[rollover]`.
    pub fn rollover(&mut self) -> Rollover {
        let mut r = DEFAULT_ROLLOVER;
        let Some(f) = self.single("rollover", &keys::ROLLOVER) else { return r };
        r.soft = self.number(&f, "soft").unwrap_or(r.soft);
        r.marginal = self.number(&f, "marginal").unwrap_or(r.marginal);
        r.slope = self.number(&f, "slope").unwrap_or(r.slope);
        let count = |n: Option<i64>| n.and_then(|n| u32::try_from(n).ok());
        r.tumbles = count(self.whole(&f, "tumbles")).unwrap_or(r.tumbles);
        r.seed = count(self.whole(&f, "seed")).unwrap_or(r.seed);
        r.edge = self.range(&f, "edge");
        r.speed = self.range(&f, "speed").unwrap_or(r.speed);
        r.spin = self.range(&f, "spin").unwrap_or(r.spin);
        r.friction = self.range(&f, "friction").unwrap_or(r.friction);
        r
    }

    /// Two numbers of which the first is not the larger.
    fn range(&mut self, f: &Fields<'a>, key: &str) -> Option<[f64; 2]> {
        let pair = self.pair(f, key)?;
        if pair.x > pair.y {
            let message = format!("{} falls", f.at(key));
            self.error(f.span_of(key), message, "the first is the larger", "write the least first");
            return None;
        }
        Some(pair.to_array())
    }

    /// Limits on stance and room, from `[limits]`.
    pub fn room(&mut self) -> Room {
        let d = DEFAULT_ROOM;
        let Some(f) = self.reopened("limits", &keys::LIMITS) else { return d };
        let mut number = |key: &str, default: f64| self.number(&f, key).unwrap_or(default);
        Room {
            clearance: number("clearance", d.clearance),
            approach: number("approach", d.approach),
            departure: number("departure", d.departure),
            breakover: number("breakover", d.breakover),
            tilt: number("tilt", d.tilt),
            helmet: number("helmet", d.helmet),
            body: number("body", d.body),
            padding: number("padding", d.padding),
            opening: self.pair(&f, "opening").map_or(d.opening, |p| p.to_array()),
        }
    }
}
