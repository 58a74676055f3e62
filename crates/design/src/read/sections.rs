//! `[section.NAME]`.

use super::fields::{Fields, Reader, clip};
use crate::builtin::{builtin_section, builtin_sections};
use crate::keys;
use crate::model::{Section, SectionShape, Span};
use crate::suggest::nearest;
use crate::units::{Quantity, show};

const ROUND: [&str; 2] = ["od", "wall"];
const BOX: [&str; 4] = ["width", "height", "wall", "corner"];

/// Corner radius of a box whose section does not say, as EN 10219-2 has it for calculation (wall up to 6 mm).
pub fn default_corner(wall: f64) -> f64 {
    2.0 * wall
}

impl<'a> Reader<'a> {
    /// The sections of the file.
    pub fn sections(&mut self) -> Vec<Option<Section>> {
        let items = self.names.sections.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::SECTION, format!("section `{}`", clip(item.name)))?;
                self.section(&f, item.name, item.span())
            })
            .collect()
    }

    fn section(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Section> {
        let material = self.material_at(f, "material");
        let named_shape = self.choice(f, "shape");
        let (shape, size) = if f.has("size") {
            let (shape, size) = self.size(f, named_shape)?;
            (Some(shape), Some(size))
        } else {
            let shape = match named_shape {
                Some("round") => self.round(f),
                Some(_) => self.boxed(f),
                None if f.has("shape") => None,
                None => self.guess_shape(f),
            };
            (shape, None)
        };
        Some(Section { name: name.to_owned(), shape: shape?, size, material: material?, span })
    }

    fn size(&mut self, f: &Fields<'a>, named_shape: Option<&str>) -> Option<(SectionShape, String)> {
        for key in f.present(&["od", "width", "height", "wall", "corner"]) {
            let message = format!("{} has both `size` and `{key}`", f.what);
            self.error(f.span_of(key), message, "`size` says this already", "keep one of the two");
        }
        let text = self.text(f, "size")?;
        let Some(builtin) = builtin_section(&text) else {
            let help = match nearest(&text, builtin_sections().iter().map(|s| s.name.as_str())) {
                Some(near) => format!("did you mean \"{near}\"? or give the dimensions"),
                None => "give the dimensions instead: shape, and od and wall, or width, height and wall".to_owned(),
            };
            let message = format!("there is no built-in section \"{}\"", clip(&text));
            self.error(f.span_of("size"), message, "not a built-in size", help);
            return None;
        };
        let is_round = matches!(builtin.shape, SectionShape::Round { .. });
        if named_shape.is_some_and(|s| (s == "round") != is_round) {
            let word = if is_round { "round" } else { "box" };
            let message = format!("{} has a `shape` that its `size` does not", f.what);
            self.error(f.span_of("shape"), message, format!("\"{}\" is {word}", builtin.name), "take `shape` out");
        }
        Some((builtin.shape, builtin.name.clone()))
    }

    /// Without a shape nothing more can be checked; the keys that are there say which one to write.
    fn guess_shape(&mut self, f: &Fields<'a>) -> Option<SectionShape> {
        let help = if f.has("od") {
            "add shape = \"round\""
        } else if f.has("width") || f.has("height") {
            "add shape = \"box\""
        } else {
            "add shape = \"round\" with od and wall, shape = \"box\" with width, height and wall, or a built-in `size`"
        };
        self.error(f.span.clone(), format!("{} has no `shape`", f.what), "round or box?", help);
        None
    }

    fn foreign(&mut self, f: &Fields<'a>, own: &[&str], all: &[&str], word: &str) {
        let foreign: Vec<&str> = all.iter().copied().filter(|k| !own.contains(k)).collect();
        for key in f.present(&foreign) {
            let message = format!("`{key}` has no place in {}, which is {word}", f.what);
            let label = if word == "round" { "for box tube" } else { "for round tube" };
            self.error(f.span_of(key), message, label, format!("its dimensions are {}", list(own)));
        }
    }

    fn dimension(&mut self, f: &Fields<'a>, key: &str, word: &str) -> Option<f64> {
        if !f.has(key) {
            let message = format!("{} is {word} but has no `{key}`", f.what);
            let own: &[&str] = if word == "round" { &ROUND } else { &BOX };
            self.error(
                f.span.clone(),
                message,
                format!("`{key}` is missing"),
                format!("its dimensions are {}", list(own)),
            );
        }
        self.number(f, key)
    }

    fn round(&mut self, f: &Fields<'a>) -> Option<SectionShape> {
        self.foreign(f, &ROUND, &BOX, "round");
        let od = self.dimension(f, "od", "round");
        let wall = self.dimension(f, "wall", "round");
        let (od, wall) = (od?, wall?);
        if wall >= od / 2.0 {
            self.thick(f, "od", od);
            return None;
        }
        Some(SectionShape::Round { od, wall })
    }

    fn boxed(&mut self, f: &Fields<'a>) -> Option<SectionShape> {
        self.foreign(f, &BOX, &ROUND, "box");
        let width = self.dimension(f, "width", "box");
        let height = self.dimension(f, "height", "box");
        let wall = self.dimension(f, "wall", "box");
        let given = self.number(f, "corner");
        let (width, height, wall) = (width?, height?, wall?);
        let (least, key) = if width <= height { (width, "width") } else { (height, "height") };
        if wall >= least / 2.0 {
            self.thick(f, key, least);
            return None;
        }
        let corner = given.unwrap_or_else(|| default_corner(wall));
        if corner > least / 2.0 {
            let half = show(least / 2.0, Quantity::Length, self.units);
            let (message, label, help) = if given.is_some() {
                (
                    format!("the corner radius of {} is more than half its {key}", f.what),
                    format!("at most {half}"),
                    "`corner` is the outside radius: about twice the wall in cold-formed tube",
                )
            } else {
                (
                    format!("the corner radius of {} does not fit", f.what),
                    format!("twice the wall, the default, is more than {half}"),
                    "measure the outside corner radius and add it as `corner`",
                )
            };
            self.error(f.span_of(if given.is_some() { "corner" } else { "wall" }), message, label, help);
            return None;
        }
        Some(SectionShape::Box { width, height, wall, corner })
    }

    fn thick(&mut self, f: &Fields<'a>, key: &str, across: f64) {
        let message = format!("the wall of {} leaves no room inside", f.what);
        let label = format!("must be less than {}, half of `{key}`", show(across / 2.0, Quantity::Length, self.units));
        self.error(f.span_of("wall"), message, label, "check `wall` and its unit; solid bar is not a tube");
    }
}

fn list(keys: &[&str]) -> String {
    keys.iter().map(|k| format!("`{k}`")).collect::<Vec<_>>().join(", ")
}
