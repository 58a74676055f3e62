//! A drawing made elsewhere as a commented design file: ends merged, crossings split, symmetry used, arcs turned into
//! bends, points named, and everything that was guessed told.
//!
//! See `docs/methods/import.md` for the rules and their limits. Bytes and numbers only: no file is touched here.

mod bends;
mod boxes;
mod curves;
mod ends;
mod join;
mod layers;
mod meet;
mod mirror;
mod names;
mod order;
mod places;
mod size;
mod space;
pub mod table;
mod tally;
mod text;
mod tube;

use design::Design;
use drawing::{Drawing, Unit};

pub use space::Axis;

/// Ends of lines nearer to each other than this are one place if nothing else is asked for, m: what a careful drawing keeps.
pub const WITHIN: f64 = 1e-3;
/// No tolerance is finer than this, m: two places of a design are one within 0.1 µm.
const LEAST_WITHIN: f64 = 1e-6;
/// A tube may be this far from a drawn curve if nothing else is asked for, m: as `[curve]` has it.
pub const CURVE_WITHIN: f64 = 5e-3;

/// What a person says beside the drawing.
#[derive(Clone, Debug)]
pub struct Options<'a> {
    /// Name of the design.
    pub name: String,
    /// What the drawing is called in the text.
    pub source: String,
    /// Its unit, whatever the file says.
    pub unit: Option<Unit>,
    /// Which of the drawing's axes points up; `None`: z, or y for an OBJ.
    pub up: Option<Axis>,
    /// Which of them points forward; `None`: by symmetry, else x.
    pub forward: Option<Axis>,
    /// Ends nearer than this are one, m.
    pub within: f64,
    /// A tube may be this far from a drawn curve, m.
    pub curve_within: f64,
    /// A design with the shop's steel, dies and so on, and its text.
    pub with: Option<(&'a Design, &'a str)>,
    /// Layers with their sizes, such as `("hoop", "45 x 2.5 mm")`.
    pub sizes: Vec<(String, String)>,
    /// Layers with the centreline radius that they are bent to, m.
    pub radii: Vec<(String, f64)>,
    /// Only these layers; all, if there are none.
    pub layers: Vec<String>,
    /// Each line stays a tube of its own: collinear ones are not joined.
    pub as_drawn: bool,
    /// No symmetry is looked for.
    pub one_by_one: bool,
    /// Units of the design file; `None`: those of `with`, else inches for inches and feet, else mm.
    pub units: Option<design::Units>,
}

impl Options<'_> {
    /// Nothing said but the names.
    pub fn new(name: impl Into<String>, source: impl Into<String>) -> Options<'static> {
        Options {
            name: name.into(),
            source: source.into(),
            unit: None,
            up: None,
            forward: None,
            within: WITHIN,
            curve_within: CURVE_WITHIN,
            with: None,
            sizes: Vec::new(),
            radii: Vec::new(),
            layers: Vec::new(),
            as_drawn: false,
            one_by_one: false,
            units: None,
        }
    }
}

/// A design file, and how it came about.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Draft {
    /// The design file.
    pub text: String,
    /// What was guessed: to be looked at.
    pub guessed: Vec<String>,
    /// What was done, and what was left out.
    pub done: Vec<String>,
    /// Tubes, twins not counted.
    pub tubes: usize,
    /// Of these, tubes with a twin.
    pub mirrored: usize,
    /// Points.
    pub points: usize,
    /// Curves that are still to be bent.
    pub curves: usize,
}

/// What is told of a drawing on its way.
#[derive(Debug, Default)]
pub(crate) struct Told {
    pub guessed: Vec<String>,
    pub done: Vec<String>,
}

impl Told {
    fn guess(&mut self, what: impl Into<String>) {
        self.guessed.push(what.into());
    }

    fn done(&mut self, what: impl Into<String>) {
        self.done.push(what.into());
    }
}

/// `1 line`, `3 lines`.
pub(crate) fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// Names in a row, and how many more there are.
pub(crate) fn listed(names: &[&str]) -> String {
    const SHOWN: usize = 8;
    let more = names.len().saturating_sub(SHOWN);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{more}", names[..names.len().min(SHOWN)].join(", "))
}

/// Turns a drawing into a design file.
///
/// # Errors
/// Why there is none, in words.
pub fn draft(drawing: &Drawing, options: &Options) -> Result<Draft, String> {
    let options = &Options { within: options.within.max(LEAST_WITHIN), ..options.clone() };
    let mut told = Told::default();
    let (lines, named) = space::place(drawing, options, &mut told)?;
    let layers = layers::layers(&lines, options, &mut told)?;
    let (runs, curves) = join::runs(lines, &layers, options, &mut told);
    let (mut tubes, curves) = curves::bend(runs, curves, &layers, options, &mut told);
    if tubes.is_empty() && curves.is_empty() {
        return Err("nothing in it becomes a tube".into());
    }
    let centre = if options.one_by_one { None } else { mirror::find(&mut tubes, options, drawing.ours, &mut told) };
    let curves = curves::moved(curves, &centre);
    meet::once(&mut tubes, &layers, options.within, &mut told);
    ends::merge(&mut tubes, centre.is_some(), options, &mut told);
    meet::land(&mut tubes, options.within, &mut told);
    let mut tubes = meet::split(tubes, &layers, options.within, &mut told);
    mirror::drop_points(&mut tubes, &mut told);
    let twins = if centre.is_some() { mirror::pair(&mut tubes, &mut told) } else { Vec::new() };
    let tubes = mirror::keep(tubes, &twins);
    let frame = places::places(tubes, &layers, centre.is_some(), options.within, &mut told);
    let frame = order::order(frame, &mut told);
    let named = named.into_iter().map(|(name, at)| (name, centre.map_or(at, |c| c.place(at)))).collect();
    let named = names::name(&frame, &layers, named, centre.is_some(), options.within, &mut told);
    let inches = matches!(options.unit.or(drawing.unit), Some(Unit::In | Unit::Ft));
    text::write(&frame, &named, &layers, &curves, options, inches, told)
}
