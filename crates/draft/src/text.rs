//! The design file, written out with its comments.

use std::fmt::Write;

use design::Units;
use geometry::{DVec3, SAME_PLACE};
use toml_edit::DocumentMut;

use crate::join::Curve;
use crate::layers::{Layer, Source};
use crate::mirror::Kept;
use crate::names::Named;
use crate::places::{Frame, Node, Use};
use crate::{Draft, Options, Told, count};

/// What of a design that was given is the shop's and not the frame's.
const SHOP: [&str; 9] = ["material", "section", "notcher", "die", "rack", "supplier", "jig", "rules", "limits"];
/// Tubes and points that a design file may hold.
const MOST: (usize, usize) = (20_000, 100_000);
/// Points of a curve that are written: the line through them then keeps to the drawn one.
const CURVE_POINTS: usize = 60;

struct Writer<'a> {
    units: Units,
    frame: &'a Frame,
    named: &'a Named,
    layers: &'a [Layer],
}

/// Writes the design file.
pub(crate) fn write(
    frame: &Frame,
    named: &Named,
    layers: &[Layer],
    curves: &[Curve],
    options: &Options,
    inches: bool,
    told: Told,
) -> Result<Draft, String> {
    let (t, p) = (frame.tubes.len(), frame.nodes.len());
    if t > MOST.0 || p > MOST.1 {
        return Err(format!("it makes {t} tubes and {p} points; a design file has {} and {} at most", MOST.0, MOST.1));
    }
    let units = options.units.or(options.with.map(|w| w.0.units)).unwrap_or(if inches { Units::In } else { Units::Mm });
    let w = Writer { units, frame, named, layers };
    let mut out = head(options, &told);
    let _ = writeln!(
        out,
        "\n[design]\nname = {}\nunits = \"{}\"",
        toml(&options.name),
        if units == Units::In { "in" } else { "mm" }
    );
    if let Some((_, text)) = options.with {
        let _ = write!(
            out,
            "\n# ---- The shop, as it stands in the design that was given.\n\n{}",
            shop(text)?.trim_start()
        );
    }
    w.sections(&mut out);
    w.points(&mut out);
    for k in 0..t {
        w.tube(k, &mut out);
    }
    for (k, c) in curves.iter().enumerate() {
        w.curve(k, c, &mut out);
    }
    Ok(Draft {
        text: out,
        guessed: told.guessed,
        done: told.done,
        tubes: t,
        mirrored: frame.tubes.iter().filter(|t| t.mirror).count(),
        points: p,
        curves: curves.len(),
    })
}

fn head(options: &Options, told: &Told) -> String {
    let mut out = format!("# {}, from {}.\n#\n", plain(&options.name), plain(&options.source));
    let mut list = |title: &str, items: &[String]| {
        if !items.is_empty() {
            let _ = writeln!(out, "# {title}");
            items.iter().for_each(|i| wrapped(&mut out, i));
            out += "#\n";
        }
    };
    list("Guessed; look at each:", &told.guessed);
    list("Done:", &told.done);
    out += "# The order of the tubes is the order in which they are fitted: a tube runs through those after it and is cut to those\n\
            # before it. It follows the drawing; move tables up or down to change it. A name with ~ is the twin on the right.\n";
    out
}

/// Text as a value of the file.
pub(crate) fn toml(text: &str) -> String {
    toml_edit::Value::from(text).to_string()
}

/// A comment is one line.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// An item of a list in the head, in lines of some 110 characters.
fn wrapped(out: &mut String, item: &str) {
    let mut line = String::from("# -");
    for word in plain(item).split(' ') {
        if line.chars().count() + word.chars().count() > 115 {
            out.push_str(&line);
            out.push('\n');
            line = String::from("#  ");
        }
        line.push(' ');
        line += word;
    }
    out.push_str(&line);
    out.push('\n');
}

/// The tables of a design that are the shop's.
fn shop(text: &str) -> Result<String, String> {
    let mut doc: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| e.to_string())?;
    let others: Vec<String> = doc.iter().map(|(k, _)| k.to_owned()).filter(|k| !SHOP.contains(&k.as_str())).collect();
    for k in others {
        doc.remove(&k);
    }
    // Saddles name tubes of the other design, and so may limits.
    if let Some(jig) = doc.get_mut("jig").and_then(|j| j.as_table_like_mut()) {
        jig.remove("saddles");
    }
    doc.set_trailing("");
    Ok(doc.to_string())
}

/// A number without digits that say nothing: to a nanometre, or a ten-millionth of an inch.
fn number(m: f64, units: Units) -> String {
    let text = match units {
        Units::Mm => format!("{:.6}", m * 1e3),
        Units::In => format!("{:.7}", m / 0.0254),
    };
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" || text.is_empty() { "0".into() } else { text.to_owned() }
}

impl Writer<'_> {
    fn number(&self, m: f64) -> String {
        number(m, self.units)
    }

    fn triple(&self, p: DVec3) -> String {
        format!("[{}, {}, {}]", self.number(p.x), self.number(p.y), self.number(p.z))
    }

    fn sections(&self, out: &mut String) {
        if self.layers.iter().any(|l| l.source != Source::With) {
            *out += "\n# ---- Sections, one for each layer of the drawing.\n";
        }
        for l in self.layers.iter().filter(|l| l.source != Source::With) {
            let drawn = if l.drawn == l.section { String::new() } else { format!(" (layer {})", plain(&l.drawn)) };
            let how = match l.source {
                Source::Guessed => format!("\n# GUESSED: nothing in the drawing tells the size or the steel{drawn}."),
                Source::Name => format!("\n# The size stands in the layer's name{drawn}; the steel is GUESSED."),
                _ => format!("\n# The size as given{drawn}; the steel is GUESSED."),
            };
            let _ = writeln!(out, "{how}\n[section.{}]", l.section);
            for (key, value) in &l.keys {
                let _ = writeln!(out, "{key} = {value}");
            }
        }
        for l in self.layers {
            if let Some(b) = l.bender.as_ref().filter(|b| b.new) {
                let od = self.number(2.0 * l.bulk());
                let _ = writeln!(out, "\n[die.{}]\nod = {od}\nradius = {}", b.name, self.number(b.die.radius));
            }
        }
    }

    fn points(&self, out: &mut String) {
        *out += "\n# ---- Points: x forward, y to the left, z up.\n\n[point]\n";
        let mut of_tube: Vec<Vec<usize>> = vec![Vec::new(); self.frame.tubes.len()];
        let mut seen = vec![false; self.frame.nodes.len()];
        for (k, path) in self.frame.paths.iter().enumerate() {
            for u in path {
                if !std::mem::replace(&mut seen[u.node], true) {
                    of_tube[k].push(u.node);
                }
            }
        }
        for n in of_tube.into_iter().flatten() {
            let _ = writeln!(out, "{} = {}", self.named.nodes[n], self.placed(&self.frame.nodes[n]));
        }
    }

    /// Where a point is, as the file has it.
    fn placed(&self, n: &Node) -> String {
        let Some(on) = n.on else { return self.triple(n.at) };
        let host = &self.frame.tubes[on.tube];
        let name = format!("{}{}", self.named.tubes[on.tube], if on.twin { "~" } else { "" });
        let chain = &host.tube.chain;
        // The way along a tube that a person would tape: along the axis that it runs by.
        let way = chain.first_tangent().abs();
        let axis = if way.x >= way.y && way.x >= way.z {
            0
        } else if way.z >= way.y {
            2
        } else {
            1
        };
        let middle = (on.station / chain.length() - 0.5).abs() < 1e-9;
        let mut foot = chain.point(on.station);
        if on.twin {
            foot.y = -foot.y;
        }
        let along = if middle {
            "part = 0.5".to_owned()
        } else if !host.tube.is_bent() && way[axis] > 0.5 {
            format!("{} = {}", ["x", "y", "z"][axis], self.number(foot[axis]))
        } else {
            format!("at = {}", self.number(on.station))
        };
        let by = if on.by.length() > SAME_PLACE { format!(", by = {}", self.triple(on.by)) } else { String::new() };
        format!("{{ on = \"{name}\", {along}{by} }}")
    }

    fn used(&self, u: &Use) -> String {
        format!("\"{}{}\"", self.named.nodes[u.node], if u.twin { "~" } else { "" })
    }

    fn tube(&self, k: usize, out: &mut String) {
        let Kept { tube, mirror, .. } = &self.frame.tubes[k];
        out.push('\n');
        for r in &tube.remarks {
            let _ = writeln!(out, "# {}", plain(r));
        }
        let path: Vec<String> = self.frame.paths[k].iter().map(|u| self.used(u)).collect();
        let layer = &self.layers[tube.layer];
        let _ = writeln!(
            out,
            "[tube.{}]\nsection = \"{}\"\npath = [{}]",
            self.named.tubes[k],
            layer.section,
            path.join(", ")
        );
        if !tube.radii.is_empty() {
            let same = |r: f64| tube.radii.iter().all(|x| (x - r).abs() < 1e-9);
            match &layer.bender {
                Some(b) if same(b.die.radius) => {
                    let _ = writeln!(out, "die = \"{}\"", b.name);
                }
                _ if same(tube.radii[0]) => {
                    let _ = writeln!(out, "bend_radius = {}", self.number(tube.radii[0]));
                }
                _ => {
                    let list: Vec<String> = tube.radii.iter().map(|r| self.number(*r)).collect();
                    let _ = writeln!(out, "bend_radius = [{}]", list.join(", "));
                }
            }
        }
        if *mirror {
            *out += "mirror = true\n";
        }
        if let Some(state @ ("temporary" | "provisional")) = tube.state.as_deref() {
            let _ = writeln!(out, "{state} = true");
        }
    }

    fn curve(&self, k: usize, c: &Curve, out: &mut String) {
        let section = &self.layers[c.layer].section;
        let step = (c.points.len() as f64 / CURVE_POINTS as f64).max(1.0);
        let last = c.points.len() - 1;
        let mut at: Vec<usize> = (0..).map(|i| (i as f64 * step) as usize).take_while(|i| *i < last).collect();
        at.push(last);
        let points: Vec<String> = at.into_iter().map(|i| self.triple(c.points[i])).collect();
        let _ = writeln!(
            out,
            "\n# A flowing line of the section {section}; it becomes a tube by `tubewright shape --curve {section}_line_{} --write`.",
            k + 1
        );
        let _ = writeln!(out, "[curve.{section}_line_{}]\npoints = [\n  {},\n]", k + 1, points.join(",\n  "));
    }
}

/// What is told of the whole in one line.
impl Draft {
    /// `24 tubes, 20 of them with a twin, 41 points`.
    pub fn summary(&self) -> String {
        let twins = if self.mirrored > 0 { format!(", {} of them with a twin", self.mirrored) } else { String::new() };
        let curves =
            if self.curves > 0 { format!(", {}", count(self.curves, "curve", "curves")) } else { String::new() };
        format!("{}{twins}, {}{curves}", count(self.tubes, "tube", "tubes"), count(self.points, "point", "points"))
    }
}
