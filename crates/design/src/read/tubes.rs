//! `[tube.NAME]`.

use toml::de::DeValue;

use super::fields::{Fields, Reader, clip, count};
use super::names::Item;
use crate::keys::{self, Kind, Value};
use crate::model::{Die, DieId, EndSpec, PointRef, Section, SectionId, SectionShape, Tube, TubeId, TubeRef, TubeState};
use crate::units::{Quantity, show};

/// A die takes tube that differs from its own size by no more than this, m: EN 10305-1 allows 0.15 mm on 38 mm, and
/// 38.1 mm (1 1/2 in) tube is bent in 38 mm dies.
const DIE_ALLOWANCE: f64 = 0.000_2;
/// Radii that differ by less are the same, m: a bend is not measured to a tenth of a millimetre.
const SAME_RADIUS: f64 = 0.000_1;
/// No tube has more points: a bender would not come back from it.
const MOST_POINTS: usize = 200;

impl<'a> Reader<'a> {
    /// The tubes of the file, in fitting order.
    pub fn tubes(&mut self, sections: &[Option<Section>], dies: &[Option<Die>]) -> Vec<Option<Tube>> {
        let items = self.names.tubes.items.clone();
        let mut tubes = Vec::with_capacity(items.len());
        for (i, item) in items.iter().enumerate() {
            let what = format!("tube `{}`", clip(item.name));
            let fields = self.open(item.node, &keys::TUBE, what);
            tubes.push(fields.and_then(|f| self.tube(&f, item, TubeId(i), sections, dies)));
        }
        tubes
    }

    fn tube(
        &mut self,
        f: &Fields<'a>,
        item: &Item<'a>,
        id: TubeId,
        sections: &[Option<Section>],
        dies: &[Option<Die>],
    ) -> Option<Tube> {
        let section = f.get("section").and_then(|n| self.name_at(n, f.at("section"), Kind::Section)).map(|(i, _)| i);
        let die = f.get("die").and_then(|n| self.name_at(n, f.at("die"), Kind::Die)).map(|(i, _)| i);
        let path = self.path(f);
        let the_section = section.and_then(|i| sections.get(i)?.as_ref());
        let the_die = die.and_then(|i| dies.get(i)?.as_ref());
        let bends = path.as_ref().map(|p| p.len().saturating_sub(2));
        let bend_radii = self.bend_radii(f, bends, f.has("die"), the_die);
        if let Some(section) = the_section {
            self.check_bends(f, section, bends, bend_radii.as_deref(), the_die);
        }
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        let start = self.end(f, "start", item.name, id);
        let end = self.end(f, "end", item.name, id);
        let roll = self.number(f, "roll");
        if let (Some(Section { shape: SectionShape::Round { .. }, .. }), true) = (the_section, f.has("roll")) {
            let message = format!("`roll` of {} does nothing: its section is round", f.what);
            self.note(f.span_of("roll"), message, "for box tube", "take it out");
        }
        let state = self.state(f);
        let out_after = self.out_after(f, state, item.name, id);
        let splice = self.number(f, "splice");
        if let (Some(_), Some(1..)) = (splice, bends) {
            let message = format!("{} is bent and has a `splice`", f.what);
            let help = "draw it as two tubes that meet where it is to be joined";
            self.error(f.span_of("splice"), message, "for straight tube", help);
        }
        let hard = self.flag(f, "hard").unwrap_or(true);
        let (role, note) = (self.text(f, "role"), self.text(f, "note"));
        Some(Tube {
            name: item.name.to_owned(),
            section: SectionId(section?),
            path: path?,
            bend_radii: bend_radii?,
            die: die.map(DieId),
            mirror,
            start: start?,
            end: end?,
            roll: roll.unwrap_or(0.0),
            state,
            splice,
            out_after: out_after?,
            hard,
            role,
            note,
            span: item.span(),
            path_span: f.span_of("path"),
        })
    }

    fn path(&mut self, f: &Fields<'a>) -> Option<Vec<PointRef>> {
        let nodes = self.list(f, "path")?;
        if nodes.len() > MOST_POINTS {
            let message = format!("{} has {} points", f.what, nodes.len());
            let help = "make it from several tubes, or draw its curve with fewer bends";
            self.error(f.span_of("path"), message, format!("at most {MOST_POINTS} are read"), help);
            return None;
        }
        let found: Vec<Option<PointRef>> =
            nodes.iter().enumerate().map(|(i, node)| self.point_at(node, f.at("path").nth(i))).collect();
        for pair in found.windows(2) {
            if let [Some(a), Some(b)] = pair
                && (a.id, a.twin) == (b.id, b.twin)
            {
                let name = self.names.points.items[b.id.0].name;
                let name = crate::model::twin_name(name, b.twin);
                let message = format!("{} goes from `{name}` to `{name}`: a step of no length", f.what);
                self.error(b.span.clone(), message, "the same point again", "take one of the two out");
                return None;
            }
        }
        found.into_iter().collect()
    }

    /// Radii at the inner points; `bends` is unknown if the path is wrong.
    fn bend_radii(
        &mut self,
        f: &Fields<'a>,
        bends: Option<usize>,
        names_die: bool,
        die: Option<&Die>,
    ) -> Option<Vec<f64>> {
        let Some(node) = f.get("bend_radius") else {
            return match (bends?, die) {
                (0, _) => Some(Vec::new()),
                (n, Some(die)) => Some(vec![die.radius; n]),
                (_, None) if names_die => None,
                (n, None) => {
                    let message = format!("{} is bent at {} but has no `bend_radius`", f.what, count(n, "point"));
                    let help = "add bend_radius = the centreline radius, or die = the name of a die";
                    self.error(f.span_of("path"), message, "bent here", help);
                    None
                }
            };
        };
        let value = &f.table.key("bend_radius")?.value;
        let Value::Either([Value::Number(quantity, bounds), _]) = value else { return None };
        let DeValue::Array(_) = node.get_ref() else {
            if !matches!(node.get_ref(), DeValue::Integer(_) | DeValue::Float(_) | DeValue::String(_)) {
                self.wrong_type(node, f.at("bend_radius"), value);
                return None;
            }
            let radius = self.number_at(node, f.at("bend_radius"), *quantity, bounds)?;
            let n = bends?;
            if n == 0 {
                let message = format!("`bend_radius` of {} does nothing: it has no inner points", f.what);
                self.note(node.span(), message, "a straight tube", "take it out, or add the point where it is bent");
            }
            return Some(vec![radius; n]);
        };
        let nodes = self.list_at(node, f.at("bend_radius"), value)?;
        let radii: Vec<Option<f64>> = nodes
            .iter()
            .enumerate()
            .map(|(i, n)| self.number_at(n, f.at("bend_radius").nth(i), *quantity, bounds))
            .collect();
        let n = bends?;
        if radii.len() != n {
            let message = format!(
                "{} has {} and {} to bend it at",
                f.what,
                count(radii.len(), "bend radius").replace("radiuss", "radii"),
                count(n, "inner point")
            );
            let help = "give one radius for all, or one for each point between the first and the last";
            self.error(node.span(), message, format!("{n} wanted"), help);
            return None;
        }
        radii.into_iter().collect()
    }

    /// Whether this section is bent like this, on this die.
    fn check_bends(
        &mut self,
        f: &Fields<'a>,
        section: &Section,
        bends: Option<usize>,
        radii: Option<&[f64]>,
        die: Option<&Die>,
    ) {
        let units = self.units;
        let length = |x| show(x, Quantity::Length, units);
        let od = match section.shape {
            SectionShape::Round { od, .. } => od,
            SectionShape::Box { .. } => {
                if bends.is_some_and(|n| n > 0) {
                    let message = format!("{} is box tube and bent: box tube is not bent here", f.what);
                    let help = "draw straight tubes that meet at its inner points, or use a round section";
                    self.error(f.span_of("path"), message, "has inner points", help);
                } else if f.has("die") {
                    let message = format!("{} is box tube and has a `die`", f.what);
                    self.error(f.span_of("die"), message, "for round tube", "take it out");
                }
                return;
            }
        };
        let small = radii.and_then(|radii| radii.iter().copied().find(|r| *r <= od / 2.0));
        if let Some(radius) = small {
            let message = format!("{} is bent to a radius of {}, within its own outside", f.what, length(radius));
            let label = format!("must be more than {}, half of its diameter", length(od / 2.0));
            let help = "the radius is that of the centreline: three times the diameter is usual";
            self.error(f.span_of(if f.has("bend_radius") { "bend_radius" } else { "die" }), message, label, help);
        }
        let Some(die) = die else { return };
        if (die.od - od).abs() > DIE_ALLOWANCE {
            let message = format!("die `{}` does not take {}", die.name, f.what);
            let label = format!("for {} tube; this is {}", length(die.od), length(od));
            self.error(f.span_of("die"), message, label, "use a die of the tube's own diameter");
        }
        if f.has("bend_radius")
            && let Some(radius) = radii.and_then(|all| all.iter().find(|r| (**r - die.radius).abs() > SAME_RADIUS))
        {
            let message =
                format!("{} is bent to {}, but its die bends to {}", f.what, length(*radius), length(die.radius));
            let help = "take `bend_radius` out: the die gives it";
            self.error(f.span_of("bend_radius"), message, "not what the die makes", help);
        }
    }

    fn state(&mut self, f: &Fields<'a>) -> TubeState {
        let provisional = self.flag(f, "provisional") == Some(true);
        let temporary = self.flag(f, "temporary") == Some(true);
        match (provisional, temporary) {
            (true, true) => {
                let message = format!("{} is both provisional and temporary", f.what);
                let help = "temporary tubes are cut and later taken out, provisional ones are not cut: keep one";
                self.error(f.span_of("temporary"), message, "one too many", help);
                TubeState::Temporary
            }
            (true, false) => TubeState::Provisional,
            (false, true) => TubeState::Temporary,
            (false, false) => TubeState::Permanent,
        }
    }

    /// After which tube a temporary one is cut out; `None` only if it is wrong.
    fn out_after(&mut self, f: &Fields<'a>, state: TubeState, tube: &str, id: TubeId) -> Option<Option<TubeRef>> {
        let Some(node) = f.get("out_after") else { return Some(None) };
        let after = self.tube_at(node, f.at("out_after"))?;
        if state != TubeState::Temporary {
            let message = format!("{} has `out_after`, but is not temporary", f.what);
            self.error(f.span_of("out_after"), message, "for what is cut out again", "add temporary = true");
            return None;
        }
        if after.id <= id {
            let message =
                format!("{} is cut out after `{}`, before it is in", f.what, self.names.tubes.items[after.id.0].name);
            let label = format!("not after `{}` in the fitting order", clip(tube));
            self.error(node.span(), message, label, "name a tube that is fitted later");
            return None;
        }
        Some(Some(after))
    }

    /// One end; `None` only if it is wrong.
    fn end(&mut self, f: &Fields<'a>, key: &str, tube: &str, id: TubeId) -> Option<EndSpec> {
        let Some(node) = f.get(key) else { return Some(EndSpec::default()) };
        let fields = self.table(f, key, format!("the {key} of tube `{}`", clip(tube)))?;
        self.end_spec(&fields, node.span(), tube, id)
    }
}
