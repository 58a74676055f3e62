//! Points and tubes taken out, and what hangs on them.

use toml_edit::{DocumentMut, Item, Value};

use super::rename::{point_uses, tube_uses};
use super::{Document, Step, entries, out_of_step, take, take_items};
use crate::model::{EndSpec, PointId, Span, Tube, TubeId};
use crate::problem::Problem;

impl Document {
    /// Takes a point out, and out of the paths of tubes.
    pub(super) fn remove_point(&self, doc: &mut DocumentMut, name: &str) -> Step {
        let point = &self.point(name)?.name;
        let design = self.design();
        let id = PointId(design.points.iter().position(|p| p.name == *point).ok_or_else(out_of_step)?);
        let in_paths: Vec<Span> = design.tubes.iter().flat_map(|t| &t.path).map(|r| r.span.clone()).collect();
        let others = point_uses(design).into_iter().filter(|r| r.id == id && !in_paths.contains(&r.span));
        let mut problems: Vec<Problem> = others
            .map(|r| {
                let message = format!("point `{point}` can't be taken out: it is used");
                Problem::error(message, r.span.clone(), "here").help("give this another point first")
            })
            .collect();
        for tube in design.tubes.iter().filter(|t| t.path.iter().any(|r| r.id == id)) {
            if tube.path.iter().filter(|r| r.id != id).count() < 2 {
                let message = format!("point `{point}` can't be taken out: tube `{}` would have no length", tube.name);
                let help = "take the tube out first, or give it another point";
                problems.push(Problem::error(message, tube.path_span.clone(), "fewer than two points left").help(help));
            } else {
                shorten_path(doc, tube, id)?;
            }
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        take(doc.get_mut("point").ok_or_else(out_of_step)?, point);
        Ok(())
    }

    /// Takes a tube out, and out of the ends that are cut to it.
    pub(super) fn remove_tube(&self, doc: &mut DocumentMut, name: &str) -> Step {
        let tube = &self.tube(name)?.name;
        let design = self.design();
        let id = TubeId(design.tubes.iter().position(|t| t.name == *tube).ok_or_else(out_of_step)?);
        let to: Vec<Span> =
            design.tubes.iter().flat_map(|t| t.start.to.iter().chain(&t.end.to)).map(|r| r.span.clone()).collect();
        let others = tube_uses(design).into_iter().filter(|r| r.id == id && !to.contains(&r.span));
        let problems: Vec<Problem> = others
            .map(|r| {
                let message = format!("tube `{tube}` can't be taken out: it is used");
                Problem::error(message, r.span.clone(), "here").help("give this another place first")
            })
            .collect();
        if !problems.is_empty() {
            return Err(problems);
        }
        for other in design.tubes.iter().filter(|t| t.name != *tube) {
            forget(doc, other, "start", &other.start, id)?;
            forget(doc, other, "end", &other.end, id)?;
        }
        take(doc.get_mut("tube").ok_or_else(out_of_step)?, tube);
        Ok(())
    }
}

fn item_of<'d>(doc: &'d mut DocumentMut, tube: &str) -> Result<&'d mut Item, Vec<Problem>> {
    doc.get_mut("tube").and_then(|t| t.get_mut(tube)).ok_or_else(out_of_step)
}

/// Takes a point out of a path, and the radius of the bend that was there.
fn shorten_path(doc: &mut DocumentMut, tube: &Tube, id: PointId) -> Step {
    let item = item_of(doc, &tube.name)?;
    let path = item.get_mut("path").and_then(Item::as_array_mut).ok_or_else(out_of_step)?;
    take_items(path, |i| tube.path[i].id != id);
    let inner: Vec<usize> = (0..tube.path.len()).filter(|i| tube.path[*i].id != id).collect();
    let inner = &inner[1..inner.len() - 1];
    if inner.is_empty() {
        take(item, "bend_radius");
        take(item, "die");
    } else if let Some(radii) = item.get_mut("bend_radius").and_then(Item::as_array_mut) {
        take_items(radii, |i| inner.contains(&(i + 1)));
    }
    Ok(())
}

/// Takes a tube out of the list that an end is cut to.
fn forget(doc: &mut DocumentMut, tube: &Tube, key: &str, end: &EndSpec, id: TubeId) -> Step {
    if end.to.iter().all(|r| r.id != id) {
        return Ok(());
    }
    let item = item_of(doc, &tube.name)?;
    let at = item.get_mut(key).ok_or_else(out_of_step)?;
    let to = at.get_mut("to").and_then(Item::as_value_mut).and_then(Value::as_array_mut).ok_or_else(out_of_step)?;
    take_items(to, |i| end.to[i].id != id);
    if to.is_empty() {
        take(at, "to");
    }
    if entries(at).next().is_none() {
        take(item, key);
    }
    Ok(())
}
