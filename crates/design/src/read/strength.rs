//! `[mount.NAME]`, `[load.NAME]`, `[strength]`.

use std::collections::HashSet;

use glam::DVec3;

use super::fields::{Fields, Node, Reader, clip};
use super::paths::{SAME_PLACE, fixed_places, place_of, same_place};
use crate::keys::{self, Kind};
use crate::model::*;

const AXES: [char; 3] = ['x', 'y', 'z'];

/// Part of the yield strength that a load may use, if it does not say: all of it.
pub const DEFAULT_USE: f64 = 1.0;
/// Factor to buckling that a load must keep, if it does not say: that it does not buckle.
pub const DEFAULT_BUCKLING: f64 = 1.0;

/// Settings of a file that says nothing of strength.
pub const DEFAULT_STRENGTH: Strength =
    Strength { sets: Vec::new(), mass: None, rest: 0.0, rig: None, modes: 6, drop: 0.0, least_wall: 2.5e-3 };

impl<'a> Reader<'a> {
    /// The mounts of the file.
    pub fn mounts(&mut self) -> Vec<Option<Mount>> {
        let items = self.names.mounts.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::MOUNT, format!("mount `{}`", clip(item.name)))?;
                let of = self.carried(&f);
                let at = self.points_in(&f, "at");
                Some(Mount { name: item.name.to_owned(), of: of?, at: at?, span: item.span() })
            })
            .collect()
    }

    fn carried(&mut self, f: &Fields<'a>) -> Option<Carried> {
        let node = f.get("of")?;
        let (kind, id, twin) = self.name_among(node, f.at("of"), keys::CARRIED)?;
        if twin {
            let name = self.names.of(kind).items[id].name;
            let message = format!("{} names a twin", f.at("of"));
            let help = format!("write \"{}\": its twin is held at the points' twins", clip(name));
            self.error(node.span(), message, "ends in `~`", help);
            return None;
        }
        Some(match kind {
            Kind::Occupant => Carried::Occupant(OccupantId(id)),
            Kind::Wheel => Carried::Wheel(WheelId(id)),
            _ => Carried::Mass(MassId(id)),
        })
    }

    fn points_in(&mut self, f: &Fields<'a>, key: &str) -> Option<Vec<PointRef>> {
        let nodes = self.list(f, key)?;
        let read: Vec<Option<PointRef>> =
            nodes.iter().enumerate().map(|(i, n)| self.point_at(n, f.at(key).nth(i))).collect();
        read.into_iter().collect()
    }

    /// The loads of the file.
    pub fn loads(&mut self) -> Vec<Option<Load>> {
        let items = self.names.loads.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::LOAD, format!("load `{}`", clip(item.name)))?;
                let forces = self.each(&f, "forces", Self::point_force);
                let spread = self.each(&f, "spread", Self::spread_force);
                let g = if f.has("g") { self.triple(&f, "g") } else { Some(DVec3::ZERO) };
                let held = self.each(&f, "held", Self::held);
                let load = Load {
                    name: item.name.to_owned(),
                    most: self.number(&f, "most"),
                    utilisation: self.number(&f, "use").unwrap_or(DEFAULT_USE),
                    buckling: self.number(&f, "buckling").unwrap_or(DEFAULT_BUCKLING),
                    collapse: self.number(&f, "collapse").unwrap_or(0.0),
                    note: self.text(&f, "note"),
                    span: item.span(),
                    forces: forces?,
                    spread: spread?,
                    g: g?,
                    held: held?,
                };
                self.check_loaded(&f, &load)?;
                Some(load)
            })
            .collect()
    }

    /// Whether there is anything in a load; `None` if not.
    fn check_loaded(&mut self, f: &Fields<'a>, load: &Load) -> Option<()> {
        let pressed = load.forces.iter().any(|p| p.force != DVec3::ZERO || p.moment != DVec3::ZERO);
        let spread = load.spread.iter().any(|s| s.force != DVec3::ZERO);
        if pressed || spread || load.g != DVec3::ZERO || load.held.iter().any(|h| h.by != DVec3::ZERO) {
            return Some(());
        }
        let label = match f.present(&["forces", "spread", "g"])[..] {
            [] => "no force, no weight, and nothing is moved",
            _ => "every number in it is 0",
        };
        let help = "add `forces` at points, `spread` along tubes, g = [0, 0, -1] for weight, or `by` to what is `held`";
        self.error(f.span.clone(), format!("{} does not load the frame", f.what), label, help);
        None
    }

    fn point_force(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<PointForce> {
        let f = self.open(node, &keys::POINT_FORCE, format!("force {} of {}", i + 1, of.what))?;
        let at = f.get("at").and_then(|n| self.point_at(n, f.at("at")));
        if f.present(&["force", "moment"]).is_empty() {
            let message = format!("{} has neither `force` nor `moment`", f.what);
            self.error(f.span.clone(), message, "how much?", "add force = [x, y, z] or moment = [x, y, z]");
            return None;
        }
        let [force, moment] =
            ["force", "moment"].map(|key| if f.has(key) { self.triple(&f, key) } else { Some(DVec3::ZERO) });
        Some(PointForce { at: at?, force: force?, moment: moment? })
    }

    fn spread_force(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<SpreadForce> {
        let f = self.open(node, &keys::SPREAD_FORCE, format!("spread force {} of {}", i + 1, of.what))?;
        let along = f.get("along").and_then(|n| self.tube_at(n, f.at("along")));
        let force = self.triple(&f, "force");
        Some(SpreadForce { along: along?, force: force? })
    }

    fn held(&mut self, of: &Fields<'a>, _: &str, node: &'a Node<'a>, i: usize) -> Option<Held> {
        let f = self.open(node, &keys::HELD, format!("held point {} of {}", i + 1, of.what))?;
        let at = f.get("at").and_then(|n| self.point_at(n, f.at("at")));
        let along = if f.has("along") { self.axes(&f, "along") } else { Some([true; 3]) };
        let turns = if f.has("turns") { self.flag(&f, "turns") } else { Some(false) };
        let by = if f.has("by") { self.triple(&f, "by") } else { Some(DVec3::ZERO) };
        let (at, along, turns, by) = (at?, along?, turns?, by?);
        if along == [false; 3] && !turns {
            let message = format!("{} is not held at all", f.what);
            let help = "name axes, such as along = \"z\", or set turns = true, or take it out";
            self.error(f.span_of("along"), message, "along no axis", help);
            return None;
        }
        if let Some(axis) = (0..3).find(|i| !along[*i] && by[*i] != 0.0) {
            let axis = AXES[axis];
            let message = format!("{} is moved along {axis}, in which it is not held", f.what);
            let help = format!("add {axis} to `along`, or make it 0");
            self.error(f.span_of("by"), message, format!("must be 0 along {axis}"), help);
            return None;
        }
        Some(Held { at, along, turns, by })
    }

    /// Some of the letters x, y and z.
    fn axes(&mut self, f: &Fields<'a>, key: &str) -> Option<[bool; 3]> {
        let node = f.get(key)?;
        let Some(text) = node.get_ref().as_str() else {
            self.wrong_type(node, f.at(key), &keys::Value::Axes);
            return None;
        };
        let mut axes = [false; 3];
        for c in text.chars() {
            let label = match AXES.iter().position(|a| *a == c) {
                Some(i) if !axes[i] => {
                    axes[i] = true;
                    continue;
                }
                Some(_) => format!("{c} stands in it twice"),
                None => format!("{} is no axis", clip(&format!("`{c}`"))),
            };
            let message = format!("{} can't be \"{}\"", f.at(key), clip(text));
            self.error(node.span(), message, label, "write some of the letters x, y and z, such as \"xz\"");
            return None;
        }
        Some(axes)
    }

    /// `[strength]`.
    pub fn strength(&mut self) -> Strength {
        let mut s = DEFAULT_STRENGTH;
        let Some(f) = self.single("strength", &keys::STRENGTH_TABLE) else { return s };
        s.sets = self.each(&f, "sets", Self::load_set).unwrap_or(s.sets);
        s.mass = self.number(&f, "mass");
        s.rest = self.number(&f, "rest").unwrap_or(s.rest);
        s.rig = self.rig(&f);
        s.modes = self.whole(&f, "modes").and_then(|n| u32::try_from(n).ok()).unwrap_or(s.modes);
        s.drop = self.number(&f, "drop").unwrap_or(s.drop);
        s.least_wall = self.number(&f, "least_wall").unwrap_or(s.least_wall);
        if let Some((i, set)) = s.sets.iter().enumerate().find(|(i, set)| s.sets[..*i].contains(set)) {
            let node = self.list(&f, "sets").and_then(|nodes| nodes.get(i));
            let message = format!("{} names \"{}\" twice", f.at("sets"), set.word());
            let span = node.map_or_else(|| f.span_of("sets"), |n| n.span());
            self.error(span, message, "the same again", "take one of the two out");
        }
        s
    }

    fn load_set(&mut self, f: &Fields<'a>, key: &'static str, node: &'a Node<'a>, i: usize) -> Option<LoadSet> {
        let word = self.choice_at(node, f.at(key).nth(i), &keys::LOAD_SET)?;
        LoadSet::ALL.into_iter().find(|s| s.word() == word)
    }

    fn rig(&mut self, f: &Fields<'a>) -> Option<Rig> {
        let r = self.table(f, "rig", "the rig".to_owned())?;
        let front = self.two_points(&r, "front");
        let rear = self.two_points(&r, "rear");
        Some(Rig { front: front?, rear: rear? })
    }

    fn two_points(&mut self, f: &Fields<'a>, key: &str) -> Option<[PointRef; 2]> {
        let read = self.points_in(f, key)?;
        let number = read.len();
        let pair = <[PointRef; 2]>::try_from(read).ok();
        if pair.is_none() {
            let message = format!("{} must be two points", f.at(key));
            let help = "name the left and the right place: the rig turns one end against the other";
            self.error(f.span_of(key), message, format!("this has {number}"), help);
        }
        pair
    }

    /// Checks that no place is meant twice: by a mount, by what a load holds, by the rig.
    pub fn check_holds(
        &mut self,
        points: &[Option<Point>],
        mounts: &[Option<Mount>],
        loads: &[Option<Load>],
        strength: &Strength,
    ) {
        let places = fixed_places(points);
        // A point on the centre plane is its own twin.
        let place = |r: &PointRef| {
            let own = place_of(&places, r).is_some_and(|p| p.y.abs() < SAME_PLACE);
            (r.id, r.twin && !own)
        };
        for mount in mounts.iter().flatten() {
            let mut seen = HashSet::new();
            if let Some(again) = mount.at.iter().find(|r| !seen.insert(place(r))) {
                let message = format!("mount `{}` names one place twice: `{}`", mount.name, self.name_of(again));
                self.error(again.span.clone(), message, "the same place again", "take one of the two out");
            }
        }
        for load in loads.iter().flatten() {
            let mut seen = HashSet::new();
            let held = load.held.iter().flat_map(|h| (0..3).filter(|i| h.along[*i]).map(move |i| (&h.at, i)));
            if let Some((again, axis)) = held.clone().find(|(r, axis)| !seen.insert((place(r), *axis))) {
                let (name, axis) = (self.name_of(again), AXES[axis]);
                let message = format!("load `{}` holds `{name}` along {axis} twice", load.name);
                let help = format!("take one of the two out, or {axis} out of its `along`");
                self.error(again.span.clone(), message, "the same place again", help);
            }
        }
        let Some(rig) = &strength.rig else { return };
        let all: Vec<&PointRef> = rig.front.iter().chain(&rig.rear).collect();
        let again = (1..all.len()).find(|i| all[..*i].iter().any(|a| same_place(&places, a, all[*i], false)));
        if let Some(again) = again.map(|i| all[i]) {
            let message = format!("the rig takes hold of one place twice: `{}`", self.name_of(again));
            self.error(again.span.clone(), message, "the same place again", "name four different places");
        }
    }

    fn name_of(&self, r: &PointRef) -> String {
        twin_name(self.names.points.items[r.id.0].name, r.twin)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_are_called_the_same_everywhere() {
        let keys::Value::Choice(words) = keys::LOAD_SET else { panic!() };
        assert_eq!(words, LoadSet::ALL.map(LoadSet::word));
        for set in LoadSet::ALL {
            assert_eq!(serde_json::to_value(set).unwrap(), set.word());
        }
    }
}
