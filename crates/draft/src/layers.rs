//! Layers as sections: what each is made of, and how it is bent.

use design::{Design, Die, SectionShape};
use geometry::DVec3;
use rustc_hash::FxHashSet;

use crate::names::{Taken, slug};
use crate::size::{self, Size};
use crate::space::Line;
use crate::text::toml;
use crate::{Options, Told, count, listed};

/// Where a layer's section comes from.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Source {
    /// It stands in the design that was given.
    With,
    /// Its size was given.
    Said,
    /// Its size stands in the layer's name.
    Name,
    /// Nothing tells it.
    Guessed,
}

/// What a layer's tubes are bent on.
#[derive(Clone, Debug)]
pub(crate) struct Bender {
    /// Name of the die.
    pub name: String,
    /// Whether the die is to be written into the file.
    pub new: bool,
    /// What it can make.
    pub die: curve::Die,
}

/// A layer.
#[derive(Clone, Debug)]
pub(crate) struct Layer {
    /// In the drawing.
    pub drawn: String,
    /// In the design.
    pub section: String,
    pub shape: SectionShape,
    /// Keys and values of its section; empty if that stands in the design that was given.
    pub keys: Vec<(&'static str, String)>,
    pub source: Source,
    pub bender: Option<Bender>,
}

impl Layer {
    /// Half of its greatest depth, m.
    pub fn bulk(&self) -> f64 {
        match self.shape {
            SectionShape::Round { od, .. } => od / 2.0,
            SectionShape::Box { width, height, .. } => width.hypot(height) / 2.0,
        }
    }

    /// Whether what stands off the axis by `off`, square to its direction, is in the tube or within a distance of its
    /// surface. A box stands upright, as it does without `roll`.
    pub fn holds(&self, along: DVec3, off: DVec3, within: f64) -> bool {
        match self.shape {
            SectionShape::Round { od, .. } => off.length() <= od / 2.0 + within,
            SectionShape::Box { width, height, .. } => {
                let up = DVec3::Z.reject_from_normalized(along).try_normalize().unwrap_or(DVec3::X);
                off.dot(up).abs() <= height / 2.0 + within && off.dot(along.cross(up)).abs() <= width / 2.0 + within
            }
        }
    }

    pub fn is_round(&self) -> bool {
        matches!(self.shape, SectionShape::Round { .. })
    }
}

/// What a layer's tubes are taken to be if nothing tells it.
const GUESS: &str = "40 x 2.0 mm";
/// Of which steel.
const STEEL: &str = "E355+N";
/// A die takes tube of its diameter within this, m: as a design file has it.
const DIE_TAKES: f64 = 2e-4;

/// A radius that is asked for is a die's within this, m.
const SAME_RADIUS: f64 = 1e-4;

/// The drawing's layers, in the order in which they come.
pub(crate) fn layers(lines: &[Line], options: &Options, told: &mut Told) -> Result<Vec<Layer>, String> {
    let mut out: Vec<Layer> = Vec::new();
    let mut seen = FxHashSet::default();
    // Names that stand in the design that was given are not to be had again.
    let given = options.with.iter().flat_map(|w| w.0.sections.iter().map(|s| s.name.clone()));
    let mut taken = Taken::of(given);
    for l in lines {
        if seen.insert(l.layer.as_str()) {
            // A size in the layer's name does not belong to what it is called.
            let left = size::within(&l.layer).map(|(_, left)| slug(&left, "tube")).filter(|left| left != "tube");
            let called = left.unwrap_or_else(|| slug(&l.layer, "tube"));
            out.push(layer(&l.layer, &called, &mut taken, options, told)?);
        }
    }
    for (layer, _) in options.sizes.iter() {
        known(layer, &out)?;
    }
    let mut dies = Taken::of(options.with.iter().flat_map(|w| w.0.dies.iter().map(|d| d.name.clone())));
    for (layer, radius) in &options.radii {
        let k = known(layer, &out)?;
        let od = match out[k].shape {
            SectionShape::Round { od, .. } => od,
            SectionShape::Box { .. } => return Err(format!("layer `{layer}` is box tube, which is not bent")),
        };
        if !(*radius > od / 2.0 && radius.is_finite()) {
            return Err(format!("layer `{layer}`: tube of {:.1} mm can't be bent to that radius", od * 1e3));
        }
        // The shop's own die, if it has that one.
        let own = options.with.iter().flat_map(|w| &w.0.dies);
        let own = own.into_iter().find(|d| takes(d, od) && (d.radius - radius).abs() <= SAME_RADIUS);
        out[k].bender = Some(own.map_or_else(
            || {
                let die = curve::Die { radius: *radius, between: 0.0, ends: [0.0; 2], most: curve::MOST_TURN };
                Bender { name: dies.take(&out[k].section), new: true, die }
            },
            of_die,
        ));
    }
    let guessed: Vec<&str> = out.iter().filter(|l| l.source == Source::Guessed).map(|l| l.section.as_str()).collect();
    if !guessed.is_empty() {
        told.guess(format!(
            "nothing tells the size of {} ({}): {GUESS} of {} is put there, to be changed in one place each",
            count(guessed.len(), "section", "sections"),
            listed(&guessed),
            steel(options)
        ));
    }
    Ok(out)
}

fn known(layer: &str, layers: &[Layer]) -> Result<usize, String> {
    layers.iter().position(|l| l.drawn == layer).ok_or_else(|| {
        let near = design::nearest(layer, layers.iter().map(|l| l.drawn.as_str()));
        let near = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        format!("nothing is drawn on a layer called `{layer}`{near}")
    })
}

fn layer(drawn: &str, called: &str, taken: &mut Taken, options: &Options, told: &mut Told) -> Result<Layer, String> {
    let said = options.sizes.iter().find(|s| s.0 == drawn);
    let with = options.with.map(|w| w.0);
    if said.is_none()
        && let Some(d) = with
        && let Some(s) = d.sections.iter().find(|s| s.name == drawn || s.name == called)
        && size::within(drawn).is_none_or(|(size, _)| s.name == drawn || size.is(s.shape))
    {
        let bender = bender(d, s.shape);
        let (section, shape) = (s.name.clone(), s.shape);
        return Ok(Layer { drawn: drawn.into(), section, shape, keys: Vec::new(), source: Source::With, bender });
    }
    let (source, size) = match said {
        Some((_, size)) => (Source::Said, size::read(size).ok_or_else(|| unreadable(drawn, size))?),
        None => match size::within(drawn) {
            Some((size, _)) => {
                let stands = matches!(size.shape, SectionShape::Box { .. });
                let stands = if stands { " (width, height, wall: it stands on its smaller side)" } else { "" };
                told.guess(format!("the name of layer `{drawn}` tells its size: {}{stands}", size.name()));
                (Source::Name, size)
            }
            None => (Source::Guessed, guess()),
        },
    };
    let mut keys = size.keys();
    keys.push(("material", toml(steel(options))));
    let bender = with.and_then(|d| bender(d, size.shape));
    let section = taken.take(called);
    Ok(Layer { drawn: drawn.into(), section, shape: size.shape, keys, source, bender })
}

/// The steel of what tells none: the first of the design that was given.
fn steel<'a>(options: &Options<'a>) -> &'a str {
    options.with.and_then(|w| w.0.materials.first()).map_or(STEEL, |m| m.name.as_str())
}

fn guess() -> Size {
    Size { shape: SectionShape::Round { od: 0.04, wall: 0.002 }, built_in: Some(GUESS.into()), inches: false }
}

fn unreadable(layer: &str, size: &str) -> String {
    format!(
        "the size `{size}` of layer `{layer}` can't be read: say it as \"45 x 2.5 mm\" (diameter and wall), \
         \"60 x 80 x 3 mm\" (width, height and wall), or by a name from `tubewright shape --sections`"
    )
}

/// The only die of a design that takes a section.
fn bender(design: &Design, shape: SectionShape) -> Option<Bender> {
    let SectionShape::Round { od, .. } = shape else { return None };
    let mut fit = design.dies.iter().filter(|d| takes(d, od));
    let die = fit.next()?;
    if fit.next().is_some() { None } else { Some(of_die(die)) }
}

fn takes(die: &Die, od: f64) -> bool {
    (die.od - od).abs() <= DIE_TAKES
}

fn of_die(die: &Die) -> Bender {
    let most = die.max_angle.map_or(curve::MOST_TURN, |m| m.min(curve::MOST_TURN));
    let made = curve::Die { radius: die.radius, between: die.between, ends: [die.grip; 2], most };
    Bender { name: die.name.clone(), new: false, die: made }
}
