//! Names that a person can read: where a point is, which layer a tube is of.

use geometry::DVec3;
use rustc_hash::FxHashSet;

use crate::ends::Places;
use crate::layers::Layer;
use crate::places::Frame;
use crate::space::Named as Given;
use crate::{Told, listed};

/// Longest name made of a drawing's words: room is left for a number.
const LONGEST: usize = 24;

/// A name as a design file has it, from any words.
pub(crate) fn slug(words: &str, instead: &str) -> String {
    let mut out = String::new();
    for c in words.trim().to_lowercase().chars() {
        match c {
            'a'..='z' | '0'..='9' | '-' => out.push(c),
            'ä' => out += "ae",
            'ö' => out += "oe",
            'ü' => out += "ue",
            'ß' => out += "ss",
            'à' | 'á' | 'â' | 'ã' | 'å' => out.push('a'),
            'è' | 'é' | 'ê' | 'ë' => out.push('e'),
            'ì' | 'í' | 'î' | 'ï' => out.push('i'),
            'ò' | 'ó' | 'ô' | 'õ' | 'ø' => out.push('o'),
            'ù' | 'ú' | 'û' => out.push('u'),
            'ç' => out.push('c'),
            'ñ' => out.push('n'),
            _ if !out.ends_with('_') => out.push('_'),
            _ => {}
        }
        if out.len() >= LONGEST {
            break;
        }
    }
    let out = out.trim_matches('_');
    if out.is_empty() || out.bytes().all(|b| b == b'0') {
        return instead.to_owned();
    }
    if out.starts_with(|c: char| c.is_ascii_lowercase()) { out.to_owned() } else { format!("{instead}_{out}") }
}

/// Names that nothing else has.
#[derive(Default)]
pub(crate) struct Taken(FxHashSet<String>, rustc_hash::FxHashMap<String, usize>);

impl Taken {
    /// With these taken.
    pub fn of(names: impl IntoIterator<Item = String>) -> Taken {
        Taken(names.into_iter().collect(), Default::default())
    }

    /// The name itself, or with the next number that is free.
    pub fn take(&mut self, name: &str) -> String {
        if self.0.insert(name.to_owned()) {
            return name.to_owned();
        }
        let mut k = self.1.get(name).copied().unwrap_or(1);
        loop {
            k += 1;
            let next = format!("{name}_{k}");
            if self.0.insert(next.clone()) {
                self.1.insert(name.to_owned(), k);
                return next;
            }
        }
    }
}

/// Names of tubes and points.
pub(crate) struct Named {
    pub tubes: Vec<String>,
    pub nodes: Vec<String>,
}

/// Which third of a length a place is in.
fn third(v: f64, lo: f64, hi: f64) -> usize {
    if hi - lo <= 0.0 { 1 } else { (((v - lo) / (hi - lo) * 3.0) as usize).min(2) }
}

pub(crate) fn name(
    frame: &Frame,
    layers: &[Layer],
    given: Given,
    mirrored: bool,
    within: f64,
    told: &mut Told,
) -> Named {
    let mut taken = Taken::default();
    let mut of_layer = vec![0; layers.len()];
    frame.tubes.iter().for_each(|t| of_layer[t.tube.layer] += usize::from(t.tube.name.is_none()));
    let mut count = vec![0; layers.len()];
    // Names that the drawing gives come first: nobody else may have them.
    let own: Vec<Option<String>> =
        frame.tubes.iter().map(|t| t.tube.name.as_ref().map(|n| taken.take(&slug(n, "tube")))).collect();
    let tubes: Vec<String> = own
        .into_iter()
        .zip(&frame.tubes)
        .map(|(own, t)| {
            own.unwrap_or_else(|| {
                let l = t.tube.layer;
                count[l] += 1;
                let section = &layers[l].section;
                taken.take(&if of_layer[l] == 1 { section.clone() } else { format!("{section}_{}", count[l]) })
            })
        })
        .collect();
    let nodes = points(frame, &tubes, &given, mirrored, within, told);
    Named { tubes, nodes }
}

fn points(frame: &Frame, tubes: &[String], given: &Given, mirrored: bool, within: f64, told: &mut Told) -> Vec<String> {
    let ends = || frame.nodes.iter().filter(|n| n.corner.is_none()).map(|n| n.at);
    let lo = ends().fold(DVec3::splat(f64::INFINITY), |a, b| a.min(b));
    let hi = ends().fold(DVec3::splat(f64::NEG_INFINITY), |a, b| a.max(b));
    let mut near = Places::new(within.max(1e-9));
    let ids: Vec<usize> = given.iter().map(|g| near.add(g.1)).collect();
    let mut taken = Taken::default();
    let mut out = vec![String::new(); frame.nodes.len()];
    // A name that the drawing gives to the place.
    let mut first = vec![None; near.at.len()];
    ids.iter().enumerate().rev().for_each(|(i, id)| first[*id] = Some(i));
    let mut used = vec![false; near.at.len()];
    for (k, n) in frame.nodes.iter().enumerate() {
        let over = DVec3::new(n.at.x, -n.at.y, n.at.z);
        // With symmetry a point on the left stands for that on the right, too.
        let here = near.find(n.at);
        let there = if mirrored { near.find(over) } else { None };
        [here, there].into_iter().flatten().for_each(|i| used[i] = true);
        if let Some(i) = here.or(there).filter(|_| n.corner.is_none()).and_then(|id| first[id]) {
            out[k] = taken.take(&slug(&given[i].0, "p"));
        }
    }
    let lost: Vec<&str> = given.iter().zip(&ids).filter(|(_, id)| !used[**id]).map(|(g, _)| g.0.as_str()).collect();
    if !lost.is_empty() {
        told.guess(format!(
            "left out: {} that no line ends at: {}",
            crate::count(lost.len(), "point", "points"),
            listed(&lost)
        ));
    }
    for (k, n) in frame.nodes.iter().enumerate() {
        if !out[k].is_empty() {
            continue;
        }
        let name = if let Some((tube, _)) = n.corner {
            format!("{}_bend", tubes[tube])
        } else if let Some(on) = n.on {
            format!("on_{}", tubes[on.tube])
        } else {
            let x = ["rear", "middle", "front"][third(n.at.x, lo.x, hi.x)];
            let z = ["low", "waist", "high"][third(n.at.z, lo.z, hi.z)];
            let y = match n.at.y {
                y if y.abs() < 1e-6 => "_centre",
                _ if mirrored => "",
                y if y > 0.0 => "_left",
                _ => "_right",
            };
            format!("{x}_{z}{y}")
        };
        out[k] = taken.take(&name);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_words_make_a_name() {
        let cases = [
            ("Hoop", "hoop"),
            ("0", "tube"),
            ("", "tube"),
            ("Main Hoop (rear)", "main_hoop_rear"),
            ("Überrollbügel", "ueberrollbuegel"),
            ("45x2.5", "tube_45x2_5"),
            ("日本", "tube"),
            ("___", "tube"),
            ("rail~", "rail"),
        ];
        for (words, name) in cases {
            assert_eq!(slug(words, "tube"), name, "{words}");
        }
        assert!(slug(&"long ".repeat(50), "tube").len() <= LONGEST + 1);
    }

    #[test]
    fn no_name_twice() {
        let mut t = Taken::default();
        assert_eq!(["a", "a", "a_2", "a", "b"].map(|n| t.take(n)), ["a", "a_2", "a_2_2", "a_3", "b"]);
    }
}
